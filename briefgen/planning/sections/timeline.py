"""The timeline: phases, power changes, actions by height, calls, checklists and light, merged in order of time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import pairwise

from briefgen.frozen import replace
from briefgen.kernel.sun import LightCondition, light_condition
from briefgen.model.mission import Action, Mission
from briefgen.model.performance import LeverMove
from briefgen.model.plan import POSITIONS, Event, EventKind, Node, Phase, PhaseKind
from briefgen.model.procedures import AltitudeAction
from briefgen.model.record import Record, figure, rests_on
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.clock import BeforeStart
from briefgen.planning.sections.basis.groups import ACTIONS, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.power import PowerLine, PowerTable
from briefgen.planning.sections.power_advice import LeanSpeed, MixtureChange
from briefgen.planning.sections.power_rows import PowerRow

CHECKLIST_KINDS: dict[str, PhaseKind] = {
    "landing": "approach",
    "drop": "run",
    "after landing": "taxi-in",
}  # a checklist's phase to the phase it is read before
LEVER_FIGURES = {"manifold pressure": PowerRow.manifold_pressure, "engine speed": PowerRow.rpm}
# At one instant: what is decided and read before a phase, its title, the setting that belongs to it, then the rest.
ORDER: dict[EventKind, int] = {
    "schedule": 0,
    "decision": 1,
    "checklist": 2,
    "phase": 3,
    "power": 4,
    "action": 5,
    "light": 6,
    "fuel": 7,
    "call": 8,
}


def in_order(events: Iterable[Event], mission: Mission, writer: LedgerWriter) -> tuple[Event, ...]:
    """Return the events by time, each for the positions aboard; at one instant the phase comes first, then what it needs.

    What belongs to a position nobody fills falls to the captain.
    """
    crew = tuple(member.position for member in mission.crew)
    manned = [replace(event, positions=tuple(p for p in event.positions if p in crew) or crew[:1]) for event in events]
    return tuple(sorted(manned, key=lambda event: (writer.instant(event.time_key), ORDER.get(event.kind, 9))))


def write_events(mission: Mission, log: Navigation, power: PowerTable, writer: LedgerWriter) -> list[Event]:
    """Enter the instants the timeline needs of its own and return its events, in no order."""
    return [
        *schedule_events(),
        *level_off_events(log.phases, writer),  # of the climb that ends: before the title of what begins there
        *phase_events(log.phases),
        *power_events(power.lines),
        *gear_and_flap_events(mission, log.phases, power.lines),
        *action_events(mission, log.phases, writer),
        *checklist_events(mission, log.phases),
        *call_events(mission, log.phases),
        *light_events(log.phases, writer),
    ]


def schedule_events() -> list[Event]:
    """Return briefing and stations."""
    everybody = tuple(POSITIONS)
    return [
        Event(BeforeStart.briefing.key, "schedule", "", everybody, "Briefing"),
        Event(BeforeStart.stations.key, "schedule", "", everybody, "Stations: crew at the aircraft"),
    ]


def phase_events(phases: Sequence[PhaseFigures]) -> list[Event]:
    """Return one event for the beginning of each phase."""
    return [
        Event(PhaseFigures.begin.of(one).key, "phase", one.phase.ident, tuple(POSITIONS), one.title, one.phase.place)
        for one in phases
    ]


class LevelOff(Record):
    """The moment at which a climb reaches its height."""

    def __init__(self, flown: PhaseFigures, reached: Node) -> None:
        self.at, self.title, self.flown, self._reached = flown.at, flown.title, flown, reached

    @figure(
        "%(title)s: altitude reached",
        "UTC",
        how="end of the climb proper; from here climb power builds up cruise speed",
    )
    def level_off(self) -> datetime:
        rests_on(self.flown.begin, self.flown.end)
        return self._reached.instant


def level_off_events(phases: Sequence[PhaseFigures], writer: LedgerWriter) -> list[Event]:
    """Return the moments at which a climb reaches its height and cruise speed is built up at climb power."""
    events = []
    for flown in phases:
        if flown.phase.level_off is None:
            continue
        record = LevelOff(flown, flown.phase.level_off)
        writer.adopt(record)
        text = f"Level off at {PhaseFigures.altitude.of(flown)}: climb power until cruise speed"
        who = ("captain", "co-pilot", "flight engineer")
        events.append(Event(LevelOff.level_off.of(record).key, "phase", flown.phase.ident, who, text))
    return events


def power_events(lines: Sequence[PowerLine]) -> list[Event]:
    """Return one event for each power setting that moves a lever, with the levers in their order."""
    events = []
    for line in lines:
        row, who = line.row, ("captain", "flight engineer")
        steps = tuple(_lever_text(row, move) for move in row.moves)
        if not steps:
            continue
        text = f"Set power: {row.title}"
        if row.mixture_change:
            weight = MixtureChange.mixture_change_mass.of(line.change)
            text = f"Mixture {row.setting.mixture_name} at {weight}: {row.flown.title}"
        if (advice := LeanSpeed.advice.of(line.lean)).there:
            text += f"; {advice}"
        phase = row.flown.phase
        events.append(Event(PowerRow.begins.of(row).key, "power", phase.ident, who, text, phase.place, steps))
    return events


def _lever_text(row: PowerRow, move: LeverMove) -> str:
    number = LEVER_FIGURES.get(move.lever)
    word = move.lever.capitalize()
    return f"{word} {number.of(row)}" if number else f"{word} {move.after}"


def gear_and_flap_events(mission: Mission, phases: Sequence[PhaseFigures], lines: Sequence[PowerLine]) -> list[Event]:
    """Return the moments at which gear or flaps move, by the phases of the aircraft file and the flaps of the passes."""
    said = {setting.phase: setting for setting in mission.aircraft.phases}
    moments = [
        (
            PowerRow.begins.of(line.row).key,
            line.row.flown.phase,
            said.get(line.row.setting.phase or "cruise"),
        )
        for line in lines
    ]
    moments += [
        (PhaseFigures.begin.of(one).key, one.phase, said["after landing"])
        for one in phases
        if one.phase.kind == "taxi-in"
    ]
    events: list[Event] = []
    before: dict[str, str] = {}
    for key, phase, setting in moments:
        if setting is None:
            continue
        item = None if phase.item is None else mission.route.items[phase.item]
        flaps = item.configuration if phase.kind == "run" and isinstance(item, Action) else setting.flaps
        after = {"Gear": setting.gear, "Flaps": flaps}
        moved = [_moved(what, how) for what, how in after.items() if before.get(what) not in (None, how)]
        if moved:
            words = ", ".join(moved)
            text = words[:1].upper() + words[1:]
            events.append(Event(key, "action", phase.ident, ("captain", "co-pilot"), text, phase.place))
        before = after
    return events


def _moved(what: str, how: str) -> str:
    """Return a move in words: a setting of the flaps that is named after them is said by its name alone."""
    return how if what == "Flaps" and "flap" in how.lower() else f"{what.lower()} {how}"


class HeightAction(Record):
    """An action of the aircraft file at the height at which it is due."""

    def __init__(self, number: int, action: AltitudeAction, flown: PhaseFigures, instant: datetime, file: str) -> None:
        self.at, self.action, self.flown = f"action.{number:02d}.{flown.phase.ident}", action, flown
        self.what, self.reference, self.file, self._instant = action.action, action.reference, file, instant

    @figure("%(what)s", "UTC", how="when the height is crossed, along the climb or descent", source="%(file)s")
    def time(self) -> datetime:
        rests_on(self.flown.begin, self.flown.end)
        rest_on_groups(ACTIONS)
        return self._instant

    @figure("%(what)s: height", "ft", how="aircraft file, %(reference)s", source="%(file)s")
    def height(self) -> float:
        rest_on_groups(ACTIONS)
        return self.action.height_m

    def event(self) -> Event:
        """Return its line of the timeline."""
        where = "above the field" if self.reference == "above field" else "pressure altitude"
        crossing = "Climbing" if self.flown.phase.kind == "climb" else "Descending"
        text = f"{crossing} through {HeightAction.height.of(self)} {where}: {self.what}"
        time, phase = HeightAction.time.of(self), self.flown.phase
        return Event(time.key, "action", phase.ident, (self.action.position,), text, phase.place)


def action_events(mission: Mission, phases: Sequence[PhaseFigures], writer: LedgerWriter) -> list[Event]:
    """Return the aircraft file's actions at the moments their heights are crossed."""
    events = []
    for number, action in enumerate(mission.aircraft.altitude_actions, start=1):
        kind = "climb" if action.direction == "climbing" else "descent"
        for flown in (one for one in phases if one.phase.kind == kind):
            instant = _crossing(flown.phase, _action_height(mission, flown.phase, action))
            if instant is not None and not _set_against_ice(action, flown.phase, instant):
                record = HeightAction(number, action, flown, instant, mission.aircraft.name)
                writer.adopt(record)
                events.append(record.event())
    return events


