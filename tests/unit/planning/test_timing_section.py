"""What the plan says about time: windows, slack at take-off, gains and losses, orbits and dog-legs."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from briefgen.document import fingerprint
from briefgen.model.mission import Mission
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from tests.shared.timed_missions import SECOND, WINDOW, flown, over, take_off_time, timed_mission, to_second

KT_M_PER_S = 1852.0 / 3600.0
TARGET = datetime.fromisoformat("2027-02-17T18:20:00+00:00")


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


def instant(plan: Plan, key: str) -> datetime:
    value = plan.ledger[key].value
    assert isinstance(value, datetime)
    return value


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    return plan_mission(timed_mission(tmp_path_factory.mktemp("demo")))


@pytest.fixture(scope="module")
def calm(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    return plan_mission(timed_mission(tmp_path_factory.mktemp("calm"), calm=True))


@pytest.fixture(scope="module")
def paced(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """The demo with ten minutes more to its third place than she would take."""
    folder = tmp_path_factory.mktemp("paced")
    written = timed_mission(folder / "written")
    asked = to_second(over(written, flown(written), "TERN")) + timedelta(minutes=10)
    return plan_mission(timed_mission(folder / "paced", ("TERN", asked)))


def test_the_window_is_that_of_the_mission(plan: Plan) -> None:
    assert instant(plan, "timing.01.asked") == TARGET
    assert instant(plan, "timing.01.opens") == TARGET - WINDOW
    assert instant(plan, "timing.01.closes") == TARGET + WINDOW
    assert abs(instant(plan, "timing.01.planned") - TARGET) < SECOND


def test_take_off_may_move_by_the_window_at_the_planned_speeds(plan: Plan) -> None:
    planned = instant(plan, "time.take_off")

    assert abs(instant(plan, "timing.take_off.earliest") - (planned - WINDOW)) < SECOND
    assert abs(instant(plan, "timing.take_off.latest") - (planned + WINDOW)) < SECOND


def test_speed_widens_the_slack_by_what_it_gains_and_loses(plan: Plan) -> None:
    gain = timedelta(seconds=number(plan, "timing.01.gain"))
    loss = timedelta(seconds=number(plan, "timing.01.loss"))

    assert abs(instant(plan, "timing.take_off.last") - instant(plan, "timing.take_off.latest") - gain) < SECOND
    assert abs(instant(plan, "timing.take_off.earliest") - instant(plan, "timing.take_off.first") - loss) < SECOND
    assert number(plan, "timing.recoverable_late_start") == pytest.approx(gain.total_seconds(), abs=1.0)
    assert number(plan, "timing.recoverable_late_start.in_window") == pytest.approx(
        (gain + WINDOW).total_seconds(), abs=1.0
    )


def test_the_legs_gain_and_lose_what_the_whole_way_does(plan: Plan) -> None:
    for name in ("gain", "loss"):
        legs = [number(plan, f"timing.leg.{leg}.{name}") for leg in ("marlin", "saddle")]

        assert sum(legs) == pytest.approx(number(plan, f"timing.01.{name}"), abs=0.1)
        assert min(legs) > 0.0


def last_take_off(plan: Plan) -> str:
    (found,) = [event for event in plan.events if event.text.startswith("Last take-off")]
    assert found.kind == "decision"
    assert instant(plan, found.time_key) < instant(plan, "time.take_off")  # it is read before she rolls
    return found.text


def test_the_last_take_off_is_a_decision_that_stands_before_take_off(plan: Plan) -> None:
    text = last_take_off(plan)

    if number(plan, "timing.01.gain_fuel") <= number(plan, "fuel.margin_volume"):
        assert "{timing.take_off.last}" in text
        assert "{timing.01.fastest}" in text
    else:
        assert "{timing.take_off.latest}" in text


def test_a_last_take_off_by_speed_is_named_only_where_the_fuel_pays_for_it(tmp_path: Path) -> None:
    """With no more aboard than is required the last take-off is that of the planned speeds."""
    written = timed_mission(tmp_path)
    scant = replace(
        written, fuel=replace(written.fuel, kind="as required", volume_m3=None, by_tank_m3={}, extra_m3=0.0)
    )
    text = last_take_off(plan_mission(scant))

    assert "{timing.take_off.latest}" in text
    assert "is not over what is required" in text


def test_leaving_the_hold_stands_in_the_row_of_the_hold(plan: Plan) -> None:
    found = [event for event in plan.events if event.text.startswith("Leave the hold for")]
    hold = next(phase for phase in plan.phases if phase.kind == "hold")

    assert found
    assert all(event.time_key == f"phase.{hold.ident}.begin" for event in found)
    assert all("{hold.lx01.leave_for." in event.text for event in found)


def test_a_mission_without_any_timed_point_says_nothing_of_time_control(tmp_path: Path) -> None:
    written = timed_mission(tmp_path / "written")
    take_off = to_second(take_off_time(flown(written)))
    plan = plan_mission(timed_mission(tmp_path / "free", take_off=take_off))

    assert not [key for key in plan.ledger.entries if key.startswith("timing.")]
    assert not [name for name in plan.tables if name.startswith("timing")]


# --- later points ---------------------------------------------------------------------------------------------------


def test_a_chosen_speed_stands_in_the_ledger_and_the_phases_rest_on_it(paced: Plan) -> None:
    pace = number(paced, "leg.tern.pace")
    cruise = next(phase for phase in paced.phases if phase.kind == "cruise" and phase.place == "TERN")

    assert number(paced, f"phase.{cruise.ident}.ias") == pytest.approx(pace)
    assert "leg.tern.pace" in paced.ledger[f"phase.{cruise.ident}.ias"].inputs
    assert "timing.02.asked" in paced.ledger["leg.tern.pace"].inputs


def test_a_later_point_met_at_its_time_passes(paced: Plan) -> None:
    found = [finding for finding in paced.findings if finding.ident == "timing-02"]

    assert [finding.outcome for finding in found] == ["pass"]
    assert number(paced, "timing.02.off") < 1.0


def test_a_later_point_met_only_at_the_end_of_its_window_is_a_caution(plan: Plan, tmp_path: Path) -> None:
    written = timed_mission(tmp_path / "written")
    begin = timed_mission(tmp_path / "begin", ("TERN", to_second(over(written, flown(written), "TERN"))))
    earliest = instant(plan_mission(begin), "timing.02.earliest")
    asked = to_second(earliest) - timedelta(minutes=3)
    found = plan_mission(timed_mission(tmp_path / "late", ("TERN", asked)))
    finding = next(finding for finding in found.findings if finding.ident == "timing-02")

    assert finding.outcome == "caution"
    assert number(found, "timing.02.off") == pytest.approx(180.0, abs=5.0)
    assert number(found, "timing.02.in_window") == pytest.approx(120.0, abs=5.0)


# --- losing time ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("minutes", [2, 4, 6])
def test_in_a_calm_a_sixty_degree_dog_leg_loses_the_time_of_one_of_its_legs(calm: Plan, minutes: int) -> None:
    """AFPAM 11-216 (class M): legs of t minutes at sixty degrees lose t minutes; out and back take as long."""
    out, back = (number(calm, f"timing.delay.01.{minutes:02d}.{name}_60") for name in ("out", "back"))

    assert out == pytest.approx(60.0 * minutes, rel=1e-6)
    assert back == pytest.approx(60.0 * minutes, rel=1e-6)


def test_in_a_wind_out_and_back_differ_and_still_lose_the_time(plan: Plan) -> None:
    out, back = (number(plan, f"timing.delay.01.04.{name}_45") for name in ("out", "back"))
    cruise = next(phase for phase in reversed(plan.phases) if phase.kind == "cruise" and phase.item == 1)
    drift = math.atan2(cruise.wind_east_m_per_s, cruise.wind_north_m_per_s) - math.radians(cruise.course_deg or 0.0)
    wind = math.hypot(cruise.wind_east_m_per_s, cruise.wind_north_m_per_s)
    straight = math.sqrt(cruise.tas_m_per_s**2 - (wind * math.sin(drift)) ** 2) + wind * math.cos(drift)
    extra = number(plan, "timing.delay.01.04.extra_45")
    along = extra / (math.sqrt(2.0) - 1.0)  # each leg of a right-angled dog-leg is its way along the track over sqrt(2)

    assert out != pytest.approx(back, rel=0.01)
    assert out + back - along / straight == pytest.approx(240.0, rel=1e-6)


def test_an_orbit_is_flown_at_the_bank_of_the_hold(plan: Plan) -> None:
    """Balance of forces: a full turn takes 2 pi V / (g tan(bank))."""
    cruise = next(phase for phase in reversed(plan.phases) if phase.kind == "cruise" and phase.item == 1)
    turn_s = 2.0 * math.pi * cruise.tas_m_per_s / (9.80665 * math.tan(math.radians(10.0)))

    assert number(plan, "timing.delay.01.orbit.bank") == 10.0
    assert number(plan, "timing.delay.01.orbit.lost") == pytest.approx(turn_s, rel=1e-9)


def test_ten_knots_are_held_a_sixth_of_the_ground_speed_in_minutes(plan: Plan) -> None:
    """P-557, proportional method: a minute of error is made good by 10 kt held for V / 10 minutes."""
    cruise = next(phase for phase in plan.phases if phase.kind == "cruise" and phase.item == 0)
    ground_speed_kt = cruise.distance_m / cruise.duration_s / KT_M_PER_S

    assert number(plan, "timing.leg.marlin.ten_knots") == pytest.approx(60.0 * ground_speed_kt / 10.0, rel=1e-9)


def test_a_calm_changes_no_speed_of_the_range(plan: Plan, calm: Plan) -> None:
    """How fast she can be held through the air has nothing to do with the wind."""
    for name in ("fastest", "slowest"):
        assert number(calm, f"timing.01.{name}") == pytest.approx(number(plan, f"timing.01.{name}"), rel=0.005)


def test_planning_the_demo_twice_gives_one_plan(plan: Plan, tmp_path: Path) -> None:
    mission: Mission = timed_mission(tmp_path)

    assert fingerprint(plan_mission(mission)) == fingerprint(plan)


@pytest.mark.parametrize(
    ("minutes", "row"), [(30, "Planned orbits before Tern Bank"), (18, "Planned dog-leg before Tern Bank")]
)
def test_the_delay_that_is_planned_stands_in_the_table(tmp_path: Path, minutes: int, row: str) -> None:
    """Laps of turns and straight legs, or the two legs of the dog-leg less its track, come to the time lost."""
    written = timed_mission(tmp_path / "written")
    asked = to_second(over(written, flown(written), "TERN")) + timedelta(minutes=minutes)
    plan = plan_mission(timed_mission(tmp_path / "late", ("TERN", asked)))
    cells = next(found.cells for found in plan.tables["timing.delays"].rows if found.name == row)
    lost = number(plan, cells["lost"])
    waiting = next(phase for phase in plan.phases if phase.kind == "hold" and phase.item == 3)

    assert lost == pytest.approx(waiting.duration_s)
    if "laps" in cells:
        turn_s = 2.0 * math.pi * waiting.tas_m_per_s / (9.80665 * math.tan(math.radians(10.0)))
        lap_s = turn_s + 2.0 * number(plan, cells["leg"])
        assert int(str(plan.ledger[cells["laps"]].value)) * lap_s == pytest.approx(lost, rel=1e-9)
    else:
        assert number(plan, cells["out_60"]) + number(plan, cells["back_60"]) > lost
