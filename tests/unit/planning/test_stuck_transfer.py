"""A transfer stuck from its start, by hand: the moment across, the minute at which it is worst, and what is to be done."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from briefgen.model.handling import FuelTransfer, Transfer
from briefgen.model.plan import Finding
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.balance.section import write_balance
from tests.shared.loading_cases import (
    GAL,
    IN,
    LB,
    OFF_BLOCKS,
    RICE,
    SPARES,
    WATER,
    aircraft,
    entered,
    envelope,
    mission,
    phases,
    tank,
)

MAINS = tuple(one for one in aircraft().balance.tanks if one.name.startswith("main"))
WINGS = (tank("wing left", 202, 280, -300, 1), tank("wing right", 202, 280, 300, 1))
TANKS = (*WINGS, *(replace(one, order=2) for one in MAINS))
AT = "fuel.failed_transfer"


def stuck(craft: Any, **tanks_gal: float) -> tuple[LedgerWriter, dict[str, Finding]]:
    """The balance of the flight of straight lines with so much in each tank."""
    by_tank = {name.replace("_", " "): gallons * GAL for name, gallons in tanks_gal.items()}
    task = mission(
        WATER, RICE, SPARES, craft=craft, gallons=sum(tanks_gal.values()), kind="by tank", by_tank_m3=by_tank
    )
    route = SimpleNamespace(items=task.route.items, origin=SimpleNamespace(elevation_m=0.0))
    task = replace(task, route=route)
    writer = LedgerWriter({})
    log, weights, running, reserve = entered(task, phases(task), writer)
    _, findings, _ = write_balance(task, log, weights, running, reserve, writer)
    return writer, {one.ident: one for one in findings if one.ident.startswith(AT)}


def each_feeds_its_side(**changes: Any) -> Any:
    """Mains feed the engines in every phase; each wing tank fills the main of its own side at 240 US gal an hour."""
    craft = aircraft(tanks=TANKS, **changes)
    names = ("start", "taxi", "take-off", "climb", "cruise", "drop", "descent", "pattern", "after landing")
    craft.phases = tuple(SimpleNamespace(phase=name, fuel_from=("main left", "main right")) for name in names)
    rate, room = 240 * GAL / 3600, 20 * GAL
    moved = (Transfer("wing left", ("main left",), room, rate), Transfer("wing right", ("main right",), room, rate))
    craft.fuel_transfer = FuelTransfer(0.0, ("start", "taxi", "take-off"), moved)
    return craft


def hours(writer: LedgerWriter, name: str) -> float:
    """Hours since the engines were started."""
    return (writer.instant(f"{AT}.{name}") - OFF_BLOCKS) / timedelta(hours=1)


def test_sides_equal_by_weight_may_still_be_far_apart_by_moment() -> None:
    """By hand: 198 US gal are 1,188 lb, stuck at 300 in left; their like went to the right main at 200: 118,800 lb in left.

    The water at the left door, 1,500 lb at 30 in, stands there too as the first drop begins, 2.0 h after the start: 163,800.
    """
    writer, found = stuck(
        each_feeds_its_side(lateral_moment_limit_kg_m=150_000 * LB * IN),
        wing_left=200, wing_right=200, main_left=300, main_right=300,
    )  # fmt: skip

    assert writer.number(f"{AT}.01.difference") == pytest.approx(0.0, abs=1e-6)
    assert writer.number(f"{AT}.01.lateral") / (LB * IN) == pytest.approx(163_800)
    assert writer.number(f"{AT}.01.lateral_margin") / (LB * IN) == pytest.approx(-13_800)
    assert hours(writer, "01.lateral_time") == pytest.approx(2.0)
    assert found[f"{AT}.01"].outcome == "pass"
    assert found[f"{AT}.01.lateral"].outcome == "caution"
    assert f"{AT}.02.lateral" not in found  # the right one: 118,800 without the door, within the limit


def test_the_fuel_to_be_burnt_from_the_heavy_side_evens_it_out() -> None:
    """13,800 lb in over, moved from a main at 200 in left to one at 200 in right: 34.5 lb."""
    writer, found = stuck(
        each_feeds_its_side(lateral_moment_limit_kg_m=150_000 * LB * IN),
        wing_left=200, wing_right=200, main_left=300, main_right=300,
    )  # fmt: skip

    assert writer.number(f"{AT}.01.even_out") / LB == pytest.approx(34.5)
    assert f"burn {{{AT}.01.even_out}} more than planned from main left" in found[f"{AT}.01.lateral"].cure


def test_the_minute_at_which_the_limit_is_passed_is_told() -> None:
    """Burnt straight from the wings: 1,000 lb gone from the right at 300 in are 300,000 lb in, 400 of 900 lb into the cruise."""
    craft = aircraft(tanks=TANKS, lateral_moment_limit_kg_m=300_000 * LB * IN)
    writer, found = stuck(craft, wing_left=200, wing_right=200, main_left=300, main_right=300)

    assert hours(writer, "01.land_by") == pytest.approx(0.9 + 400 / 900, abs=1e-6)
    assert writer.number(f"{AT}.01.lateral") / (LB * IN) == pytest.approx(1_188 * 300 + 45_000)
    assert writer.number(f"{AT}.02.lateral") / (LB * IN) == pytest.approx(1_188 * 300)
    assert hours(writer, "02.lateral_time") == pytest.approx(0.9 + 588 / 900, abs=1e-6)
    assert found[f"{AT}.01.lateral"].cure.startswith(f"land by {{{AT}.01.land_by}}")


def test_within_the_limit_the_tank_with_the_least_in_hand_is_shown() -> None:
    """600,000 lb in: both pass, and the left one, with the load at the left door, has less in hand."""
    craft = aircraft(tanks=TANKS)
    writer, found = stuck(craft, wing_left=200, wing_right=200, main_left=300, main_right=300)

    assert found[f"{AT}.01.lateral"].outcome == "pass"
    assert writer.number(f"{AT}.01.lateral_margin") / (LB * IN) == pytest.approx(600_000 - 401_400)
    assert f"{AT}.02.lateral" not in found
    assert f"{AT}.01.land_by" not in writer


def test_fuel_that_is_stuck_takes_the_centre_of_gravity_past_its_limit() -> None:
    """Wing tanks at 100 in, mains at 270: 1,188 lb that stay in one and come from the other move it 201,960 lb in forward.

    That is past a limit at 265 in from the descent on (she weighs 44,180 lb at its end), though every planned moment keeps it.
    """
    corners = ((265, 30_000), (265, 61_000), (288, 61_000), (288, 30_000))
    tanks = (*(replace(one, arm_m=100 * IN) for one in WINGS), *(replace(one, order=2) for one in MAINS))
    craft = aircraft(tanks=tanks, envelopes=(envelope("flight", *corners),))
    writer, found = stuck(craft, wing_left=200, wing_right=200, main_left=300, main_right=300)
    by_hand_in = writer.number("balance.09-descent.cg") / IN - 1_188 * 170 / 44_180

    assert writer.number("balance.09-descent.forward_margin") > 0.0
    assert writer.number(f"{AT}.01.cg") / IN == pytest.approx(by_hand_in)
    assert writer.number(f"{AT}.01.cg_margin") / IN == pytest.approx(by_hand_in - 265)
    assert hours(writer, "01.cg_time") == pytest.approx(3.9)
    assert found[f"{AT}.01.envelope"].outcome == "caution"


def test_what_is_left_may_run_dry_before_the_landing() -> None:
    """396 usable US gal in the mains are 2,376 lb: 1,620 by the second drop, and 756 of the 1,200 of the cruise home."""
    writer, found = stuck(aircraft(), bay_tank=200, main_left=200, main_right=200)

    assert hours(writer, "01.dry") == pytest.approx(2.1 + 1.5 * 756 / 1_200, abs=1e-6)
    assert found[f"{AT}.01"].outcome == "caution"
    assert "run dry" in found[f"{AT}.01"].text
    assert writer.number(f"{AT}.01.over_reserve") < 0.0
