"""Winds and temperatures between the points of a forecast."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.errors import OutOfRangeError
from briefgen.kernel.atmosphere import altitude_at_pressure, standard_temperature
from briefgen.model.weather import FreezingLevel, TemperatureLevel, WindLevel
from briefgen.weather.air import Sky, deviation_from_standard, outside_time
from briefgen.weather.points import PointSet
from tests.shared.small_weathers import HEIGHTS_M, NOON, POINTS, after, sounding, weather

ROUND_OFF = {"abs": 1e-9, "rel": 0.0}
FOUR = tuple(sounding(ident, 0.0, 90.0 + 20.0 * n, 5.0 + n, float(n), use=12.0) for n, ident in enumerate(POINTS))
SKY = Sky(weather(*FOUR))


@pytest.mark.parametrize("number", range(4))
def test_at_a_point_of_the_forecast_its_own_values_come_back(number: int) -> None:
    """The columns are reproduced at every level, exactly."""
    column = FOUR[number]
    for wind, temperature in zip(column.winds, column.temperatures, strict=True):
        found = SKY.air_at(column.lat_deg, column.lon_deg, wind.pressure_altitude_m or 0.0, NOON)

        assert found.temperature_k == temperature.temperature_k
        assert (found.wind_east_m_per_s, found.wind_north_m_per_s) == (wind.east_m_per_s, wind.north_m_per_s)


def test_half_way_in_height_and_time_the_wind_is_the_mean_vector() -> None:
    """A north wind that becomes an equal east wind blows from the north-east half way, at 0.7071 of the speed."""
    north, east = sounding("LX01", 0.0, 360.0, 10.0), sounding("LX01", 6.0, 90.0, 10.0)
    found = Sky(weather(north, east)).air_at(*POINTS["LX01"], 2000.0, after(3.0))

    assert (found.wind_east_m_per_s, found.wind_north_m_per_s) == pytest.approx((-5.0, -5.0), **ROUND_OFF)


def test_opposite_winds_of_two_points_cancel_half_way_between_them() -> None:
    """Vectors are averaged, not directions and speeds: 090 and 270 at 10 m/s make a calm, not 180 at 10."""
    west = replace(sounding("LX01", 0.0, 270.0, 10.0), lat_deg=0.0, lon_deg=-1.0, ident="W")
    east = replace(sounding("LX01", 0.0, 90.0, 10.0), lat_deg=0.0, lon_deg=1.0, ident="E")
    found = Sky(weather(west, east)).air_at(0.0, 0.0, 1000.0, NOON)

    assert found.wind_east_m_per_s == pytest.approx(0.0, **ROUND_OFF)


def test_standard_temperatures_are_reproduced_between_levels() -> None:
    """Linear in pressure altitude is the standard atmosphere's own lapse (U.S. Standard Atmosphere, 1976)."""
    sky = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0)))

    for height_m in (137.0, 2222.0, 5999.0):
        air = sky.air_at(*POINTS["LX01"], height_m, NOON)
        assert deviation_from_standard(air.temperature_k, height_m) == pytest.approx(0.0, **ROUND_OFF)


def test_a_level_given_by_its_pressure_stands_at_its_pressure_altitude() -> None:
    """The 700 hPa level lies at 9,882 ft in the standard atmosphere (published level of the 1976 tables)."""
    winds = (WindLevel(None, 1.0, 0.0, 101_325.0), WindLevel(None, 9.0, 0.0, 70_000.0))
    temperatures = (TemperatureLevel(None, 290.0, 101_325.0), TemperatureLevel(None, 280.0, 70_000.0))
    sky = Sky(weather(replace(sounding("LX01", 0.0, 90.0, 5.0), winds=winds, temperatures=temperatures)))

    top_m = altitude_at_pressure(70_000.0)
    assert top_m / 0.3048 == pytest.approx(9882.0, abs=1.0)
    assert sky.air_at(*POINTS["LX01"], top_m / 2.0, NOON).wind_east_m_per_s == pytest.approx(5.0, **ROUND_OFF)


