"""Positions, times, cruise phrases, heights, sizes, wind and cloud as people write them."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from briefgen.model.mission import Height
from briefgen.model.performance import GivenSetting, IndicatedAirspeed, LongRange, PercentPower, TrueAirspeed
from briefgen.spec.words import air, phrases, times
from briefgen.spec.words.coordinates import position
from briefgen.units import QuantityError


# By arithmetic: 15 deg 33 min = 15.55 deg, 42.3 min = 0.705 deg, 42 min 30 s = 0.708333 deg.
@pytest.mark.parametrize(
    ("text", "lat_deg", "lon_deg"),
    [
        ("15-33-00S 167-12-00E", -15.55, 167.2),
        ("15-33S 167-12E", -15.55, 167.2),
        ("17-42.3S 168-18.0E", -17.705, 168.3),
        ("17\u00b042.3'S 168\u00b018'E", -17.705, 168.3),
        ("17\u00b042'30\"S, 168\u00b018'00\"E", -17.708333333, 168.3),
        ("17\u00b042\u203230\u2033S 168\u00b018\u203200\u2033E", -17.708333333, 168.3),
        ("-17.7050 168.3000", -17.705, 168.3),
        ("-17.7050, 168.3000", -17.705, 168.3),
        ("17.705S 168.3E", -17.705, 168.3),
        ("89-59-59N 179-59-59W", 89.999722222, -179.999722222),
        ("0-00-00N 0-00-00E", 0.0, 0.0),
    ],
)
def test_position_is_read_in_every_form_charts_use(text: str, lat_deg: float, lon_deg: float) -> None:
    """Degrees, degrees and minutes, degrees, minutes and seconds; south and west are negative."""
    found = position(text)

    assert (found.lat_deg, found.lon_deg) == pytest.approx((lat_deg, lon_deg), abs=1e-9)


@pytest.mark.parametrize(
    "text",
    ["", "here", "17-42.3S", "17-4-3S 168-1-1E", "17-42-75S 168-00-00E", "90-00-01S 0-00-00E", "0-00N 180-01E", "17S 20N",
     "174230S 1681800E", "nan 20", "1e1 20", "17-42.3.1S 168-18E"],
)  # fmt: skip
def test_position_that_could_be_misread_is_refused(text: str) -> None:
    """One digit for minutes, sixty of anything, both of one sort: none of them is guessed."""
    with pytest.raises(QuantityError):
        position(text)


def test_local_time_is_turned_into_utc() -> None:
    """Port Vila is eleven hours ahead (IANA time zone data base, Pacific/Efate), and the date rolls back."""
    written = times.written_time("2027-02-18 05:20")

    assert times.instant(written, "Pacific/Efate") == datetime(2027, 2, 17, 18, 20, tzinfo=UTC)


def test_utc_time_ignores_the_zone() -> None:
    """A Z says it all."""
    written = times.written_time("2027-02-17 18:20Z")

    assert times.instant(written, "Pacific/Efate") == datetime(2027, 2, 17, 18, 20, tzinfo=UTC)


def test_time_of_day_rolls_over_to_the_next_date() -> None:
    """The next 05:20 after 18:30 UTC on the 17th, already the 18th there, is that of the 19th."""
    after = datetime(2027, 2, 17, 18, 30, tzinfo=UTC)

    found = times.next_instant(times.written_clock("05:20"), after, "Pacific/Efate")

    assert found == datetime(2027, 2, 18, 18, 20, tzinfo=UTC)


def test_hour_that_comes_twice_is_refused_with_both() -> None:
    """New York, 1 November 2026: 01:30 comes at 05:30Z (daylight time) and at 06:30Z (standard time)."""
    written = times.written_time("2026-11-01 01:30")

    with pytest.raises(QuantityError) as caught:
        times.instant(written, "America/New_York")

    assert caught.value.expected == "one of 2026-11-01 05:30Z (before) or 2026-11-01 06:30Z (after)"


@pytest.mark.parametrize(
    ("text", "target"),
    [
        ("long range", LongRange()),
        ("150 kt indicated", IndicatedAirspeed(pytest.approx(77.166666667))),
        ("180 mph true", TrueAirspeed(pytest.approx(80.4672))),
        ("55 % power", PercentPower(pytest.approx(0.55))),
        ("1,900 rpm, 28 inHg, lean", GivenSetting(pytest.approx(1900.0), pytest.approx(94818.88, abs=0.01), "lean")),
        ("2,000 rpm, 30 inHg", GivenSetting(pytest.approx(2000.0), pytest.approx(101591.66, abs=0.01), None)),
    ],
)
def test_cruise_phrase_names_a_target(text: str, target: object) -> None:
    """Every way to cruise of the format."""
    assert phrases.cruise(text) == target


@pytest.mark.parametrize(
    "text", ["fast", "0 % power", "120 % power", "150 kt", "150 kt calibrated", "1,900 rpm", "0 kt true"]
)
def test_cruise_phrase_that_names_none_is_refused(text: str) -> None:
    """What could be flown in two ways, or in none, is no way to cruise."""
    with pytest.raises(QuantityError):
        phrases.cruise(text)


@pytest.mark.parametrize(
    ("text", "value_m", "reference"),
    [
        ("8,500 ft", 2590.8, "altitude"),
        ("FL 085", 2590.8, "pressure"),
        ("8,500 ft pressure", 2590.8, "pressure"),
        ("500 ft above overcast", 152.4, "above overcast"),
        ("900 ft above field", 274.32, "above field"),
    ],
)
def test_height_says_from_where_it_counts(text: str, value_m: float, reference: str) -> None:
    """A height alone is on the altimeter setting; a flight level is on the standard setting."""
    assert phrases.flown_altitude(text) == Height(pytest.approx(value_m), reference)


def test_wind_blows_from_its_direction() -> None:
    """A wind from 090 true moves the air to the west: east component negative, north component none."""
    found = air.wind("090T/10 kt")

    assert (found.east_m_per_s, found.north_m_per_s) == pytest.approx((-5.144444444, 0.0), abs=1e-9)


@pytest.mark.parametrize(
    "text", ["090/10 kt", "090M/10 kt", "370T/10 kt", "90T/10 kt", "090T/10", "090T/10 kt gusting 8 kt"]
)
def test_wind_that_could_be_misread_is_refused(text: str) -> None:
    """Magnetic, unsaid, two figures, no unit, gusts below the mean: refused."""
    with pytest.raises(QuantityError):
        air.wind(text)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("2027-02-17", "add the time of day"),
        ("18:20", "put the date before the time"),
        ("17.2.2027 18:20", "write the date as year-month-day"),
        ("2027-02-17 18:20+11:00", "write the time in UTC with a Z, or local without an offset"),
        ("2027-02-17 18:20-0930", "write the time in UTC with a Z, or local without an offset"),
        ("2027-02-17 8:20", "the hour has two digits"),
        ("tomorrow", ""),
    ],
)
def test_a_time_written_otherwise_is_met_with_the_hint_that_fits(text: str, hint: str) -> None:
    """Each way in which people write a time that is not taken."""
    with pytest.raises(QuantityError) as refused:
        times.written_time(text)

    assert refused.value.hint == hint
