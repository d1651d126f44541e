"""Timed points: met by take-off, by speed or by losing time, and refused by the minute when they cannot be met."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import pytest

from briefgen.errors import PlanError
from briefgen.kernel.time_control import orbit_time
from briefgen.model.mission import Hold, Mission
from briefgen.model.performance import IndicatedAirspeed
from briefgen.planning.flight.pacing import SpeedRange, speed_range
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.timed_points import TimedPoint, timed_points
from tests.shared.timed_missions import (
    SECOND,
    WINDOW,
    crew_of,
    flown,
    leg_phases,
    leg_to,
    over,
    take_off_time,
    timed_mission,
    to_second,
)

FIVE_MINUTES = timedelta(minutes=5)


@dataclass(frozen=True)
class Demo:
    """Cedar Lantern as written, flown, with what speed can do before its target."""

    mission: Mission
    sortie: Flown
    target: TimedPoint
    speeds_to_tern: SpeedRange


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    mission = timed_mission(tmp_path_factory.mktemp("demo"))
    sortie = flown(mission)
    target = timed_points(sortie)[0]
    tern = leg_phases(mission, sortie, "TERN")
    return Demo(mission, sortie, target, speed_range(crew_of(mission), tern))


def test_one_timed_point_leaves_every_leg_at_its_written_cruise(demo: Demo) -> None:
    """The time over the target is met by the take-off alone."""
    target = demo.mission.times.over_target

    assert not demo.sortie.paces
    assert target is not None
    assert abs(over(demo.mission, demo.sortie, "SADDLE") - target.instant) < SECOND


@pytest.mark.parametrize("minutes", [-15, -6, 6, 12])
def test_a_later_point_is_met_to_the_second_by_the_speed_of_the_legs_before_it(
    demo: Demo, tmp_path: Path, minutes: int
) -> None:
    """Earlier than at the written cruise takes more speed, later takes less; nothing else moves."""
    asked = to_second(over(demo.mission, demo.sortie, "TERN")) + timedelta(minutes=minutes)
    mission = timed_mission(tmp_path, ("TERN", asked))
    sortie = flown(mission)
    pace = sortie.paces[leg_to(mission, "TERN")].ias_m_per_s
    written = leg_phases(demo.mission, demo.sortie, "TERN", "cruise")[0].settings[0][1].ias_m_per_s

    assert abs(over(mission, sortie, "TERN") - asked) < SECOND
    assert (pace > written) == (minutes < 0)
    assert demo.speeds_to_tern.slowest_m_per_s <= pace <= demo.speeds_to_tern.fastest_m_per_s
    for _, setting in leg_phases(mission, sortie, "TERN", "cruise")[0].settings:
        assert setting.ias_m_per_s == pytest.approx(pace)
    assert set(sortie.paces) == {leg_to(mission, "TERN")}
    assert abs(over(mission, sortie, "SADDLE") - over(demo.mission, demo.sortie, "SADDLE")) < SECOND


def test_every_one_of_several_points_is_met(demo: Demo, tmp_path: Path) -> None:
    tern = to_second(over(demo.mission, demo.sortie, "TERN")) + timedelta(minutes=4)
    home = to_second(over(demo.mission, demo.sortie, "LX01")) + timedelta(minutes=2)
    mission = timed_mission(tmp_path, ("TERN", tern), ("LX01", home))
    sortie = flown(mission)

    assert abs(over(mission, sortie, "TERN") - tern) < SECOND
    assert abs(over(mission, sortie, "LX01") - home) < SECOND


def test_the_slowest_is_the_speed_of_the_hold_and_the_fastest_has_no_time_limit(demo: Demo) -> None:
    crew, phase = crew_of(demo.mission), leg_phases(demo.mission, demo.sortie, "TERN", "cruise")[0]
    heaviest, limits = phase.start.mass_kg, crew.performance.speeds(phase.start.mass_kg)

    assert demo.speeds_to_tern.slowest_m_per_s == pytest.approx(limits.hold_m_per_s, rel=0.01)
    assert demo.speeds_to_tern.fastest_m_per_s < limits.never_exceed_m_per_s
    with pytest.raises(PlanError, match="without time limit"):
        _cruise(demo, heaviest, 1.01 * demo.speeds_to_tern.fastest_m_per_s)


def _cruise(demo: Demo, mass_kg: float, ias_m_per_s: float) -> None:
    setting = leg_phases(demo.mission, demo.sortie, "TERN", "cruise")[0].settings[0][1]
    crew_of(demo.mission).performance.cruise(mass_kg, setting.air, IndicatedAirspeed(ias_m_per_s))


# --- losing time ----------------------------------------------------------------------------------------------------


def test_a_point_too_early_for_the_slowest_is_met_by_orbits_at_the_bank_of_the_hold(demo: Demo, tmp_path: Path) -> None:
    asked = to_second(over(demo.mission, demo.sortie, "TERN")) + timedelta(minutes=30)
    mission = timed_mission(tmp_path, ("TERN", asked))
    sortie = flown(mission)
    pace = sortie.paces[leg_to(mission, "TERN")]
    waiting = leg_phases(mission, sortie, "TERN", "hold")
    bank = next(item.bank_deg for item in mission.route.items if isinstance(item, Hold))

    assert abs(over(mission, sortie, "TERN") - asked) < SECOND
    assert pace.bank_deg == bank
    assert [phase.duration_s for phase in waiting] == [pytest.approx(pace.wait_s)]
    assert pace.wait_s >= orbit_time(waiting[0].tas_m_per_s, bank)
    assert waiting[0].start.pressure_altitude_m == pytest.approx(
        leg_phases(mission, sortie, "TERN", "cruise")[0].start.pressure_altitude_m, abs=1.0
    )


def test_less_than_one_orbit_is_lost_by_a_dog_leg(demo: Demo, tmp_path: Path) -> None:
    """At ten degrees of bank an orbit takes more than four minutes; two minutes are lost without one."""
    late = timed_mission(tmp_path, ("TERN", over(demo.mission, demo.sortie, "TERN") + timedelta(minutes=30)))
    slowest_only = flown(late)
    wait_s = slowest_only.paces[leg_to(late, "TERN")].wait_s
    asked = to_second(over(late, slowest_only, "TERN")) - timedelta(seconds=round(wait_s) - 120)
    mission = timed_mission(tmp_path, ("TERN", asked))
    sortie = flown(mission)
    pace = sortie.paces[leg_to(mission, "TERN")]

    assert abs(over(mission, sortie, "TERN") - asked) < SECOND
    assert pace.wait_s == pytest.approx(120.0, abs=10.0)  # the winds of half an hour earlier are a little others
    assert pace.bank_deg == 0.0
    assert [phase.title for phase in leg_phases(mission, sortie, "TERN", "hold")] == ["Dog-leg before Tern Bank"]


def test_a_wait_that_outlasts_the_fuel_is_refused_by_the_minute(demo: Demo, tmp_path: Path) -> None:
    mission = timed_mission(tmp_path, ("TERN", over(demo.mission, demo.sortie, "TERN") + timedelta(hours=12)))

    with pytest.raises(PlanError, match=r"TERN is reached \d+ min before its window opens at the slowest") as caught:
        flown(mission)

    assert "the fuel is gone" in caught.value.problem


# --- late -----------------------------------------------------------------------------------------------------------


def shortfall_min(mission: Mission) -> int:
    with pytest.raises(PlanError, match="is missed by") as caught:
        flown(mission)
    found = re.search(r"missed by (\d+) min", caught.value.problem)
    assert found is not None
    return int(found.group(1))


def test_a_time_that_cannot_be_met_says_by_how_many_minutes(demo: Demo, tmp_path: Path) -> None:
    """Asked for five minutes earlier it is missed by five minutes more."""
    hopeless = to_second(over(demo.mission, demo.sortie, "TERN")) - timedelta(minutes=35)
    first = shortfall_min(timed_mission(tmp_path, ("TERN", hopeless)))
    second = shortfall_min(timed_mission(tmp_path, ("TERN", hopeless - FIVE_MINUTES)))

    assert first > 0
    assert second == first + 5


def test_what_is_asked_later_by_the_shortfall_is_met_at_the_fastest_within_its_window(
    demo: Demo, tmp_path: Path
) -> None:
    hopeless = to_second(over(demo.mission, demo.sortie, "TERN")) - timedelta(minutes=35)
    short = timedelta(minutes=shortfall_min(timed_mission(tmp_path, ("TERN", hopeless))))
    mission = timed_mission(tmp_path, ("TERN", hopeless + short))
    sortie = flown(mission)
    off = over(mission, sortie, "TERN") - (hopeless + short)

    assert timedelta() < off <= WINDOW
    assert off > WINDOW - timedelta(minutes=1)
    assert sortie.paces[leg_to(mission, "TERN")].ias_m_per_s == pytest.approx(
        demo.speeds_to_tern.fastest_m_per_s, rel=0.01
    )


def test_a_point_before_the_first_on_the_route_is_refused(demo: Demo, tmp_path: Path) -> None:
    mission = timed_mission(tmp_path, ("MARLIN", over(demo.mission, demo.sortie, "TERN")))

    with pytest.raises(PlanError, match="no leg ends at MARLIN, which has a time, after the timed point before it"):
        flown(mission)


# --- a late start ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.3, 0.7, 0.98])
def test_a_late_start_is_recovered_exactly(demo: Demo, tmp_path: Path, share: float) -> None:
    """Off late by a share of what speed recovers, she is over the target at the time first asked for."""
    target = demo.mission.times.over_target
    assert target is not None
    assert demo.target.reach is not None
    late = share * (target.instant - demo.target.reach.fast[-1].end.instant)
    take_off = to_second(take_off_time(demo.sortie) + late)
    mission = timed_mission(tmp_path, ("SADDLE", target.instant), take_off=take_off)
    sortie = flown(mission)
    pace = sortie.paces[leg_to(mission, "SADDLE")]

    assert abs(take_off_time(sortie) - take_off) < SECOND
    assert abs(over(mission, sortie, "SADDLE") - target.instant) < SECOND
    assert sortie.paces[leg_to(mission, "MARLIN")] == pace
    assert pace.ias_m_per_s <= demo.target.reach.speeds.fastest_m_per_s * 1.001


def test_a_start_later_than_the_window_can_take_is_missed_by_the_rest(demo: Demo, tmp_path: Path) -> None:
    target = demo.mission.times.over_target
    assert target is not None
    assert demo.target.reach is not None
    recovered = target.instant + WINDOW - demo.target.reach.fast[-1].end.instant
    take_off = take_off_time(demo.sortie) + recovered + timedelta(minutes=2.5)

    assert shortfall_min(timed_mission(tmp_path, ("SADDLE", target.instant), take_off=take_off)) == 3
