"""The schemas: valid, explained on every line, and saying the same as the model and the readers."""

from __future__ import annotations

import dataclasses
import json
import re
import typing
from collections.abc import Iterator
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from briefgen.aircraft.words import PRINTED_UNITS
from briefgen.errors import SpecError
from briefgen.model.aircraft import Aircraft, CrewPosition, Envelope
from briefgen.model.chart_names import CHART_AXES, CHART_COLUMNS, CHART_KINDS
from briefgen.model.curves import Chart, Curve
from briefgen.model.powerplant import StoppedEngines
from briefgen.model.rule_kinds import PARAMETERS, RULE_KINDS
from briefgen.spec import KINDS, outline_text, schema_text
from briefgen.spec.meaning.mission import POSITIONS
from briefgen.spec.tree.check import expanded_schema, schema_kinds
from briefgen.spec.tree.names import form_of, key_of
from briefgen.spec.words.forms import FORMS, read_form
from briefgen.unit_tables import KINDS as QUANTITY_KINDS

OUR_KEYWORDS = {"x-form", "x-least", "x-most", "x-none", "x-file", "x-prose"}


def nodes(schema: Any) -> Iterator[dict[str, Any]]:
    """Yield every schema within a schema that describes a value."""
    if isinstance(schema, list):
        for item in schema:
            yield from nodes(item)
    if isinstance(schema, dict):
        if "type" in schema or "enum" in schema or "const" in schema:
            yield schema
        for value in schema.values():
            yield from nodes(value)


