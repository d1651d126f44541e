"""The one range check of the kernel: a formula outside its range refuses, it never extrapolates or clamps.

The kernel works in SI units; whoever reads a refusal does not. A value stands in a message in the unit the trade uses for it.
"""

from __future__ import annotations

import math

from briefgen.errors import OutOfRangeError
from briefgen.kernel.constants import FT_M, KELVIN_AT_0_DEGC, KT_M_PER_S, LB_KG

HPA_PA = 100.0
LBF_N = 9.80665 * LB_KG
TOLD_IN = {  # SI unit: its unit in a message, the size of one, and what its nought is
    "m": ("ft", FT_M, 0.0),
    "m/s": ("kt", KT_M_PER_S, 0.0),
    "K": ("degC", 1.0, KELVIN_AT_0_DEGC),
    "Pa": ("hPa", HPA_PA, 0.0),
    "kg": ("lb", LB_KG, 0.0),
    "N": ("lbf", LBF_N, 0.0),
}


def number_text(value: float) -> str:
    """Return a number as it stands in a message: seven significant digits, thousands separated.

    Args:
        value: Any number, in whatever unit the message goes on to name [-].

    Source:
        House form of messages.
    """
    return f"{value:,.7g}"


def quantity_text(value: float, unit: str) -> str:
    """Return a quantity as it stands in a message: in feet, knots, degrees Celsius, hectopascals, pounds.

    Args:
        value: The value, in the SI unit named [-].
        unit: Symbol of the SI unit; one without a unit of the trade is told as it is, empty is a bare number.

    Source:
        House form of messages; exact conversions of kernel/constants.
    """
    told, size, nought = TOLD_IN.get(unit, (unit, 1.0, 0.0))
    return f"{number_text((value - nought) / size)} {told}".rstrip()


def require_within(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """Raise unless a value lies from low to high, both ends included; not-a-number never does.

    Args:
        name: What the value is, as the message names it.
        value: The value, in the unit given as text [-].
        low: Least permitted value, in the same unit [-].
        high: Greatest permitted value, in the same unit [-].
        unit: The SI unit's symbol, which the message tells in the trade's; empty for a dimensionless value.

    Raises:
        OutOfRangeError: The value lies outside.

    Source:
        House rule: nothing is extrapolated or clamped.
    """
    if low <= value <= high:
        return
    expected = f"{number_text(_bare(low, unit))} to {quantity_text(high, unit)}"
    if math.isinf(high):
        expected = "more than 0" if 0.0 < low <= math.ulp(0.0) else f"at least {quantity_text(low, unit)}"
    raise OutOfRangeError(f"{name} {quantity_text(value, unit)} is out of range", expected=expected)


def _bare(value: float, unit: str) -> float:
    _, size, nought = TOLD_IN.get(unit, (unit, 1.0, 0.0))
    return (value - nought) / size
