"""Coded surface observations, read by the strict decoder library `metar` and checked where that is lenient.

The library takes month and year from today's clock unless told; here they always come from the file's time of issue.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any

from briefgen.model.weather import CloudLayer, SurfacePoint, Wind
from briefgen.spec.coded.forecast import trend
from briefgen.spec.coded.groups import (
    CLOUD_GROUP,
    COVERS,
    NO_CLOUD,
    VERTICAL_GROUP,
    CodedTextError,
    Token,
    instant_near,
    not_possible,
    not_understood,
    tokens,
    wind_at,
)
from briefgen.units import to_si

_TIME = re.compile(r"(\d{2})(\d{2})(\d{2})Z")
_TEMPERATURES = re.compile(r"M?\d{2}/(?:M?\d{2})?")
_ANY_TEMPERATURES = re.compile(r"[-M]?\d{1,2}/(?:[-M]?\d{0,2})")
_ANY_CLOUD = re.compile(r"(?:FEW|SCT|BKN|[O0]VC|VV)[\dO].*")
_WEATHER_PARTS = 5  # intensity, descriptor, precipitation, obscuration, other: the library's order
_PRESSURE = re.compile(r"[AQ]\d{4}")
LOWEST_SETTING_PA, HIGHEST_SETTING_PA = 85_000.0, 109_000.0  # sea-level pressures ever measured lie within


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
    wind = _wind(body)
    _require_strict(body)
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
        wind=wind,
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


def _wind(body: list[Token]) -> Wind | None:
    """Return the wind; the library also takes figures without a unit and letters for figures, which are refused here."""
    for at in range(len(body)):
        wind, taken = wind_at(body, at)
        if taken:
            return wind
    after_time = next((at for at, token in enumerate(body) if _TIME.fullmatch(token.text)), 0) + 1
    for token in body[after_time : after_time + 2]:
        if re.match(r"(?:[\dO]{5}|VRB)", token.text):
            raise not_understood(token, "a wind such as 13011KT, 13011G25KT or 13006MPS")
    return None


def _require_strict(body: list[Token]) -> None:
    """Raise for spellings the library forgives: a height of two figures, a letter O for a nought, one figure of temperature."""
    for token in body:
        cloud = CLOUD_GROUP.fullmatch(token.text) or VERTICAL_GROUP.fullmatch(token.text)
        if _ANY_CLOUD.fullmatch(token.text) and not cloud:
            raise not_understood(token, "a cover and a height in hundreds of feet, such as BKN015")
        if _ANY_TEMPERATURES.fullmatch(token.text) and not _TEMPERATURES.fullmatch(token.text):
            raise not_understood(token, "temperature and dew point of two figures each, such as 26/23 or M02/M05")


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
