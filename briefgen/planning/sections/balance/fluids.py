"""Oil, water-methanol, de-icing fluid and oxygen: how much there is, how long it lasts at the rate of the file."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.frozen import replace
from briefgen.model.aircraft import Fluid
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Absent, Record, Ref, Sum, figure, given, spare
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.people import S_PER_H, people_aboard, use_ratio
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups
from briefgen.planning.sections.basis.groups import FLUIDS as FLUID_GROUP

PAGE: FindingPage = "fuel"
TENTHS = 10.0  # printed so: a supply that is printed less than needed would be too little
ROUND_OFF = 1e-9


class FluidFigures(Record):
    """One supply besides fuel."""

    def __init__(self, mission: Mission, number: int, fluid: Fluid, running: Ref) -> None:
        self.at, self.spec = f"fluid.{number:02}", f"aircraft:fluids[{number - 1}]"
        self.fluid, self.title, self.running = fluid, fluid.name, running
        self._ratio, self.aboard = use_ratio(mission, fluid), people_aboard(mission)
        self._handed_on = mission.start.handed_on if mission.start else None

    @given("Supply", spec="%(spec)s.name", name="name")
    def supply(self) -> str:
        return self.title

    @given("%(title)s: full", spec="%(spec)s.capacity")
    def capacity(self) -> float:
        return self.fluid.capacity

    @figure(
        "%(title)s: aboard at the start",
        decimals=1,
        how="left by the sector before, and what was filled up",
        rounding="down",
    )
    def at_start(self) -> float:
        if self._handed_on is None:
            raise Absent("it is filled at departure")
        rest_on_groups(FLUID_GROUP, BALANCE)
        return self._handed_on.aboard[self.fluid.name]

    @given("%(title)s: unit", spec="%(spec)s.unit")
    def unit(self) -> str:
        return self.fluid.unit

    @given("%(title)s: remarks", spec="%(spec)s.remarks")
    def remarks(self) -> str:
        return self.fluid.remarks

    @given("%(title)s: use an hour", spec="%(spec)s.use per hour")
    def rate(self) -> float:
        if not self.fluid.use_per_hour:
            raise Absent("it is not used by the hour")
        return self.fluid.use_per_hour

    @figure(
        "%(title)s: use an hour with %(aboard)s aboard", how="use an hour of the crew of the aircraft file, by head"
    )
    def use(self) -> float:
        if self._ratio == 1.0:
            raise Absent("nobody is aboard besides the crew of the aircraft file")
        rest_on_groups(BALANCE, FLUID_GROUP)
        return self.rate * self._ratio

    @given("%(title)s: least for flight", spec="%(spec)s.least for flight")
    def least(self) -> float:
        return self.fluid.least_for_flight

    @given("%(title)s: least at start", spec="%(spec)s.least at start")
    def least_at_start(self) -> float:
        if self.fluid.least_at_start is None:
            raise Absent("the aircraft file gives none")
        return self.fluid.least_at_start

    @figure(
        "%(title)s: to begin with at least",
        decimals=1,
        how="the greater of the least at start and of what the flight uses over the least for flight, rounded up",
    )
    def begin_with(self) -> float:
        at_start, used = FluidFigures.least_at_start.or_none(self), self._used_up()
        asked = [one for one in (at_start, used) if one is not None]
        if not asked:
            raise Absent("the aircraft file gives no least at start and the flight does not use it by the hour")
        return math.ceil(max(asked) * TENTHS - ROUND_OFF) / TENTHS

    def _on_demand(self) -> bool:
        rest_on_groups(FLUID_GROUP)
        return self.fluid.on_demand

    def _used_up(self) -> float | None:
        rate = FluidFigures.use.or_none(self) or FluidFigures.rate.or_none(self)
        if rate is None or self._on_demand():
            return None
        return self.least + rate * float(self.running.value) / S_PER_H

    @figure(
        "%(title)s: lasts to the least for flight",
        "h:min",
        how="supply at the start less the least for flight, over use an hour",
    )
    def lasts(self) -> float:
        at_start = FluidFigures.at_start.or_none(self)
        aboard = self.capacity if at_start is None else at_start
        return max(0.0, aboard - self.least) / (FluidFigures.use.or_none(self) or self.rate) * S_PER_H

    @spare("%(title)s: lasts longer than the flight by", "h:min", how="lasts less flight")
    def margin(self) -> Sum:
        if self._on_demand():
            raise Absent("it is used only when it is needed")
        return Sum([FluidFigures.lasts.of(self)], [self.running])

    def finding(self) -> Finding:
        """Return whether it lasts; one used throughout that would not is a caution."""
        lasts, margin = FluidFigures.lasts.of(self), FluidFigures.margin.of(self)
        short = float(margin.value) < 0.0
        text = (
            f"At the rate of the aircraft file it lasts {lasts}, down to the {FluidFigures.least.of(self)} "
            f"{self.fluid.unit} that are the least for flight; the flight takes {self.running}."
        )
        cure = f"use {self.title} for no longer than {lasts} in all" if short else ""
        return Finding(
            f"supply.{self.at}", "caution" if short else "pass", f"Supply of {self.title}", text, lasts.key,
            self.running.key, margin.key, "aircraft file", cure, PAGE,
        )  # fmt: skip


HANDED_ON = (
    "Aboard is what the sector before left, and what was filled up on the landing; the rate is that of the aircraft file, oxygen by "
    "head where people are carried; it lasts down to the least for flight."
)
FLIGHT = ColumnOf("flight", "Flight", "h:min")
FLUIDS = TableOf(
    "fluids",
    "Supplies besides fuel",
    (
        column(FluidFigures.supply, "Supply", name="supply"),
        column(FluidFigures.capacity, "Full"),
        column(FluidFigures.at_start, "Aboard"),
        column(FluidFigures.least, "Least"),
        column(FluidFigures.unit, "Unit"),
        column(FluidFigures.begin_with, "To begin with"),
        column(FluidFigures.rate, "Use an hour"),
        column(FluidFigures.use, "All aboard"),
        column(FluidFigures.lasts, "Lasts"),
        FLIGHT,
        column(FluidFigures.remarks, "Remarks"),
    ),
    "Filled at departure; the rate is that of the aircraft file, oxygen by head where people are carried; it "
    "lasts down to the least for flight.",
)


def write_fluids(mission: Mission, running: Ref, writer: LedgerWriter) -> list[Finding]:
    """Write the supplies besides fuel against the time the engines run."""
    fluids = [FluidFigures(mission, number, fluid, running) for number, fluid in enumerate(mission.aircraft.fluids, 1)]
    if not fluids:
        return []
    for one in fluids:
        writer.adopt(one)
    rows = [
        FLUIDS.row(one.title, one, others={FLIGHT: running} if FluidFigures.rate.of(one).there else None)
        for one in fluids
    ]
    filled = replace(FLUIDS, columns=_columns(fluids)).filled(rows)
    writer.tabulate(replace(filled, note=HANDED_ON) if mission.start and mission.start.handed_on else filled)
    return [one.finding() for one in fluids if FluidFigures.margin.of(one).there]


def _columns(fluids: Sequence[FluidFigures]) -> tuple[ColumnOf, ...]:
    """Return the columns without those of no supply: the use by head where nobody is carried, what is aboard where all is full."""
    both = (FluidFigures.use, FluidFigures.at_start)
    empty = [FLUIDS.column(one) for one in both if not any(one.of(fluid).there for fluid in fluids)]
    return tuple(one for one in FLUIDS.columns if one not in empty)
