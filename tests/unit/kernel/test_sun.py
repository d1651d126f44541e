"""Light and its borders agree with each other; days without sunrise or sunset are data, not errors."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.errors import OutOfRangeError
from briefgen.kernel.crossings import Presence, crossings
from briefgen.kernel.sun import (
    CIVIL_TWILIGHT_ALTITUDE_DEG,
    SUNRISE_ALTITUDE_DEG,
    LightCondition,
    _sun_path,
    light_condition,
    moon_crossings,
    sun_altitude,
    sun_times,
)

DAY = timedelta(days=1)
SECOND = timedelta(seconds=1)
INSTANTS = st.datetimes(datetime(2025, 1, 1), datetime(2029, 12, 28), timezones=st.just(UTC))
TROMSO = (69.6492, 18.9553)
# Where the sun cuts the horizon at a shallow angle a second is less than the ephemeris can tell.
STEEP_LATITUDES = st.floats(-60.0, 60.0)


@given(INSTANTS, STEEP_LATITUDES, st.floats(-180.0, 180.0))
def test_the_light_changes_where_sunrise_sunset_and_twilight_say(start: datetime, lat: float, lon: float) -> None:
    times = sun_times(start, start + DAY, lat, lon)
    for border, below, above in (
        (times.sun, LightCondition.CIVIL_TWILIGHT, LightCondition.DAY),
        (times.civil, LightCondition.NIGHT, LightCondition.CIVIL_TWILIGHT),
    ):
        for rise in border.rises:
            assert light_condition(rise - SECOND, lat, lon) == below
            assert light_condition(rise + SECOND, lat, lon) == above
        for setting in border.sets:
            assert light_condition(setting - SECOND, lat, lon) == above
            assert light_condition(setting + SECOND, lat, lon) == below


@given(INSTANTS, st.floats(-90.0, 90.0), st.floats(-180.0, 180.0))
def test_the_path_of_a_day_tells_the_light_that_the_ephemeris_tells(instant: datetime, lat: float, lon: float) -> None:
    """The light is read off the path of the day but within 0.01 degree of a limit, a hundred times what the path departs."""
    midnight = instant.replace(hour=0, minute=0, second=0, microsecond=0)
    path_deg = _sun_path(midnight, midnight + DAY, lat, lon)((instant - midnight) / DAY)
    height_deg = sun_altitude(instant, lat, lon)
    told = LightCondition.NIGHT if height_deg < CIVIL_TWILIGHT_ALTITUDE_DEG else LightCondition.CIVIL_TWILIGHT

    assert path_deg == pytest.approx(height_deg, abs=0.0002)
    assert light_condition(instant, lat, lon) == (LightCondition.DAY if height_deg >= SUNRISE_ALTITUDE_DEG else told)


def test_a_polar_day_has_no_events_and_says_which_side() -> None:
    """At 69.6 N the sun does not set on 21 June (sun_times.csv: none)."""
    midnight = datetime(2025, 6, 21, tzinfo=UTC)
    times = sun_times(midnight, midnight + DAY, *TROMSO)

    assert (times.sun.rises, times.sun.sets) == ((), ())
    assert times.sun.presence == times.civil.presence == Presence.ALWAYS_ABOVE
    assert light_condition(midnight, *TROMSO) == LightCondition.DAY


def test_a_polar_night_has_civil_twilight_but_no_sunrise() -> None:
    """At 69.6 N the sun does not rise on 21 December (sun_times.csv: none), and civil twilight is bright."""
    midnight = datetime(2025, 12, 21, tzinfo=UTC)
    times = sun_times(midnight, midnight + DAY, *TROMSO)

    assert times.sun.presence == Presence.ALWAYS_BELOW
    assert times.civil.presence == Presence.CROSSES
    assert light_condition(midnight.replace(hour=10, minute=40), *TROMSO) == LightCondition.CIVIL_TWILIGHT
    assert light_condition(midnight, *TROMSO) == LightCondition.NIGHT


def test_a_night_of_minutes_between_two_samples_is_found() -> None:
    """Near the polar circle, about the solstice, the sun dips below the horizon for minutes, about 22:46 UTC at 19 E."""
    start = datetime(2025, 6, 21, 12, tzinfo=UTC)
    nights = [sun_times(start, start + DAY, 65.7 + step / 2000.0, 19.0).sun for step in range(200)]
    shortest = min((sun for sun in nights if sun.sets), key=lambda sun: sun.rises[0] - sun.sets[0])

    assert {sun.presence for sun in nights} == {Presence.CROSSES, Presence.ALWAYS_ABOVE}
    assert timedelta() < shortest.rises[0] - shortest.sets[0] < timedelta(minutes=10)


def test_a_span_can_hold_two_sunsets_and_ends_before_its_end() -> None:
    start = datetime(2027, 2, 17, tzinfo=UTC)
    first = sun_times(start, start + DAY, -15.0, 145.0).sun
    both = sun_times(start, start + 2 * DAY, -15.0, 145.0).sun

    assert len(both.sets) == 2
    assert both.sets[0] == pytest.approx(first.sets[0], abs=timedelta(seconds=0.5))
    assert sun_times(start, first.sets[0] - SECOND, -15.0, 145.0).sun.sets == ()


def test_a_span_begun_in_local_time_gives_results_in_utc() -> None:
    start = datetime(2027, 2, 17, tzinfo=UTC)
    local = start.astimezone(timezone(timedelta(hours=10)))
    by_utc = sun_times(start, start + DAY, -15.0, 145.0)

    assert sun_times(local, local + DAY, -15.0, 145.0) == by_utc
    assert by_utc.sun.sets[0].tzinfo == UTC


def test_the_moon_may_fail_to_rise_on_a_day() -> None:
    """The moon rises some fifty minutes later each day, so about once a month a day has no moonrise."""
    start = datetime(2026, 3, 1, tzinfo=UTC)
    counts = [len(moon_crossings(start + day * DAY, start + (day + 1) * DAY, 10.0, 0.0).rises) for day in range(30)]

    assert set(counts) == {0, 1}
    assert sum(counts) in {28, 29}


def test_longitudes_are_taken_the_long_way_round_too() -> None:
    instant = datetime(2026, 5, 5, 5, tzinfo=UTC)

    assert sun_altitude(instant, 10.0, 200.0) == pytest.approx(sun_altitude(instant, 10.0, -160.0), abs=1e-9)


@pytest.mark.parametrize("hours", [0, -5, 73])
def test_an_empty_reversed_or_too_long_span_is_refused(hours: int) -> None:
    start = datetime(2026, 5, 5, tzinfo=UTC)
    with pytest.raises(OutOfRangeError, match=f"a span of {hours:.1f} hours is out of range"):
        crossings(lambda days: days, start, start + timedelta(hours=hours))


def test_a_latitude_beyond_the_pole_is_refused() -> None:
    start = datetime(2026, 5, 5, tzinfo=UTC)
    with pytest.raises(OutOfRangeError, match="latitude 91 deg"):
        sun_times(start, start + DAY, 91.0, 0.0)
    with pytest.raises(OutOfRangeError, match="latitude 91 deg"):
        light_condition(start, 91.0, 0.0)
