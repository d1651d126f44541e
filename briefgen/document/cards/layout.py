"""The measures of a card and how high each block stands on it.

Both templates are written to these measures and hold none of their own. Heights are worked out from the widths of the packaged
typeface; after the PDF is set its pages are counted, and a card that ran over is an error, never a clipped page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.document.cards.blocks import Block, Cell, Chart, Grid, Line, Prose, Row, Sentence, Size
from briefgen.document.parts.blocks import Identity, Paragraph
from briefgen.document.parts.measure import lines

# All in points. Nothing is smaller than 10 (UK CAA CAP 676 chapter 7, the least of body text); what is done or read in flight
# stands at 13, whose x-height in this typeface is 0.10 inch (NASA CR-177605 section 6: 7.2 points over 0.55 of the size), with
# gaps between lines of 25 to 33 percent of the size.
MEASURES = {
    "width": 362.0, "height": 492.0, "left": 25.5, "right": 32.0, "top": 19.0, "bottom": 15.0,
    "small": 10.0, "small-line": 12.8, "act": 13.0, "act-line": 16.3, "head": 17.0, "head-line": 21.3,
    "big": 25.0, "big-line": 31.4, "sentence": 15.0, "sentence-line": 19.2,
    "identity": 15.0, "title": 17.0, "title-line": 28.0, "below-title": 7.0, "foot": 17.0, "band": 27.0, "band-room": 19.0,
    "side": 3.0, "gap": 6.0, "gutter": 12.0, "box": 21.0, "frame": 5.0, "grid-title": 18.0, "bullet": 14.0,
    "tab-width": 12.5, "tab-height": 65.0, "tab-first": 57.0, "tab-step": 70.9,
    "limit": 3.0,
}  # fmt: skip
WIDTH, HEIGHT, SIDE, GAP = MEASURES["width"], MEASURES["height"], MEASURES["side"], MEASURES["gap"]
LONG_WIDTH = HEIGHT + MEASURES["identity"] + MEASURES["title-line"] + MEASURES["below-title"] + MEASURES["foot"]
LONG_HEIGHT = WIDTH - (LONG_WIDTH - HEIGHT)  # of what stands on a card held sideways, between its head and its foot
RULE, THICK = 0.6, 1.0
BOX, LOW_BOX, TALL_BOX = (
    MEASURES["box"],
    17.4,
    30.0,
)  # boxes to write in: 7.4 mm, the least where rows are many, and on the route
TAG_ROOM = 96.0  # of the tag that says whether the plan is approved, beside the line of mission and day
WRITE_ROOM = 20.0  # over a line to write on


def head_text(identity: Identity) -> str:
    """Return what every card is headed by: mission, revision, day, and whether it is approved as it stands."""
    head = f"{identity.number} {identity.mission} · rev {identity.revision} · {identity.date}"
    return f"{head} · {identity.approval}" if identity.approval else head


def head_lines(identity: Identity) -> int:
    """Return on how many lines that stands."""
    return lines(head_text(identity), WIDTH - TAG_ROOM, MEASURES["small"])


def size_of(line: Line) -> tuple[float, float]:
    """Return type size and line pitch of a line."""
    return MEASURES[line.size], MEASURES[f"{line.size}-line"]


def shown(line: Line) -> str:
    """Return a line as it stands, its lead in front."""
    return f"{line.lead} {line.text}" if line.lead else line.text


def line_height(line: Line, width: float) -> float:
    """Return how high a line stands in a width, wrapped where it must be."""
    size, pitch = size_of(line)
    inside = width - (2 * MEASURES["limit"] if line.limit else 0.0)
    count = lines(shown(line), inside, size, bold=line.bold or bool(line.lead))
    return count * pitch + (2.0 if line.limit else 0.0)


def cell_height(cell: Cell, width: float) -> float:
    """Return how high what stands in a cell is."""
    found = sum(line_height(line, width) for line in cell.lines) + (2.6 if cell.bar else 0.0)
    if cell.write:
        found += WRITE_ROOM
    return max(found, cell.box)


def cell_width(grid: Grid, start: int, cell: Cell) -> float:
    """Return the room inside a cell that begins in a column."""
    cols = grid.cols[start : start + cell.span]
    return sum(col.width for col in cols) - cols[0].gutter - 2 * SIDE


def row_height(grid: Grid, row: Row) -> float:
    """Return the height of one row with its rule; a cell that stands over several rows is counted by `joined_extra`."""
    tallest, start = 0.0, 0
    for cell in row.cells:
        if not cell.joins:
            tallest = max(tallest, cell_height(cell, cell_width(grid, start, cell)))
        start += cell.span
    return tallest + 2 * grid.pad + RULE + (3.0 if row.framed else 0.0)


def joined_extra(grid: Grid, heights: Sequence[float]) -> list[float]:
    """Return what each row, of a height, must be higher by, so that the joined cells that begin in it find room over their rows."""
    rows = grid.rows
    extra = [0.0] * len(rows)
    for index, row in enumerate(rows):
        start = 0
        for cell in row.cells:
            if cell.joins and (index == 0 or not _continues(rows[index - 1], start, cell)):
                count = cell.rows
                while index + count < len(rows) and _continues(rows[index + count], start, cell):
                    count += 1
                need = cell_height(cell, cell_width(grid, start, cell)) + 2 * grid.pad
                room = sum(heights[index : index + count])
                extra[index] = max(extra[index], need - room)
            start += cell.span
    return extra


def _continues(row: Row, start: int, cell: Cell) -> bool:
    at = 0
    for other in row.cells:
        if at == start:
            return bool(other.joins) and other.joins == cell.joins
        at += other.span
    return False


def heads_height(grid: Grid) -> float:
    """Return the height of the heads of the columns."""
    if not grid.headed:
        return 0.0
    tallest = 1
    for col in grid.cols:
        room = col.width - col.gutter - 2 * SIDE
        tallest = max(tallest, sum(lines(head, room, MEASURES["small"]) for head in col.heads))
    return tallest * MEASURES["small-line"] + 3.0 + THICK


def title_height(grid: Grid) -> float:
    """Return the height of a grid's title with its note."""
    if not grid.title and not grid.note:
        return 0.0
    beside = note_beside(grid)
    return (MEASURES["grid-title"] if grid.title else 0.0) + (
        0.0 if beside or not grid.note else lines(grid.note, WIDTH, MEASURES["small"]) * MEASURES["small-line"]
    ) + (2.0 if not grid.headed else 0.0)  # fmt: skip


