"""One mission on both kinds of aircraft: the physical model, and the charts the command prints from it."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from briefgen.cli import app
from briefgen.model.plan import Plan
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS, plan_once

MISSION = "cedar-lantern"


FINE_INSTRUMENTS = (
    "instrument resolution: { engine speed: 1 rpm, manifold pressure: 0.01 inHg, airspeed: 1 mph, altitude: 20 ft }"
)


@pytest.fixture(scope="module")
def specs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo missions with instruments read so finely that settings flown as rounded are those of the charts."""
    specs = tmp_path_factory.mktemp("kinds") / "specs"
    shutil.copytree(SPECS, specs)
    file = specs / "aircraft" / "t4-freighter.yaml"
    text = file.read_text(encoding="utf-8")
    fine = re.sub("^instrument resolution:.*$", FINE_INSTRUMENTS, text, flags=re.MULTILINE)
    assert fine != text
    file.write_text(fine, encoding="utf-8")
    return specs


@pytest.fixture(scope="module")
def on_model(specs: Path) -> Plan:
    """The demo mission flown on the model."""
    return plan_once(read_mission(specs / f"{MISSION}.yaml"))


@pytest.fixture(scope="module")
def on_charts(specs: Path) -> Plan:
    """The demo mission, flaps on its passes and all, flown on the files that `aircraft --charts` writes."""
    file = specs / "aircraft" / "t4-freighter.yaml"
    result = CliRunner().invoke(app, ["aircraft", str(file), "--fuel", "91/96", "--charts", str(specs)])
    assert result.exit_code == 0, result.output
    mission = specs / "on-charts.yaml"
    text = (specs / f"{MISSION}.yaml").read_text(encoding="utf-8")
    mission.write_text(text.replace("aircraft/t4-freighter.yaml", "aircraft/t4-freighter-91-96-charts.yaml"), "utf-8")
    return plan_once(read_mission(mission))


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


def test_trip_fuel_agrees_within_one_per_cent(on_charts: Plan, on_model: Plan) -> None:
    """The bound set for the two kinds; measured 0.12 %."""
    assert on_charts.mission.aircraft.model is None

    assert number(on_charts, "fuel.required.trip") == pytest.approx(number(on_model, "fuel.required.trip"), rel=0.01)


@pytest.mark.parametrize("kind", ["climb", "cruise", "descent", "run", "hold"])
def test_every_kind_of_flight_agrees_within_one_per_cent(on_charts: Plan, on_model: Plan, kind: str) -> None:
    """So that no two errors cancel in the sum."""

    def burnt(plan: Plan) -> float:
        return sum(phase.fuel_burn_kg for phase in plan.phases if phase.kind == kind)

    assert burnt(on_charts) == pytest.approx(burnt(on_model), rel=0.01)


def test_time_in_the_air_agrees(on_charts: Plan, on_model: Plan) -> None:
    assert number(on_charts, "duration.air") == pytest.approx(number(on_model, "duration.air"), rel=0.002)


@pytest.mark.parametrize("number_of_choice", [1, 2, 3])
def test_waiting_on_fewer_engines_agrees_within_one_per_cent(
    on_charts: Plan, on_model: Plan, number_of_choice: int
) -> None:
    """Four, and either choice of three; on two a corner of the cell is out of her power, and the charts refuse."""
    key = f"engines_out.waiting.{number_of_choice:02d}.flow"

    assert number(on_charts, key) == pytest.approx(number(on_model, key), rel=0.01)


def test_charts_of_climb_at_one_speed_err_low_with_engines_stopped(on_charts: Plan, on_model: Plan) -> None:
    """They hold for the climb speed of the file, faster than the best on fewer engines: a lower ceiling, on the safe side."""
    key = "engines_out.leg.marlin.service_one"

    assert 0.0 < number(on_charts, key) < number(on_model, key)
