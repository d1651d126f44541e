"""The long ferry as planned: its last moment to return, equal time on four and on three engines, and what is kept in hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from briefgen.model.plan import Plan
from tests.shared.demo_missions import plan_edited, plan_of

TURNING = "way_home.return.crossing.01"
FOUR, THREE = "equal_time.01", "equal_time.03"


def number(plan: Plan, key: str) -> float:
    """Return a numeric entry in SI."""
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


def test_against_the_trades_equal_time_lies_past_half_way_and_further_on_three_engines() -> None:
    plan = plan_of("long-tide")
    half_m = 0.5 * plan.phases[-1].end.distance_m
    four, three = number(plan, f"{FOUR}.distance"), number(plan, f"{THREE}.distance")

    assert plan.ledger[f"{THREE}.engines"].value == "three, one outer feathered"
    assert half_m < four < three
    assert number(plan, f"{THREE}.each_way") > number(plan, f"{FOUR}.each_way")


def test_she_can_still_return_at_the_equal_time_point() -> None:
    """With the point of no return past the equal-time point there is a choice at every moment."""
    plan = plan_of("long-tide")

    assert number(plan, f"{TURNING}.distance") > number(plan, f"{THREE}.distance")


def test_half_of_the_way_has_no_field_but_the_two_ends() -> None:
    plan = plan_of("long-tide")
    served_m = number(plan, "way_home.alternate.lx11.crossing.01.distance")

    assert served_m < 0.5 * plan.phases[-1].end.distance_m
    cells = [row.cells["way_home.alternate.lx11"] for row in plan.tables["way_home.points"].rows]
    assert [plan.ledger[cell].value for cell in cells[-2:]] == ["not from here"] * 2


def test_the_least_fuel_to_continue_holds_the_island_reserve() -> None:
    plan = plan_of("long-tide")
    density = number(plan, "fuel.density")
    row = plan.tables["way_home.points"].rows[0].cells
    kept_kg = (number(plan, row["least"]) - number(plan, row["onward"])) * density

    assert kept_kg == pytest.approx(number(plan, "fuel.required.island") + number(plan, "way_home.held_back"))


def test_every_turning_point_is_on_chart_map_and_timeline() -> None:
    plan = plan_of("long-tide")
    decisions = {event.time_key for event in plan.events if event.kind == "decision"}

    marks = plan.charts["way_home"].points
    assert [mark.key for mark in marks] == [f"{TURNING}.time", "way_home.alternate.lx11.crossing.01.time"]
    assert {mark.key for mark in marks} <= decisions
    for key in (TURNING, FOUR, THREE):
        assert f"{key}.latitude" in plan.ledger
        assert f"{key}.longitude" in plan.ledger


def test_more_head_wind_moves_the_last_moment_back_towards_home_in_miles(tmp_path: Path) -> None:
    """A fresher south-easter over the open sea (20 kt more at 9,000 ft there): she gets less far on the same fuel."""
    text = "S10 1322 1320+14 1318+08 0908+02 0113-10 3017-22"
    second = "S10 1324 1322+14 1320+08 0909+02 0214-10 3018-22"
    fuel = ("long-tide.yaml", "as required plus: 120 US gal", "at ramp: 2520 US gal")
    calm = plan_edited(tmp_path / "as-is", "long-tide", fuel)
    fresh = plan_edited(
        tmp_path / "fresh", "long-tide", fuel,
        ("weather/long-tide.yaml", text, text.replace("1318+08", "1338+08")),
        ("weather/long-tide.yaml", second, second.replace("1320+08", "1340+08")),
    )  # fmt: skip

    assert number(fresh, f"{TURNING}.distance") < number(calm, f"{TURNING}.distance")
    assert number(fresh, f"{FOUR}.distance") > number(calm, f"{FOUR}.distance")
