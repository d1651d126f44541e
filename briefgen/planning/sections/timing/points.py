"""Each timed point and the legs to it: when she is over it, and what speed can gain and lose."""

from __future__ import annotations

from datetime import datetime

from briefgen.kernel.constants import KT_M_PER_S
from briefgen.kernel.time_control import time_to_hold
from briefgen.model.record import Absent, Record, figure, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.flight.pacing import Reach
from briefgen.planning.flight.timed_points import TimedPoint, lasts_s
from briefgen.planning.ledger.writer import AIRSPEED
from briefgen.planning.sections.basis.groups import FLOWN_BY, rest_on_groups
from briefgen.planning.sections.basis.navigation import ItemFlown, Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.timing.asked import TimeAsked

FAST = "the stretch flown at the greatest speed held in level flight without time limit; climbs and descents as planned"
SLOW = "the stretch flown at the speed of the hold; climbs and descents as planned"
NO_MORE = "none where speed has no more to give"
CHANGE_M_PER_S = 10.0 * KT_M_PER_S
A_MINUTE_S = 60.0
NO_RANGE = "an end of her range of speeds cannot be flown all the way"


def _reach_of(timed: TimedPoint) -> Reach:
    if timed.reach is None:
        raise Absent(NO_RANGE)
    return timed.reach


class PointFigures(Record):
    """A timed point as planned and by speed."""

    def __init__(self, timed: TimedPoint, times: TimeAsked, item: ItemFlown, log: Navigation) -> None:
        self.at, self.over, self.timed, self.times = times.at, times.over, timed, times
        self._item, self._log = item, log

    @figure("%(over)s: planned", "UTC", how="end of the leg to it")
    def planned(self) -> datetime:
        return self._item.eta

    @figure("%(over)s: difference from the time asked for", "min", how="planned less asked for, early or late")
    def off(self) -> float:
        return abs((self.planned - self.times.asked).total_seconds())

    @figure("%(over)s: left of the permitted difference", "min", how="permitted less actual difference")
    def in_window(self) -> float:
        return self.times.window - self.off

    @figure(
        "%(over)s: fastest all the way", AIRSPEED,
        how="greatest indicated airspeed held in level flight without time limit in every cruise",
    )  # fmt: skip
    def fastest(self) -> float:
        rests_on(*self._masses())
        rest_on_groups(*FLOWN_BY)
        return _reach_of(self.timed).speeds.fastest_m_per_s

    @figure(
        "%(over)s: slowest all the way", AIRSPEED,
        how="speed of the hold in the aircraft file, or the least that its figures cover",
    )  # fmt: skip
    def slowest(self) -> float:
        rests_on(*self._masses())
        rest_on_groups(*FLOWN_BY)
        return _reach_of(self.timed).speeds.slowest_m_per_s

    def _masses(self) -> list[float]:
        return [self._log.of_phase(phase).mass for phase in self.timed.cruises]

    @figure("%(over)s: earliest by speed", "UTC", how=FAST)
    def earliest(self) -> datetime:
        rests_on(self._log.of_phase(self.timed.planned[0]).begin, self.fastest, self.planned)
        return _reach_of(self.timed).fast[-1].end.instant

    @figure("%(over)s: latest by speed", "UTC", how=SLOW)
    def latest(self) -> datetime:
        rests_on(self._log.of_phase(self.timed.planned[0]).begin, self.slowest, self.planned)
        return _reach_of(self.timed).slow[-1].end.instant

    @figure("%(over)s: can be gained by speed", "min", decimals=1, how=f"difference of planned and earliest, {NO_MORE}")
    def gain(self) -> float:
        return max(0.0, (self.planned - self.earliest).total_seconds())

    @figure("%(over)s: can be lost by speed", "min", decimals=1, how=f"difference of planned and latest, {NO_MORE}")
    def loss(self) -> float:
        return max(0.0, (self.latest - self.planned).total_seconds())

    @figure(
        "%(over)s: fuel the fastest costs", "US gal", how="fuel remaining as planned less fuel remaining at the fastest"
    )
    def gain_fuel(self) -> float:
        rests_on(self.fastest, self._log.of_phase(self.timed.planned[-1]).fuel_remaining)
        more_kg = self.timed.planned[-1].end.fuel_kg - _reach_of(self.timed).fast[-1].end.fuel_kg
        return more_kg / self._item.fuel_density()


class LegTiming(Record):
    """What one leg can gain and lose, and how long a change of ten knots is held for a minute."""

    def __init__(self, index: int, item: ItemFlown, cruise: PhaseFigures, point: PointFigures) -> None:
        self.at, self.name, self.cruise = f"timing.{item.at}", f"Leg to {item.name}", cruise
        self._index, self._item, self._point, self._timed = index, item, point, point.timed

    @figure(
        "%(name)s: 10 kt faster or slower, held for a minute gained or lost", "min", decimals=1,
        how="a minute of error times ground speed over change of speed", source="Chief of Naval Air Training, P-557",
    )  # fmt: skip
    def ten_knots(self) -> float:
        return time_to_hold(A_MINUTE_S, self.cruise.ground_speed, CHANGE_M_PER_S)

    def _planned_s(self) -> float:
        rests_on(self._item.duration)
        return lasts_s(self._timed.planned, self._index)

    @figure("%(name)s: gain of time by speed", "min", decimals=1, how=FAST)
    def gain(self) -> float:
        rests_on(self._point.fastest)
        return max(0.0, self._planned_s() - lasts_s(_reach_of(self._timed).fast, self._index))

    @figure("%(name)s: loss of time by speed", "min", decimals=1, how=SLOW)
    def loss(self) -> float:
        rests_on(self._point.slowest)
        return max(0.0, lasts_s(_reach_of(self._timed).slow, self._index) - self._planned_s())


TIMES = TableOf(
    "timing",
    "Times to be met",
    (
        column(TimeAsked.asked, "Asked", through="times"),
        column(TimeAsked.opens, "Window from", through="times"),
        column(TimeAsked.closes, "to", through="times"),
        column(PointFigures.planned, "Planned"),
        column(PointFigures.earliest, "Earliest by speed"),
        column(PointFigures.latest, "Latest by speed"),
        column(PointFigures.gain, "To be gained"),
        column(PointFigures.loss, "To be lost"),
        column(PointFigures.fastest, "Fastest"),
        column(PointFigures.slowest, "Slowest"),
        column(PointFigures.gain_fuel, "Fuel for the fastest"),
    ),
    "By speed alone, from where the point before left her.",
)
LEGS = TableOf(
    "timing.legs",
    "Time to be gained and lost on each leg",
    (
        column(PhaseFigures.ias, "Planned", name="speed", through="cruise"),
        column(LegTiming.gain, "To be gained"),
        column(LegTiming.loss, "To be lost"),
        column(LegTiming.ten_knots, "10 kt change held for 1 min of time"),
    ),
    "Indicated airspeeds.",
)
