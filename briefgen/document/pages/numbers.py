"""How each number was worked out: every entry of the ledger in a row, with what it was made from and what it goes into.

Thousands of entries pass through here, so the rows are written as text; every piece of theirs is escaped. Each row has a
number, by which the rows that it feeds are named, and end tags that HTML lets one leave out are left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from briefgen.document.parts.assemble import Source

LONG_LIST = 6  # links shown at once
SAME_STEM = "…"  # stands for the first parts of a key that are those of its row


def number_groups(source: Source) -> list[tuple[str, str, int]]:
    """Return the groups of entries by the first part of their keys: name, rows as markup, and how many."""
    entries = source.plan.ledger.entries
    numbers = {key: number for number, key in enumerate(entries, 1)}
    fed: dict[str, list[int]] = {}
    for key, entry in entries.items():
        for name in entry.inputs:
            fed.setdefault(name, []).append(numbers[key])
    groups: dict[str, list[str]] = {}
    for key in entries:
        groups.setdefault(key.split(".", 1)[0], []).append(_row(source, key, numbers, fed.get(key, [])))
    return [(name, "".join(rows), len(rows)) for name, rows in groups.items()]


def _row(source: Source, key: str, numbers: Mapping[str, int], feeds: Sequence[int]) -> str:
    entry = source.plan.ledger[key]
    origin = escape(entry.source)
    if entry.given:
        origin = f"{origin}<br>written: <q>{escape(entry.given.text)}</q>"
    stem = key.rpartition(".")[0] + "."
    made_from = [f"<a href=#n{numbers[name]}>{_shortened(name, stem)}</a>" for name in entry.inputs]
    return (
        f'<tr id="{key}"><th scope=row id=n{numbers[key]}>{escape(source.printed.label(key))}<code>{key}</code><td>{numbers[key]}'
        f"<td>{escape(source.printed.quoted(key))}<td>{escape(source.printed.text(entry.method))}<td>{_folded(made_from, ', ')}"
        f"<td>{_folded([f'<a href=#n{number}>{number}</a>' for number in feeds], ' ')}<td>{origin}\n"
    )


def _shortened(name: str, stem: str) -> str:
    return SAME_STEM + name.removeprefix(stem) if name.startswith(stem) else name


def _folded(links: Sequence[str], between: str) -> str:
    """Return links in a row, the first of them where there are many: all of them stand in the plan for other programs."""
    if len(links) <= LONG_LIST:
        return between.join(links)
    return f"{between.join(links[:LONG_LIST])} and {len(links) - LONG_LIST} more"
