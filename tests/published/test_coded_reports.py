"""Coded reports against the published examples of the codes and against an independent decoder."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from briefgen.model.weather import CloudLayer, ForecastGroup, SurfacePoint, Wind
from briefgen.spec.coded.forecast import aerodrome_forecast
from briefgen.spec.coded.groups import CodedTextError
from briefgen.spec.coded.observation import observation
from briefgen.spec.coded.winds import decoded_group
from briefgen.units import in_unit
from tests.shared.published_rows import half_digit, rows

YEAR, MONTH = 2027, 1  # any month of 31 days: the examples print the day alone
EXACT = {"abs": 1e-9, "rel": 0.0}  # whole coded figures, through one conversion and back
DIRECTION = {"abs": 1e-9, "rel": 0.0}  # through a vector and back
ROUNDED_TO_FT = 1e-6  # hundreds of feet, through one conversion and back
COVERS = {"FEW": "few", "SCT": "scattered", "BKN": "broken", "OVC": "overcast"}

REPORTS = {row["id"]: row for row in rows("coded_reports")}
DECODES: dict[str, dict[str, tuple[str, str]]] = {}
for _row in rows("coded_decodes"):
    DECODES.setdefault(_row["report_id"], {})[_row["field"]] = (_row["value"], _row["unit"])

# Fields of the remarks, of runway visual range and of the report's make: kept in the text, no figure of them is planned on.
KEPT_AS_TEXT = {
    "auto", "rvr_runway", "rvr", "rvr_tendency", "station_type", "peak_wind", "wind_shift", "visibility_variable",
    "rain_began", "ceiling_variable", "pressure_falling_rapidly", "slp", "hourly_precip", "precip_3_6h", "precip_24h",
    "temperature_precise", "dew_point_precise", "max_6h", "min_6h", "pressure_tendency", "tsno", "maintenance",
    "corrected", "min_visibility", "min_visibility_dir",
}  # fmt: skip


def issued(day: int) -> datetime:
    return datetime(YEAR, MONTH, day, 12, tzinfo=UTC)


def decoded_observation(ident: str) -> SurfacePoint:
    text = REPORTS[ident]["text"]
    day = int(re.search(r"(\d{2})\d{4}Z", text)[1])  # type: ignore[index]
    return observation(f"{REPORTS[ident]['type']} {text}", issued(day), 0.0, 0.0)


def shown_clouds(layers: tuple[CloudLayer, ...] | None) -> list[str]:
    assert layers is not None
    heights = [in_unit(layer.base_m, "ft") for layer in layers]
    assert all(abs(height - round(height)) < ROUNDED_TO_FT for height in heights)
    short = {cover: code for code, cover in COVERS.items()}
    return [
        f"{short[layer.cover]} {round(height)} {layer.kind}".strip()
        for layer, height in zip(layers, heights, strict=True)
    ]


def observed(point: SurfacePoint, field: str) -> object:
    """Return one field of a decoded observation in the words of the published table."""
    wind = point.wind
    assert wind is not None
    simple = {
        "station": lambda: point.ident,
        "day": lambda: f"{point.instant:%d}",
        "time": lambda: f"{point.instant:%H%M}",
        "wind_dir": lambda: wind.from_deg,
        "wind_speed": lambda: wind.speed_m_per_s,
        "wind_speed_kt": lambda: wind.speed_m_per_s,
        "wind_gust": lambda: wind.gust_m_per_s,
        "wind_var_from": lambda: wind.spread_from_deg,
        "wind_var_to": lambda: wind.spread_to_deg,
        "visibility": lambda: point.visibility_m,
        "temperature": lambda: point.temperature_k,
        "dew_point": lambda: point.dew_point_k,
        "altimeter": lambda: point.altimeter_setting_pa,
        "qnh": lambda: point.altimeter_setting_pa,
        "ceiling": lambda: min(layer.base_m for layer in point.clouds or () if layer.cover in ("broken", "overcast")),
    }
    return simple[field]()


UNITS = {"deg true": "deg", "ft AGL": "ft", "kt (L)": "kt", "SM": "sm", "deg": "deg"}
NUMBERS = [
    (ident, field, value, unit)
    for ident, fields in DECODES.items()
    for field, (value, unit) in fields.items()
    if ident.startswith("M") and re.fullmatch(r"-?[\d.]+", value) and field not in KEPT_AS_TEXT | {"day", "time"}
]


@pytest.mark.parametrize(("ident", "field", "value", "unit"), NUMBERS)
def test_an_observation_has_the_published_figure(ident: str, field: str, value: str, unit: str) -> None:
    """Wind, visibility, temperatures and pressure are those the code key prints."""
    found = observed(decoded_observation(ident), field)

    assert isinstance(found, float)
    tolerance = half_digit(value) if unit == "kt (L)" else 1e-6
    assert in_unit(found, UNITS.get(unit, unit)) == pytest.approx(float(value), abs=tolerance, rel=0.0)


WORDS = {
    "light rain; mist": ("-RA", "BR"),
    "DZ; FG": ("DZ", "FG"),
    "+TSRA": ("+TSRA",),
    "TSRA": ("TSRA",),
}


@pytest.mark.parametrize("ident", [ident for ident in DECODES if ident.startswith("M")])
def test_an_observation_has_the_published_words(ident: str) -> None:
    """Station, time, weather and cloud are those the code key prints; every other field stands in the text."""
    point = decoded_observation(ident)

    told = DECODES[ident]
    for field, (value, _) in told.items():
        if field in ("station", "day", "time"):
            assert observed(point, field) == value
        elif field == "weather":
            assert point.weather == WORDS[value]
        elif field.startswith("cloud") and value[-1].isdigit() and ";" not in value:
            assert re.sub(r" ft.*", "", value) in shown_clouds(point.clouds)
        elif field == "cloud" and ";" in value:
            assert "; ".join(shown_clouds(point.clouds)) == value
        elif field == "cloud":
            assert point.clouds == ()
        elif field == "wind":
            assert (value, point.wind) == ("calm", Wind(0.0, 0.0))
        elif field == "trend":
            assert (value, point.trend) == ("NOSIG", ())
        elif field in KEPT_AS_TEXT:
            assert REPORTS[ident]["text"] in point.raw


def test_the_landing_forecasts_of_the_annex_3_examples() -> None:
    """ICAO Annex 3, examples A3-1 and A3-2: times, visibility, weather and cloud of every change."""
    first, second = decoded_observation("M2").trend
    third, fourth = decoded_observation("M3").trend

    assert (first.kind, f"{first.end:%H%M}", first.visibility_m, first.weather) == ("becoming", "1700", 800.0, ("FG",))
    assert (f"{second.start:%H%M}", second.visibility_m, second.weather) == ("1800", 10_000.0, ())
    assert (third.kind, f"{third.end:%H%M}", third.visibility_m) == ("temporary", "1200", 600.0)
    assert (f"{fourth.start:%H%M}", fourth.visibility_m, fourth.weather, fourth.clouds) == ("1200", 8000.0, (), ())


# --- aerodrome forecasts ----------------------------------------------------------------------------------------------


def prose(group: ForecastGroup) -> set[str]:
    """Return a group in the words of the published table."""
    parts = set()
    wind = group.wind
    if wind is not None:
        unit = "m/s" if "MPS" in group.text else "kt"
        parts.add(f"{wind.from_deg:.0f} deg {in_unit(wind.speed_m_per_s, unit):.0f} {unit}")
        if wind.gust_m_per_s is not None:
            parts.add(f"gust {in_unit(wind.gust_m_per_s, unit):.0f} {unit}")
    if group.visibility_m is not None and "SM" in group.text:
        parts.add(f"{in_unit(group.visibility_m, 'sm'):g} SM")
    elif group.visibility_m is not None:
        parts.add("10 km or more" if group.visibility_m == 10_000.0 else f"{group.visibility_m:.0f} m")
    parts |= {"NSW"} if group.weather == () else set(group.weather or ())
    parts |= {"SKC"} if group.clouds == () else set(shown_clouds(group.clouds or ()))
    return parts


def published_prose(text: str) -> set[str]:
    """Return the parts of a published reading, with the unit of a gust and of heights taken from the words before."""
    parts = set()
    for piece in re.split(r"[;,]\s*", text):
        wind = re.fullmatch(r"(\d+ deg) (\d+) (kt|m/s)(?: gust (\d+)(?: (?:kt|m/s))?)?", piece)
        layer = re.fullmatch(r"(FEW|SCT|BKN|OVC) (\d+)(?: ft)?( CB)?", piece)
        if wind:
            parts.add(f"{wind[1]} {wind[2]} {wind[3]}")
            parts |= {f"gust {wind[4]} {wind[3]}"} if wind[4] else set()
        elif layer:
            parts.add(f"{layer[1]} {layer[2]}{layer[3] or ''}")
        elif re.fullmatch(r"[-+A-Z ]+", piece):
            parts |= set(piece.split())
        else:
            parts.add(piece.replace("more than 6 SM", "6 SM"))
    return parts


CHANGES = [
    (ident, field, value)
    for ident in ("T1", "T2")
    for field, (value, _) in DECODES[ident].items()
    if re.match(r"FM|TEMPO|PROB|BECMG", field)
]


@pytest.mark.parametrize(("ident", "field", "value"), CHANGES)
def test_a_change_of_an_aerodrome_forecast_is_read_as_published(ident: str, field: str, value: str) -> None:
    """Wind, visibility, weather and cloud of every change group of both published examples."""
    day = 9 if ident == "T1" else 15
    found = aerodrome_forecast(f"TAF {REPORTS[ident]['text']}", issued(day))

    (group,) = [one for one in found.groups if one.text.startswith(field)]
    assert prose(group) == published_prose(value)


def test_the_base_and_the_times_of_the_published_forecasts() -> None:
    """FAA key and ICAO Annex 3 example A5-1: issue, validity and the conditions at first; 2400 ends its day."""
    first = aerodrome_forecast(f"TAF {REPORTS['T1']['text']}", issued(9))
    second = aerodrome_forecast(f"TAF {REPORTS['T2']['text']}", issued(15))

    assert f"{first.issued:%d %H%M}" == DECODES["T1"]["issued"][0]
    assert f"{first.valid_from:%d %H%M}" == DECODES["T1"]["valid_from"][0]
    assert (DECODES["T1"]["valid_to"][0], f"{first.valid_to:%d %H%M}") == ("10 2400", "11 0000")
    assert prose(first.groups[0]) == {"150 deg 5 kt", "5 SM", "HZ", "FEW 2000"}
    assert first.groups[0].wind_shear == "WS010/31022KT"
    assert f"{second.issued:%d %H%M}" == DECODES["T2"]["issued"][0]
    assert f"{second.valid_from:%d %H%M} to {second.valid_to:%d %H%M}" == DECODES["T2"]["valid"][0]
    assert prose(second.groups[0]) == published_prose(DECODES["T2"]["base"][0])


def test_a_cancelled_forecast_is_refused() -> None:
    """ICAO Annex 3, example A5-2: a cancelled forecast is not one to plan on."""
    with pytest.raises(CodedTextError, match="the forecast is cancelled"):
        aerodrome_forecast(f"TAF AMD {REPORTS['T3']['text']}", issued(16))


@pytest.mark.parametrize("ident", ["T1", "T2"])
def test_an_independent_decoder_reads_the_same_forecast(ident: str) -> None:
    """metar-taf-parser-mivek 1.13: winds and clouds of every change group that both decoders know alike."""
    from metar_taf_parser.parser.parser import TAFParser

    text = f"TAF {REPORTS[ident]['text']}"
    ours = aerodrome_forecast(text, issued(9 if ident == "T1" else 15))

    theirs = TAFParser().parse(text)
    assert len(theirs.trends) == len(ours.groups) - 1
    for group, other in zip(ours.groups[1:], theirs.trends, strict=True):
        assert (group.wind is None) == (other.wind is None)
        if group.wind is not None:
            unit = {"KT": "kt", "MPS": "m/s"}[other.wind.unit]
            assert in_unit(group.wind.speed_m_per_s, unit) == pytest.approx(other.wind.speed, **EXACT)
            assert group.wind.from_deg == pytest.approx(other.wind.degrees, **DIRECTION)
        layers = [(COVERS[one.quantity.name], one.height) for one in other.clouds if one.quantity.name in COVERS]
        assert [(one.cover, round(in_unit(one.base_m, "ft"))) for one in group.clouds or ()] == layers


# --- winds and temperatures aloft -------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("winds_aloft_groups"), ids=lambda row: row["group"])
def test_a_group_of_winds_aloft_is_read_as_published(row: dict[str, str]) -> None:
    """Direction, speed with its hundred knots, and the temperature with its sign above 24,000 ft."""
    level_ft = level_of(row)

    found = decoded_group(row["group"], level_ft, 24_000)

    if row["direction_deg_true"] == "light and variable":
        assert (found.from_deg, found.speed_kt) == (None, 0.0)
    else:
        assert found.from_deg == float(row["direction_deg_true"])
        assert found.speed_kt == float(row["speed_kt"].split()[0])
        assert found.or_more == row["speed_kt"].startswith("199")
    printed = row["temperature_degC"]
    assert found.temperature_c == (float(printed) if re.fullmatch(r"[-+]?\d+", printed) else None)


def level_of(row: dict[str, str]) -> int:
    """Return the level of a row; a group printed without a temperature stands at 3,000 ft, where none is ever given."""
    printed = re.search(r"\d+", row["level_ft"])
    if len(row["group"]) == 4:
        return 3000
    level_ft = int(printed[0]) if printed else 12_000
    return level_ft + 6000 if row["level_ft"].startswith("above") else level_ft


OBSERVATIONS = (
    "METAR LX01 281900Z 13011G23KT 100V160 9999 -SHRA FEW012 SCT025CB BKN080 26/23 Q1006",
    "SPECI LX04 281900Z AUTO VRB03KT 3 1/2SM BR OVC004 M02/M05 A2977",
    "METAR COR LX10 281900Z 00000KT 0350 R09/0400U FG VV001 14/14 Q1021 NOSIG",
    "METAR LX11 281900Z 27015MPS CAVOK 22/ Q0998 RETS WS R27",
    "METAR LX01 281900Z 35009KT 6000 1500NE +TSRA BKN015CB 21/20 Q1003 BECMG 9999",
)


@pytest.mark.parametrize("text", OBSERVATIONS)
def test_an_observation_is_read_as_an_independent_decoder_reads_it(text: str) -> None:
    """metar 2.0: wind, visibility, cloud, temperatures and setting; it passes units through factors of seven figures."""
    from metar.Metar import Metar

    factors = 1e-4
    theirs = Metar(text, month=1, year=2027)
    ours = observation(text, datetime(2027, 1, 28, 12, tzinfo=UTC), 0.0, 0.0)

    assert (ours.ident, ours.instant.replace(tzinfo=None)) == (theirs.station_id, theirs.time)
    assert ours.wind is not None
    assert in_unit(ours.wind.speed_m_per_s, "kt") == pytest.approx(theirs.wind_speed.value("KT"), rel=factors)
    assert (ours.wind.gust_m_per_s is None) == (theirs.wind_gust is None)
    if theirs.wind_dir is not None and theirs.wind_speed.value():
        assert ours.wind.from_deg == pytest.approx(theirs.wind_dir.value(), **DIRECTION)
    assert ours.visibility_m == pytest.approx(theirs.vis.value("M"), rel=factors)
    assert in_unit(ours.temperature_k or 0.0, "degC") == pytest.approx(theirs.temp.value("C"), **EXACT)
    assert in_unit(ours.altimeter_setting_pa or 0.0, "hPa") == pytest.approx(theirs.press.value("HPA"), rel=factors)
    bases = [layer.base_m for layer in ours.clouds or ()] or [ours.vertical_visibility_m]
    assert [base for base in bases if base is not None] == pytest.approx(
        [height.value("M") for _, height, _ in theirs.sky if height is not None], rel=factors
    )


@pytest.mark.parametrize("group", ["QNH1006", "BLU", "26/23/21", "SCT", "1/4", "RMKS", "Q1006", "R9", "WSR09X", "TSSH"])
def test_a_group_nobody_knows_is_refused_wherever_it_stands(group: str) -> None:
    """Behind the setting, where a lenient reader drops what it does not know; a second setting too."""
    with pytest.raises(CodedTextError):
        observation(
            f"METAR LX01 281900Z 13011KT 9999 SCT022 26/23 Q1006 {group}",
            datetime(2027, 1, 28, 12, tzinfo=UTC),
            0.0,
            0.0,
        )
