"""How an aircraft is handled from phase to phase, as her file says it, in SI units."""

from __future__ import annotations

from typing import Literal

from briefgen.frozen import dataclass
from briefgen.model.performance import FlightPhase as FlightPhase
from briefgen.model.performance import InstrumentCondition as InstrumentCondition
from briefgen.model.performance import Mixture

RatingName = Literal["take-off", "climb"]


@dataclass(frozen=True)
class HotDayCowlFlaps:
    """Another cowl-flap position from a deviation from the standard temperature upwards."""

    isa_deviation_from_k: float
    position: str


@dataclass(frozen=True)
class PhaseSetting:
    """Levers, configuration and fuel feed of one phase; None or empty: the plan's power table or the file's order rules.

    `least_engine_speed_rpm` holds for every setting of the phase; `engine_speed_rpm` is one the crew sets and the plan
    flies. `rating` names the rating that gives the power. `fuel_from` are the tanks the engines feed from.
    """

    phase: FlightPhase
    least_engine_speed_rpm: float
    engine_speed_rpm: float | None
    rating: RatingName | None
    mixture: Mixture | None
    boost_pumps: Literal["on", "off"]
    boost_pumps_on_above_m: float | None  # pressure altitude from which they are on although the phase says off
    cowl_flaps: str | None  # a position of the file; None where she has none
    hot_day_cowl_flaps: HotDayCowlFlaps | None
    filters: Literal["in", "out", "by altitude"] | None  # None where she has none
    intercooler: Literal["cold", "hot", "by temperature"] | None
    gear: Literal["up", "down"]
    flaps: str  # a configuration of the file, such as "clean"
    airspeed_m_per_s: float | None  # indicated; None: as the speed card or the mission says
    fuel_from: tuple[str, ...]


@dataclass(frozen=True)
class MixtureSettings:
    """What the positions of the mixture lever are called in this aircraft: a crew reads the names its quadrant bears."""

    lean: str = "lean"
    rich: str = "rich"

    def of(self, mixture: Mixture) -> str:
        """Return the name of a setting."""
        return self.lean if mixture == "lean" else self.rich


@dataclass(frozen=True)
class AgainstCarburettorIce:
    """What the crew sets in cloud in which ice forms in the carburettors, in which phases; None: as the phase says.

    Air in the carburettors is warmed to the temperature the limits say it is kept to, as far as shutters and heat go.
    Filters stand as said up to a pressure altitude, above it as the phase says; None: at every height.
    """

    phases: tuple[FlightPhase, ...]
    intercooler: Literal["hot"] | None
    carburettor_heat: Literal["on"] | None
    filters: Literal["in", "out"] | None
    filters_not_above_m: float | None


@dataclass(frozen=True)
class Transfer:
    """One transfer of fuel: from a tank into others, begun when each of these has room for so much."""

    tank: str
    into: tuple[str, ...]
    begin_at_room_m3: float  # in each receiving tank
    rate_m3_per_s: float


@dataclass(frozen=True)
class FuelTransfer:
    """When fuel may be moved between tanks, and how."""

    not_below_m: float  # above the field
    not_in: tuple[FlightPhase, ...]
    transfers: tuple[Transfer, ...]


@dataclass(frozen=True)
class InstrumentResolution:
    """To what each instrument can be read and set; a planned setting is rounded to it and flown as rounded.

    The values that stand here hold where the file says nothing: 25 rpm, 0.5 inHg, 1 mph, 20 ft.
    """

    engine_speed_rpm: float = 25.0
    manifold_pressure_pa: float = 1693.1944
    airspeed_m_per_s: float = 0.44704
    altitude_m: float = 6.096
