"""The timeline: events merged into moments, whole for the site, in short for the card of one position."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from briefgen.document.parts.assemble import INITIALS, Source, aboard
from briefgen.document.parts.blocks import Cell, Deed, Head, Moment, TableBlock, TableRow, TimelineBlock
from briefgen.document.parts.format import NO_BREAK, local_time
from briefgen.model.plan import Event, EventKind, Plan
from briefgen.planning.sections.basis.phases import PhaseFigures

ALL_HANDS = "all"
POWER_WORDS = ("Manifold pressure", "Engine speed", "Mixture")  # of a power change, what concerns all
READ_OFF = ("Manifold pressure ", "Engine speed ")  # levers whose figure names them by its unit
LEVERS_BY = "flight engineer"  # who moves the levers; without one, the captain
SET_POWER = "Set power"
BRIEF = 66  # characters of a decision on a card
CLAUSE = re.compile(r"[:;,.] ")
FUEL_CLAUSE = re.compile(r"[:;,.] (fuel \d[\d,]*[ \u00a0][^,;.]+)")  # what is decided by: kept whatever else goes
KINDS: dict[EventKind, str] = {
    "phase": "phase", "power": "power", "action": "action", "call": "call", "checklist": "checklist",
    "decision": "decide", "light": "light", "fuel": "fuel",
}  # fmt: skip


def timeline(
    source: Source, title: str, position: str = "", *, kinds: Sequence[EventKind] = ()
) -> TimelineBlock | None:
    """Return the timeline in order of time, whole, as one position needs it, or of some kinds of event."""
    events = [e for e in source.plan.events if not position or not e.positions or position in e.positions]
    events = [event for event in events if not kinds or event.kind in kinds]
    if not events:
        return None
    events.sort(key=lambda event: instant(source.plan, event.time_key))
    return TimelineBlock(title, _moments(source, events, position))


def decisions(source: Source, title: str) -> TableBlock | None:
    """Return the moments of decision as a short table: when, local and UTC, and what is decided."""
    block = timeline(source, "", "captain", kinds=("decision",))
    if block is None:
        return None
    rows = tuple(
        TableRow((Cell(moment.utc, moment.key), Cell(moment.local), Cell(deed.text)))
        for moment in block.moments
        for deed in moment.deeds
    )
    return TableBlock(title, (Head("UTC"), Head("Local"), Head("Decide")), rows, name="decide")


def instant(plan: Plan, key: str) -> datetime:
    """Return the instant of a time entry."""
    value = plan.ledger[key].value
    if not isinstance(value, datetime):
        raise TypeError(f"entry {key} of the timeline is not an instant")
    return value


def _moments(source: Source, events: Sequence[Event], position: str) -> tuple[Moment, ...]:
    """Return events in order as moments: what is printed at one minute stands together."""
    found: list[Moment] = []
    for event in events:
        deed = _deed(source, event, position)
        utc = source.printed[event.time_key]
        if found and found[-1].utc == utc:
            last = found[-1]
            decides = last.decides or event.kind == "decision"
            found[-1] = replace(last, deeds=(*last.deeds, deed), decides=decides)
        else:
            at = instant(source.plan, event.time_key)
            local = local_time(at, source.printed.clock)
            minute = int(at.timestamp() // 60)
            found.append(Moment(utc, local, (deed,), event.time_key, event.kind == "decision", minute))
    return tuple(found)


def _deed(source: Source, event: Event, position: str) -> Deed:
    text, steps = source.printed.text(event.text), tuple(source.printed.text(step) for step in event.steps)
    if event.kind == "checklist":
        # These steps only number the aircraft's list; its items stand on the checklist cards.
        steps = ()
    sort = KINDS.get(event.kind, event.kind)
    if not position:
        return Deed(sort, _who(event, position, aboard(source.plan)), text, event.where, steps)
    if steps:
        text, steps = _levers(source, event, steps, position)
    elif event.of("decision", "schedule"):
        text = brief(text)
    by_itself = event.of("phase", "power", "checklist", "light", "decision")
    who = "" if by_itself else _who(event, position, aboard(source.plan))
    return Deed(sort, who, text, event.where, steps)


def _levers(source: Source, event: Event, steps: Sequence[str], position: str) -> tuple[str, tuple[str, ...]]:
    """Return a change of power as a card has it: words, and what is moved in the order in which it is moved.

    The one at the levers is given all of them, numbered, the others what power is asked for. The phase stands at the head of
    its first moment, so of the event's own words only what is more than its name is kept.
    """
    at_levers = position == (LEVERS_BY if LEVERS_BY in aboard(source.plan) else "captain")
    if not at_levers:
        steps = [step for step in steps if step.startswith(POWER_WORDS)]
    moved = []
    for step in steps:
        lever = next((name for name in READ_OFF if step.startswith(name)), "")
        word = step.removeprefix(lever) if lever else step[:1].lower() + step[1:]
        moved.append(word.replace(" ", NO_BREAK))
    title = next((phase.title for phase in source.plan.phases if phase.ident == event.phase), "")
    words = source.printed.text(event.text).replace(f": {source.printed.text(title)}", "", 1)
    begin = PhaseFigures.begin.under(f"phase.{event.phase}").key
    begins = begin in source.printed and source.printed[begin] == source.printed[event.time_key]
    if begins:
        words = words.removeprefix(SET_POWER).removeprefix("; ")
    if at_levers:
        return f"{words}:" if words else "", tuple(moved)
    return ": ".join(filter(None, (words, " · ".join(moved)))), ()


def brief(text: str) -> str:
    """Return the first clauses of a long sentence, as many as stand on two lines of a card; the site has the whole of it.

    The fuel with which it must be decided stays.
    """
    if len(text) <= BRIEF:
        return text
    ends = [found.start() for found in CLAUSE.finditer(text) if not _bracketed(text[: found.start()])]
    fitting = [end for end in ends if end <= BRIEF]
    short = text[: fitting[-1] if fitting else ends[0] if ends else len(text)]
    fuel = FUEL_CLAUSE.search(text, len(short))
    return f"{short}, {fuel[1]}" if fuel else short


def _bracketed(before: str) -> bool:
    return any(before.count(opened) > before.count(closed) for opened, closed in ("()", "[]"))


def _who(event: Event, position: str, crew: Sequence[str]) -> str:
    """Return who acts, in short; nothing where it is the reader alone, or where a phase concerns all."""
    if set(event.positions) >= set(crew):
        return "" if event.of("phase", "light") else ALL_HANDS
    if event.positions == (position,):
        return ""
    return ", ".join(INITIALS.get(name, name) for name in event.positions)
