"""Limits of an aircraft file that her crew watches, in SI units: speeds, engines, winds, control with engines stopped.

Masses, centre of gravity and the speeds flown stand in `model/aircraft.py`, the ratings and their times in
`model/powerplant.py`: each limit stands once.
"""

from __future__ import annotations

from briefgen.frozen import dataclass
from briefgen.model.curves import Curve


@dataclass(frozen=True)
class FlapLimit:
    """Greatest indicated airspeed with one setting of the flaps."""

    setting: str
    greatest_m_per_s: float


@dataclass(frozen=True)
class OpeningLimit:
    """Indicated airspeeds between which a door may be open in flight; None where that side has no limit."""

    door: str
    least_m_per_s: float | None
    greatest_m_per_s: float


@dataclass(frozen=True)
class SpeedLimits:
    """Indicated airspeeds not to be exceeded, beside never-exceed, flaps and gear of the speed card.

    Turbulence penetration is the greatest speed in rough air, against mass.
    """

    normal_operating_m_per_s: float
    turbulence_penetration_m_per_s_by_mass_kg: Curve
    flaps: tuple[FlapLimit, ...]
    gear_lowering_m_per_s: float | None
    gear_raising_m_per_s: float | None
    landing_lights_m_per_s: float | None
    least_with_wing_de_icers_m_per_s: float | None
    openings: tuple[OpeningLimit, ...]


@dataclass(frozen=True)
class LoadFactors:
    """Load factors of the structure, in multiples of weight."""

    least_flaps_up: float
    greatest_flaps_up: float
    least_flaps_out: float
    greatest_flaps_out: float


@dataclass(frozen=True)
class SurfaceWind:
    """Greatest wind components on one surface."""

    surface: str
    crosswind_m_per_s: float
    tailwind_m_per_s: float


@dataclass(frozen=True)
class WindLimits:
    """Greatest components of the wind along and across the runway; lower on the surfaces named."""

    crosswind_m_per_s: float
    tailwind_m_per_s: float
    surfaces: tuple[SurfaceWind, ...]


@dataclass(frozen=True)
class TemperatureRange:
    """Outside air temperatures between which something holds."""

    from_k: float
    to_k: float


@dataclass(frozen=True)
class CylinderHead:
    """Cylinder-head temperatures: two that must be reached, the others not to be passed."""

    before_opening_up_k: float
    ground_k: float
    take_off_k: float
    climb_k: float
    rich_cruise_k: float
    lean_cruise_k: float
    before_stopping_k: float | None  # cool to this before the engine is stopped


@dataclass(frozen=True)
class OilTemperature:
    """Oil temperatures of an engine."""

    before_opening_up_k: float
    normal_from_k: float
    normal_to_k: float
    greatest_k: float
    short_time_k: float | None  # above the greatest, for the time below
    short_time_limit_s: float | None


@dataclass(frozen=True)
class OilPressure:
    """Oil pressures of an engine; after starting one must show within a time, or the engine is stopped."""

    after_starting_pa: float
    after_starting_within_s: float
    idle_pa: float
    normal_from_pa: float
    normal_to_pa: float
    least_pa: float
    greatest_pa: float


@dataclass(frozen=True)
class FuelPressure:
    """Fuel pressures of an engine; below `least_pa` its boost pump is put on."""

    normal_from_pa: float
    normal_to_pa: float
    least_pa: float


@dataclass(frozen=True)
class CarburettorAir:
    """Where the carburettor air is kept, and where ice forms in moist air; the greatest stands with the fuel grade."""

    kept_from_k: float
    kept_to_k: float
    icing_from_k: float
    icing_to_k: float


@dataclass(frozen=True)
class MagnetoDrop:
    """Fall of engine speed on one magneto, and the difference between the two; `checked_at` says at what power."""

    greatest_rpm: float
    difference_rpm: float
    checked_at: str


@dataclass(frozen=True)
class AvoidedEngineSpeeds:
    """A range of engine speed not to be held, and why."""

    from_rpm: float
    to_rpm: float
    reason: str


@dataclass(frozen=True)
class EngineLimits:
    """What the engine instruments must show, each engine."""

    over_speed_rpm: float
    avoided_engine_speeds: tuple[AvoidedEngineSpeeds, ...]
    cylinder_head: CylinderHead
    oil_temperature: OilTemperature
    oil_pressure: OilPressure
    fuel_pressure: FuelPressure
    carburettor_air: CarburettorAir
    magneto_drop: MagnetoDrop


@dataclass(frozen=True)
class CrewLimits:
    """The limits of the crew's limits card."""

    speeds: SpeedLimits
    wind: WindLimits
    field_temperature: TemperatureRange
    load_factor: LoadFactors | None
    engine: EngineLimits


@dataclass(frozen=True)
class MinimumControl:
    """Least indicated airspeed at which she can be held straight in an engine configuration; None: the stall governs.

    With all engines running it is the speed from which the sudden loss of the worst engine can be held.
    """

    engines: str  # name of an engine configuration of the file
    at_take_off_power_m_per_s: float | None
    at_climb_power_m_per_s: float | None
    remarks: str
