"""'Place it for me': bays for the load that keep every limit through the whole flight, nearest the preferred centre.

Few possibilities are tried one by one; more of them go to a mixed-integer solver. Both keep the same limits and make
the same distance least, and what either proposes is weighed again exactly before it is believed. When there is no
placing, the smallest change that makes one is looked for: moving what was put by hand, then leaving load behind.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import product

from briefgen.errors import PlanError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.constants import LB_KG
from briefgen.model.mission import LoadItem, Mission
from briefgen.planning.load.conditions import Condition, envelope_for
from briefgen.planning.load.pieces import (
    bay_area_m2,
    bay_capacity_kg,
    bay_mass_kg,
    bay_named,
    conflicts,
    footprint_m2,
    why_not,
)
from briefgen.planning.load.placement_binds import what_binds
from briefgen.planning.load.placement_model import OBJECTIVE_FLOOR_M, Programme
from briefgen.planning.load.placement_problem import Moment, Problem, keeps_limits, limits_for, problem_of

FEW = 600  # possibilities tried one by one; more cost longer than starting the solver
NOTHING_HELPS = "no change of the load alone helps: change the fuel or the equipment"
_ROUNDS = 8
_SAME_KG = 0.05


@dataclass(frozen=True)
class Placement:
    """Where the load stands.

    Attributes:
        bays: Bay or station of every item.
        proposed: Names of the items that were not put by hand.
        distance_m: Greatest distance of the centre of gravity from the preferred one over the flight.
        moments: How many moments of the flight keep their limits with it.
    """

    bays: Mapping[str, str]
    proposed: tuple[str, ...]
    distance_m: float
    moments: int


@dataclass(frozen=True)
class Change:
    """The smallest change that makes a placing possible: what to do, in words, and the placing after it."""

    text: str
    bays: Mapping[str, str]
    moved: tuple[str, ...] = ()
    left_behind: tuple[str, ...] = ()
    removed_kg: float = 0.0


def place(mission: Mission, conditions: Sequence[Condition]) -> Placement:
    """Return where every item stands: by hand as written, the others as proposed.

    Raises PlanError with the smallest change that would help when the others cannot be placed.
    """
    _require_names_differ(mission)
    by_hand = {item.name: item.bay for item in mission.items if item.bay is not None}
    free = tuple(item.name for item in mission.items if item.bay is None)
    if not free:
        return Placement(by_hand, (), 0.0, len(conditions))
    problem = problem_of(mission, conditions)
    _require_a_bay_for_each(problem, conditions)
    found = _best(problem)
    if found is None:
        change = smallest_change(mission, conditions)
        raise PlanError(
            f"the load cannot be placed: no arrangement keeps every limit through the whole flight; {what_binds(problem)}",
            where="load",
            expected="masses, floors, doors and the centre of gravity within limits at every moment and after a "
            "failure to drop",
            hint=change.text if change else NOTHING_HELPS,
        )  # fmt: skip
    bays = {**by_hand, **found}
    return Placement(bays, free, distance_from_preferred_m(problem, found), len(problem.moments))


def _require_a_bay_for_each(problem: Problem, conditions: Sequence[Condition]) -> None:
    for item, bays in zip(problem.items, problem.choices, strict=True):
        if not bays:
            aircraft = problem.mission.aircraft
            reasons = "; ".join(f"bay {bay.name}: {why_not(aircraft, item, bay)}" for bay in aircraft.balance.bays)
            change = smallest_change(problem.mission, conditions)
            raise PlanError(
                f"no bay takes it ({reasons})", where=f"load item {item.name}",
                expected="at least one bay that takes it", hint=change.text if change else "divide the item",
            )  # fmt: skip


def _require_names_differ(mission: Mission) -> None:
    names = [item.name for item in mission.items]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise PlanError(
            f"two load items are called '{twice[0]}'", where="load", expected="a name of its own for each item",
            hint="number them, such as 'Rice 1' and 'Rice 2'",
        )  # fmt: skip


def distance_from_preferred_m(problem: Problem, bays: Mapping[str, str]) -> float:
    """Return the greatest distance of the centre of gravity from the preferred one over the flight."""
    return max(abs(_arm_m(problem, m, bays) - problem.preferred_m) for m in problem.moments if m.aims)


def _arm_m(problem: Problem, moment: Moment, bays: Mapping[str, str]) -> float:
    total = moment.fixed_moment_kg_m
    for index, item in enumerate(problem.items):
        if moment.aboard[index]:
            names = [bay.name for bay in problem.choices[index]]
            total += item.mass_kg * moment.arms_m[index][names.index(bays[item.name])][0]
    return total / moment.mass_kg


def _best(problem: Problem) -> dict[str, str] | None:
    if any(moment.forward_m is None for moment in problem.moments):
        return None
    if math.prod(len(bays) for bays in problem.choices) <= FEW:
        return best_by_trial(problem)
    return best_by_programme(problem)


def best_by_trial(problem: Problem) -> dict[str, str] | None:
    """Return the best placing by weighing every possibility; of equals the first in the order of the bays."""
    best: tuple[float, dict[str, str]] | None = None
    for bays in product(*problem.choices):
        placed = {item.name: bay.name for item, bay in zip(problem.items, bays, strict=True)}
        if not keeps_floor_and_company(problem.mission, problem.items, placed):
            continue
        distance_m = max(distance_from_preferred_m(problem, placed), OBJECTIVE_FLOOR_M)
        if best is not None and distance_m >= best[0]:
            continue
        if keeps_limits(problem.mission, problem.conditions, _with_stations(problem.mission, placed)):
            best = (distance_m, placed)
    return best[1] if best else None


def best_by_programme(problem: Problem) -> dict[str, str] | None:
    """Return the best placing by mixed-integer programming, weighed again exactly."""
    programme = Programme(problem)
    programme.keep_all_aboard()
    programme.write_balance([_limit(moment) for moment in problem.moments])
    programme.aim()
    placed = programme.solve()
    if placed is None:
        return None
    _require_exact(problem, placed)
    return placed


def _limit(moment: Moment) -> tuple[float, float] | None:
    return None if moment.forward_m is None or moment.aft_m is None else (moment.forward_m, moment.aft_m)


def _with_stations(mission: Mission, placed: Mapping[str, str]) -> dict[str, str]:
    return {**{item.name: item.bay for item in mission.items if item.bay is not None}, **placed}


def _require_exact(problem: Problem, placed: Mapping[str, str]) -> None:
    everything = _with_stations(problem.mission, placed)
    if not keeps_limits(problem.mission, problem.conditions, everything):
        raise ArithmeticError("the solver's placing does not keep the limits when weighed exactly")


def keeps_floor_and_company(mission: Mission, items: Sequence[LoadItem], bays: Mapping[str, str]) -> bool:
    """Return whether the bays carry and hold what stands in them, and nothing stands in bad company."""
    for bay in mission.aircraft.balance.bays:
        if bay_mass_kg(items, bays, bay) > bay_capacity_kg(bay) * (1 + 1e-9):
            return False
        if math.fsum(footprint_m2(item) for item in items if bays[item.name] == bay.name) > bay_area_m2(bay) * (
            1 + 1e-9
        ):
            return False
    return not conflicts(replace(mission, items=tuple(items)), bays)


def smallest_change(mission: Mission, conditions: Sequence[Condition]) -> Change | None:
    """Return the smallest change that makes a placing: fewest items moved by hand, else least mass left behind."""
    return _fewest_moved(mission, conditions) or _least_left_behind(mission, conditions)


def _fewest_moved(mission: Mission, conditions: Sequence[Condition]) -> Change | None:
    by_hand = {item.name: item.bay for item in mission.items if item.bay and bay_named(mission.aircraft, item.bay)}
    if not by_hand:
        return None
    problem = problem_of(mission, conditions, by_hand_kept=False)
    if any(moment.forward_m is None for moment in problem.moments) or not all(problem.choices):
        return None
    programme = Programme(problem)
    programme.keep_all_aboard()
    programme.write_balance([_limit(moment) for moment in problem.moments])
    for item, bays, columns in zip(problem.items, problem.choices, programme.stands, strict=True):
        for bay, column in zip(bays, columns, strict=True):
            if item.name in by_hand and bay.name != by_hand[item.name]:
                programme.cost(column, 1.0)
    placed = programme.solve()
    if placed is None:
        return None
    moved = tuple(name for name, bay in by_hand.items() if placed[name] != bay)
    words = [f"{name} from bay {by_hand[name]} to bay {placed[name]}" for name in moved]
    return Change("move " + ", ".join(words), placed, moved)


def _least_left_behind(mission: Mission, conditions: Sequence[Condition]) -> Change | None:
    """Solve with the limits of the masses last found until they agree with themselves, then weigh exactly."""
    problem = problem_of(mission, conditions, by_hand_kept=False)
    behind: tuple[str, ...] = ()
    for _ in range(_ROUNDS):
        placed = _placed_with_fewest(problem, behind)
        if placed is None:
            return None
        behind = tuple(item.name for item in problem.items if item.name not in placed)
        lighter = replace(mission, items=tuple(item for item in mission.items if item.name not in behind))
        if keeps_limits(lighter, problem.conditions, _with_stations(lighter, placed)):
            return _change(mission, conditions, placed, behind)
    return None


def _placed_with_fewest(problem: Problem, behind: Sequence[str]) -> dict[str, str] | None:
    programme = Programme(problem)
    limits = []
    for moment, condition in zip(problem.moments, problem.conditions, strict=True):
        left_kg = math.fsum(
            i.mass_kg for i, on in zip(problem.items, moment.aboard, strict=True) if on and i.name in behind
        )
        greatest_kg = _greatest_mass_kg(problem.mission, condition)
        programme.write_mass_limit(moment, greatest_kg)
        forward_m, aft_m = limits_for(problem.mission, condition, min(moment.mass_kg - left_kg, greatest_kg))
        if forward_m is None or aft_m is None:
            return None
        limits.append((forward_m, aft_m))
    programme.write_balance(limits)
    for item, column in zip(problem.items, programme.aboard, strict=True):
        programme.cost(column, -item.mass_kg)
    return programme.solve()


def _greatest_mass_kg(mission: Mission, condition: Condition) -> float:
    top_kg = max(envelope_for(mission.aircraft, condition.envelope).mass_kg)
    return top_kg if condition.limit_kg is None else min(top_kg, condition.limit_kg)


def _change(
    mission: Mission, conditions: Sequence[Condition], placed: Mapping[str, str], behind: tuple[str, ...]
) -> Change:
    items = {item.name: item for item in mission.items}
    removed_kg = math.fsum(items[name].mass_kg for name in behind)
    by_hand = {item.name: item.bay for item in mission.items if item.bay and item.name in placed}
    moved = tuple(name for name, bay in by_hand.items() if placed[name] != bay)
    text = "leave behind " + ", ".join(f"{name} ({items[name].mass_kg / LB_KG:,.0f} lb)" for name in behind)
    if len(behind) == 1:
        part_lb = _least_part_lb(mission, conditions, behind[0])
        if part_lb * LB_KG < removed_kg - _SAME_KG:
            text += f", or at least {part_lb:,} lb of it"
            removed_kg = part_lb * LB_KG
    if moved:
        text += ", and move " + ", ".join(f"{name} from bay {by_hand[name]} to bay {placed[name]}" for name in moved)
    return Change(text, placed, moved, behind, removed_kg)


def _least_part_lb(mission: Mission, conditions: Sequence[Condition], name: str) -> int:
    """Return the least whole pounds to take off one item, by halving, so that everything can be placed."""
    whole_kg = next(item.mass_kg for item in mission.items if item.name == name)
    low_lb, high_lb = 0, math.ceil(whole_kg / LB_KG)
    while high_lb - low_lb > 1:
        middle_lb = (low_lb + high_lb) // 2
        if _possible(_lightened(mission, name, middle_lb * LB_KG), conditions):
            high_lb = middle_lb
        else:
            low_lb = middle_lb
    return high_lb


def _lightened(mission: Mission, name: str, off_kg: float) -> Mission:
    items = tuple(replace(item, mass_kg=item.mass_kg - off_kg) if item.name == name else item for item in mission.items)
    return replace(mission, items=items)


def _possible(mission: Mission, conditions: Sequence[Condition]) -> bool:
    problem = problem_of(mission, conditions, by_hand_kept=False)
    limits = [_limit(moment) for moment in problem.moments]
    if None in limits or not all(problem.choices):
        return False
    programme = Programme(problem)
    programme.keep_all_aboard()
    programme.write_balance(limits)
    return programme.solve() is not None
