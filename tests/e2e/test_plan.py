"""The plan of the demo mission as a whole: it agrees with itself, keeps what was asked, and follows its inputs."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import pytest

from briefgen.document import fingerprint, plan_json, printed, terminal_text
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.planning.flight.route import item_keys
from briefgen.planning.ledger.keys import phase_key
from briefgen.spec import read_mission
from tests.shared.demo_missions import edited, plan_edited, plan_of, plan_once

ONE_SECOND = 1.0
MASS_TOLERANCE_KG = 1e-6


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_of("cedar-lantern")


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


def test_she_is_over_the_target_at_the_time_asked(plan: Plan) -> None:
    """05:20 at Noumea and Efate time, UTC+11, is 18:20 UTC of the day before."""
    over = plan.ledger["time.over_target"].value

    assert isinstance(over, datetime)
    assert abs((over - datetime(2027, 2, 17, 18, 20, tzinfo=UTC)).total_seconds()) < ONE_SECOND


def test_fuel_burnt_is_mass_lost_but_for_the_load(plan: Plan) -> None:
    """Through every phase weight falls by the fuel burnt, and between phases by what left."""
    for phase in plan.phases:
        assert phase.start.mass_kg - phase.end.mass_kg == pytest.approx(phase.fuel_burn_kg, abs=MASS_TOLERANCE_KG)
    for before, after in pairwise(plan.phases):
        assert before.end.mass_kg - after.start.mass_kg == pytest.approx(before.released_kg, abs=MASS_TOLERANCE_KG)
    assert sum(phase.released_kg for phase in plan.phases) == pytest.approx(4000 * 0.45359237)


def test_phases_join_in_time_and_place(plan: Plan) -> None:
    """Each phase begins where and when the one before ended."""
    for before, after in pairwise(plan.phases):
        assert after.start.instant == before.end.instant
        assert after.start.distance_m == before.end.distance_m
        assert (after.start.lat_deg, after.start.lon_deg) == (before.end.lat_deg, before.end.lon_deg)


def test_printed_parts_add_up_to_printed_totals(plan: Plan) -> None:
    """A reader with a pencil finds no error: burns, distances and times of the rows give the totals as printed."""
    shown = printed(plan)

    def figure(key: str) -> int:
        return int(shown[key].replace(",", "").replace("\u2212", "-"))

    air = [phase_key(phase.ident) for phase in plan.phases if phase.settings and phase.kind != "hold"]
    assert sum(figure(f"{key}.fuel_burn") for key in air) == figure("fuel.required.trip")
    assert sum(figure(f"{key}.fuel_burn_volume") for key in air) == figure("fuel.required.trip_volume")
    lines = ("taxi", "trip", "contingency", "hold", "alternate", "final_reserve", "unusable")
    assert sum(figure(f"fuel.required.{name}") for name in lines) == figure("fuel.required.total")
    assert figure("fuel.ramp") - figure("fuel.required.total") == figure("fuel.margin")
    items = plan.mission.route.items
    legs = [(index, key) for index, key in enumerate(item_keys(items)) if key.startswith("leg.")]
    assert [key for _, key in legs] == ["leg.marlin", "leg.saddle", "leg.tern", "leg.lx01"]
    for index, leg in legs:
        own = [phase_key(phase.ident) for phase in plan.phases if phase.item == index]
        for name in ("distance", "duration", "fuel_burn", "fuel_burn_volume"):
            assert sum(figure(f"{key}.{name}") for key in own) == figure(f"{leg}.{name}")


def test_terminal_and_machine_readable_plan_print_one_set_of_figures(plan: Plan) -> None:
    """`show`, plan.json and the ledger quote the same digits."""
    shown, data, text = printed(plan), json.loads(plan_json(plan)), terminal_text(plan)

    plain = {key: figure for key, figure in shown.items() if "{" not in figure}  # titles quote entries by key
    assert {key: data["entries"][key]["printed"] for key in plain} == plain
    for key in ("fuel.required.total", "fuel.margin", "leg.marlin.distance", "mass.zero_fuel"):
        assert shown[key] in text


def test_every_input_of_an_entry_is_an_entry(plan: Plan) -> None:
    """`explain` can walk from any number down to what was written."""
    for entry in plan.ledger.entries.values():
        assert set(entry.inputs) <= set(plan.ledger.entries)


def test_every_given_value_knows_its_line(plan: Plan) -> None:
    """A value somebody wrote leads to the file and line it was written on."""
    for entry in plan.ledger.entries.values():
        if entry.method == "given":
            assert entry.given is not None, entry.key
            assert entry.given.line > 0


def test_a_stronger_wind_moves_time_fuel_and_heading(tmp_path: Path, plan: Plan) -> None:
    """The forecast feeds ground speed, burn, take-off time and margin."""
    path = tmp_path / "specs/weather/2027-02-17-evening.yaml"
    other = _with_every_wind_doubled(tmp_path, path)

    assert number(other, "leg.tern.duration") != pytest.approx(number(plan, "leg.tern.duration"), rel=0.005)
    assert number(other, "fuel.required.trip") != pytest.approx(number(plan, "fuel.required.trip"), rel=0.002)
    assert other.ledger["time.take_off"].value != plan.ledger["time.take_off"].value
    assert fingerprint(other) != fingerprint(plan)


def _with_every_wind_doubled(tmp_path: Path, path: Path) -> Plan:
    spec = edited(tmp_path, "cedar-lantern")
    text = path.read_text(encoding="utf-8")
    doubled = re.sub(
        r'(altitude: "?[\d,]+ ft"?, wind: \d+T/)(\d+)( kt)', lambda m: f"{m[1]}{2 * int(m[2])}{m[3]}", text
    )
    assert doubled != text
    path.write_text(doubled, encoding="utf-8")
    return plan_once(read_mission(spec))


def test_more_load_makes_her_heavier_and_thirstier(tmp_path: Path, plan: Plan) -> None:
    """500 lb more to stay aboard: zero-fuel weight by exactly that, trip fuel by something."""
    other = plan_edited(tmp_path, "cedar-lantern", ("cedar-lantern.yaml", "mass: 340 lb", "mass: 840 lb"))

    assert number(other, "mass.zero_fuel") - number(plan, "mass.zero_fuel") == pytest.approx(500 * 0.45359237)
    assert number(other, "fuel.required.trip") > number(plan, "fuel.required.trip")
    assert number(other, "balance.take_off.cg") != number(plan, "balance.take_off.cg")


def test_the_higher_fuel_grade_changes_the_take_off_setting(tmp_path: Path, plan: Plan) -> None:
    """Her 47 inHg is for the higher grade alone; that a lower grade has a lower rating is common practice."""
    other = plan_edited(tmp_path, "cedar-lantern", ("cedar-lantern.yaml", "fuel grade: 91/96", "fuel grade: 100/130"))

    assert number(other, "take_off.manifold_pressure") / 3386.389 == pytest.approx(47.0, abs=0.05)
    assert number(other, "take_off.manifold_pressure") > number(plan, "take_off.manifold_pressure")


def test_fuel_as_required_leaves_exactly_the_extra(tmp_path: Path) -> None:
    """The fuel loaded carries its own weight: what is over is what was asked to be over."""
    change = ("cedar-lantern.yaml", 'at ramp: "1,495 US gal"', "as required plus: 50 US gal")
    other = plan_edited(tmp_path, "cedar-lantern", change)

    assert number(other, "fuel.margin_volume") * 264.172052 == pytest.approx(50.0, abs=0.1)


def test_a_plan_is_made_twice_alike(plan: Plan) -> None:
    """Nothing but the files decides a plan: no clock, no order of a set."""
    again = plan_mission(plan.mission)

    assert again.ledger == plan.ledger
    assert fingerprint(again) == fingerprint(plan)
