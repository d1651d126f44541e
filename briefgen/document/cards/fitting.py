"""How a grid is given its columns: each as wide as its longest word or figure, what is left to the columns that want it."""

from __future__ import annotations

from dataclasses import replace

from briefgen.document.cards.blocks import Grid, Line
from briefgen.document.cards.layout import MEASURES, SIDE, WIDTH, shown, size_of
from briefgen.document.parts.measure import SLACK_EM, width_em
from briefgen.errors import RenderError

BOX_WIDTH = 46.0
MORE = "More columns on the site."
FRAME = 2 * MEASURES["limit"]
SMALL = Line("", "small")


def fitted(grid: Grid, width: float = WIDTH) -> Grid:
    """Return a grid with the widths of its columns.

    Raises:
        RenderError: Its longest words do not stand beside each other.
    """
    gutters = [_gutter(grid, index) for index in range(len(grid.cols))]
    least = [_least(grid, i, whole=not (col.wide or col.wraps)) + gutters[i] for i, col in enumerate(grid.cols)]
    if sum(least) > width:  # names are broken over lines before anything else gives way
        least = [_least(grid, i, whole=False) + gutters[i] for i in range(len(grid.cols))]
    if sum(least) > width:
        raise RenderError(
            f"the table {grid.title or grid.name} does not fit on a card", hint="shorten the longest words in it"
        )
    widths = list(least)
    for index, col in enumerate(grid.cols):
        if col.part and sum(widths) - widths[index] + col.part * width <= width:
            widths[index] = max(widths[index], col.part * width)
    spare = width - sum(widths)
    wanting = [i for i, col in enumerate(grid.cols) if not col.part]
    wishes = {i: max(0.0, _whole(grid, i) + gutters[i] - widths[i]) for i in wanting}
    waiting = sorted((i for i in wanting if wishes[i] > 0.0), key=lambda i: wishes[i])
    for place, index in enumerate(waiting):
        granted = min(wishes[index], spare / (len(waiting) - place))
        widths[index], spare = widths[index] + granted, spare - granted
    takers = [i for i, col in enumerate(grid.cols) if col.wide] or list(range(len(grid.cols)))
    for index in takers:
        widths[index] += spare / len(takers)
    cols = tuple(replace(col, width=w, gutter=g) for col, w, g in zip(grid.cols, widths, gutters, strict=True))
    return replace(grid, cols=cols)


def _gutter(grid: Grid, index: int) -> float:
    """Return the room before a column: a gutter where a figure set right meets a word set left."""
    if index == 0:
        return 0.0
    before, here = grid.cols[index - 1], grid.cols[index]
    return MEASURES["gutter"] - 2 * SIDE if before.align == "right" and here.align == "left" else 0.0


def _lines(grid: Grid, index: int) -> list[Line]:
    found: list[Line] = []
    for row in grid.rows:
        start = 0
        for cell in row.cells:
            if start == index and cell.span == 1:
                found += cell.lines
            start += cell.span
    return found


def _has_box(grid: Grid, index: int) -> bool:
    return any(
        index < len(row.cells) and row.cells[index].box for row in grid.rows if all(c.span == 1 for c in row.cells)
    )


def _least(grid: Grid, index: int, *, whole: bool) -> float:
    """Return the width a column cannot go below: of figures the whole, of words the longest."""
    col = grid.cols[index]
    found = [BOX_WIDTH - 2 * SIDE] if _has_box(grid, index) else [0.0]
    found += [_width(word, SMALL) for head in col.heads for word in head.split(" ")]
    for line in _lines(grid, index):
        kept = whole or col.align == "right"
        words = [shown(line)] if kept else shown(line).split(" ")
        found += [_width(word, line) for word in words]
    return max(found) + 2 * SIDE


def _whole(grid: Grid, index: int) -> float:
    found = [_width(head, SMALL) for head in grid.cols[index].heads]
    found += [_width(shown(line), line) for line in _lines(grid, index)]
    return max(found, default=0.0) + 2 * SIDE


def _width(text: str, line: Line) -> float:
    """Return the width of a text set as a line is."""
    size, _ = size_of(line)
    return (width_em(text, bold=line.bold or bool(line.lead)) + SLACK_EM) * size + 0.3 + (FRAME if line.limit else 0.0)


def narrowed(grid: Grid, width: float = WIDTH) -> Grid:
    """Return a table for reference with as many of its first columns as stand beside each other; the site has all of them."""
    for kept in range(len(grid.cols), 1, -1):
        rows = tuple(replace(row, cells=row.cells[:kept]) for row in grid.rows)
        less = replace(grid, cols=grid.cols[:kept], rows=rows)
        if sum(_least(less, i, whole=False) + _gutter(less, i) for i in range(kept)) <= width:
            more = MORE if kept < len(grid.cols) else ""
            return replace(less, note=" ".join(filter(None, (grid.note, more))))
    return grid