@given(st.floats(-21.9, -15.7), st.floats(163.3, 167.0), st.floats(0.0, 6000.0))
def test_no_value_leaves_the_range_of_those_given(lat_deg: float, lon_deg: float, height_m: float) -> None:
    """All weights are positive and add up to one: interpolation never overshoots."""
    try:
        found = SKY.air_at(lat_deg, lon_deg, height_m, NOON)
    except OutOfRangeError:
        return
    deviation_k = found.temperature_k - standard_temperature(height_m)
    assert -1e-9 <= deviation_k <= 3.0 + 1e-9
    assert found.wind_east_m_per_s**2 + found.wind_north_m_per_s**2 <= 8.0**2 + 1e-9


@given(st.floats(-22.0, -16.0), st.floats(163.5, 167.0))
def test_a_short_step_changes_the_air_little(lat_deg: float, lon_deg: float) -> None:
    """The interpolation is continuous in space: ten metres away nothing differs by a thousandth of a kelvin."""
    try:
        here = SKY.air_at(lat_deg, lon_deg, 1000.0, NOON)
        there = SKY.air_at(lat_deg + 1e-4, lon_deg, 1000.0, NOON)
    except OutOfRangeError:
        return
    assert there.temperature_k == pytest.approx(here.temperature_k, abs=1e-3, rel=0.0)


def test_a_place_beyond_the_reach_is_refused() -> None:
    """The message names the position, how far out it is, the reach and the points."""
    with pytest.raises(OutOfRangeError, match=r"position -10\.00, 165\.00 is \d+ NM outside the weather given"):
        SKY.air_at(-10.0, 165.0, 1000.0, NOON)


def test_a_place_within_the_reach_outside_the_area_is_answered() -> None:
    """Thirty miles beyond the northern point is inside a reach of 100 km."""
    assert SKY.air_at(-15.05, 167.2, 1000.0, NOON).temperature_k > 0.0


def test_the_distance_outside_the_area_is_measured_to_its_nearest_edge() -> None:
    """A degree of latitude south of an edge on the equator is 60 NM: 100 km do not reach it, 115 km do."""
    corners = (("A", 0.0, -5.0), ("B", 0.0, 5.0), ("C", 8.0, 0.0))

    with pytest.raises(OutOfRangeError, match="is 60 NM outside"):
        PointSet(corners, 100_000.0).weights(-1.0, 0.0)
    assert sum(weight for _, weight in PointSet(corners, 115_000.0).weights(-1.0, 0.0)) == pytest.approx(
        1.0, **ROUND_OFF
    )


def test_points_on_both_sides_of_the_date_line_lie_side_by_side() -> None:
    """Half way between 179 E and 179 W both points weigh the same."""
    weights = PointSet((("A", 0.0, 179.0), ("B", 0.0, -179.0)), 1.0).weights(0.0, 180.0)
    assert dict(weights) == pytest.approx({0: 0.5, 1: 0.5})


@pytest.mark.parametrize("height_m", [-1.0, 6001.0])
def test_a_height_outside_the_levels_is_refused(height_m: float) -> None:
    """Nothing is extrapolated; the message gives the range in feet."""
    with pytest.raises(OutOfRangeError, match=r"expected: 0 to 19,685 ft"):
        SKY.air_at(*POINTS["LX01"], height_m, NOON)


def test_held_heights_keep_the_wind_and_the_deviation_from_standard() -> None:
    """Above the levels the wind stays and the temperature follows the standard lapse, 3 K warmer all the way."""
    sky = Sky(weather(sounding("LX01", 0.0, 270.0, 7.0, 3.0), outside_altitude="hold"))
    found = sky.air_at(*POINTS["LX01"], 8000.0, NOON)

    assert deviation_from_standard(found.temperature_k, 8000.0) == pytest.approx(3.0, **ROUND_OFF)
    assert found.wind_east_m_per_s == pytest.approx(7.0, **ROUND_OFF)


def test_a_time_outside_the_forecast_is_refused() -> None:
    """The message gives the instant and the span, and says what to do."""
    sky = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0), sounding("LX01", 6.0, 90.0, 5.0)))

    with pytest.raises(OutOfRangeError, match=r"2027-02-17 18:01 UTC is outside the times of the winds"):
        sky.air_at(*POINTS["LX01"], 1000.0, after(6.0 + 1.0 / 60.0))


def test_a_sounding_stands_for_its_period_of_use() -> None:
    """Valid for 1200, for use 0900 to 1500: the same wind through all of it, as in the coded bulletins."""
    sky = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0, use=3.0)))

    assert sky.air_at(*POINTS["LX01"], 0.0, after(-3.0)) == sky.air_at(*POINTS["LX01"], 0.0, after(3.0))


