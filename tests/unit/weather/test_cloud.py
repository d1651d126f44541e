"""Which cloud lies over a place: sheets as written, and what an aerodrome forecast says of the sky within its circle."""

from __future__ import annotations

import math

import pytest

from briefgen.model.places import Place
from briefgen.model.weather import CloudLayer, CloudSheet, ForecastGroup
from briefgen.weather.cloud import FORECAST_RADIUS_M, TOP_NOT_KNOWN_M, CloudCover
from briefgen.weather.hazards import CloudRelation, relation_to
from tests.shared.small_weathers import FIELD, NOON, POINTS, after, forecast, weather

LAT_DEG, LON_DEG = POINTS[FIELD]
ELEVATION_M = 30.0
PLACE = Place(FIELD, "Harrow Point", "aerodrome", LAT_DEG, LON_DEG, elevation_m=ELEVATION_M)
OVERCAST = CloudLayer("overcast", 300.0)
BASE = ForecastGroup("base", NOON, after(24), None, 9000.0, (CloudLayer("scattered", 150.0), OVERCAST))
FAR_M = 8_000.0  # an aerodrome forecast speaks for 8 km about it: ICAO Annex 3, from memory


def cover(*groups: ForecastGroup, sheets: tuple[CloudSheet, ...] = (), place: Place = PLACE) -> CloudCover:
    return CloudCover(weather(forecasts=(forecast(*groups),), sheets=sheets), (place,))


def sheet(base_m: float, top_m: float) -> CloudSheet:
    return CloudSheet("Stratus", LAT_DEG, LON_DEG, 50_000.0, "overcast", base_m, top_m, NOON, after(24))


def over_field(found: CloudCover, hours: float = 1.0) -> list[tuple[float, float]]:
    return [(one.base_m, one.top_m) for one in found.over(LAT_DEG, LON_DEG, after(hours))]


def test_a_forecast_base_is_told_from_the_sea_and_its_top_is_not_known() -> None:
    """Overcast at 300 m over a field at 30 m lies at 330 m; scattered cloud is no ceiling; a top nobody gives is none."""
    assert over_field(cover(BASE)) == [(330.0, TOP_NOT_KNOWN_M)]
    (found,) = cover(BASE).over(LAT_DEG, LON_DEG, after(1))
    assert found.name == "overcast cloud forecast at Harrow Point, top not forecast"


def test_a_forecast_speaks_for_its_circle_and_no_farther() -> None:
    """On a sphere of 6,371 km, 8 km are 0.0719 degrees of latitude."""
    degrees = math.degrees(FAR_M / 6_371_000.0)
    assert pytest.approx(FAR_M) == FORECAST_RADIUS_M

    assert cover(BASE).over(LAT_DEG + 0.99 * degrees, LON_DEG, after(1))
    assert cover(BASE).over(LAT_DEG + 1.01 * degrees, LON_DEG, after(1)) == ()


def test_a_field_without_an_elevation_has_no_cloud_by_forecast() -> None:
    """Its base could not be told from the sea."""
    lower = Place(FIELD, "Harrow Point", "aerodrome", LAT_DEG, LON_DEG)

    assert over_field(cover(BASE, place=lower)) == []


@pytest.mark.parametrize(
    ("written", "top_m"),
    [
        ((400.0, 900.0), 900.0),  # 70 m under a written sheet: the same cloud
        ((480.0, 900.0), 900.0),  # 150 m under it still is
        ((482.0, 900.0), math.inf),  # two metres more: another
        ((200.0, 900.0), 900.0),  # inside it
        ((100.0, 330.0), math.inf),  # where that one ends another begins
    ],
)
def test_a_top_is_that_of_the_written_sheet_which_is_the_same_cloud(written: tuple[float, float], top_m: float) -> None:
    """A report gives bases to 100 ft, and a forecast is no nearer: 150 m."""
    assert (330.0, top_m) in over_field(cover(BASE, sheets=(sheet(*written),)))


def test_of_two_written_sheets_the_higher_top_counts() -> None:
    assert (330.0, 1200.0) in over_field(cover(BASE, sheets=(sheet(200.0, 900.0), sheet(300.0, 1200.0))))


def test_a_hidden_sky_begins_at_the_ground() -> None:
    """A vertical visibility says that nothing of the sky is seen: FMH-1, chapter 9."""
    hidden = ForecastGroup("base", NOON, after(24), None, 400.0, (), vertical_visibility_m=60.0)

    assert over_field(cover(hidden)) == [(ELEVATION_M, TOP_NOT_KNOWN_M)]


def test_a_top_that_is_given_stands() -> None:
    group = ForecastGroup("base", NOON, after(24), None, 9000.0, (CloudLayer("broken", 300.0, top_m=700.0),))
    (found,) = cover(group).over(LAT_DEG, LON_DEG, after(1))

    assert (found.base_m, found.top_m, found.name) == (330.0, 700.0, "broken cloud forecast at Harrow Point")


def test_temporary_cloud_counts_in_its_hours_beside_what_prevails() -> None:
    passing = ForecastGroup("temporary", after(2), after(3), None, None, (CloudLayer("broken", 100.0),))

    assert over_field(cover(BASE, passing), 1.0) == [(330.0, TOP_NOT_KNOWN_M)]
    assert sorted(over_field(cover(BASE, passing), 2.5)) == [(130.0, TOP_NOT_KNOWN_M), (330.0, TOP_NOT_KNOWN_M)]


def test_base_and_top_lie_in_the_cloud() -> None:
    """An altitude that is the base or the top is in it, a metre outside is not."""
    found = cover(ForecastGroup("base", NOON, after(24), None, 9000.0, ()), sheets=(sheet(400.0, 900.0),))

    assert [bool(found.at(LAT_DEG, LON_DEG, one, after(1))) for one in (399.0, 400.0, 650.0, 900.0, 901.0)] == [
        False, True, True, True, False,
    ]  # fmt: skip
    assert relation_to(sheet(400.0, 900.0), 900.0 + 5e-7) is CloudRelation.IN
    assert relation_to(sheet(400.0, 900.0), 400.0 - 5e-7) is CloudRelation.IN


def test_every_edge_of_cloud_is_looked_at() -> None:
    """Of sheets base and top, of the forecast every base from the sea, of all its groups, once each."""
    passing = ForecastGroup("temporary", after(2), after(3), None, None, (CloudLayer("broken", 100.0), OVERCAST))
    found = cover(BASE, passing, sheets=(sheet(400.0, 900.0),))

    assert sorted(found.edges_m) == [130.0, 180.0, 330.0, 400.0, 900.0]
    other = Place("LX09", "Elsewhere", "aerodrome", LAT_DEG, LON_DEG, elevation_m=500.0)
    assert cover(BASE, place=other).edges_m == ()
