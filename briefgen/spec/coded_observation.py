"""Coded surface observations, read by the strict decoder library `metar` and checked where that is lenient.

The library takes month and year from today's clock unless told; here they always come from the file's time of issue.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any

from briefgen.model.weather import CloudLayer, SurfacePoint, Wind, wind_components
from briefgen.spec.coded_forecast import trend
from briefgen.spec.coded_groups import (
    COVERS,
    NO_CLOUD,
    CodedTextError,
    Token,
    direction_deg,
    instant_near,
    not_possible,
    not_understood,
    tokens,
)
from briefgen.units import to_si

_TIME = re.compile(r"(\d{2})(\d{2})(\d{2})Z")
_WIND_GROUP = re.compile(r"(?:\d{3}|VRB|///)[P\d/]{2,4}(?:G[P\d/]{2,4})?(?:KT|MPS)")
_DIRECTION = re.compile(r"(\d{3})\d{2,3}(?:G\d{2,3})?(?:KT|MPS)$")
_WEATHER_PARTS = 5  # intensity, descriptor, precipitation, obscuration, other: the library's order
_PRESSURE = re.compile(r"[AQ]\d{4}")
LOWEST_SETTING_PA, HIGHEST_SETTING_PA = (
    85_000.0,
    109_000.0,
)  # the range of sea-level pressures ever measured is narrower


def observation(text: str, issued: datetime, lat_deg: float, lon_deg: float, source: str = "") -> SurfacePoint:
    """Return one coded observation at its place.

    Remarks are kept in the text and not read: the plan uses no figure from them.

    Raises:
        CodedTextError: A group is not understood, is missing a figure, or contradicts another.
    """
    from metar import Metar

    groups = tokens(text)
    body, coming = _parted(groups)
    time = _time_token(body, text)
    match = _TIME.fullmatch(time.text)
    assert match is not None
    day, hour, minute = (int(part) for part in match.groups())
    instant = instant_near(time, day, hour, minute, issued)
    for token in body:
        if found := _DIRECTION.match(token.text):
            direction_deg(token, found.group(1))
    try:
        report: Any = Metar.Metar(
            " ".join(one.text for one in body), month=instant.month, year=instant.year, strict=True
        )
    except Metar.ParserError as error:
        raise _translated(error, body) from error
    if report.mod == "NO DATA" or (report.wind_speed is None and report.press is None and report.temp is None):
        raise CodedTextError(f"the observation '{' '.join(text.split())}' says nothing", expected="an observation")
    _require_consistent(report, body)
    clouds, vertical_m = _clouds(report, body)
    return SurfacePoint(
        ident=report.station_id,
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        instant=instant,
        use_from=instant,
        use_to=instant,
        altimeter_setting_pa=_setting(report, body),
        wind=_wind(report, body),
        temperature_k=_kelvin(report.temp),
        dew_point_k=_kelvin(report.dewpt),
        visibility_m=None if report.vis is None else report.vis.value("M"),
        clouds=clouds,
        weather=tuple(_weather_words(report)),
        vertical_visibility_m=vertical_m,
        trend=trend(coming, instant),
        observed=True,
        raw=" ".join(text.split()),
        source=source,
    )


def _parted(groups: list[Token]) -> tuple[list[Token], list[Token]]:
    """Return the observation itself and the landing forecast after it."""
    body: list[Token] = []
    coming: list[Token] = []
    for token in groups:
        if coming or token.text in ("NOSIG", "BECMG", "TEMPO"):
            coming.append(token)
        else:
            body.append(token)
    return body, coming


def _time_token(body: list[Token], text: str) -> Token:
    for token in body[:4]:
        if _TIME.fullmatch(token.text):
            return token
    shown = " ".join(text.split())[:60]
    raise CodedTextError(f"'{shown}' is not an observation", expected="METAR or SPECI, a station and a time: 171200Z")


def _translated(error: Exception, body: list[Token]) -> CodedTextError:
    """Return the library's complaint with the group it is about."""
    words = str(error)
    shown = re.search(r"Unparsed groups in body '([^']*)'|processing '([^']*)'", words)
    first = next(iter((shown.group(1) or shown.group(2) or "").split()), "") if shown else ""
    token = next((one for one in body if one.text == first), Token(" ".join(one.text for one in body), 0))
    reason = words.split("\n\t")[-1] if "\n\t" in words else "a group of a coded observation"
    return not_understood(token, reason)


