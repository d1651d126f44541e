"""Carburettor ice, airframe ice, cloud and wind on the runway."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from briefgen.kernel.atmosphere import LOWEST_TEMPERATURE_K
from briefgen.model.weather import CloudSheet, Wind, wind_vector
from briefgen.weather.air import Sky
from briefgen.weather.hazards import (
    AirframeIce,
    CarburettorIce,
    CloudRelation,
    airframe_ice,
    carburettor_ice,
    relation_to,
    relative_humidity,
    sheets_at,
    wind_on_runway,
)
from tests.shared.small_weathers import NOON, POINTS, after, sounding, weather

KT_M_PER_S = 1852.0 / 3600.0
KELVIN = 273.15
CROSSWIND_TABLE = Path(__file__).parents[2] / "published" / "crosswind.csv"
PRINTED_TO = 0.0005  # kt
SHEET = CloudSheet("Stratus", *POINTS["LX01"], 50_000.0, "overcast", 150.0, 800.0, after(1), after(5))


@pytest.mark.parametrize(
    ("degc", "humidity", "band"),
    [
        (20.9, 0.81, CarburettorIce.LIKELY),
        (21.1, 0.81, CarburettorIce.POSSIBLE),
        (20.0, 0.79, CarburettorIce.POSSIBLE),
        (37.9, 0.50, CarburettorIce.POSSIBLE),
        (38.1, 1.00, CarburettorIce.OUTSIDE),
        (30.0, 0.49, CarburettorIce.OUTSIDE),
    ],
)
def test_the_bands_of_carburettor_icing(degc: float, humidity: float, band: CarburettorIce) -> None:
    """FAA-H-8083-25: most likely below 21 degC above 80 %; possible up to 38 degC with as little as 50 %."""
    assert carburettor_ice(KELVIN + degc, humidity) is band


def test_the_chart_point_of_moderate_icing_is_at_least_possible() -> None:
    """Transport Canada chart as read in print: 26 degC, dew point 19 degC, moderate icing at cruise power."""
    humidity = relative_humidity(KELVIN + 26.0, KELVIN + 19.0)

    assert carburettor_ice(KELVIN + 26.0, humidity) is CarburettorIce.POSSIBLE


def test_unknown_humidity_is_never_taken_for_dry_air() -> None:
    """Without a dew point the answer is 'possible if humid'; in cloud the air is saturated."""
    assert carburettor_ice(KELVIN + 10.0, None) is CarburettorIce.IF_HUMID
    assert carburettor_ice(KELVIN + 10.0, None, in_cloud=True) is CarburettorIce.LIKELY


def test_airframe_ice_needs_cloud_and_cold() -> None:
    """House band: cloud at +2 degC or colder, without a lower end."""
    assert airframe_ice(KELVIN + 2.0, in_cloud=True) is AirframeIce.EXPOSED
    assert airframe_ice(KELVIN + 2.1, in_cloud=True) is AirframeIce.WARM
    assert airframe_ice(LOWEST_TEMPERATURE_K, in_cloud=True) is AirframeIce.EXPOSED
    assert airframe_ice(KELVIN - 5.0, in_cloud=False) is AirframeIce.DRY


def test_a_sheet_covers_its_circle_for_its_time() -> None:
    """Inside in both: there. Outside in either: not."""
    sky = weather(sheets=(SHEET,))

    assert sheets_at(sky, *POINTS["LX01"], after(3)) == (SHEET,)
    assert sheets_at(sky, *POINTS["LX01"], after(5.1)) == ()
    assert sheets_at(sky, *POINTS["LX04"], after(3)) == ()


def test_base_and_top_of_a_sheet_are_in_it() -> None:
    """Only clear of both is clear."""
    relations = [relation_to(SHEET, altitude_m) for altitude_m in (149.9, 150.0, 800.0, 800.1)]

    assert relations == [CloudRelation.BELOW, CloudRelation.IN, CloudRelation.IN, CloudRelation.ABOVE]


def test_the_overcast_top_is_that_of_the_highest_ceiling_sheet() -> None:
    """Scattered cloud above it is no overcast."""
    from dataclasses import replace

    scattered = replace(SHEET, cover="scattered", top_m=2000.0)
    sky = Sky(weather(sounding("LX01", 0.0, 90.0, 5.0), sheets=(SHEET, scattered)))

    assert sky.overcast_top_at(*POINTS["LX01"], after(3)) == 800.0
    assert sky.overcast_top_at(*POINTS["LX01"], NOON) is None


def _table() -> list[dict[str, str]]:
    lines = CROSSWIND_TABLE.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", _table(), ids=lambda row: row["wind_angle_deg"])
def test_the_components_of_a_wind_on_a_runway(row: dict[str, str]) -> None:
    """Class L table (trigonometry) of the components of 20 kt by angle off the runway, from the right."""
    east, north = wind_vector(140.0 + float(row["wind_angle_deg"]), 20.0 * KT_M_PER_S)

    found = wind_on_runway(140.0, Wind(east, north))

    headwind_kt, crosswind_kt = found.mean_headwind_m_per_s / KT_M_PER_S, found.mean_crosswind_m_per_s / KT_M_PER_S
    assert headwind_kt == pytest.approx(float(row["headwind_kt_for_20kt"]), abs=PRINTED_TO, rel=0.0)
    assert crosswind_kt == pytest.approx(float(row["crosswind_kt_for_20kt"]), abs=PRINTED_TO, rel=0.0)


def test_gusts_strengthen_the_cross_wind_and_the_tail_wind() -> None:
    """Twice the wind in gusts is twice the component; a head wind's gusts are not counted on."""
    east, north = wind_vector(90.0, 10.0)
    found = wind_on_runway(300.0, Wind(east, north, gust_m_per_s=20.0))
    against = wind_on_runway(120.0, Wind(east, north, gust_m_per_s=20.0))

    assert found.crosswind_m_per_s == pytest.approx(10.0, abs=1e-9)
    assert -found.headwind_m_per_s == pytest.approx(2.0 * 10.0 * 3**0.5 / 2.0, abs=1e-9)
    assert -against.headwind_m_per_s == pytest.approx(-10.0 * 3**0.5 / 2.0, abs=1e-9)


