"""What was asked: the mission as its author wrote it, in SI, before anything is computed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from briefgen.frozen import dataclass
from briefgen.model.aircraft import Aircraft, Individual
from briefgen.model.bench import Uncertainty, Variation
from briefgen.model.ledger import Given
from briefgen.model.performance import SpeedTarget
from briefgen.model.places import Place, Terrain
from briefgen.model.rules import RuleSet
from briefgen.model.weather import Weather


@dataclass(frozen=True)
class Height:
    """A height as it is flown: on the altimeter setting in force, on the standard setting, or above the field."""

    value_m: float
    reference: str  # altitude | pressure | above field | above overcast


@dataclass(frozen=True)
class HeightChange:
    """A step climb or descent begun at a distance along its leg."""

    after_m: float
    height: Height


@dataclass(frozen=True)
class Pattern:
    """Lines flown over an area, begun at the end of a leg; it is taken apart into legs before anything is flown."""

    kind: str  # creeping line | expanding square
    course_deg: float  # true, of the first line
    length_m: float | None  # of each line; None for a square, whose lines grow with the spacing
    spacing_m: float
    lines: int
    to_right: bool  # of the first line lies the next
    bank_deg: float
    height: Height
    cruise: SpeedTarget
    safe_height_m: float | None
    safe_from_terrain: bool = False
    path: str = ""  # where the specification gives it


@dataclass(frozen=True)
class Leg:
    """Fly to a place at a height with a choice of cruise."""

    to: Place
    height: Height
    cruise: SpeedTarget
    safe_height_m: float | None  # minimum safe altitude [m above mean sea level] with its source in the given map
    track: str = "geodesic"  # geodesic | rhumb
    changes: tuple[HeightChange, ...] = ()
    remarks: str = ""
    pattern: Pattern | None = None  # flown from its end on
    safe_from_terrain: bool = False  # the safe altitude is worked out from the terrain of the mission
    run_out_m: float = 0.0  # flown beyond the line of a pattern, for the turn onto the next
    procedure: str = ""  # published, by which she is below the safe altitude: a departure, an approach


@dataclass(frozen=True)
class Run:
    """One pass of an action over its place; what leaves on it carries the same label."""

    leaves: str | None
    duration_s: float
    course_deg: float | None = None  # true, over the place
    falls_at_m_per_s: float | None = None  # under its canopy
    throw_m: float | None = None  # how far it goes on ahead before that


@dataclass(frozen=True)
class Action:
    """Work over a place: descend to its height, make the runs, and go on with the next leg."""

    at: Place
    kind: str  # drop | look | wait
    height: Height
    ias_m_per_s: float
    runs: tuple[Run, ...]
    configuration: str = "clean"
    procedure: str = ""  # published, by which she is below the safe altitude


@dataclass(frozen=True)
class Hold:
    """Waiting over a place, planned for its longest time."""

    at: Place
    height: Height
    duration_s: float
    target: SpeedTarget
    bank_deg: float
    reason: str = ""
    procedure: str = ""  # published, by which she is below the safe altitude


RouteItem = Leg | Action | Hold


@dataclass(frozen=True)
class EnginesStopped:
    """From which point of the route on she flies on fewer engines: a question, not an intention."""

    from_ident: str
    configuration: str  # of the aircraft file


@dataclass(frozen=True)
class Route:
    """From a runway, along the items, to a runway; the last leg's place is the destination."""

    origin: Place
    origin_runway: str
    items: tuple[RouteItem, ...]
    destination: Place
    destination_runway: str
    paths: tuple[str, ...] = ()  # where the specification gives each item; as many as items
    engines_stopped: EnginesStopped | None = None


@dataclass(frozen=True)
class Alternate:
    """Where she goes when the destination will not do, or, en route, when she cannot go on."""

    place: Place
    runway: str
    height: Height
    cruise: SpeedTarget
    safe_height_m: float | None
    because: str
    via: tuple[Place, ...] = ()  # points flown over on the way there
    usable_from: str = ""  # place of the route from which on it serves; empty: from the start
    usable_until: str = ""  # place of the route up to which it serves; empty: to the end
    procedure: str = ""  # published, by which she is below the safe altitude on the way down to it


@dataclass(frozen=True)
class OverTarget:
    """A point to be over at a time, give or take the window."""

    place: Place
    instant: datetime
    window_s: float
    bank_deg: float | None = None  # of a timing orbit before it


@dataclass(frozen=True)
class Times:
    """The clock of the mission; exactly one of ``take_off`` and ``over_target`` fixes it."""

    zone: str
    take_off: datetime | None
    over_target: OverTarget | None
    briefing_before_stations_s: float
    stations_before_start_s: float
    start_s: float  # all engines, from the first
    taxi_out_s: float
    run_up_s: float
    take_off_lasts_s: float  # from releasing the brakes to the first power reduction
    first_reduction_height_m: float  # above the field
    approach_s: float  # from circuit height over the field to turning off the runway
    taxi_in_s: float
    shutdown_s: float
    timed_points: tuple[OverTarget, ...] = ()  # further ones, in the order of the route; met by speed, not by take-off


@dataclass(frozen=True)
class LoadItem:
    """One piece of load; ``bay`` None asks for a place."""

    name: str
    mass_kg: float
    bay: str | None  # a bay or a station of the aircraft file
    leaves: str  # the label of a run, or "landing"
    length_m: float | None = None
    width_m: float | None = None
    height_m: float | None = None
    dangerous: str | None = None  # its class; items of different classes are kept apart
    lateral_arm_m: float | None = None  # None: on the centre line of its bay


