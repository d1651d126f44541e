"""The ledger: every computed number of a plan, once, with its unit, how it was worked out, and from what.

Pages, cards, JSON, comparison and debrief look entries up; nothing downstream computes.
Any text that quotes a number does so as ``{key}``; the document room puts the printed figure in its place,
so a card and a page cannot print two roundings of one entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import datetime

from briefgen.frozen import dataclass

Value = float | str | datetime
ADDED = "sensitivity."  # begins the keys of what a build adds to a finished plan: no part of what is approved


@dataclass(frozen=True)
class Given:
    """Where a value was written, and how: the origin of an entry that somebody typed."""

    file: str
    line: int
    column: int
    text: str


@dataclass(frozen=True)
class Entry:
    """One number (or word, or instant) of the plan.

    ``value`` is SI (angles in degrees, engine speed in rev/min, instants in UTC); ``unit`` names the unit it is printed in,
    from the closed list in ``briefgen.units``; the empty unit means text.
    """

    key: str
    label: str
    value: Value
    unit: str
    decimals: int
    method: str
    inputs: tuple[str, ...] = ()
    source: str = ""
    given: Given | None = None
    rounding: str = "nearest"  # up or down: which way the printed figure errs


@dataclass(frozen=True)
class Foot:
    """An arithmetic promise of the printed page: the printed ``result`` equals the printed ``plus`` less the printed ``minus``.

    Feet are applied in order, so a leg's burn (difference of two remaining figures) may itself be a part of a later sum.
    Of a whole that is ``divided`` the parts give way, each by one in its last digit at most: the whole is printed elsewhere.
    """

    result: str
    plus: tuple[str, ...]
    minus: tuple[str, ...] = ()
    divided: bool = False


@dataclass(frozen=True)
class Column:
    """One column of a table: its name in the rows, its heading and the unit printed in the heading."""

    name: str
    head: str
    unit: str = ""


@dataclass(frozen=True)
class Row:
    """One row: column name to entry key (a missing column prints blank)."""

    name: str
    cells: Mapping[str, str]
    mark: str = ""  # a word such as "decision" or "total", for weight and rule, never for meaning by itself
    absent: Mapping[str, str] = field(default_factory=dict)  # column name to why its figure has no value


@dataclass(frozen=True)
class Table:
    """An ordered list of rows of entry keys."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    note: str = ""
    family: str = ""  # the name it was declared by, where that stands for several tables


@dataclass(frozen=True)
class Ledger:
    """All entries by key in the order of their making, the arithmetic promises between them, and why a figure is absent."""

    entries: Mapping[str, Entry] = field(default_factory=dict)
    feet: tuple[Foot, ...] = ()
    absent: Mapping[str, str] = field(default_factory=dict)

    def __getitem__(self, key: str) -> Entry:
        return self.entries[key]

    def __contains__(self, key: object) -> bool:
        return key in self.entries
