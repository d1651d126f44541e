"""Our yes or no to the shape of a file is that of the schema library, for good files and for files spoilt by a seeded hand."""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from briefgen.spec import KINDS
from briefgen.spec.tree.check import expanded_schema
from briefgen.spec.tree.fits import fits
from briefgen.spec.tree.load import load_file
from tests.shared.demo_missions import SPECS

SPOILT = 400  # a kind of file
VALUES = (None, True, False, 0, 1, 1.0, -3, 2.5, "", "x", "long range", [], ["x"], {}, {"at": "x"}, "LX01")


@cache
def files(kind: str) -> tuple[Any, ...]:
    """Return the demo files of a kind as the data our reader makes of them."""
    found = (load_file(path, path.name).data for path in sorted(SPECS.rglob("*.yaml")))
    return tuple(data for data in found if isinstance(data, dict) and data["briefgen"] == f"{kind}/1")


def places(data: Any) -> Iterator[tuple[Any, Any]]:
    """Yield every group or list of a tree with each of its keys or indices."""
    for key, value in list(data.items() if isinstance(data, dict) else enumerate(data)):
        yield data, key
        if isinstance(value, dict | list):
            yield from places(value)


def spoilt(data: Any, chance: random.Random) -> Any:
    """Return a copy in which one thing is replaced, taken out or added."""
    changed = copy.deepcopy(data)
    where, key = chance.choice(list(places(changed)))
    deed = chance.randrange(3)
    if deed == 0:
        where[key] = chance.choice(VALUES)
    elif deed == 1:
        del where[key]
    elif isinstance(where, dict):
        where[chance.choice(["at", "height", "no such key"])] = chance.choice(VALUES)
    else:
        where.append(chance.choice(VALUES))
    return changed


@pytest.mark.parametrize("kind", KINDS)
def test_a_spoilt_file_is_refused_where_the_schema_library_refuses_it(kind: str) -> None:
    """And taken where it takes it; both answers come often enough to mean something."""
    chance, validator, answers = random.Random(11), Draft202012Validator(expanded_schema(kind)), []
    for _ in range(SPOILT):
        data = spoilt(chance.choice(files(kind)), chance)
        answers.append(fits(data, expanded_schema(kind)))

        assert answers[-1] == validator.is_valid(data)
    assert 20 < sum(answers) < SPOILT - 20


@pytest.mark.parametrize(
    ("schema", "value"),
    [
        ({"type": "integer"}, 3.0),
        ({"type": "integer"}, True),
        ({"type": "integer"}, float("inf")),
        ({"type": ["string", "null"]}, None),
        ({"const": 1}, True),
        ({"enum": [False]}, 0),
        ({"if": {"type": "string"}, "else": {"minimum": 2}}, 1),
        ({"if": {"type": "string"}, "then": {"minLength": 2}}, "x"),
        ({"propertyNames": {"enum": ["a"]}}, {"b": 1}),
        ({"properties": {"a": False}}, {"a": 1}),
        ({"additionalProperties": False, "properties": {"a": True}}, {"a": 1}),
        ({"not": {"required": ["a"]}}, {"a": 1}),
        ({"pattern": "b"}, "abc"),
        ({"minProperties": 1, "maxProperties": 1}, {"a": 1, "b": 2}),
    ],
)
def test_the_corners_of_each_keyword_are_those_of_the_schema_library(schema: dict[str, Any], value: object) -> None:
    """True is not 1, a whole float is an integer, and a keyword says nothing of values of another kind."""
    assert fits(value, schema) == Draft202012Validator(schema).is_valid(value)
    assert fits("other", schema) == Draft202012Validator(schema).is_valid("other")


def test_a_keyword_that_is_not_known_is_no_silent_yes() -> None:
    """It is an error of the program."""
    with pytest.raises(KeyError, match="uniqueItems"):
        fits([1, 1], {"uniqueItems": True})
