"""The atmosphere's own relations: inverses, monotony, the joint at the tropopause, refusals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.errors import OutOfRangeError
from briefgen.kernel import airspeed, altimetry, atmosphere

ALTITUDES = st.floats(-1000.0, 20000.0)
TEMPERATURES = st.floats(200.0, 320.0)
ROUND_TRIP_M = 1e-6


@given(ALTITUDES)
def test_altitude_and_pressure_undo_each_other(altitude_m: float) -> None:
    pressure_pa = atmosphere.pressure_at_altitude(altitude_m)
    # The ends of the range, once through a power and its root, may miss by the last digit.
    inside = min(max(pressure_pa, atmosphere.pressure_at_altitude(20000.0)), atmosphere.pressure_at_altitude(-1000.0))

    assert atmosphere.altitude_at_pressure(inside) == pytest.approx(altitude_m, abs=ROUND_TRIP_M)


@given(ALTITUDES, ALTITUDES)
def test_pressure_falls_with_altitude(first_m: float, second_m: float) -> None:
    low, high = sorted((first_m, second_m))
    if high - low > 1e-3:
        assert atmosphere.pressure_at_altitude(low) > atmosphere.pressure_at_altitude(high)


@given(ALTITUDES)
def test_at_standard_temperature_density_altitude_is_pressure_altitude(altitude_m: float) -> None:
    found_m = atmosphere.density_altitude(altitude_m, atmosphere.standard_temperature(altitude_m))

    assert found_m == pytest.approx(altitude_m, abs=1e-5)


@given(st.floats(0.0, 6000.0), st.floats(250.0, 310.0), st.floats(0.0, 15.0))
def test_moist_air_is_lighter_than_dry_and_the_more_so_the_moister(
    altitude_m: float, temperature_k: float, spread_k: float
) -> None:
    pressure_pa = atmosphere.pressure_at_altitude(altitude_m)
    dew_point_k = temperature_k - spread_k
    moist = atmosphere.moist_density(pressure_pa, temperature_k, dew_point_k)

    assert moist < atmosphere.density(pressure_pa, temperature_k)
    assert moist < atmosphere.moist_density(pressure_pa, temperature_k, dew_point_k - 1.0)


@pytest.mark.parametrize("quantity", [atmosphere.standard_temperature, atmosphere.pressure_at_altitude])
def test_the_two_layers_meet_at_the_tropopause(quantity) -> None:  # type: ignore[no-untyped-def]
    assert quantity(11000.0 - 1e-6) == pytest.approx(quantity(11000.0), rel=1e-9)


@given(st.floats(-5000.0, 25000.0))
def test_geometric_and_geopotential_altitude_undo_each_other(altitude_m: float) -> None:
    geometric_m = atmosphere.geometric_from_geopotential(altitude_m)

    assert geometric_m >= altitude_m - ROUND_TRIP_M
    if geometric_m <= 25000.0:
        assert atmosphere.geopotential_from_geometric(geometric_m) == pytest.approx(altitude_m, abs=ROUND_TRIP_M)


@pytest.mark.parametrize("altitude_m", [-1000.1, 20000.1, float("nan")])
def test_outside_its_range_the_atmosphere_refuses(altitude_m: float) -> None:
    with pytest.raises(OutOfRangeError, match="is out of range"):
        atmosphere.pressure_at_altitude(altitude_m)


def test_a_temperature_in_celsius_is_refused() -> None:
    with pytest.raises(OutOfRangeError) as error:
        atmosphere.density(101325.0, 15.0)

    assert error.value.text() == "air temperature -258.15 degC is out of range\n  expected: -103.15 to 66.85 degC"


def test_a_dew_point_above_the_temperature_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"dew point 17\.85 degC is above the air temperature 16\.85 degC"):
        atmosphere.moist_density(101325.0, 290.0, 291.0)


SETTINGS = st.floats(90000.0, 106000.0)
FIELDS = st.floats(-100.0, 3000.0)


@given(FIELDS, SETTINGS)
def test_setting_and_station_pressure_undo_each_other(elevation_m: float, setting_pa: float) -> None:
    station_pa = altimetry.station_pressure(elevation_m, setting_pa)

    assert altimetry.altimeter_setting(elevation_m, station_pa) == pytest.approx(setting_pa, rel=1e-9)


@given(st.floats(0.0, 15000.0), SETTINGS)
def test_indicated_and_pressure_altitude_undo_each_other(altitude_m: float, setting_pa: float) -> None:
    indicated_m = altimetry.indicated_altitude(altitude_m, setting_pa)

    assert altimetry.pressure_altitude(indicated_m, setting_pa) == pytest.approx(altitude_m, abs=ROUND_TRIP_M)


@given(FIELDS, SETTINGS)
def test_on_the_field_the_altimeter_reads_the_elevation_and_with_its_pressure_reads_zero(
    elevation_m: float, setting_pa: float
) -> None:
    field_m = altimetry.pressure_altitude(elevation_m, setting_pa)
    station_pa = altimetry.station_pressure(elevation_m, setting_pa)

    assert altimetry.indicated_altitude(field_m, setting_pa) == pytest.approx(elevation_m, abs=ROUND_TRIP_M)
    if station_pa >= altimetry.LOWEST_ALTIMETER_SETTING_PA:
        assert altimetry.indicated_altitude(field_m, station_pa) == pytest.approx(0.0, abs=ROUND_TRIP_M)


@given(st.floats(1000.0, 15000.0), st.floats(1.0, 30.0))
def test_cold_air_puts_the_aircraft_lower_than_the_altimeter_shows(altitude_m: float, colder_k: float) -> None:
    standard_m = altimetry.true_altitude(altitude_m, 0.0, 101325.0, 0.0)

    assert standard_m == pytest.approx(atmosphere.geometric_from_geopotential(altitude_m), abs=ROUND_TRIP_M)
    assert altimetry.true_altitude(altitude_m, 0.0, 101325.0, -colder_k) < standard_m
    assert altimetry.true_altitude(altitude_m, 0.0, 101325.0, colder_k) > standard_m


@pytest.mark.parametrize("setting_pa", [1013.25, 29.92, 84999.0, 110001.0])
def test_a_setting_no_weather_has_is_refused(setting_pa: float) -> None:
    with pytest.raises(OutOfRangeError, match="altimeter setting"):
        altimetry.pressure_altitude(1000.0, setting_pa)


SPEEDS = st.floats(20.0, 150.0)  # Mach 0.92 at 12 km


@given(SPEEDS, st.floats(0.0, 12000.0), TEMPERATURES)
def test_calibrated_and_true_airspeed_undo_each_other(speed: float, altitude_m: float, temperature_k: float) -> None:
    true = airspeed.true_from_calibrated(speed, altitude_m, temperature_k)

    assert airspeed.calibrated_from_true(true, altitude_m, temperature_k) == pytest.approx(speed, rel=1e-9)


def test_standing_still_every_airspeed_is_zero() -> None:
    assert airspeed.impact_pressure(0.0) == 0.0
    assert airspeed.true_from_calibrated(0.0, 3000.0, 270.0) == 0.0
    assert airspeed.calibrated_from_true(0.0, 3000.0, 270.0) == 0.0


def test_supersonic_flow_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="Mach number"):
        airspeed.mach_from_calibrated(330.0, 12000.0)
    with pytest.raises(OutOfRangeError, match="calibrated airspeed"):
        airspeed.impact_pressure(-1.0)
