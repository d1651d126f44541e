"""Lines, winds, compass and turns: inverses, limits, symmetries and refusals."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from briefgen.errors import OutOfRangeError
from briefgen.kernel import geodesy, magnetism, turns
from briefgen.kernel.wind import (
    Wind,
    runway_wind,
    triangle_from_course,
    triangle_from_ground_speed,
    triangle_from_heading,
    wind_components,
    wind_from_track,
)
from tests.shared import range_points

LATITUDES = st.floats(-85.0, 85.0)
LONGITUDES = st.floats(-180.0, 179.0)
COURSES = st.floats(0.0, 359.9)
SPEEDS = st.floats(50.0, 150.0)
WINDS = st.builds(Wind, COURSES, st.floats(0.1, 45.0))


def turn(first_deg: float, second_deg: float) -> float:
    return abs(math.remainder(first_deg - second_deg, 360.0))


@given(LATITUDES, LONGITUDES, COURSES, st.floats(1000.0, 5e6))
def test_a_geodesic_out_and_measured_back_agree(lat: float, lon: float, course: float, distance_m: float) -> None:
    end = geodesy.geodesic_direct(lat, lon, course, distance_m)
    line = geodesy.geodesic_inverse(lat, lon, end.latitude_deg, end.longitude_deg)
    half = geodesy.point_along(lat, lon, end.latitude_deg, end.longitude_deg, distance_m / 2.0)

    assert line.distance_m == pytest.approx(distance_m, abs=1e-5)
    assert geodesy.geodesic_distance(lat, lon, half.latitude_deg, half.longitude_deg) == pytest.approx(
        distance_m / 2.0, abs=1e-5
    )


@given(LATITUDES, LONGITUDES, COURSES, st.floats(1000.0, 3e6))
def test_a_rhumb_line_out_and_measured_back_agree_and_is_never_shorter_than_the_geodesic(
    lat: float, lon: float, course: float, distance_m: float
) -> None:
    try:
        end = geodesy.rhumb_direct(lat, lon, course, distance_m)
    except OutOfRangeError:
        assume(False)
    # A line that goes more than half way round is measured back the shorter way.
    assume(abs(end.latitude_deg) < 80.0 and abs(lat) < 80.0 and distance_m < 1e6)
    line = geodesy.rhumb_inverse(lat, lon, end.latitude_deg, end.longitude_deg)

    assert line.distance_m == pytest.approx(distance_m, abs=1e-3)
    assert turn(line.initial_course_deg, course) < 1e-5
    assert geodesy.geodesic_distance(lat, lon, end.latitude_deg, end.longitude_deg) <= line.distance_m + 1e-3


@pytest.mark.parametrize("north_deg", [0.0, 1e-9, 9.9e-5, 1.01e-4, 1e-3])
def test_a_rhumb_line_near_east_west_has_no_step(north_deg: float) -> None:
    """The two ways of measuring a degree of longitude meet; 1,674,000.0472 m is RH5 of the published rows."""
    line = geodesy.rhumb_inverse(60.0 - north_deg / 2.0, 10.0, 60.0 + north_deg / 2.0, 40.0)
    northing_m = north_deg * 111412.0  # a degree of latitude at 60 degrees, to 1 m

    assert math.sqrt(line.distance_m**2 - northing_m**2) == pytest.approx(1674000.0472, abs=0.001)


def test_a_rhumb_line_crosses_the_date_line_the_short_way() -> None:
    assert geodesy.rhumb_inverse(0.0, 179.5, 0.0, -179.5).distance_m == pytest.approx(111319.491, abs=0.001)


def test_a_line_between_coincident_points_has_no_course() -> None:
    for inverse in (geodesy.geodesic_inverse, geodesy.rhumb_inverse):
        with pytest.raises(OutOfRangeError, match="the two points coincide at latitude 10, longitude 20 deg"):
            inverse(10.0, 20.0, 10.0, 20.0)
    assert geodesy.geodesic_distance(10.0, 20.0, 10.0, 20.0) == 0.0


def test_latitudes_beyond_the_poles_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"latitude 90.5 deg"):
        geodesy.geodesic_distance(90.5, 0.0, 0.0, 0.0)
    with pytest.raises(OutOfRangeError, match="too near the pole"):
        geodesy.rhumb_direct(80.0, 0.0, 10.0, 2e6)


@pytest.mark.parametrize(
    ("angle_deg", "course_deg", "longitude_deg"),
    [(0.0, 0.0, 0.0), (360.0, 0.0, 0.0), (-1e-15, 0.0, -1e-15), (540.0, 180.0, -180.0), (-90.0, 270.0, -90.0)],
)
def test_directions_and_longitudes_are_normalised(angle_deg: float, course_deg: float, longitude_deg: float) -> None:
    assert geodesy.normalised_course(angle_deg) == course_deg
    assert geodesy.normalised_longitude(angle_deg) == longitude_deg


@given(COURSES, SPEEDS, WINDS)
def test_the_four_wind_triangles_agree(course: float, speed: float, wind: Wind) -> None:
    by_course = triangle_from_course(course, speed, wind)
    by_heading = triangle_from_heading(by_course.heading_deg, speed, wind)
    by_ground_speed = triangle_from_ground_speed(course, by_course.ground_speed_m_per_s, wind)
    found = wind_from_track(by_course.heading_deg, speed, course, by_course.ground_speed_m_per_s)

    assert turn(by_heading.track_deg, course) < 1e-6
    assert by_heading.ground_speed_m_per_s == pytest.approx(by_course.ground_speed_m_per_s, abs=1e-9)
    assert by_heading.drift_deg == pytest.approx(by_course.drift_deg, abs=1e-6)
    assert by_ground_speed.true_airspeed_m_per_s == pytest.approx(speed, abs=1e-9)
    assert turn(by_ground_speed.heading_deg, by_course.heading_deg) < 1e-6
    assert found.speed_m_per_s == pytest.approx(wind.speed_m_per_s, abs=1e-9)
    assert turn(found.from_deg, wind.from_deg) < 1e-4


@given(COURSES, SPEEDS)
def test_in_a_calm_heading_is_course_and_ground_speed_is_airspeed(course: float, speed: float) -> None:
    found = triangle_from_course(course, speed, Wind(0.0, 0.0))

    assert (found.heading_deg, found.ground_speed_m_per_s, found.drift_deg) == (course, speed, 0.0)


def test_wind_from_the_left_drifts_to_the_right() -> None:
    found = triangle_from_heading(0.0, 100.0, Wind(270.0, 20.0))

    assert found.drift_deg > 0.0
    assert found.crosswind_m_per_s < 0.0
    assert wind_components(0.0, Wind(90.0, 20.0)).crosswind_m_per_s == 20.0


@pytest.mark.parametrize(
    ("speed", "wind"),
    [(40.0, Wind(90.0, 40.0)), (40.0, Wind(0.0, 40.0)), (40.0, Wind(10.0, 60.0)), (0.0, Wind(0.0, 0.0))],
)
def test_a_wind_the_airspeed_cannot_hold_is_refused(speed: float, wind: Wind) -> None:
    with pytest.raises(OutOfRangeError, match="makes no way on 0 deg against a wind from"):
        triangle_from_course(0.0, speed, wind)


def test_a_wind_speed_in_the_wrong_unit_or_negative_is_refused() -> None:
    for speed in (-1.0, 251.0, math.nan):
        with pytest.raises(OutOfRangeError, match="wind speed"):
            wind_components(0.0, Wind(0.0, speed))


@pytest.mark.parametrize("year", [2024.99, 2030.01])
def test_outside_its_years_the_magnetic_model_refuses(year: float) -> None:
    with pytest.raises(OutOfRangeError, match="decimal year of the magnetic model WMM2025"):
        magnetism.magnetic_variation_deg(50.0, 0.0, 0.0, year)


def test_round_a_magnetic_pole_no_variation_is_given_but_the_field_says_so() -> None:
    """WMM2025 test values, first row: 1,504 nT at 89 N 121 W on 2025.0."""
    assert magnetism.magnetic_field(89.0, -121.0, 28000.0, 2025.0).zone == "blackout"
    with pytest.raises(OutOfRangeError) as error:
        magnetism.magnetic_variation_deg(89.0, -121.0, 28000.0, 2025.0)

    assert error.value.text() == (
        "no magnetic variation is given at latitude 89, longitude -121 deg: the horizontal field is 1,504 nT\n"
        "  expected: a horizontal field of 2,000 nT or more\n"
        "  hint: steer by true heading here"
    )


def test_a_weak_horizontal_field_is_named_and_widens_the_error() -> None:
    """WMM2025 test values, second row: 2,164 nT at 80 N 96 W, between 2,000 and 6,000."""
    weak = magnetism.magnetic_field(80.0, -96.0, 48000.0, 2025.0)

    assert weak.zone == "caution"
    assert weak.variation_error_deg == pytest.approx(math.hypot(0.26, 5417.0 / 2164.285547), abs=1e-5)
    assert magnetism.magnetic_field(40.0, -100.0, 0.0, 2026.0).zone == "normal"


@pytest.mark.parametrize(
    ("day", "year"),
    [
        (date(2025, 1, 1), 2025.0),
        (date(2027, 7, 2), 2027.0 + 182.0 / 365.0),
        (datetime(2028, 7, 2, tzinfo=UTC), 2028.5),
        (datetime(2026, 12, 31, 12, tzinfo=UTC), 2026.0 + 364.5 / 365.0),
    ],
)
def test_a_date_becomes_a_fraction_of_its_own_year(day: date, year: float) -> None:
    assert magnetism.decimal_year(day) == pytest.approx(year, abs=1e-12)


def test_east_variation_makes_magnetic_least_and_the_compass_follows_its_card() -> None:
    """FAA-H-8083-25, Navigation: 'east is least, west is best'."""
    assert magnetism.true_to_magnetic(5.0, 10.0) == 355.0
    assert magnetism.true_to_magnetic(355.0, -10.0) == 5.0
    assert magnetism.magnetic_to_true(355.0, 10.0) == 5.0
    assert magnetism.magnetic_to_compass(90.0, 3.0) == 87.0


@given(SPEEDS, st.floats(5.0, 30.0), st.floats(0.0, 120.0))
def test_a_lap_of_the_race_track_is_as_long_as_it_takes(speed: float, bank: float, leg_s: float) -> None:
    pattern = turns.race_track(speed, bank, leg_s)

    assert pattern.lap_m == pytest.approx(speed * pattern.lap_s)
    assert pattern.width_m == 2.0 * pattern.turn_radius_m


def test_a_bank_no_aircraft_here_flies_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="bank angle 85 deg"):
        turns.turn_radius(80.0, 85.0)
    with pytest.raises(OutOfRangeError, match="bank angle 0 deg"):
        turns.turn_radius(80.0, 0.0)


@given(st.floats(1e5, 3e6), SPEEDS)
def test_without_wind_the_equal_time_point_is_half_way_and_no_return_at_half_the_endurance(
    total_m: float, speed: float
) -> None:
    assert range_points.equal_time_distance(total_m, speed, speed) == pytest.approx(total_m / 2.0)
    assert range_points.no_return_time(36000.0, speed, speed) == pytest.approx(18000.0)


@given(st.floats(1e5, 3e6), SPEEDS, SPEEDS)
def test_a_headwind_home_brings_the_equal_time_point_nearer_home(total_m: float, on: float, home: float) -> None:
    distance_m = range_points.equal_time_distance(total_m, on, home)

    assert (total_m - distance_m) / on == pytest.approx(distance_m / home)
    assert (distance_m < total_m / 2.0) == (home < on) or on == pytest.approx(home)


@given(COURSES, SPEEDS, WINDS)
def test_any_steady_wind_shortens_the_radius_of_action(course: float, speed: float, wind: Wind) -> None:
    radius_m = range_points.radius_of_action(36000.0, course, speed, wind)

    assert radius_m < speed * 18000.0 * (1.0 + 1e-12)


def test_a_range_point_without_progress_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="homeward ground speed 0 kt"):
        range_points.equal_time_distance(1e6, 100.0, 0.0)


# --- the wind on a runway ---------------------------------------------------------------------------------------------


@given(st.floats(0.0, 359.0), st.floats(0.0, 359.0), st.floats(0.0, 40.0), st.floats(0.0, 60.0), st.floats(1.0, 180.0))
def test_no_direction_of_a_spread_is_worse_than_the_one_told(
    runway_deg: float, from_deg: float, speed: float, gust: float, width: float
) -> None:
    """Tried at every degree: nowhere in the sector less head wind or more crosswind, and somewhere just as much."""
    spread = (from_deg - width / 2.0, from_deg + width / 2.0)
    found = runway_wind(runway_deg, Wind(from_deg, speed), gust_m_per_s=gust, spread_deg=spread)
    angles = [math.radians(spread[0] + width * step / 720.0 - runway_deg) for step in range(721)]
    strong = max(speed, gust)
    ahead = [math.cos(angle) * (speed if math.cos(angle) >= 0.0 else strong) for angle in angles]
    across = [abs(math.sin(angle)) * strong for angle in angles]

    assert found.headwind_m_per_s == pytest.approx(min(ahead), abs=1e-3 * strong + 1e-9)
    assert found.crosswind_m_per_s == pytest.approx(max(across), abs=1e-3 * strong + 1e-9)


def test_one_answer_for_a_variable_gusting_wind() -> None:
    """5 kt variable with gusts of 18: 18 across and 18 from behind, wherever the runway lies."""
    for runway_deg in (0.0, 90.0, 233.0):
        found = runway_wind(runway_deg, Wind(0.0, 5.0), gust_m_per_s=18.0, variable=True)

        assert (found.headwind_m_per_s, found.crosswind_m_per_s) == (-18.0, 18.0)
        assert (found.mean_headwind_m_per_s, found.mean_crosswind_m_per_s) == (0.0, 0.0)
