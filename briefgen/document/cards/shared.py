"""What all share: whole checklists, the emergencies, the crew briefing in spoken order, and the reference pack."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import get_args

from briefgen.document.cards.blocks import Block, Cell, Col, Face, Grid, Line, Prose, Row
from briefgen.document.cards.events import by_the_clock
from briefgen.document.cards.fitting import narrowed
from briefgen.document.cards.reading import plain_table
from briefgen.document.pages.contents import Authored
from briefgen.document.parts.assemble import Source, aboard, checklists
from briefgen.document.parts.blocks import ChecklistBlock
from briefgen.document.parts.prose import prose
from briefgen.model.procedures import ChecklistPhase
from briefgen.planning.sections.risks import RISKS, RiskFigures

SPOKEN: tuple[Authored, ...] = (
    "situation",
    "execution",
    "load",
    "communications",
    "emergencies",
)  # the order in which a crew is briefed
READ_ON_FOOT = ("outside inspection", "before entering", "leaving")  # lists that stand on the site, not on a card
CHECKLISTS, EMERGENCIES, BRIEF, REFERENCE = "checklists", "emergencies", "crew brief", "reference"
SHARED = (CHECKLISTS, EMERGENCIES, BRIEF, REFERENCE)
LOOKED_UP = (
    "weather.issued", "weather.clouds", "weather.fields", "daylight", "fluids", "oxygen", "engines_out.drift_down", "engines_out.waiting",
    "briefing.speed_limits", "fields.take_off", "timing.delays", "fuel.tank_order", "fuel.required", "risks",
)  # fmt: skip


FEWER = {
    RISKS.name: tuple(RISKS.column(one).name for one in (RiskFigures.what, RiskFigures.level, RiskFigures.mitigation))
}


def checklist_faces(source: Source) -> list[Face]:
    """Return every checklist whole, several on a card, none parted if a card can hold it."""
    phases = [one for one in get_args(ChecklistPhase) if one not in READ_ON_FOOT]
    if not any(phase.kind == "run" for phase in source.plan.phases):
        phases.remove("drop")
    found = checklists(source, phases)
    grids = [_checklist(block) for block in found]
    titles = [block.title for block in found]
    if not grids:
        return []
    return [Face(_span(titles), tuple(grids), ident="checklists")]


def _span(titles: Sequence[str]) -> str:
    return titles[0] if len(titles) == 1 else "Checklists"


def _checklist(block: ChecklistBlock) -> Grid:
    rows = []
    for item in block.items:
        response = [Line(item.response)]
        if item.note:
            response.append(Line(item.note, "small"))
        rows.append(
            Row(
                (Cell((Line(item.challenge, bold=True),)), Cell(tuple(response)), Cell((Line(item.who, bold=True),))),
                header=True,
            )
        )
    rows.append(Row((Cell((Line(f"{block.title} complete", bold=True),), span=3),), "none"))
    cols = (Col(part=0.3, wraps=True), Col(wide=True), Col(align="right"))
    return Grid(block.title, "", cols, tuple(rows), pad=0.1, whole=True, name="checklist")


def brief_faces(source: Source) -> list[Face]:
    """Return what is said to the crew before the flight, in the order in which it is said."""
    mission, printed = source.plan.mission, source.printed
    words = [("Purpose", mission.purpose)] if mission.purpose else []
    words += [(name.capitalize(), mission.briefing[name]) for name in SPOKEN if name in mission.briefing]
    words += [(name.capitalize(), text) for name, text in mission.briefing.items() if name not in SPOKEN]
    blocks: list[Block] = []
    for title, text in words:
        block = prose(title, printed.text(text))
        if block.paragraphs:
            blocks.append(Prose(title, block.paragraphs))
    return [Face("Crew brief, in spoken order", tuple(blocks), ident="brief")] if blocks else []


def reference_faces(source: Source, aside: Iterable[Block]) -> list[Face]:
    """Return what is looked up on the ground: tables of the plan that no position needs in flight, and what had no room."""
    blocks: list[Block] = []
    for block in aside:
        if not any(_same(block, other) for other in blocks):
            blocks.append(replace(block, aside=False))
    for name in LOOKED_UP:
        found = source.plan.tables.get(name)
        grid = plain_table(source, found, columns=FEWER.get(name, ())) if found else None
        if grid is not None:
            blocks.append(narrowed(grid))
    return [Face("Reference", tuple(blocks), ident="reference")] if blocks else []


def _same(one: Block, other: Block) -> bool:
    return isinstance(one, Grid) and isinstance(other, Grid) and one.name == other.name and one.title == other.title


def clock_face(source: Source, position: str, skip: Sequence[int] = ()) -> Face | None:
    """Return the events of a position that none of its other cards holds."""
    grid = by_the_clock(source, (position,), skip=skip)
    return Face("By the clock", (grid,), ident="clock") if grid else None


def pilots_of(source: Source) -> tuple[str, ...]:
    """Return the pilots aboard."""
    return tuple(position for position in aboard(source.plan) if position in ("captain", "co-pilot"))
