"""The timed points of a sortie: the flight to each as planned, and what speed alone could make of it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.model.mission import Mission, OverTarget
from briefgen.model.plan import Phase
from briefgen.planning.flight.pacing import Reach, Stretch, after, point_index, reach
from briefgen.planning.flight.schedule import Flown


@dataclass(frozen=True)
class TimedPoint:
    """A timed point with the flight to it as planned, and at both ends of the speed range where those can be flown."""

    stretch: Stretch
    planned: tuple[Phase, ...]
    reach: Reach | None

    @property
    def point(self) -> OverTarget:
        """Where and when."""
        return self.stretch.point

    @property
    def cruises(self) -> tuple[Phase, ...]:
        """The phases of level flight along a track on the way to it."""
        return tuple(phase for phase in self.planned if phase.kind == "cruise")


def points_in_order(mission: Mission) -> tuple[OverTarget, ...]:
    """Return every timed point in the order of the route, the target first where it has a time."""
    times = mission.times
    return (*([times.over_target] if times.over_target is not None else []), *times.timed_points)


def timed_points(flown: Flown) -> tuple[TimedPoint, ...]:
    """Return the timed points of a settled sortie in the order of the route."""
    mission, found, begin = flown.mission, [], 0
    before: tuple[Phase, ...] = tuple(phase for phase in flown.phases if phase.kind == "take-off")
    for point in points_in_order(mission):
        through = point_index(mission, point, begin)
        planned = tuple(p for p in flown.phases if p.item is not None and begin <= p.item <= through)
        stretch = Stretch(mission, flown.crew, after(before), begin, through, point)
        found.append(TimedPoint(stretch, planned, _reach(stretch, planned)))
        before, begin = planned, through + 1
    return tuple(found)


def _reach(stretch: Stretch, planned: Sequence[Phase]) -> Reach | None:
    """Return what speed can do, None where an end of the range cannot be flown: the plan does not rest on it."""
    try:
        return reach(stretch, planned)
    except BriefgenError:
        return None


def lasts_s(phases: Sequence[Phase], item: int) -> float:
    """Return how long the phases of a route item last [s]."""
    return math.fsum(phase.duration_s for phase in phases if phase.item == item)
