"""The fuel log: what the tanks should hold at each place and every half hour, and the least to go on with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from briefgen.frozen import dataclass
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.model.record import Record, Ref, figure, rests_on
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.flight.fuel_policy import ON_THE_GROUND
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.navigation import LEFT_VOLUME, Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.briefing.names import place_name
from briefgen.planning.sections.briefing.route import least_at

HALF_HOUR = timedelta(minutes=30)
NEAR = timedelta(minutes=10)  # an entry so close to another is not made twice
BETWEEN = "fuel remaining at this minute, read between the points of the flight"


class LogPoint(Record):
    """A place or a change of the flight at which the tanks are read."""

    def __init__(self, flown: PhaseFigures, words: str) -> None:
        self.at, self.ended, self._words = f"briefing.fuel_log.{flown.phase.ident}", flown, words

    @property
    def instant(self) -> datetime:
        """When it is."""
        return self.ended.phase.end.instant

    @figure("Where", how="end of the phase")
    def where(self) -> str:
        return self._words


class LogHour(Record):
    """A half hour of the clock at which the tanks are read."""

    def __init__(self, flown: PhaseFigures, instant: datetime) -> None:
        self.at, self._flown, self.instant = f"briefing.fuel_log.{instant:%d%H%M}", flown, instant

    def fuel_density(self) -> float:
        return self._flown.fuel_density()

    @figure("Tanks are read", "UTC", how="every half hour of the clock in the air")
    def time(self) -> datetime:
        rests_on(self._flown.begin, self._flown.end)
        return self.instant

    @figure("Fuel remaining, as planned", "lb", how=BETWEEN, volume=True)
    def fuel(self) -> float:
        rests_on(self._flown.begin, self._flown.end, self._flown.fuel_remaining)
        for before, after in pairwise(self._flown.phase.nodes):
            if before.instant <= self.instant <= after.instant:
                span_s = (after.instant - before.instant).total_seconds()
                share = (self.instant - before.instant).total_seconds() / span_s if span_s else 0.0
                return before.fuel_kg + share * (after.fuel_kg - before.fuel_kg)
        return self._flown.phase.end.fuel_kg


TIME, PLAN, LEAST = (
    ColumnOf("time", "UTC", "UTC"),
    ColumnOf("plan", "Plan", "US gal"),
    ColumnOf("least", "Least", "US gal"),
)
WHERE = column(LogPoint.where, "Where")
FUEL_LOG = TableOf("briefing.fuel_log", "Fuel log", (TIME, WHERE, PLAN, LEAST))


@dataclass(frozen=True)
class LogMoment:
    """A moment at which the tanks are read: the end of a phase, in words, or a half hour of the clock within one."""

    phase: Phase
    instant: datetime
    words: str = ""


def log_moments(mission: Mission, phases: Sequence[Phase]) -> list[LogMoment]:
    """Return the lines of the log in order, from take-off to landing; the card and the log of the flight number them alike."""
    air = [phase for phase in phases if phase.kind not in ON_THE_GROUND]
    points = _points(mission, air)
    hours = [one for one in _hours(air) if all(abs(one.instant - point.instant) > NEAR for point in points)]
    return sorted((*points, *hours), key=lambda one: one.instant)


def write_fuel_log(mission: Mission, log: Navigation, writer: LedgerWriter) -> None:
    """Enter the fuel log from take-off to landing."""
    rows = []
    for moment in log_moments(mission, [flown.phase for flown in log.phases]):
        flown = log.of_phase(moment.phase)
        if moment.words:
            point = LogPoint(flown, moment.words)
            writer.adopt(point)
            rows.append(_point_row(point, writer))
        else:
            hour = LogHour(flown, moment.instant)
            writer.adopt(hour)
            cells: dict[ColumnOf, Ref] = {TIME: LogHour.time.of(hour), PLAN: LogHour.fuel.volume().of(hour)}
            rows.append(FUEL_LOG.row(hour.at, hour, others=cells))
    if rows:
        writer.tabulate(FUEL_LOG.filled(rows))


def numbered_rows(rows: Sequence[Row]) -> Iterator[tuple[int, Row]]:
    """Yield the lines of the log with their numbers: the card prints them, and the log of the flight names lines by them."""
    yield from enumerate(rows, 1)


def _points(mission: Mission, phases: Sequence[Phase]) -> list[LogMoment]:
    found, passes = [], dict[str, int]()
    for phase in phases:
        words = ""
        if phase.kind == "take-off":
            words = "first reduction"
        elif phase.kind == "approach":
            words = "landed"
        elif phase.kind == "run":
            passes[phase.place] = passes.get(phase.place, 0) + 1
            words = f"pass {passes[phase.place]} ends"
        elif phase.kind == "hold" and phase.place:
            words = "hold ends"
        elif phase.place and phase.kind != "climb" and not (phase.kind == "descent" and phase.item is None):
            words = place_name(mission, phase.place)
        if words:
            found.append(LogMoment(phase, phase.end.instant, words))
    return found


def _hours(phases: Sequence[Phase]) -> list[LogMoment]:
    found = []
    for phase in phases:
        start, end = phase.start.instant, phase.end.instant
        at = start.replace(minute=0, second=0, microsecond=0)
        while at < end:
            if start <= at and phase.kind != "take-off":
                found.append(LogMoment(phase, at))
            at += HALF_HOUR
    return found


def _point_row(point: LogPoint, writer: LedgerWriter) -> Row:
    others: dict[ColumnOf, Ref] = {TIME: PhaseFigures.end.of(point.ended), PLAN: LEFT_VOLUME.of(point.ended)}
    least = least_at(point.ended, writer)
    if least is not None:
        others[LEAST] = least
    return FUEL_LOG.row(point.at, point, point.ended.phase.kind, others)
