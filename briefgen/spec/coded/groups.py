"""The groups that coded observations and aerodrome forecasts share: wind, visibility, weather, cloud.

Codes: WMO-No. 306, Manual on Codes, volume I.1, FM 15, FM 16 and FM 51 and code table 4678; ICAO Annex 3, appendices 3
and 5; statute miles, FMH-1 and the U.S. aerodrome forecast. A group that is not understood is an error with its text.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from briefgen.errors import BriefgenError
from briefgen.model.weather import CloudLayer, Cover, Wind, wind_vector
from briefgen.units import to_si

COVERS: dict[str, Cover] = {"FEW": "few", "SCT": "scattered", "BKN": "broken", "OVC": "overcast"}
NO_CLOUD = ("SKC", "NSC", "CLR", "NCD")
TEN_KILOMETRES_M = 10_000.0
HIGHEST_COMMON_SPEED_KT = 199  # a three-figure speed above this is taken for a slip of the pen

_WIND = re.compile(r"(\d{3}|VRB)(P?)(\d{2,3})(?:G(P?)(\d{2,3}))?(KT|MPS)")
_SPREAD = re.compile(r"(\d{3})V(\d{3})")
_METRES = re.compile(r"\d{4}")
_MILES = re.compile(r"P?(?:(\d{1,2})|(\d)/(\d{1,2}))SM")
CLOUD_GROUP = re.compile(r"(FEW|SCT|BKN|OVC)(\d{3})(CB|TCU)?")
VERTICAL_GROUP = re.compile(r"VV(\d{3})")
_SHEAR = re.compile(r"WS\d{3}/\d{5,6}KT")
_EXTREME = re.compile(r"T[XN]M?\d{2}/(?:0[1-9]|[12]\d|3[01])(?:[01]\d|2[0-4])Z")
_DESCRIPTORS = "MI|BC|PR|DR|BL|SH|TS|FZ"
_PRECIPITATION = "DZ|RA|SN|SG|PL|GR|GS|UP|IC"
_OBSCURATION = "BR|FG|FU|VA|DU|SA|HZ|PY"
_OTHER = "PO|SQ|FC|SS|DS"
_WEATHER = re.compile(
    rf"(?:[-+]|VC)?(?:(?:{_DESCRIPTORS})(?:{_PRECIPITATION}){{0,3}}(?:{_OBSCURATION})?"
    rf"|(?:{_PRECIPITATION}){{1,3}}|(?:{_OBSCURATION})|(?:{_OTHER}))"
)
_HUNDREDS_OF_FEET = 100
_DAYS_NEAR = 3


class CodedTextError(BriefgenError):
    """A coded text holds something that is not understood; `line` counts its lines from 0."""

    exit_code = 2

    def __init__(self, problem: str, *, where: str = "", expected: str = "", hint: str = "", line: int = 0) -> None:
        super().__init__(problem, where=where, expected=expected, hint=hint)
        self.line = line


@dataclass(frozen=True, slots=True)
class Token:
    """One group of a coded text, and the line it stands on, from 0."""

    text: str
    line: int


@dataclass(frozen=True)
class Body:
    """What a run of wind, visibility, weather and cloud groups says; None is 'nothing said'."""

    wind: Wind | None = None
    visibility_m: float | None = None
    weather: tuple[str, ...] | None = None
    clouds: tuple[CloudLayer, ...] | None = None
    vertical_visibility_m: float | None = None
    wind_shear: str = ""


def tokens(text: str) -> list[Token]:
    """Return the groups of a coded text up to its remarks; a closing '=' is punctuation.

    Remarks are national and partly plain language. They stay in the text, which is printed whole, and no figure of them
    is planned on.
    """
    found = [Token(word, number) for number, line in enumerate(text.split("\n")) for word in line.split()]
    if found and found[-1].text.endswith("="):
        last = found.pop()
        if last.text != "=":
            found.append(Token(last.text[:-1], last.line))
    at = next((index for index, token in enumerate(found) if token.text == "RMK"), len(found))
    return found[:at]


def not_understood(token: Token, what: str, hint: str = "") -> CodedTextError:
    """Return the error for a group nobody can read."""
    return CodedTextError(
        f"the group '{token.text}' is not understood",
        expected=what,
        hint=hint or "correct the group; nothing of a coded text is left out silently",
        line=token.line,
    )


def not_possible(token: Token, what: str) -> CodedTextError:
    """Return the error for a group that can be read but cannot be right."""
    return CodedTextError(
        f"the group '{token.text}' cannot be right",
        expected=what,
        hint="compare it with the text as issued",
        line=token.line,
    )


def read_body(groups: list[Token]) -> Body:
    """Return what the groups say, in the order wind, visibility, weather, cloud, wind shear."""
    reader = _BodyReader(groups)
    return reader.body()


class _BodyReader:
    """Takes groups off the front, one kind after another."""

    def __init__(self, groups: list[Token]) -> None:
        self._groups = groups
        self._at = 0

    def body(self) -> Body:
        wind = self._wind()
        if self._take("CAVOK"):
            visibility_m: float | None = TEN_KILOMETRES_M
            weather: tuple[str, ...] | None = ()
            clouds: tuple[CloudLayer, ...] | None = ()
            vertical_m = None
        else:
            visibility_m = self._visibility()
            weather = self._weather()
            clouds, vertical_m = self._clouds()
        shear = self._groups[self._at].text if self._matches(_SHEAR) else ""
        self._at += bool(shear)
        while self._matches(_EXTREME):  # the day's extremes stay in the text; hourly temperatures are planned on
            self._at += 1
        if self._at < len(self._groups):
            raise not_understood(
                self._groups[self._at],
                "wind, visibility, weather, cloud and wind shear, in this order, each in its coded form",
            )
        return Body(wind, visibility_m, weather, clouds, vertical_m, shear)

    def _peek(self) -> str:
        return self._groups[self._at].text if self._at < len(self._groups) else ""

    def _take(self, word: str) -> bool:
        found = self._peek() == word
        self._at += found
        return found

    def _matches(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        return pattern.fullmatch(self._peek())

    def _wind(self) -> Wind | None:
        wind, taken = wind_at(self._groups, self._at)
        self._at += taken
        return wind

    def _visibility(self) -> float | None:
        if match := self._matches(_METRES):
            self._at += 1
            metres = float(match.group())
            return TEN_KILOMETRES_M if metres == 9999.0 else metres
        whole = 0.0
        if re.fullmatch(r"\d", self._peek()) and self._at + 1 < len(self._groups):
            following = _MILES.fullmatch(self._groups[self._at + 1].text)
            if following and following.group(2):
                whole = float(self._peek())
                self._at += 1
        match = self._matches(_MILES)
        if match is None:
            return None
        token = self._groups[self._at]
        self._at += 1
        if match.group(1):
            return to_si(float(match.group(1)), "sm")
        if match.group(3).strip("0") == "":
            raise not_possible(token, "a visibility such as 1/2SM")
        return to_si(whole + float(match.group(2)) / float(match.group(3)), "sm")

    def _weather(self) -> tuple[str, ...] | None:
        if self._take("NSW"):
            return ()
        found = []
        while self._peek() and _WEATHER.fullmatch(self._peek()):
            found.append(self._peek())
            self._at += 1
        return tuple(found) or None

    def _clouds(self) -> tuple[tuple[CloudLayer, ...] | None, float | None]:
        if self._peek() in NO_CLOUD:
            self._at += 1
            return (), None
        if match := self._matches(VERTICAL_GROUP):
            self._at += 1
            return None, to_si(float(match.group(1)) * _HUNDREDS_OF_FEET, "ft")
        layers = []
        while match := self._matches(CLOUD_GROUP):
            base_m = to_si(float(match.group(2)) * _HUNDREDS_OF_FEET, "ft")
            layers.append(CloudLayer(COVERS[match.group(1)], base_m, kind=match.group(3) or ""))
            self._at += 1
        return tuple(layers) or None, None


def wind_at(groups: list[Token], at: int) -> tuple[Wind | None, int]:
    """Return the wind that begins at a group, with its spread, and how many groups it takes; none takes none."""
    match = _WIND.fullmatch(groups[at].text) if at < len(groups) else None
    if match is None:
        return None, 0
    spread = _SPREAD.fullmatch(groups[at + 1].text) if at + 1 < len(groups) else None
    return _wind(groups[at], match, spread), 1 + (spread is not None)


def _wind(token: Token, match: re.Match[str], spread: re.Match[str] | None) -> Wind:
    direction, above, speed, gust_above, gust, unit = match.groups()
    if above or gust_above:
        hint = "give the wind in the file's own words if a figure is known"
        raise not_understood(token, "a speed with a figure; 'P' says only that it is more than that", hint)
    spelling = {"KT": "kt", "MPS": "m/s"}[unit]
    speed_m_per_s = to_si(float(speed), spelling)
    gust_m_per_s = to_si(float(gust), spelling) if gust else None
    if gust_m_per_s is not None and gust_m_per_s <= speed_m_per_s:
        raise not_possible(token, "gusts stronger than the mean wind")
    if speed_m_per_s > to_si(HIGHEST_COMMON_SPEED_KT, "kt"):
        raise not_possible(token, f"a speed of at most {HIGHEST_COMMON_SPEED_KT} kt")
    if direction == "VRB":
        return Wind(0.0, 0.0, gust_m_per_s, variable_m_per_s=speed_m_per_s)
    from_deg = _direction(token, direction)
    if (from_deg == 0.0) != (speed_m_per_s == 0.0):
        raise not_possible(token, "000 with no wind (00000KT), else a direction from 010 to 360")
    east, north = wind_vector(from_deg, speed_m_per_s) if speed_m_per_s else (0.0, 0.0)
    spread_deg = (_direction(token, spread.group(1)), _direction(token, spread.group(2))) if spread else (None, None)
    return Wind(east, north, gust_m_per_s, None, *spread_deg)


def _direction(token: Token, text: str) -> float:
    """Return the true direction three figures give, in tens of degrees."""
    direction = int(text)
    if direction > 360 or direction % 10:
        raise not_possible(token, "a direction in tens of degrees, 000 to 360")
    return float(direction)


def instant_near(token: Token, day: int, hour: int, minute: int, near: datetime) -> datetime:
    """Return the instant of a day of the month and time nearest another; hour 24 ends its day.

    The month is never guessed from a clock: the day must lie within three days of the instant it is read against.
    """
    if hour > 24 or (hour == 24 and minute) or minute > 59:
        raise not_possible(token, "a time from 0000 to 2400")
    for offset in range(-_DAYS_NEAR, _DAYS_NEAR + 1):
        date = (near + timedelta(days=offset)).date()
        if date.day == day:
            return datetime(date.year, date.month, date.day, tzinfo=UTC) + timedelta(hours=hour, minutes=minute)
    raise CodedTextError(
        f"the day {day:02d} of '{token.text}' is not near {near:%d %B %Y}",
        expected=f"a day of the month within {_DAYS_NEAR} days of it",
        hint="check the day in the text and the 'issued' of the file",
        line=token.line,
    )
