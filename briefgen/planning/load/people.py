"""Who is aboard, and what they breathe: the aircraft file gives the use of oxygen for its own crew, everybody else adds theirs."""

from __future__ import annotations

from briefgen.model.aircraft import Fluid
from briefgen.model.mission import Mission

OXYGEN = "oxygen"  # the name the aircraft file gives it among its fluids
S_PER_H = 3600.0


def people_aboard(mission: Mission) -> int:
    """Return how many are aboard: the crew named and the people carried."""
    return len(mission.crew) + sum(people.number for people in mission.people)


def use_ratio(mission: Mission, fluid: Fluid) -> float:
    """Return by how much a supply goes faster than the aircraft file says: oxygen by head, but never slower than the file."""
    if fluid.name != OXYGEN or not mission.people:
        return 1.0
    return max(1.0, people_aboard(mission) / len(mission.aircraft.crew))


def lasts_s(mission: Mission, fluid: Fluid) -> float | None:
    """Return how long the supply at the start lasts to the least for flight [s], None where it is not used by the hour."""
    if not fluid.use_per_hour:
        return None
    handed_on = mission.start.handed_on if mission.start else None
    at_start = handed_on.aboard[fluid.name] if handed_on else fluid.capacity
    above_least = max(0.0, at_start - fluid.least_for_flight)
    return above_least / (fluid.use_per_hour * use_ratio(mission, fluid)) * S_PER_H
