"""Sun, twilight and moon against published examples, tables of two almanac libraries, and the `ephem` library."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import ephem
import pytest

from briefgen.kernel.sun import (
    SunTimes,
    moon_altitude,
    moon_crossings,
    moon_illuminated_ratio,
    sun_altitude,
    sun_times,
)
from tests.shared.published_rows import rows

DAY = timedelta(days=1)
# The two reference libraries agree within 1 s; printed almanacs round to the minute.
TEMPERATE_S = 60.0
# Above 60 degrees of latitude the sun cuts the horizon at a shallow angle.
POLAR_S = 120.0
# Where it only grazes it, 0.001 degree is minutes (Anchorage dawn in June, Tromso in December).
GRAZING_S = 360.0
GRAZING = {("Anchorage", "1944-06-06", "civil_dawn"), ("Anchorage", "1944-06-06", "civil_dusk")}
EVENTS = {"sunset": ("sun", "sets"), "civil_dawn": ("civil", "rises"), "civil_dusk": ("civil", "sets")}
ARC_MINUTE_DEG = 1.0 / 60.0  # claimed accuracy of the ephemeris


def events_of(times: SunTimes, event: str) -> tuple[datetime, ...]:
    kind, direction = EVENTS[event]
    found: tuple[datetime, ...] = getattr(getattr(times, kind), direction)
    return found


def tolerance_s(row: dict[str, str]) -> float:
    if (row["place"].split()[0], row["date_UTC"], row["event"]) in GRAZING or (
        row["place"].startswith("Tromso") and "-12-" in row["date_UTC"]
    ):
        return GRAZING_S
    return POLAR_S if abs(float(row["lat_deg"])) > 60.0 else TEMPERATE_S


@pytest.mark.parametrize(
    "row", rows("sun_times"), ids=lambda row: f"{row['place'].split()[0]}-{row['date_UTC']}-{row['event']}"
)
def test_sun_and_twilight_times_of_a_utc_day_agree_with_the_almanac_libraries(row: dict[str, str]) -> None:
    """The ephem column is used; where it and skyfield disagree whether a grazing event happens, neither is right."""
    midnight = datetime.fromisoformat(row["date_UTC"]).replace(tzinfo=UTC)
    found = events_of(sun_times(midnight, midnight + DAY, float(row["lat_deg"]), float(row["lon_deg"])), row["event"])
    printed = row["ephem_UTC"]
    if printed == "none" and row["skyfield_UTC"] != "none":
        printed = row["skyfield_UTC"]
    if printed == "none":
        assert found == ()
        return
    clock = datetime.strptime(printed, "%H:%M:%S")
    expected = midnight + timedelta(hours=clock.hour, minutes=clock.minute, seconds=clock.second)

    assert min(abs((event - expected).total_seconds()) for event in found) <= tolerance_s(row)


def test_a_utc_day_that_begins_in_the_local_evening_has_its_sunset_before_its_sunrise() -> None:
    """Honolulu, 20 March 2025 (sun_times.csv): sunset 04:42 UTC, dawn 16:12 UTC of the same UTC date."""
    midnight = datetime(2025, 3, 20, tzinfo=UTC)
    sun = sun_times(midnight, midnight + DAY, 21.3069, -157.8583).sun

    assert sun.sets[0] < sun.rises[0]


def spa(quantity: str) -> str:
    return next(row["value"] for row in rows("solar_position") if row["quantity"].startswith(quantity))


def test_the_solar_position_example_is_reproduced() -> None:
    """NREL/TP-560-34302, Table A5.1: geometric height without refraction."""
    instant = datetime(2003, 10, 17, 19, 30, 30, tzinfo=UTC)  # printed as 12:30:30 at UTC-7
    found_deg = sun_altitude(instant, float(spa("latitude")), float(spa("longitude")))

    assert found_deg == pytest.approx(float(spa("geometric elevation")), abs=ARC_MINUTE_DEG / 5.0)


def test_sunrise_and_sunset_of_the_solar_position_example_are_reproduced() -> None:
    """NREL/TP-560-34302, Table A5.1, printed to the second at UTC-7, for the UTC date.

    The UTC day of 17 October begins in the evening of the 16th there, so the printed sunset is that of the 16th.
    """
    midnight = datetime(2003, 10, 17, tzinfo=UTC)
    sun = sun_times(midnight, midnight + DAY, float(spa("latitude")), float(spa("longitude"))).sun
    offset = timedelta(hours=7)

    assert spa("sunset local") == "17:20:19"
    assert spa("sunrise local") == "06:12:43"
    # The example corrects UTC by 67 s of delta T and adds half a second of UT1; the true delta T was 64.4 s.
    assert abs((sun.sets[0] - datetime(2003, 10, 16, 17, 20, 19, tzinfo=UTC) - offset).total_seconds()) <= 2.0
    assert abs((sun.rises[0] - datetime(2003, 10, 17, 6, 12, 43, tzinfo=UTC) - offset).total_seconds()) <= 2.0


def observer(latitude_deg: float, longitude_deg: float, horizon: str = "0") -> ephem.Observer:
    place = ephem.Observer()
    place.lat, place.lon, place.pressure, place.horizon = str(latitude_deg), str(longitude_deg), 0, horizon
    return place


PLACES = [(51.48, 0.0), (-33.87, 151.21), (21.31, -157.86), (61.2, -149.9), (-54.8, -68.3)]
DATES = [
    datetime(2026, 1, 5, 6, tzinfo=UTC),
    datetime(2027, 2, 17, 21, tzinfo=UTC),
    datetime(2025, 7, 20, 13, tzinfo=UTC),
]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("instant", DATES)
def test_heights_of_sun_and_moon_agree_with_ephem(place: tuple[float, float], instant: datetime) -> None:
    there = observer(*place)
    there.date = ephem.Date(instant.replace(tzinfo=None))
    sun_deg = float(ephem.Sun(there).alt) / ephem.degree
    moon = ephem.Moon(there)

    assert sun_altitude(instant, *place) == pytest.approx(sun_deg, abs=ARC_MINUTE_DEG)
    assert moon_altitude(instant, *place) == pytest.approx(float(moon.alt) / ephem.degree, abs=2.0 * ARC_MINUTE_DEG)
    assert moon_illuminated_ratio(instant) == pytest.approx(moon.phase / 100.0, abs=0.002)


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("instant", DATES)
def test_moonrise_and_moonset_agree_with_ephem(place: tuple[float, float], instant: datetime) -> None:
    """Horizon lowered by 34 minutes of arc; ephem uses the upper limb."""
    there = observer(*place, horizon="-0:34")
    there.date = ephem.Date(instant.replace(tzinfo=None))
    rising = there.next_rising(ephem.Moon()).datetime().replace(tzinfo=UTC)
    setting = there.next_setting(ephem.Moon()).datetime().replace(tzinfo=UTC)
    found = moon_crossings(instant, instant + 2 * DAY, *place)

    assert abs((found.rises[0] - rising).total_seconds()) < POLAR_S
    assert abs((found.sets[0] - setting).total_seconds()) < POLAR_S


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("instant", DATES)
def test_nautical_twilight_agrees_with_ephem(place: tuple[float, float], instant: datetime) -> None:
    there = observer(*place, horizon="-12")
    there.date = ephem.Date(instant.replace(tzinfo=None))
    nautical = sun_times(instant, instant + DAY, *place).nautical
    try:
        dawn = there.next_rising(ephem.Sun(), use_center=True).datetime().replace(tzinfo=UTC)
    except (ephem.AlwaysUpError, ephem.NeverUpError):
        assert nautical.rises == ()
        return

    assert abs((nautical.rises[0] - dawn).total_seconds()) < TEMPERATE_S
