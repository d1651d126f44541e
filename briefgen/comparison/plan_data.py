"""A plan as the machine-readable file gives it: what two plans are compared by, wherever they come from."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

from briefgen.document.parts.format import NO_BREAK, with_unit
from briefgen.errors import UsageError
from briefgen.model.ledger import Entry

PLAN_FORMAT = "plan/1"
EXPECTED = "a plan.json of a build, or what 'briefgen show SPEC --json' prints"
LARGEST_BYTES = 64_000_000  # of a plan; the longest of the demo missions has 2.5 million
TIMES = ("UTC", "local", "UTC date")
NEEDED = ("digest", "mission", "entries", "events", "findings", "files", "written")

PlanData = dict[str, Any]
Written = dict[tuple[str | int, ...], tuple[int, int, str]]


def plan_data(text: str, where: str) -> PlanData:
    """Return the data of a plan.

    Raises:
        UsageError: The text is not a plan of this version, or one made before plans said what was written.
    """
    try:
        data = json.loads(text) if len(text) <= LARGEST_BYTES else None
    except (ValueError, RecursionError) as error:
        raise UsageError("this is not JSON", where=where, expected=EXPECTED) from error
    if not isinstance(data, dict) or data.get("briefgen") != PLAN_FORMAT:
        raise UsageError("this is not a plan", where=where, expected=EXPECTED)
    missing = [name for name in NEEDED if name not in data]
    if missing:
        raise UsageError(
            f"this plan does not hold {', '.join(missing)}", where=where, expected=EXPECTED,
            hint="build it anew from its specification",
        )  # fmt: skip
    return data


def require_plan(data: PlanData, where: str) -> None:
    """Raise UsageError unless the data have the form of a plan; it takes a second, so it is asked when something went wrong."""
    from jsonschema import Draft202012Validator

    from briefgen.spec import schema_text

    fault = next(Draft202012Validator(json.loads(schema_text("plan"))).iter_errors(data), None)
    if fault is not None:
        place = " > ".join(map(str, fault.absolute_path)) or "the plan"
        raise UsageError(f"{place} is not as a build writes it: {fault.message}", where=where, expected=EXPECTED)


def written(data: PlanData) -> dict[str, Written]:
    """Return every written value of a plan, by file and path."""
    return {
        file: {tuple(path): (line, column, text) for path, line, column, text in values}
        for file, values in data["written"].items()
    }


def entry_of(data: PlanData, key: str) -> Entry | None:
    """Return an entry as the plan held it, None where it has none of that key."""
    found = data["entries"].get(key)
    if found is None:
        return None
    value, unit = found["value"], found["unit"]
    if unit in TIMES and isinstance(value, str):
        value = datetime.fromisoformat(value)
    return Entry(key, found["label"], value, unit, found["decimals"], found["method"])


def quoted(data: PlanData, key: str) -> str:
    """Return a figure with its unit as a text quotes it, empty where the plan does not have it."""
    entry = entry_of(data, key)
    return "" if entry is None else with_unit(entry, data["entries"][key]["printed"]).replace(NO_BREAK, " ")