def note_beside(grid: Grid) -> bool:
    """Return whether the note of a grid stands on the line of its title."""
    if not grid.title or not grid.note:
        return False
    both = f"{grid.title}    {grid.note}"
    return lines(both, WIDTH, MEASURES["act"], bold=True) == 1


def height(block: Block) -> float:
    """Return the height of a whole block and the gap after it."""
    match block:
        case Sentence():
            body = lines(block.text, WIDTH, MEASURES["sentence"], bold=True) * MEASURES["sentence-line"]
        case Prose():
            body = (MEASURES["grid-title"] if block.title else 0.0) + sum(map(paragraph_height, block.paragraphs))
        case Chart():
            body = (MEASURES["grid-title"] if block.title else 0.0) + block.drawing.height
        case Grid():
            heights = [row_height(block, row) for row in block.rows]
            rows = sum(heights) + sum(joined_extra(block, heights))
            body = title_height(block) + heads_height(block) + rows + (2 * MEASURES["frame"] if block.frame else 0.0)
    return body + GAP


def paragraph_height(paragraph: Paragraph) -> float:
    """Return the height of one paragraph of prose."""
    text = "".join(run.text for run in paragraph.runs)
    room = WIDTH - (MEASURES["bullet"] * (paragraph.depth + 1) if paragraph.role == "li" else 0.0)
    return lines(text, room, MEASURES["act"], bold=True) * MEASURES["act-line"] + 3.0


def smallest(sizes: Sequence[Size]) -> float:
    """Return the least of some sizes of type."""
    return min(MEASURES[size] for size in sizes)


def joined(grid: Grid) -> Grid:
    """Return a grid whose joined cells are written once, over their rows."""
    rows = list(grid.rows)
    extra = joined_extra(grid, [row_height(grid, row) for row in rows])
    made = []
    for index, row in enumerate(rows):
        cells, start = [], 0
        for cell in row.cells:
            if cell.joins and index and _continues(rows[index - 1], start, cell):
                start += cell.span
                continue
            count = 1
            while cell.joins and index + count < len(rows) and _continues(rows[index + count], start, cell):
                count += 1
            cells.append(replace(cell, rows=count))
            start += cell.span
        made.append(replace(row, cells=tuple(cells)))
    return replace(grid, rows=tuple(made)) if any(extra) or made != rows else grid
