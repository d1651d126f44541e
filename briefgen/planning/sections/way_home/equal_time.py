"""Equal-time points and the critical point, entered: where it takes as long to go back as to go on."""

from __future__ import annotations

from datetime import datetime

from briefgen.errors import BriefgenError
from briefgen.model.mission import Mission
from briefgen.model.plan import Event, Finding
from briefgen.model.record import Record, figure, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.flight.direct import Way
from briefgen.planning.flight.home.equal_time import EqualTime, OnEngines, equal_times
from briefgen.planning.flight.home.spots import Spot
from briefgen.planning.flight.steps import Crew
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import FLOWN_BY, PLACES, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.way_home.places import HeldBack
from briefgen.planning.sections.way_home.spots import FUEL_THERE, SpotFigures

HOW = "where the time back equals the time on, solved along the flight with the winds of each part of the route"
HOW_CRITICAL = (
    "the longest time over the flight to the nearest field of the plan, with the winds on the way; the weather at the field is "
    "not judged here"
)
NO_DRIFT_DOWN = "level to overhead; what a drift-down from above that altitude would save is not credited"
DECIDERS = ("captain", "navigator")


class TimeFigures(SpotFigures):
    """A point at which the time to a field is told: an equal-time point, or the critical point."""

    said: str
    kept: HeldBack

    def __init__(
        self, number: int, label: str, how: str, spot: Spot, way: Way, log: Navigation, between: str, engines: str
    ) -> None:
        super().__init__(f"equal_time.{number:02d}", label, how, spot, log)
        self._way, self._between, self._engines = way, between, engines

    def _solved(self) -> None:
        super()._solved()
        rests_on(self.kept.ways)

    def _flown(self) -> Way:
        rests_on(self.time, self.during.mass, self.kept.ways)
        return self._way

    @figure("%(label)s: time", "h:min", how=NO_DRIFT_DOWN)
    def each_way(self) -> float:
        return self._flown().time_s

    @figure(
        "%(label)s: pressure altitude held",
        "ft",
        how="as planned or the safe altitude of the way, the climb counted, or the greatest that these engines hold",
    )
    def height(self) -> float:
        return self._flown().pressure_altitude_m

    @figure("Between", how="departure, destination and the fields listed")
    def between(self) -> str:
        rests_on(self.time)
        return self._between

    @figure("Engines", how="engine configuration of the aircraft file")
    def engines(self) -> str:
        rests_on(self.time)
        return self._engines

    def event(self) -> Event:
        """Return the point as a decision of the timeline."""
        phase, text = self.spot.phase, self.said % TimeFigures.each_way.of(self)
        return Event(TimeFigures.time.of(self).key, "decision", phase.ident, DECIDERS, text, phase.place)


EQUAL_TIMES = TableOf(
    "way_home.equal_time",
    "Equal-time points",
    (
        column(TimeFigures.between, "Between"),
        column(TimeFigures.engines, "Engines"),
        column(SpotFigures.time, "Over at"),
        column(SpotFigures.distance, "Distance run"),
        column(SpotFigures.latitude, "Latitude"),
        column(SpotFigures.longitude, "Longitude"),
        column(TimeFigures.each_way, "Time either way"),
        column(TimeFigures.height, "Altitude held"),
        column(FUEL_THERE, "Fuel there"),
    ),
    NO_DRIFT_DOWN.capitalize() + ".",
)


class NotKnown(Record):
    """From where along the flight a way could not be worked out, and why."""

    def __init__(self, found: OnEngines, log: Navigation) -> None:
        self.at = f"equal_time.not_known.{'all' if found.every else 'fewer'}"
        self.engines = "all" if found.every else found.name
        self._refused, self._log = found.refused, log

    @property
    def error(self) -> BriefgenError:
        """The first refusal."""
        return self._refused[0][1]

    @figure("Equal time (engines: %(engines)s)", how=HOW)
    def why(self) -> str:
        spot = self._log.of_phase(self._refused[0][0].phase)
        rests_on(spot.mass, spot.end)
        rest_on_groups(*FLOWN_BY, PLACES)
        return self.error.problem

    @figure(
        "Equal time (engines: %(engines)s) not known from", "UTC", name="from",
        how="first point of the flight from which a way cannot be flown",
    )  # fmt: skip
    def first(self) -> datetime:
        rests_on(self.why)
        return self._refused[0][0].node.instant

    @figure(
        "Equal time (engines: %(engines)s) not known until", "UTC", name="until",
        how="last point of the flight from which a way cannot be flown",
    )  # fmt: skip
    def last(self) -> datetime:
        rests_on(self.why)
        return self._refused[-1][0].node.instant

    def finding(self) -> Finding:
        """Return what is not known as a caution."""
        count = len({id(spot) for spot, _ in self._refused})
        why, first, last = NotKnown.why.of(self), NotKnown.first.of(self), NotKnown.last.of(self)
        text = (
            f"Not worked out at {count} point{'' if count == 1 else 's'} of the flight, from {first} to {last}: "
            f"{self.error.problem}."
        )
        return Finding(
            self.at, "caution", f"Equal time (engines: {self.engines})", text, why.key, first.key, last.key,
            "house policy: always a way home", self.error.hint or "start lighter, or fly lower", "diversions",
        )  # fmt: skip


def write_equal_time(
    mission: Mission, crew: Crew, spots: tuple[Spot, ...], kept: HeldBack, log: Navigation, writer: LedgerWriter
) -> tuple[list[Event], list[Finding]]:
    """Enter every equal-time point, and the critical point on fewer engines where there is none."""
    points: list[TimeFigures] = []
    missing: list[NotKnown] = []
    for found in equal_times(mission, crew, spots):
        points += [_equal_time(len(points) + number, found, one, log) for number, one in enumerate(found.points, 1)]
        if found.critical is not None:
            points.append(_critical(len(points) + 1, found, log))
        if found.refused:
            missing.append(NotKnown(found, log))
    for point in points:
        point.kept = kept
    for record in (*points, *missing):
        writer.adopt(record)
    if points:
        writer.tabulate(EQUAL_TIMES.filled([EQUAL_TIMES.row(point.label, point) for point in points]))
    return [point.event() for point in points], [one.finding() for one in missing]


def _equal_time(number: int, found: OnEngines, one: EqualTime, log: Navigation) -> TimeFigures:
    behind, ahead = one.choice.behind.name, one.choice.ahead.name
    between = f"{behind} and {ahead}"
    label = f"Equal time, {between} (engines: {found.name})"
    made = TimeFigures(number, label, HOW, one.spot, one.way, log, between, found.name)
    made.said = f"Equal time between {between} (engines: {found.name}): %s either way"
    return made


def _critical(number: int, found: OnEngines, log: Navigation) -> TimeFigures:
    assert found.critical is not None
    point, label = found.critical, f"Critical point (engines: {found.name})"
    near = f"nearest: {point.place.name}"
    made = TimeFigures(number, label, HOW_CRITICAL, point.spot, point.way, log, near, found.name)
    made.said = f"{label}: %s to {point.place.name}"
    return made
