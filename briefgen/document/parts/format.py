"""The one place where an entry becomes printed text: unit, rounding, sign, time of day.

A page, a card, the terminal and the machine-readable plan all look a figure up in what `printed` returns, so two of them cannot
round one entry differently, and the parts that stand above a sum on paper add up to the sum as printed.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from briefgen.errors import RenderError
from briefgen.frozen import dataclass
from briefgen.model.ledger import Entry, Foot
from briefgen.model.plan import Plan
from briefgen.model.record import is_declared
from briefgen.planning.sections.basis.clock import BeforeStart
from briefgen.units import in_unit

MINUS = "\u2212"
NO_BREAK = "\u00a0"
MINUTE_S = 60.0
NOISE = 1e-9  # of binary arithmetic: less than that beside a whole number, or a half, is none

# How a unit is written on paper, where that is not its own name.
MARKS = {
    "degC": "°C",
    "deg": "°",
    "degT": "°T",
    "degM": "°M",
    "UTC date": "date",
    "degC difference": "°C",
    "degC diff": "°C",
    "latitude": "",
    "longitude": "",
}
# A mark that stands close to its figure.
ATTACHED = frozenset({"deg", "degT", "degM"})
DIRECTIONS = ("heading", "track", "compass", "bearing", "course", "direction", "_from")
PLAIN = ("", "degT", "degM", "degC diff")  # the value is the printed number
UNGROUPED = ("hPa",)  # read to the crew and set on a subscale figure by figure: no comma stands in 1005
HEMISPHERES = {"latitude": "NS", "longitude": "EW"}  # positive and negative
TENTHS_PER_DEG = 600  # of a minute of arc
MINUTES = frozenset({"h:min", "min", "UTC", "local"})

# A figure with its unit in a text; of the units in the list those that are written behind a figure.
WRITTEN_OUT = re.compile(
    r"(?<=\d)[ \u00a0](?:US gal(?:/h)?|ft(?:/min)?|NM|kt|mph|lb(?:/h)?|inHg|hPa|rpm|bhp|in|min|h|kg|UTC|%|°C)(?![\w/])"
)
# A brace that is meant as one is written twice; else a key in braces stands for its figure.
REFERENCE = re.compile(r"\{\{|\}\}|\{([a-z0-9_\-]+(?:\.[a-z0-9_\-]+)+)\}")
LONGEST_QUOTED = 2_000  # letters of a figure that a text quotes: a name in a name in a name doubles each time


class FootError(ArithmeticError):
    """The planner promised a sum that the true values do not keep: a fault of the program, not of the mission."""


@dataclass(frozen=True)
class Clock:
    """What a time of day is printed against: the mission's zone and the days on which it begins."""

    zone: ZoneInfo
    utc_day: date
    local_day: date


def clock_of(plan: Plan) -> Clock:
    """Return the clock of a plan: its zone, and its first day in UTC and in that zone."""
    zone = ZoneInfo(plan.mission.times.zone)
    begins = [entry for key, entry in plan.ledger.entries.items() if key == BeforeStart.briefing.key]
    instants = [
        entry.value for entry in begins or plan.ledger.entries.values() if isinstance(entry.value, datetime)
    ]  # the briefing is the first thing the crew does; sunsets of the evening before do not begin a mission
    first = min(instants) if instants else datetime(1970, 1, 1, tzinfo=ZoneInfo("UTC"))
    return Clock(zone, first.date(), first.astimezone(zone).date())


def printed(plan: Plan) -> Mapping[str, str]:
    """Return the printed figure of every entry, without its unit, after the arithmetic promises have been kept."""
    clock, (counts, _) = clock_of(plan), _counts(plan)
    return {key: _figure(entry, counts.get(key), clock) for key, entry in plan.ledger.entries.items()}


def _counts(plan: Plan) -> tuple[dict[str, int], dict[str, int]]:
    """Return every number in its last printed digit, promises kept, and by how much rounding may have moved it.

    A figure that is one of a sector is printed as the sector prints it.
    """
    counts = {key: count for key, entry in plan.ledger.entries.items() if (count := _count(entry)) is not None}
    moved: dict[str, int] = {}
    of_sectors = [_counts(sector) for sector in plan.sectors]
    for key, (number, theirs) in plan.same_as.items():
        counts[key], moved[key] = of_sectors[number][0][theirs], of_sectors[number][1].get(theirs, 1)
    for foot in plan.ledger.feet:
        _raise(foot, plan.ledger.entries, counts, moved)
        _keep(foot, plan.ledger.entries, counts, moved)
    return counts, moved


def _count(entry: Entry) -> int | None:
    """Return the value as a whole number of its last printed digit, or of minutes; None for words and days."""
    value = entry.value
    if isinstance(value, datetime):
        return None if entry.unit == "UTC date" else math.floor(value.timestamp() / MINUTE_S + 0.5)
    if isinstance(value, str):
        return None
    if entry.unit in HEMISPHERES:
        return _nearest(value * TENTHS_PER_DEG)
    number = value / MINUTE_S if entry.unit == "h:min" else _number_of(entry)
    if entry.rounding == "up":
        return math.ceil(number - NOISE)
    return math.floor(number + NOISE) if entry.rounding == "down" else _nearest(number)


