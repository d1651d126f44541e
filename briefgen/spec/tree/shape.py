"""Faults of shape: what jsonschema finds, in the words of the person who wrote the file."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from typing import Any

from briefgen.errors import Fault
from briefgen.spec.tree.load import Document, KeyPath
from briefgen.spec.words.forms import form_expected

_NAMES_SHOWN = 24
RENAMED = {  # what is counted from the sea is an altitude
    "height": "altitude",
    "safe height": "safe altitude",
    "outside heights": "outside altitudes",
    "height limit": "altitude limit",
}


def path_text(path: KeyPath) -> str:
    """Return a path as messages and the map of given values write it: ``route.legs[2].height``."""
    parts = [f"[{part}]" if isinstance(part, int) else f".{part}" for part in path]
    return "".join(parts).lstrip(".")


def shape_faults(document: Document, validator: Any) -> list[Fault]:
    """Return every fault of shape of a file."""
    faults: list[Fault] = []
    unknown: dict[KeyPath, list[str]] = {}
    errors = list(validator.iter_errors(document.data))
    for error in errors:
        if error.validator == "additionalProperties":
            unknown[tuple(error.absolute_path)] = sorted(set(error.instance) - set(error.schema.get("properties", {})))
    missing_by_spelling = _required_but_misspelt(errors, unknown)
    for error in errors:
        path = tuple(error.absolute_path)
        if error.validator == "required":
            key = _missing_key(error)
            if (path, key) in missing_by_spelling:
                continue
        faults.extend(_faults(document, error, path, validator.schema))
    return faults


def wanted(schema: Any) -> str:
    """Return what a schema lets stand in a place, as the 'expected' line of a message."""
    if not isinstance(schema, dict):
        return ""
    if "const" in schema:
        return f"'{schema['const']}'"
    if "enum" in schema:
        return "one of " + ", ".join(str(value) for value in schema["enum"])
    none = f", or '{schema['x-none']}'" if "x-none" in schema else ""
    if "x-form" in schema:
        return form_expected(schema["x-form"]) + none
    kind = schema.get("type")
    example = f', such as "{schema["examples"][0]}"' if schema.get("examples") else ""
    if kind == "object":
        required = schema.get("required")
        return "a group of 'key: value' lines" + (f" with {', '.join(required)}" if required else "")
    if kind == "array":
        return "a list, each item after a '-'"
    if kind == "boolean":
        return "true or false"
    if kind in ("integer", "number"):
        return ("a whole number" if kind == "integer" else "a number without unit") + _range(schema) + example
    return f"text{example}"


def _range(schema: dict[str, Any]) -> str:
    least, most = schema.get("minimum"), schema.get("maximum")
    if least is not None and most is not None:
        return f" from {least} to {most}"
    if least is not None:
        return f", at least {least}"
    above = schema.get("exclusiveMinimum")
    if above is not None:
        return f" greater than {above}"
    return f", at most {most}" if most is not None else ""


def _missing_key(error: Any) -> str:
    match = re.match(r"'(.*)' is a required property", error.message)
    return match[1] if match else error.message


def _required_but_misspelt(errors: list[Any], unknown: dict[KeyPath, list[str]]) -> set[tuple[KeyPath, str]]:
    """Return the missing keys that an unknown key beside them was surely meant to be."""
    found: set[tuple[KeyPath, str]] = set()
    for error in errors:
        path = tuple(error.absolute_path)
        if error.validator == "required" and path in unknown:
            key = _missing_key(error)
            if difflib.get_close_matches(key, unknown[path], n=1):
                found.add((path, key))
    return found


def _faults(document: Document, error: Any, path: KeyPath, root: Any) -> Iterator[Fault]:
    kind, schema, instance = error.validator, error.schema, error.instance
    shown = path_text(path)
    prefix = f"{shown}: " if shown else ""
    if "propertyNames" in error.absolute_schema_path:
        expected = _fit(schema)
        hint = _near(instance, [str(name) for name in schema.get("enum", ())])
        yield document.fault((*path, instance), f"{prefix}'{instance}' is no name here", expected, hint, at_key=True)
    elif kind == "not":
        prefix = f"{path_text(path[:-1])}: "
        yield document.fault(path, f"{prefix}'{path[-1]}' has no meaning here", schema["description"], at_key=True)
    elif kind == "additionalProperties":
        yield from _unknown_keys(document, error, path, prefix)
    elif kind == "required":
        key = _missing_key(error)
        expected = f"{key}: {wanted(_schema_at(root, (*path, key)))}"
        yield document.fault(path, f"{prefix}'{key}' is missing", expected, at_key=True)
    elif kind == "type":
        yield _wrong_type(document, schema, instance, path, prefix)
    elif kind in ("enum", "const"):
        allowed = [str(value) for value in schema.get("enum", [schema.get("const")])]
        hint = _near(str(instance), allowed)
        yield document.fault(path, f"{prefix}'{_written(document, path)}' is not known here", wanted(schema), hint)
    elif kind == "minItems":
        number = schema["minItems"]
        yield document.fault(path, f"{prefix}the list has too few items", f"at least {number}", at_key=True)
    elif kind == "minProperties":
        yield document.fault(path, f"{prefix}the group is empty", "at least one entry", at_key=True)
    elif kind == "minLength":
        yield document.fault(path, f"{prefix}the text is empty", wanted(schema))
    else:
        yield document.fault(path, f"{prefix}'{_written(document, path)}' does not fit", _fit(schema))


def _schema_at(schema: Any, path: KeyPath) -> Any:
    """Return the schema of a path, as far as properties and items lead to it."""
    for part in path:
        if not isinstance(schema, dict):
            return None
        if isinstance(part, int):
            schema = schema.get("items")
        else:
            schema = schema.get("properties", {}).get(part, schema.get("additionalProperties"))
    return schema


def _fit(schema: Any) -> str:
    if "pattern" in schema and schema.get("examples"):
        return "a name such as " + " or ".join(f'"{example}"' for example in schema["examples"])
    if "pattern" in schema:
        return str(schema.get("description", "another name"))
    return wanted(schema)


def _unknown_keys(document: Document, error: Any, path: KeyPath, prefix: str) -> Iterator[Fault]:
    names = list(error.schema.get("properties", {}))
    shown = ", ".join(names[:_NAMES_SHOWN]) + (", …" if len(names) > _NAMES_SHOWN else "")
    for key in sorted(set(error.instance) - set(names)):
        hint = _near(key, names)
        if not hint and error.instance[key] is None:
            hint = "inside braces a comma begins a new key; put a text with commas in quotes"
        yield document.fault((*path, key), f"{prefix}'{key}' is not a key here", f"one of {shown}", hint, at_key=True)


def _near(name: str, names: list[str]) -> str:
    if RENAMED.get(name) in names:
        return f"did you mean '{RENAMED[name]}'?"
    lowered = {known.lower(): known for known in names}
    near = difflib.get_close_matches(name.lower(), list(lowered), n=1)
    return f"did you mean '{lowered[near[0]]}'?" if near else ""


def _written(document: Document, path: KeyPath) -> str:
    return document.texts.get(path, path_text(path))


def _wrong_type(document: Document, schema: Any, instance: Any, path: KeyPath, prefix: str) -> Fault:
    expected = wanted(schema)
    if instance is None:
        return document.fault(path, f"{prefix}no value given", expected, at_key=True)
    if isinstance(instance, dict):
        return document.fault(path, f"{prefix}a group of keys stands where one value belongs", expected, at_key=True)
    if isinstance(instance, list):
        return document.fault(path, f"{prefix}a list stands where none belongs", expected, at_key=True)
    text = _written(document, path)
    if "x-form" in schema and not isinstance(instance, bool):
        hint = "write the unit; a bare number is never guessed"
        return document.fault(path, f"{prefix}no unit given, got {text}", expected, hint)
    if "string" in str(schema.get("type")):
        return document.fault(path, f"{prefix}'{text}' is not text", expected, f'put it in quotes: "{text}"')
    return document.fault(path, f"{prefix}'{text}' does not belong here", expected)
