"""Fuel by tank through the flight, and the balance of its sides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from briefgen.frozen import dataclass, replace
from briefgen.model.aircraft import Tank
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Record, Ref, figure, given, note, rests_on
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.tank_log import TankLog, tank_log
from briefgen.planning.load.tanks import imbalance_m3
from briefgen.planning.sections.balance.held import Held, Measure
from briefgen.planning.sections.basis.groups import BALANCE, FLUIDS, SPEEDS, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.written_load import RampFuel

PAGE: FindingPage = "fuel"
ORDER = "fed and transferred as the aircraft file says; tanks fed on together go down by equal volumes"
TANK_RULES = (BALANCE, SPEEDS, FLUIDS)  # arms and order of the tanks, what each phase feeds from, the transfers
IMBALANCE_SPEC = "aircraft:balance.fuel imbalance limit"


class TankFigures(Record):
    """One tank: what it holds, and what is in it before the engines are started."""

    def __init__(self, number: int, tank: Tank, start_m3: float, density: float) -> None:
        self.number = f"{number:02}"
        self.at, self.spec = f"fuel.tank.{self.number}", f"aircraft:balance.tanks[{number - 1}]"
        self.tank_of, self.title, self._start_m3, self._density = tank, tank.name, start_m3, density

    @given("Tank", spec="%(spec)s.name", name="name")
    def tank(self) -> str:
        return self.title

    @given("%(title)s: order", spec="%(spec)s.order")
    def order(self) -> float:
        return float(self.tank_of.order)

    @given("%(title)s: feeds", spec="%(spec)s.feeds")
    def feeds(self) -> str:
        return self.tank_of.feeds

    @given("%(title)s: holds", "US gal", spec="%(spec)s.capacity")
    def capacity(self) -> float:
        return self.tank_of.capacity_m3

    @given("%(title)s: unusable", "US gal", spec="%(spec)s.unusable")
    def unusable(self) -> float:
        return self.tank_of.unusable_m3

    @figure(
        "%(title)s: at the ramp", "US gal", how="loaded tank by tank as written, or what is burnt last filled first"
    )
    def start(self) -> float:
        note("fuel.ramp_volume")
        rest_on_groups(BALANCE)
        return self._start_m3

    @figure("%(title)s: mass at the ramp", "lb", how="volume times density")
    def mass(self) -> float:
        note("fuel.density")
        return self.start * self._density


@dataclass(frozen=True)
class Stage:
    """A moment at which the tanks are read: before the start, or as a phase ends."""

    ident: str
    title: str
    fuel: Ref  # what is in all tanks
    instant: datetime


class Fuel:
    """What stands in each tank whenever it is asked."""

    def __init__(self, mission: Mission, log: Navigation, start_m3: Mapping[str, float]) -> None:
        self.mission, self.log, self.start_m3 = mission, log, start_m3
        self.aircraft, self.density = mission.aircraft, mission.fuel.density_kg_per_m3
        self.ramp_kg = log.phases[0].phase.start.fuel_kg
        self.tanks = [
            TankFigures(number, tank, start_m3[tank.name], self.density)
            for number, tank in enumerate(mission.aircraft.balance.tanks, 1)
        ]
        self.ramp = RampFuel.ramp.of(log.fuel)
        self.stages = [
            Stage("ramp", "Ramp", self.ramp, log.phases[0].phase.start.instant),
            *(
                Stage(one.phase.ident, one.title, PhaseFigures.fuel_remaining.of(one), one.phase.end.instant)
                for one in log.phases
            ),
        ]
        self.tank_log = self.log_without(frozenset())

    def log_without(self, failed: frozenset[str]) -> TankLog:
        """Return the fuel by tank through the flight with some tanks failed.

        Raises:
            PlanError: The tanks that have not failed cannot give what is burnt.
        """
        phases = [one.phase for one in self.log.phases]
        return tank_log(self.mission, phases, self.start_m3, failed=failed)

    def difference_kg(self, log: TankLog, instant: datetime) -> float:
        """Return how much more stands on one side than on the other [kg] at an instant."""
        return abs(imbalance_m3(self.aircraft, log.at(instant))) * self.density


class StageFigures(Record):
    """The name of a moment at which the tanks are read."""

    def __init__(self, stage: Stage) -> None:
        self.at, self.title = f"tanks.{stage.ident}", stage.title

    @figure("End of", how="in flight order", name="name")
    def end(self) -> str:
        return self.title


class TankAt(Record):
    """What is left in one tank as a phase ends."""

    def __init__(self, fuel: Fuel, tank: TankFigures, stage: Stage) -> None:
        self.at, self.number, self.title = f"tanks.{stage.ident}", tank.number, f"{stage.title}: {tank.title}"
        self._fuel, self._tank, self._stage = fuel, tank, stage

    @figure("%(title)s", "US gal", how=ORDER, name="%(number)s")
    def contents(self) -> float:
        rests_on(self._stage.fuel.value, self._tank.start)
        rest_on_groups(*TANK_RULES)
        note("fuel.density")
        return self._fuel.tank_log.at(self._stage.instant)[self._tank.title]


END = column(StageFigures.end, "End of", name="end")
TOTAL = ColumnOf("total", "All", "US gal")
CONTENTS = TableOf("fuel.tanks", "Fuel by tank", (END, TOTAL), "Unusable fuel is in the figures.")
TANK_ORDER = TableOf(
    "fuel.tank_order",
    "Tanks and the order in which they are used",
    (
        column(TankFigures.order, "Order"),
        column(TankFigures.tank, "Tank", name="tank"),
        column(TankFigures.feeds, "Feeds"),
        column(TankFigures.capacity, "Holds"),
        column(TankFigures.start, "At ramp"),
        column(TankFigures.mass, "At ramp"),
        column(TankFigures.unusable, "Unusable"),
    ),
)


def write_contents(fuel: Fuel, writer: LedgerWriter) -> None:
    """Write each tank, and what stands in it at the ramp and at the end of each phase; the whole is that of the fuel log."""
    for tank in fuel.tanks:
        writer.adopt(tank)
    writer.divide(fuel.ramp.key, [TankFigures.mass.of(tank).key for tank in fuel.tanks])
    heads = [ColumnOf(f"tank.{tank.number}", tank.title, "US gal") for tank in fuel.tanks]
    table = replace(CONTENTS, columns=(END, *heads, TOTAL))
    writer.tabulate(table.filled([_stage_row(fuel, stage, table, heads, writer) for stage in fuel.stages]))
    writer.tabulate(TANK_ORDER.filled([TANK_ORDER.row(tank.title, tank) for tank in fuel.tanks]))


def _stage_row(fuel: Fuel, stage: Stage, table: TableOf, heads: Sequence[ColumnOf], writer: LedgerWriter) -> Row:
    figures = StageFigures(stage)
    writer.adopt(figures)
    if stage is fuel.stages[0]:
        parts = [TankFigures.start.of(tank) for tank in fuel.tanks]
    else:
        left = [TankAt(fuel, tank, stage) for tank in fuel.tanks]
        for one in left:
            writer.adopt(one)
        parts = [TankAt.contents.of(one) for one in left]
    whole = stage.fuel.volume()
    writer.divide(whole.key, [part.key for part in parts])
    return table.row(stage.ident, figures, others={**dict(zip(heads, parts, strict=True)), TOTAL: whole})


def imbalance(fuel: Fuel, writer: LedgerWriter) -> list[Finding]:
    """Hold the greatest difference between the sides against the limit of the aircraft file."""
    limit_kg = fuel.aircraft.balance.fuel_imbalance_limit_kg
    if limit_kg is None:
        return []

    def measured() -> float:
        rests_on(*(tank.start for tank in fuel.tanks))
        rest_on_groups(*TANK_RULES)
        note("fuel.density")
        rests_on(*(stage.fuel.value for stage in fuel.stages))
        return max(fuel.difference_kg(fuel.tank_log, stage.instant) for stage in fuel.stages)

    label, how = "Difference between left and right tanks", "contents of the tanks at each end of phase"
    held = Held("fuel.imbalance", Measure(label, "lb", measured, lambda: limit_kg, how, IMBALANCE_SPEC))
    writer.adopt(held)
    text = "Left and right tanks, used in order, differ by up to {measured}; at most {limit} allowed."
    cure = "fill left and right tanks alike, or balance them through the cross-feed"
    return [held.finding("Fuel left and right", text, "aircraft file, fuel imbalance limit", cure, PAGE)]
