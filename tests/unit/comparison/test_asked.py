"""What was asked differently: by path, list items found again, what one line says for many told once."""

from __future__ import annotations

from typing import Any

from briefgen.comparison.asked import asked_differently
from briefgen.comparison.plan_data import Written


def values(data: Any) -> Written:
    """Return nested data as written values, one to a line."""
    found: Written = {}

    def walk(path: tuple[str | int, ...], node: Any) -> None:
        inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else None
        if inner is None:
            found[path] = (len(found) + 1, 1, str(node))
            return
        for key, value in inner:
            walk((*path, key), value)

    walk((), data)
    return found


def asked(before: Any, now: Any) -> list[tuple[str, str, str, str]]:
    """Return the differences of one file."""
    found = asked_differently({"a.yaml": values(before)}, {"a.yaml": values(now)})
    return [(one.where, one.what, one.before, one.now) for one in found]


LOAD = [
    {"name": "Rice", "mass": "1,900 lb"},
    {"name": "Tents", "mass": "2,400 lb"},
    {"name": "Water", "mass": "3,700 lb"},
]


def test_a_changed_value_is_told_by_place_and_path() -> None:
    """Where it now stands, what it is, what it was and is."""
    assert asked({"load": LOAD}, {"load": [{**LOAD[0], "mass": "2,000 lb"}, *LOAD[1:]]}) == [
        ("a.yaml:2", "load[0].mass", "1,900 lb", "2,000 lb")
    ]


def test_a_list_item_that_goes_moves_nothing_else() -> None:
    """The items below it have other numbers and are the same."""
    assert asked({"load": LOAD}, {"load": LOAD[1:]}) == [("a.yaml:1", "load[0]", "name Rice, mass 1,900 lb", "")]


def test_an_item_that_comes_first_and_one_that_changes_are_two_things() -> None:
    """The changed one is found again by what else it says."""
    chests = {"name": "Chests", "mass": "880 lb"}
    now = [chests, LOAD[0], {**LOAD[1], "mass": "2,500 lb"}, LOAD[2]]

    assert asked({"load": LOAD}, {"load": now}) == [
        ("a.yaml:1", "load[0]", "", "name Chests, mass 880 lb"),
        ("a.yaml:6", "load[2].mass", "2,400 lb", "2,500 lb"),
    ]


def test_what_many_places_take_from_one_line_is_told_once() -> None:
    """An alias stands in eight places and is written in one."""
    before = {("winds", number, "wind"): (7, 3, "140T/22 kt") for number in range(8)}
    now = dict.fromkeys(before, (7, 3, "140T/30 kt"))

    (found,) = asked_differently({"w.yaml": before}, {"w.yaml": now})

    assert (found.where, found.others, found.before, found.now) == ("w.yaml:7", 7, "140T/22 kt", "140T/30 kt")


def test_remarks_and_order_of_keys_are_no_difference() -> None:
    """Nothing was asked differently when the same values stand on other lines."""
    assert asked({"a": "1", "b": "2"}, {"b": "2", "a": "1"}) == []


def test_a_value_that_becomes_a_group_is_told_as_both() -> None:
    """No crash where the shape of the file changed."""
    assert asked({"fuel": "full"}, {"fuel": {"at ramp": "1,000 US gal"}}) == [
        ("a.yaml:1", "fuel", "full", ""),
        ("a.yaml:1", "fuel.at ramp", "", "1,000 US gal"),
    ]
