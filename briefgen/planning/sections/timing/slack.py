"""What the clock leaves at take-off: the window of take-off times, and how late a start speed can recover."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.model.plan import Event
from briefgen.model.record import Record, figure
from briefgen.planning.sections.basis.clock import Milestones
from briefgen.planning.sections.basis.fuel import FuelMargin
from briefgen.planning.sections.basis.navigation import OffBlocks
from briefgen.planning.sections.timing.points import PointFigures

SAME_WINDS = "; the winds of the plan serve for all of them"
AT_PLANNED = "take-off moved by what lies between the planned time and the edge of the window" + SAME_WINDS
BY_SPEED = "take-off moved until the slowest or fastest flight is over it at the edge of the window" + SAME_WINDS
RECOVERED = "time there less the earliest by speed, none where that is later" + SAME_WINDS
DECIDERS = ("captain", "co-pilot", "navigator", "flight engineer")


class TakeOffSlack(Record):
    """The take-off times that still meet the first timed point."""

    at = "timing.take_off"

    def __init__(self, clock: Milestones, point: PointFigures) -> None:
        self._clock, self._point, self.over = clock, point, point.timed.point.place.name

    @figure("Earliest take-off to be over %(over)s in its window at the planned speeds", "UTC", how=AT_PLANNED)
    def earliest(self) -> datetime:
        return self._clock.take_off + (self._point.times.opens - self._point.planned)

    @figure("Latest take-off to be over %(over)s in its window at the planned speeds", "UTC", how=AT_PLANNED)
    def latest(self) -> datetime:
        return self._clock.take_off + (self._point.times.closes - self._point.planned)

    @figure("First take-off to be over %(over)s in its window by speed", "UTC", how=BY_SPEED)
    def first(self) -> datetime:
        return self._clock.take_off + (self._point.times.opens - self._point.latest)

    @figure("Last take-off to be over %(over)s in its window by speed", "UTC", how=BY_SPEED)
    def last(self) -> datetime:
        return self._clock.take_off + (self._point.times.closes - self._point.earliest)


class LateStart(Record):
    """How late a start speed can recover."""

    at = "timing"

    def __init__(self, point: PointFigures) -> None:
        self._point, self.over = point, point.timed.point.place.name

    @figure(
        "Late start that speed recovers: over %(over)s at the time asked for", "min", how=RECOVERED,
        name="recoverable_late_start",
    )  # fmt: skip
    def on_time(self) -> float:
        return max(0.0, (self._point.times.asked - self._point.earliest).total_seconds())

    @figure(
        "Late start that speed recovers: over %(over)s as its window closes", "min", how=RECOVERED,
        name="recoverable_late_start.in_window",
    )  # fmt: skip
    def in_window(self) -> float:
        return max(0.0, (self._point.times.closes - self._point.earliest).total_seconds())


class Slack(Record):
    """What the clock leaves at take-off."""

    def __init__(self, clock: Milestones, point: PointFigures, margin: FuelMargin) -> None:
        self.take_off, self.late = TakeOffSlack(clock, point), LateStart(point)
        self._clock, self._point, self._margin = clock, point, margin

    def parts(self) -> Sequence[Record]:
        return [self.take_off, self.late]

    def events(self) -> list[Event]:
        """Return the last take-off as a decision that stands at the start of the engines: by speed where the fuel allows it."""
        late, last = LateStart.in_window.of(self.late), TakeOffSlack.last.of(self.take_off)
        start, over = OffBlocks.off_blocks.of(self._clock.begun), self.take_off.over
        if late.there and late.value and self._affordable():
            margin, costs = FuelMargin.margin.of(self._margin).volume(), PointFigures.gain_fuel.of(self._point)
            text = (
                f"Last take-off for {over} {last}: at {PointFigures.fastest.of(self._point)} indicated all the way she is "
                f"over it as its window closes, {late} after the take-off planned, for {costs} more; {margin} is over what is "
                "required"
            )
        else:
            latest = TakeOffSlack.latest.of(self.take_off)
            if latest.value < self._clock.take_off:
                return []
            text = f"Last take-off for {over} {latest}: at the planned speeds she is over it as its window closes"
            if late.there and late.value:
                text += (
                    f"; the fuel for more speed, {PointFigures.gain_fuel.of(self._point)}, is not over what is required"
                )
        return [Event(start.key, "decision", "", DECIDERS, text)]

    def _affordable(self) -> bool:
        """Return whether the fuel over what is required pays for the fastest flight."""
        margin = FuelMargin.margin.of(self._margin).volume()
        return bool(PointFigures.gain_fuel.of(self._point).value <= margin.value)
