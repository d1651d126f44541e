"""How the blocks of a face are dealt out so that each card is exactly one page, and nothing is lost.

A face keeps to one card as long as it can: what may stand aside goes to the reference pack first. Then it runs on to a second
card between rows, with the heads again and how things stood; it is titled by what it holds.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from briefgen.document.cards.blocks import Block, Card, Cell, Chart, Face, Grid, Line, Prose, Row
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.layout import (
    GAP,
    HEIGHT,
    LONG_HEIGHT,
    LONG_WIDTH,
    MEASURES,
    WIDTH,
    height,
    joined,
    row_height,
)
from briefgen.document.parts.blocks import Paragraph
from briefgen.document.parts.measure import width_em
from briefgen.errors import RenderError

ROUND_OFF = 1e-6  # points
FEWEST_ROWS = 2  # of a grid that are worth beginning it at the foot of a card
SELF_TOLD = ("checklists", "emergencies", "reference")
PARTS = "abcdefghijklmnopqrstuvwxyz"


@dataclass
class _Page:
    blocks: list[Block] = field(default_factory=list)
    room: float = 0.0


@dataclass(frozen=True)
class Dealt:
    """The cards of a deck, and what its faces had no room for."""

    cards: tuple[Card, ...]
    aside: tuple[Block, ...]


def dealt(position: str, faces: Sequence[Face], band: str = "", head: int = 1, tag: str = "") -> Dealt:
    """Return the cards of one position in order, each no higher than a page under a head of so many lines.

    Raises:
        RenderError: Something that cannot be parted is higher than a card.
    """
    cards: list[Card] = []
    aside: list[Block] = []
    kept = [face for face in faces if face.blocks]
    for number, face in enumerate(kept, 1):
        room = (LONG_HEIGHT if face.landscape else HEIGHT) - (MEASURES["band-room"] if band else 0.0)
        room -= (head - 1) * MEASURES["identity"]
        width = LONG_WIDTH if face.landscape else WIDTH
        blocks = [_fitted(block, width) for block in face.blocks]
        blocks, more = _with_less(blocks, room)
        aside += more
        pages = _pages(face, blocks, room)
        for index, page in enumerate(pages):
            alone = len(kept) == 1  # a deck of one face numbers its cards
            part = PARTS[index % len(PARTS)] if len(pages) > 1 and not alone else ""
            tab, of = (index + 1, len(pages)) if alone else (number, len(kept))
            title = _title(face, page, len(pages))
            filled = 1.0 - (page.room + GAP) / room
            shown = tuple(joined(one) if isinstance(one, Grid) else one for one in page.blocks)
            cards.append(
                Card(position, title, shown, tab, part, of, band, tag, head, face.urgent, face.landscape, filled)
            )
    return Dealt(tuple(cards), tuple(aside))


def _fitted(block: Block, width: float) -> Block:
    return fitted(block, width) if isinstance(block, Grid) else block


def _with_less(blocks: list[Block], room: float) -> tuple[list[Block], list[Block]]:
    """Return the blocks that stand on one card, and those that may stand aside; all of them where they fit."""
    kept, aside = [(block, height(block)) for block in blocks], list[Block]()
    while sum(high for _, high in kept) - GAP > room:
        last = next((index for index in reversed(range(len(kept))) if kept[index][0].aside), None)
        if last is None:
            break
        aside.insert(0, kept.pop(last)[0])
    return [block for block, _ in kept], aside


def _pages(face: Face, blocks: Sequence[Block], room: float) -> list[_Page]:
    pages = [_Page([], room)]
    waiting = list(blocks)
    while waiting:
        block, page = waiting.pop(0), pages[-1]
        first, rest = _first_part(block, page.room, fresh=not page.blocks, room=room)
        if first is not None:
            page.blocks.append(first)
            page.room -= height(first)
            waiting = [rest, *waiting] if rest is not None else waiting
            if rest is not None:
                pages.append(_Page([], room))
        elif page.blocks:
            waiting.insert(0, block)
            pages.append(_Page([], room))
        else:
            raise RenderError(f"{_name(block)} on the card {face.title} is higher than a page")
    return pages


def _name(block: Block) -> str:
    title: str = getattr(block, "title", "")
    return title or block.kind


def _first_part(block: Block, left: float, *, fresh: bool, room: float) -> tuple[Block | None, Block | None]:
    """Return what of a block stands in the room left, and the rest of it."""
    most = max(left, room)
    beyond = isinstance(block, Grid) and _rows_within(block, most) < len(block.rows)
    need = math.inf if beyond else height(block) - GAP
    if need <= left:
        return block, None
    if isinstance(block, Grid) and (fresh or not (block.whole and need <= room)):
        return _split_grid(block, left, 1 if fresh else FEWEST_ROWS)
    if isinstance(block, Prose):
        return _split_prose(block, left, fresh=fresh)
    return None, block


def _rows_within(grid: Grid, room: float) -> int:
    """Return how many rows from the top may stand in a room: at most so many, for what joined cells ask for is left out.

    A grid of hundreds of rows is measured as far as a card goes, not whole for each number of rows that is tried.
    """
    used = height(replace(grid, rows=())) - GAP
    for count, row in enumerate(grid.rows):
        used += row_height(grid, row)
        if used > room + ROUND_OFF:
            return count
    return len(grid.rows)


def _split_grid(grid: Grid, left: float, fewest: int) -> tuple[Block | None, Block | None]:
    for kept in range(min(len(grid.rows) - 1, _rows_within(grid, left)), fewest - 1, -1):
        if grid.rows[kept - 1].with_next:
            continue
        first = replace(grid, rows=grid.rows[:kept])
        if height(first) - GAP <= left:
            rest = grid.rows[kept:]
            if carry := grid.rows[kept - 1].carry:
                span = len(grid.cols)
                rest = (Row((Cell((Line(carry, "act"),), span=span),)), *rest)
            return first, replace(grid, rows=rest)
    return None, grid


def _split_prose(prose: Prose, left: float, *, fresh: bool) -> tuple[Block | None, Block | None]:
    for kept in range(len(prose.paragraphs) - 1, 0, -1):
        first = replace(prose, paragraphs=prose.paragraphs[:kept])
        if height(first) - GAP <= left:
            return first, replace(prose, paragraphs=prose.paragraphs[kept:], title=prose.title)
    if not fresh:
        return None, prose
    one, rest = _parted(prose.paragraphs[0], lambda part: height(replace(prose, paragraphs=(part,))) - GAP <= left)
    return replace(prose, paragraphs=(one,)), replace(prose, paragraphs=(rest, *prose.paragraphs[1:]))


def _parted(paragraph: Paragraph, fits: Callable[[Paragraph], bool]) -> tuple[Paragraph, Paragraph]:
    """Return a paragraph that is higher than a card in two, between words where it has any: the first as long as fits."""
    text = "".join(run.text for run in paragraph.runs)
    count = bisect_left(range(1, len(text)), True, key=lambda kept: not fits(_cut(paragraph, 0, kept)))
    space = text.rfind(" ", 1, count + 1)
    return _cut(paragraph, 0, space if space > 0 else count), _cut(
        paragraph, space + 1 if space > 0 else count, len(text)
    )


def _cut(paragraph: Paragraph, first: int, last: int) -> Paragraph:
    """Return the letters of a paragraph from one to another, in their styles."""
    runs, at = [], 0
    for run in paragraph.runs:
        part = run.text[max(first - at, 0) : max(last - at, 0)]
        runs += [replace(run, text=part)] if part else []
        at += len(run.text)
    return replace(paragraph, runs=tuple(runs))


def _title(face: Face, page: _Page, count: int) -> str:
    """Return the title of a card; of several of one face each names what it holds."""
    if count == 1:
        return face.title
    names = [row.name for block in page.blocks if isinstance(block, Grid) for row in block.rows if row.name]
    names += [block.title for block in page.blocks if isinstance(block, Chart | Prose) and block.title]
    if not names:
        names = [block.title for block in page.blocks if isinstance(block, Grid) and block.title]
    if not names:
        return face.title
    both = names[0] if names[0] == names[-1] else f"{names[0]} to {names[-1]}"
    room = (LONG_WIDTH if face.landscape else WIDTH) - 130.0
    shorter: tuple[str, ...] = (
        (both, names[0]) if face.ident in SELF_TOLD else ()
    )  # names that say by themselves what the card holds
    for words in (f"{face.title}: {both}", *shorter, f"{face.title}: {names[0]} on"):
        if width_em(words, bold=True) * MEASURES["title"] <= room:
            return words
    return face.title
