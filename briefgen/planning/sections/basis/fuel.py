"""Fuel required, built up by the policy of the rule set, against fuel on board."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.errors import PlanError
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.plan import PhaseKind
from briefgen.model.record import Absent, Figure, Record, Ref, Sum, figure, given, note, rests_on, total
from briefgen.model.tables import ColumnOf, TableOf
from briefgen.planning.flight.fuel_policy import GROUND_OUT, ON_THE_GROUND, Reserve
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import BALANCE, FLOWN_BY, PLACES, RULES, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.written_load import RampFuel

MASS, VOLUME = ColumnOf("mass", "Weight", "lb"), ColumnOf("volume", "Volume", "US gal")
FUEL_SHEET = TableOf("fuel.required", "Fuel required and on board", (MASS, VOLUME))


class FuelPolicyFigures(Record):
    """What the rule set asks for, and the flow at which it is reckoned."""

    at = "fuel"

    def __init__(self, mission: Mission, reserve: Reserve, last: PhaseFigures) -> None:
        self._policy, self._reserve, self.origin = mission.rules.fuel, reserve, reserve.setting.source
        self._last = last  # the phase with which she arrives where the reserve is kept

    @figure(
        "Holding fuel flow for the reserve", "lb/h", source="%(origin)s",
        how="level flight at the holding speed, at the reserve height and the weight on arrival",
    )  # fmt: skip
    def final_reserve_flow(self) -> float:
        rests_on(self._last.mass, self._last.end)
        note("fuel.grade")
        rest_on_groups(*FLOWN_BY, PLACES, RULES)
        return self._reserve.setting.fuel_flow_kg_per_s

    @given("Contingency, least time of holding", "min", spec="rules:fuel.contingency minimum")
    def contingency_time(self) -> float:
        if not self._policy.contingency_minimum_s:
            raise Absent("the rule set asks for no least time")
        return self._policy.contingency_minimum_s

    @given("Contingency", "%", spec="rules:fuel.contingency")
    def contingency_ratio(self) -> float:
        return self._policy.contingency_ratio

    @given("One go-around and circuit", "min", spec="rules:fuel.go-around")
    def go_around_time(self) -> float:
        if not self._policy.go_around_s:
            raise Absent("the rule set asks for no go-around")
        return self._policy.go_around_s

    @given("Final reserve", "min", spec="rules:fuel.final reserve")
    def final_reserve_time(self) -> float:
        return self._policy.final_reserve_s


class IslandReserve(Record):
    """The reserve carried in place of an alternate."""

    at = "fuel"

    def __init__(self, mission: Mission) -> None:
        self._span_s = mission.rules.fuel.island_reserve_s

    @given("Island reserve", "min", spec="rules:fuel.island reserve")
    def island_reserve_time(self) -> float:
        if self._span_s is None:
            raise PlanError(
                "the mission has no alternate and its rule set has no island reserve",
                expected="an alternate, or an island reserve in the fuel policy",
            )
        return self._span_s


class FuelRequired(Record):
    """The fuel required, line by line, each by weight and by volume."""

    at = "fuel.required"

    def __init__(
        self, mission: Mission, log: Navigation, policy: FuelPolicyFigures, island: IslandReserve | None
    ) -> None:
        self._mission, self._log, self.policy, self.island_reserve = mission, log, policy, island
        self.ident, self.destination = policy._reserve.ident, mission.route.destination.ident
        ways = {ident: way[0].phase.start.fuel_kg - way[-1].phase.end.fuel_kg for ident, way in log.ways.items()}
        self.farthest = max(ways, key=lambda ident: ways[ident]) if ways else ""

    def fuel_density(self) -> float:
        note("fuel.density")
        return self._mission.fuel.density_kg_per_m3

    def _burnt(self, phases: Sequence[PhaseFigures]) -> Sum:
        return Sum([PhaseFigures.fuel_burn.of(phase) for phase in phases])

    def _in_air(self, hold: bool) -> list[PhaseFigures]:
        air = [one for one in self._log.phases if one.phase.kind not in ON_THE_GROUND]
        return [one for one in air if (one.phase.kind == "hold") is hold]

    @total("Start, taxi and run-up", "lb", how="sum of the phases on the ground", volume=True)
    def taxi(self) -> Sum:
        return self._burnt([one for one in self._log.phases if one.phase.kind in GROUND_OUT])

    @total("Trip, take-off to landing", "lb", how="sum of the phases in the air but the hold", volume=True)
    def trip(self) -> Sum:
        return self._burnt(self._in_air(hold=False))

    @figure(
        "Contingency", "lb", how="share of the trip fuel, but no less than the policy's time of holding", volume=True
    )
    def contingency(self) -> float:
        policy = self.policy
        share_kg = policy.contingency_ratio * self.trip
        least_s = FuelPolicyFigures.contingency_time.or_none(policy)
        return share_kg if least_s is None else max(share_kg, least_s * policy.final_reserve_flow)

    @total("Planned hold", "lb", how="sum of the hold", volume=True)
    def hold(self) -> Sum:
        return self._burnt(self._in_air(hold=True))

    @total("Alternate, %(farthest)s", "lb", how="sum of the phases to the alternate that needs most", volume=True)
    def alternate(self) -> Sum:
        if not self.farthest:
            raise Absent("the mission has no alternate")
        return self._burnt(self._log.ways[self.farthest])

    @figure(
        "Island reserve", "lb", how="holding fuel flow for the policy's time, in place of an alternate", volume=True
    )
    def island(self) -> float:
        if self.island_reserve is None:
            raise Absent("the mission has an alternate")
        return self.island_reserve.island_reserve_time * self.policy.final_reserve_flow

    @figure("One go-around at %(destination)s", "lb", volume=True,
            how="climb at its power to the circuit, then the pattern, for the policy's time")  # fmt: skip
    def go_around(self) -> float:
        policy = self.policy
        if FuelPolicyFigures.go_around_time.or_none(policy) is None:
            raise Absent("the rule set asks for no go-around")
        rests_on(policy.go_around_time, policy._last.mass)
        note("fuel.grade")
        rest_on_groups(*FLOWN_BY, PLACES)
        return policy._reserve.go_around_kg

    @figure("Final reserve at %(ident)s", "lb", how="holding fuel flow for the policy's time", volume=True)
    def final_reserve(self) -> float:
        return self.policy.final_reserve_time * self.policy.final_reserve_flow

    @figure("Unusable", "lb", how="unusable fuel of all tanks, aircraft file", volume=True)
    def unusable(self) -> float:
        rest_on_groups(BALANCE)
        return math.fsum(tank.unusable_m3 for tank in self._mission.aircraft.balance.tanks) * self.fuel_density()

    def lines(self) -> list[Figure[FuelRequired, float]]:
        """Return the lines above the total, in their order."""
        one = FuelRequired
        wanted = (
            one.taxi,
            one.trip,
            one.contingency,
            one.hold,
            one.alternate,
            one.island,
            one.go_around,
            one.final_reserve,
            one.unusable,
        )
        return [line for line in wanted if line.of(self).there]

    @total("Fuel required", "lb", how="sum of the lines above", volume=True, rounding="up")
    def total(self) -> Sum:
        return Sum([line.of(self) for line in self.lines()])


class FuelMargin(Record):
    """What is on board against what is required, and at each milestone."""

    at = "fuel"

    def __init__(self, mission: Mission, log: Navigation, required: FuelRequired) -> None:
        self._mission, self._log, self._required = mission, log, required

    def fuel_density(self) -> float:
        return self._mission.fuel.density_kg_per_m3

    @total("Fuel over what is required", "lb", how="fuel at the ramp less fuel required", volume=True, rounding="down")
    def margin(self) -> Sum:
        return Sum([RampFuel.ramp.of(self._log.fuel)], [FuelRequired.total.of(self._required)])

    def _left_after(self, kind: PhaseKind) -> Sum:
        flown = [one for one in self._log.phases if one.phase.kind == kind]
        if not flown:
            raise Absent(f"no {kind} is flown")
        return Sum([PhaseFigures.fuel_remaining.of(flown[-1])])

    @total("Fuel remaining at take-off", "lb", how="fuel remaining at the end of the phase", volume=True)
    def at_take_off(self) -> Sum:
        return self._left_after("run-up")

    @total("Fuel remaining after the hold", "lb", how="fuel remaining at the end of the phase", volume=True)
    def after_hold(self) -> Sum:
        return self._left_after("hold")

    @total("Fuel remaining after landing", "lb", how="fuel remaining at the end of the phase", volume=True)
    def at_landing(self) -> Sum:
        return self._left_after("approach")


class FuelSheet(Record):
    """The whole fuel sheet."""

    def __init__(self, mission: Mission, log: Navigation, reserve: Reserve) -> None:
        way = log.ways.get(reserve.ident)
        self.policy = FuelPolicyFigures(mission, reserve, (way or log.phases_in_air)[-1])
        self.island = None if log.ways else IslandReserve(mission)
        self.required = FuelRequired(mission, log, self.policy, self.island)
        self.margin = FuelMargin(mission, log, self.required)
        self._log, self._source = log, mission.rules.fuel.source

    def parts(self) -> Sequence[Record]:
        return [self.policy, *([self.island] if self.island else []), self.required, self.margin]

    def rows(self) -> list[Row]:
        """Return the rows of the sheet: what is required, what is on board, what is over."""
        required, ramp = self.required, RampFuel.ramp.of(self._log.fuel)
        rows = [_row(line.of(required), line.declared.label % vars(required))
                for line in required.lines()]  # fmt: skip
        return [
            *rows,
            _row(FuelRequired.total.of(required), "Fuel required", "total"),
            _row(ramp, "Fuel at the ramp"),
            _row(FuelMargin.margin.of(self.margin), "Over what is required", "total"),
        ]


def _row(ref: Ref, name: str, mark: str = "") -> Row:
    return FUEL_SHEET.row_of(name, {MASS: ref, VOLUME: ref.volume()}, mark)


def write_fuel(mission: Mission, log: Navigation, reserve: Reserve, writer: LedgerWriter) -> FuelSheet:
    """Enter the fuel required line by line, the fuel at each milestone and the margin."""
    sheet = FuelSheet(mission, log, reserve)
    writer.adopt(sheet)
    writer.tabulate(FUEL_SHEET.filled(sheet.rows(), note=mission.rules.fuel.source))
    return sheet
