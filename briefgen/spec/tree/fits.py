"""Whether a file is of the shape its schema asks for: yes or no, without a word of what is wrong.

Nearly every file has no fault, and the library that words the faults costs more to import than the answer: it is asked
only after a no. The keywords here are those our schemas use, with the meaning of JSON Schema draft 2020-12; one that is
not here is an error of the program, never a silent yes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

Schema = Mapping[str, Any]
Test = Callable[[Any, Any, Schema], bool]  # what the keyword says, the value, the schema it stands in


def fits(value: object, schema: Schema | bool) -> bool:
    """Return whether a value is valid against a schema whose references are written out.

    Raises:
        KeyError: The schema has a keyword that is not known here.
    """
    if isinstance(schema, bool):
        return schema
    for keyword, said in schema.items():
        test = _TESTS[keyword]
        if test is not None and not test(said, value, schema):
            return False
    return True


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


_TYPES: dict[str, Callable[[Any], bool]] = {
    "object": lambda value: isinstance(value, dict),
    "array": lambda value: isinstance(value, list),
    "string": lambda value: isinstance(value, str),
    "boolean": lambda value: isinstance(value, bool),
    "number": _is_number,
    "integer": lambda value: _is_number(value) and (isinstance(value, int) or value.is_integer()),
    "null": lambda value: value is None,
}


def _type(said: str | list[str], value: object, schema: Schema) -> bool:
    return _TYPES[said](value) if isinstance(said, str) else any(_TYPES[one](value) for one in said)


def _const(said: object, value: object, schema: Schema) -> bool:
    return said == value and isinstance(said, bool) == isinstance(value, bool)  # JSON knows true from 1


def _enum(said: list[object], value: object, schema: Schema) -> bool:
    return any(_const(one, value, schema) for one in said)


def _required(said: list[str], value: object, schema: Schema) -> bool:
    return not isinstance(value, dict) or all(name in value for name in said)


def _properties(said: Mapping[str, Schema], value: object, schema: Schema) -> bool:
    return not isinstance(value, dict) or all(fits(one, said[name]) for name, one in value.items() if name in said)


def _additional_properties(said: Schema | bool, value: object, schema: Schema) -> bool:
    known = schema.get("properties", {})
    return not isinstance(value, dict) or all(fits(one, said) for name, one in value.items() if name not in known)


def _property_names(said: Schema, value: object, schema: Schema) -> bool:
    return not isinstance(value, dict) or all(fits(name, said) for name in value)


def _items(said: Schema, value: object, schema: Schema) -> bool:
    return not isinstance(value, list) or all(fits(one, said) for one in value)


def _if(said: Schema, value: object, schema: Schema) -> bool:
    return fits(value, schema.get("then" if fits(value, said) else "else", True))


_ASKED: dict[str, Test] = {
    "type": _type,
    "const": _const,
    "enum": _enum,
    "required": _required,
    "properties": _properties,
    "additionalProperties": _additional_properties,
    "propertyNames": _property_names,
    "items": _items,
    "if": _if,
    "allOf": lambda said, value, schema: all(fits(value, one) for one in said),
    "not": lambda said, value, schema: not fits(value, said),
    "pattern": lambda said, value, schema: not isinstance(value, str) or re.search(said, value) is not None,
    "minLength": lambda said, value, schema: not isinstance(value, str) or len(value) >= said,
    "minItems": lambda said, value, schema: not isinstance(value, list) or len(value) >= said,
    "minProperties": lambda said, value, schema: not isinstance(value, dict) or len(value) >= said,
    "maxProperties": lambda said, value, schema: not isinstance(value, dict) or len(value) <= said,
    "minimum": lambda said, value, schema: not _is_number(value) or value >= said,
    "maximum": lambda said, value, schema: not _is_number(value) or value <= said,
}
# "then" and "else" are asked by "if"; the rest says nothing about validity
_SILENT = ("then", "else", "$schema", "$id", "title", "description", "examples", "default",
           "x-form", "x-least", "x-most", "x-none", "x-file", "x-prose", "x-stricter")  # fmt: skip
_TESTS: dict[str, Test | None] = {**_ASKED, **dict.fromkeys(_SILENT)}
