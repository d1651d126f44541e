"""How blocks are dealt out so that each card is exactly one page, full, and nothing is lost.

Sections follow each other on a card as long as there is room; one may ask for a card of its own, upright or held sideways.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from briefgen.document.cards.columns import fitted
from briefgen.document.cards.layout import HEIGHT, MEASURES, WIDTH, height
from briefgen.document.parts.blocks import (
    BlanksBlock,
    Block,
    Card,
    ChecklistBlock,
    FindingsBlock,
    ProseBlock,
    TableBlock,
    TimelineBlock,
)
from briefgen.document.parts.measure import width_em
from briefgen.errors import RenderError

WORTHWHILE_PARTS = 3  # rows of a block that are worth beginning it at the foot of a card
WHOLE_RATIO = 0.75  # of a card: a table up to this high is read at one look and stands whole if it costs little
SPARE_RATIO = 0.2  # of a card that may stay empty for that
CARD_TITLE = 15.0
POSITION_SIZE, POSITION_ROOM = 11.0, 8.0


@dataclass(frozen=True)
class Section:
    """Blocks that belong on cards of one title."""

    title: str
    blocks: tuple[Block, ...]
    alone: bool = False  # begins a card
    sideways: bool = False  # read with the card turned, for a wide table


@dataclass
class _Page:
    """A card being filled: which sections stand on it, and what."""

    sections: list[int]
    blocks: list[Block]
    room: float
    sideways: bool = False


def dealt(position: str, sections: Iterable[Section]) -> list[Card]:
    """Return the cards of one position in order, each no higher than a page, parts of one title numbered."""
    listed = list(sections)
    pages: list[_Page] = []
    for index, section in enumerate(listed):
        _deal(pages, index, section)
    count = {index: sum(index in page.sections for page in pages) for index in range(len(listed))}
    reached = dict.fromkeys(range(len(listed)), 0)
    cards = []
    for number, page in enumerate(pages, 1):
        names = []
        for index in page.sections:
            reached[index] += 1
            part = f" {reached[index]} of {count[index]}" if count[index] > 1 else ""
            names.append(f"{listed[index].title}{part}")
        title = _card_title(names, f"{position} {number} of {len(pages)}")
        used = _full_height(page) - page.room - MEASURES["gap"]  # nothing follows the last block
        cards.append(Card(position, title, tuple(page.blocks), page.sideways, used / _full_height(page)))
    return cards


def _card_title(names: Sequence[str], beside: str) -> str:
    """Return as many of the names of a card's sections as stand on one line beside the name of its reader."""
    room = WIDTH - width_em(beside, bold=True) * POSITION_SIZE - POSITION_ROOM
    for kept in range(len(names), 1, -1):
        title = ", ".join((names[0], *(name[:1].lower() + name[1:] for name in names[1:kept])))
        if width_em(title, bold=True) * CARD_TITLE <= room:
            return title
    return names[0]


def _full_height(page: _Page) -> float:
    return WIDTH if page.sideways else HEIGHT


def _deal(pages: list[_Page], index: int, section: Section) -> None:
    """Put the blocks of one section on the last card, if it may go on there, and on new ones."""
    width = HEIGHT if section.sideways else WIDTH
    waiting: list[Block] = []
    for block in section.blocks:
        waiting += fitted(block, width) if isinstance(block, TableBlock) else [block]

    def turn() -> _Page:
        pages.append(_Page([], [], WIDTH if section.sideways else HEIGHT, section.sideways))
        return pages[-1]

    page = pages[-1] if pages and not section.alone and pages[-1].sideways == section.sideways else turn()
    while waiting:
        block = waiting.pop(0)
        first, rest = _first_part(block, page)
        if first is not None:
            if index not in page.sections:
                page.sections.append(index)
            page.blocks.append(first)
            page.room -= height(first)
            waiting = [rest, *waiting] if rest is not None else waiting
        elif page.blocks:
            waiting.insert(0, block)
            page = turn()
        else:
            raise RenderError(
                f"{block.title or block.kind} on the card {section.title} is higher than a page",
                hint="shorten it in the specification",
            )


def _first_part(block: Block, page: _Page) -> tuple[Block | None, Block | None]:
    """Return what of a block goes on a card and what is over."""
    need = height(block)
    if need - MEASURES["gap"] <= page.room:  # the gap under the last block may fall away
        return block, None
    whole = need <= WHOLE_RATIO * _full_height(page) and page.room <= SPARE_RATIO * _full_height(page)
    if whole and page.blocks and not isinstance(block, TimelineBlock):
        return None, block
    first, rest = split(block, page.room)
    if first is not None and (not page.blocks or len(_parts(first)) >= WORTHWHILE_PARTS):
        return first, rest
    return None, block


def _parts(block: Block) -> tuple[object, ...]:
    match block:
        case TableBlock():
            return block.rows
        case TimelineBlock():
            return block.moments
        case ChecklistBlock() | FindingsBlock():
            return block.items
        case ProseBlock():
            return block.paragraphs
        case BlanksBlock():
            return block.labels
    return ()


def split(block: Block, room: float) -> tuple[Block | None, Block | None]:
    """Return the part of a block that fits in the room left and the rest; (None, block) when nothing of it does."""
    count = len(_parts(block))
    kept = _most(block, count - 1, room)
    if kept == count - 1 > WORTHWHILE_PARTS:
        kept -= 1  # a part standing alone on the next card is not worth its title
    first, rest = _part(block, 0, kept), _part(block, kept, count)
    if isinstance(first, TimelineBlock) and isinstance(rest, TimelineBlock) and rest.moments:
        first, rest = _shared_moment(first, rest, room)
    return (first, rest) if _parts(first) else (None, block)


def _most(block: Block, least_left: int, room: float) -> int:
    """Return how many parts from the top of a block fit in the room left, sought by halves: more parts stand no lower."""
    fits, too_many = 0, least_left + 1
    while too_many - fits > 1:
        middle = (fits + too_many) // 2
        if height(_part(block, 0, middle)) > room:
            too_many = middle
        else:
            fits = middle
    return fits


def _shared_moment(first: TimelineBlock, rest: TimelineBlock, room: float) -> tuple[TimelineBlock, TimelineBlock]:
    """Return two parts of a timeline with as many deeds of the moment between them on the first as fit there."""
    moment = rest.moments[0]
    for kept in range(len(moment.deeds) - 1, 1, -1):
        longer = replace(first, moments=(*first.moments, replace(moment, deeds=moment.deeds[:kept])))
        if height(longer) <= room:
            return longer, replace(rest, moments=(replace(moment, deeds=moment.deeds[kept:]), *rest.moments[1:]))
    return first, rest


def _part(block: Block, start: int, end: int) -> Block:
    match block:
        case TableBlock():
            return replace(block, rows=block.rows[start:end], note=block.note if end == len(block.rows) else "")
        case TimelineBlock():
            return replace(block, moments=block.moments[start:end])
        case ChecklistBlock():
            return replace(block, items=block.items[start:end])
        case FindingsBlock():
            return replace(block, items=block.items[start:end])
        case ProseBlock():
            return replace(block, paragraphs=block.paragraphs[start:end], html="")
        case BlanksBlock():
            return replace(block, labels=block.labels[start:end])
    return block