@dataclass(frozen=True)
class People:
    """People who are carried and sit together; ``mass_kg`` is that of each, None for that of the aircraft file."""

    who: str
    number: int
    station: str
    mass_kg: float | None = None


@dataclass(frozen=True)
class FuelLoad:
    """Fuel at the ramp: given whole, tank by tank, or as much as the plan requires and something over."""

    kind: str  # at ramp | by tank | as required | add (what is aboard on landing, and the volume)
    volume_m3: float | None
    by_tank_m3: Mapping[str, float]
    extra_m3: float
    density_kg_per_m3: float
    density_temperature_k: float | None = None  # at which the density was measured
    temperature_k: float | None = None  # of the fuel as loaded


@dataclass(frozen=True)
class CrewMember:
    """Who sits where."""

    position: str
    name: str
    mass_kg: float | None = None


@dataclass(frozen=True)
class Contingency:
    """Something that can go wrong and what is then done; ``place`` is where a decision falls, if any."""

    what: str
    then: str


@dataclass(frozen=True)
class Risk:
    """A risk as the commander will read it, before and after its mitigation."""

    what: str
    severity: str
    probability: str
    mitigation: str
    residual: str
    owner: str = ""
    accepted_by: str = ""  # who took what is left upon himself; empty where nobody did


@dataclass(frozen=True)
class Frequency:
    """Who is called where, on what."""

    who: str
    where: str
    frequency_hz: float
    remarks: str = ""


@dataclass(frozen=True)
class CrewCall:
    """Something said or done by a position at a moment of the plan."""

    at: str  # a phase name or a place
    position: str
    text: str


@dataclass(frozen=True)
class SourceFile:
    """One file a mission was read from: its bytes as a digest, and every value in it as it was written."""

    name: str  # within the specification folder
    digest: str  # SHA-256 of its bytes
    values: tuple[tuple[tuple[str | int, ...], int, int, str], ...] = ()  # path, line, column, text; a table has none


@dataclass(frozen=True)
class WindFading:
    """How what a found wind differs from the forecast by fades ahead: to 0.37 of itself over a distance and in a time."""

    over_m: float
    in_s: float
    source: str


@dataclass(frozen=True)
class Landing:
    """Between two sectors: how long she stands there and what is taken on; fuel and load are those of the sector after it."""

    at: Place
    turn_round_s: float  # from the last engine stopped to the first engine turned
    filled_up: tuple[str, ...]  # supplies besides fuel, by their name in the aircraft file
    fuel_grade: str  # of what is taken on
    supply_m3: float | None  # no more is to be had; None: not said
    path: str  # where the specification gives it


@dataclass(frozen=True)
class Sector:
    """Which of several sectors a mission is, and all of them as they were written."""

    number: int  # from 1
    sectors: tuple[Mission, ...]  # each without its own Sector
    landings: tuple[Landing, ...]  # one between each two
    given: Mapping[
        str, Given
    ]  # every written value by its path in the file, where a sector's own is by that in the sector


@dataclass(frozen=True)
class HandedOn:
    """What the sector before leaves to this one, and what was taken on between the two."""

    before: str  # where the sector before began and ended
    reporting: datetime  # when the duty of the crew began
    on_blocks: datetime  # the last engine stopped
    turn_round_s: float
    fuel_kg: float  # left in the tanks
    taken_on_kg: float
    aboard: Mapping[str, float]  # supplies used by the hour, in the units of the aircraft file, as this sector begins
    filled: Mapping[str, float]  # of it, what was filled up


@dataclass(frozen=True)
class Start:
    """The fuel a sector of several starts with, once it is settled, and what was handed on to it; None for the first."""

    fuel_kg: float
    for_sectors: int  # how many the fuel was settled for; 0 where it was written
    handed_on: HandedOn | None = None


@dataclass(frozen=True)
class Mission:
    """One written mission, or one sector of it, with everything it refers to."""

    name: str
    number: str
    revision: int
    operator: str
    purpose: str
    aircraft: Aircraft
    individual: Individual
    fuel_grade: str
    crew: tuple[CrewMember, ...]
    times: Times
    fuel: FuelLoad
    items: tuple[LoadItem, ...]
    weather: Weather
    route: Route
    alternates: tuple[Alternate, ...]
    contingencies: tuple[Contingency, ...]
    risks: tuple[Risk, ...]
    frequencies: tuple[Frequency, ...]
    calls: tuple[CrewCall, ...]
    briefing: Mapping[str, str]
    rules: RuleSet
    places: tuple[Place, ...]
    given: Mapping[str, Given]
    file: str
    digest: str  # SHA-256 over the bytes of every file the mission was read from
    en_route: tuple[Alternate, ...] = ()  # fields to turn to on the way; no fuel is planned to be carried for them
    terrain: Terrain | None = None
    people: tuple[People, ...] = ()  # carried, not crew
    fading: WindFading | None = None
    files: tuple[SourceFile, ...] = ()  # in the order of their names
    variations: tuple[Variation, ...] = ()  # questions put beside the plan
    uncertainty: Uncertainty | None = None  # None: not said, and never supposed
    sector: Sector | None = None  # None where the mission has one sector
    start: Start | None = None  # None until it is known, and where nothing but the mission itself decides it
