"""A log laid along the way that was flown: when each stretch ended, what was in the tanks then, and what was read in it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.model.flight_log import FlightLog, Logged, LoggedFuel
from briefgen.model.plan import Phase
from briefgen.planning.after.ways import AWAY, IN, LANDING, OUT, TAKE_OFF, Way
from briefgen.planning.flight.schedule import Flown


@dataclass(frozen=True)
class Measured:
    """What a log says of one stretch: its ends, and the lines written on the way to its end."""

    name: str
    start: datetime | None
    end: datetime | None
    fuel: LoggedFuel | None  # at its end
    lines: tuple[Logged, ...]

    @property
    def lasts_s(self) -> float | None:
        """How long it lasted [s], None where an end has no time."""
        if self.start is None or self.end is None:
            return None
        return (self.end - self.start).total_seconds()


def way_flown(flown: Flown, log: FlightLog) -> Way:
    """Return the way a log tells of.

    Raises:
        PlanError: She landed elsewhere, and the log does not say from which point of the route she turned away.
    """
    last = len(flown.mission.route.items) - 1
    if not log.landed_at or log.landed_at == flown.mission.route.destination.ident:
        return Way(flown, last)
    ends = ends_of_items(flown.phases)
    reached = [ends[line.blank.phase] for line in log.lines if line.instant and line.blank and line.blank.phase in ends]
    if not reached:
        raise PlanError(
            f"she landed at {log.landed_at}, and no point of the route has a time", where=log.file,
            expected="the time over the last point of the route before she turned away",
        )  # fmt: skip
    fields = (*flown.mission.alternates, *flown.mission.en_route)
    alternate = next(one for one in fields if one.place.ident == log.landed_at)
    return Way(flown, max(reached), alternate)


def ends_of_items(phases: tuple[Phase, ...]) -> dict[str, int]:
    """Return the route item that each phase ends, for the phases that end one."""
    last = {phase.item: phase.ident for phase in phases if phase.item is not None}
    return {ident: item for item, ident in last.items()}


def measured_of(way: Way, log: FlightLog) -> tuple[Measured, ...]:
    """Return what a log says of every stretch of the way."""
    ends, lines = _ends(way, log), _lines(way, log)
    found, before = [], log.events.get("off blocks")
    for name in way.names:
        end = ends.get(name)
        found.append(
            Measured(name, before.instant if before else None, end.instant if end else None, end.fuel if end else None,
                     tuple(lines.get(name, ())))
        )  # fmt: skip
        before = end
    return tuple(found)


def _ends(way: Way, log: FlightLog) -> dict[str, Logged]:
    """Return the moment at which each stretch ended, where the log has it."""
    by_phase = {line.blank.phase: line for line in log.lines if line.blank and line.blank.ends_phase}
    take_off = next(phase.ident for phase in way.flown.phases if phase.kind == "take-off")
    wanted = {str(item): ident for ident, item in ends_of_items(way.flown.phases).items()} | {TAKE_OFF: take_off}
    found = {name: by_phase[ident] for name, ident in wanted.items() if ident in by_phase}
    down = AWAY if way.alternate else LANDING
    for name, event in ((OUT, "off ground"), (down, "on ground"), (IN, "on blocks")):
        if event in log.events:
            found[name] = log.events[event]
    return found


def _lines(way: Way, log: FlightLog) -> Mapping[str, list[Logged]]:
    """Return the lines written on the way to the end of each stretch; one between lines belongs to the next line's stretch."""
    phases = {phase.ident: phase for phase in way.flown.phases}
    found: dict[str, list[Logged]] = {}
    waiting: list[Logged] = []
    for line in log.lines:
        waiting.append(line)
        if line.blank is not None:
            found.setdefault(_stretch_of(phases[line.blank.phase]), []).extend(waiting)
            waiting = []
    found.setdefault(AWAY if way.alternate else LANDING, []).extend(waiting)
    return found


def _stretch_of(phase: Phase) -> str:
    if phase.item is not None:
        return str(phase.item)
    return {"take-off": TAKE_OFF, "approach": LANDING, "descent": LANDING}.get(phase.kind, OUT)
