"""The page of the rest of a flight planned anew: stamped with its fix, and nothing on it but what lies ahead."""

from __future__ import annotations

from briefgen.document.parts.assemble import Source, findings, key_figures, table
from briefgen.document.parts.blocks import Block, NoteBlock, Page
from briefgen.planning.after.rest_figures import EQUALS, FIELDS, LEAVES, LINES, FixFigures, WindFigures

FIRST = (
    (FixFigures.time, "Time of the fix"),
    (FixFigures.fuel.volume(), "Fuel at the fix"),
    (FixFigures.least.volume(), "Least to go on"),
    (FixFigures.over.volume(), "Over the least"),
    (FixFigures.lost.volume(), "Not to be had"),
    (FixFigures.mass, "Weight"),
    (FixFigures.flow, "Flow since the reading"),
)
LEAST = (
    (FixFigures.onward.volume(), "To go on"),
    (FixFigures.away.volume(), "To the alternate, or island reserve"),
    (FixFigures.held_back.volume(), "Final reserve, unusable and lost"),
)


def replan_page(source: Source) -> Page:
    """Return the page of the rest of a flight."""
    blocks: list[Block | None] = [
        key_figures(source, stamp(source), FIRST),
        findings(source, "May she go on"),
        table(source, LINES),
        key_figures(source, "What the least is made of", LEAST),
        table(source, FIELDS),
        table(source, LEAVES),
        table(source, EQUALS),
        NoteBlock("Wind ahead", wind_words(source)),
    ]
    return Page("index", "From the fix", tuple(block for block in blocks if block is not None))


def stamp(source: Source) -> str:
    """Return what everything planned from a fix is headed by: its place, its time, and where she goes."""
    printed = source.printed
    return (
        f"From {printed[FixFigures.where.key]}, {printed[FixFigures.time.key]}Z, to {printed[FixFigures.going_to.key]}"
    )


def wind_words(source: Source) -> str:
    """Return what wind the rest was flown in."""
    quoted, absent = source.printed.quoted, source.plan.ledger.absent
    if WindFigures.leg.key not in source.printed:
        return f"The forecast stands ahead: {absent[WindFigures.leg.key]}."
    found = f"Wind found on {quoted(WindFigures.leg.key)}: from {quoted(WindFigures.blows_from.key)}, {quoted(WindFigures.speed.key)} besides the forecast."
    if WindFigures.over.key not in source.printed:
        return f"{found} It is not applied ahead: {absent[WindFigures.over.key]}."
    origin = source.plan.mission.fading.source if source.plan.mission.fading else ""
    return f"{found} Applied ahead, fading to 0.37 over {quoted(WindFigures.over.key)} and in {quoted(WindFigures.in_time.key)} ({source.printed.text(origin)})."
