"""From one setting to the next: which levers move, in which order."""

from __future__ import annotations

from briefgen.model.performance import LeverMove, LeverName, PowerSetting
from briefgen.model.procedures import LeverOrder

_SAME_SPEED_RPM = 5.0  # a tachometer is not read closer
_SAME_PRESSURE_PA = 170.0  # a twentieth of an inch of mercury: a manifold gauge is not read closer

LeverValue = float | str | None


def lever_moves(order: LeverOrder, before: PowerSetting | None, after: PowerSetting) -> tuple[LeverMove, ...]:
    """Return the moves in the file's order for more or for less power; from nothing known, all of them."""
    old = _positions(before) if before else {}
    rising = before is None or _more_power(before, after)
    new = _positions(after)
    moves = []
    for lever in order.increasing if rising else order.reducing:
        wanted = new[lever]
        if wanted is not None and _moved(old.get(lever), wanted):
            moves.append(LeverMove(lever, old.get(lever), wanted))
    return tuple(moves)


def _positions(setting: PowerSetting) -> dict[LeverName, LeverValue]:
    return {
        "mixture": setting.mixture_name,
        "engine speed": setting.engine_speed_rpm,
        "manifold pressure": setting.manifold_pressure_pa,
        "cowl flaps": setting.cowl_flaps,
        "filters": setting.filters,
        "intercooler": setting.intercooler,
        "carburettor heat": setting.carburettor_heat,
        "boost pumps": setting.boost_pumps,
    }


def _more_power(before: PowerSetting, after: PowerSetting) -> bool:
    """Return whether power is increased: by brake power, or by fuel flow where a chart prints no power for one of them."""
    if before.power_w is not None and after.power_w is not None:
        return after.power_w >= before.power_w
    return after.fuel_flow_per_engine_kg_per_s >= before.fuel_flow_per_engine_kg_per_s


def _moved(old: LeverValue, new: float | str) -> bool:
    if isinstance(old, float) and isinstance(new, float):
        # Engine speeds are thousands of rpm at most, manifold pressures tens of thousands of pascals.
        tolerance = _SAME_SPEED_RPM if new < 10000.0 else _SAME_PRESSURE_PA
        return abs(new - old) > tolerance
    return old != new
