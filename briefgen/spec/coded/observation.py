"""Coded surface observations, read strictly: every group is understood, known and left in the text, or refused.

Codes: WMO-No. 306, Manual on Codes, volume I.1, FM 15 and FM 16; ICAO Annex 3, appendix 3; statute miles, FMH-1.
"""

from __future__ import annotations

import re
from datetime import datetime

from briefgen.model.weather import SurfacePoint
from briefgen.spec.coded.forecast import trend
from briefgen.spec.coded.groups import (
    Body,
    CodedTextError,
    Token,
    instant_near,
    not_possible,
    not_understood,
    read_body,
    tokens,
)
from briefgen.units import to_si

_STATION = re.compile(r"[A-Z][A-Z0-9]{3}")
_TIME = re.compile(r"(\d{2})(\d{2})(\d{2})Z")
_TEMPERATURES = re.compile(r"(M?\d{2})/(M?\d{2})?")
_PRESSURE = re.compile(r"([AQ])(\d{4})")
LOWEST_SETTING_PA, HIGHEST_SETTING_PA = 85_000.0, 109_000.0  # sea-level pressures ever measured lie within

# Groups that stay in the text and of which no figure is planned on, by where they stand.
_NOT_REPORTED = re.compile(r"/{2,}(?:KT|MPS)?|Q////|A////")  # an automatic station without the instrument
_RUNWAY_RANGE = re.compile(r"R\d{2}[LCR]?/[MP]?\d{4}(?:V[MP]?\d{4})?(?:FT)?/?[UDN]?")
_ONE_SIDED_VISIBILITY = re.compile(r"\d{4}(?:N|NE|E|SE|S|SW|W|NW)")
_WITHOUT_SIDES = re.compile(r"(\d{4})NDV")  # the station cannot tell directions: the visibility itself counts
_RECENT = re.compile(r"RE[A-Z]{2,6}")
_SHEAR = re.compile(r"WS|ALL|RWY|R(?:WY)?\d{2}[LCR]?")
_SEA = re.compile(r"W(?:M?\d{2}|//)/[SH](?:\d{1,3}|/{1,3})")
_RUNWAY_STATE = re.compile(r"R\d{2}[LCR]?/(?:[\d/]{6}|CLRD(?:\d{2}|//))|R/SNOCLO")
_AFTER_PRESSURE = (_RECENT, _SHEAR, _SEA, _RUNWAY_STATE)


def observation(text: str, issued: datetime, lat_deg: float, lon_deg: float, source: str = "") -> SurfacePoint:
    """Return one coded observation at its place.

    Remarks are kept in the text and not read: the plan uses no figure from them.

    Raises:
        CodedTextError: A group is not understood, is missing a figure, or contradicts another.
    """
    report, coming = _parted(tokens(text))
    station, time, groups = _head(report, text)
    match = _TIME.fullmatch(time.text)
    assert match is not None
    day, hour, minute = (int(part) for part in match.groups())
    instant = instant_near(time, day, hour, minute, issued)
    before, temperatures, after = _split(groups)
    body = _body(before)
    temperature_k, dew_point_k = _kelvins(temperatures)
    setting_pa = _setting(after)
    if not groups or (body.wind is None and setting_pa is None and temperature_k is None):
        raise CodedTextError(f"the observation '{' '.join(text.split())}' says nothing", expected="an observation")
    return SurfacePoint(
        ident=station.text,
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        instant=instant,
        use_from=instant,
        use_to=instant,
        altimeter_setting_pa=setting_pa,
        wind=body.wind,
        temperature_k=temperature_k,
        dew_point_k=dew_point_k,
        visibility_m=body.visibility_m,
        clouds=body.clouds,
        weather=body.weather or (),
        vertical_visibility_m=body.vertical_visibility_m,
        trend=trend(coming, instant),
        observed=True,
        raw=" ".join(text.split()),
        source=source,
    )


def _parted(groups: list[Token]) -> tuple[list[Token], list[Token]]:
    """Return the observation itself and the landing forecast after it."""
    at = next((i for i, token in enumerate(groups) if token.text in ("NOSIG", "BECMG", "TEMPO")), len(groups))
    return groups[:at], groups[at:]


def _head(report: list[Token], text: str) -> tuple[Token, Token, list[Token]]:
    """Return the station, the time and the groups after them."""
    shown = " ".join(text.split())[:60]
    refusal = CodedTextError(
        f"'{shown}' is not an observation", expected="METAR or SPECI, a station and a time: 171200Z"
    )
    if not report or report[0].text not in ("METAR", "SPECI"):
        raise refusal
    left = report[2:] if len(report) > 1 and report[1].text == "COR" else report[1:]
    if len(left) < 2 or not _STATION.fullmatch(left[0].text) or not _TIME.fullmatch(left[1].text):
        raise refusal
    groups = left[2:]
    while groups and groups[0].text in ("AUTO", "COR"):
        groups = groups[1:]
    return left[0], left[1], [] if [token.text for token in groups] == ["NIL"] else groups


def _split(groups: list[Token]) -> tuple[list[Token], Token | None, list[Token]]:
    """Return the groups before the temperatures, the temperatures, and the altimeter setting with what follows it."""
    for at, token in enumerate(groups):
        if _TEMPERATURES.fullmatch(token.text):
            return groups[:at], token, groups[at + 1 :]
        if _PRESSURE.fullmatch(token.text):
            return groups[:at], None, groups[at:]
    return groups, None, []


def _body(groups: list[Token]) -> Body:
    """Return wind, visibility, weather and cloud; runway ranges and one-sided visibilities stay in the text."""
    silent = (_NOT_REPORTED, _RUNWAY_RANGE, _ONE_SIDED_VISIBILITY)
    said = [token for token in groups if not any(pattern.fullmatch(token.text) for pattern in silent)]
    plain = [Token(_WITHOUT_SIDES.sub(r"\1", token.text), token.line) for token in said]
    return read_body(plain)


def _kelvins(token: Token | None) -> tuple[float | None, float | None]:
    """Return temperature and dew point [K]; the dew point may be missing."""
    match = _TEMPERATURES.fullmatch(token.text) if token else None
    if token is None or match is None:
        return None, None
    degrees = [None if text is None else float(text.replace("M", "-")) for text in match.groups()]
    temperature_k, dew_point_k = (None if one is None else to_si(one, "degC") for one in degrees)
    if temperature_k is not None and dew_point_k is not None and dew_point_k > temperature_k:
        raise not_possible(token, "a dew point at or below the temperature")
    return temperature_k, dew_point_k


def _setting(groups: list[Token]) -> float | None:
    """Return the altimeter setting [Pa] of the groups after the temperatures, which are all known or refused."""
    found = None
    for token in groups:
        if match := _PRESSURE.fullmatch(token.text):
            if found is not None:
                raise not_possible(token, "one altimeter setting")
            found = _pressure(token, match)
        elif not any(pattern.fullmatch(token.text) for pattern in (_NOT_REPORTED, *_AFTER_PRESSURE)):
            raise not_understood(
                token, "an altimeter setting such as Q1013 or A2992, then recent weather or wind shear"
            )
    return found


def _pressure(token: Token, match: re.Match[str]) -> float:
    figure = float(match.group(2))
    setting_pa = to_si(figure, "hPa") if match.group(1) == "Q" else to_si(figure / 100.0, "inHg")
    if not LOWEST_SETTING_PA <= setting_pa <= HIGHEST_SETTING_PA:
        raise not_possible(token, "an altimeter setting from 850 to 1090 hPa")
    return setting_pa
