"""The U.S. winds-and-temperatures-aloft forecast text, read strictly.

Codes: FAA-H-8083-28, Aviation Weather Handbook, and FAA AC 00-45, Aviation Weather Services (winds and temperatures
aloft); U.S. Navy CNATRA P-304 and P-1246. Levels below 18,000 ft are true altitudes there and are taken as pressure
altitudes here: with an altimeter setting of 1003 hPa a wind then stands 280 ft lower than forecast.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime, timedelta

from briefgen.frozen import dataclass
from briefgen.model.weather import TemperatureLevel, WindLevel, wind_vector
from briefgen.spec.coded.groups import CodedTextError, Token, instant_near, not_possible, not_understood
from briefgen.units import to_si

_BASED = re.compile(r"DATA BASED ON (\d{2})(\d{2})(\d{2})Z")
_VALID = re.compile(
    r"(?:DATA )?VALID (\d{2})(\d{2})(\d{2})Z\s+FOR USE (\d{2})(\d{2})-(\d{2})(\d{2})Z\.?"
    r"(?:\s+TEMPS NEG ABV (\d{5}))?"
)
_TITLE = re.compile(r"(?:\(?EXTRACTED FROM .*|[A-Z]{4}\d{2} [A-Z]{4} \d{6}|F[BD][A-Z\d ]{2,8})")
_GROUP = re.compile(r"(\d{2})(\d{2})(?:([-+])?(\d{2}))?")
_LIGHT = "9900"
_HUNDRED_KT_CODE = 50  # added to the tens of degrees when 100 kt are taken off the speed
_HIGHEST_CODED_KT = 199
_NO_TEMPERATURE_FT = 3000  # the level at which none is ever given


@dataclass(frozen=True)
class CodedLevel:
    """One decoded group: direction None is light and variable; temperature None is not given."""

    from_deg: float | None
    speed_kt: float
    temperature_c: float | None
    or_more: bool = False


@dataclass(frozen=True)
class WindsAloft:
    """A decoded bulletin: levels by station, over the instant it is valid for and the period it may be used."""

    valid: datetime
    use_from: datetime
    use_to: datetime
    winds: Mapping[str, tuple[WindLevel, ...]]
    temperatures: Mapping[str, tuple[TemperatureLevel, ...]]
    lines: Mapping[str, int]


def decoded_group(group: str, level_ft: int, negative_above_ft: int | None = None, line: int = 0) -> CodedLevel:
    """Return what one group says at its level.

    Raises:
        CodedTextError: The group is not one of the code's.
    """
    token = Token(group, line)
    match = _GROUP.fullmatch(group)
    if match is None:
        raise not_understood(token, "four figures of wind and a temperature, such as 2435+07, or 274650 higher up")
    direction, speed, sign, temperature = match.groups()
    celsius = _temperature(token, sign, temperature, level_ft, negative_above_ft)
    if direction + speed == _LIGHT:
        return CodedLevel(None, 0.0, celsius)
    tens, knots = int(direction), int(speed)
    if tens > _HUNDRED_KT_CODE:
        tens, knots = tens - _HUNDRED_KT_CODE, knots + 100
    if not 1 <= tens <= 36:
        raise not_possible(token, "a direction code from 01 to 36, or 51 to 86 with 100 kt taken off, or 9900")
    return CodedLevel(tens * 10.0, float(knots), celsius, knots == _HIGHEST_CODED_KT)


def winds_aloft(text: str, issued: datetime) -> WindsAloft:
    """Return a whole bulletin; days of the month are read against the file's time of issue.

    Raises:
        CodedTextError: A line or group is not understood, or cannot be assigned to its level.
    """
    header: re.Match[str] | None = None
    header_at = 0
    levels: list[tuple[int, int]] | None = None  # height, and the column its figures end in
    rows: dict[str, tuple[int, list[tuple[int, CodedLevel]]]] = {}
    for number, line in enumerate(text.split("\n")):
        words = line.strip()
        if not words or _BASED.fullmatch(words) or (header is None and _TITLE.fullmatch(words)):
            continue
        if found := _VALID.fullmatch(words):
            header, header_at = found, number
        elif re.match(r"FT\s", words):
            levels = [(int(one.group()), one.end()) for one in re.finditer(r"\d+", line)]
        elif header is None or levels is None:
            raise not_understood(Token(words, number), "'VALID …Z FOR USE …Z' and the line of levels before the winds")
        else:
            station, row = _row(line, number, levels, header.group(8))
            if station in rows:
                raise not_possible(Token(station, number), "each station once")
            rows[station] = (number, row)
    if header is None or not rows:
        raise CodedTextError(
            f"'{text.strip()[:40]}' holds no winds aloft",
            expected="'VALID 171800Z FOR USE 1500-2100Z', the line of levels 'FT 3000 6000 …', then a line a station",
        )
    return _bulletin(header, Token(header.group(), header_at), rows, issued)


def _temperature(
    token: Token, sign: str | None, figures: str | None, level_ft: int, negative_above_ft: int | None
) -> float | None:
    implied = negative_above_ft is not None and level_ft > negative_above_ft
    if figures is None:
        if level_ft > _NO_TEMPERATURE_FT:
            raise not_possible(token, f"a temperature after the wind at {level_ft:,} ft")
        return None
    if level_ft <= _NO_TEMPERATURE_FT:
        raise not_possible(token, f"no temperature at {level_ft:,} ft")
    if (sign is None) != implied:
        rule = f"no sign above {negative_above_ft:,} ft" if implied else "a sign before the temperature"
        raise not_possible(token, f"{rule} (the level is {level_ft:,} ft)")
    return float(figures) if sign == "+" else -float(figures)


def _row(
    line: str, number: int, levels: list[tuple[int, int]], negative_above: str | None
) -> tuple[str, list[tuple[int, CodedLevel]]]:
    station, *groups = (Token(one.group(), one.end()) for one in re.finditer(r"\S+", line))
    if not re.fullmatch(r"[A-Z][A-Z0-9]{2,3}", station.text) or not groups:
        raise not_understood(Token(line.strip(), number), "a station and its groups")
    above = int(negative_above) if negative_above else None
    by_column = {end: height for height, end in levels}
    if len(groups) == len(levels):
        heights = [height for height, _ in levels]
    elif all(group.line in by_column for group in groups):
        heights = [by_column[group.line] for group in groups]
    else:
        raise CodedTextError(
            f"the line of {station.text} has {len(groups)} groups for {len(levels)} levels",
            expected="a group for every level, or groups that end under the figures of their levels",
            hint="keep the columns of the bulletin as issued",
            line=number,
        )
    return station.text, [
        (height, decoded_group(group.text, height, above, number))
        for height, group in zip(heights, groups, strict=True)
    ]


def _bulletin(
    header: re.Match[str], at: Token, rows: dict[str, tuple[int, list[tuple[int, CodedLevel]]]], issued: datetime
) -> WindsAloft:
    day, hour, minute, from_hour, from_minute, to_hour, to_minute = (int(part) for part in header.groups()[:7])
    valid = instant_near(at, day, hour, minute, issued)
    use_from = instant_near(at, valid.day, from_hour, from_minute, valid)
    use_from -= timedelta(days=use_from > valid)
    use_to = instant_near(at, valid.day, to_hour, to_minute, valid)
    use_to += timedelta(days=use_to < valid)
    winds: dict[str, tuple[WindLevel, ...]] = {}
    temperatures: dict[str, tuple[TemperatureLevel, ...]] = {}
    for station, (number, row) in rows.items():
        winds[station] = tuple(_wind_level(height, level, station, number) for height, level in row)
        temperatures[station] = tuple(
            TemperatureLevel(to_si(height, "ft"), to_si(level.temperature_c, "degC"))
            for height, level in row
            if level.temperature_c is not None
        )
    lines = {station: number for station, (number, _) in rows.items()}
    return WindsAloft(valid, use_from, use_to, winds, temperatures, lines)


def _wind_level(height_ft: int, level: CodedLevel, station: str, line: int) -> WindLevel:
    if level.or_more:
        raise CodedTextError(
            f"the wind over {station} at {height_ft:,} ft is only known to be {level.speed_kt:.0f} kt or more",
            expected="a wind with a figure",
            hint="take that level out of the text if the flight stays below it",
            line=line,
        )
    if level.from_deg is None:
        return WindLevel(to_si(height_ft, "ft"), 0.0, 0.0)
    east, north = wind_vector(level.from_deg, to_si(level.speed_kt, "kt"))
    return WindLevel(to_si(height_ft, "ft"), east, north)
