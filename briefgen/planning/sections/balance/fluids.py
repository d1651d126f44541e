"""Oil, water-methanol, de-icing fluid and oxygen: how much there is, how long it lasts at the rate of the file."""

from __future__ import annotations

from briefgen.model.aircraft import Fluid
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding
from briefgen.model.record import Absent, Record, Ref, Sum, figure, given, total
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter

PAGE = "fuel"
S_PER_H = 3600.0


class FluidFigures(Record):
    """One supply besides fuel."""

    def __init__(self, number: int, fluid: Fluid, running: Ref) -> None:
        self.at, self.spec = f"fluid.{number:02}", f"aircraft:fluids[{number - 1}]"
        self.fluid, self.title, self.running = fluid, fluid.name, running

    @given("Supply", spec="%(spec)s.name", name="name")
    def supply(self) -> str:
        return self.title

    @given("%(title)s: full", spec="%(spec)s.capacity")
    def capacity(self) -> float:
        return self.fluid.capacity

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

    @given("%(title)s: least for flight", spec="%(spec)s.least for flight")
    def least(self) -> float:
        return self.fluid.least_for_flight

    @figure(
        "%(title)s: lasts to the least for flight",
        "h:min",
        how="full supply less the least for flight, over use an hour",
    )
    def lasts(self) -> float:
        return (self.capacity - self.least) / self.rate * S_PER_H

    @total("%(title)s: lasts longer than the flight by", "h:min", how="lasts less flight")
    def margin(self) -> Sum:
        if self.fluid.on_demand:
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


FLIGHT = ColumnOf("flight", "Flight", "h:min")
FLUIDS = TableOf(
    "fluids",
    "Supplies besides fuel",
    (
        column(FluidFigures.supply, "Supply", name="supply"),
        column(FluidFigures.capacity, "Full"),
        column(FluidFigures.least, "Least"),
        column(FluidFigures.unit, "Unit"),
        column(FluidFigures.rate, "Use an hour"),
        column(FluidFigures.lasts, "Lasts"),
        FLIGHT,
        column(FluidFigures.remarks, "Remarks"),
    ),
    "Filled at departure; the rate is that of the aircraft file; it lasts down to the least for flight.",
)


def write_fluids(mission: Mission, running: Ref, writer: LedgerWriter) -> list[Finding]:
    """Write the supplies besides fuel against the time the engines run."""
    fluids = [FluidFigures(number, fluid, running) for number, fluid in enumerate(mission.aircraft.fluids, 1)]
    if not fluids:
        return []
    for one in fluids:
        writer.adopt(one)
    rows = [
        FLUIDS.row(one.title, one, others={FLIGHT: running} if FluidFigures.rate.of(one).there else None)
        for one in fluids
    ]
    writer.tabulate(FLUIDS.filled(rows))
    return [one.finding() for one in fluids if FluidFigures.margin.of(one).there]
