"""A transfer stuck from its start: how she weighs at every moment of the flight with that fuel where it is.

Each side may go on feeding its own engines, so that left and right stay equal by weight while the fuel that is stuck stands far
outboard and what is burnt comes from further in: it is the moment across that has to be held, not the difference by weight.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

from briefgen.model.aircraft import Tank
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.planning.load.conditions import FLIGHT, Condition, Weighed, most_adverse, weigh
from briefgen.planning.load.pieces import Piece
from briefgen.planning.load.tank_log import TankLog, log_until_dry
from briefgen.planning.load.tanks import transfer_tanks

_ROUND_OFF_RATIO = 1e-9


@dataclass(frozen=True)
class StuckMoment:
    """One moment of the flight with a transfer stuck: when, with what in the tanks, and how she weighs."""

    instant: datetime
    of: Condition
    state: Weighed

    @property
    def aside_kg_m(self) -> float:
        """The moment across, without its side."""
        return abs(self.state.lateral_moment_kg_m)


@dataclass(frozen=True)
class StuckFlight:
    """The flight with one transfer stuck from its start.

    Attributes:
        log: Fuel by tank, up to the moment at which the tanks that are left run dry.
        dry: That moment, None where they last to the end.
        moments: From the take-off to the landing, or until the tanks are dry, in the order of the flight.
    """

    log: TankLog
    dry: datetime | None
    moments: tuple[StuckMoment, ...]

    def worst_across(self) -> StuckMoment:
        """Return the first moment with the greatest moment across, either side; moments that differ by round-off are alike."""
        greatest = max(one.aside_kg_m for one in self.moments)
        return next(one for one in self.moments if one.aside_kg_m >= greatest * (1.0 - _ROUND_OFF_RATIO))

    def worst_along(self) -> StuckMoment:
        """Return the moment with the least distance to a limit of the envelope."""
        return self.moments[most_adverse([one.state for one in self.moments])]

    def last_within(self, limit_kg_m: float) -> datetime | None:
        """Return the instant at which the moment across passes a limit [kg m] for the first time, None where it never does.

        Between two moments the tanks change at constant rates, so that the straight line between them is exact.
        """
        if self.moments[0].aside_kg_m > limit_kg_m:
            return self.moments[0].instant
        for before, after in pairwise(self.moments):
            if after.aside_kg_m > limit_kg_m:
                first, last = before.state.lateral_moment_kg_m, after.state.lateral_moment_kg_m
                part = (math.copysign(limit_kg_m, last) - first) / (last - first)
                return before.instant + timedelta(seconds=part * (after.instant - before.instant).total_seconds())
        return None


def stuck_flight(
    mission: Mission, phases: Sequence[Phase], pieces: Sequence[Piece], flown: Sequence[Condition], log: TankLog, tank: str
) -> StuckFlight:  # fmt: skip
    """Return the flight as planned with the transfer from one tank stuck from its start.

    Args:
        mission: The mission.
        phases: The phases as flown.
        pieces: What stands where.
        flown: The moments of the flight as planned.
        log: Fuel by tank as planned, whose first moment is what is loaded.
        tank: The tank from which nothing is transferred.
    """
    stuck, dry = log_until_dry(mission, phases, log.contents_m3[0], frozenset({tank}))
    began = phases[0].start.instant
    timed = sorted((one for one in flown if one.elapsed_s is not None), key=lambda one: one.elapsed_s or 0.0)
    found = []
    for moment in _every(timed, stuck, began):
        instant = began + timedelta(seconds=moment.elapsed_s or 0.0)
        if dry is None or instant <= dry:
            held = replace(moment, tanks_m3=stuck.at(instant))
            found.append(StuckMoment(instant, held, weigh(mission, pieces, held)))
    return StuckFlight(stuck, dry, tuple(found))


def _every(timed: Sequence[Condition], stuck: TankLog, began: datetime) -> list[Condition]:
    """Return the moments from take-off to landing, and between them each moment at which a rate of a tank changes."""
    keys = [one.key for one in timed]
    first, last = keys.index("take_off"), keys.index("landing")
    held = list(timed[first : last + 1])
    changes = [(instant - began).total_seconds() for instant in stuck.instants]
    found = []
    for before, after in pairwise(held):
        found.append(before)
        begin_s, end_s = before.elapsed_s or 0.0, after.elapsed_s or 0.0
        between = replace(before, title=f"Before: {after.title}", kind="flight", at_door="", take_off_seats=False,
                          envelope=FLIGHT)  # fmt: skip
        found += [replace(between, elapsed_s=at_s) for at_s in changes if begin_s < at_s < end_s]
    return [*found, held[-1]]


def evened_out_kg(mission: Mission, worst: StuckMoment, limit_kg_m: float) -> float | None:
    """Return how much more has to be burnt [kg] from the heavy side, and as much less from the other, to keep a limit [kg m].

    None where the tanks of the heavy side that feed engines do not hold so much, or where there are none.
    """
    lateral = worst.state.lateral_moment_kg_m
    heavy, light = feeding_tanks(mission, lateral), feeding_tanks(mission, -lateral)
    if not heavy or not light:
        return None
    needed_kg = (abs(lateral) - limit_kg_m) / (_mean_arm_m(heavy) + _mean_arm_m(light))
    contents, density = worst.of.tanks_m3, mission.fuel.density_kg_per_m3
    usable_kg = math.fsum(max(0.0, contents[tank.name] - tank.unusable_m3) for tank in heavy) * density
    room_kg = math.fsum(tank.capacity_m3 - contents[tank.name] for tank in light) * density
    return needed_kg if 0.0 <= needed_kg <= min(usable_kg, room_kg) else None


def feeding_tanks(mission: Mission, side: float) -> list[Tank]:
    """Return the tanks on a side (right positive) that feed engines, not by transfer only."""
    by_transfer = {tank.name for tank in transfer_tanks(mission.aircraft)}
    tanks = mission.aircraft.balance.tanks
    return [tank for tank in tanks if tank.name not in by_transfer and tank.lateral_arm_m * side > 0.0]


def _mean_arm_m(tanks: Sequence[Tank]) -> float:
    return math.fsum(abs(tank.lateral_arm_m) for tank in tanks) / len(tanks)
