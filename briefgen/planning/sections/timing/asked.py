"""The times asked for with their windows, and the speeds and delays chosen to meet them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from briefgen.frozen import dataclass
from briefgen.model.mission import Mission, OverTarget
from briefgen.model.record import Absent, Record, figure, given, rests_on
from briefgen.planning.flight.pacing import point_index
from briefgen.planning.flight.route import item_keys
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.sortie import Pace
from briefgen.planning.flight.timed_points import points_in_order
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter


class TimeAsked(Record):
    """When she is asked to be over a place, and within which window."""

    WINDOW = "asked for, less or plus the permitted difference"

    def __init__(self, number: int, spec: str, point: OverTarget) -> None:
        self.at, self.spec, self.point = f"timing.{number:02d}", spec, point
        self.over = f"Over {point.place.name}"

    @given("%(over)s: asked for", "UTC", spec="%(spec)s.time")
    def asked(self) -> datetime:
        return self.point.instant

    @given("%(over)s: permitted difference", "min", spec="%(spec)s.window")
    def window(self) -> float:
        return self.point.window_s

    @figure("%(over)s: window opens", "UTC", how=WINDOW)
    def opens(self) -> datetime:
        return self.asked - timedelta(seconds=self.window)

    @figure("%(over)s: window closes", "UTC", how=WINDOW)
    def closes(self) -> datetime:
        return self.asked + timedelta(seconds=self.window)


class PaceChosen(Record):
    """The speed at which a leg is flown to be somewhere on time, and the time lost on it."""

    def __init__(self, key: str, pace: Pace, asked: TimeAsked) -> None:
        self.at, self._pace, self._asked, self.place = key, pace, asked, asked.point.place.name
        self.bank_deg = pace.bank_deg  # of the orbits in which time is lost; 0 for a dog-leg

    @figure(
        "Speed chosen to be over %(place)s on time", AIRSPEED,
        how="one indicated airspeed on all legs since the timed point before, solved by flying them",
    )  # fmt: skip
    def pace(self) -> float:
        rests_on(self._asked.asked, self._asked.window)
        return self._pace.ias_m_per_s

    @figure(
        "Time lost before %(place)s", "min", decimals=1,
        how="time asked for less arrival at the slowest speed, solved by flying it",
    )  # fmt: skip
    def time_lost(self) -> float:
        if not self._pace.wait_s:
            raise Absent("no time is to be lost")
        rests_on(self._asked.asked, self.pace)
        return self._pace.wait_s


@dataclass(frozen=True)
class Asked:
    """Every time asked for, in the order of the route, and the pace of every leg that has one."""

    times: tuple[TimeAsked, ...]
    paces: dict[int, PaceChosen]


def _times(mission: Mission) -> tuple[TimeAsked, ...]:
    first = ["times.over target"] if mission.times.over_target is not None else []
    specs = [*first, *(f"times.timed points[{number}]" for number in range(len(mission.times.timed_points)))]
    named: Sequence[tuple[str, OverTarget]] = list(zip(specs, points_in_order(mission), strict=True))
    return tuple(TimeAsked(number, spec, point) for number, (spec, point) in enumerate(named, start=1))


def write_times_asked(mission: Mission, flown: Flown, writer: LedgerWriter) -> Asked:
    """Enter the times asked for with their windows, and the speeds and delays chosen to meet them."""
    keys, begin = item_keys(mission.route.items), 0
    asked = Asked(_times(mission), {})
    for one in asked.times:
        through = point_index(mission, one.point, begin)
        for index in range(begin, through + 1):
            if index in flown.paces:
                asked.paces[index] = PaceChosen(keys[index], flown.paces[index], one)
        begin = through + 1
    for record in (*asked.times, *asked.paces.values()):
        writer.adopt(record)
    return asked
