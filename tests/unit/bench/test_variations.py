"""Each variation against a figure worked out by hand from what is written and from the textbook."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from datetime import timedelta
from functools import cache
from pathlib import Path

import pytest

from briefgen.bench.sweep import read_range, sweep_svg, sweep_text, swept
from briefgen.bench.text import whatif_json, whatif_text
from briefgen.bench.vary import planned, vary
from briefgen.errors import SpecError, UsageError
from briefgen.model.bench import Change, Variation
from briefgen.model.plan import Phase
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS, edited, plan_of

KT = 1852.0 / 3600.0
LB = 0.45359237
IN = 0.0254
MUDLARK = SPECS / "mudlark.yaml"


def named(tmp_path: Path, mission: str, *written: str) -> tuple[Variation, ...]:
    """Return the variations of a copy of a demo mission that names them."""
    path = edited(tmp_path, mission)
    path.write_text(path.read_text(encoding="utf-8") + "\nvariations:\n" + "".join(f"  - {one}\n" for one in written))
    return read_mission(path).variations


def flown(path: Path, changes: Sequence[Change] = ()) -> Flown:
    return fly(read_mission(path, changes=changes))


@cache
def as_written() -> Flown:
    return flown(MUDLARK)


def cruise(found: Flown) -> Phase:
    return next(phase for phase in found.phases if phase.kind == "cruise")


def test_more_head_wind_is_missing_in_the_ground_speed(tmp_path: Path) -> None:
    """At one airspeed the ground speed is along + sqrt(tas^2 - across^2): twenty knots more against her are twenty less."""
    (one,) = named(tmp_path, "mudlark", "head wind +20 kt")
    before, now = cruise(as_written()), cruise(flown(MUDLARK, one.changes))

    assert before.tas_m_per_s == pytest.approx(
        now.tas_m_per_s, abs=0.05
    )  # 150 mph indicated, a little lighter or heavier
    speeds = [phase.nodes[1].ground_speed_m_per_s for phase in (before, now)]
    assert speeds[0] - speeds[1] == pytest.approx(20.0 * KT, abs=0.05)


def test_warmer_air_makes_the_same_indicated_speed_a_higher_true_one(tmp_path: Path) -> None:
    """At one pressure altitude true airspeed goes with the root of the temperature (equivalent airspeed, density by the gas law)."""
    (one,) = named(tmp_path, "mudlark", "+10 degC")
    before, now = cruise(as_written()), cruise(flown(MUDLARK, one.changes))

    assert now.temperature_k - before.temperature_k == pytest.approx(10.0, abs=0.02)
    assert now.tas_m_per_s / before.tas_m_per_s == pytest.approx(
        math.sqrt(now.temperature_k / before.temperature_k), rel=2e-4
    )


def test_a_lower_grade_takes_off_at_the_rating_of_that_grade(tmp_path: Path) -> None:
    """The aircraft file gives the manifold pressure of the rating on each grade; the next lower one of 100/130 is 91/96."""
    (one,) = named(tmp_path, "mudlark", "lower grade")
    mission = read_mission(MUDLARK, changes=one.changes)
    assert mission.fuel_grade == "91/96"
    assert mission.aircraft.model is not None
    rating = next(grade for grade in mission.aircraft.model.fuel_grades if grade.name == "91/96").take_off
    take_off = next(phase for phase in fly(mission).phases if phase.kind == "take-off")

    assert take_off.setting is not None
    assert take_off.setting.manifold_pressure_pa is not None
    assert take_off.setting.manifold_pressure_pa <= rating.manifold_pressure_pa + 1.0


def test_more_load_moves_weight_and_balance_by_its_moment(tmp_path: Path) -> None:
    """2,000 lb at 485 in, the middle of bay C (436 to 534 in): the arm of the whole by the sum of moments."""
    (one,) = named(tmp_path, "mudlark", '"+2,000 lb in bay C"')
    before, now = plan_of("mudlark").ledger, planned(MUDLARK, one.changes).ledger
    moment, arm_m = (float(before[f"balance.take_off.{name}"].value) for name in ("moment", "cg"))  # type: ignore[arg-type]
    moment_now, arm_now_m = (float(now[f"balance.take_off.{name}"].value) for name in ("moment", "cg"))  # type: ignore[arg-type]
    mass_kg, mass_now_kg = moment / arm_m, moment_now / arm_now_m
    added_kg = 2000.0 * LB

    assert mass_now_kg - mass_kg == pytest.approx(added_kg, abs=0.01)
    assert arm_now_m == pytest.approx((mass_kg * arm_m + added_kg * 485.0 * IN) / (mass_kg + added_kg), abs=1e-4)


def test_late_moves_every_clock_and_nothing_else(tmp_path: Path) -> None:
    """Forty minutes late: winds that hardly change leave the time in the air within a few seconds."""
    (one,) = named(tmp_path, "mudlark", "40 min late")
    before, now = as_written(), flown(MUDLARK, one.changes)

    assert now.departure.off_blocks - before.departure.off_blocks == timedelta(minutes=40)
    assert now.phases[-1].end.instant - before.phases[-1].end.instant == pytest.approx(
        timedelta(minutes=40), abs=timedelta(seconds=30)
    )


def test_an_engine_stops_at_the_point_and_not_before(tmp_path: Path) -> None:
    """From the point on every level setting is of the configuration with one engine fewer; up to it of all engines."""
    (one,) = named(tmp_path, "cedar-lantern", "one engine out at SADDLE")
    found = flown(SPECS / "cedar-lantern.yaml", one.changes)
    stopped = found.mission.route.engines_stopped
    assert stopped is not None
    legs = [
        index
        for index, item in enumerate(found.mission.route.items)
        if getattr(getattr(item, "to", None), "ident", "") == "SADDLE"
    ]
    engines = {
        after: {setting.engines for phase in found.phases if phase.kind == "cruise" and phase.item is not None
                and (phase.item > legs[0]) is after for _, setting in phase.settings}
        for after in (False, True)
    }  # fmt: skip

    assert engines[True] == {stopped.configuration}
    assert stopped.configuration not in engines[False]


def test_a_path_that_leads_nowhere_names_its_neighbours() -> None:
    with pytest.raises(UsageError, match=r"nothing is written at 'rout.legs\[0\]\.altitud'") as told:
        read_mission(MUDLARK, changes=[Change("rout.legs[0].altitud", "4,500 ft")])

    assert "route.legs[0].altitude" in told.value.hint


def test_a_changed_value_is_checked_like_a_written_one() -> None:
    with pytest.raises(SpecError, match="no unit given, got 4,500"):
        read_mission(MUDLARK, changes=[Change("route.legs[0].altitude", "4,500")])


def test_a_variation_that_means_nothing_is_a_fault_at_its_line(tmp_path: Path) -> None:
    with pytest.raises(SpecError, match=r"variations\[0\]: 'head wind 20' is not a variation"):
        named(tmp_path, "mudlark", "head wind 20")


def test_no_lower_grade_is_said(tmp_path: Path) -> None:
    with pytest.raises(SpecError, match="clears no grade lower than 91/96"):
        named(tmp_path, "cedar-lantern", "lower grade")


def test_two_readings_with_and_without_changes_have_other_digests() -> None:
    """What is changed in memory is another plan, and its fingerprint says so."""
    assert (
        read_mission(MUDLARK).digest
        != read_mission(MUDLARK, changes=[Change("route.legs[0].altitude", "4,500 ft")]).digest
    )


def test_side_by_side_tells_what_turns_and_what_cannot_be_planned() -> None:
    """Twenty knots more against her turn the fuel on board; a height she cannot be asked for is told, not raised."""
    found = vary(MUDLARK, plan_of("mudlark"), [
        Variation("wind", (Change("weather.more head wind", "20 kt"),)),
        Variation("no such weather", (Change("times.take-off at", "2027-02-23 23:30Z"),)),
    ])  # fmt: skip
    wind, late = found.variations
    assert wind.comparison is not None

    assert {one.ident for one in wind.comparison.judged if one.turned and one.now == "fail"} >= {"fuel-on-board"}
    assert late.comparison is None
    assert "outside the times" in late.refused
    text = whatif_text(found, width=100)
    assert "[1] wind: weather.more head wind = 20 kt" in text
    assert "cannot be planned" in text
    assert json.loads(whatif_json(found))["variations"][1]["refused"] == late.refused


def test_a_sweep_is_a_row_of_plans() -> None:
    """The value as written gives the figure as written; more wind against her leaves less; the drawing names both axes."""
    plan = plan_of("mudlark")
    found = swept(MUDLARK, plan, [read_range("weather.more head wind=0 kt:20 kt:20 kt")])
    values = [one.figure_si for one in found.points]

    assert values[0] == plan.ledger["fuel.margin"].value
    assert values[1] is not None
    assert values[1] < 0.0 < float(str(values[0]))
    assert "weather.more head wind, kt" in sweep_svg(found)
    assert "20 kt" in sweep_text(found)


@pytest.mark.parametrize(
    "text", ["route", "a=1 kt:2 kt", "a=1 kt:2 lb:1 kt", "a=1 kt:2 kt:0 kt", "a=3 kt:2 kt:1 kt", "a=0:1000:1"]
)
def test_a_range_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(UsageError):
        read_range(text)
