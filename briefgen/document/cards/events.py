"""The events of the timeline on cards: each in few words, at its minute, on a card of every position it is addressed to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from briefgen.document.cards.blocks import Cell, Col, Grid, Line, Row
from briefgen.document.cards.layout import MEASURES, WIDTH
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.format import NO_BREAK
from briefgen.document.parts.measure import width_em
from briefgen.document.parts.moments import instant
from briefgen.model.plan import Event, PhaseKind

CROSSING = re.compile(r"^(?:Climbing|Descending) through [^:]+: ")
BECAUSE = re.compile(r": (?:through|in) [^;]+(?:; (?:through|in) [^;]+)*;")  # why an action is due, told on the site
EQUAL = re.compile(r"^Equal time between (.+) and (.+) \(engines: (\w+)[^)]*\)")
BRACKETS = re.compile(r" \([^)]*\)")
LIST, SHORT_LIST = "Checklist: ", "list: "
SAME_LETTERS = 4  # of a phase and of the checklist called after it: taxi, shut down
BELOW = " begins below"  # of a change of light
LIGHTLY = ("light", "schedule")  # what needs no line of its own
LINE = WIDTH - 56.0  # of a line of words behind its minute, in points
NEAR = timedelta(minutes=20)
ALIKE = 3  # words at the beginning of two events that are said once


@dataclass(frozen=True)
class Told:
    """An event with its number in the plan and its words for a card."""

    number: int
    event: Event
    utc: str
    words: str
    at: datetime

    @property
    def within(self) -> str:
        """Its words as they stand within a line: what is said stays as it is said."""
        return self.words if self.words[:1] == "“" else self.words[:1].lower() + self.words[1:]


def events_of(source: Source, positions: Sequence[str]) -> list[Told]:
    """Return the events addressed to any of some positions, in order of time."""
    found = []
    for number, event in enumerate(source.plan.events):
        if event.positions and not set(event.positions) & set(positions):
            continue
        at = instant(source.plan, event.time_key)
        found.append(Told(number, event, source.printed[event.time_key], words_of(source, event, positions), at))
    return sorted(found, key=lambda told: told.at)


def phase_kind(source: Source, event: Event) -> PhaseKind | None:
    """Return what kind of phase an event falls in, None for what the clock or the sun does."""
    return next((phase.kind for phase in source.plan.phases if phase.ident == event.phase), None)


def words_of(source: Source, event: Event, positions: Sequence[str]) -> str:
    """Return an event in as few words as a card has room for; the site has the whole of them."""
    text = source.printed.text(event.text)
    if event.kind == "checklist":
        return f"{SHORT_LIST}{text.removeprefix(LIST)}"
    if event.kind == "action":
        return BECAUSE.sub(";", CROSSING.sub("", text))
    if event.kind in ("phase", "schedule"):
        return text.partition(": ")[0]
    if event.kind == "call":
        return f"“{text}”" if len(event.positions) == 1 else text.partition(": ")[0]
    return decided(text) if event.kind == "decision" else text.removesuffix(BELOW)


def decided(text: str) -> str:
    """Return a decision in as few words as a card has room for, without what its card is headed by; engines are told."""
    shorter = EQUAL.sub(r"Equal time \1 / \2 on \3 engines", text)
    return BRACKETS.sub("", shorter).partition(": ")[0].replace(f"{NO_BREAK}UTC", "")


def minutes(told: Iterable[Told]) -> list[list[Told]]:
    """Return events gathered by the minute they are printed at."""
    found: list[list[Told]] = []
    for one in told:
        if found and found[-1][0].utc == one.utc:
            found[-1].append(one)
        else:
            found.append([one])
    return found


def lines_of(told: Iterable[Told], room: float = LINE) -> list[list[Told]]:
    """Return events gathered as they stand on lines: by the minute, and what needs no line of its own beside its neighbours.

    Changes of light or of the schedule in a row stand together, and decisions that begin with the same words; a change of
    light alone stands at the end of the line before it, or of that after it, where either has room for it [pt].
    """
    found: list[list[Told]] = []
    for moment in minutes(told):
        if found and _on_one_line(found[-1], moment):
            found[-1] += moment
        else:
            found.append(moment)
    lines: list[list[Told]] = []
    for index, line in enumerate(found):
        if not lines or not _light(line):
            lines.append(line)
        elif _joins(lines[-1], line, room):
            lines[-1] = [*lines[-1], *line]
        elif index + 1 < len(found) and _joins(found[index + 1], line, room):
            found[index + 1] = [*found[index + 1], *line]
        else:
            lines.append(line)
    return lines


def _light(line: Sequence[Told]) -> bool:
    return all(one.event.kind == "light" for one in line)


def _joins(line: Sequence[Told], light: Sequence[Told], room: float) -> bool:
    """Return whether a change of light is near enough to a line, and the line short enough, to stand at its end."""
    near = abs(light[0].at - line[0].at) <= NEAR
    return near and width_em(joined_words([*line, *light])) * MEASURES["act"] <= room


def _on_one_line(before: Sequence[Told], moment: Sequence[Told]) -> bool:
    both = [*before, *moment]
    if all(one.event.kind in LIGHTLY for one in both):
        return True
    return all(one.event.kind == "decision" for one in both) and _alike(before[-1].words, moment[0].words) >= ALIKE


def _alike(one: str, other: str) -> int:
    """Return how many words two texts begin with alike."""
    pairs = list(zip(one.split(" "), other.split(" "), strict=False))
    return next((count for count, (a, b) in enumerate(pairs) if a != b), len(pairs))


def joined_words(told: Sequence[Told]) -> str:
    """Return the words of the events of one line, each once; what two in a row begin with is said once too."""
    said: list[str] = []
    before = minute = ""
    lists = [one.words.removeprefix(SHORT_LIST) for one in told if one.event.kind == "checklist"]
    for one in told:
        if one.event.kind == "phase" and any(_named_by(title, one.words) for title in lists):
            continue
        word = one.within
        alike = 0 if word == before else _alike(before, word)
        rest = " ".join(word.split(" ")[alike:]) if alike >= ALIKE else word
        said.append(rest if one.utc == (minute or one.utc) else f"{one.utc} {rest}")
        before, minute = word, one.utc
    return "; ".join(dict.fromkeys(said))


def _named_by(title: str, words: str) -> bool:
    """Return whether a checklist is called after what it is read at, so that both need not be said."""
    first = words[:SAME_LETTERS].lower()
    names = title.lower().split(" ")
    return names[0] not in ("before", "after") and any(name.startswith(first) for name in names)


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
