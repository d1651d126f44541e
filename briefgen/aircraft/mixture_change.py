"""The mass at which the mixture changes: fuel flow jumps there, so a plan makes it a node."""

from __future__ import annotations

from collections.abc import Callable

from briefgen.model.performance import PowerSetting

_MASS_TOLERANCE_KG = 0.25


def mass_of_mixture_change(
    setting_at: Callable[[float], PowerSetting], mass_low_kg: float, mass_high_kg: float
) -> float | None:
    """Return the greatest mass [kg] found lean below a rich one, by bisection; None when both ends are alike.

    The answer lies on the lean side, within a quarter of a kilogram of the change.
    """
    if setting_at(mass_low_kg).mixture != "lean" or setting_at(mass_high_kg).mixture != "rich":
        return None
    lean_kg, rich_kg = mass_low_kg, mass_high_kg
    while rich_kg - lean_kg > _MASS_TOLERANCE_KG:
        middle_kg = 0.5 * (lean_kg + rich_kg)
        if setting_at(middle_kg).mixture == "lean":
            lean_kg = middle_kg
        else:
            rich_kg = middle_kg
    return lean_kg
