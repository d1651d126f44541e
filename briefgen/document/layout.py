"""How high each block stands on a card, and how blocks are dealt out so that each card is exactly one page.

The measures here are the ones both card templates are written to. They are estimates on the safe side; after the PDF is set its
pages are counted, and a card that ran over is an error, never a clipped page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from briefgen.document.blocks import (
    BlanksBlock,
    Block,
    Card,
    Cell,
    ChartBlock,
    Check,
    ChecklistBlock,
    Deed,
    Figures,
    FindingLine,
    FindingsBlock,
    Head,
    LinksBlock,
    Moment,
    NoteBlock,
    Paragraph,
    ProseBlock,
    TableBlock,
    TableRow,
    TimelineBlock,
)
from briefgen.document.measure import lines, width_em
from briefgen.errors import RenderError

# All in points. The content area fits A5 and half Letter alike; what is over is margin, for the thumb and the binding.
# Body type follows UK CAA CAP 676 chapter 7 (12 pt preferred, 10 pt the least) and NASA CR-177605 section 6 (gap between lines
# of 25 to 33 percent of the type size). Both renderers are given these figures; they hold none of their own.
MEASURES = {
    "width": 352.0, "height": 470.0, "band": 40.0, "foot": 31.0, "gap": 8.0,
    "text": 11.0, "text-line": 14.4,  # prose, notes, findings
    "act": 12.0, "act-line": 15.6,  # what is done: timeline and checklists
    "cell": 10.0, "cell-line": 13.0,  # tables
    "small": 9.0, "small-line": 11.4,  # column heads, labels, remarks
    "title": 12.5, "title-line": 22.0,
    "figure": 18.0, "figure-box": 43.0,
    "side": 3.0, "above": 2.4,  # room around what stands in a cell
    "write-in": 23.0,  # 8 mm: a pencil in a glove
    "time": 60.0, "actual": 46.0, "who": 32.0, "tick": 19.0, "step": 13.0, "bullet": 16.0,
}  # fmt: skip
WIDTH, HEIGHT = MEASURES["width"], MEASURES["height"]
TEXT, TEXT_LINE = MEASURES["text"], MEASURES["text-line"]
ACT, ACT_LINE = MEASURES["act"], MEASURES["act-line"]
CELL, CELL_LINE = MEASURES["cell"], MEASURES["cell-line"]
SMALL, SMALL_LINE = MEASURES["small"], MEASURES["small-line"]
SIDE, ABOVE = MEASURES["side"], MEASURES["above"]
WRITE_IN = MEASURES["write-in"]
RULE = 0.8  # a hairline under a row, as a screen draws it
BLANK_WIDTH = 46.0
NAME_WIDTH = 84.0  # that the names of rows are given before they are broken
FIGURES_ACROSS = 3
SHORT_RATIO = 0.5
WORTHWHILE_PARTS = 3  # rows of a block that are worth beginning it at the foot of a card
MOMENT_WIDTH = WIDTH - MEASURES["time"] - MEASURES["actual"] - 2 * SIDE
TIMES_HEIGHT = ACT_LINE + CELL_LINE  # a time in UTC over its local twin
CHECK_WIDTH = WIDTH - MEASURES["tick"] - MEASURES["who"]


@dataclass(frozen=True)
class Section:
    """Blocks that belong on cards of one title."""

    title: str
    blocks: tuple[Block, ...]


# --- heights ----------------------------------------------------------------------------------------------------------


def height(block: Block) -> float:
    """Return the height of a whole block with its title and the gap after it."""
    title = MEASURES["title-line"] if block.title else 0.0
    match block:
        case Figures():
            body = MEASURES["figure-box"] * -(-len(block.items) // FIGURES_ACROSS)
        case TableBlock():
            body = _heads_height(block) + sum(row_height(block, row) for row in block.rows) + _note_height(block.note)
        case TimelineBlock():
            body = SMALL_LINE + 2 * ABOVE + 2 * RULE + sum(moment_height(moment) for moment in block.moments)
        case ChecklistBlock():
            body = sum(check_height(item) for item in block.items)
        case FindingsBlock():
            body = sum(finding_height(item) for item in block.items)
        case ProseBlock():
            body = sum(paragraph_height(paragraph) for paragraph in block.paragraphs)
        case NoteBlock():
            body = lines(block.text, WIDTH, TEXT) * TEXT_LINE
        case BlanksBlock():
            body = -(-len(block.labels) // block.columns) * (WRITE_IN + SIDE)
        case ChartBlock():
            body = WIDTH * block.drawing.height / block.drawing.width
        case LinksBlock():
            body = 0.0
    return title + body + MEASURES["gap"]


def _note_height(note: str) -> float:
    return lines(note, WIDTH, SMALL) * SMALL_LINE + ABOVE if note else 0.0


def _heads_height(block: TableBlock) -> float:
    tallest = 1
    for head in block.heads:
        room = head.share * WIDTH - 2 * SIDE
        count = lines(head.text, room, SMALL, bold=True) + (lines(head.unit, room, SMALL) if head.unit else 0)
        tallest = max(tallest, count)
    return tallest * SMALL_LINE + 2 * ABOVE + 2 * RULE


def row_height(block: TableBlock, row: TableRow) -> float:
    """Return the height of one table row."""
    count = 1
    for i, (head, cell) in enumerate(zip(block.heads, row.cells, strict=True)):
        room = head.share * WIDTH - 2 * SIDE
        count = max(count, lines(cell.text, room, CELL, bold=bool(row.mark) or i == 0))
    least = WRITE_IN if any(head.blank for head in block.heads) else 0.0
    return max(least, count * CELL_LINE + 2 * ABOVE) + RULE


def moment_height(moment: Moment) -> float:
    """Return the height of one moment of the timeline."""
    count = 0
    for deed in moment.deeds:
        count += lines(deed_text(deed), MOMENT_WIDTH, ACT, bold=True)
        count += sum(lines(step, MOMENT_WIDTH - MEASURES["step"], ACT) for step in deed.steps)
    return max(WRITE_IN, max(TIMES_HEIGHT, count * ACT_LINE) + 2 * ABOVE) + RULE


def deed_text(deed: Deed) -> str:
    """Return the text of a deed with those who act in front."""
    return f"{deed.who}: {deed.text}" if deed.who else deed.text


def check_height(item: Check) -> float:
    """Return the height of one line of a checklist."""
    half = CHECK_WIDTH / 2 - 2 * SIDE
    count = max(lines(item.challenge, half, ACT), lines(item.response, half, ACT, bold=True))
    note = lines(item.note, CHECK_WIDTH, SMALL) * SMALL_LINE if item.note else 0.0
    return count * ACT_LINE + 2 * ABOVE + note + 2 * RULE


def finding_height(item: FindingLine) -> float:
    """Return the height of one finding."""
    room = WIDTH - 4 * SIDE
    count = lines(f"{item.sign} {item.word}: {item.title}", room, TEXT, bold=True) + lines(item.text, room, TEXT)
    count += lines(f"To pass: {item.cure}", room, TEXT) if item.cure else 0
    return count * TEXT_LINE + 2 * ABOVE


def paragraph_height(paragraph: Paragraph) -> float:
    """Return the height of one paragraph of prose."""
    text = "".join(run.text for run in paragraph.runs)
    room = WIDTH - (MEASURES["bullet"] * (paragraph.depth + 1) if paragraph.role == "li" else 0.0)
    return lines(text, room, TEXT, bold=True) * TEXT_LINE + SIDE


# --- columns ----------------------------------------------------------------------------------------------------------


def fitted(block: TableBlock) -> list[TableBlock]:
    """Return a table with its columns given their shares of the width; as several tables when it is too wide for one."""
    least = [_least_width(block, i) for i in range(len(block.heads))]
    groups, group, used = [], [0], least[0]
    for i in range(1, len(block.heads)):
        if used + least[i] > WIDTH and len(group) > 1:
            groups.append(group)
            group, used = [0], least[0]
        group.append(i)
        used += least[i]
    groups.append(group)
    parts = [_columns(block, group, least) for group in groups]
    return [replace(part, title=block.title if i == 0 else "", note=block.note if i == len(parts) - 1 else "")
            for i, part in enumerate(parts)]  # fmt: skip


def _least_width(block: TableBlock, index: int) -> float:
    """Return the width a column cannot go below: its longest word, or for figures the whole figure."""
    head = block.heads[index]
    if head.blank:
        return BLANK_WIDTH
    words = [width_em(word, bold=True) * SMALL for word in (*head.text.split(" "), head.unit)]
    for row in block.rows:
        text = row.cells[index].text
        whole = [text] if head.align == "right" else text.split(" ")
        words += [width_em(word, bold=bool(row.mark) or index == 0) * CELL for word in whole]
    if index == 0:
        words.append(
            min(NAME_WIDTH, max((width_em(row.cells[0].text, bold=True) * CELL for row in block.rows), default=0.0))
        )
    return max(words, default=0.0) + 2 * SIDE + 1.0


def _wanted_width(block: TableBlock, index: int) -> float:
    texts = [row.cells[index].text for row in block.rows]
    return max((width_em(text, bold=index == 0) * CELL for text in texts), default=0.0) + 2 * SIDE + 1.0


def _columns(block: TableBlock, group: Sequence[int], least: Sequence[float]) -> TableBlock:
    """Return a table of some columns of another; spare width goes to the columns that want it."""
    widths = [least[i] for i in group]
    if sum(widths) > WIDTH * 1.0001:
        raise RenderError(
            f"the table {block.title} does not fit on a card", hint="shorten the words in its first columns"
        )
    wishes = [max(0.0, _wanted_width(block, i) - least[i]) for i in group]
    spare = WIDTH - sum(widths)
    wanted = sum(wishes)
    if wanted:
        granted = min(1.0, spare / wanted)
        widths = [w + granted * wish for w, wish in zip(widths, wishes, strict=True)]
        spare -= granted * wanted
    widths = [width + spare / len(widths) for width in widths]
    total = sum(widths)
    heads = tuple(replace(block.heads[i], share=round(w / total, 5)) for i, w in zip(group, widths, strict=True))
    rows = tuple(replace(row, cells=tuple(row.cells[i] for i in group)) for row in block.rows)
    return replace(block, heads=heads, rows=rows)


def with_blanks(block: TableBlock | None, *names: str) -> TableBlock | None:
    """Return a table with empty columns to write in."""
    if block is None:
        return None
    heads = (*block.heads, *(Head(name, blank=True) for name in names))
    rows = tuple(replace(row, cells=(*row.cells, *(Cell("") for _ in names))) for row in block.rows)
    return replace(block, heads=heads, rows=rows)


# --- dealing out ------------------------------------------------------------------------------------------------------


def dealt(position: str, sections: Iterable[Section]) -> list[Card]:
    """Return the cards of one position in order, each no higher than a page, parts of one title numbered."""
    cards: list[Card] = []
    for section in sections:
        pages = _pages(section)
        cards += [Card(position, section.title, page, i, len(pages)) for i, page in enumerate(pages, 1)]
    return cards


def _pages(section: Section) -> list[tuple[Block, ...]]:
    pages: list[tuple[Block, ...]] = []
    current: list[Block] = []
    room = HEIGHT
    waiting = [
        part for block in section.blocks for part in (fitted(block) if isinstance(block, TableBlock) else [block])
    ]
    while waiting:
        block = waiting.pop(0)
        need = height(block)
        if need <= room:
            current.append(block)
            room -= need
            continue
        # What fits on half a card stands whole on the next one; a table is read at one look.
        short = need <= SHORT_RATIO * HEIGHT and bool(current) and not isinstance(block, TimelineBlock)
        first, rest = (None, block) if short else split(block, room)
        if first is not None and rest is not None and (not current or _worth(first)):
            current.append(first)
            waiting.insert(0, rest)
        elif current:
            waiting.insert(0, block)
        else:
            raise RenderError(
                f"{block.title or block.kind} on the card {section.title} is higher than a page",
                hint="shorten it in the specification",
            )
        pages.append(tuple(current))
        current, room = [], HEIGHT
    if current:
        pages.append(tuple(current))
    return pages


def _worth(block: Block) -> bool:
    """Return whether a first part is worth starting a block at the foot of a page: at least three lines of it."""
    return len(_parts(block)) >= WORTHWHILE_PARTS


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
    for kept in range(count - 1, -1, -1):
        first, rest = _part(block, 0, kept), _part(block, kept, count)
        if kept and height(first) > room:
            continue
        if isinstance(first, TimelineBlock) and isinstance(rest, TimelineBlock):
            first, rest = _shared_moment(first, rest, room)
        return (first, rest) if _parts(first) else (None, block)
    return None, block


def _shared_moment(first: TimelineBlock, rest: TimelineBlock, room: float) -> tuple[TimelineBlock, TimelineBlock]:
    """Return two parts of a timeline with as many deeds of the moment between them on the first as fit there."""
    moment = rest.moments[0]
    for kept in range(len(moment.deeds) - 1, 0, -1):
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
