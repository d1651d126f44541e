"""A checked file read value by value: what a builder asks, by key."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, TypeVar

from briefgen.frozen import dataclass
from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.load import KeyPath
from briefgen.units import Quantity

Value = TypeVar("Value")


@dataclass(frozen=True)
class Reader:
    """One group of keys of a checked file without faults."""

    checked: Checked
    path: KeyPath = ()

    @property
    def data(self) -> Any:
        """The plain data of this group."""
        data: Any = self.checked.document.data
        for part in self.path:
            data = data[part]
        return data

    def __contains__(self, key: str) -> bool:
        return key in self.data

    def at(self, *keys: str | int) -> Reader:
        """Return the reader of a group further in."""
        return Reader(self.checked, (*self.path, *keys))

    def each(self, key: str) -> Iterator[Reader]:
        """Yield the groups of a list; none if the key is not given."""
        for index in range(len(self.data.get(key) or ())):
            yield self.at(key, index)

    def text(self, key: str | int) -> str:
        """Return a text as it was written."""
        return self.checked.document.texts[(*self.path, key)]

    def text_or(self, key: str, otherwise: str) -> str:
        """Return a text, or another where it is not given."""
        return self.text(key) if key in self else otherwise

    def texts(self, key: str) -> tuple[str, ...]:
        """Return the texts of a list; none if the key is not given."""
        return tuple(self.at(key).text(index) for index in range(len(self.data.get(key) or ())))

    def value(self, key: str | int, kind: type[Value]) -> Value:
        """Return the value that a text of a form means."""
        found = self.checked.fields[(*self.path, key)]
        assert isinstance(found, kind), (self.path, key, found)
        return found

    def value_or_none(self, key: str, kind: type[Value]) -> Value | None:
        """Return the value of a text of a form; None where it is not given or says 'none'."""
        if key not in self or self.checked.fields[(*self.path, key)] is None:
            return None
        return self.value(key, kind)

    def si(self, key: str | int) -> float:
        """Return a quantity in SI."""
        return self.value(key, Quantity).si_value

    def si_or_none(self, key: str) -> float | None:
        """Return a quantity in SI; None where it is not given or says 'none'."""
        found = self.value_or_none(key, Quantity)
        return None if found is None else found.si_value
