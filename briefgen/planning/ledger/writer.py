"""The one way into the ledger: an entry names its inputs, and they must already stand there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TypeVar

from briefgen.frozen import replace
from briefgen.model.ledger import Column, Entry, Foot, Given, Ledger, Row, Table, Value
from briefgen.model.record import Record, note
from briefgen.model.shadow import Shadow, shadows
from briefgen.model.tables import Cells, Tables

R = TypeVar("R", bound=Record)

AIRSPEED = "airspeed"  # stands for the unit of her airspeed indicator, which the writer puts in its place


class LedgerWriter:
    """Collects entries, arithmetic promises and tables while a plan is made, then seals them."""

    def __init__(self, given: Mapping[str, Given], airspeed_unit: str = "mph") -> None:
        self._given = given
        self.airspeed_unit = airspeed_unit
        self._entries: dict[str, Entry] = {}
        self._feet: list[Foot] = []
        self.tables = Tables()
        self.absent: dict[str, str] = {}
        self._records: dict[str, list[Record]] = {}
        self._to_come: dict[
            str, str
        ] = {}  # inputs of adopted figures that were not in the ledger yet, and who named them

    def go_on(self, ledger: Ledger, tables: Mapping[str, Table]) -> None:
        """Take over a finished ledger and its tables, to be written on: what follows may rest on all of it."""
        self._entries.update(ledger.entries)
        self._feet += ledger.feet
        self.absent.update(ledger.absent)
        self.tables.update(tables)

    def adopt(self, record: Record) -> None:
        """Enter what a record and those below it throw into the ledger; an absent figure leaves its reason."""
        self._remember(record)
        for shadow in shadows(record):
            if shadow.absent is not None:
                self.absent[shadow.key] = shadow.absent
                continue
            self._cast(shadow)

    def _remember(self, record: Record) -> None:
        self._records.setdefault(record.at, []).append(record)
        for part in record.parts():
            self._remember(part)

    def records(self, kind: type[R], at: str = "") -> tuple[R, ...]:
        """Return the records of a kind that were adopted, all of them or those at one place, in order."""
        places = [self._records.get(at, [])] if at else self._records.values()
        return tuple(one for place in places for one in place if isinstance(one, kind))

    def _cast(self, shadow: Shadow) -> None:
        value = shadow.value
        if value is None:
            raise TypeError(f"the figure {shadow.key} came to nothing and says no reason")
        source, origin = shadow.source, None
        if shadow.spec:
            origin = self._given.get(shadow.spec)
            source = f"{origin.file}:{origin.line}" if origin else shadow.spec
        for name in shadow.inputs:
            if name not in self._entries:
                self._to_come.setdefault(name, shadow.key)
        self._enter(
            Entry(
                shadow.key,
                shadow.label,
                value,
                shadow.unit,
                shadow.decimals,
                shadow.how,
                shadow.inputs,
                source,
                origin,
                shadow.rounding,
            )
        )
        if shadow.foot is not None:
            self._feet.append(shadow.foot)

    def put(
        self,
        key: str,
        label: str,
        value: Value,
        unit: str = "",
        *,
        decimals: int = 0,
        method: str,
        inputs: tuple[str, ...] = (),
        source: str = "",
    ) -> str:
        """Enter a computed value and return its key; inputs must be keys already entered."""
        unknown = [name for name in inputs if name not in self._entries]
        if unknown:
            raise KeyError(f"entry {key} names inputs that are not in the ledger: {', '.join(unknown)}")
        return self._enter(Entry(key, label, value, unit, decimals, method, tuple(inputs), source))

    def given(
        self, key: str, label: str, value: Value, unit: str = "", *, spec: str, decimals: int = 0, method: str = "given"
    ) -> str:
        """Enter a value somebody wrote; ``spec`` is its path in the mission's map of given values."""
        origin = self._given.get(spec)
        source = f"{origin.file}:{origin.line}" if origin else spec
        return self._enter(Entry(key, label, value, unit, decimals, method, (), source, origin))

    def origin(self, spec: str) -> Given | None:
        """Return where and how a value of a specification was written, None when it was not."""
        return self._given.get(spec)

    def _enter(self, entry: Entry) -> str:
        if entry.key in self._entries:
            raise KeyError(f"entry {entry.key} is in the ledger twice")
        if entry.unit == AIRSPEED:
            entry = replace(entry, unit=self.airspeed_unit)
        self._entries[entry.key] = entry
        return entry.key

    def foot(self, result: str, plus: tuple[str, ...], minus: tuple[str, ...] = ()) -> None:
        """Promise that the printed ``result`` is the printed ``plus`` less the printed ``minus``."""
        for key in (result, *plus, *minus):
            if key not in self._entries:
                raise KeyError(f"a foot names {key}, which is not in the ledger")
        self._feet.append(Foot(result, plus, minus))

    def divide(self, whole: str, parts: Sequence[str]) -> None:
        """Promise that the printed ``parts`` add up to the printed ``whole``, which stays as it is: the parts absorb within one."""
        self._feet.append(Foot(whole, tuple(parts), divided=True))

    def table(self, name: str, title: str, columns: tuple[Column, ...], rows: list[Row], note: str = "") -> None:
        """Add a table of entries; every cell must name an entry."""
        self.tabulate(Table(name, title, columns, tuple(rows), note))

    def tabulate(self, table: Table) -> None:
        """Add a filled table; every cell must name an entry."""
        for row in table.rows:
            for key in row.cells.values():
                if key not in self._entries:
                    raise KeyError(f"table {table.name} names {key}, which is not in the ledger")
        columns = tuple(replace(c, unit=self.airspeed_unit) if c.unit == AIRSPEED else c for c in table.columns)
        names = frozenset(column.name for column in columns)
        rows = tuple(replace(row, cells=Cells(row.cells, names)) for row in table.rows)
        self.tables[table.name] = replace(table, columns=columns, rows=rows)

    def __contains__(self, key: str) -> bool:
        return key in self._entries

    def __getitem__(self, key: str) -> Entry:
        return self._entries[key]

    def keys(self, prefix: str) -> tuple[str, ...]:
        """Return the keys entered so far that begin with a prefix, in order of entry."""
        return tuple(key for key in self._entries if key.startswith(prefix))

    def number(self, key: str) -> float:
        """Return the SI value of a numeric entry; a figure being worked out notes it as read."""
        note(key)
        value = self._entries[key].value
        if not isinstance(value, float | int):
            raise TypeError(f"entry {key} is not a number")
        return float(value)

    def instant(self, key: str) -> datetime:
        """Return the instant of a time entry; a figure being worked out notes it as read."""
        note(key)
        value = self._entries[key].value
        if not isinstance(value, datetime):
            raise TypeError(f"entry {key} is not an instant")
        return value

    def sealed(self) -> Ledger:
        """Return the finished ledger, each entry behind those it rests on.

        Raises:
            KeyError: A figure rests on one of a record that stands nowhere in the plan, or in the end on itself.
        """
        for name, by in self._to_come.items():
            if name not in self._entries:
                raise KeyError(f"entry {by} rests on {name}, which is not in the ledger")
        for foot in self._feet:
            for name in (foot.result, *foot.plus, *foot.minus):
                if name not in self._entries:
                    raise KeyError(f"a foot names {name}, which is not in the ledger")
        return Ledger(self._in_order(), tuple(self._feet), dict(self.absent))

    def _in_order(self) -> dict[str, Entry]:
        """Return the entries in the order of their making, but none before one that it rests on."""
        ordered: dict[str, Entry] = {}
        open_: dict[str, None] = {}
        stack = list(reversed(self._entries))
        while stack:
            key = stack[-1]
            if key in ordered:
                stack.pop()
                continue
            waits = [name for name in self._entries[key].inputs if name not in ordered]
            if not waits:
                ordered[stack.pop()] = self._entries[key]
                open_.pop(key, None)
                continue
            circle = [name for name in waits if name in open_]
            if circle or key in waits:
                raise KeyError(f"the entry {key} rests in the end on itself, by {', '.join(circle or waits)}")
            open_[key] = None
            stack += reversed(waits)
        return ordered
