"""What happened on a flight: the lines a crew fills in, and what they wrote, in SI and UTC."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import datetime

from briefgen.frozen import dataclass
from briefgen.model.ledger import Given
from briefgen.model.mission import Height

GROUND_EVENTS = ("off blocks", "off ground", "on ground", "on blocks")


@dataclass(frozen=True)
class Blank:
    """One line of the fuel log as it is printed: card and file count the lines alike."""

    number: int
    instant: datetime  # planned
    where: str  # what stands in the line, empty for a half hour of the clock
    place: str  # identifier, empty where the line is at no place
    phase: str  # ident of the phase that ends there, or in which the half hour falls
    ends_phase: bool


@dataclass(frozen=True)
class Blanks:
    """All lines of a mission's fuel log, and the planned time of each event on the ground."""

    lines: tuple[Blank, ...]
    events: Mapping[str, datetime]  # by the names of GROUND_EVENTS


@dataclass(frozen=True)
class LoggedFuel:
    """Fuel aboard as read [kg]; tank by tank where it was read so."""

    total_kg: float
    by_tank_kg: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Logged:
    """What was written at one moment: an event on the ground, or a line of the log.

    Attributes:
        path: Where it stands in the file, such as ``lines[3]``.
        blank: The line of the card it fills; None for an event and for a moment between lines.
        height: Flown on the way to this line, as speed, setting, flow and wind are.
        wind_m_per_s: Mean wind found, towards east and north.
    """

    path: str
    name: str
    instant: datetime | None = None
    blank: Blank | None = None
    position: tuple[float, float] | None = None  # latitude, longitude [deg]
    fuel: LoggedFuel | None = None
    height: Height | None = None
    ias_m_per_s: float | None = None
    engine_speed_rpm: float | None = None
    manifold_pressure_pa: float | None = None
    mixture: str = ""
    fuel_flow_kg_per_s: float | None = None
    temperature_k: float | None = None
    wind_m_per_s: tuple[float, float] | None = None
    remarks: str = ""


@dataclass(frozen=True)
class LoggedDrop:
    """How much of a load left [kg]."""

    leaves: str
    mass_kg: float
    path: str


@dataclass(frozen=True)
class Defect:
    """A defect for the book; without a number of an engine it concerns the airframe."""

    what: str
    engine: int | None = None
    found: str = ""


@dataclass(frozen=True)
class EngineBook:
    """What the technical book asks of a flight; volumes and hours engine by engine, empty where not written."""

    take_off_power_s: float | None = None
    oil_in_m3: tuple[float, ...] = ()
    oil_out_m3: tuple[float, ...] = ()
    oil_added_m3: tuple[float, ...] = ()
    dilution_s: float | None = None
    dilution_at: datetime | None = None
    hours_before_s: tuple[float, ...] = ()


@dataclass(frozen=True)
class FlightLog:
    """The log of one flight; what is None was not written, and is not known."""

    file: str
    mission_file: str
    number: str
    revision: int
    density_kg_per_m3: float
    events: Mapping[str, Logged]  # by the names of GROUND_EVENTS
    lines: tuple[Logged, ...]
    drops: tuple[LoggedDrop, ...]
    engines: EngineBook
    defects: tuple[Defect, ...]
    remarks: tuple[str, ...]
    given: Mapping[str, Given]  # every written value by its path, with 'log:' before it
    digest: str
    reading_error_kg: float | None = None
    flow_error_ratio: float | None = None
    speed_error_ratio: float | None = None
    zero_fuel_mass_kg: float | None = None
    landed_at: str = ""

    def in_order(self) -> tuple[Logged, ...]:
        """Return the events and the lines in the order of the flight."""
        before = [self.events[name] for name in GROUND_EVENTS[:2] if name in self.events]
        after = [self.events[name] for name in GROUND_EVENTS[2:] if name in self.events]
        return (*before, *self.lines, *after)
