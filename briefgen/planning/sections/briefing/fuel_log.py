"""The fuel log: what the tanks should hold at each place and every half hour, and the least to go on with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Record, Ref, figure, rests_on
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.navigation import LEFT_VOLUME, Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.briefing.names import pass_numbers, phase_words, place_name
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


def write_fuel_log(mission: Mission, log: Navigation, writer: LedgerWriter) -> None:
    """Enter the fuel log from take-off to landing."""
    points = _points(mission, log)
    taken = [one.instant for one in points]
    hours = [one for one in _hours(log.phases_in_air) if all(abs(one.instant - at) > NEAR for at in taken)]
    for one in (*points, *hours):
        writer.adopt(one)
    rows = [(one.instant, _point_row(one, writer)) for one in points]
    rows += [(one.instant, FUEL_LOG.row(one.at, one, others={TIME: LogHour.time.of(one), PLAN: LogHour.fuel.volume().of(one)})) for one in hours]  # fmt: skip
    if rows:
        writer.tabulate(FUEL_LOG.filled([row for _, row in sorted(rows, key=lambda pair: pair[0])]))


def numbered_rows(rows: Sequence[Row]) -> Iterator[tuple[int, Row]]:
    """Yield the lines of the log with their numbers: the card prints them, and the log of the flight names lines by them."""
    yield from enumerate(rows, 1)


def _points(mission: Mission, log: Navigation) -> list[LogPoint]:
    passes, found = pass_numbers(log.phases), []
    for flown in log.phases_in_air:
        phase = flown.phase
        if phase.kind == "take-off":
            found.append(LogPoint(flown, "first reduction"))
        elif phase.kind == "approach":
            found.append(LogPoint(flown, "landed"))
        elif phase.place and phase.kind != "climb" and not (phase.kind == "descent" and phase.item is None):
            words = phase_words(flown, passes.get(phase.ident, 0))
            found.append(LogPoint(flown, f"{words} ends" if phase.of("run", "hold") else place_name(mission, phase.place)))  # fmt: skip
    return found


def _hours(phases: Sequence[PhaseFigures]) -> list[LogHour]:
    found = []
    for flown in phases:
        start, end = flown.phase.start.instant, flown.phase.end.instant
        at = start.replace(minute=0, second=0, microsecond=0)
        while at < end:
            if start <= at and flown.phase.kind != "take-off":
                found.append(LogHour(flown, at))
            at += HALF_HOUR
    return found


def _point_row(point: LogPoint, writer: LedgerWriter) -> Row:
    others: dict[ColumnOf, Ref] = {TIME: PhaseFigures.end.of(point.ended), PLAN: LEFT_VOLUME.of(point.ended)}
    least = least_at(point.ended, writer)
    if least is not None:
        others[LEAST] = least
    return FUEL_LOG.row(point.at, point, point.ended.phase.kind, others)
