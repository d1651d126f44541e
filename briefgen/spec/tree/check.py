"""A loaded file against its schema: every fault of shape and every value of a form, each at its place.

The schema is the only table of what may stand where. Where a file does not fit it, jsonschema finds the faults of
shape; the keyword ``x-form`` of the same schema names what a text means (a kind of quantity, a position, a time), and
is read in one walk of our own, with ``x-least`` and ``x-most`` as the range and ``x-none`` as the word for 'there is none'.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources
from typing import Any

from briefgen.errors import Fault, SpecError
from briefgen.spec.tree.fits import fits
from briefgen.spec.tree.load import Data, Document, KeyPath
from briefgen.spec.tree.prose_bounds import prose_faults
from briefgen.spec.tree.shape import path_text, shape_faults
from briefgen.spec.tree.vocabulary import with_vocabulary
from briefgen.spec.words.forms import form_expected, read_form
from briefgen.units import Quantity, QuantityError

KINDS = ("mission", "aircraft", "places", "weather", "rules")
Schema = dict[str, Any]
LONGEST_WORD = 200  # letters without a space; a longer one would be higher than a card when it is broken into lines
LONGEST_TEXT = 4_000  # letters of a name or remark; a coded forecast of a whole region is shorter
LONGEST_FORM = 200  # letters of a quantity, time or position; the patterns that read them need not be quick beyond it


@dataclass
class Checked:
    """A file with the values its texts mean, by path; what is missing from ``fields`` has a fault."""

    document: Document
    fields: dict[KeyPath, object] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


@lru_cache(maxsize=1)
def schema_kinds() -> tuple[str, ...]:
    """Return the kinds of file that have a schema in the package: those that are read, and the plan that is written."""
    names = (entry.name for entry in resources.files("briefgen.spec").joinpath("schemas").iterdir())
    found = {name.removesuffix(".schema.json") for name in names if name.endswith(".schema.json")}
    return (*KINDS, *sorted(found - set(KINDS)))


def schema_text(kind: str) -> str:
    """Return the JSON Schema of a kind of file, as text; raise SpecError for a kind there is not."""
    if kind not in schema_kinds():
        names = ", ".join(schema_kinds())
        fault = Fault(kind, 0, 0, "there is no schema of this name", f"one of {names}", nearest(kind, schema_kinds()))
        raise SpecError((fault,))
    return json.dumps(_whole_schema(kind), indent=2, ensure_ascii=False) + "\n"


def _whole_schema(kind: str) -> Schema:
    text = resources.files("briefgen.spec").joinpath("schemas", f"{kind}.schema.json").read_text(encoding="utf-8")
    return with_vocabulary(kind, json.loads(text))


@lru_cache(maxsize=8)
def expanded_schema(kind: str) -> Schema:
    """Return the schema of a kind with its local references written out: they cost most of a validation."""
    schema = _whole_schema(kind)
    definitions = schema.pop("$defs", {})

    def expand(node: Any) -> Any:
        if isinstance(node, list):
            return [expand(item) for item in node]
        if not isinstance(node, dict):
            return node
        if "$ref" in node:
            target = expand(definitions[node["$ref"].removeprefix("#/$defs/")])
            return target | {key: expand(value) for key, value in node.items() if key != "$ref"}
        return {key: expand(value) for key, value in node.items()}

    expanded: Schema = expand(schema)
    return expanded


@lru_cache(maxsize=8)
def _validator(kind: str) -> Any:
    from jsonschema import Draft202012Validator

    return Draft202012Validator(expanded_schema(kind))


def check(document: Document, kind: str) -> Checked:
    """Return a file with the values of its texts and all faults of its shape."""
    checked = Checked(document)
    head = _head_fault(document, kind)
    if head is not None:
        checked.faults.append(head)
        return checked
    if not fits(document.data, expanded_schema(kind)):
        checked.faults.extend(shape_faults(document, _validator(kind)))
    _walk(checked, expanded_schema(kind), document.data, ())
    return checked


def _head_fault(document: Document, kind: str) -> Fault | None:
    data = document.data
    wanted = f"'briefgen: {kind}/1' as the first line"
    if not isinstance(data, dict):
        return document.fault((), "the file is not a group of 'key: value' lines", wanted)
    head = data.get("briefgen")
    if head == f"{kind}/1":
        return None
    if "briefgen" not in data:
        return Fault(document.file, 1, 1, "the file does not say what it is", wanted)
    name, _, version = str(head).partition("/")
    if name == kind:
        problem = f"version '{version}' of the {kind} format is not known"
        return document.fault(("briefgen",), problem, wanted)
    hint = f"name {_article(kind)} {kind} file here, not {_article(name)} {name} file" if name in KINDS else ""
    return document.fault(
        ("briefgen",), f"this is '{head}', where {_article(kind)} {kind} file is wanted", wanted, hint
    )


def _article(word: str) -> str:
    return "an" if word[:1] in "aeiou" else "a"


def _walk(checked: Checked, schema: Any, data: Data, path: KeyPath) -> None:
    """Read every text that has a form, following the schema."""
    if not isinstance(schema, dict):
        return
    if isinstance(data, dict):
        properties: Mapping[str, Any] = schema.get("properties", {})
        others = schema.get("additionalProperties")
        for key, value in data.items():
            _walk(checked, properties.get(key, others), value, (*path, key))
    elif isinstance(data, list):
        items = schema.get("items")
        if isinstance(items, dict) and items.keys() - {"type", "description"}:
            for index, value in enumerate(data):
                _walk(checked, items, value, (*path, index))
    elif isinstance(data, str) and "x-form" in schema:
        _read(checked, schema, data, path)
    elif data is not None:
        checked.fields[path] = data
        if isinstance(data, str):
            _measure(checked, schema, data, path)


def _measure(checked: Checked, schema: Schema, text: str, path: KeyPath) -> None:
    """Note what is too much in a text that stands as it was written."""
    faults = []
    if schema.get("x-prose"):
        faults += prose_faults(checked.document, path, text)
    elif len(text) > LONGEST_TEXT:
        problem = f"{path_text(path)}: the text has {len(text):,} letters"
        faults.append(checked.document.fault(path, problem, f"at most {LONGEST_TEXT:,}"))
    if not faults and len(text) > LONGEST_WORD and (longest := max(map(len, text.split()), default=0)) > LONGEST_WORD:
        problem = f"{path_text(path)}: a word of the text has {longest:,} letters"
        faults.append(checked.document.fault(path, problem, f"at most {LONGEST_WORD}", "put spaces in it"))
    checked.faults.extend(faults)


def _read(checked: Checked, schema: Schema, text: str, path: KeyPath) -> None:
    if text == schema.get("x-none"):
        checked.fields[path] = None
        return
    if len(text) > LONGEST_FORM:
        problem = f"{path_text(path)}: the value has {len(text):,} letters"
        checked.faults.append(checked.document.fault(path, problem, form_expected(schema["x-form"])))
        return
    try:
        value = read_form(text, schema["x-form"])
        if isinstance(value, Quantity):
            _check_range(value, schema)
    except QuantityError as error:
        checked.faults.append(
            checked.document.fault(path, f"{path_text(path)}: {error.problem}", error.expected, error.hint)
        )
        return
    checked.fields[path] = value


def _check_range(value: Quantity, schema: Schema) -> None:
    least, most = schema.get("x-least"), schema.get("x-most")
    below = least is not None and value.si_value < _bound(least, value.kind)
    above = most is not None and value.si_value > _bound(most, value.kind)
    if below or above:
        limits = f"from {least} to {most}" if least and most else f"at least {least}" if least else f"at most {most}"
        kind = form_expected(value.kind).split(",", 1)[0]
        relation = "below" if below else "above"
        raise QuantityError(f"'{value.text}' is {relation} {least if below else most}", expected=f"{kind} {limits}")


@lru_cache(maxsize=256)
def _bound(text: str, kind: str) -> float:
    value = read_form(text, kind)
    assert isinstance(value, Quantity)
    return value.si_value


def nearest(name: str, names: Mapping[str, object] | tuple[str, ...] | list[str]) -> str:
    """Return the hint that names the most similar of several names, or none."""
    lowered = {known.lower(): known for known in names}
    near = difflib.get_close_matches(name.lower(), list(lowered), n=1)
    return f"did you mean '{lowered[near[0]]}'?" if near else ""
