"""What the plan comes to if something is otherwise: the variations a mission names, side by side, then each by itself."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.document.pages.approvals import judged_table, words_table
from briefgen.document.parts.approval import when
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.blocks import Block, NoteBlock
from briefgen.model.bench import Varied, WhatIf

COLUMNS = 6  # beside each other on a page; more begin another table


def variations(source: Source) -> list[Block | None]:
    """Place the variations of a plan; nothing where the mission names none."""
    found = source.plan.tried
    if found is None:
        return []
    return [_asked(found), *_side_by_side(found), *(block for one in found.variations for block in _told(one))]


def _asked(found: WhatIf) -> Block | None:
    rows = [
        (one.name, "; ".join(f"{change.path} = {change.text}" for change in one.changes)) for one in found.variations
    ]
    return words_table("What is otherwise", ("Variation", "Set"), rows)


def _side_by_side(found: WhatIf) -> Iterator[Block | None]:
    planned = [one for one in found.variations if one.comparison is not None]
    for begin in range(0, len(planned), COLUMNS):
        shown = [found.written, *planned[begin : begin + COLUMNS]]
        rows = [(label, *(dict(one.figures)[key] for one in shown)) for key, label in found.labels]
        rows.append(("Findings that fail", *(str(len(one.failed)) for one in shown)))
        rows.append(("Findings with caution", *(str(len(one.cautioned)) for one in shown)))
        title = "Side by side" if not begin else "Side by side, continued"
        yield words_table(title, ("Figure", *(one.name for one in shown)), rows)


def _told(one: Varied) -> Iterator[Block | None]:
    if one.comparison is None:
        yield NoteBlock(one.name, f"Cannot be planned: {one.refused}")
        return
    judged = one.comparison.judged
    less = [finding for finding in judged if not finding.turned and (finding.eaten_ratio or 0.0) >= 0.0]
    yield judged_table(f"{one.name}: findings with another outcome", [finding for finding in judged if finding.turned])
    yield judged_table(f"{one.name}: less in hand", less)
    moved = [(when(decision), decision.now or decision.before) for decision in one.comparison.decisions]
    yield words_table(f"{one.name}: decisions that moved", ("When", "What"), moved)