def in_last_digits(entry: Entry) -> float:
    """Return the value of a figure counted in its last printed digit, of an instant or a duration in minutes."""
    value = entry.value
    assert not isinstance(value, str)
    if isinstance(value, datetime):
        return value.timestamp() / MINUTE_S
    if entry.unit in HEMISPHERES:
        return value * TENTHS_PER_DEG
    return value / MINUTE_S if entry.unit == "h:min" else _number_of(entry)


def _number_of(entry: Entry) -> float:
    """Return a numeric value counted in its last printed digit."""
    value = float(entry.value) if not isinstance(entry.value, datetime) else entry.value.timestamp() / MINUTE_S
    number = value if entry.unit in PLAIN else in_unit(value, entry.unit)
    return number * 10.0**entry.decimals


def _nearest(number: float) -> int:
    """Return the nearest whole number, halves away from zero; a half stays one when binary arithmetic shaves it."""
    return math.floor(abs(number) + 0.5 + NOISE) * (-1 if number < 0 else 1)


def _keep(foot: Foot, entries: Mapping[str, Entry], counts: dict[str, int], moved: dict[str, int]) -> None:
    """Set the printed result of one promise to the sum of its printed parts.

    ``moved`` says by how many of its last digits rounding can explain that a figure differs from its true value: one for
    a figure by itself, for a sum as much as its parts together, for they may be sums already.
    """
    names = (foot.result, *foot.plus, *foot.minus)
    kinds = {_kind(entries[name]) for name in names}
    if len(kinds) > 1 or any(name not in counts for name in names):
        raise FootError(f"{foot.result} cannot be the printed sum of figures in different units: {sorted(kinds)}")
    total = sum(counts[key] for key in foot.plus) - sum(counts[key] for key in foot.minus)
    explained = sum(moved.get(name, 1) for name in (*foot.plus, *foot.minus))
    allowed = explained + 1
    if abs(total - counts[foot.result]) > allowed:
        raise FootError(
            f"{foot.result} is {counts[foot.result]} in its last digit but its printed parts give {total}; "
            f"rounding explains at most {allowed}"
        )
    if foot.divided:
        _divide(foot, entries, counts, counts[foot.result] - total)
    else:
        counts[foot.result] = total
        moved[foot.result] = explained


def _raise(foot: Foot, entries: Mapping[str, Entry], counts: dict[str, int], moved: Mapping[str, int]) -> None:
    """Let a total that is never printed too small have parts that reach it: those that are no sums and were rounded down go up.

    Where every such part has gone up and the sum is still short, the parts that are sums themselves were rounded down; what is
    short then is less than one for each of them.
    """
    if entries[foot.result].rounding != "up" or foot.divided:
        return
    short = counts[foot.result] + sum(counts[key] for key in foot.minus) - sum(counts[key] for key in foot.plus)
    free = [key for key in foot.plus if key not in moved]
    low = sorted(free, key=lambda key: counts[key] - _number_of(entries[key]))
    for key in low[: max(short, 0)]:
        counts[key] += 1


def _divide(foot: Foot, entries: Mapping[str, Entry], counts: dict[str, int], short: int) -> None:
    """Let the parts whose own rounding is nearest to the other way give what is short, one each."""
    if abs(short) > len(foot.plus):
        raise FootError(f"the printed parts of {foot.result} are {short} short of it: more than one for each of them")
    step = 1 if short > 0 else -1
    parts = sorted(foot.plus, key=lambda key: (_number_of(entries[key]) - counts[key]) * step, reverse=True)
    for key in parts[: abs(short)]:
        counts[key] += step


def _kind(entry: Entry) -> str:
    return "minutes" if entry.unit in MINUTES else f"{entry.unit} to {entry.decimals} decimals"


def _figure(entry: Entry, count: int | None, clock: Clock) -> str:
    if count is None:
        if isinstance(entry.value, datetime):
            return f"{entry.value:%Y-%m-%d}"
        return str(entry.value)
    if isinstance(entry.value, datetime):
        return _time_of_day(count, entry.unit, clock)
    if entry.unit == "h:min":
        sign = MINUS if count < 0 else ""
        return f"{sign}{abs(count) // 60}:{abs(count) % 60:02d}"
    if entry.unit in HEMISPHERES:
        return _angle(count, HEMISPHERES[entry.unit])
    if is_direction(entry):
        whole = count % 360
        return f"{whole or 360:03d}"
    figure = _number(count, entry.decimals)
    return figure.replace(",", "") if entry.unit in UNGROUPED else figure


def _angle(tenths: int, hemispheres: str) -> str:
    """Return a latitude or longitude in degrees, minutes and tenths, as it is read from a chart."""
    degrees, rest = divmod(abs(tenths), TENTHS_PER_DEG)
    width = 2 if hemispheres == "NS" else 3
    return f"{degrees:0{width}d}°{rest // 10:02d}.{rest % 10}\u2032{hemispheres[tenths < 0]}"


