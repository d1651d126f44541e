"""Oxygen: how long the rules ask for it, and how long the supply lasts.

Both are told as time for everybody aboard who uses it, since the aircraft file gives the rate for its whole crew together;
people carried besides breathe as much, each.
Unpressurised: the cabin is at the flight's own pressure altitude (14 CFR 121.327(d)).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.kernel.interpolate import Axis
from briefgen.kernel.interpolate import Curve as Interpolator
from briefgen.kernel.oxygen import oxygen_used
from briefgen.model.aircraft import Fluid
from briefgen.model.curves import Curve
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.model.record import Record, Ref, figure, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.flight.heights import time_between_heights_s
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.people import OXYGEN as SUPPLY
from briefgen.planning.load.people import lasts_s
from briefgen.planning.sections.basis.groups import BALANCE, FLUIDS, RULES, rest_on_groups
from briefgen.planning.sections.basis.phases import rest_on_flight
from briefgen.planning.sections.basis.ruled import RuleFigures, RuleParameter, rule_figures

NEEDED = "needed"
AT_ONE_RATE = "time above the lowest altitude at which a rule asks for oxygen"
BY_ALTITUDE = f"{AT_ONE_RATE}, each moment counted by the use at its altitude over the planned use of an hour"

NOTE = "Required: all the time above the lowest altitude at which a rule asks for oxygen, its free half hour included."


def _used(phases: Sequence[Phase], above_m: float, supply: Fluid | None) -> float:
    """Return for how long the planned use would take what is used above a pressure altitude [m], every step integrated.

    A file with one rate for all altitudes has a flat table of the flow; just at the altitude itself none is used yet.

    Raises:
        OutOfRangeError: She flies above the file's table of use.
    """
    nodes = [node for phase in phases for node in phase.nodes]
    begin = nodes[0].instant
    altitudes_m = [node.pressure_altitude_m for node in nodes]
    first_m, top_m = math.nextafter(above_m, math.inf), max(above_m, *altitudes_m) + 1.0
    table_m: tuple[float, ...] = (first_m, top_m)
    flows: tuple[float, ...] = (1.0, 1.0)
    if supply is not None and supply.use_per_hour_by_pressure_altitude_m is not None and supply.use_per_hour:
        table_m, flows = _above(supply.use_per_hour_by_pressure_altitude_m, first_m, supply.use_per_hour)
    times_s = [(node.instant - begin).total_seconds() for node in nodes]
    return oxygen_used(times_s, altitudes_m, table_m, flows)


def _above(use: Curve, first_m: float, planned: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the part of a table of use above an altitude [m], as shares of the planned use."""
    rows = [(at_m, value / planned) for at_m, value in zip(use.x, use.y, strict=True) if at_m > first_m]
    if use.x[0] < first_m < use.x[-1]:
        share = Interpolator(Axis(use.argument, "m", use.x), use.value, "", use.y).at(first_m) / planned
        rows.insert(0, (first_m, share))
    return tuple(at_m for at_m, _ in rows) or (first_m,), tuple(share for _, share in rows) or (0.0,)


class OxygenBand(Record):
    """What one rule says of a band of altitudes, and how long she is there."""

    def __init__(self, figures: RuleFigures, phases: Sequence[Phase], highest: Ref) -> None:
        rule = figures.rule
        self.at, self.title, self.origin = f"oxygen.{rule.ident}", rule.title, rule.source
        self._rule, self._figures_of_rule, self._phases, self._highest = rule, figures, phases, highest
        self.from_height, self.to_height, self.time_allowed = map(figures.parameter, ("above", "up to", "allowed"))

    @figure("Rule", how="rule set", source="%(origin)s")
    def rule(self) -> str:
        rest_on_groups(RULES)
        return self._rule.title

    @property
    def above(self) -> float:
        """The altitude above which the rule holds [m], noted as read."""
        return self._figures_of_rule.amount("above")

    @figure("%(title)s: time there", "h:min", how="time at pressure altitudes in the band")
    def time(self) -> float:
        rests_on(self._highest.value)
        up_to_m = self._figures_of_rule.amount("up to") if self.to_height else None
        return time_between_heights_s(tuple(self._phases), self.above, math.inf if up_to_m is None else up_to_m)

    @figure("%(title)s: oxygen", how="time in the band against what is allowed without oxygen")
    def needed(self) -> str:
        return NEEDED if self.time > self._figures_of_rule.amount("allowed") else "not needed"


class OxygenFigures(Record):
    """How high she goes, the oxygen required by rule, and what is carried."""

    at = "oxygen"

    def __init__(self, mission: Mission, phases: Sequence[Phase], rules: Sequence[RuleFigures]) -> None:
        self._phases, self.aircraft = tuple(phases), mission.aircraft.name
        self._supply = next((fluid for fluid in mission.aircraft.fluids if fluid.name == SUPPLY), None)
        self._mission = mission
        by_altitude = self._supply is not None and self._supply.use_per_hour_by_pressure_altitude_m is not None
        self.needed_by = BY_ALTITUDE if by_altitude else AT_ONE_RATE
        self.bands = [OxygenBand(rule, phases, OxygenFigures.highest.of(self)) for rule in rules]

    @figure("Highest pressure altitude", "ft", how="highest of the flight")
    def highest(self) -> float:
        rest_on_flight(self._phases)
        return max(node.pressure_altitude_m for phase in self._phases for node in phase.nodes)

    @figure("Oxygen required", "h:min", how="%(needed_by)s")
    def required(self) -> float:
        rests_on(self.highest)
        asking = [band.above for band in self.bands if band.needed == NEEDED]
        rest_on_groups(FLUIDS)
        return _used(self._phases, min(asking), self._supply) if asking else 0.0

    @figure("Oxygen carried", "h:min", how="full supply less the least for flight, over use by everybody aboard; none without a supply and its rate of use",
            source="%(aircraft)s")  # fmt: skip
    def available(self) -> float:
        rest_on_groups(FLUIDS, BALANCE)
        return (lasts_s(self._mission, self._supply) if self._supply else None) or 0.0

    def parts(self) -> Sequence[Record]:
        return self.bands


OXYGEN = TableOf(
    "oxygen",
    "Oxygen",
    (
        column(OxygenBand.rule, "Rule"),
        column(RuleParameter.value, "Above", "ft", name="above", through="from_height"),
        column(RuleParameter.value, "Up to", "ft", name="up_to", through="to_height"),
        column(OxygenBand.time, "Time there"),
        column(RuleParameter.value, "Allowed without", "min", name="allowed", through="time_allowed"),
        column(OxygenBand.needed, "Oxygen"),
    ),
    note=NOTE,
)


def write_oxygen(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> None:
    """Enter the time in each band of altitudes, the oxygen required by rule and what is carried, and their table."""
    rules = [rule_figures(rule, writer) for rule in mission.rules.rules if rule.check == "oxygen"]
    if not rules:
        return
    figures = OxygenFigures(mission, phases, rules)
    writer.adopt(figures)
    rows = [OXYGEN.row(band.title, band, NEEDED if band.needed == NEEDED else "") for band in figures.bands]
    writer.tabulate(OXYGEN.filled(rows))