def test_held_times_end_with_the_validity_of_the_file() -> None:
    """Even a file that holds its times says nothing beyond its validity."""
    sky = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0), outside_time="hold"))

    assert sky.air_at(*POINTS["LX01"], 0.0, after(24.0)).temperature_k == 288.15
    with pytest.raises(OutOfRangeError, match="outside the times"):
        sky.air_at(*POINTS["LX01"], 0.0, after(24.1))


def test_the_freezing_level_of_the_standard_atmosphere() -> None:
    """0 degC lies at 15 / 6.5 km, 7,572 ft; 3 K warmer air puts it 3 / 6.5 km higher (U.S. Standard Atmosphere, 1976)."""
    standard = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0))).freezing_level_at(*POINTS["LX01"], NOON)
    warmer = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0, 3.0))).freezing_level_at(*POINTS["LX01"], NOON)

    assert standard == pytest.approx(15_000.0 / 6.5, abs=1e-6)
    assert warmer == pytest.approx(18_000.0 / 6.5, abs=1e-6)


def test_air_warm_to_the_top_of_the_data_has_no_freezing_level() -> None:
    """40 K above standard it is above freezing at 6,000 m: the answer is that it is not in the data."""
    sky = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0, 40.0)))

    assert sky.freezing_level_at(*POINTS["LX01"], NOON) is None


def test_a_given_freezing_level_comes_before_the_temperatures() -> None:
    """A forecaster's freezing level is used as given while it holds."""
    given_level = FreezingLevel(4000.0, NOON, after(3.0))
    sky = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0, use=6.0), freezing_levels=(given_level,)))

    assert sky.freezing_level_at(*POINTS["LX01"], after(1.0)) == 4000.0
    assert sky.freezing_level_at(*POINTS["LX01"], after(4.0)) == pytest.approx(15_000.0 / 6.5, abs=1e-6)


def test_a_time_a_few_seconds_past_the_end_is_not_called_outside_its_own_minute() -> None:
    """20 s past 18:00 reads 18:00:20, and nobody is told to let an old forecast speak for longer."""
    late = NOON + timedelta(seconds=20)

    told = outside_time("winds aloft", late, NOON - timedelta(hours=6), NOON)
    plain = outside_time("winds aloft", NOON + timedelta(minutes=5), NOON - timedelta(hours=6), NOON)

    assert told.problem.startswith(f"{late:%Y-%m-%d %H:%M:%S} UTC is outside")
    assert told.expected.endswith(f"{NOON:%H:%M:%S} UTC")
    assert plain.expected.endswith(f"{NOON:%H:%M} UTC")
    assert "hold" not in told.text()


def test_a_weather_without_winds_aloft_is_refused() -> None:
    """No column, no answer."""
    with pytest.raises(OutOfRangeError, match="gives no winds and temperatures aloft"):
        Sky(weather()).air_at(*POINTS["LX01"], HEIGHTS_M[0], NOON)


def test_a_quarter_of_the_way_in_time_is_a_quarter_of_every_change() -> None:
    """Temperature and both components of the wind, by hand: 1 K of 4, 3 and 1 m/s of 12 and 4."""
    early, late = sounding("LX01", 0.0, 270.0, 4.0), sounding("LX01", 8.0, 270.0, 4.0, deviation_k=4.0)
    stronger = replace(late, winds=tuple(replace(one, east_m_per_s=16.0, north_m_per_s=4.0) for one in late.winds))
    found = Sky(weather(early, stronger)).air_at(*POINTS["LX01"], 2000.0, after(2.0))

    assert found.temperature_k == pytest.approx(standard_temperature(2000.0) + 1.0, abs=1e-9)
    assert (found.wind_east_m_per_s, found.wind_north_m_per_s) == pytest.approx((7.0, 1.0), abs=1e-9)


def test_near_a_corner_the_distance_outside_is_that_to_the_corner() -> None:
    """A place beyond the end of an edge is as far as its end is, not as its great circle: a sphere, to a thousandth."""
    points = PointSet((("A", 0.0, 0.0), ("B", 0.0, 10.0)), reach_m=1e6)

    assert points.outside_m(0.0, 12.0) == pytest.approx(2.0 * 60.0 * 1852.0, rel=2e-3)
    assert points.outside_m(1.0, 11.0) == pytest.approx(2.0**0.5 * 60.0 * 1852.0, rel=2e-3)
