"""The one range check of the kernel: a formula outside its range refuses, it never extrapolates or clamps."""

from __future__ import annotations

from briefgen.errors import OutOfRangeError


def number_text(value: float) -> str:
    """Return a number as it stands in a message: seven significant digits, thousands separated.

    Args:
        value: Any number, in whatever unit the message goes on to name [-].

    Source:
        House form of messages.
    """
    return f"{value:,.7g}"


def require_within(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """Raise unless a value lies from low to high, both ends included; not-a-number never does.

    Args:
        name: What the value is, as the message names it.
        value: The value, in the unit given as text [-].
        low: Least permitted value, in the same unit [-].
        high: Greatest permitted value, in the same unit [-].
        unit: The unit's symbol for the message; empty for a dimensionless value.

    Raises:
        OutOfRangeError: The value lies outside.

    Source:
        House rule: nothing is extrapolated or clamped.
    """
    if low <= value <= high:
        return
    tail = f" {unit}" if unit else ""
    raise OutOfRangeError(
        f"{name} {number_text(value)}{tail} is out of range",
        expected=f"{number_text(low)} to {number_text(high)}{tail}",
    )