def _set_against_ice(action: AltitudeAction, phase: Phase, instant: datetime) -> bool:
    """Return whether ice has its say over the lever of an action: it stands as the power table sets it in that cloud."""
    then = [setting for node, setting in phase.settings if node.instant <= instant]
    return action.lever == "filters" and bool(then) and then[-1].air.icing


def _action_height(mission: Mission, phase: Phase, action: AltitudeAction) -> float:
    if action.reference == "pressure":
        return action.height_m
    first = phase.start
    field = mission.route.origin if first.distance_m == 0.0 else mission.route.destination
    offset = first.pressure_altitude_m - first.altitude_m
    return (field.elevation_m or 0.0) + action.height_m + offset


def _crossing(phase: Phase, height_m: float) -> datetime | None:
    for before, after in pairwise(phase.nodes):
        low, high = before.pressure_altitude_m, after.pressure_altitude_m
        if low != high and min(low, high) <= height_m < max(low, high):
            share = (height_m - low) / (high - low)
            return before.instant + share * (after.instant - before.instant)
    return None


def checklist_events(mission: Mission, phases: Sequence[PhaseFigures]) -> list[Event]:
    """Return each checklist of the aircraft file at the first phase it belongs to."""
    events = []
    for checklist in mission.aircraft.checklists:
        kind = CHECKLIST_KINDS.get(checklist.phase, checklist.phase)
        found = [one for one in phases if one.phase.kind == kind]
        if not found:
            continue
        flown = found[-1] if found[0].phase.of("approach", "shutdown") else found[0]
        positions = tuple(p for p in POSITIONS if any(item.position == p for item in checklist.items))
        begin, text = PhaseFigures.begin.of(flown).key, f"Checklist: {checklist.title}"
        events.append(Event(begin, "checklist", flown.phase.ident, positions, text, flown.phase.place))
    return events


