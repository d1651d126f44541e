"""The B3: two engines, a nose wheel, no turbos, no intercoolers, no filters; nothing of the T4 may be left in her plan."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from briefgen.cli import app
from briefgen.model.plan import Plan
from tests.shared.missions_beyond import laid_over, plan_beyond

INHG = 3386.38864


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float), f"{key} is {value!r}"
    return value


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_beyond("feeder-run")


def test_she_is_planned_and_nothing_fails(plan: Plan) -> None:
    assert [found.title for found in plan.findings if found.outcome == "fail"] == []


def test_flow_of_both_engines_is_twice_that_of_one(plan: Plan) -> None:
    rows = [row.cells for row in plan.tables["power"].rows]
    assert rows
    for cells in rows:
        assert number(plan, cells["flow"]) == pytest.approx(2.0 * number(plan, cells["flow_engine"]))


def test_take_off_is_at_her_own_rating(plan: Plan) -> None:
    assert number(plan, "take_off.manifold_pressure") == pytest.approx(39.0 * INHG)
    assert number(plan, "take_off.engine_speed") == 2450.0


def test_she_has_no_attitude_of_the_tail_to_choose(plan: Plan) -> None:
    assert [key for key in plan.ledger.entries if ".tail_down" in key or ".tail_raised" in key] == []


def test_no_step_moves_a_lever_she_lacks(plan: Plan) -> None:
    steps = [step for event in plan.events if event.kind == "power" for step in event.steps]

    assert any("manifold pressure" in step.lower() for step in steps)
    assert [step for step in steps if re.search("filter|intercooler|turbo", step, re.IGNORECASE)] == []


def test_her_pages_speak_of_no_turbo_and_no_intercooler(tmp_path: Path) -> None:
    specs = laid_over(tmp_path)
    site = tmp_path / "site"
    result = CliRunner().invoke(app, ["build", str(specs / "feeder-run.yaml"), "--out", str(site), "--no-pdf"])
    assert result.exit_code == 0, result.output

    pages = sorted(site.rglob("*.html"))
    assert len(pages) > 5
    for page in pages:
        text = re.sub(r"<[^>]*>", " ", page.read_text(encoding="utf-8"))
        assert not re.search(r"turbo|intercooler|flight engineer|tail wheel", text, re.IGNORECASE), page.name


def test_her_engines_run_out_of_throttle_where_a_blower_of_one_speed_does() -> None:
    """`briefgen aircraft` on her file: above 10,000 ft every setting is full throttle."""
    result = CliRunner().invoke(app, ["aircraft", "mission_specs/aircraft/b3-feeder.yaml", "--speeds", "kt"])
    assert result.exit_code == 0, result.output

    rows = [line for line in result.output.splitlines() if re.match(r"\s+10,000\s+(lean|rich)", line)]
    assert rows
    assert all(line.rstrip().endswith("full throttle") for line in rows)
