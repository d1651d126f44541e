"""What moving any one item to any other bay does: to the centre of gravity, to the margins, and what stands against it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from briefgen.frozen import dataclass
from briefgen.model.aircraft import Bay
from briefgen.model.mission import LoadItem, Mission
from briefgen.planning.load.conditions import Condition, Weighed
from briefgen.planning.load.pieces import (
    bay_area_m2,
    bay_capacity_kg,
    bay_mass_kg,
    conflicts,
    footprint_m2,
    why_not,
)
from briefgen.planning.load.placement_problem import weigh_all

FINE = "keeps every limit"


@dataclass(frozen=True)
class Move:
    """One item moved to one other bay.

    Attributes:
        change_m: Movement of the centre of gravity at take-off, aft positive.
        room_m: Least distance to a limit over all moments afterwards, None where the mass is outside the envelope.
        verdict: What stands against it, or that it keeps every limit.
    """

    item: str
    bay: str
    change_m: float
    room_m: float | None
    verdict: str


def moves(mission: Mission, moments: Sequence[Condition], bays: Mapping[str, str]) -> list[Move]:
    """Return every move of one item to another bay that could be loaded at all, with what it does."""
    flown = [moment for moment in moments if moment.envelope]
    take_off = [moment.key for moment in flown].index("take_off")
    before_m = weigh_all(mission, flown, bays)[take_off].arm_m
    found = []
    for item in mission.items:
        for bay in mission.aircraft.balance.bays:
            if bay.name == bays[item.name] or (item.leaves != "landing" and bay.door is None):
                continue
            after = {**bays, item.name: bay.name}
            weighed = weigh_all(mission, flown, after)
            change_m = weighed[take_off].arm_m - before_m
            verdict = _against(mission, item, bay, after) or _outside(mission, flown, weighed) or FINE
            found.append(Move(item.name, bay.name, change_m, _room_m(weighed), verdict))
    return found


def _against(mission: Mission, item: LoadItem, bay: Bay, after: Mapping[str, str]) -> str:
    if reason := why_not(mission.aircraft, item, bay):
        return reason
    if bay_mass_kg(mission.items, after, bay) > bay_capacity_kg(bay) * (1 + 1e-9):
        return "too heavy for the bay with what is in it"
    covered_m2 = math.fsum(footprint_m2(other) for other in mission.items if after[other.name] == bay.name)
    if covered_m2 > bay_area_m2(bay) * (1 + 1e-9):
        return "no floor left in the bay"
    company = [found for found in conflicts(mission, after) if item.name in found[:2]]
    return f"{company[0][0]} {company[0][2]}" if company else ""


def _outside(mission: Mission, moments: Sequence[Condition], weighed: Sequence[Weighed]) -> str:
    lateral = mission.aircraft.balance.lateral_moment_limit_kg_m
    for moment, state in zip(moments, weighed, strict=True):
        assert state.margins is not None
        if not state.margins.inside:
            return f"beyond the {state.margins.nearest} at: {moment.title}"
        if lateral is not None and abs(state.lateral_moment_kg_m) > lateral * (1 + 1e-9):
            return f"beyond the lateral limit at: {moment.title}"
    return ""


def _room_m(weighed: Sequence[Weighed]) -> float | None:
    rooms = []
    for state in weighed:
        if state.margins is None or state.margins.forward_m is None or state.margins.aft_m is None:
            return None
        rooms.append(min(state.margins.forward_m, state.margins.aft_m))
    return min(rooms)
