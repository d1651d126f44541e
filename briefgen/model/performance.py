"""What the plan asks of an aircraft and what the aircraft answers.

Questions and answers are plain frozen data in SI units, so that a physical model and a set of charts serve
behind one interface (`aircraft/interface.py`). A field that a chart does not print is None, never an invented number.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from briefgen.frozen import dataclass

Mixture = Literal["lean", "rich"]
LeverName = Literal[
    "mixture", "engine speed", "manifold pressure", "cowl flaps", "filters", "intercooler", "carburettor heat",
    "boost pumps",
]  # fmt: skip
FlightPhase = Literal[
    "start", "taxi", "run-up", "take-off", "after take-off", "climb", "cruise", "hold", "drop", "descent", "pattern",
    "final", "go-around", "after landing", "shutdown",
]  # fmt: skip
InstrumentCondition = Literal["cloud", "darkness"]
GroundActivity = Literal["start", "taxi", "run-up", "shutdown"]


@dataclass(frozen=True)
class Air:
    """The air at one place: pressure altitude [m], static temperature [K] and vapour pressure [Pa], 0 when dry.

    `icing` says that she is in cloud in which carburettor ice is likely: the levers against it stand as her file says.
    """

    pressure_altitude_m: float
    temperature_k: float
    vapour_pressure_pa: float = 0.0
    icing: bool = False


# --- what speed or power is asked for -------------------------------------------------------------------------------


@dataclass(frozen=True)
class LongRange:
    """99 % of the best distance per mass of fuel, on the fast side."""


@dataclass(frozen=True)
class BestRange:
    """The greatest distance per mass of fuel."""


@dataclass(frozen=True)
class BestEndurance:
    """The lowest fuel flow."""


@dataclass(frozen=True)
class IndicatedAirspeed:
    """A given indicated airspeed [m/s]."""

    ias_m_per_s: float


@dataclass(frozen=True)
class TrueAirspeed:
    """A given true airspeed [m/s]."""

    tas_m_per_s: float


@dataclass(frozen=True)
class PercentPower:
    """A given part of the rated brake power of each running engine, 0 to 1."""

    ratio: float


@dataclass(frozen=True)
class GivenSetting:
    """A given engine speed [rpm] and manifold pressure [Pa]; the mixture is chosen by the limits when None."""

    engine_speed_rpm: float
    manifold_pressure_pa: float
    mixture: Mixture | None = None


SpeedTarget = LongRange | BestRange | BestEndurance | IndicatedAirspeed | TrueAirspeed | PercentPower | GivenSetting


# --- what the aircraft answers --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class PowerSetting:
    """One complete power setting in level, climbing or descending flight, alike on all running engines.

    Speeds and specific range are through the air. `governing_limit` says in trade words which limit the setting rests
    on or comes to first; `margin_ratio` is the unused part of the power that limit allows (0 = on the limit).
    """

    engines: str  # name of the engine configuration, such as "four" or "three, one outer feathered"
    engines_running: int
    mass_kg: float
    air: Air
    ias_m_per_s: float
    cas_m_per_s: float
    tas_m_per_s: float
    engine_speed_rpm: float | None
    manifold_pressure_pa: float | None
    mixture: Mixture | None
    power_w: float | None  # brake power of each running engine
    propeller_efficiency: float | None
    fuel_flow_kg_per_s: float  # all running engines together
    specific_range_m_per_kg: float
    governing_limit: str
    margin_ratio: float | None
    time_limit_s: float | None  # None: no time limit
    carburettor_air_temperature_k: float | None
    cowl_flaps: str | None
    blower: str | None
    intercooler: str | None
    filters: str | None
    boost_pumps: str | None
    source: str  # chart or equations the answer came from
    phase: FlightPhase | None = (
        None  # of the aircraft file, whose levers, gear and flaps these are; None where it says none
    )
    carburettor_heat: str | None = None  # "on" or "off"; None where she has none
    mixture_name: str | None = None  # the mixture as the aircraft file calls it; None where there is none to set

    @property
    def fuel_flow_per_engine_kg_per_s(self) -> float:
        """Fuel flow of one running engine [kg/s]."""
        return self.fuel_flow_kg_per_s / self.engines_running


@dataclass(frozen=True)
class ClimbState:
    """The climb at one height: the setting and the rate of climb [m/s], negative when she sinks at that power.

    Both rates are given: through real height, and through pressure altitude, in which climbs are planned.
    """

    setting: PowerSetting
    rate_m_per_s: float
    pressure_altitude_rate_m_per_s: float


@dataclass(frozen=True)
class DescentState:
    """The descent at one height: the setting and the rate of descent [m/s], positive downward."""

    setting: PowerSetting
    rate_m_per_s: float
    pressure_altitude_rate_m_per_s: float


@dataclass(frozen=True)
class ChartClimb:
    """Time [s], fuel [kg] and still-air distance [m] from one pressure altitude to another."""

    time_s: float
    fuel_kg: float
    distance_m: float


@dataclass(frozen=True)
class Ceiling:
    """Highest pressure altitude [m] at which the asked rate of climb is met.

    `beyond_range` says the rate is still met at the top of what the file covers, so the ceiling is at least that.
    """

    pressure_altitude_m: float
    rate_m_per_s: float
    engines: str
    beyond_range: bool


class LeverPair(NamedTuple):
    """What holds the speed of a setting at another engine speed: manifold pressure, what is permitted there, and the fuel flow about it."""

    manifold_pressure_pa: float
    permitted_pa: float  # there, or at the highest engine speed where that is lower
    highest_rpm: float  # permitted at that mixture
    fuel_flow_kg_per_s: float  # of all engines that run
    fuel_flow_per_pa: float  # more manifold pressure, more power, more fuel


@dataclass(frozen=True)
class LeverMove:
    """One movement of one lever, from and to, in SI units or as a word; `before` is None when it was not known."""

    lever: LeverName
    before: float | str | None
    after: float | str


@dataclass(frozen=True)
class OperatingSpeeds:
    """Indicated airspeeds [m/s] the aircraft file gives; None where it gives none."""

    unstick_m_per_s: float
    safe_m_per_s: float  # first power reduction after take-off
    climb_m_per_s: float
    climb_on_instruments_m_per_s: float | None
    descent_m_per_s: float
    hold_m_per_s: float
    approach_m_per_s: float  # downwind, before the base leg
    base_m_per_s: float
    final_m_per_s: float
    threshold_m_per_s: float
    flaps_limit_m_per_s: float
    gear_limit_m_per_s: float | None
    never_exceed_m_per_s: float
    minimum_control_m_per_s: float | None  # in the air, one outer engine failed, take-off power
    climb_on_instruments_in: tuple[InstrumentCondition, ...] = ()  # when that climbing speed is flown


@dataclass(frozen=True)
class EngineConfiguration:
    """Which engines run: the name used on the cards, how many run, and which stand still."""

    name: str
    running: int
    stopped: str
