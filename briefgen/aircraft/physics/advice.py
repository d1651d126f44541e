"""What an experienced engineer would add to a setting: a slightly slower speed that stays lean, and heights that matter."""

from __future__ import annotations

import math
from collections.abc import Callable

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.interpolate import root
from briefgen.model.handling import FlightPhase
from briefgen.model.performance import Air, IndicatedAirspeed, PowerSetting

_SPEED_TOLERANCE_M_PER_S = 0.02
_TRIED_RATIOS = (0.95, 0.9, 0.85, 0.8)  # a speed more than a fifth slower is another flight, not a slightly slower one
_HEIGHT_TOLERANCE_M = 1.0


@dataclass(frozen=True)
class LeanAdvice:
    """The fastest speed that stays lean, beside a rich setting: what it costs in speed and saves in fuel."""

    setting: PowerSetting
    slower_m_per_s: float  # of true airspeed
    fuel_flow_saved_kg_per_s: float
    fuel_over_distance_saved_ratio: float  # part of the fuel for the same still-air distance


def lean_advice(
    performance: Performance,
    rich: PowerSetting,
    *,
    bank_deg: float = 0.0,
    configuration: str | None = None,
    phase: FlightPhase = "cruise",
    readable_m_per_s: float = 0.0,
) -> LeanAdvice | None:
    """Return the fastest lean speed below a rich level setting, or None when there is none worth the name.

    With a readable step the speed is the next whole step below, so that rounding it for print keeps it lean.
    """
    if rich.mixture != "rich":
        return None

    def at(ias_m_per_s: float) -> PowerSetting | None:
        try:
            return performance.cruise(
                rich.mass_kg,
                rich.air,
                IndicatedAirspeed(ias_m_per_s),
                engines=rich.engines,
                bank_deg=bank_deg,
                configuration=configuration,
                phase=phase,
            )
        except BriefgenError:
            return None

    found = _fastest_lean(at, rich.ias_m_per_s)
    if found is not None and readable_m_per_s:
        found = at(math.floor(found.ias_m_per_s / readable_m_per_s) * readable_m_per_s)
    if found is None or found.mixture != "lean":
        return None
    rich, found = performance.as_set(rich), performance.as_set(found)
    return LeanAdvice(
        setting=found,
        slower_m_per_s=rich.tas_m_per_s - found.tas_m_per_s,
        fuel_flow_saved_kg_per_s=rich.fuel_flow_kg_per_s - found.fuel_flow_kg_per_s,
        fuel_over_distance_saved_ratio=1.0 - rich.specific_range_m_per_kg / found.specific_range_m_per_kg,
    )


def _fastest_lean(at: Callable[[float], PowerSetting | None], fast_m_per_s: float) -> PowerSetting | None:
    """Return the fastest setting flown lean below an indicated airspeed at which it is rich, None where none is near."""
    lean = (one for ratio in _TRIED_RATIOS if (one := at(ratio * fast_m_per_s)) and one.mixture == "lean")
    found = next(lean, None)
    while found is not None and fast_m_per_s - found.ias_m_per_s > _SPEED_TOLERANCE_M_PER_S:
        middle = 0.5 * (found.ias_m_per_s + fast_m_per_s)
        setting = at(middle)
        if setting is not None and setting.mixture == "lean":
            found = setting
        else:
            fast_m_per_s = middle
    return found


def full_throttle_height(
    performance: ModelPerformance,
    engine_speed_rpm: float,
    manifold_pressure_pa: float,
    ias_m_per_s: float,
    isa_deviation_k: float,
) -> float | None:
    """Return the pressure altitude [m] up to which a manifold pressure can be drawn, None when to the top of the model.

    With a turbo-supercharger that is its critical height; without one, full throttle.
    """

    def spare(height_m: float) -> float:
        air = Air(height_m, standard_temperature(height_m) + isa_deviation_k)
        breath = performance.parts.breath(performance.parts.point(air, ias_m_per_s))
        return performance.parts.plant.available(breath, engine_speed_rpm).manifold_pressure_pa - manifold_pressure_pa

    top_m = performance.parts.model.airframe.altitude_limit_m
    if spare(top_m) >= 0.0:
        return None
    return root(spare, 0.0, top_m, _HEIGHT_TOLERANCE_M, quantity="spare manifold pressure")


def filters_off_rise(performance: ModelPerformance, setting: PowerSetting) -> float:
    """Return how far manifold pressure rises [Pa] when the carburettor air filters come off, the levers unmoved."""
    if setting.engine_speed_rpm is None or setting.manifold_pressure_pa is None:
        return 0.0
    return performance.parts.plant.filter_loss(setting.engine_speed_rpm, setting.manifold_pressure_pa)
