"""Tables and findings as plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from briefgen.document.parts.assemble import Source
from briefgen.document.parts.blocks import TableBlock

WIDTH = 100


def table_text(block: TableBlock) -> str:
    """Return one table as aligned text; the unit stands under the column head."""
    columns = []
    for index, head in enumerate(block.heads):
        cells = [row.cells[index].text.replace("\u00a0", " ") for row in block.rows]
        width = max(len(text) for text in (head.text, head.unit, *cells))
        columns.append([_set(text, width, head.align) for text in (head.text, head.unit, "-" * width, *cells)])
    lines = ["  ".join(parts).rstrip() for parts in zip(*columns, strict=True)]
    lines = [line for i, line in enumerate(lines) if i != 1 or line.strip()]
    note = [textwrap.fill(block.note, WIDTH)] if block.note else []
    return "\n".join([block.title, *lines, *note])


def _set(text: str, width: int, align: str) -> str:
    return text.rjust(width) if align == "right" else text.ljust(width)


def with_findings(source: Source, parts: Sequence[str]) -> str:
    """Return parts of a text with what was found under them."""
    words = [f"{found.outcome.upper():8}{source.printed.text(found.text)}" for found in source.plan.findings]
    return "\n\n".join([*parts, "\n".join(words)]).replace("\u00a0", " ").strip() + "\n"
