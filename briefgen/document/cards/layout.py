"""The measures of a card and how high each block stands on it.

The measures here are the ones both card templates are written to. Heights are worked out from the widths of the packaged
typeface; after the PDF is set its pages are counted, and a card that ran over is an error, never a clipped page.
"""

from __future__ import annotations

from briefgen.document.parts.blocks import (
    BlanksBlock,
    Block,
    ChartBlock,
    Check,
    ChecklistBlock,
    Deed,
    Figures,
    FindingLine,
    FindingsBlock,
    LinksBlock,
    Moment,
    NoteBlock,
    Paragraph,
    ProseBlock,
    TableBlock,
    TableRow,
    TimelineBlock,
)
from briefgen.document.parts.format import NO_BREAK
from briefgen.document.parts.measure import lines

# All in points. The content area fits A5 and half Letter alike; what is over is margin, for the thumb and the binding.
# Body type follows UK CAA CAP 676 chapter 7 (12 pt preferred, 10 pt the least) and NASA CR-177605 section 6 (gap between lines
# of 25 to 33 percent of the type size). Both renderers are given these figures; they hold none of their own.
MEASURES = {
    "width": 360.0, "height": 500.0, "top": 18.0, "bottom": 14.0, "band": 33.0, "below-band": 5.0, "foot": 23.0, "gap": 7.0,
    "text": 11.0, "text-line": 14.4,  # prose, notes, findings
    "act": 12.0, "act-line": 15.6,  # what is done: timeline and checklists
    "cell": 10.0, "cell-line": 13.0,  # tables
    "small": 9.0, "small-line": 11.4,  # column heads, labels, remarks
    "title": 12.5, "title-line": 15.2, "title-room": 3.4,
    "figure": 18.0, "figure-box": 38.0,
    "side": 3.0, "above": 2.2,  # room around what stands in a cell
    "write-in": 23.0,  # 8 mm: a pencil in a glove
    "time": 59.0, "actual": 52.0, "who": 32.0, "tick": 19.0, "bullet": 16.0,
}  # fmt: skip
WIDTH, HEIGHT = MEASURES["width"], MEASURES["height"]
TEXT, TEXT_LINE = MEASURES["text"], MEASURES["text-line"]
ACT, ACT_LINE = MEASURES["act"], MEASURES["act-line"]
CELL, CELL_LINE = MEASURES["cell"], MEASURES["cell-line"]
SMALL, SMALL_LINE = MEASURES["small"], MEASURES["small-line"]
SIDE, ABOVE = MEASURES["side"], MEASURES["above"]
WRITE_IN = MEASURES["write-in"]
RULE = 0.8  # a hairline under a row, as a screen draws it
FIGURES_ACROSS = 3
MOMENT_WIDTH = WIDTH - MEASURES["time"] - MEASURES["actual"] - 2 * SIDE
TIMES_HEIGHT = ACT_LINE + CELL_LINE  # a time in UTC over its local twin
CHECK_WIDTH = WIDTH - MEASURES["tick"] - MEASURES["who"]


def height(block: Block) -> float:
    """Return the height of a whole block with its title and the gap after it."""
    title = title_height(block.title, table_width(block) if isinstance(block, TableBlock) else WIDTH)
    match block:
        case Figures():
            body = MEASURES["figure-box"] * -(-len(block.items) // FIGURES_ACROSS)
        case TableBlock():
            body = _heads_height(block) + sum(row_height(block, row) for row in block.rows) + _note_height(block)
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


def title_height(title: str, width: float) -> float:
    """Return the height of the title of a block."""
    count = lines(title, width, MEASURES["title"], bold=True)
    return count * MEASURES["title-line"] + MEASURES["title-room"] if title else 0.0


def table_width(block: TableBlock) -> float:
    """Return the width a table is set in: that of the card, unless it was fitted to a card held sideways."""
    return block.width or WIDTH


def _note_height(block: TableBlock) -> float:
    return lines(block.note, table_width(block), SMALL) * SMALL_LINE + ABOVE if block.note else 0.0


def _heads_height(block: TableBlock) -> float:
    tallest = 1
    for head in block.heads:
        room = head.share * table_width(block) - 2 * SIDE
        count = lines(head.text, room, SMALL, bold=True) + (lines(head.unit, room, SMALL) if head.unit else 0)
        tallest = max(tallest, count)
    return tallest * SMALL_LINE + 2 * ABOVE + 2 * RULE


def row_height(block: TableBlock, row: TableRow) -> float:
    """Return the height of one table row."""
    count = 1
    for i, (head, cell) in enumerate(zip(block.heads, row.cells, strict=True)):
        room = head.share * table_width(block) - 2 * SIDE
        count = max(count, lines(cell.text, room, CELL, bold=bool(row.mark) or i == 0))
    least = WRITE_IN if any(head.blank for head in block.heads) else 0.0
    return max(least, count * CELL_LINE + 2 * ABOVE) + RULE


def moment_height(moment: Moment) -> float:
    """Return the height of one moment of the timeline."""
    count = sum(lines(deed_text(deed), MOMENT_WIDTH, ACT, bold=True) for deed in moment.deeds)
    return max(WRITE_IN, max(TIMES_HEIGHT, count * ACT_LINE) + 2 * ABOVE) + RULE


def deed_text(deed: Deed) -> str:
    """Return the text of a deed with those who act in front and the levers moved behind."""
    levers = " · ".join(f"{number}{NO_BREAK}{step}" for number, step in enumerate(deed.steps, 1))
    return " ".join(filter(None, (f"{deed.who}:" if deed.who else "", deed.text, levers)))


def check_height(item: Check) -> float:
    """Return the height of one line of a checklist."""
    half = CHECK_WIDTH / 2 - 2 * SIDE
    count = max(lines(item.challenge, half, ACT), lines(item.response, half, ACT, bold=True))
    note = lines(item.note, CHECK_WIDTH, SMALL) * SMALL_LINE if item.note else 0.0
    return count * ACT_LINE + 2 * ABOVE + note + 2 * RULE


def finding_head(item: FindingLine) -> str:
    """Return the first line of a finding: sign, outcome and title."""
    return " ".join(filter(None, (item.sign, f"{item.word}:" if item.word else "", item.title)))


def finding_height(item: FindingLine) -> float:
    """Return the height of one finding."""
    room = WIDTH - 4 * SIDE
    count = lines(finding_head(item), room, TEXT, bold=True)
    count += lines(item.text, room, TEXT) if item.text else 0
    count += lines(f"Cure: {item.cure}", room, TEXT) if item.cure else 0
    return count * TEXT_LINE + 2 * ABOVE


def paragraph_height(paragraph: Paragraph) -> float:
    """Return the height of one paragraph of prose."""
    text = "".join(run.text for run in paragraph.runs)
    room = WIDTH - (MEASURES["bullet"] * (paragraph.depth + 1) if paragraph.role == "li" else 0.0)
    return lines(text, room, TEXT, bold=True) * TEXT_LINE + SIDE