def properties(schema: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield every named property that may be written."""
    for node in nodes(schema):
        yield from node.get("properties", {}).items()


@pytest.mark.parametrize("kind", schema_kinds())
def test_schema_is_valid_json_schema_2020_12(kind: str) -> None:
    """The meta-schema of the standard accepts it."""
    Draft202012Validator.check_schema(json.loads(schema_text(kind)))


def test_schema_of_no_kind_is_a_fault() -> None:
    """A misspelt kind is answered with the kinds there are."""
    with pytest.raises(SpecError, match="misson: there is no schema of this name") as caught:
        schema_text("misson")

    assert caught.value.faults[0].hint == "did you mean 'mission'?"


@pytest.mark.parametrize("kind", schema_kinds())
def test_every_property_is_described(kind: str) -> None:
    """An editor can tell what each key is for."""
    silent = [name for name, schema in properties(expanded_schema(kind)) if not schema.get("description")]

    assert silent == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_form_has_a_reader_and_every_bound_and_example_is_of_its_form(kind: str) -> None:
    """What the schema shows as an example can be written, and its limits can be read."""
    for node in nodes(expanded_schema(kind)):
        form = node.get("x-form")
        if form is None:
            continue
        assert form in FORMS or form in QUANTITY_KINDS
        for text in [*node.get("examples", ()), *(node[key] for key in ("x-least", "x-most") if key in node)]:
            if text != node.get("x-none"):
                assert read_form(text, form) is not None


def test_every_property_of_an_aircraft_file_has_an_example_that_may_be_written_there() -> None:
    """An example stands with every value, list and table, and passes the schema it stands in."""
    without = []
    for name, schema in properties(expanded_schema("aircraft")):
        holds_groups = any("properties" in one for one in schema.get("properties", {}).values())
        if not schema.get("examples") and "const" not in schema and not holds_groups:
            without.append(name)
        for example in schema.get("examples", ()):
            if example != schema.get("x-none"):
                Draft202012Validator(schema).validate(example)

    assert without == []


def test_descriptions_of_an_aircraft_file_speak_the_words_of_the_trade() -> None:
    """No name of an attribute, no unit in brackets, no word of the programming language."""
    odd = [
        (name, schema["description"])
        for name, schema in properties(expanded_schema("aircraft"))
        if re.search(r"`|_|\[|\bNone\b|\bTrue\b|\bFalse\b", schema["description"])
    ]

    assert odd == []


@pytest.mark.parametrize("kind", schema_kinds())
def test_groups_are_closed(kind: str) -> None:
    """No group lets a misspelt key pass: it lists its keys, or says what any key must hold."""
    open_groups = [
        node["description"]
        for node in nodes(expanded_schema(kind))
        if node.get("type") == "object" and "additionalProperties" not in node
    ]

    assert open_groups == []


def test_crew_positions_are_one_list() -> None:
    """The schema of missions and the check against the aircraft's seats name the same positions."""
    assert tuple(expanded_schema("mission")["properties"]["crew"]["propertyNames"]["enum"]) == POSITIONS


def test_kinds_of_rules_and_names_of_charts_come_from_their_registries() -> None:
    """What is registered once is in the schema: the check of a rule, each parameter, the axes and columns of a chart."""
    rule = expanded_schema("rules")["properties"]["rules"]["additionalProperties"]["properties"]
    chart = expanded_schema("aircraft")["properties"]["charts"]["properties"]["charts"]["additionalProperties"][
        "properties"
    ]

    assert rule["check"]["enum"] == [kind.name for kind in RULE_KINDS]
    assert set(rule["parameters"]["properties"]) == set(PARAMETERS)
    assert chart["axes"]["propertyNames"]["enum"] == list(CHART_AXES)
    assert chart["columns"]["propertyNames"]["enum"] == list(CHART_COLUMNS)


def test_every_chart_is_made_of_registered_names_in_known_kinds_of_unit() -> None:
    """A chart's axes and columns are registered, a column's kind is one of the table of units, an axis can be printed."""
    for kind in CHART_KINDS:
        assert set(kind.axes) <= set(CHART_AXES)
        assert {*kind.needs, *kind.takes} <= set(CHART_COLUMNS)
    assert set(CHART_COLUMNS.values()) - {""} <= set(QUANTITY_KINDS)
    assert {head for heads in CHART_AXES.values() for head in heads} <= set(PRINTED_UNITS)


def model_keys(cls: type) -> Iterator[tuple[str, str | None]]:
    """Yield key and form of every field of a class of the model."""
    if cls is Envelope:
        yield from (("name", None), ("columns", None), ("rows", None))
        return
    hints = typing.get_type_hints(cls)
    for field in dataclasses.fields(cls):
        if cls is StoppedEngines and field.name == "configuration":
            yield from model_keys(hints[field.name])
        elif cls is CrewPosition and field.name == "name":
            yield "position", None
        else:
            is_number = float in (hints[field.name], *typing.get_args(hints[field.name]))
            yield key_of(field.name), form_of(cls.__name__, field.name) if is_number else None


def assert_agrees(cls: type, schema: dict[str, Any], extra: frozenset[str] = frozenset()) -> None:
    listed = {name: node.get("x-form") for name, node in schema["properties"].items() if name not in extra}
    assert {name: form for name, form in listed.items() if name != "cowl flap drag area"} == {
        name: form for name, form in model_keys(cls) if name != "cowl flap drag area"
    }, cls.__name__
    if cls is Envelope:
        return
    for field in dataclasses.fields(cls):
        hint = typing.get_type_hints(cls)[field.name]
        inner = [
            one for one in (hint, *typing.get_args(hint)) if isinstance(one, type) and dataclasses.is_dataclass(one)
        ]
        if not inner or inner[0] in (Curve, Chart) or cls is StoppedEngines or typing.get_origin(hint) is dict:
            continue
        node = schema["properties"][key_of(field.name)]
        assert_agrees(inner[0], node.get("items", node))


def test_schema_of_aircraft_lists_the_fields_of_the_model() -> None:
    """Keys and kinds of quantity follow from the model's fields, in both directions."""
    assert_agrees(Aircraft, expanded_schema("aircraft"), frozenset({"briefgen"}))


@pytest.mark.parametrize("kind", KINDS)
def test_the_outline_of_a_kind_shows_every_key_in_its_place_and_reads_as_the_format_it_describes(kind: str) -> None:
    """Read as YAML it has the keys of the schema, group by group; a required key is marked, an optional one is not."""
    text = outline_text(kind)

    assert not list(_missing(expanded_schema(kind), yaml.safe_load(text), ""))
    for key, inner in expanded_schema(kind)["properties"].items():
        (line,) = [one for one in text.splitlines() if one.startswith((f"{key}:", f'"{key}":'))]
        assert ("# ! " in line) == (key in expanded_schema(kind)["required"]), key
        assert inner["description"] in line


def _missing(schema: dict[str, Any], outline: Any, path: str) -> Iterator[str]:
    for key, inner in schema.get("properties", {}).items():
        here = f"{path}.{key}"
        if not isinstance(outline, dict) or key not in outline:
            yield here
            continue
        items = inner.get("items")
        if "properties" in inner:
            yield from _missing(inner, outline[key], here)
        elif isinstance(items, dict) and "properties" in items:
            yield from _missing(items, (outline[key] or [None])[0], here)
