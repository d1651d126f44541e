"""Which lines of an aerodrome forecast are in force, and the worst in a window, against CNATRA P-304.

The rows of class D apply P-304's own rules to its own forecast and are not printed there. The old short periods of the
printed forecast are written as today's, TEMPO0912 as TEMPO 2009/2012, and its TSSH as TSRA.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest

from briefgen.model.weather import AerodromeForecast
from briefgen.spec.coded.forecast import aerodrome_forecast
from briefgen.weather.forecast import Outlook, outlook
from tests.shared.published_rows import rows

FT_M = 0.3048
KT_M_PER_S = 1852.0 / 3600.0
HOUR = timedelta(hours=1)
ROWS = {row["id"]: row for row in rows("forecast_window")}
ISSUED = datetime(2003, 4, 20, 8, 0, tzinfo=UTC)
LINES = {
    "TF01": "00000KT 0800 FG VV001",
    "TF02": "TEMPO 2009/2012 2400 BR SCT000 SCT005 SCT080 SCT250",
    "TF03": "FM201400 20005KT 6000 HZ SCT025 SCT080 SCT250",
    "TF04": "BECMG 2016/2017 9999",
    "TF05": "BECMG 2020/2022 23010KT 9999 SCT025 SCT080 BKN250",
    "TF06": "TEMPO 2023/2103 VRB15G30KT 1600 TSRA OVC010CB",
}


@pytest.fixture(scope="module")
def forecast() -> AerodromeForecast:
    return aerodrome_forecast(f"TAF XXXX 200800Z 2009/2109 {' '.join(LINES.values())}", ISSUED)


def at(hhmm: str, day: int = 20) -> datetime:
    return datetime(2003, 4, day, int(hhmm[:2]), int(hhmm[2:]), tzinfo=UTC)


def in_force(forecast: AerodromeForecast, instant: datetime) -> set[int]:
    found = outlook(forecast, instant, instant)
    return {forecast.groups.index(state.group) for state in (*found.prevailing, *found.temporary)}


# First and last minute of each line as printed on page 41; the 0900 at the end of the forecast is its own end.
PERIODS = {
    "TF01": (at("0900"), at("1400")),
    "TF02": (at("0900"), at("1200")),
    "TF03": (at("1400"), at("1700")),
    "TF04": (at("1600"), at("2200")),
    "TF05": (at("2000"), at("0900", 21)),
    "TF06": (at("2300"), at("0300", 21)),
}


@pytest.mark.parametrize("ident", LINES)
def test_a_line_is_in_force_from_its_first_minute_up_to_its_last_hour(forecast: AerodromeForecast, ident: str) -> None:
    printed = re.findall(r"\b\d{4}\b", ROWS[ident]["value"])
    begins, ends = PERIODS[ident]
    line, minute = list(LINES).index(ident), timedelta(minutes=1)
    assert printed[0] == begins.strftime("%H%M")
    assert printed[1] == ends.strftime("%H%M")

    assert line in in_force(forecast, begins)
    assert line in in_force(forecast, ends - minute)
    if begins > forecast.valid_from:
        assert line not in in_force(forecast, begins - minute)
    if ends < forecast.valid_to:
        assert line not in in_force(forecast, ends)


def test_a_becoming_line_keeps_what_it_does_not_name(forecast: AerodromeForecast) -> None:
    """P-304, fourth line worked: wind and cloud are kept from the line before."""
    assert "kept from the line before" in ROWS["TW06"]["value"]
    (state,) = outlook(forecast, at("1800"), at("1800")).prevailing

    assert state.wind is not None
    assert state.wind.speed_m_per_s == pytest.approx(5.0 * KT_M_PER_S)
    assert [layer.base_m for layer in state.clouds or ()] == pytest.approx(
        [2500.0 * FT_M, 8000.0 * FT_M, 25000.0 * FT_M]
    )


def test_a_from_line_keeps_nothing(forecast: AerodromeForecast) -> None:
    """P-304 page 40 and ICAO Annex 3, appendix 5: it supersedes all before it; fog and vertical visibility are gone."""
    assert ROWS["TI03"]["value"] == "self-contained: supersedes all before it"
    (state,) = outlook(forecast, at("1400"), at("1400")).prevailing

    assert (state.vertical_visibility_m, state.weather) == (None, ("HZ",))


def worst(found: Outlook) -> tuple[float, float, float]:
    """Return lowest visibility [m], lowest ceiling [ft] and greatest wind or gust [kt]."""
    states = (*found.prevailing, *found.temporary)
    return (
        min(state.visibility_m for state in states if state.visibility_m is not None),
        min(state.ceiling_m for state in states if state.ceiling_m is not None) / FT_M,
        max(max(wind.speed_m_per_s, wind.gust_m_per_s or 0.0) for wind in found.winds) / KT_M_PER_S,
    )


@pytest.mark.parametrize("ident", [ident for ident in ROWS if ident.startswith("TD")])
def test_worst_from_an_hour_before_up_to_an_hour_after(forecast: AerodromeForecast, ident: str) -> None:
    """Paragraph 113: the worst from the expected time less an hour up to, not including, an hour after it."""
    row = ROWS[ident]
    clock = row["given"].split("ETA ")[1]
    eta = at(clock, 20 if int(clock) >= 900 else 21)
    visibility_m, ceiling, wind_kt = re.findall(
        r"visibility (\d+) m; ceiling ([\d,]+|none)[^;]*; greatest gust or wind (\d+) kt", row["value"]
    )[0]

    found = worst(outlook(forecast, eta - HOUR, eta + HOUR))

    assert found[0] == float(visibility_m)
    assert found[1] == pytest.approx(float("inf") if ceiling == "none" else float(ceiling.replace(",", "")))
    assert found[2] == pytest.approx(float(wind_kt))


def test_the_end_of_the_window_is_left_out(forecast: AerodromeForecast) -> None:
    """Arriving at 2200 the window ends as the thunderstorm may begin; a minute later it counts. At 0400 it is over."""
    assert not outlook(forecast, at("2100"), at("2300")).temporary
    assert outlook(forecast, at("2101"), at("2301")).temporary
    assert not outlook(forecast, at("0300", 21), at("0500", 21)).temporary


def test_a_temporary_line_counts_at_its_first_minute() -> None:
    """Training bank: 5,000 m is the lowest visibility forecast at 0800."""
    found = aerodrome_forecast(
        "TAF XXXX 200500Z 2008/2016 25010KT 9999 BKN025 TEMPO 2008/2012 5000 DZ BKN012 BECMG 2012/2014 27010KT", ISSUED
    )

    assert ROWS["TQ02"]["value"] == f"{worst(outlook(found, at('0800'), at('0800')))[0]:.0f} m"


def test_a_probable_gust_is_the_greatest_wind() -> None:
    """Training bank: of a temporary 25015G25KT and a probable temporary 28020G30KT, 30 kt at 1600."""
    found = aerodrome_forecast(
        "TAF XXXX 201000Z 2012/2021 28010KT 9999 RA SCT020 TEMPO 2012/2018 25015G25KT 6000 SHRA SCT008"
        " PROB30 TEMPO 2012/2018 28020G30KT 3000 TSRA SCT005 BKN015CB BECMG 2018/2021 22004KT",
        ISSUED,
    )

    assert ROWS["TQ03"]["value"] == f"{worst(outlook(found, at('1600'), at('1600')))[2]:.0f} kt"


def test_a_temporary_line_does_not_bring_back_a_state_that_is_over() -> None:
    """Between the from line at noon and the end of the shower at four the shower interrupts the new state alone."""
    found = aerodrome_forecast(
        "TAF XXXX 200800Z 2009/2021 20005KT 0800 FG VV001 TEMPO 2011/2016 3000 RA FM201200 20005KT 9999 SCT030", ISSUED
    )

    assert worst(outlook(found, at("1300"), at("1500")))[1] == float("inf")
