"""A weather file as written, and what its parts mean."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from briefgen.model.places import Place
from briefgen.model.weather import Weather
from briefgen.spec.build.weather import build_weather
from briefgen.spec.coded.forecast import aerodrome_forecast
from briefgen.spec.coded.groups import CodedTextError
from briefgen.spec.coded.observation import observation
from briefgen.spec.coded.winds import winds_aloft
from briefgen.spec.tree.check import check
from briefgen.spec.tree.load import load_bytes, load_file
from briefgen.units import in_unit

ISSUED = datetime(2027, 2, 28, 20, tzinfo=UTC)
ROUND_OFF = {"abs": 1e-9, "rel": 0.0}
BULLETIN = """
DATA BASED ON 281800Z
VALID 010000Z   FOR USE 2100-0600Z. TEMPS NEG ABV 24000

FT  3000    6000    9000   12000   18000   24000  30000
LXA 9900 1312+17 1315+11 1108+05 0906-08 2712-20 273540
LXB              1315+11 1108+05 0906-08 2712-20 273540
"""
FILE = f"""\
briefgen: weather/1
name: Two points
issued: 2027-02-28 20:00Z
valid: {{ from: 2027-02-28 21:00Z, to: 2027-03-01 06:00Z }}
reach: 100 NM
outside altitudes: hold
outside times: error
winds aloft as issued:
  - text: |
{"".join(f"      {line}" + chr(10) for line in BULLETIN.strip().split(chr(10)))}
    stations: {{ LXA: LX01, LXB: 16-00-00S 165-30-00E }}
    at the ground:
      - {{ station: LXA, altitude: 0 ft, wind: calm, temperature: 27 degC }}
