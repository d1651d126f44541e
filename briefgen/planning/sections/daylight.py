"""Sun, twilight and moon at the places of the plan at their times.

The light is that on the ground at sea level; higher up the sun is seen earlier and longer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from briefgen.frozen import dataclass
from briefgen.kernel.crossings import Crossings, Presence
from briefgen.kernel.sun import (
    light_condition,
    moon_altitude,
    moon_crossings,
    moon_illuminated_ratio,
    sun_times,
)
from briefgen.model.mission import Action, Mission
from briefgen.model.places import Place
from briefgen.model.record import Absent, Record, Ref, figure, working
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.field_uses import FieldUse
from briefgen.planning.sections.basis.phases import PhaseFigures

HALF_A_DAY = timedelta(hours=12)
SUN_SOURCE = "astronomy-engine; definitions of the U.S. Naval Observatory"
NIGHT_SOURCE = "sunrise, sunset and civil twilight as the U.S. Naval Observatory defines them; night: 14 CFR 1.1"
AS_WRITTEN = "from the route as written"
IN_ZONE = "the same in the mission's zone"
NEAREST = "nearest to the expected time"


@dataclass(frozen=True)
class _Use:
    """A place that needs its light told, at the instant of a figure."""

    name: str
    role: str
    place: Place
    time: Ref

    @property
    def instant(self) -> datetime:
        found: datetime = self.time.value
        return found


class Daylight(Record):
    """Sun and moon at one place, nearest to the time it is used."""

    def __init__(self, use: _Use) -> None:
        self.at, self.title, self.use = f"daylight.{use.name}", f"{use.place.name} ({use.role})", use
        around = use.instant - HALF_A_DAY, use.instant + HALF_A_DAY
        self._times = sun_times(*around, use.place.lat_deg, use.place.lon_deg)
        self.dawn_unit, self.dusk_unit = _unit(self._times.civil, rising=True), _unit(self._times.civil, rising=False)
        self.rise_unit, self.set_unit = _unit(self._times.sun, rising=True), _unit(self._times.sun, rising=False)

    @figure("Place", how=AS_WRITTEN)
    def place(self) -> str:
        return f"{self.use.place.ident} {self.use.place.name}"

    @figure("Use", how=AS_WRITTEN)
    def role(self) -> str:
        return self.use.role

    @figure("%(title)s: light", how="height of the sun at the expected time", source=NIGHT_SOURCE)
    def light(self) -> str:
        return light_condition(self.use.instant, self.use.place.lat_deg, self.use.place.lon_deg).value

    def _nearest(self, found: Crossings, *, rising: bool) -> datetime | str:
        return nearest(found, self.use.instant, rising=rising)

    @figure("%(title)s: beginning of civil twilight", "%(dawn_unit)s", how=f"beginning of civil twilight {NEAREST}", source=SUN_SOURCE)  # fmt: skip
    def dawn(self) -> datetime | str:
        return self._nearest(self._times.civil, rising=True)

    @figure("%(title)s: sunrise", "%(rise_unit)s", how=f"sunrise {NEAREST}", source=SUN_SOURCE)
    def sunrise(self) -> datetime | str:
        return self._nearest(self._times.sun, rising=True)

    @figure("%(title)s: sunset", "%(set_unit)s", how=f"sunset {NEAREST}", source=SUN_SOURCE)
    def sunset(self) -> datetime | str:
        return self._nearest(self._times.sun, rising=False)

    @figure("%(title)s: end of civil twilight", "%(dusk_unit)s", how=f"end of civil twilight {NEAREST}", source=SUN_SOURCE)  # fmt: skip
    def dusk(self) -> datetime | str:
        return self._nearest(self._times.civil, rising=False)

    @figure("%(title)s: sunrise, local", "local", how=IN_ZONE)
    def sunrise_local(self) -> datetime:
        return _instant(self.sunrise)

    @figure("%(title)s: sunset, local", "local", how=IN_ZONE)
    def sunset_local(self) -> datetime:
        return _instant(self.sunset)

    @figure("%(title)s: moon", how="height of the moon at the expected time", source=SUN_SOURCE)
    def moon(self) -> str:
        up = moon_altitude(self.use.instant, self.use.place.lat_deg, self.use.place.lon_deg) > 0.0
        return "up" if up else "down"

    @figure("%(title)s: lit part of the moon", "%", how="lit part of the disc at the expected time", source=SUN_SOURCE)
    def moon_lit(self) -> float:
        return moon_illuminated_ratio(self.use.instant)


class MoonTimes(Record):
    """When the moon rises and sets at one place, the target if there is one."""

    def __init__(self, use: _Use) -> None:
        self.at, self.name, self._use = f"daylight.{use.name}", use.place.name, use
        self.rise_unit, self.set_unit = _unit(self._crossings, rising=True), _unit(self._crossings, rising=False)

    @working
    def _crossings(self) -> Crossings:
        around = self._use.instant - HALF_A_DAY, self._use.instant + HALF_A_DAY
        return moon_crossings(*around, self._use.place.lat_deg, self._use.place.lon_deg)

    @figure("%(name)s: moonrise", "%(rise_unit)s", how=f"moonrise {NEAREST}", source=SUN_SOURCE)
    def moonrise(self) -> datetime | str:
        return nearest(self._crossings, self._use.instant, rising=True)

    @figure("%(name)s: moonset", "%(set_unit)s", how=f"moonset {NEAREST}", source=SUN_SOURCE)
    def moonset(self) -> datetime | str:
        return nearest(self._crossings, self._use.instant, rising=False)


def _instant(value: datetime | str) -> datetime:
    if isinstance(value, str):
        raise Absent(value)
    return value


def _unit(found: Crossings, *, rising: bool) -> str:
    """Return the unit of the nearest crossing: none where it is told in words."""
    return "UTC" if (found.rises if rising else found.sets) else ""


def nearest(found: Crossings, instant: datetime, *, rising: bool) -> datetime | str:
    """Return the crossing nearest to an instant, or in words that there is none that day."""
    candidates = found.rises if rising else found.sets
    if candidates:
        return min(candidates, key=lambda one: abs(one - instant))
    return {
        Presence.ALWAYS_ABOVE: "up all day",
        Presence.ALWAYS_BELOW: "down all day",
        Presence.CROSSES: "none that day",
    }[found.presence]


TIME = ColumnOf("time", "At", "UTC")
DAYLIGHT = TableOf(
    "daylight",
    "Sun, twilight and moon",
    (
        column(Daylight.place, "Place"),
        column(Daylight.role, "For"),
        TIME,
        column(Daylight.light, "Light then"),
        column(Daylight.dawn, "Civil dawn", "UTC"),
        column(Daylight.sunrise, "Sunrise", "UTC"),
        column(Daylight.sunset, "Sunset", "UTC"),
        column(Daylight.dusk, "Civil dusk", "UTC"),
        column(Daylight.sunrise_local, "Sunrise"),
        column(Daylight.sunset_local, "Sunset"),
        column(Daylight.moon, "Moon then"),
        column(Daylight.moon_lit, "Moon lit"),
    ),
    note="Nearest to the time of each place; at sea level, clear horizon.",
)


class DaylightSection(Record):
    """The light at every place of the plan."""

    def __init__(self, places: Sequence[Daylight], target: _Use) -> None:
        self.places, self.moon = tuple(places), MoonTimes(target)

    def parts(self) -> Sequence[Record]:
        return [*self.places, self.moon]


def write_daylight(
    mission: Mission, phases: Sequence[PhaseFigures], uses: Sequence[FieldUse], writer: LedgerWriter
) -> DaylightSection:
    """Enter the light at every place and its table; the changes of light on the way are the timeline's."""
    lit = tuple(_uses(mission, phases, uses))
    section = DaylightSection(
        [Daylight(use) for use in lit], next((use for use in lit if use.role == "target"), lit[0])
    )
    writer.adopt(section)
    rows = [DAYLIGHT.row(one.title, one, one.use.role, {TIME: one.use.time}) for one in section.places]
    writer.tabulate(DAYLIGHT.filled(rows))
    return section


def _uses(mission: Mission, phases: Sequence[PhaseFigures], fields: Sequence[FieldUse]) -> Iterator[_Use]:
    yield from (_Use(use.name, use.role, use.place, use.time) for use in fields[:1])
    told: set[str] = set()
    for index, item in enumerate(mission.route.items):
        runs = [one for one in phases if one.phase.item == index and one.phase.kind == "run"]
        if isinstance(item, Action) and runs and item.at.ident not in told:
            told.add(item.at.ident)
            yield _Use(item.at.ident.lower(), "target", item.at, PhaseFigures.begin.of(runs[0]))
    yield from (_Use(use.name, use.role, use.place, use.time) for use in fields[1:])
