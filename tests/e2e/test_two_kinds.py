"""One mission on both kinds of aircraft: the physical model, and the charts the command prints from it."""

from __future__ import annotations

import shutil

import pytest
from typer.testing import CliRunner

from briefgen.cli import app
from briefgen.model.plan import Plan
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS, plan_of, plan_once

MISSION = "cedar-lantern"


@pytest.fixture(scope="module")
def on_charts(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """The demo mission, flaps on its passes and all, flown on the files that `aircraft --charts` writes."""
    specs = tmp_path_factory.mktemp("kinds") / "specs"
    shutil.copytree(SPECS, specs)
    file = specs / "aircraft" / "t4-freighter.yaml"
    result = CliRunner().invoke(app, ["aircraft", str(file), "--fuel", "91/96", "--charts", str(specs)])
    assert result.exit_code == 0, result.output
    mission = specs / f"{MISSION}.yaml"
    text = mission.read_text(encoding="utf-8")
    mission.write_text(text.replace("aircraft/t4-freighter.yaml", "aircraft/t4-freighter-91-96-charts.yaml"), "utf-8")
    return plan_once(read_mission(mission))


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


def test_trip_fuel_agrees_within_one_per_cent(on_charts: Plan) -> None:
    """The bound set for the two kinds; measured 0.12 %."""
    assert on_charts.mission.aircraft.model is None

    assert number(on_charts, "fuel.required.trip") == pytest.approx(
        number(plan_of(MISSION), "fuel.required.trip"), rel=0.01
    )


@pytest.mark.parametrize("kind", ["climb", "cruise", "descent", "run", "hold"])
def test_every_kind_of_flight_agrees_within_one_per_cent(on_charts: Plan, kind: str) -> None:
    """So that no two errors cancel in the sum."""

    def burnt(plan: Plan) -> float:
        return sum(phase.fuel_burn_kg for phase in plan.phases if phase.kind == kind)

    assert burnt(on_charts) == pytest.approx(burnt(plan_of(MISSION)), rel=0.01)


def test_time_in_the_air_agrees(on_charts: Plan) -> None:
    assert number(on_charts, "duration.air") == pytest.approx(number(plan_of(MISSION), "duration.air"), rel=0.002)


@pytest.mark.parametrize("number_of_choice", [1, 2, 3])
def test_waiting_on_fewer_engines_agrees_within_one_per_cent(on_charts: Plan, number_of_choice: int) -> None:
    """Four, and either choice of three; on two a corner of the cell is out of her power, and the charts refuse."""
    key = f"engines_out.waiting.{number_of_choice:02d}.flow"

    assert number(on_charts, key) == pytest.approx(number(plan_of(MISSION), key), rel=0.01)


def test_charts_of_climb_at_one_speed_err_low_with_engines_stopped(on_charts: Plan) -> None:
    """They hold for the climb speed of the file, faster than the best on fewer engines: a lower ceiling, on the safe side."""
    key = "engines_out.leg.01.service_one"

    assert 0.0 < number(on_charts, key) < number(plan_of(MISSION), key)
