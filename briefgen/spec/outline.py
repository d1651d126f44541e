"""The schema of one kind of file as an outline to write from: every key in its place, with an example and what it means."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from briefgen.spec.tree.check import expanded_schema, schema_text

INDENT, REMARK_AT = "  ", 46
HEAD = (
    "# {kind} file: every key there is. '!' is required where its group stands; what follows '#' says what it means.\n"
)


def outline_text(kind: str) -> str:
    """Return the outline of one kind of file: indented keys, an example of each value, and its description.

    Raises:
        SpecError: There is no such kind.
    """
    schema_text(kind)  # refuses a kind there is not
    return HEAD.format(kind=kind) + "".join(f"{line.rstrip()}\n" for line in _keys(expanded_schema(kind), ""))


def _keys(schema: dict[str, Any], indent: str) -> Iterator[str]:
    required = schema.get("required", ())
    for key, inner in schema.get("properties", {}).items():
        yield from _key(_name(key), inner, indent, required=key in required)
    others = schema.get("additionalProperties")
    if isinstance(others, dict):
        yield from _key("NAME", others, indent, required=False)


def _key(name: str, schema: dict[str, Any], indent: str, *, required: bool) -> Iterator[str]:
    items: dict[str, Any] = schema.get("items") or {}
    inner = schema if "properties" in schema or isinstance(schema.get("additionalProperties"), dict) else None
    value = "" if inner or _grouped(items) else _example(schema)
    remark = ("! " if required else "") + schema.get("description", "")
    yield f"{indent}{name}: {value}".ljust(REMARK_AT) + (f" # {remark}" if remark else "")
    if inner:
        yield from _keys(inner, indent + INDENT)
    elif _grouped(items):
        for number, line in enumerate(_keys(items, "")):
            yield f"{indent}{INDENT}{'- ' if number == 0 else INDENT}{line}"


def _grouped(items: dict[str, Any]) -> bool:
    return "properties" in items


def _name(key: str) -> str:
    return json.dumps(key) if key[:1].isdigit() or ":" in key else key


def _example(schema: dict[str, Any]) -> str:
    """Return what may be written: the constant, the words to choose from, or the first example."""
    if "const" in schema:
        return str(schema["const"])
    if "enum" in schema:
        return " | ".join(map(str, schema["enum"]))
    found = schema.get("examples") or [_of_items(schema.get("items"))]
    return json.dumps(found[0], ensure_ascii=False) if found[0] is not None else ""


def _of_items(items: Any) -> Any:
    if not isinstance(items, dict):
        return None
    return [(items.get("examples") or items.get("enum") or ["…"])[0]]
