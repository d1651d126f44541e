"""The placing problem as a mixed-integer programme for HiGHS. The solver is imported here and nowhere else.

Columns: one binary for each item and bay it may stand in, one for each item saying it is aboard at all, and the
greatest distance from the preferred centre of gravity. Rows of balance are divided by the mass, so they are in metres.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from briefgen.planning.load.pieces import (
    apart,
    bay_area_m2,
    bay_capacity_kg,
    footprint_m2,
    in_the_way,
    leaving_rank,
    neighbours,
    run_labels,
)
from briefgen.planning.load.placement_problem import Moment, Problem

# A placing this close to the preferred centre is not improved: an exact zero would cost seconds and move nothing.
OBJECTIVE_FLOOR_M = 0.0254  # an inch
# Nor is one that can be beaten by no more than a quarter of an inch.
GAP_M = 0.00635
# One thread and a fixed start: the same load is always placed alike. Presolving costs more than it saves at this size.
OPTIONS = {"output_flag": False, "threads": 1, "random_seed": 0, "presolve": "off", "mip_abs_gap": GAP_M}
# Limits are kept by this much, so that a placing on a limit is still inside when weighed exactly.
_INSIDE_M = 1e-5
_WHOLE = 0.5
Limits = Sequence[tuple[float, float] | None]


class Programme:
    """One programme being written; solve it once."""

    def __init__(self, problem: Problem) -> None:
        import highspy

        self.problem = problem
        # The class above this one prints a banner on standard output when it is made, before it can be told not to.
        solver: Any = highspy.Highs
        self._highs = solver.__base__()
        self._integer = highspy.HighsVarType.kInteger
        self._optimal = highspy.HighsModelStatus.kOptimal
        self._infinity = highspy.kHighsInf
        for option, value in OPTIONS.items():
            self._highs.setOptionValue(option, value)
        self._columns = 0
        self._missed: int | None = None
        self.stands = [[self._binary() for _ in bays] for bays in problem.choices]
        self.aboard = [self._binary() for _ in problem.items]
        self._write_bays()
        self._write_company()

    def _binary(self) -> int:
        column = self._column(0.0, 1.0)
        self._highs.changeColIntegrality(column, self._integer)
        return column

    def _column(self, low: float, high: float) -> int:
        self._highs.addVar(low, high)
        self._columns += 1
        return self._columns - 1

    def _row(self, low: float, high: float, terms: Mapping[int, float]) -> None:
        self._highs.addRow(low, high, len(terms), list(terms), list(terms.values()))

    def at_most(self, high: float, terms: Mapping[int, float]) -> None:
        """Add a row: the sum is at most a value."""
        self._row(-self._infinity, high, terms)

    def at_least(self, low: float, terms: Mapping[int, float]) -> None:
        """Add a row: the sum is at least a value."""
        self._row(low, self._infinity, terms)

    def cost(self, column: int, cost: float) -> None:
        """Count a column in what is made least."""
        self._highs.changeColCost(column, cost)

    def keep_all_aboard(self) -> None:
        """Allow nothing to stay behind."""
        for column in self.aboard:
            self._highs.changeColBounds(column, 1.0, 1.0)

    def _in_bays(self, names: Collection[str], item: int) -> dict[int, float]:
        bays = self.problem.choices[item]
        return {column: 1.0 for bay, column in zip(bays, self.stands[item], strict=True) if bay.name in names}

    def _write_bays(self) -> None:
        """Each item in one bay if aboard; each bay within its mass, running load and floor area."""
        problem = self.problem
        for columns, aboard in zip(self.stands, self.aboard, strict=True):
            self._row(0.0, 0.0, {**dict.fromkeys(columns, 1.0), aboard: -1.0})
        for bay in problem.mission.aircraft.balance.bays:
            masses: dict[int, float] = {}
            areas: dict[int, float] = {}
            for index, item in enumerate(problem.items):
                for column in self._in_bays((bay.name,), index):
                    masses[column] = item.mass_kg
                    areas[column] = footprint_m2(item)
            if masses:
                self.at_most(bay_capacity_kg(bay), masses)
                self.at_most(bay_area_m2(bay), areas)

    def _write_company(self) -> None:
        """Dangerous classes a bay apart; nothing that leaves later between a load and its door."""
        for first, item in enumerate(self.problem.items):
            for second, other in enumerate(self.problem.items[:first]):
                if apart(item, other):
                    self._keep_apart(first, second)
        labels = run_labels(self.problem.mission)
        ranks = [leaving_rank(item, labels) for item in self.problem.items]
        before: dict[str, int] = {}
        for rank in sorted(set(ranks) - {len(labels)}):
            before = self._keep_way_clear(rank, ranks, before)

    def _keep_way_clear(self, rank: int, ranks: Sequence[int], before: Mapping[str, int]) -> dict[str, int]:
        """Add one binary a bay: something that leaves by this pass stands there or further from the door.

        Then nothing that leaves later may stand in the way. Of bays behind one another, and of pass after pass, one
        says the same as the next, which ties the binaries together and keeps the search short.
        """
        aircraft = self.problem.mission.aircraft
        ways = {bay.name: in_the_way(aircraft, bay) for bay in aircraft.balance.bays}
        used = {name: self._binary() for name, way in ways.items() if way}
        for name, column in used.items():
            behind = [other for other in used if ways[other] >= ways[name] and other != name and name in ways[other]]
            for other in behind:
                self.at_least(0.0, {column: 1.0, used[other]: -1.0})
            if name in before:
                self.at_least(0.0, {column: 1.0, before[name]: -1.0})
            for index, other_rank in enumerate(ranks):
                if other_rank == rank and (there := self._in_bays((name, *behind), index)):
                    self.at_most(0.0, {**there, column: -1.0})
                elif other_rank > rank and (there := self._in_bays(ways[name], index)):
                    self.at_most(1.0, {**there, column: 1.0})
        return used

    def _keep_apart(self, first: int, second: int) -> None:
        aircraft = self.problem.mission.aircraft
        for bay, column in zip(self.problem.choices[first], self.stands[first], strict=True):
            near = self._in_bays(neighbours(aircraft, bay), second)
            if near:
                self.at_most(1.0, {column: 1.0, **near})

    def shares(self, moment: Moment, origin_m: float, side: int) -> dict[int, float]:
        """Return, for each column, the moment about an origin that item has there, divided by the mass."""
        terms = {}
        for index, item in enumerate(self.problem.items):
            if moment.aboard[index]:
                for column, arms in zip(self.stands[index], moment.arms_m[index], strict=True):
                    terms[column] = item.mass_kg * (arms[side] - origin_m) / moment.mass_kg
        return terms

    def write_balance(self, limits: Limits, *, may_miss: bool = False) -> None:
        """Keep the centre of gravity between its limits, and the lateral moment within its own, at every moment.

        About a limit the moment of everything has to be aft, or forward, of nothing: true whatever the mass is, so the
        same rows serve while items may stay behind. Where limits may be missed, the greatest miss is made least.
        """
        for moment, limit in zip(self.problem.moments, limits, strict=True):
            if limit is None:
                continue
            for bound_m, add in ((limit[0], self.at_least), (limit[1], self.at_most)):
                fixed_m = (moment.fixed_moment_kg_m - bound_m * moment.fixed_mass_kg) / moment.mass_kg
                inside_m = _INSIDE_M if add == self.at_least else -_INSIDE_M
                add(inside_m - fixed_m, {**self.shares(moment, bound_m, 0), **self._miss(may_miss, inside_m)})
            self._write_lateral(moment, may_miss=may_miss)

    def _miss(self, may_miss: bool, sign: float) -> dict[int, float]:
        """Return the column by which every row may miss its limit, upward or downward; none where it may not."""
        if not may_miss:
            return {}
        if self._missed is None:
            self._missed = self._column(0.0, self._infinity)
            self.cost(self._missed, 1.0)
            self._highs.setOptionValue("mip_abs_gap", _INSIDE_M)
        return {self._missed: math.copysign(1.0, sign)}

    def _write_lateral(self, moment: Moment, *, may_miss: bool) -> None:
        limit = self.problem.lateral_limit_kg_m
        if limit is not None:
            terms = self.shares(moment, 0.0, 1)
            fixed_m, limit_m = moment.fixed_lateral_kg_m / moment.mass_kg, limit / moment.mass_kg
            self.at_least(-limit_m - fixed_m, {**terms, **self._miss(may_miss, 1.0)})
            self.at_most(limit_m - fixed_m, {**terms, **self._miss(may_miss, -1.0)})

    def write_mass_limit(self, moment: Moment, greatest_kg: float) -> None:
        """Keep the mass at a moment within a limit by leaving items behind."""
        terms = {
            self.aboard[index]: item.mass_kg for index, item in enumerate(self.problem.items) if moment.aboard[index]
        }
        self.at_most(greatest_kg - moment.fixed_mass_kg, terms)

    def aim(self) -> None:
        """Make the greatest distance from the preferred centre of gravity over the flight least, down to the floor."""
        preferred_m = self.problem.preferred_m
        distance = self._column(OBJECTIVE_FLOOR_M, self._infinity)
        self.cost(distance, 1.0)
        for moment in self.problem.moments:
            if moment.aims:
                fixed_m = (moment.fixed_moment_kg_m - preferred_m * moment.fixed_mass_kg) / moment.mass_kg
                terms = self.shares(moment, preferred_m, 0)
                self.at_most(-fixed_m, {**terms, distance: -1.0})
                self.at_least(-fixed_m, {**terms, distance: 1.0})

    def solve(self) -> dict[str, str] | None:
        """Return the bay of each item that is aboard, or None when there is no placing."""
        self._highs.run()
        if self._highs.getModelStatus() != self._optimal:
            return None
        values = self._highs.getSolution().col_value
        return {
            item.name: bay.name
            for item, bays, columns in zip(self.problem.items, self.problem.choices, self.stands, strict=True)
            for bay, column in zip(bays, columns, strict=True)
            if values[column] > _WHOLE
        }
