"""Variations side by side, for the terminal and for other programs."""

from __future__ import annotations

import json
import shutil
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import asdict

from briefgen.comparison.text import decision_lines, judged_lines, sorted_out
from briefgen.model.bench import Varied, WhatIf

WIDTH = 100
INDENT = " " * 4


def whatif_json(found: WhatIf) -> str:
    """Return variations as data, each with its whole comparison."""
    return json.dumps(asdict(found), indent=1, ensure_ascii=False) + "\n"


def whatif_text(found: WhatIf, width: int | None = None) -> str:
    """Return variations side by side, then what each of them turns.

    The columns are dealt over as many tables as the width asks for; without a width that of the terminal is taken.
    """
    width = width or max(60, shutil.get_terminal_size((WIDTH, 24)).columns)
    lines = [f"{found.number} {found.name}: as written, and what if"]
    lines += [line for number, one in enumerate(found.variations, 1) for line in _legend(number, one)]
    shown = [("as written", found.written), *((f"[{n}]", one) for n, one in enumerate(found.variations, 1) if one.comparison)]  # fmt: skip
    lines += _tables(found.labels, shown, width)
    for number, one in enumerate(found.variations, 1):
        lines += ["", f"[{number}] {one.name}", *_told(one)]
    return "\n".join(lines) + "\n"


def _legend(number: int, one: Varied) -> list[str]:
    sets = "; ".join(f"{change.path} = {change.text}" for change in one.changes)
    return textwrap.wrap(f"[{number}] {one.name}: {sets}" if sets != one.name else f"[{number}] {sets}", WIDTH, initial_indent="  ", subsequent_indent=INDENT)  # fmt: skip


def _tables(labels: Sequence[tuple[str, str]], shown: Sequence[tuple[str, Varied]], width: int) -> Iterator[str]:
    """Yield the first figures, and how many findings fail or caution, by column; every table begins with that as written."""
    heads = ["", *(label for _, label in labels), "Findings that fail", "Findings with caution"]
    columns = [[head, *(text for _, text in one.figures), str(len(one.failed)), str(len(one.cautioned))] for head, one in shown]  # fmt: skip
    first = [text.ljust(max(map(len, heads))) for text in heads]
    begin, written = 1, _aligned(columns[0])
    while begin < len(columns) or begin == 1:
        parts = [first, written]
        while begin < len(columns):
            part = _aligned(columns[begin])
            if len(parts) > 2 and _across([*parts, part]) > width:
                break
            parts.append(part)
            begin += 1
        yield ""
        yield from ("  ".join(cells).rstrip() for cells in zip(*parts, strict=True))
        if len(columns) == 1:
            return


def _aligned(cells: Sequence[str]) -> list[str]:
    widest = max(map(len, cells))
    return [cell.rjust(widest) for cell in cells]


def _across(parts: Sequence[Sequence[str]]) -> int:
    return len("  ".join(part[0] for part in parts))


def _told(one: Varied) -> Iterator[str]:
    """Yield what a variation turns: findings with another outcome, margins that shrank, decisions that moved."""
    if one.comparison is None:
        yield from textwrap.wrap(
            f"cannot be planned: {one.refused}", WIDTH, initial_indent="  ", subsequent_indent=INDENT
        )
        return
    turned = False
    for title, judged in sorted_out(one.comparison)[:2]:
        if judged:
            turned = True
            yield f"  {title}"
            yield from (f"  {line}" for line in judged_lines(judged))
    if not turned:
        yield "  no finding turns, no margin shrinks"
    moved = list(decision_lines(one.comparison))
    if moved:
        yield "  Decisions that moved"
        yield from (f"  {line}" for line in moved)
