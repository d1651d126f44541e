"""What figures read of the mission itself, past the ledger: every value that some file wrote, by the figure that read it.

While a spied plan is made, the frozen data of the model tell each reading of a field to the figure that is being worked out at
that moment. A figure that reads a written value must rest on the entry, or the group of written values, that stands for it.
"""

from __future__ import annotations

import dataclasses
import importlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from briefgen.model.record import Figure, Record

MODULES = ("mission", "aircraft", "handling", "limits", "places", "powerplant", "procedures", "rules", "weather", "curves")  # fmt: skip
Reads = dict[
    str, dict[str, str]
]  # key of a figure: fields it read ("Tank.unusable_m3"), by the figure's name in its class


def _classes() -> list[type[Any]]:
    modules = [importlib.import_module(f"briefgen.model.{name}") for name in MODULES]
    return [
        one
        for module in modules
        for one in vars(module).values()
        if isinstance(one, type) and dataclasses.is_dataclass(one) and one.__module__ == module.__name__
    ]


def _leads_on(value: object) -> bool:
    """Return whether a field only leads to other data of the model: a part, or a list of parts, also of none."""
    if isinstance(value, Mapping):
        value = tuple(value.values())
    if isinstance(value, tuple):
        return all(_leads_on(one) for one in value)
    return dataclasses.is_dataclass(value)


@contextmanager
def spied() -> Iterator[Reads]:
    """Yield what figures read past the ledger while they are worked out for the first time."""
    found: Reads = {}
    working: list[tuple[str, str]] = []
    classes, kept = _classes(), Figure.kept
    as_was = {cls: vars(cls).get("__getattribute__") for cls in classes}

    def told(self: Figure[Any, Any], record: Record) -> Any:
        if self.name in record.__dict__.get("_figures", ()):
            return kept(self, record)
        working.append((self.key_in(record), f"{type(record).__name__}.{self.name}"))
        try:
            return kept(self, record)
        finally:
            working.pop()

    def spying(cls: type[Any]) -> None:
        fields = frozenset(one.name for one in dataclasses.fields(cls))

        def read(self: Any, name: str) -> Any:
            value = object.__getattribute__(self, name)
            if working and name in fields and not _leads_on(value):
                key, figure = working[-1]
                found.setdefault(key, {})[f"{cls.__name__}.{name}"] = figure
            return value

        cls.__getattribute__ = read  # type: ignore[assignment]

    Figure.kept = told  # type: ignore[method-assign]
    for cls in classes:
        spying(cls)
    try:
        yield found
    finally:
        Figure.kept = kept  # type: ignore[method-assign]
        for cls, own in as_was.items():
            if own is None:
                del cls.__getattribute__
            else:
                cls.__getattribute__ = own  # type: ignore[assignment]
