"""Why a load cannot be placed: the limit and the moment of the flight that bind."""

from __future__ import annotations

from collections.abc import Mapping

from briefgen.kernel.constants import FT_M, LB_KG
from briefgen.planning.load.conditions import Weighed
from briefgen.planning.load.placement_model import Programme
from briefgen.planning.load.placement_problem import Problem, weigh_all

INCHES_PER_FT = 12.0
FLOOR = "the bays do not take it all: floors, weights of the bays, doors, order of leaving or dangerous classes stand against it"


def what_binds(problem: Problem) -> str:
    """Return which limit is missed at which moment, and by how much, in the arrangement whose greatest miss is least."""
    for moment, condition in zip(problem.moments, problem.conditions, strict=True):
        if moment.forward_m is None:
            limit = "" if condition.limit_kg is None else f", at most {condition.limit_kg / LB_KG:,.0f} lb"
            return f"the weight binds: {moment.title}, {moment.mass_kg / LB_KG:,.0f} lb{limit}, and within the envelope"
    programme = Programme(problem)
    programme.keep_all_aboard()
    limits = [(m.forward_m, m.aft_m) for m in problem.moments if m.forward_m is not None and m.aft_m is not None]
    programme.write_balance(limits, may_miss=True)
    placed = programme.solve()
    return FLOOR if placed is None else _worst(problem, placed)


def _worst(problem: Problem, placed: Mapping[str, str]) -> str:
    at_hand = {item.name: item.bay for item in problem.mission.items if item.bay is not None}
    weighed = weigh_all(problem.mission, problem.conditions, {**at_hand, **placed})
    found = [
        (missed_m, f"{moment.title}, {missed_m / FT_M * INCHES_PER_FT:,.1f} in outside the {limit} at best")
        for moment, state in zip(problem.moments, weighed, strict=True)
        for missed_m, limit in _missed(problem, state, moment.forward_m or 0.0, moment.aft_m or 0.0)
    ]
    return f"what binds: {max(found)[1]}"


def _missed(problem: Problem, state: Weighed, forward_m: float, aft_m: float) -> list[tuple[float, str]]:
    """Return by how much each limit is missed, negative where it is kept."""
    lateral = problem.lateral_limit_kg_m
    found = [(forward_m - state.arm_m, "forward limit"), (state.arm_m - aft_m, "aft limit")]
    if lateral is not None:
        found.append(((abs(state.lateral_moment_kg_m) - lateral) / state.mass_kg, "lateral limit"))
    return found
