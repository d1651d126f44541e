"""What was computed: the plan of one mission."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import datetime
from typing import Literal

from briefgen.frozen import dataclass
from briefgen.model.approval import Approval
from briefgen.model.bench import WhatIf
from briefgen.model.ledger import Ledger, Table
from briefgen.model.mission import Mission
from briefgen.model.performance import PowerSetting

PhaseKind = Literal[
    "start", "taxi", "run-up", "take-off", "climb", "cruise", "descent", "run", "hold", "approach", "taxi-in", "shutdown"
]  # fmt: skip
EventKind = Literal["schedule", "decision", "checklist", "phase", "power", "action", "light", "fuel", "call"]
FindingPage = Literal[
    "timeline", "route", "power", "fuel", "weather", "balance", "load", "fields", "diversions", "communications", "crew", "review",
    "replan", "debrief", "index",
]  # fmt: skip
ChartName = Literal[
    "profile", "runway", "envelope", "balance_time", "balance_lateral", "way_home", "drift_down", "debrief", "likely"
]  # those the sections make; the map, the crew's day and the fuel chart are drawn from the flight itself
POSITIONS = ("captain", "co-pilot", "flight engineer", "navigator", "radio operator", "loadmaster")


@dataclass(frozen=True)
class Node:
    """The aircraft at one instant of the flight; curves are drawn through nodes, figures are printed from entries."""

    instant: datetime
    lat_deg: float
    lon_deg: float
    distance_m: float  # along the route from the take-off
    pressure_altitude_m: float
    altitude_m: float  # on the altimeter setting in force
    mass_kg: float
    fuel_kg: float
    ground_speed_m_per_s: float


@dataclass(frozen=True)
class Phase:
    """A stretch of the flight in one regime; keys of its entries begin with ``phase.<ident>``."""

    ident: str  # climb-from-lx01
    kind: PhaseKind
    title: str
    item: int | None  # index of the route item it serves
    nodes: tuple[Node, ...]  # first and last are its ends
    settings: tuple[tuple[Node, PowerSetting], ...] = ()  # each from its node on
    place: str = ""  # ident of the place it ends at or works over, empty where it ends between places
    wind_east_m_per_s: float = 0.0  # mean over the phase, by time
    wind_north_m_per_s: float = 0.0
    tas_m_per_s: float = 0.0  # mean over the phase, by time
    course_deg: float | None = None  # true, half way along
    temperature_k: float = 0.0  # half way
    released_kg: float = 0.0  # mass that left at its end: the next phase begins that much lighter
    released: str = ""  # the label under which it left
    point: str = ""  # what a navigator calls its end where that is no place: top of descent, step
    level_off: Node | None = None  # of a climb: where the height is reached; what follows builds up cruise speed

    def of(self, *kinds: PhaseKind) -> bool:
        """Return whether it is of one of some kinds."""
        return self.kind in kinds

    @property
    def start(self) -> Node:
        """The aircraft as the phase begins."""
        return self.nodes[0]

    @property
    def end(self) -> Node:
        """The aircraft as the phase ends."""
        return self.nodes[-1]

    @property
    def setting(self) -> PowerSetting | None:
        """The setting the phase begins with."""
        return self.settings[0][1] if self.settings else None

    @property
    def fuel_burn_kg(self) -> float:
        """Fuel burnt in the phase [kg]."""
        return self.start.fuel_kg - self.end.fuel_kg

    @property
    def duration_s(self) -> float:
        """How long it lasts [s]."""
        return (self.end.instant - self.start.instant).total_seconds()

    @property
    def distance_m(self) -> float:
        """How far along the route it goes [m]."""
        return self.end.distance_m - self.start.distance_m


@dataclass(frozen=True)
class Event:
    """One line of the timeline. ``text`` quotes entries as ``{key}``."""

    time_key: str
    kind: EventKind
    phase: str
    positions: tuple[str, ...]
    text: str
    where: str = ""
    steps: tuple[str, ...] = ()  # lever order, or the items of a checklist

    def of(self, *kinds: EventKind) -> bool:
        """Return whether it is of one of some kinds."""
        return self.kind in kinds


@dataclass(frozen=True)
class Finding:
    """A requirement held against the plan."""

    ident: str
    outcome: str  # pass | caution | fail
    title: str
    text: str  # quotes entries as {key}
    measured_key: str
    limit_key: str
    margin_key: str
    source: str
    cure: str  # what would make it pass; empty when it does
    page: FindingPage  # the page it concerns
    subject: str = ""  # the fact it judges; a rule that judges the same fact at least as strictly tells it instead
    adds: str = ""  # what a rule that tells the fact instead says besides
    accepted_by: tuple[str, ...] = ()  # roles that may accept it: any where none is named
    accepted: str = ""  # who accepted it, why and until when, by an approval that holds


@dataclass(frozen=True)
class ChartPoint:
    """A named point of interest on a chart, tied to an entry for its label."""

    label: str
    x: float
    y: float
    key: str = ""


@dataclass(frozen=True)
class Series:
    """A curve for a chart, in SI, with the units its axes are labelled in."""

    name: str
    label: str
    x_unit: str
    y_unit: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class ChartData:
    """What a chart needs beyond the flight's nodes: curves, closed shapes and named points."""

    name: str
    title: str
    x_label: str
    x_unit: str
    y_label: str
    y_unit: str
    curves: tuple[Series, ...] = ()
    areas: tuple[Series, ...] = ()
    points: tuple[ChartPoint, ...] = ()


@dataclass(frozen=True)
class Plan:
    """Everything downstream looks things up in here and computes nothing."""

    mission: Mission
    ledger: Ledger
    tables: Mapping[str, Table]
    phases: tuple[Phase, ...]
    events: tuple[Event, ...]
    findings: tuple[Finding, ...]
    charts: Mapping[ChartName, ChartData]
    approval: Approval | None = None  # None where nobody approved it
    tried: WhatIf | None = None  # the variations the mission names, where they were asked for
    same_as: Mapping[str, tuple[int, str]] = field(
        default_factory=dict
    )  # a figure of a sector, by its number from 0 and its key
    sectors: tuple[Plan, ...] = ()  # of a mission of several, in order; this plan is then of the journey
