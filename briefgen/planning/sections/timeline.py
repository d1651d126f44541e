"""The timeline: phases, power changes, actions by height, calls, checklists and light, merged in order of time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

from briefgen.kernel.sun import light_condition
from briefgen.model.aircraft import AltitudeAction
from briefgen.model.mission import Mission
from briefgen.model.performance import LeverMove
from briefgen.model.plan import POSITIONS, Event, Node, Phase
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.power import PowerRow

CHECKLIST_KINDS = {"landing": "approach"}  # a checklist's phase to the phase it is read before
LEVER_UNITS = {"manifold pressure": "manifold_pressure", "engine speed": "rpm"}
ORDER = {
    "schedule": 0,
    "phase": 1,
    "light": 2,
    "decision": 3,
    "checklist": 4,
    "action": 5,
    "power": 6,
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


def write_events(
    mission: Mission, phases: tuple[Phase, ...], rows: tuple[PowerRow, ...], writer: LedgerWriter
) -> list[Event]:
    """Enter the instants the timeline needs of its own and return its events, in no order."""
    return [
        *schedule_events(),
        *phase_events(phases),
        *level_off_events(phases, writer),
        *power_events(rows),
        *action_events(mission, phases, writer),
        *checklist_events(mission, phases),
        *call_events(mission, phases),
        *light_events(phases, writer),
    ]


def schedule_events() -> list[Event]:
    """Return briefing and stations."""
    everybody = tuple(POSITIONS)
    return [
        Event("clock.briefing", "schedule", "", everybody, "Briefing"),
        Event("clock.stations", "schedule", "", everybody, "Stations: crew at the aircraft"),
    ]


def phase_events(phases: tuple[Phase, ...]) -> list[Event]:
    """Return one event for the beginning of each phase."""
    return [
        Event(f"{phase_key(phase.ident)}.begin", "phase", phase.ident, tuple(POSITIONS), phase.title, phase.place)
        for phase in phases
    ]  # fmt: skip


def level_off_events(phases: tuple[Phase, ...], writer: LedgerWriter) -> list[Event]:
    """Return the moments at which a climb reaches its height and cruise speed is built up at climb power."""
    events = []
    for phase in phases:
        if phase.level_off is None:
            continue
        key = phase_key(phase.ident)
        writer.put(
            f"{key}.level_off",
            f"{phase.title}: height reached",
            phase.level_off.instant,
            "UTC",
            method="end of the climb proper; from here climb power builds up cruise speed",
            inputs=(f"{key}.begin", f"{key}.end"),
        )
        text = f"Level off at {{{key}.altitude}}: climb power until cruise speed"
        events.append(Event(f"{key}.level_off", "phase", phase.ident, ("captain", "co-pilot", "flight engineer"), text))
    return events


def power_events(rows: tuple[PowerRow, ...]) -> list[Event]:
    """Return one event for each power setting that moves a lever, with the levers in their order."""
    events = []
    for row in rows:
        steps = tuple(_lever_text(row.key, move) for move in row.moves)
        if not steps:
            continue
        text = (
            f"Mixture {row.setting.mixture} at {{{row.key}.mixture_change_mass}}: {row.phase.title}"
            if row.mixture_change
            else f"Set power: {row.phase.title}"
        )
        if row.advice:
            text += f"; {{{row.key}.advice}}"
        events.append(
            Event(
                f"{row.key}.from",
                "power",
                row.phase.ident,
                ("captain", "flight engineer"),
                text,
                row.phase.place,
                steps,
            )
        )
    return events


def _lever_text(key: str, move: LeverMove) -> str:
    name = LEVER_UNITS.get(move.lever)
    word = move.lever.capitalize()
    return f"{word} {{{key}.{name}}}" if name else f"{word} {move.after}"


def action_events(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> list[Event]:
    """Return the aircraft file's actions at the moments their heights are crossed."""
    events = []
    for number, action in enumerate(mission.aircraft.altitude_actions, start=1):
        for phase in phases:
            kind = "climb" if action.direction == "climbing" else "descent"
            if phase.kind != kind:
                continue
            instant = _crossing(phase, _action_height(mission, phase, action))
            if instant is None:
                continue
            key = f"action.{number:02d}.{phase.ident}"
            writer.put(
                f"{key}.time", action.action, instant, "UTC",
                method="when the height is crossed, along the climb or descent",
                inputs=(f"{phase_key(phase.ident)}.begin", f"{phase_key(phase.ident)}.end"), source=mission.aircraft.name,
            )  # fmt: skip
            writer.put(
                f"{key}.height",
                f"{action.action}: height",
                action.height_m,
                "ft",
                method=f"aircraft file, {action.reference}",
                source=mission.aircraft.name,
            )
            where = "above the field" if action.reference == "above field" else "pressure altitude"
            crossing = "Climbing" if kind == "climb" else "Descending"
            events.append(
                Event(
                    f"{key}.time",
                    "action",
                    phase.ident,
                    (action.position,),
                    f"{crossing} through {{{key}.height}} {where}: {action.action}",
                    phase.place,
                )
            )
    return events


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


def checklist_events(mission: Mission, phases: tuple[Phase, ...]) -> list[Event]:
    """Return each checklist of the aircraft file at the first phase it belongs to."""
    events = []
    for checklist in mission.aircraft.checklists:
        kind = CHECKLIST_KINDS.get(checklist.phase, checklist.phase)
        found = [phase for phase in phases if phase.kind == kind]
        if not found:
            continue
        phase = found[-1] if kind in ("approach", "shutdown") else found[0]
        positions = tuple(p for p in POSITIONS if any(item.position == p for item in checklist.items))
        events.append(
            Event(
                f"{phase_key(phase.ident)}.begin",
                "checklist",
                phase.ident,
                positions,
                f"Checklist: {checklist.title}",
                phase.place,
            )
        )
    return events


def call_events(mission: Mission, phases: tuple[Phase, ...]) -> list[Event]:
    """Return the mission's own calls at the first phase that ends at their place or bears their name."""
    events = []
    for call in mission.calls:
        for phase in phases:
            if call.at in (phase.place, phase.kind):
                key = "begin" if call.at == phase.kind else "end"
                events.append(
                    Event(f"{phase_key(phase.ident)}.{key}", "call", phase.ident, (call.position,), call.text, call.at)
                )
                break
    return events


LIGHT_WORDS = {"day": "Daylight", "civil twilight": "Civil twilight", "night": "Night"}


def light_events(phases: tuple[Phase, ...], writer: LedgerWriter) -> list[Event]:
    """Return the moments at which the light changes along the flight, found to the minute."""
    events: list[Event] = []
    nodes = [node for phase in phases for node in phase.nodes]
    for before, after in pairwise(nodes):
        old, new = _light(before), _light(after)
        if old == new or before.instant >= after.instant:
            continue
        key = f"light.change.{len(events) + 1:02d}"
        writer.put(
            key, f"{LIGHT_WORDS[new]} begins", _bisected(before, after, old), "UTC",
            method="sun's altitude at the aircraft's place on the ground below, found to the minute",
        )  # fmt: skip
        events.append(Event(key, "light", "", tuple(POSITIONS), f"{LIGHT_WORDS[new]} begins below"))
    return events


def _light(node: Node) -> str:
    return str(light_condition(node.instant, node.lat_deg, node.lon_deg))


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
