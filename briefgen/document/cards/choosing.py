"""Which rows of a long table stand on a card: those that bind or that change something; the site has all of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

from briefgen.document.cards.columns import fitted
from briefgen.document.cards.layout import HEIGHT, MEASURES, height
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.blocks import Block, FindingsBlock, NoteBlock, TableBlock
from briefgen.document.parts.format import NO_BREAK
from briefgen.model.ledger import Row

MOST_LEGS = 6  # of a table about engines stopped
MOST_PLACES = 12  # of the fuel needed to get home
FEWEST_FINDINGS = 4
FEWEST_ALIKE = 3  # rows that make a column worth saying once
SENTENCE = re.compile(r"[A-Z].*?[.](?= |$)")
DEFINES = re.compile(r"[A-Z][a-z ]+: |Reserve ")
UNKNOWN_FIRST = float("-inf")
NO_DRIFT_LAST = float("inf")


def binding_legs(source: Source) -> tuple[Callable[[Row], bool] | None, str]:
    """Return which rows of the tables about engines stopped are of the legs that bind, and the words that say so.

    The order is that of figures the plan has: the drift down that ends least over the safe height, then the lowest service
    ceiling, then the order flown. What the plan could not find out comes first.
    """
    found = source.plan.tables.get("engines_out")
    legs = [row.cells["leg"] for row in found.rows] if found else []
    if found is None or len(legs) <= MOST_LEGS:
        return None, ""
    ranked = sorted(found.rows, key=lambda row: (_over_safe(source, row), _service(source, row)))
    kept = {row.cells["leg"] for row in ranked[:MOST_LEGS]}
    return (lambda row: row.cells.get("leg") in kept), f"Worst {MOST_LEGS} of {len(legs)} legs; all on the site."


def _over_safe(source: Source, row: Row) -> float:
    """Return the least height over the safe height with which a drift down from this leg ends."""
    head = row.cells["leg"].removesuffix(".leg")
    entries = source.plan.ledger.entries
    ends = []
    for stopped in ("one", "two"):
        key = f"{head}.drift_{stopped}"
        if f"{key}.over_safe" in entries:
            value = entries[f"{key}.over_safe"].value
            ends.append(value if isinstance(value, float) else UNKNOWN_FIRST)
        elif f"{key}.outcome" in entries:
            ends.append(UNKNOWN_FIRST)
    return min(ends, default=NO_DRIFT_LAST)


def _service(source: Source, row: Row) -> float:
    keys = [row.cells[name] for name in ("service_one", "service_two") if name in row.cells]
    values = [source.plan.ledger[key].value for key in keys]
    return min((value if isinstance(value, float) else UNKNOWN_FIRST for value in values), default=UNKNOWN_FIRST)


def noted(block: TableBlock | None, words: str) -> TableBlock | None:
    """Return a table whose note begins with some words."""
    return replace(block, note=" ".join(filter(None, (words, block.note)))) if block else None


def every_few(block: TableBlock | None) -> TableBlock | None:
    """Return a table of many places with places at even steps of it, the last among them."""
    if block is None or len(block.rows) <= MOST_PLACES:
        return block
    step = -(-len(block.rows) // MOST_PLACES)
    rows = block.rows[::-1][::step][::-1]
    words = f"{len(rows)} of {len(block.rows)} places; all on the site."
    return noted(replace(block, rows=rows), words)


def changes(block: TableBlock | None, *names: str) -> TableBlock | None:
    """Return a table less the rows that change nothing of what stands before them: in their first column and those named,
    or, where none is named, in all but the first."""
    if block is None:
        return None
    looked_at = [i for i, head in enumerate(block.heads) if (i == 0 or head.text in names if names else i > 0)]
    rows, before = [], None
    for row in block.rows:
        now = tuple(row.cells[i].text for i in looked_at)
        if now != before:
            rows.append(row)
        before = now
    return replace(block, rows=tuple(rows))


def defining(block: TableBlock | None) -> TableBlock | None:
    """Return a table with only those sentences of its note that say what a word in it means."""
    if block is None:
        return None
    return replace(block, note=" ".join(part for part in SENTENCE.findall(block.note) if DEFINES.match(part)))


def said_once(block: TableBlock | None) -> TableBlock | None:
    """Return a table whose note says once what every row of a column has in common."""
    if block is None or len(block.rows) < FEWEST_ALIKE:
        return block
    texts = [{row.cells[i].text for row in block.rows} for i in range(len(block.heads))]
    alike = [i for i, found in enumerate(texts) if i and len(found) == 1]
    shared = ((block.heads[i], block.rows[0].cells[i].text) for i in alike)
    words = (f"{head.text}: {text}{_behind(text, head.unit)}." for head, text in shared if text)
    heads = tuple(head for i, head in enumerate(block.heads) if i not in alike)
    rows = tuple(replace(row, cells=tuple(c for i, c in enumerate(row.cells) if i not in alike)) for row in block.rows)
    return noted(replace(block, heads=heads, rows=rows), " ".join(words))


def _behind(text: str, unit: str) -> str:
    """Return the unit of a column as it stands behind a figure; words in such a column have none."""
    return f"{NO_BREAK}{unit.replace(' ', NO_BREAK)}" if unit and text[-1:].isdigit() else ""


def on_one_card(blocks: list[Block], purpose: Block | None) -> list[Block]:
    """Return the blocks of a summary so that they stand on one card.

    Where there is no room the purpose is left to another card, then the findings beyond those, the most serious first, that fit.
    """
    if purpose is not None and _fit([*blocks, purpose]):
        return [*blocks, purpose]
    place = next((i for i, block in enumerate(blocks) if isinstance(block, FindingsBlock)), None)
    if place is None or _fit(blocks):
        return blocks
    shorter = blocks
    for shorter in _fewer(blocks, place):
        if _fit(shorter):
            break
    return shorter


def _fewer(blocks: list[Block], place: int) -> Iterator[list[Block]]:
    whole = blocks[place]
    assert isinstance(whole, FindingsBlock)
    for kept in range(len(whole.items) - 1, FEWEST_FINDINGS - 1, -1):
        more = NoteBlock("", f"and {len(whole.items) - kept} more, see the review page")
        yield [*blocks[:place], replace(whole, items=whole.items[:kept]), more, *blocks[place + 1 :]]


def _fit(blocks: list[Block]) -> bool:
    """Return whether blocks stand on one card, tables in the columns they will have there."""
    parts = (part for block in blocks for part in (fitted(block) if isinstance(block, TableBlock) else [block]))
    return sum(height(part) for part in parts) - MEASURES["gap"] <= HEIGHT
