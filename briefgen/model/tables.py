"""Tables declared once: their columns are figures, and documents choose columns by naming the figures.

A declared table knows its name, heads and units; a section fills it with rows of records. A document that asks for a figure
the table does not have fails when it is imported, not on a card with an empty column.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from typing import Any

from briefgen.frozen import dataclass
from briefgen.model.ledger import Column, Row, Table
from briefgen.model.record import Figure, Record, Ref

_TABLES: set[str] = set()  # the names of all declared tables, and of their columns
_COLUMNS: set[str] = set()
FAMILY = "*"  # in a table's name stands for what tells the tables of one family apart


@dataclass(frozen=True)
class ColumnOf:
    """A column of a declared table: the figure it shows of each row's record, under which head.

    ``through`` names the attribute of the row's record that holds the record whose figure it is.
    """

    name: str
    head: str
    unit: str = ""
    figure: Figure[Any, Any] | None = None
    through: str = ""

    def __post_init__(self) -> None:
        _COLUMNS.add(self.name)

    def ref(self, record: Record) -> Ref | None:
        """Return what this column shows of a record, None where it is absent or the record is of another kind."""
        found = self._asked(record)
        return found if found is not None and found.there else None

    def absent(self, record: Record) -> str:
        """Return why this column shows nothing of a record, empty where it does or where no figure of the record is asked for."""
        found = self._asked(record)
        return "" if found is None else found.absent

    def _asked(self, record: Record) -> Ref | None:
        if self.figure is None:
            return None
        owner = getattr(record, self.through) if self.through else record
        return self.figure.of(owner) if isinstance(owner, self.figure.owner or object) else None


def column(
    figure: Figure[Any, Any], head: str, unit: str | None = None, *, name: str = "", through: str = ""
) -> ColumnOf:
    """Return a column that shows a figure of each row's record; its unit is the figure's unless another is given."""
    return ColumnOf(name or figure.name, head, figure.declared.unit if unit is None else unit, figure, through)


@dataclass(frozen=True)
class TableOf:
    """A declared table."""

    name: str
    title: str
    columns: tuple[ColumnOf, ...]
    note: str = ""

    def __post_init__(self) -> None:
        _TABLES.add(self.name)

    def column(self, wanted: ColumnOf | Figure[Any, Any]) -> ColumnOf:
        """Return the column that was declared for a figure.

        Raises:
            LookupError: The table has no such column.
        """
        for one in self.columns:
            if one is wanted or one.figure is wanted:
                return one
        raise LookupError(f"the table {self.name} has no column for {wanted!r}")

    def cell(self, row: Row, wanted: ColumnOf | Figure[Any, Any]) -> str:
        """Return the key of what a row of the filled table shows in a column, empty where it shows nothing."""
        return row.cells.get(self.column(wanted).name, "")

    def view(self, *wanted: ColumnOf | Figure[Any, Any]) -> View:
        """Return the choice of some columns in an order, for a document to show."""
        return View(self, tuple(self.column(one) for one in wanted))

    def filled(self, rows: Sequence[Row], *, which: str = "", title: str = "", note: str = "") -> Table:
        """Return the table with its rows; ``which`` stands for the star in a family's name."""
        heads = tuple(Column(one.name, one.head, one.unit) for one in self.columns)
        name = self.name.replace(FAMILY, which)
        return Table(name, title or self.title, heads, tuple(rows), note or self.note, family=self.name)

    def row(self, name: str, record: Record, mark: str = "", others: Mapping[ColumnOf, Ref] | None = None) -> Row:
        """Return a row with what every column shows of a record; ``others`` are cells from elsewhere."""
        cells = {one.name: ref.key for one in self.columns if (ref := one.ref(record)) is not None}
        cells |= {self.column(one).name: ref.key for one, ref in (others or {}).items()}
        absent = {one.name: why for one in self.columns if one.name not in cells and (why := one.absent(record))}
        return Row(name, cells, mark, absent)

    def row_of(self, name: str, cells: Mapping[ColumnOf, Ref], mark: str = "") -> Row:
        """Return a row of chosen figures, for a table whose rows are figures of one record."""
        return Row(name, {self.column(one).name: ref.key for one, ref in cells.items()}, mark)


@dataclass(frozen=True)
class View:
    """Some columns of a declared table, in the order in which a document shows them."""

    table: TableOf
    columns: tuple[ColumnOf, ...] = field(default=())


class Tables(dict[str, Table]):
    """The tables of a plan by name; who asks for one that nobody declares is told so, and not that it is not filled."""

    def get(self, name: str, default: Any = None) -> Any:
        """Return a table, the default where the plan does not fill it.

        Raises:
            LookupError: No section declares a table of that name.
        """
        if name not in self and name not in _TABLES and not any(_of_family(name, one) for one in _TABLES):
            raise LookupError(f"no section declares a table '{name}'")
        return super().get(name, default)


class Cells(dict[str, str]):
    """The cells of a row by column; who asks for a column that neither its table nor any other declares is told so."""

    def __init__(self, cells: Mapping[str, str], columns: frozenset[str]) -> None:
        super().__init__(cells)
        self.columns = columns

    def __reduce__(self) -> tuple[type[Cells], tuple[dict[str, str], frozenset[str]]]:
        return Cells, (dict(self), self.columns)

    def get(self, name: str, default: Any = "") -> Any:
        """Return the key in a column, the default where the row has none.

        Raises:
            LookupError: No table declares a column of that name.
        """
        return super().get(name, default) if name in self else default

    def __contains__(self, name: object) -> bool:
        if super().__contains__(name):
            return True
        if name not in self.columns and name not in _COLUMNS:
            raise LookupError(f"no table declares a column '{name}'")
        return False


def asked_of(columns: Sequence[str]) -> Sequence[str]:
    """Return names of columns that a document chooses among, each declared by some table.

    Raises:
        LookupError: No table declares a column of that name.
    """
    for name in columns:
        if name not in _COLUMNS:
            raise LookupError(f"no table declares a column '{name}'")
    return columns


def _of_family(name: str, family: str) -> bool:
    head, star, tail = family.partition(FAMILY)
    return bool(star) and name.startswith(head) and name.endswith(tail)


def declared(shown: TableOf | View) -> TableOf:
    """Return the table of a choice of columns, or the table itself."""
    return shown.table if isinstance(shown, View) else shown
