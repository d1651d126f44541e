"""Lines of words in a table of figures: each at its minute in the first column, those that stand on one line joined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.document.cards.blocks import Cell, Grid, Line, Row
from briefgen.document.cards.events import Told, joined_words
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.layout import cell_width, line_height

MOST_CELLS = 2  # of a line of words: its minute and the words, or both in one


def words_row(words: str, time: Line | None, span: int, events: Sequence[int], *, bold: bool = False) -> Row:
    """Return a line of words over a table of so many columns; without a minute it belongs to the row before it."""
    first = Cell((time,)) if time else Cell()
    name = time.text if time else ""
    return Row(
        (first, Cell((Line(words, bold=bold),), span=span - 1)), name=name, events=tuple(events), header=bool(time)
    )


def told_row(moment: Sequence[Told], span: int) -> Row:
    """Return the line of some events that stand together."""
    time = Line(moment[0].utc, bold=True, key=moment[0].event.time_key)
    return words_row(joined_words(moment), time, span, [one.number for one in moment])


def packed(grid: Grid) -> Grid:
    """Return a table whose lines of words are joined wherever that takes a line less; the minute of each stays."""
    sized, rows = fitted(grid), list[Row]()
    for row in grid.rows:
        both = _joined(sized, rows[-1], row) if rows else None
        if both:
            rows[-1] = both
        else:
            rows.append(row)
    return replace(grid, rows=tuple(rows))


def _joined(grid: Grid, before: Row, row: Row) -> Row | None:
    """Return two lines of words as one, None where they are none or take no line less."""
    first, words, minute = _words(grid, before), _words(grid, row), _minute(row)
    if first is None or words is None or not minute:
        return None
    more = f"; {minute} {words.text}"
    text = first.text if f"{first.text};".endswith(f"{more};") else f"{first.text}{more}"
    line = replace(first, text=text, bold=first.bold or words.bold)
    room = cell_width(grid, len(before.cells) - 1, before.cells[-1])
    if line_height(line, room) >= line_height(first, room) + line_height(words, room):
        return None
    cells = (*before.cells[:-1], replace(before.cells[-1], lines=(line,)))
    return replace(before, cells=cells, events=(*before.events, *row.events))


def _words(grid: Grid, row: Row) -> Line | None:
    """Return the words of a row that is a line of words over the whole table, None of another row."""
    last = row.cells[-1]
    over = len(row.cells) <= MOST_CELLS and len(row.cells) - 1 + last.span == len(grid.cols) and last.span > 1
    return last.lines[0] if over and len(last.lines) == 1 and not last.lines[0].limit else None


def _minute(row: Row) -> str:
    """Return the minute of a line of words, empty where it belongs to the row before it."""
    first = row.cells[0].lines
    return (first[0].lead or first[0].text) if first else ""
