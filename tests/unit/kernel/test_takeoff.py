"""Behaviour of the take-off and landing sums: limits, order, conservation, accuracy of the steps."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel import air_distance, takeoff, wheels
from briefgen.kernel.takeoff import Marks, Roll

FREIGHTER = Roll(25400.0, 1.15, 160.0, 18.0, 0.10, thrust_angle_deg=10.0)
UNSTICK = 49.0


def thrust_n(tas_m_per_s: float) -> float:
    """A falling thrust of the size of four 1,200 hp propellers."""
    return 82000.0 - 650.0 * tas_m_per_s + 2.2 * tas_m_per_s**2


def run_m(roll: Roll, panels: int = takeoff.PANELS) -> float:
    return takeoff.run_marks(roll, thrust_n, roll.headwind_m_per_s, UNSTICK, panels).distance_m[-1]


def test_step_halving_moves_a_run_by_less_than_a_thousandth() -> None:
    """Twice as many panels change the run by less than 0.1 %, on a paved runway and in deep mud near the edge."""
    for friction in (0.02, 0.10, 0.20):
        roll = replace(FREIGHTER, friction=friction)

        assert run_m(roll) == pytest.approx(run_m(roll, 2 * takeoff.PANELS), rel=1e-3)


def test_energy_gained_is_work_done() -> None:
    """In calm air the kinetic energy at unstick is the sum of force times distance over fine steps."""
    marks = takeoff.run_marks(FREIGHTER, thrust_n, 0.0, UNSTICK, 2000)
    work_j = 0.0
    for i in range(2000):
        middle = 0.5 * (marks.tas_m_per_s[i] + marks.tas_m_per_s[i + 1])
        step_m = marks.distance_m[i + 1] - marks.distance_m[i]
        work_j += takeoff.forward_force(FREIGHTER, thrust_n(middle), middle) * step_m

    assert work_j == pytest.approx(0.5 * FREIGHTER.mass_kg * UNSTICK**2, rel=1e-5)


@pytest.mark.parametrize(
    "worse",
    [
        {"friction": 0.15},
        {"slope_ratio": 0.01},
        {"headwind_m_per_s": -3.0},
        {"mass_kg": 27000.0},
        {"drag_area_m2": 22.0},
        {"fluid_drag_kg_per_m": 5.0},
    ],
)
def test_what_hinders_lengthens_the_run(worse: dict[str, float]) -> None:
    """More wheel drag, slope, tail wind, mass, air drag or water makes the run longer."""
    assert run_m(replace(FREIGHTER, **worse)) > run_m(FREIGHTER)


def test_a_speed_out_of_reach_lies_at_infinity() -> None:
    """Where wheel drag eats the thrust the run does not end."""
    assert math.isinf(run_m(replace(FREIGHTER, friction=0.35)))


def test_from_below_an_unreachable_speed_the_rest_is_infinite() -> None:
    """The remaining distance of a run that never ends is infinite from every speed."""
    marks = takeoff.run_marks(replace(FREIGHTER, friction=0.35), thrust_n, 0.0, UNSTICK)

    assert all(math.isinf(distance) for distance in takeoff.remaining_marks(marks).distance_m)


def test_wheels_in_the_air_have_no_drag() -> None:
    """Above the speed that carries the weight friction does not push."""
    fast = 80.0
    assert takeoff.forward_force(FREIGHTER, 0.0, fast) == takeoff.forward_force(
        replace(FREIGHTER, friction=0.5), 0.0, fast
    )


def test_a_raised_tail_lengthens_the_run_on_soft_ground_only_through_the_wheels() -> None:
    """With less lift on the way the wheels carry more: longer on soft ground for the same unstick speed and drag."""
    level = replace(FREIGHTER, lift_area_m2=75.0)

    assert run_m(level) > run_m(FREIGHTER)


def test_unstick_in_an_attitude_carries_the_weight() -> None:
    """Lift plus the upward part of thrust equals weight at the speed found."""
    speed = takeoff.attitude_unstick_speed(25400.0, 1.15, 160.0, thrust_n, 10.0)
    lift_n = 0.5 * 1.15 * speed**2 * 160.0
    upward_n = thrust_n(speed) * math.sin(math.radians(10.0))

    assert lift_n + upward_n == pytest.approx(25400.0 * 9.80665, rel=1e-5)


def test_marks_are_read_linear_in_the_square_of_the_speed() -> None:
    """Half way in the square of the speed lies half the distance; a mark is returned exactly, also beside infinity."""
    marks = Marks((0.0, 10.0, 20.0), (0.0, 100.0, math.inf))

    assert marks.at(math.sqrt(50.0)) == pytest.approx(50.0)
    assert marks.at(10.0) == 100.0
    assert math.isinf(marks.at(11.0))


def test_brakes_stop_her_in_the_textbook_distance() -> None:
    """Without lift and air drag the stop is V^2 / (2 g mu)."""
    marks = takeoff.stop_marks(Roll(20000.0, 1.2, 0.0, 0.0, 0.3), 0.0, 40.0)

    assert marks.distance_m[-1] == pytest.approx(40.0**2 / (2.0 * 9.80665 * 0.3), rel=1e-9)


def test_joined_stops_add_up() -> None:
    """Two ranges with the same brakes give the stop of one range."""
    roll = Roll(20000.0, 1.2, 30.0, 7.0, 0.3)
    whole = takeoff.stop_marks(roll, 0.0, 40.0)
    parts = takeoff.joined_marks(takeoff.stop_marks(roll, 0.0, 25.0), takeoff.stop_marks(roll, 25.0, 40.0))

    assert parts.at(40.0) == pytest.approx(whole.at(40.0), rel=1e-5)
    assert parts.at(25.0) == pytest.approx(whole.at(25.0), rel=1e-3)


def test_critical_speed_makes_going_and_stopping_equal() -> None:
    """Between its bounds the critical speed balances the two distances."""
    speed = takeoff.critical_speed(lambda v: 3000.0 - 20.0 * v, lambda v: v * v, 10.0, 60.0)

    assert 3000.0 - 20.0 * speed == pytest.approx(speed * speed, rel=1e-6)  # 24 halvings of 50 m/s


def test_critical_speed_is_unstick_where_stopping_is_always_shorter() -> None:
    """Stopping short even at unstick gives unstick; going short even at the least speed gives that."""
    assert takeoff.critical_speed(lambda v: 9000.0, lambda v: v * v, 10.0, 60.0) == 60.0
    assert takeoff.critical_speed(lambda v: 10.0, lambda v: v * v, 10.0, 60.0) == 10.0


def test_no_excess_thrust_no_height() -> None:
    """An aeroplane that cannot climb reaches the height at infinity."""
    assert math.isinf(air_distance.climb_away_distance(25000.0, lambda _: -100.0, 45.0, 50.0, 15.24))


def test_wind_shortens_the_climb_away_by_the_time_in_the_air() -> None:
    """Against a wind the ground distance falls with the mean ground speed."""
    calm = air_distance.climb_away_distance(25000.0, lambda _: 30000.0, 45.0, 55.0, 15.24)
    windy = air_distance.climb_away_distance(25000.0, lambda _: 30000.0, 45.0, 55.0, 15.24, headwind_m_per_s=5.0)

    assert windy / calm == pytest.approx(45.0 / 50.0)


def test_path_over_an_obstacle() -> None:
    """On the ground nothing, at the first height that height, beyond it the climb."""
    path = (600.0, 1000.0, 15.24, 0.05)

    assert air_distance.height_over_obstacle(500.0, *path) == 0.0
    assert air_distance.height_over_obstacle(1000.0, *path) == pytest.approx(15.24)
    assert air_distance.height_over_obstacle(800.0, *path) == pytest.approx(15.24 / 4.0)
    assert air_distance.height_over_obstacle(1200.0, *path) == pytest.approx(25.24)


def test_touchdown_distance_by_energy() -> None:
    """At constant speed a flat glide is height times lift over drag; a steep one ends in the arc of the flare."""
    path_ratio = math.tan(math.radians(3.0))
    flat = air_distance.descent_to_touchdown_distance(20000.0, 8000.0, 50.0, 50.0, 15.24, path_ratio)
    steep = air_distance.descent_to_touchdown_distance(20000.0, 40000.0, 50.0, 50.0, 15.24, path_ratio)

    assert flat == pytest.approx(15.24 * 20000.0 * 9.80665 / 8000.0)
    assert steep == pytest.approx(15.24 / path_ratio + 0.5 * 50.0**2 / (9.80665 * 0.2) * path_ratio)


def test_water_drag_grows_with_depth_and_is_refused_when_deep() -> None:
    """Drag is in proportion to the depth; more than 5 cm is out of range."""
    one = wheels.displacement_drag_per_speed_squared(0.01, 0.4, 2, 1000.0)
    two = wheels.displacement_drag_per_speed_squared(0.02, 0.4, 2, 1000.0)

    assert two == pytest.approx(2.0 * one)
    with pytest.raises(OutOfRangeError, match=r"depth of standing water or slush 200 mm is out of range"):
        wheels.displacement_drag_per_speed_squared(0.2, 0.4, 2, 1000.0)


def test_the_time_of_a_run_under_a_steady_force_is_the_textbook_one() -> None:
    """Uniform acceleration from rest over the ground: t = v / a and s = v^2 / (2 a), with a head wind over the ground speed."""
    wind, force = 5.0, 20000.0 * 2.0
    marks = takeoff.run_marks(Roll(20000.0, 1.2, 0.0, 0.0, 0.0, headwind_m_per_s=wind), lambda _: force, wind, 45.0)

    assert marks.time_to(45.0, wind) == pytest.approx(40.0 / 2.0, rel=1e-6)
    assert marks.time_to(25.0, wind) == pytest.approx(20.0 / 2.0, rel=1e-6)
    assert marks.time_to(wind, wind) == 0.0