def call_events(mission: Mission, phases: Sequence[PhaseFigures]) -> list[Event]:
    """Return the mission's own calls at the first phase that ends at their place or bears their name."""
    events = []
    for call in mission.calls:
        flown = next((one for one in phases if call.at in (one.phase.place, one.phase.kind)), None)
        if flown is not None:
            when = PhaseFigures.begin if call.at == flown.phase.kind else PhaseFigures.end
            events.append(Event(when.of(flown).key, "call", flown.phase.ident, (call.position,), call.text, call.at))
    return events


LIGHT_WORDS = {
    LightCondition.DAY: "Daylight",
    LightCondition.CIVIL_TWILIGHT: "Civil twilight",
    LightCondition.NIGHT: "Night",
}


class LightChange(Record):
    """The moment at which the light below her changes."""

    def __init__(self, number: int, flown: PhaseFigures, before: Node, after: Node) -> None:
        self.at, self.word = f"light.change.{number:02d}", LIGHT_WORDS[_light(after)]
        self._flown, self._before, self._after = flown, before, after

    @figure(
        "%(word)s begins", "UTC", how="sun's altitude at the aircraft's place on the ground below, found to the minute"
    )
    def time(self) -> datetime:
        rests_on(self._flown.begin, self._flown.end)
        return _bisected(self._before, self._after, _light(self._before))


def light_events(phases: Sequence[PhaseFigures], writer: LedgerWriter) -> list[Event]:
    """Return the moments at which the light changes along the flight, found to the minute."""
    events: list[Event] = []
    nodes = [(flown, node) for flown in phases for node in flown.phase.nodes]
    for (_, before), (flown, after) in pairwise(nodes):
        if _light(before) == _light(after) or before.instant >= after.instant:
            continue
        change = LightChange(len(events) + 1, flown, before, after)
        writer.adopt(change)
        events.append(
            Event(LightChange.time.of(change).key, "light", "", tuple(POSITIONS), f"{change.word} begins below")
        )
    return events


def _light(node: Node) -> LightCondition:
    return light_condition(node.instant, node.lat_deg, node.lon_deg)


def _bisected(before: Node, after: Node, old: str) -> datetime:
    low, high = 0.0, 1.0
    span = after.instant - before.instant
    while (high - low) * span.total_seconds() > 30.0:
        middle = 0.5 * (low + high)
        lat = before.lat_deg + middle * (after.lat_deg - before.lat_deg)
        lon = before.lon_deg + middle * (after.lon_deg - before.lon_deg)
        if light_condition(before.instant + middle * span, lat, lon) == old:
            low = middle
        else:
            high = middle
    return before.instant + high * span
