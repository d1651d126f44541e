"""Instants as people write them: local with the zone the spec names, or UTC with a Z; never a guess between two."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache

from briefgen.units import QuantityError

LOCAL_EXPECTED = 'a date and a time, such as "2027-02-18 05:20" in the zone named, or "2027-02-17 18:20Z" in UTC'
UTC_EXPECTED = 'a date and a time in UTC, such as "2027-02-17 18:20Z"'
CLOCK_EXPECTED = 'a time of day, such as "05:20", or "18:20Z" in UTC'
LOG_TIME_EXPECTED = 'a time of day such as "05:20" or "18:20Z" in UTC, or a date and a time'
DATE_EXPECTED = 'a date, such as "2027-02-17"'
ZONE_EXPECTED = 'a time zone of the IANA data base, such as "Pacific/Efate"'

_NO_PLACE = ("localtime", "posixrules", "Factory")  # files of the data base that are the machine's own zone, or none
_INSTANT = re.compile(r"(\d{4})-(\d{2})-(\d{2})[ T](\d{2}):(\d{2})(?::(\d{2}))? ?(Z|UTC)?", re.ASCII)
_CLOCK = re.compile(r"(\d{2}):(\d{2}) ?(Z|UTC)?", re.ASCII)
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})", re.ASCII)
_FIRST_YEAR, _LAST_YEAR = 1950, 2100  # wide enough for any flight; a year outside is a slip of the key


@dataclass(frozen=True, slots=True)
class WrittenTime:
    """A date and time as written: in UTC, or local to a zone named elsewhere."""

    wall: datetime
    utc: bool
    text: str


@dataclass(frozen=True, slots=True)
class WrittenClock:
    """A time of day as written, without its date."""

    wall: time
    utc: bool
    text: str


def written_time(text: str) -> WrittenTime:
    """Return the date and time a text gives."""
    match = _INSTANT.fullmatch(text.strip())
    if match is None:
        raise QuantityError(f"'{text}' is not a date and time", expected=LOCAL_EXPECTED, hint=_time_hint(text.strip()))
    year, month, day, hour, minute = (int(part) for part in match.groups()[:5])
    on_day = _day(year, month, day, text)
    at = _clock_time(hour, minute, int(match.group(6) or 0), text)
    return WrittenTime(datetime.combine(on_day, at), match.group(7) is not None, text)


def written_utc(text: str) -> datetime:
    """Return the instant of a text that must be in UTC."""
    written = written_time(text)
    if not written.utc:
        hint = "weather is given in UTC; add Z if the time is UTC"
        raise QuantityError(f"'{text}' does not say that it is UTC", expected=UTC_EXPECTED, hint=hint)
    return written.wall.replace(tzinfo=UTC)


def written_clock(text: str) -> WrittenClock:
    """Return the time of day a text gives."""
    match = _CLOCK.fullmatch(text.strip())
    if match is None:
        raise QuantityError(f"'{text}' is not a time of day", expected=CLOCK_EXPECTED)
    return WrittenClock(_clock_time(int(match[1]), int(match[2]), 0, text), match[3] is not None, text)


def written_log_time(text: str) -> WrittenTime | WrittenClock:
    """Return the date and time, or the time of day alone, that a text gives."""
    if _CLOCK.fullmatch(text.strip()):
        return written_clock(text)
    try:
        return written_time(text)
    except QuantityError as error:
        raise QuantityError(error.problem, expected=LOG_TIME_EXPECTED, hint=error.hint) from error


def written_date(text: str) -> date:
    """Return the day a text gives."""
    match = _DATE.fullmatch(text.strip())
    if match is None:
        raise QuantityError(f"'{text}' is not a date", expected=DATE_EXPECTED, hint="write year, month and day")
    return _day(int(match[1]), int(match[2]), int(match[3]), text)


def zone_name(text: str) -> str:
    """Return the name of a time zone if there is one of that name."""
    if not re.fullmatch(r"[A-Za-z0-9_+\-]+(/[A-Za-z0-9_+\-]+)*", text) or text in _NO_PLACE or not _zone_exists(text):
        raise QuantityError(f"'{text}' is not a time zone", expected=ZONE_EXPECTED, hint=_zone_hint(text))
    return text


def instant(written: WrittenTime, zone: str) -> datetime:
    """Return the instant in UTC; a local time that happens twice or never is refused with both candidates."""
    if written.utc:
        return written.wall.replace(tzinfo=UTC)
    from zoneinfo import ZoneInfo

    local = ZoneInfo(zone)
    first, second = (written.wall.replace(tzinfo=local, fold=fold).astimezone(UTC) for fold in (0, 1))
    if first == second:
        return first
    if first < second:
        problem = f"'{written.text}' happens twice in {zone}, where the clocks go back"
        choice = f"{_utc_text(first)} (before) or {_utc_text(second)} (after)"
    else:
        problem = f"'{written.text}' does not exist in {zone}, where the clocks go forward"
        choice = f"{_utc_text(second)} (an hour earlier) or {_utc_text(first)} (an hour later)"
    raise QuantityError(problem, expected=f"one of {choice}", hint="write the time in UTC, with a Z")


def next_instant(clock: WrittenClock, after: datetime, zone: str) -> datetime:
    """Return the first instant, not before another, at which the clock shows a time; the date may roll over."""
    from zoneinfo import ZoneInfo

    there = UTC if clock.utc else ZoneInfo(zone)
    day = after.astimezone(there).date()
    for ahead in range(3):
        wall = datetime.combine(day + timedelta(days=ahead), clock.wall)
        found = instant(WrittenTime(wall, clock.utc, clock.text), zone)
        if found >= after:
            return found
    raise QuantityError(f"'{clock.text}' does not come within two days", expected=CLOCK_EXPECTED)


def nearest_instant(written: WrittenTime | WrittenClock, to: datetime, zone: str) -> datetime:
    """Return the instant of a date and time, or the one nearest to another at which the clock shows a time of day."""
    if isinstance(written, WrittenTime):
        return instant(written, zone)
    return min(
        (next_instant(written, to + timedelta(days=days), zone) for days in (-1, 0)),
        key=lambda found: abs((found - to).total_seconds()),
    )


def _day(year: int, month: int, day: int, text: str) -> date:
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        expected = f"a year from {_FIRST_YEAR} to {_LAST_YEAR}"
        raise QuantityError(f"'{text}' is in the year {year}", expected=expected)
    try:
        return date(year, month, day)
    except ValueError as error:
        hint = "dates are written year-month-day"
        raise QuantityError(f"'{text}': there is no such day", expected=DATE_EXPECTED, hint=hint) from error


def _clock_time(hour: int, minute: int, second: int, text: str) -> time:
    try:
        return time(hour, minute, second)
    except ValueError as error:
        hint = "midnight is 00:00 of the day that begins" if (hour, minute) == (24, 0) else ""
        expected = "an hour from 00 to 23 and a minute from 00 to 59"
        raise QuantityError(f"'{text}': there is no such time of day", expected=expected, hint=hint) from error


def _time_hint(text: str) -> str:
    if re.match(r"\d{4}-\d{2}-\d{2}$", text):
        return "add the time of day"
    if re.match(r"\d{1,2}:\d{2}", text):
        return "put the date before the time"
    if re.match(r"\d{1,2}[./]\d{1,2}[./]\d{2,4}", text):
        return "write the date as year-month-day"
    if re.search(r"[-+]\d{2}:?\d{2}$", text):
        return "write the time in UTC with a Z, or local without an offset"
    if re.search(r" \d:\d{2}", text):
        return "the hour has two digits"
    return ""


def _utc_text(when: datetime) -> str:
    return when.strftime("%Y-%m-%d %H:%MZ")


@lru_cache(maxsize=64)
def _zone_exists(name: str) -> bool:
    from zoneinfo import ZoneInfo

    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return False
    return True


def _zone_hint(text: str) -> str:
    import difflib
    from zoneinfo import available_timezones

    names = sorted(available_timezones())
    near = difflib.get_close_matches(text, names, n=1) or [name for name in names if name.endswith(f"/{text}")][:1]
    return f"did you mean {near[0]}?" if near else "name the zone as Region/City"
