"""How a table is given its columns on a card: their shares of the width, empty ones to write in, halves side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.document.cards.layout import CELL, SIDE, SMALL, WIDTH
from briefgen.document.parts.blocks import Cell, Head, TableBlock, TableRow
from briefgen.document.parts.measure import SLACK_EM, width_em
from briefgen.errors import RenderError

BLANK_WIDTH = 46.0
NAME_WIDTH = 84.0  # that the names of rows are given before they are broken
ROOM = 2 * SIDE + SLACK_EM * CELL + 0.3


def fitted(block: TableBlock, width: float = WIDTH) -> list[TableBlock]:
    """Return a table with its columns given their shares of the width; as several tables when it is too wide for one."""
    least = [_least_width(block, i) for i in range(len(block.heads))]
    if sum(least) > width:  # names are broken over lines before a table is taken apart
        least[0] = _least_width(block, 0, 0.0)
    groups, group, used = [], [0], least[0]
    for i in range(1, len(block.heads)):
        if used + least[i] > width and len(group) > 1:
            groups.append(group)
            group, used = [0], least[0]
        group.append(i)
        used += least[i]
    groups.append(group)
    parts = [_columns(block, group, least, width) for group in groups]
    return [replace(part, title=block.title if i == 0 else "", note=block.note if i == len(parts) - 1 else "")
            for i, part in enumerate(parts)]  # fmt: skip


def _least_width(block: TableBlock, index: int, name_width: float = NAME_WIDTH) -> float:
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
            min(name_width, max((width_em(row.cells[0].text, bold=True) * CELL for row in block.rows), default=0.0))
        )
    return max(words, default=0.0) + ROOM


def _wanted_width(block: TableBlock, index: int) -> float:
    texts = [row.cells[index].text for row in block.rows]
    return max((width_em(text, bold=index == 0) * CELL for text in texts), default=0.0) + ROOM


def _columns(block: TableBlock, group: Sequence[int], least: Sequence[float], width: float) -> TableBlock:
    """Return a table of some columns of another; spare width goes to the columns that want it."""
    widths = [least[i] for i in group]
    if sum(widths) > width * 1.0001:
        raise RenderError(
            f"the table {block.title} does not fit on a card", hint="shorten the words in its first columns"
        )
    wishes = [max(0.0, _wanted_width(block, i) - least[i]) for i in group]
    spare = width - sum(widths)
    # The narrowest wishes first, each up to its part of what is left: two columns of sentences share, neither starves.
    waiting = sorted((i for i in range(len(group)) if wishes[i]), key=lambda i: wishes[i])
    for place, i in enumerate(waiting):
        granted = wishes[i] if wishes[i] <= spare / (len(waiting) - place) else 0.0
        widths[i], spare = widths[i] + granted, spare - granted
    unmet = [i for i in range(len(group)) if widths[i] < least[group[i]] + wishes[i]]
    for i in unmet or range(len(group)):
        widths[i] += spare / len(unmet or group)
    total = sum(widths)
    heads = tuple(replace(block.heads[i], share=round(w / total, 5)) for i, w in zip(group, widths, strict=True))
    rows = tuple(replace(row, cells=tuple(row.cells[i] for i in group)) for row in block.rows)
    return replace(block, heads=heads, rows=rows, width=width)


def with_blanks(block: TableBlock | None, *names: str) -> TableBlock | None:
    """Return a table with empty columns to write in."""
    if block is None:
        return None
    heads = (*block.heads, *(Head(name, blank=True) for name in names))
    rows = tuple(replace(row, cells=(*row.cells, *(Cell("") for _ in names))) for row in block.rows)
    return replace(block, heads=heads, rows=rows)


def in_halves(block: TableBlock | None) -> TableBlock | None:
    """Return a narrow table with its lower half beside its upper, so that it takes half the height."""
    if block is None:
        return None
    half = -(-len(block.rows) // 2)
    empty = TableRow(tuple(Cell("") for _ in block.heads))
    lower = (*block.rows[half:], empty)[:half]
    rows = tuple(TableRow((*a.cells, *b.cells)) for a, b in zip(block.rows[:half], lower, strict=True))
    return replace(block, heads=(*block.heads, *block.heads), rows=rows)