def test_gusts_out_of_a_calm_may_come_from_anywhere() -> None:
    """A mean of nought has no direction; its gusts were taken to blow from the north."""
    found = wind_on_runway(360.0, Wind(0.0, 0.0, gust_m_per_s=9.0))

    assert (found.headwind_m_per_s, found.crosswind_m_per_s) == (-9.0, 9.0)


def test_a_variable_wind_may_blow_across_and_from_behind() -> None:
    """It counts whole as cross wind and as tail wind."""
    found = wind_on_runway(140.0, Wind(0.0, 0.0, 6.0, variable_m_per_s=3.0))

    assert (found.crosswind_m_per_s, found.headwind_m_per_s) == (6.0, -6.0)


def test_a_direction_that_varies_takes_the_worst_of_its_bearings() -> None:
    """Mean from 30 degrees off the nose, between 60 left and 120 right: whole across, half of it from behind."""
    east, north = wind_vector(170.0, 10.0)
    found = wind_on_runway(140.0, Wind(east, north, 16.0, spread_from_deg=80.0, spread_to_deg=260.0))

    assert found.mean_headwind_m_per_s == pytest.approx(10.0 * 3**0.5 / 2.0)
    assert found.crosswind_m_per_s == pytest.approx(16.0)
    assert found.headwind_m_per_s == pytest.approx(-8.0)


def test_a_sector_across_north_holds_the_bearing_behind() -> None:
    """Runway 180, wind 340 varying from 330 to 030: dead behind in the middle of it."""
    east, north = wind_vector(340.0, 5.0)
    found = wind_on_runway(180.0, Wind(east, north, spread_from_deg=330.0, spread_to_deg=30.0))

    assert found.headwind_m_per_s == pytest.approx(-5.0)
    assert found.crosswind_m_per_s == pytest.approx(2.5)


def test_the_worst_of_several_winds_is_taken_component_by_component() -> None:
    """A temporary gusty wind across and a light one behind: each counts where it is worst; the means are the first's."""
    across, behind = wind_vector(230.0, 8.0), wind_vector(320.0, 3.0)
    found = wind_on_runway(140.0, Wind(*wind_vector(140.0, 6.0)), Wind(*across, 15.0), Wind(*behind))

    assert found.mean_headwind_m_per_s == pytest.approx(6.0)
    assert found.crosswind_m_per_s == pytest.approx(15.0)
    assert found.headwind_m_per_s == pytest.approx(-3.0)
