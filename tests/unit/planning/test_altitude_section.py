"""The choice of height: the levels of each track, what they cost, and words where one cannot be flown."""

from __future__ import annotations

import math
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from briefgen.model.ledger import Row
from briefgen.model.mission import Height, Leg, Mission
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.planning.flight.levels import cruises, flight, levels_m
from briefgen.planning.flight.pacing import speed_range
from briefgen.planning.flight.steps import Level
from briefgen.spec import read_mission
from tests.shared.timed_missions import SPECS, crew_of, finely_read, flown, leg_phases, timed_mission

FT_M = 0.3048
MPH_M_PER_S = 0.44704
WESTWARD, EASTWARD = 226.0, 59.0  # magnetic


@pytest.fixture(scope="module")
def mission(tmp_path_factory: pytest.TempPathFactory) -> Mission:
    return timed_mission(tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="module")
def plan(mission: Mission) -> Plan:
    return plan_mission(mission)


def rows_of(plan: Plan, name: str) -> list[Row]:
    return [row for row in plan.tables["altitudes"].rows if row.name == name]


def value(plan: Plan, row: Row, column: str) -> float:
    found = plan.ledger[row.cells[column]].value
    assert isinstance(found, float)
    return found


def levels_ft(mission: Mission, leg: Leg, track_deg: float) -> list[int]:
    return [round(height_m / FT_M) for height_m in levels_m(mission, leg, track_deg, 3)]


def leg_at(mission: Mission, height_ft: float, safe_ft: float) -> Leg:
    first = mission.route.items[0]
    assert isinstance(first, Leg)
    return replace(first, height=Height(height_ft * FT_M, "altitude"), safe_height_m=safe_ft * FT_M)


@pytest.mark.parametrize(
    ("height_ft", "track_deg", "expected"),
    [
        # 14 CFR 91.179(b): below 18,000 ft odd thousands on magnetic courses 000 to 179, even thousands on 180 to 359.
        (9000.0, EASTWARD, [5000, 7000, 9000, 11000, 13000, 15000]),
        (10000.0, WESTWARD, [4000, 6000, 8000, 10000, 12000, 14000, 16000]),
        # 14 CFR 91.159(a): the same thousands plus 500 ft.
        (9500.0, EASTWARD, [3500, 5500, 7500, 9500, 11500, 13500, 15500]),
        (8500.0, WESTWARD, [4500, 6500, 8500, 10500, 12500, 14500]),
        # A level that is none of its track's stands among them as written.
        (9200.0, EASTWARD, [5000, 7000, 9000, 9200, 11000, 13000, 15000]),
    ],
)
def test_the_levels_are_those_of_the_track(
    mission: Mission, height_ft: float, track_deg: float, expected: list[int]
) -> None:
    safe_ft = 3400.0 if expected[0] != 5000 else 4500.0

    assert levels_ft(mission, leg_at(mission, height_ft, safe_ft), track_deg) == expected


def test_no_level_is_below_the_safe_height(mission: Mission) -> None:
    assert min(levels_ft(mission, leg_at(mission, 9000.0, 6700.0), EASTWARD)) == 7000


def test_every_cruise_has_its_planned_level_once_and_marked(plan: Plan) -> None:
    names = {row.name for row in plan.tables["altitudes"].rows}

    assert names == {"Leg to Marlin", "Leg to Saddle Reef", "Leg to Tern Bank", "Leg to Harrow Point"}
    for name in names:
        assert [row.mark for row in rows_of(plan, name)].count("decision") == 1


def test_the_planned_row_is_the_flight_of_the_plan(plan: Plan) -> None:
    row = next(row for row in rows_of(plan, "Leg to Tern Bank") if row.mark)
    cruise = next(phase for phase in plan.phases if phase.kind == "cruise" and phase.place == "TERN")

    assert value(plan, row, "time") == pytest.approx(cruise.duration_s, abs=0.001)
    assert value(plan, row, "fuel") * plan.mission.fuel.density_kg_per_m3 == pytest.approx(cruise.fuel_burn_kg)


def test_time_is_the_distance_over_the_ground_speed(plan: Plan) -> None:
    cruise = next(phase for phase in plan.phases if phase.kind == "cruise" and phase.place == "TERN")

    for row in rows_of(plan, "Leg to Tern Bank"):
        assert value(plan, row, "time") * value(plan, row, "ground_speed") == pytest.approx(cruise.distance_m, rel=1e-6)


def test_the_quick_reckoning_agrees_with_the_flight_step_by_step(mission: Mission) -> None:
    """At the planned level, the middle of each hour gives what quarter-hour steps give, but for the rounding of settings."""
    mission = finely_read(mission)
    sortie = flown(mission)
    for cruise in cruises(mission, sortie):
        level = Level(cruise.leg.height.value_m, False)
        found = flight(crew_of(mission), cruise, level, cruise.target)

        assert found.time_s == pytest.approx(cruise.time_s, rel=0.003)
        assert found.fuel_kg == pytest.approx(cruise.fuel_kg, rel=0.003)


def test_in_a_calm_height_gains_true_airspeed_at_one_indicated(tmp_path: Path) -> None:
    """The denser the air the slower: at one indicated airspeed time falls with every level."""
    calm = plan_mission(timed_mission(tmp_path, calm=True))
    times = [value(calm, row, "time") for row in rows_of(calm, "Leg to Saddle Reef")]

    assert times == sorted(times)
    for row in rows_of(calm, "Leg to Saddle Reef"):
        assert value(calm, row, "headwind") == pytest.approx(0.0, abs=1e-9)


def test_more_fuel_is_the_printed_difference(plan: Plan) -> None:
    results = {foot.result for foot in plan.ledger.feet}

    for row in plan.tables["altitudes"].rows:
        assert ("more_fuel" in row.cells) == (not row.mark)
        assert row.mark or row.cells["more_fuel"] in results


def test_a_level_outside_the_forecast_is_shown_with_the_words(tmp_path: Path) -> None:
    """The forecast ends at 18,000 ft: the level above it stays in the table and says so."""
    plan = plan_mission(_with(tmp_path, '"10,000 ft"', '"14,000 ft"'))
    top = rows_of(plan, "Leg to Saddle Reef")[0]
    text = plan.ledger[top.cells["word"]].value

    assert round(value(plan, top, "level") / FT_M) == 20000
    assert isinstance(text, str)
    assert text.startswith("outside the data: ")
    assert "fuel" not in top.cells


def test_a_level_her_power_does_not_reach_is_shown_with_the_words(mission: Mission, tmp_path: Path) -> None:
    """At nearly the greatest speed of the planned height the power for level flight runs out as the air thins."""
    fastest = speed_range(crew_of(mission), leg_phases(mission, flown(mission), "SADDLE")).fastest_m_per_s
    speed = math.floor(0.99 * fastest / MPH_M_PER_S)
    plan = plan_mission(_with(tmp_path, "150 mph indicated", f"{speed} mph indicated"))
    texts = [plan.ledger[row.cells["word"]].value for row in rows_of(plan, "Leg to Saddle Reef") if "word" in row.cells]

    assert any(str(text).startswith("not attainable: ") for text in texts)


def _with(folder: Path, old: str, new: str) -> Mission:
    copy = folder / "specs"
    shutil.copytree(SPECS, copy)
    file = copy / "cedar-lantern.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    return read_mission(file)
