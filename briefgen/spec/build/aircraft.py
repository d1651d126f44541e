"""An aircraft file to its dataclasses: fields found by name, filled by type; the model is the only list."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

from briefgen.model.aircraft import Aircraft, CrewPosition, Envelope
from briefgen.model.curves import Chart, Curve
from briefgen.model.powerplant import StoppedEngines
from briefgen.spec.tree.names import key_of
from briefgen.spec.tree.reader import Reader
from briefgen.spec.tree.tables import Cell, chart, columns_si, csv_rows, curve
from briefgen.units import Quantity

TableText = Callable[[str], str]  # a table file's name to its text


def build_aircraft(reader: Reader, table_text: TableText) -> Aircraft:
    """Return the aircraft of a checked file without faults."""
    aircraft = _instance(Aircraft, reader, table_text)
    assert isinstance(aircraft, Aircraft)
    return aircraft


@lru_cache(maxsize=128)
def _hints(cls: type) -> dict[str, Any]:
    return typing.get_type_hints(cls)


def _instance(cls: type, reader: Reader, table_text: TableText) -> Any:
    if cls is Envelope:
        arms, masses = columns_si(reader.data)
        return Envelope(reader.text("name"), arms, masses)
    values: dict[str, Any] = {}
    for field in dataclasses.fields(cls):
        if cls is StoppedEngines and field.name == "configuration":
            values[field.name] = _instance(_hints(cls)[field.name], reader, table_text)
            continue
        key = key_of(field.name)
        if cls is CrewPosition and field.name == "name":
            key = "position"
        if key in reader:
            values[field.name] = _value(_hints(cls)[field.name], reader, key, table_text)
        elif field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING:
            values[field.name] = _absent(_hints(cls)[field.name])
    return cls(**values)


def _absent(hint: Any) -> Any:
    """Return what stands for a key that may be left out."""
    if type(None) in typing.get_args(hint):
        return None
    return () if typing.get_origin(hint) is tuple else ""


def _value(hint: Any, reader: Reader, key: str | int, table_text: TableText) -> Any:
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        inner = next(argument for argument in arguments if argument is not type(None))
        return None if _says_none(reader, key) else _value(inner, reader, key, table_text)
    if origin is tuple:
        group = reader.at(key)
        return tuple(_value(arguments[0], group, index, table_text) for index in range(len(group.data)))
    if origin is dict:
        return _mapping(arguments[1], reader.at(key), table_text)
    if hint is Curve:
        return curve(reader.at(key).data)
    if dataclasses.is_dataclass(hint):
        assert isinstance(hint, type)
        return _instance(hint, reader.at(key), table_text)
    if hint is str or origin is typing.Literal:
        return reader.text(key)
    return _plain(reader, key, hint)


def _plain(reader: Reader, key: str | int, hint: Any) -> Any:
    value = reader.checked.fields[(*reader.path, key)]
    if isinstance(value, Quantity):
        return value.si_value
    return float(typing.cast(float, value)) if hint is float else value


def _says_none(reader: Reader, key: str | int) -> bool:
    path = (*reader.path, key)
    return path in reader.checked.fields and reader.checked.fields[path] is None


def _mapping(inner: Any, group: Reader, table_text: TableText) -> Mapping[str, Any]:
    if inner is Chart:
        return {name: _chart(name, group.at(name), table_text) for name in group.data}
    return {name: _value(inner, group, name, table_text) for name in group.data}


def _chart(name: str, reader: Reader, table_text: TableText) -> Chart:
    return chart(name, reader.data, chart_rows(reader.data, table_text))


def chart_rows(data: Any, table_text: TableText) -> list[list[Cell]]:
    """Return the rows of a chart, from the file itself or from the table file it names."""
    if "file" in data:
        return csv_rows(table_text(data["file"]), {**data["axes"], **data["columns"]})
    return [list(row) for row in data["rows"]]


def curves_of(
    cls: type, data: Any, path: tuple[str | int, ...] = ()
) -> typing.Iterator[tuple[str, tuple[str | int, ...], Any]]:
    """Yield (field name, path, data) of every curve and envelope of an aircraft file, as far as it is in shape."""
    for field in dataclasses.fields(cls):
        key = key_of(field.name)
        hint = _hints(cls)[field.name]
        inner = [argument for argument in (hint, *typing.get_args(hint)) if isinstance(argument, type)]
        value = data.get(key) if isinstance(data, dict) else None
        if value is None:
            continue
        found = next((argument for argument in inner if argument is Curve or dataclasses.is_dataclass(argument)), None)
        if found is None:
            continue
        items = [((*path, key), value)]
        if isinstance(value, list):
            items = [((*path, key, index), item) for index, item in enumerate(value)]
        for item_path, item in items:
            if found in (Curve, Envelope):
                yield field.name, item_path, item
            else:
                yield from curves_of(found, item, item_path)
