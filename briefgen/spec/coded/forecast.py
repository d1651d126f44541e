"""Coded aerodrome forecasts and the landing forecasts at the end of observations, read strictly.

Codes: WMO-No. 306, Manual on Codes, volume I.1, FM 51; ICAO Annex 3, appendix 5. Every group is understood or refused.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.model.weather import AerodromeForecast, ForecastGroup, GroupKind
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

_STATION = re.compile(r"[A-Z][A-Z0-9]{3}")
_ISSUED = re.compile(r"(\d{2})(\d{2})(\d{2})Z")
_PERIOD = re.compile(r"(\d{2})(\d{2})/(\d{2})(\d{2})")
_FROM = re.compile(r"FM(\d{2})(\d{2})(\d{2})")
_PROBABILITY = re.compile(r"PROB(30|40)")
_TREND_TIME = re.compile(r"(FM|TL|AT)(\d{2})(\d{2})")
_CHANGES = ("BECMG", "TEMPO")
_KINDS: dict[str, GroupKind] = {"BECMG": "becoming", "TEMPO": "temporary"}
_LONGEST = timedelta(hours=36)  # a forecast covers at most 30 hours; the rest is the wait for the next
_TREND_LASTS = timedelta(hours=2)  # ICAO Annex 3, chapter 6: a trend forecast is for two hours


def aerodrome_forecast(text: str, issued: datetime, source: str = "") -> AerodromeForecast:
    """Return a coded forecast as groups; days of the month are read against the file's time of issue.

    Raises:
        CodedTextError: A group is not understood, or the times do not fit each other.
    """
    groups = tokens(text)
    where = Token(text.strip()[:40], 0)
    if not groups or groups.pop(0).text != "TAF":
        raise CodedTextError(f"'{where.text}' is not an aerodrome forecast", expected="a text that begins with TAF")
    while groups and groups[0].text in ("AMD", "COR"):
        groups.pop(0)
    station = _take(groups, _STATION, "a station of four letters after TAF", where)
    issue = _take(groups, _ISSUED, "the time of issue, such as 171100Z", station[0])
    day, hour, minute = (int(part) for part in issue[1].groups())
    issue_time = instant_near(issue[0], day, hour, minute, issued)
    _refuse_empty(groups)
    period = _take(groups, _PERIOD, "the period of validity, such as 1712/1812", issue[0])
    start, end = _period(period[0], period[1], issue_time)
    if not timedelta() < end - start <= _LONGEST:
        raise not_possible(period[0], "a period that ends after it begins, at most 36 hours long")
    _refuse_empty(groups)
    found = [_group("base", start, end, *part) for part in [_next_part(groups)]]
    while groups:
        found.append(_change(groups, start, end))
    return AerodromeForecast(
        station[0].text, issue_time, start, end, _ended(found, end), " ".join(text.split()), source
    )


def trend(groups: list[Token], observed: datetime) -> tuple[ForecastGroup, ...]:
    """Return the landing forecast that follows an observation; NOSIG is none.

    Raises:
        CodedTextError: A group is not understood.
    """
    groups = list(groups)
    if groups and groups[0].text == "NOSIG":
        groups.pop(0)
        if groups:
            raise not_understood(groups[0], "nothing after NOSIG but remarks")
        return ()
    found = []
    while groups:
        token = groups.pop(0)
        if token.text not in _CHANGES:
            raise not_understood(token, "NOSIG, BECMG or TEMPO")
        start, end, words = observed, observed + _TREND_LASTS, token.text
        while groups and (match := _TREND_TIME.fullmatch(groups[0].text)):
            words += f" {groups[0].text}"
            instant = _trend_instant(groups.pop(0), match, observed)
            start, end = {"FM": (instant, end), "TL": (start, instant), "AT": (instant, instant)}[match.group(1)]
        part, told = _next_part(groups)
        found.append(_group(_KINDS[token.text], start, end, part, f"{words} {told}"))
    return tuple(found)


def _trend_instant(token: Token, match: re.Match[str], observed: datetime) -> datetime:
    hour, minute = int(match.group(2)), int(match.group(3))
    instant = instant_near(token, observed.day, hour, minute, observed)
    return instant if instant >= observed else instant + timedelta(days=1)


def _take(groups: list[Token], pattern: re.Pattern[str], expected: str, after: Token) -> tuple[Token, re.Match[str]]:
    if not groups:
        raise CodedTextError(f"the text ends after '{after.text}'", expected=expected, line=after.line)
    token = groups.pop(0)
    match = pattern.fullmatch(token.text)
    if match is None:
        raise not_understood(token, expected)
    return token, match


def _refuse_empty(groups: list[Token]) -> None:
    if groups and groups[0].text in ("NIL", "CNL"):
        raise CodedTextError(
            f"the forecast is {'missing' if groups[0].text == 'NIL' else 'cancelled'} ({groups[0].text})",
            expected="a forecast in force",
            hint="leave it out, or paste the one that replaces it",
            line=groups[0].line,
        )


def _period(token: Token, match: re.Match[str], near: datetime) -> tuple[datetime, datetime]:
    day, hour, end_day, end_hour = (int(part) for part in match.groups())
    return instant_near(token, day, hour, 0, near), instant_near(token, end_day, end_hour, 0, near)


def _change(groups: list[Token], start: datetime, end: datetime) -> ForecastGroup:
    token = groups.pop(0)
    words = [token.text]
    if match := _FROM.fullmatch(token.text):
        day, hour, minute = (int(part) for part in match.groups())
        begins = instant_near(token, day, hour, minute, start)
        _require_inside(token, begins, begins, start, end)
        part, text = _next_part(groups)
        return _group("from", begins, end, part, f"{token.text} {text}")
    probability = None
    kind: GroupKind = _KINDS.get(token.text, "base")
    if match := _PROBABILITY.fullmatch(token.text):
        probability, kind = int(match.group(1)), "probable"
        if groups and groups[0].text == "TEMPO":
            words.append(groups.pop(0).text)
            kind = "probable temporary"
    if kind == "base":
        raise not_understood(token, "FM, BECMG, TEMPO or PROB with its time, or one more group of the kind before it")
    period, match = _take(groups, _PERIOD, f"the period of {' '.join(words)}, such as 1714/1718", token)
    begins, ends = _period(period, match, start)
    _require_inside(period, begins, ends, start, end)
    part, text = _next_part(groups)
    return _group(kind, begins, ends, part, " ".join((*words, period.text, text)), probability)


def _require_inside(token: Token, begins: datetime, ends: datetime, start: datetime, end: datetime) -> None:
    if not start <= begins <= ends <= end:
        raise not_possible(token, f"a time inside the forecast's own, {start:%d %H:%M} to {end:%d %H:%M} UTC")


def _next_part(groups: list[Token]) -> tuple[Body, str]:
    """Take the groups up to the next change off the front, and return what they say and their words."""
    part: list[Token] = []
    while groups and not _begins_change(groups[0].text):
        part.append(groups.pop(0))
    body = read_body(part)
    return body, " ".join(token.text for token in part)


def _begins_change(word: str) -> bool:
    return word in _CHANGES or bool(_FROM.fullmatch(word) or _PROBABILITY.fullmatch(word))


def _group(
    kind: GroupKind, start: datetime, end: datetime, body: Body, text: str, probability: int | None = None
) -> ForecastGroup:
    return ForecastGroup(
        kind,
        start,
        end,
        body.wind,
        body.visibility_m,
        body.clouds,
        body.vertical_visibility_m,
        body.weather,
        probability,
        body.wind_shear,
        text,
    )


def _ended(groups: list[ForecastGroup], end: datetime) -> tuple[ForecastGroup, ...]:
    """Return the groups with the base and every FM ended where the next FM begins."""
    ended: list[ForecastGroup] = []
    for group in reversed(groups):
        if group.kind in ("base", "from"):
            ended.append(replace(group, end=end))
            end = group.start
        else:
            ended.append(group)
    return tuple(reversed(ended))
