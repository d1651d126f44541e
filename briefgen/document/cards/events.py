"""The events of the timeline on cards: each in few words, at its minute, on a card of every position it is addressed to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from briefgen.document.cards.blocks import Cell, Col, Grid, Line, Row
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.moments import instant
from briefgen.model.plan import Event

CROSSING = re.compile(r"^(?:Climbing|Descending) through [^:]+: ")
BECAUSE = re.compile(r": through [^;]+;")  # why an action is due, told on the site
BRACKETS = re.compile(r" \([^)]*\)")
LIST = "Checklist: "
BELOW = " begins below"  # of a change of light
LIGHTLY = ("light", "schedule")  # what needs no line of its own


@dataclass(frozen=True)
class Told:
    """An event with its number in the plan and its words for a card."""

    number: int
    event: Event
    utc: str
    words: str


def events_of(source: Source, positions: Sequence[str]) -> list[Told]:
    """Return the events addressed to any of some positions, in order of time."""
    found = []
    for number, event in enumerate(source.plan.events):
        if event.positions and not set(event.positions) & set(positions):
            continue
        found.append(Told(number, event, source.printed[event.time_key], words_of(source, event, positions)))
    return sorted(found, key=lambda told: instant(source.plan, told.event.time_key))


def words_of(source: Source, event: Event, positions: Sequence[str]) -> str:
    """Return an event in as few words as a card has room for; the site has the whole of them."""
    text = source.printed.text(event.text)
    if event.kind == "checklist":
        return f"list: {text.removeprefix(LIST)}"
    if event.kind == "action":
        return BECAUSE.sub(";", CROSSING.sub("", text))
    if event.kind in ("phase", "schedule"):
        return text.partition(": ")[0]
    if event.kind == "call":
        return f"“{text}”" if len(event.positions) == 1 else text.partition(": ")[0]
    return BRACKETS.sub("", text).partition(": ")[0] if event.kind == "decision" else text.removesuffix(BELOW)


def minutes(told: Iterable[Told]) -> list[list[Told]]:
    """Return events gathered by the minute they are printed at."""
    found: list[list[Told]] = []
    for one in told:
        if found and found[-1][0].utc == one.utc:
            found[-1].append(one)
        else:
            found.append([one])
    return found


def lines_of(told: Iterable[Told]) -> list[list[Told]]:
    """Return events gathered as they stand on lines: by the minute, changes of light or of the schedule in a row together."""
    found: list[list[Told]] = []
    for moment in minutes(told):
        lightly = all(one.event.kind in LIGHTLY for one in moment)
        if lightly and found and all(one.event.kind in LIGHTLY for one in found[-1]):
            found[-1] += moment
        else:
            found.append(moment)
    return found


def joined_words(told: Sequence[Told]) -> str:
    """Return the words of the events of one minute, each once."""
    said = []
    for one in told:
        word = one.words if one.words[:1] == "“" else one.words[:1].lower() + one.words[1:]
        said.append(word if one.utc == told[0].utc else f"{one.utc} {word}")
    return "; ".join(dict.fromkeys(said))


def by_the_clock(source: Source, positions: Sequence[str], *, title: str = "", skip: Sequence[int] = ()) -> Grid | None:
    """Return the events of some positions as a list: the minute, what is done, and a box for what was."""
    rows = []
    for moment in lines_of(one for one in events_of(source, positions) if one.number not in skip):
        decides = any(one.event.kind == "decision" for one in moment)
        rows.append(
            Row(
                (
                    Cell((Line(moment[0].utc, bold=True, key=moment[0].event.time_key),)),
                    Cell((Line(joined_words(moment), bold=decides),)),
                ),
                name=moment[0].utc, events=tuple(one.number for one in moment), header=True,
            )
        )  # fmt: skip
    if not rows:
        return None
    return Grid(title, "", (Col(("UTC",)), Col(("What",), wide=True)), tuple(rows), pad=0.3, name="by the clock")
