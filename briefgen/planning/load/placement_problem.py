"""Placing load as a problem: which item may stand where, and what each moment of the flight asks of the sum.

Every item is in exactly one bay. At a moment of the flight its share of the moment is its mass times the arm it then
has: of its bay, of the door when it stands there, none when it has left. With all items aboard the mass at each moment
is known beforehand, so the limits of the centre of gravity are limits of a linear sum.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from briefgen.errors import PlanError
from briefgen.frozen import dataclass, replace
from briefgen.model.aircraft import Bay
from briefgen.model.mission import LoadItem, Mission
from briefgen.planning.load.conditions import Condition, Weighed, door_arms, limits_at, weigh
from briefgen.planning.load.pieces import bay_named, fixed_pieces, item_pieces, why_not


@dataclass(frozen=True)
class Moment:
    """What one moment of the flight asks.

    Attributes:
        title: The moment as people read it.
        mass_kg: Mass with every item that is then aboard.
        fixed_moment_kg_m: Moment of all that is not placed here; likewise sideways.
        forward_m: Limit of the centre of gravity at that mass; None when that mass is not allowed at all.
        aboard: Whether each item is aboard, in the order of the items.
        arms_m: Arm and lateral arm of each item in each of its bays.
        aims: Whether the preferred centre of gravity is aimed at here; not with load at the door or hung up.
    """

    title: str
    mass_kg: float
    fixed_mass_kg: float
    fixed_moment_kg_m: float
    fixed_lateral_kg_m: float
    forward_m: float | None
    aft_m: float | None
    aboard: tuple[bool, ...]
    arms_m: tuple[tuple[tuple[float, float], ...], ...]
    aims: bool


@dataclass(frozen=True)
class Problem:
    """All that decides where the load may stand."""

    mission: Mission
    conditions: tuple[Condition, ...]
    items: tuple[LoadItem, ...]
    choices: tuple[tuple[Bay, ...], ...]
    moments: tuple[Moment, ...]
    lateral_limit_kg_m: float | None
    preferred_m: float


def problem_of(mission: Mission, conditions: Sequence[Condition], *, by_hand_kept: bool = True) -> Problem:
    """Return the placing of every item that stands in a bay; without keeping, items put by hand may move as well.

    An item that no bay takes has no choice left.
    """
    aircraft = mission.aircraft
    at_stations = {item.name for item in mission.items if item.bay and bay_named(aircraft, item.bay) is None}
    items = tuple(item for item in mission.items if item.name not in at_stations)
    choices = tuple(_choices(mission, item, by_hand_kept) for item in items)
    flown = tuple(condition for condition in conditions if condition.envelope)
    moments = tuple(moment_of(mission, condition, items, choices, at_stations) for condition in flown)
    return Problem(
        mission, flown, items, choices, moments, aircraft.balance.lateral_moment_limit_kg_m, _preferred(mission)
    )


def _choices(mission: Mission, item: LoadItem, by_hand_kept: bool) -> tuple[Bay, ...]:
    aircraft = mission.aircraft
    by_hand = bay_named(aircraft, item.bay) if item.bay else None
    if by_hand is not None and by_hand_kept:
        return (by_hand,)
    return tuple(bay for bay in aircraft.balance.bays if not why_not(aircraft, item, bay))


def _preferred(mission: Mission) -> float:
    balance = mission.aircraft.balance
    if balance.preferred_arm_m is not None:
        return balance.preferred_arm_m
    raise PlanError(
        "the aircraft file gives no preferred centre of gravity to aim for", where="balance",
        expected="a preferred arm, such as 270 in", hint="write it into the aircraft file, or put every item by hand",
    )  # fmt: skip


def moment_of(
    mission: Mission, condition: Condition, items: Sequence[LoadItem], choices: Sequence[Sequence[Bay]],
    at_stations: set[str],
) -> Moment:  # fmt: skip
    """Return what one condition asks of the placing."""
    staying = replace(mission, items=tuple(item for item in mission.items if item.name in at_stations))
    fixed = (*fixed_pieces(mission), *item_pieces(staying, {}))
    base = weigh(mission, fixed, condition)
    aboard = tuple(item.leaves not in condition.gone for item in items)
    mass_kg = base.mass_kg + math.fsum(item.mass_kg for item, on in zip(items, aboard, strict=True) if on)
    forward_m, aft_m = limits_for(mission, condition, mass_kg)
    arms = tuple(
        tuple(_arms(mission, condition, item, bay) for bay in bays) for item, bays in zip(items, choices, strict=True)
    )
    return Moment(
        condition.title, mass_kg, base.mass_kg, base.moment_kg_m, base.lateral_moment_kg_m, forward_m, aft_m,
        aboard, arms, condition.kind == "flight",
    )  # fmt: skip


def _arms(mission: Mission, condition: Condition, item: LoadItem, bay: Bay) -> tuple[float, float]:
    if item.leaves == condition.at_door and condition.at_door:
        return door_arms(mission.aircraft, bay.name)
    return 0.5 * (bay.from_arm_m + bay.to_arm_m), bay.lateral_arm_m + (item.lateral_arm_m or 0.0)


def limits_for(mission: Mission, condition: Condition, mass_kg: float) -> tuple[float | None, float | None]:
    """Return the forward and aft limit at a mass, None when the mass is over a limit."""
    too_heavy = condition.limit_kg is not None and mass_kg > condition.limit_kg * (1 + 1e-9)
    found = None if too_heavy else limits_at(mission, condition, mass_kg)
    return found if found is not None else (None, None)


def weigh_all(mission: Mission, conditions: Sequence[Condition], bays: Mapping[str, str]) -> list[Weighed]:
    """Return how she weighs at each condition with the load in these bays."""
    pieces = (*fixed_pieces(mission), *item_pieces(mission, bays))
    return [weigh(mission, pieces, condition) for condition in conditions]


def keeps_limits(mission: Mission, conditions: Sequence[Condition], bays: Mapping[str, str]) -> bool:
    """Return whether every moment of the flight keeps mass, envelope and lateral limit with the load in these bays."""
    lateral = mission.aircraft.balance.lateral_moment_limit_kg_m
    for condition, weighed in zip(conditions, weigh_all(mission, conditions, bays), strict=True):
        if weighed.margins is not None and not weighed.margins.inside:
            return False
        if condition.limit_kg is not None and weighed.mass_kg > condition.limit_kg * (1 + 1e-9):
            return False
        if condition.envelope and lateral is not None and abs(weighed.lateral_moment_kg_m) > lateral * (1 + 1e-9):
            return False
    return True