"""


def read(text: str) -> Weather:
    document = load_bytes(text.encode(), Path("weather.yaml"), "weather.yaml")
    checked = check(document, "weather")
    found = build_weather(checked, {"LX01": Place("LX01", "Harrow Point", "aerodrome", -15.55, 167.2)})
    assert found is not None, "\n".join(fault.text() for fault in checked.faults)
    return found


def test_a_bulletin_becomes_a_sounding_over_each_station() -> None:
    """Place or position, time of validity and of use over the end of the month, and the ground below the levels."""
    first, second = read(FILE).soundings

    assert (first.ident, first.lat_deg, second.lat_deg, second.lon_deg) == ("LX01", -15.55, -16.0, 165.5)
    assert first.instant == datetime(2027, 3, 1, 0, tzinfo=UTC)
    assert (first.use_from, first.use_to) == (
        datetime(2027, 2, 28, 21, tzinfo=UTC),
        datetime(2027, 3, 1, 6, tzinfo=UTC),
    )
    assert first.winds[0].pressure_altitude_m == 0.0
    assert first.source == "weather.yaml:14"


def test_levels_left_blank_are_the_lowest_ones() -> None:
    """Groups stand under their levels: a station of the high ground has none at 3,000 and 6,000 ft."""
    found = winds_aloft(BULLETIN, ISSUED)

    heights = [in_unit(level.pressure_altitude_m or 0.0, "ft") for level in found.winds["LXB"]]
    assert heights == pytest.approx([9000, 12000, 18000, 24000, 30000], **ROUND_OFF)


def test_the_wind_at_3000_ft_has_no_temperature() -> None:
    """Common to all bulletins: temperatures begin at 6,000 ft; the sign above 24,000 ft is implied."""
    found = winds_aloft(BULLETIN, ISSUED)

    heights = [in_unit(level.pressure_altitude_m or 0.0, "ft") for level in found.temperatures["LXA"]]
    assert heights == pytest.approx([6000, 9000, 12000, 18000, 24000, 30000], **ROUND_OFF)
    assert in_unit(found.temperatures["LXA"][-1].temperature_k, "degC") == pytest.approx(-40.0, **ROUND_OFF)


def test_a_day_of_the_next_month_is_read_against_the_time_of_issue() -> None:
    """Issued on the last of February, the 1st is that of March; no clock is asked."""
    found = aerodrome_forecast("TAF LX01 282000Z 2821/0124 13012KT CAVOK", ISSUED)

    assert found.valid_to == datetime(2027, 3, 2, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("groups", "kind", "percent"),
    [
        ("PROB40 TEMPO 2822/2823 0400 FG VV001", "probable temporary", 40),
        ("PROB30 2822/2823 0400 FG VV001", "probable", 30),
        ("TEMPO 2822/2823 0400 FG VV001", "temporary", None),
    ],
)
def test_the_kinds_of_passing_change(groups: str, kind: str, percent: int | None) -> None:
    """WMO-No. 306, FM 51: PROB with or without TEMPO; VV is the vertical visibility in hundreds of feet."""
    (_, change) = aerodrome_forecast(f"TAF LX01 282000Z 2821/0121 VRB02KT CAVOK {groups}", ISSUED).groups

    assert (change.kind, change.probability_percent) == (kind, percent)
    assert in_unit(change.vertical_visibility_m or 0.0, "ft") == pytest.approx(100.0, **ROUND_OFF)


def test_cavok_is_ten_kilometres_no_cloud_and_no_weather() -> None:
    """ICAO Annex 3 (from memory): visibility 10 km or more, no cloud below 5,000 ft, no significant weather."""
    (base,) = aerodrome_forecast("TAF LX01 282000Z 2821/0121 00000KT CAVOK", ISSUED).groups

    assert (base.visibility_m, base.clouds, base.weather) == (10_000.0, (), ())


def test_a_whole_and_a_fraction_of_statute_miles_are_added() -> None:
    """1 1/2SM is one visibility, not a stray figure and a half."""
    (base,) = aerodrome_forecast("TAF LX01 282000Z 2821/0121 13012KT 1 1/2SM BR OVC005", ISSUED).groups

    assert in_unit(base.visibility_m or 0.0, "sm") == pytest.approx(1.5, **ROUND_OFF)


@pytest.mark.parametrize("group", ["QNH2992INS", "610304", "INTER", "WIND", "9999KT", "BKN", "TX28/3225Z"])
def test_a_group_outside_the_code_is_never_dropped(group: str) -> None:
    """National groups and slips of the pen alike are errors that show the group."""
    with pytest.raises(CodedTextError, match=f"'{group}'"):
        aerodrome_forecast(f"TAF LX01 282000Z 2821/0121 13012KT 9999 SCT022 {group}", ISSUED)


def test_extreme_temperatures_and_remarks_stay_in_the_text() -> None:
    """WMO-No. 306, FM 51: TX and TN at the end of the forecast; a remark is printed and not planned on."""
    text = "TAF LX01 282000Z 2821/0121 13012KT CAVOK TX28/0103Z TNM02/2819Z RMK NXT FCST BY 03Z"

    found = aerodrome_forecast(text, ISSUED)

    assert found.raw == text
    assert len(found.groups) == 1


@pytest.mark.parametrize(
    ("found", "wrong"),
    [
        ("13011KT", "13011"),
        ("13011KT", "00005KT"),
        ("13011KT", "1301OKT"),
        ("SCT022", "SCT22"),
        ("SCT022", "SCTO22"),
        ("SCT022", "OVC///"),
        ("26/23", "26/3"),
        ("Q1006", "Q0106"),
        ("Q1006", "A299"),
        ("9999", "99999"),
    ],
)
def test_an_observation_is_never_read_leniently(found: str, wrong: str) -> None:
    """What lenient decoders forgive is refused: units left out, letters for figures, figures left out."""
    text = "METAR LX01 281900Z 13011KT 9999 SCT022 26/23 Q1006"
    assert observation(text, ISSUED, 0.0, 0.0).altimeter_setting_pa == 100_600.0

    with pytest.raises(CodedTextError):
        observation(text.replace(found, wrong), ISSUED, 0.0, 0.0)


def test_the_long_ferry_has_weather_over_all_its_sea() -> None:
    """Sixteen stations in three bulletins, each with its ground below the levels; the fields have their forecasts."""
    path = Path(__file__).parents[3] / "mission_specs" / "weather" / "long-tide.yaml"
    checked = check(load_file(path, path.name), "weather")
    fields = {ident: Place(ident, ident, "aerodrome", -18.0, 166.0) for ident in ("LX01", "LX04", "LX10", "LX11")}

    found = build_weather(checked, fields)

    assert found is not None, "\n".join(fault.text() for fault in checked.faults)
    assert len(found.soundings) == 3 * 16
    assert all(one.winds[0].pressure_altitude_m == one.temperatures[0].pressure_altitude_m for one in found.soundings)
    assert {forecast.ident for forecast in found.forecasts} == set(fields)
