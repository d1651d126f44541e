"""Limits that are printed are held: time at a rating, speed in the hold, the turn between passes, minutes at stations."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from briefgen.model.plan import Finding, Plan
from briefgen.planning.sections.limits_held import stretches
from tests.shared.demo_missions import plan_edited, plan_of

MISSION = "cedar-lantern"
FILE = f"{MISSION}.yaml"


def finding(plan: Plan, title: str) -> Finding:
    return next(found for found in plan.findings if found.title == title)


def test_the_demo_keeps_every_one_of_them() -> None:
    plan = plan_of(MISSION)

    for title in (
        "Time at take-off power",
        "Speed in the hold",
        "Time to turn between passes",
        "Time at stations before start",
    ):
        assert finding(plan, title).outcome == "pass"


@pytest.mark.parametrize(
    ("old", "new", "title", "outcome"),
    [
        ("take-off lasts: 2 min", "take-off lasts: 9 min", "Time at take-off power", "fail"),
        ("take-off lasts: 2 min", "take-off lasts: 5 min", "Time at take-off power", "pass"),
        ("stations before start: 30 min", "stations before start: 1 min", "Time at stations before start", "caution"),
    ],
)
def test_a_limit_that_is_not_kept_is_found(tmp_path: Path, old: str, new: str, title: str, outcome: str) -> None:
    """Nine minutes at take-off power where the file permits five; a minute at stations before start."""
    assert finding(plan_edited(tmp_path, MISSION, (FILE, old, new)), title).outcome == outcome


def test_passes_a_minute_apart_leave_no_time_for_the_turn(tmp_path: Path) -> None:
    """A rate-one turn takes two minutes round, ICAO Doc 8168 (from memory): 360 degrees at three degrees a second."""
    plan = plan_edited(tmp_path, MISSION, (FILE, "drop pass 2, lasts: 6 min", "drop pass 2, lasts: 1 min"))
    found = finding(plan, "Time to turn between passes")

    assert found.outcome == "fail"
    assert plan.ledger[found.limit_key].value == pytest.approx(120.0)


def test_a_stretch_runs_on_through_the_phases_while_the_rating_stays() -> None:
    """A climb flown on at a rating with a limit counts from where the rating was set, not from where the phase begins."""
    phases = plan_of(MISSION).phases
    take_off = next(one for one in phases if one.kind == "take-off")
    climb = phases[phases.index(take_off) + 1]
    limited = take_off.settings[0][1]
    held_on = replace(climb, settings=tuple((node, replace(setting, time_limit_s=limited.time_limit_s,
                      engine_speed_rpm=limited.engine_speed_rpm)) for node, setting in climb.settings))  # fmt: skip
    figures = [Flown(one) for one in (take_off, held_on)]

    (found,) = stretches(figures)  # type: ignore[arg-type]

    assert found.lasts_s == pytest.approx(take_off.duration_s + climb.duration_s)


class Flown:
    """A phase as the section sees it."""

    def __init__(self, phase: object) -> None:
        self.phase = phase