def _require_consistent(report: Any, body: list[Token]) -> None:
    """Raise for what the library lets pass: two pressures, dew point above temperature, gusts below the wind."""
    settings = [token for token in body if _PRESSURE.fullmatch(token.text)]
    if len(settings) > 1:
        raise not_possible(settings[1], "one altimeter setting")
    if report.temp and report.dewpt and report.dewpt.value("C") > report.temp.value("C"):
        token = next(one for one in body if re.fullmatch(r"M?\d\d/M?\d\d", one.text))
        raise not_possible(token, "a dew point at or below the temperature")


def _kelvin(temperature: Any) -> float | None:
    return None if temperature is None else to_si(temperature.value("C"), "degC")


def _setting(report: Any, body: list[Token]) -> float | None:
    if report.press is None:
        return None
    token = next((one for one in body if _PRESSURE.fullmatch(one.text)), None)
    if token is None:
        raise CodedTextError("the altimeter setting is not understood", expected="Q1013 or A2992")
    figure = float(token.text[1:])
    setting_pa = to_si(figure, "hPa") if token.text.startswith("Q") else to_si(figure / 100.0, "inHg")
    if not LOWEST_SETTING_PA <= setting_pa <= HIGHEST_SETTING_PA:
        raise not_possible(token, "an altimeter setting from 850 to 1090 hPa")
    return setting_pa


def _wind(report: Any, body: list[Token]) -> Wind | None:
    if report.wind_speed is None:
        return None
    token = next((one for one in body if _WIND_GROUP.fullmatch(one.text)), body[0])
    if "P" in token.text.replace("MPS", ""):
        raise not_understood(token, "a speed with a figure; 'P' says only that it is more than that")
    theirs, ours = ("MPS", "m/s") if token.text.endswith("MPS") else ("KT", "kt")
    speed = to_si(report.wind_speed.value(theirs), ours)
    gust = to_si(report.wind_gust.value(theirs), ours) if report.wind_gust else None
    if gust is not None and gust <= speed:
        raise not_possible(token, "gusts stronger than the mean wind")
    spread = (
        (report.wind_dir_from.value(), report.wind_dir_to.value()) if report.wind_dir_from is not None else (None, None)
    )
    if report.wind_dir is None:
        return Wind(0.0, 0.0, gust, speed, *spread)
    east, north = wind_components(report.wind_dir.value(), speed) if speed else (0.0, 0.0)
    return Wind(east, north, gust, None, *spread)


def _clouds(report: Any, body: list[Token]) -> tuple[tuple[CloudLayer, ...] | None, float | None]:
    layers: list[CloudLayer] = []
    vertical_m = None
    for cover, height, kind in report.sky:
        if cover in NO_CLOUD:
            continue
        if height is None or cover not in (*COVERS, "VV"):
            token = next((one for one in body if one.text.startswith(cover)), body[-1])
            raise not_understood(token, "a cover and a height in hundreds of feet, such as BKN015")
        height_m = to_si(round(height.value("FT")), "ft")
        if cover == "VV":
            vertical_m = height_m
        else:
            layers.append(CloudLayer(COVERS[cover], height_m, kind=kind or ""))
    told = bool(report.sky) or any(token.text == "CAVOK" for token in body)
    return (tuple(layers) if told and vertical_m is None else None), vertical_m


def _weather_words(report: Any) -> list[str]:
    return ["".join(part or "" for part in words[:_WEATHER_PARTS]) for words in report.weather]
