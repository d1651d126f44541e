"""Positions as charts and crews write them: degrees, degrees and minutes, or degrees, minutes and seconds."""

from __future__ import annotations

import re
from dataclasses import dataclass

from briefgen.units import QuantityError

EXAMPLE = "15-33-00S 167-12-00E"
EXPECTED = (
    f'a latitude and a longitude, such as "{EXAMPLE}", "15°33.0\'S 167°12.0\'E", "15-33.0S 167-12.0E" '
    'or "-15.5500 167.2000"'
)
LATITUDE_LIMIT_DEG = 90
LONGITUDE_LIMIT_DEG = 180
_SIXTY = 60

_SIGNED = re.compile(r"([-+\u2212]?\d{1,3}(?:\.\d+)?)(?:,\s*|\s+)([-+\u2212]?\d{1,3}(?:\.\d+)?)", re.ASCII)
_SECONDS = r"\s*[-'′ ]\s*(\d{2}(?:\.\d+)?)\s*(?:[\"″]|'')?"
_MINUTES = rf"\s*[-° ]\s*(\d{{2}})(?:\.(\d+)\s*['′]?|{_SECONDS}|['′]?)"
_PART = rf"(\d{{1,3}})(?:\.(\d+)\s*°?|{_MINUTES}|°?)\s*([NSEWnsew])"
_LETTERED = re.compile(rf"{_PART}(?:,\s*|\s*){_PART}", re.ASCII)
_GROUPS = 6


@dataclass(frozen=True, slots=True)
class Position:
    """A point on the earth: north and east positive."""

    lat_deg: float
    lon_deg: float


def position(text: str) -> Position:
    """Return the point a text names; raise QuantityError when it could be read in another way or in none."""
    stripped = text.strip()
    signed = _SIGNED.fullmatch(stripped)
    if signed is not None:
        latitude, longitude = (float(part.replace("\u2212", "-")) for part in signed.groups())
        return _checked(latitude, longitude, text)
    lettered = _LETTERED.fullmatch(stripped)
    if lettered is None:
        raise QuantityError(f"'{text}' is not a position", expected=EXPECTED, hint=_hint(stripped))
    groups = lettered.groups()
    first, second = groups[:_GROUPS], groups[_GROUPS:]
    letters = f"{first[-1]}{second[-1]}".upper()
    if letters[0] in "EW" and letters[1] in "NS":
        hint = "write the latitude first"
        raise QuantityError(f"'{text}' gives the longitude first", expected=EXPECTED, hint=hint)
    if letters[0] not in "NS" or letters[1] not in "EW":
        hint = "one of the two ends in N or S, the other in E or W"
        raise QuantityError(f"'{text}' is not one latitude and one longitude", expected=EXPECTED, hint=hint)
    latitude = _degrees(first, text) * (-1 if letters[0] == "S" else 1)
    longitude = _degrees(second, text) * (-1 if letters[1] == "W" else 1)
    return _checked(latitude, longitude, text)


def _degrees(groups: tuple[str | None, ...], text: str) -> float:
    whole, decimals, minutes, minute_decimals, seconds, _ = groups
    if decimals is not None:
        return float(f"{whole}.{decimals}")
    minute_value = float(f"{minutes or 0}.{minute_decimals or 0}")
    second_value = float(seconds or 0)
    for value, name in ((minute_value, "minutes"), (second_value, "seconds")):
        if value >= _SIXTY:
            raise QuantityError(f"'{text}' has {value:g} {name}", expected=f"{name} below 60")
    return float(whole or 0) + (minute_value + second_value / _SIXTY) / _SIXTY


def _checked(latitude: float, longitude: float, text: str) -> Position:
    for value, limit, name in (
        (latitude, LATITUDE_LIMIT_DEG, "latitude"),
        (longitude, LONGITUDE_LIMIT_DEG, "longitude"),
    ):
        if abs(value) > limit:
            hint = "write the latitude first" if name == "latitude" and abs(longitude) <= LATITUDE_LIMIT_DEG else ""
            expected = f"a {name} of at most {limit} degrees"
            raise QuantityError(f"'{text}' has a {name} beyond {limit} degrees", expected=expected, hint=hint)
    return Position(latitude, longitude)


def _hint(text: str) -> str:
    if re.match(r"[-+]\d", text) and re.search(r"[NSEWnsew]", text):
        return "use a sign or a letter, not both"
    if re.fullmatch(r"\d{4,6}[NSns]\s*\d{5,7}[EWew]", text):
        return "separate degrees, minutes and seconds with '-'"
    if re.search(r"\d[-°' ]\d(?!\d)", text):
        return "minutes and seconds have two digits"
    return ""
