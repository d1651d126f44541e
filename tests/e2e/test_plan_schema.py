"""The plan as JSON keeps the schema that documents it, and every key in it leads somewhere."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from briefgen.document import plan_json
from briefgen.planning.sections.timeline import ORDER
from briefgen.spec import missions_in, schema_text
from briefgen.spec.meaning.mission import POSITIONS
from briefgen.unit_tables import UNITS
from tests.shared.demo_missions import SPECS, plan_of

NAMES = [path.stem for path in missions_in(SPECS)]
SCHEMA = json.loads(schema_text("plan"))
PRINTED_ONLY = {
    "",
    "h:min",
    "% MAC",
    "UTC",
    "local",
    "UTC date",
    "latitude",
    "longitude",
}  # forms of printing, no units


def no_number(word: str) -> float:
    raise AssertionError(f"{word} is no number of JSON")


@cache
def written(name: str) -> dict[str, Any]:
    """Return the plan of a demo mission as another program reads it; not to be changed."""
    plan: dict[str, Any] = json.loads(plan_json(plan_of(name)), parse_constant=no_number)
    return plan


def keys_used(plan: dict[str, Any]) -> Iterator[str]:
    """Yield every key that something other than the entry itself names."""
    for foot in plan["feet"]:
        yield from (foot["result"], *foot["plus"], *foot["minus"])
    for table in plan["tables"].values():
        for row in table["rows"]:
            yield from (key for key in row["cells"].values() if key)
    for event in plan["events"]:
        yield event["time"]
    for finding in plan["findings"]:
        yield from (finding[name] for name in ("measured", "limit", "margin") if finding[name])


@pytest.mark.parametrize("name", NAMES)
def test_plan_of_every_demo_mission_keeps_its_schema(name: str) -> None:
    """What a build writes is what the schema says."""
    faults = [
        f"{fault.json_path}: {fault.message}" for fault in Draft202012Validator(SCHEMA).iter_errors(written(name))
    ]

    assert faults == []


@pytest.mark.parametrize("name", NAMES)
def test_every_key_in_the_plan_names_an_entry(name: str) -> None:
    """Another program can follow any cell, event or finding to its figure."""
    plan = written(name)

    assert {key for key in keys_used(plan) if key not in plan["entries"]} == set()


@pytest.mark.parametrize("name", NAMES)
def test_an_entry_rests_only_on_entries_above_it(name: str) -> None:
    """Read from the top, nothing is used before it is there."""
    seen: set[str] = set()
    early = []
    for key, entry in written(name)["entries"].items():
        early += [(key, used) for used in entry.get("inputs", ()) if used not in seen]
        seen.add(key)

    assert early == []


@pytest.mark.parametrize("name", NAMES)
def test_columns_of_a_table_are_filled_under_their_names(name: str) -> None:
    """No cell stands under a column that the table does not have."""
    for table in written(name)["tables"].values():
        columns = {column["name"] for column in table["columns"]}
        assert all(row["cells"].keys() <= columns for row in table["rows"]), table["title"]


@pytest.mark.parametrize("name", NAMES)
def test_units_are_of_the_closed_list(name: str) -> None:
    """A unit in the plan is one the project knows, or a form of printing that the schema explains."""
    assert {entry["unit"] for entry in written(name)["entries"].values()} <= UNITS.keys() | PRINTED_ONLY


def test_schema_names_the_positions_and_kinds_the_plan_can_have() -> None:
    """The lists in the schema are those of the spec and of the timeline."""
    event = SCHEMA["$defs"]["event"]["properties"]

    assert tuple(event["positions"]["items"]["enum"]) == POSITIONS
    assert set(event["kind"]["enum"]) == set(ORDER)


def test_a_plan_that_is_not_one_is_refused() -> None:
    """The schema is closed: a key too many, a figure without its print, and a foot of nothing are all found."""
    plan = copy.deepcopy(written("mudlark"))
    plan["remarks"] = "none"
    del plan["entries"]["fuel.margin"]["printed"]
    plan["feet"][0]["result"] = ""

    faults = {fault.json_path for fault in Draft202012Validator(SCHEMA).iter_errors(plan)}

    assert faults == {"$", "$.entries['fuel.margin']", "$.feet[0].result"}


def test_a_sum_says_which_figure_gives_way() -> None:
    """Printed to the gallon: what stands in each tank is fitted to the fuel of the log, a total is fitted to its lines."""
    plan = written("long-tide")
    gives = {foot["result"]: foot["gives"] for foot in plan["feet"]}
    (tanks,) = (foot for foot in plan["feet"] if foot["result"] == "fuel.ramp_volume" and foot["gives"] == "parts")
    entries = plan["entries"]

    def count(key: str) -> int:
        return int(entries[key]["printed"].replace(",", ""))

    assert gives["fuel.required.total"] == "result"
    assert sum(count(key) for key in tanks["plus"]) == count("fuel.ramp_volume")
    assert all(abs(count(key) - _us_gal(entries[key])) <= 1.5 for key in tanks["plus"])


def _us_gal(entry: dict[str, Any]) -> float:
    return float(entry["value"]) / (231 * 0.0254**3)  # m3, exact: NIST SP 811
