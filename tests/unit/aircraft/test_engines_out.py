"""With engines stopped: drifting down, holding height, throwing overboard."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from briefgen.aircraft.engines_out import (
    ceiling_at_best_speed,
    drift_down,
    greatest_mass_to_climb,
    mass_to_jettison,
)
from briefgen.aircraft.factory import performance_of
from briefgen.errors import OutOfRangeError, PlanError
from briefgen.model.performance import Air, BestEndurance, IndicatedAirspeed
from tests.shared.demo_aircraft import FT, KT, LB, MPH, air, aircraft, performance

T4 = performance("t4-freighter", "91/96")
S2 = performance("s2-survey", "100LL")
THREE = "three, one outer feathered"
TWO = "two, one side feathered"
CONTROL_MPH = {THREE: 92.0, TWO: 102.0}  # minimum control at climb power, as her file says


def hot(height_m: float) -> Air:
    return air(height_m / FT, 10.0)


def test_drift_down_ends_where_the_ceiling_of_that_weight_lies() -> None:
    drift = drift_down(T4, 58000.0 * LB, 18000.0 * FT, hot, THREE, 2000.0 * FT)
    last = drift.points[-1]

    ceiling = T4.ceiling(last.mass_kg, 10.0, engines=THREE)

    # The rate of climb is zero there, so the end is her ceiling at the weight she has then.
    assert drift.holds
    assert drift.level_off_m == pytest.approx(ceiling.pressure_altitude_m, abs=15.0)


def test_drift_down_falls_all_the_way_and_burns_what_mass_it_loses() -> None:
    drift = drift_down(T4, 60000.0 * LB, 12000.0 * FT, hot, TWO, 3000.0 * FT)
    heights = [point.pressure_altitude_m for point in drift.points]

    assert heights == sorted(heights, reverse=True)
    assert not drift.holds
    assert drift.level_off_m == pytest.approx(3000.0 * FT, abs=0.01)
    flow = T4.climb(59500.0 * LB, hot(7500.0 * FT), engines=TWO).setting.fuel_flow_kg_per_s
    burnt = drift.points[0].mass_kg - drift.points[-1].mass_kg
    assert burnt == pytest.approx(flow * drift.points[-1].time_s, rel=0.03)  # flow varies a little with height


def test_drift_down_of_an_aeroplane_that_still_climbs_is_a_single_point() -> None:
    drift = drift_down(T4, 40000.0 * LB, 6000.0 * FT, hot, THREE, 0.0)

    assert len(drift.points) == 1


def test_the_greatest_mass_that_holds_height_just_does() -> None:
    where = hot(10000.0 * FT)
    mass = greatest_mass_to_climb(T4, where, THREE, 0.0, 36000.0 * LB, 65000.0 * LB)

    speed = T4.best_climb_speed(mass, where, engines=THREE)
    assert T4.climb(mass, where, engines=THREE, ias_m_per_s=speed).rate_m_per_s >= 0.0
    for other in (speed, speed + 1.0, speed + 2.0):  # slower would be under 1.2 of the stall
        assert T4.climb(mass + 20.0, where, engines=THREE, ias_m_per_s=other).rate_m_per_s < 0.0


def test_what_goes_overboard_is_the_difference() -> None:
    where = hot(10000.0 * FT)
    mass = greatest_mass_to_climb(T4, where, THREE, 0.0, 36000.0 * LB, 65000.0 * LB)

    assert mass_to_jettison(T4, mass + 500.0, where, THREE, 0.0, 36000.0 * LB) == pytest.approx(500.0, abs=2.0)
    assert mass_to_jettison(T4, mass - 500.0, where, THREE, 0.0, 36000.0 * LB) == 0.0


def test_no_weight_low_enough_is_said() -> None:
    with pytest.raises(PlanError, match="does not hold 25,000 ft, engines: two, one side feathered"):
        greatest_mass_to_climb(T4, hot(25000.0 * FT), TWO, 0.0, 40000.0 * LB, 60000.0 * LB)


def test_an_aircraft_of_charts_drifts_down_too() -> None:
    drift = drift_down(S2, 6500.0 * LB, 10000.0 * FT, hot, "one, the other feathered", 1000.0 * FT)

    assert drift.level_off_m < 6000.0 * FT
    assert drift.points[-1].distance_m / drift.points[-1].time_s > 100.0 * KT


@pytest.mark.parametrize("engines", [THREE, TWO])
@pytest.mark.parametrize("weight_lb", [42000.0, 50000.0])
def test_no_other_speed_climbs_better(engines: str, weight_lb: float) -> None:
    where, mass = hot(5000.0 * FT), weight_lb * LB
    best = T4.best_climb_speed(mass, where, engines=engines)
    rate = T4.climb(mass, where, engines=engines, ias_m_per_s=best).rate_m_per_s

    slowest = max(1.2 * T4.stall_ias_m_per_s(mass, "clean"), CONTROL_MPH[engines] * MPH)
    for speed in (slowest, *(value * MPH for value in range(120, 150, 3))):
        # The top is flat: a quarter of a metre a second from the best speed moves the rate by less than 1 ft/min.
        assert T4.climb(mass, where, engines=engines, ias_m_per_s=speed).rate_m_per_s <= rate + FT / 60.0


def test_at_the_ceiling_of_the_best_speed_the_rate_is_the_one_asked_for() -> None:
    rate = 100.0 * FT / 60.0
    found = ceiling_at_best_speed(T4, 52000.0 * LB, 10.0, THREE, rate, 10000.0 * FT)
    there = hot(found.ceiling.pressure_altitude_m)
    best = T4.best_climb_speed(52000.0 * LB, there, engines=THREE)
    climb = T4.climb(52000.0 * LB, there, engines=THREE, ias_m_per_s=best)

    assert climb.rate_m_per_s == pytest.approx(rate, abs=FT / 60.0)
    assert (
        found.ceiling.pressure_altitude_m
        > T4.ceiling(52000.0 * LB, 10.0, engines=THREE, rate_m_per_s=rate).pressure_altitude_m
    )


def test_charts_of_climb_hold_for_their_own_speed_only() -> None:
    where = hot(3000.0 * FT)
    speed = S2.best_climb_speed(6000.0 * LB, where, engines="one, the other feathered")

    assert speed == S2.speeds(6000.0 * LB).climb_m_per_s
    with pytest.raises(OutOfRangeError, match="the charts give no climb at"):
        S2.climb(6000.0 * LB, where, ias_m_per_s=speed + 1.0)


def test_engines_out_she_is_not_flown_below_minimum_control_of_those_engines() -> None:
    """Two out on one side were flown at the speed of four: the file's row for them is 102 mph at climb power."""
    where = hot(3000.0 * FT)
    for weight_lb in (38000.0, 42000.0, 46000.0):
        assert T4.best_climb_speed(weight_lb * LB, where, engines=TWO) >= 102.0 * MPH
        assert T4.best_climb_speed(weight_lb * LB, where, engines=THREE) >= 92.0 * MPH
    with pytest.raises(PlanError, match=r"101 mph .* is below minimum control, engines: two, one side feathered"):
        T4.cruise(38000.0 * LB, where, IndicatedAirspeed(101.0 * MPH), engines=TWO)
    assert T4.cruise(38000.0 * LB, where, BestEndurance(), engines=TWO).ias_m_per_s >= 102.0 * MPH


def test_without_a_row_of_minimum_control_the_engines_are_refused() -> None:
    plane = aircraft("t4-freighter")
    rows = tuple(row for row in plane.minimum_control if row.engines != TWO)
    bare = performance_of(replace(plane, minimum_control=rows), "91/96")

    with pytest.raises(OutOfRangeError, match=r"gives no minimum control speed .engines: two, one side feathered"):
        bare.best_climb_speed(42000.0 * LB, hot(3000.0 * FT), engines=TWO)


def test_one_degree_at_the_step_of_the_cowl_flaps_does_not_move_a_ceiling_by_thousands_of_feet() -> None:
    """It moved the ceiling on three by 3,800 ft and the climb by 9 %: the flaps come open over three degrees before the step."""
    ceilings = [T4.ceiling(57000.0 * LB, warmer, engines=THREE).pressure_altitude_m / FT for warmer in range(0, 21)]
    steps = [before - after for before, after in pairwise(ceilings)]

    assert min(steps) > 0.0
    assert max(steps) < 1700.0
    rates = [T4.climb(60000.0 * LB, air(5000.0, warmer)).rate_m_per_s for warmer in (14.0, 14.9, 15.0, 15.1)]
    assert rates[0] / rates[-1] < 1.055
