"""The page of the debrief: what was left, where the difference came from, line by line, and what goes into the book."""

from __future__ import annotations

from briefgen.document.pages.contents import TYPE_SIZE, WIDE, chart_block
from briefgen.document.parts.assemble import Source, findings, key_figures, table
from briefgen.document.parts.blocks import Block, NoteBlock, Page
from briefgen.model.record import Figure
from briefgen.planning.after.book import DEFECTS, ENGINES, REMARKS, FlightTimes
from briefgen.planning.after.debrief import CHART, Elsewhere
from briefgen.planning.after.held import Left, TakeOffPower
from briefgen.planning.after.readings import LINES
from briefgen.planning.after.spans import CAUSES_TABLE, SPANS, Whole
from briefgen.planning.after.stretches import WAY

FIRST: tuple[tuple[Figure[Whole, float] | Figure[Left, float], str], ...] = (
    (Whole.burnt, "Burnt"),
    (Whole.more, "More than planned for the way flown"),
    (Whole.unexplained, "Of it not explained"),
    (Left.landed.volume(), "Fuel on landing"),
    (Left.over_reserve.volume(), "Over the final reserve"),
    (Left.time, "Time left on landing"),
)
BOOK = (
    (FlightTimes.block, "Engines running"), (FlightTimes.air, "In the air"), (FlightTimes.night, "Of it by night"),
    (TakeOffPower.time, "At take-off power"), (FlightTimes.dilution_time, "Oil diluted for"), (FlightTimes.dilution_at, "Dilution began"),
)  # fmt: skip


def debrief_page(source: Source) -> Page:
    """Return the page of a plan that has been debriefed."""
    blocks: list[Block | None] = [
        key_figures(source, "What it came to", FIRST),
        elsewhere(source),
        findings(source, "Limits and reserves, as flown"),
        table(source, CAUSES_TABLE),
        chart_block(source, CHART, WIDE, TYPE_SIZE, 0.5),
        table(source, LINES),
        table(source, WAY),
        table(source, SPANS),
        key_figures(source, "For the book", BOOK),
        table(source, ENGINES),
        table(source, DEFECTS),
        table(source, REMARKS),
    ]
    return Page("index", "Debrief", tuple(block for block in blocks if block is not None))


def elsewhere(source: Source) -> NoteBlock | None:
    """Return what it asked for to go elsewhere than planned, in a sentence; None where she went as planned."""
    if Elsewhere.more.key not in source.printed:
        return None
    quoted, label = source.printed.quoted, source.printed.label
    keys = (Elsewhere.written.key, Elsewhere.planned.key, Elsewhere.more.key)
    said = [f"{label(key)}: {quoted(key)}" for key in keys]
    return NoteBlock(
        "She went elsewhere than planned",
        ". ".join(said) + ". What follows holds the flight against the plan for the way that was flown.",
    )
