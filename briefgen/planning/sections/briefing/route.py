"""The route as it is flown from place to place: one line for each place, each figure its owner's."""

from __future__ import annotations

from collections.abc import Mapping

from briefgen.model.mission import Mission
from briefgen.model.record import Record, Ref, figure
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.flight.route import item_keys
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.inputs import Written
from briefgen.planning.sections.basis.navigation import LEFT_VOLUME, Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.briefing.names import AT_PLACES, pass_numbers, place_name
from briefgen.planning.sections.way_home.places import OnTheWay


class RouteLine(Record):
    """One place of the route: how it is reached, and the phase that ends there."""

    def __init__(self, words: str, ended: PhaseFigures, level: PhaseFigures) -> None:
        self.at, self._words, self.ended, self.level = f"briefing.route.{ended.phase.ident}", words, ended, level

    @figure("To", how="place at which the phase ends")
    def to(self) -> str:
        return self._words


TO = column(RouteLine.to, "To")
STEER = column(PhaseFigures.heading_compass, "Steer", "compass", through="level")
TRACK = column(PhaseFigures.course_magnetic, "Track", through="level")
FLY = column(PhaseFigures.altitude, "Fly", through="level")
SPEED = column(PhaseFigures.ias, "Speed", through="level")
OVER = column(PhaseFigures.end, "At", through="ended")
FUEL = column(LEFT_VOLUME, "Fuel", through="ended")
SAFE = ColumnOf("safe_height", "Not below", "ft")
LEAST = ColumnOf("least", "Least", "US gal")
ROUTE = TableOf("briefing.route", "Route", (TO, STEER, TRACK, FLY, SAFE, SPEED, OVER, FUEL, LEAST))


def write_route(mission: Mission, log: Navigation, written: Written, writer: LedgerWriter) -> list[RouteLine]:
    """Enter the route line by line."""
    passes, heads = pass_numbers(log.phases), item_keys(mission.route.items)
    lines: list[RouteLine] = []
    rows = []
    for flown in log.phases:
        phase = flown.phase
        if phase.kind not in AT_PLACES or not phase.place:
            continue
        line = RouteLine(_words(mission, flown, passes), flown, _level(log, flown))
        writer.adopt(line)
        lines.append(line)
        mark = "circuit" if phase.kind == "descent" and phase.item is None else phase.kind
        rows.append(ROUTE.row(phase.ident, line, mark, _others(flown, heads, written, writer)))
    if rows:
        writer.tabulate(ROUTE.filled(rows))
    return lines


def _words(mission: Mission, flown: PhaseFigures, passes: Mapping[str, int]) -> str:
    phase, place = flown.phase, place_name(mission, flown.phase.place)
    if phase.kind == "run":
        return f"Pass {passes[phase.ident]}"
    if phase.kind == "hold":
        return "Leave the hold"
    if phase.kind == "approach":
        return f"Landed, {place}"
    return f"{place}, circuit" if phase.kind == "descent" and phase.item is None else place


def _level(log: Navigation, flown: PhaseFigures) -> PhaseFigures:
    """Return the level flight that leads to a place: what is steered and flown for most of the way."""
    item = flown.phase.item
    if item is None or flown.phase.kind == "run":
        return flown
    level = [one for one in log.phases if one.phase.item == item and one.phase.kind == "cruise"]
    return level[-1] if level else flown


def _others(flown: PhaseFigures, heads: tuple[str, ...], written: Written, writer: LedgerWriter) -> dict[ColumnOf, Ref]:
    found: dict[ColumnOf, Ref] = {}
    item = flown.phase.item
    safe = written.safe_height(heads[item]) if item is not None else None
    if safe is not None:
        found[SAFE] = safe
    least = least_at(flown, writer)
    if least is not None:
        found[LEAST] = least
    return found


class _Entered(Record):
    """The record under whose name a figure stands in the ledger, for one that another section keeps."""

    def __init__(self, at: str) -> None:
        self.at = at


def least_at(flown: PhaseFigures, writer: LedgerWriter) -> Ref | None:
    """Return the least fuel with which to go on from the place where a phase ends, None where it is not asked."""
    found = Ref(_Entered(f"way_home.at.{flown.phase.ident}"), OnTheWay.least)
    return found if found.key in writer else None
