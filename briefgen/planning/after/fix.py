"""The last fix of a flight: place and time as written, fuel by the last reading less what was burnt since, weight from it."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime

from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.kernel.geodesy import geodesic_distance
from briefgen.model.flight_log import GROUND_EVENTS, FlightLog, Logged
from briefgen.model.mission import Action, Hold, Leg, Mission, RouteItem
from briefgen.model.plan import Node, Phase
from briefgen.planning.after.measured import ends_of_items
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.sortie import leaving_masses
from briefgen.planning.flight.written_levels import level_of

WAITS = ("hold", "run")


@dataclass(frozen=True)
class Fix:
    """The state from which the rest is planned anew.

    Attributes:
        line: The line of the log that gives place and time; ``reading`` the one the fuel was read on.
        flow_kg_per_s: At which fuel was burnt since that reading, and ``flow_read`` whether it was read or is that of the plan.
        item: The route item served next; ``begun`` phases of it are behind her.
    """

    line: Logged
    reading: Logged
    instant: datetime
    flow_kg_per_s: float
    flow_read: bool
    item: int
    begun: int
    node: Node
    words: str

    @property
    def ident(self) -> str:
        """What the way from it is named by: the place, where it stands over one."""
        return (self.line.blank.place if self.line.blank else "") or "FIX"


def fix_of(flown: Flown, log: FlightLog, *, turning: bool = False) -> Fix:
    """Return the last fix of a log; where she turns to another field, one beyond the route will do.

    Raises:
        PlanError: No line has both a place and a time, or no fuel was read up to it, or she is not in the air there.
    """
    phases = {phase.ident: phase for phase in flown.phases}
    fixes = [one for one in log.lines if one.instant is not None and (one.position or (one.blank and one.blank.place))]
    if not fixes:
        raise PlanError(
            "the log has no fix: no line has both a place and a time", where=log.file,
            expected="the time over a place, or a time with a position",
        )  # fmt: skip
    line = fixes[-1]
    assert line.instant is not None
    phase = phases[line.blank.phase] if line.blank else _phase_at(flown, log, line, turning)
    item, begun = _next(flown, line, phase, turning)
    reading, flow, was_read = _fuel_read(flown, log, line, phase)
    assert reading.fuel is not None
    assert reading.instant is not None
    since_s = (line.instant - reading.instant).total_seconds()
    fuel_kg = reading.fuel.total_kg - flow * since_s
    node = _state(flown, log, line, phase, item, fuel_kg)
    return Fix(line, reading, line.instant, flow, was_read, item, begun, node, _words(flown.mission, line))


def up_to(log: FlightLog, at: str) -> FlightLog:
    """Return a log as it stood when a line of it was written: by the number of the line, or by its place.

    Raises:
        PlanError: The log has no such line.
    """
    for index, line in enumerate(log.lines):
        if line.blank is not None and at in (str(line.blank.number), line.blank.place):
            events = {name: event for name, event in log.events.items() if name in GROUND_EVENTS[:2]}
            return replace(log, lines=log.lines[: index + 1], events=events, landed_at="")
    numbers = ", ".join(str(line.blank.number) for line in log.lines if line.blank)
    raise PlanError(f"the log has no line {at}", where=log.file, expected=f"the number of one of its lines: {numbers}")


def _words(mission: Mission, line: Logged) -> str:
    if line.blank and line.blank.where:
        return line.blank.where
    return "the position logged"


def _phase_at(flown: Flown, log: FlightLog, line: Logged, turning: bool) -> Phase:
    """Return the phase that the next line of the card after a moment between lines belongs to, else that of the line before."""
    at = log.lines.index(line)
    numbered = [one for one in (*log.lines[at:], *reversed(log.lines[:at])) if one.blank is not None]
    if not numbered or numbered[0].blank is None:
        raise PlanError(
            "the fix stands on no line of the card, and neither does any other line", where=log.file,
            expected="the number of the line before it, so that the leg she is on is known",
        )  # fmt: skip
    phase = next(one for one in flown.phases if one.ident == numbered[0].blank.phase)
    if log.lines.index(numbered[0]) > at:
        return phase
    item, _ = _next(flown, numbered[0], phase, turning)
    ahead = [one for one in flown.phases if one.item == item]
    if not ahead and turning:
        return phase
    if not ahead:
        raise PlanError(
            f"she is past the route after {numbered[0].name}: there is no rest of it to plan", where=log.file,
            expected="a fix on the route, or the field she turns to", hint="--to IDENT flies the rest to an alternate",
        )  # fmt: skip
    return ahead[0]


def _next(flown: Flown, line: Logged, phase: Phase, turning: bool) -> tuple[int, int]:
    """Return the route item served next, and how many waits of it are behind her."""
    if phase.item is None:
        if phase.kind == "take-off":
            return 0, 0
        if turning and not (line.blank and line.blank.ends_phase):
            return len(flown.mission.route.items), 0
        raise PlanError(
            f"she is past the route at {line.name}: there is no rest to plan", expected="a fix before the approach"
        )
    if not (line.blank and line.blank.ends_phase):
        return phase.item, 0
    if phase.ident in ends_of_items(flown.phases):
        return phase.item + 1, 0
    waits = [one.ident for one in flown.phases if one.item == phase.item and one.kind in WAITS]
    return phase.item, waits.index(phase.ident) + 1 if phase.ident in waits else 0


def _fuel_read(flown: Flown, log: FlightLog, line: Logged, phase: Phase) -> tuple[Logged, float, bool]:
    """Return the last reading of the tanks up to a fix, and the flow since: that read last, else that of the plan."""
    before = [
        one for one in log.in_order() if one.fuel and one.instant and line.instant and one.instant <= line.instant
    ]
    if not before:
        raise PlanError(
            "no fuel was read up to the fix", where=log.file, expected="a reading of the tanks at the fix or before it"
        )
    flows = [one.fuel_flow_kg_per_s for one in log.lines[: log.lines.index(line) + 1] if one.fuel_flow_kg_per_s]
    if flows:
        return before[-1], flows[-1], True
    span_s = phase.duration_s or 1.0
    return before[-1], phase.fuel_burn_kg / span_s, False


def _state(flown: Flown, log: FlightLog, line: Logged, phase: Phase, item: int, fuel_kg: float) -> Node:
    mission = flown.mission
    here = phase.end
    if line.position is not None:
        leg = mission.route.items[min(item, len(mission.route.items) - 1)]
        place = leg.to if isinstance(leg, Leg) else leg.at
        left_m = geodesic_distance(*line.position, place.lat_deg, place.lon_deg)
        ends = [one for one in flown.phases if one.item == item]
        run_m = max(0.0, (ends[-1].end.distance_m if ends else here.distance_m) - left_m)
        here = replace(here, lat_deg=line.position[0], lon_deg=line.position[1], distance_m=run_m)
    assert line.instant is not None
    here = replace(here, instant=line.instant, fuel_kg=fuel_kg, mass_kg=_dry_kg(flown, log, line) + fuel_kg)
    if line.height is not None:
        target = mission.route.items[min(item, len(mission.route.items) - 1)]
        level = level_of(flown.crew, line.height, target.to if isinstance(target, Leg) else target.at, line.instant)
        height_m = level.of(flown.crew.sky, here)
        here = replace(here, pressure_altitude_m=height_m, altitude_m=level.value_m)
    return here


def _dry_kg(flown: Flown, log: FlightLog, line: Logged) -> float:
    """Return the weight without fuel at a fix: as loaded, less what had left by then."""
    loaded = flown.departure.zero_fuel_mass_kg if log.zero_fuel_mass_kg is None else log.zero_fuel_mass_kg
    left = {drop.leaves: drop.mass_kg for drop in log.drops}
    planned = leaving_masses(flown.mission)
    number = line.blank.number if line.blank else max((one.blank.number for one in log.lines if one.blank), default=0)
    done = {one.blank.phase for one in log.lines if one.blank and one.blank.ends_phase and one.blank.number <= number}
    order = [phase.ident for phase in flown.phases]
    last = max((order.index(ident) for ident in done), default=-1)
    labels = [phase.released for phase in flown.phases[: last + 1] if phase.released]
    return loaded - math.fsum(left.get(label, planned.get(label, 0.0)) for label in labels)


def items_ahead(mission: Mission, fix: Fix, flown: Flown) -> Mission:
    """Return the mission with the item she is in cut to what is left of it."""
    if fix.begun == 0 or fix.item >= len(mission.route.items):
        return mission
    items: list[RouteItem] = list(mission.route.items)
    item = items[fix.item]
    if isinstance(item, Action):
        items[fix.item] = replace(item, runs=item.runs[fix.begun :])
    elif isinstance(item, Hold):
        items[fix.item] = replace(item, duration_s=0.0)
    return replace(mission, route=replace(mission.route, items=tuple(items)))