def is_direction(entry: Entry) -> bool:
    """Return whether an angle is a direction, printed with three digits, north as 360."""
    if entry.decimals or entry.unit not in ATTACHED:
        return False
    last = entry.key.rsplit(".", 1)[-1]
    return entry.unit in ("degT", "degM") or any(word in last for word in DIRECTIONS)


def _number(count: int, decimals: int) -> str:
    sign = MINUS if count < 0 else ""
    whole, part = divmod(abs(count), 10**decimals)
    return f"{sign}{whole:,}.{part:0{decimals}d}" if decimals else f"{sign}{whole:,}"


def _time_of_day(minutes: int, unit: str, clock: Clock) -> str:
    instant = datetime.fromtimestamp(minutes * MINUTE_S, tz=ZoneInfo("UTC"))
    day = clock.utc_day
    if unit == "local":
        instant, day = instant.astimezone(clock.zone), clock.local_day
    days = (instant.date() - day) // timedelta(days=1)
    return f"{instant:%H:%M}{NO_BREAK}+{days}" if days > 0 else f"{instant:%H:%M}"


def local_time(instant: datetime, clock: Clock) -> str:
    """Return an instant as the mission zone's time of day, rounded to the minute as every printed time is."""
    return _time_of_day(math.floor(instant.timestamp() / MINUTE_S + 0.5), "local", clock)


def unit_mark(unit: str) -> str:
    """Return a unit as it is written in a column head or behind a figure."""
    return MARKS.get(unit, unit)


def with_unit(entry: Entry, figure: str) -> str:
    """Return a printed figure with its unit, as it stands in running text."""
    if not unit_mark(entry.unit) or entry.unit == "UTC date" or isinstance(entry.value, str):
        return figure
    if entry.unit == "h:min":
        return f"{figure}{NO_BREAK}h"
    if entry.unit in ATTACHED:
        return f"{figure}{unit_mark(entry.unit)}"
    return f"{figure}{NO_BREAK}{unit_mark(entry.unit).replace(' ', NO_BREAK)}"


def together(text: str) -> str:
    """Return a text in which a figure and its unit, where somebody wrote them out, do not part at the end of a line."""
    return WRITTEN_OUT.sub(lambda found: found[0].replace(" ", NO_BREAK), text)


class Figures:
    """The printed figures of one plan, looked up by key; the only door between the ledger and a page."""

    def __init__(self, plan: Plan) -> None:
        self.entries = plan.ledger.entries
        self.clock = clock_of(plan)
        self._printed = printed(plan)
        self._absent = plan.ledger.absent
        self._filling: list[str] = []

    def __getitem__(self, key: str) -> str:
        figure = self._printed[key]
        if "{" not in figure and "}" not in figure:
            return figure
        if key in self._filling:
            where = self.entries[key].source
            raise RenderError(
                f"'{key}' quotes itself: {' quotes '.join([*self._filling, key])}", where=where,
                expected="a text that quotes other entries", hint="take the braces out, or write {{ and }} for braces",
            )  # fmt: skip
        self._filling.append(key)
        try:
            return self.text(figure)
        finally:
            self._filling.pop()

    def __contains__(self, key: str) -> bool:
        """Return whether the plan has an entry of a key.

        Raises:
            LookupError: No record declares a figure of that name: the question could never be answered with yes.
        """
        if key in self._printed:
            return True
        if key not in self._absent and not is_declared(key):
            raise LookupError(f"a document asks for {key}, and no record declares a figure '{key.rpartition('.')[2]}'")
        return False

    def quoted(self, key: str) -> str:
        """Return the figure of an entry with its unit."""
        return with_unit(self.entries[key], self[key])

    def label(self, key: str) -> str:
        """Return the label of an entry with what it quotes filled in."""
        return self.text(self.entries[key].label)

    def text(self, text: str) -> str:
        """Return a text with every ``{key}`` replaced by the printed figure and its unit, ``{{`` and ``}}`` by a brace."""
        return together(REFERENCE.sub(lambda found: self._referred(found[1], text) if found[1] else found[0][0], text))

    def _referred(self, key: str, text: str) -> str:
        if key in self._printed:
            quoted = self.quoted(key)
            if len(quoted) > LONGEST_QUOTED:
                raise RenderError(
                    f"'{key}' has {len(quoted):,} letters and is quoted in a text", where=self.entries[key].source,
                    expected=f"at most {LONGEST_QUOTED:,} letters in what a text quotes", hint="write it out where it is needed",
                )  # fmt: skip
            return quoted
        near = difflib.get_close_matches(key, self._printed, 3)
        raise RenderError(
            f"the text '{text}' quotes '{key}', which the plan does not have",
            expected="the key of an entry of the plan",
            hint=f"nearest: {', '.join(near)}" if near else "",
        )
