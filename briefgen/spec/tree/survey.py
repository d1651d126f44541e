"""Looking over a file that may still have faults: what is there is seen, what is missing or misshapen is passed by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from briefgen.errors import Fault
from briefgen.spec.tree.check import Checked, nearest
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.shape import path_text
from briefgen.units import Quantity


@dataclass
class Survey:
    """One file and the faults of meaning found in it."""

    checked: Checked
    faults: list[Fault] = field(default_factory=list)

    def data(self, path: KeyPath) -> Any:
        """Return the data at a path, None if there is none."""
        data: Any = self.checked.document.data
        for part in path:
            if isinstance(data, dict) and isinstance(part, str):
                data = data.get(part)
            elif isinstance(data, list) and isinstance(part, int) and part < len(data):
                data = data[part]
            else:
                return None
        return data

    def groups(self, *path: str | int) -> list[KeyPath]:
        """Return the paths of the groups in a list."""
        items = self.data(path)
        if not isinstance(items, list):
            return []
        return [(*path, index) for index, item in enumerate(items) if isinstance(item, dict)]

    def keys(self, *path: str | int) -> list[str]:
        """Return the keys of a group."""
        group = self.data(path)
        return list(group) if isinstance(group, dict) else []

    def text(self, *path: str | int) -> str | None:
        """Return a text as written, None if there is none."""
        return self.checked.document.texts.get(path) if self.data(path) is not None else None

    def si(self, *path: str | int) -> float | None:
        """Return a quantity in SI, None if there is none that can be read."""
        value = self.checked.fields.get(path)
        return value.si_value if isinstance(value, Quantity) else None

    def unit(self, *path: str | int) -> str:
        """Return the unit a quantity was written in, empty if there is none that can be read."""
        value = self.checked.fields.get(path)
        return value.unit if isinstance(value, Quantity) else ""

    def texts(self, paths: Iterable[KeyPath], key: str) -> list[str]:
        """Return one key's texts of several groups."""
        return [text for path in paths if (text := self.text(*path, key)) is not None]

    def fault(self, path: KeyPath, problem: str, expected: str, hint: str = "", *, at_key: bool = False) -> None:
        """Note a fault."""
        shown = path_text(self.checked.document.written_path(path))
        text = f"{shown}: {problem}" if shown else problem
        self.faults.append(self.checked.document.fault(path, text, expected, hint, at_key=at_key))

    def known(self, path: KeyPath, names: Iterable[str], what: str, *, elsewhere: Iterable[str] = ()) -> str | None:
        """Return the name written at a path; note a fault if it is none of those there are.

        A name that is right elsewhere was hardly misspelt: no other is then offered for it.
        """
        name = self.text(*path)
        listed = list(dict.fromkeys(names))
        if name is None or name in listed:
            return name
        expected = f"one of {', '.join(listed)}" if listed else f"{what}, but there is none"
        hint = "" if name in elsewhere else nearest(name, listed)
        self.fault(path, f"'{name}' is not {what}", expected, hint)
        return None

    def unique(self, paths: Iterable[KeyPath], key: str, what: str) -> None:
        """Note a fault for every name that an earlier group already has."""
        first: dict[str, KeyPath] = {}
        for path in paths:
            name = self.text(*path, key)
            if name is None:
                continue
            if name in first:
                line = self.checked.document.mark((*first[name], key)).line
                problem = f"a second {what} is named '{name}', the first on line {line}"
                self.fault((*path, key), problem, "each name once")
            first.setdefault(name, path)
