"""A mission of several sectors as figures of its own: one row a sector, one a supply, and what they come to together."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import cast

from briefgen.model.plan import Plan
from briefgen.model.record import Absent, Record, Sum, figure, total
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.flight.sectors import title_of
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.balance.moments import FlownWeights
from briefgen.planning.sections.basis.clock import Durations, Milestones
from briefgen.planning.sections.basis.fuel import FuelRequired
from briefgen.planning.sections.basis.navigation import OffBlocks
from briefgen.planning.sections.basis.written_load import RampFuel

OF_SECTOR = "as the plan of the sector has it"


class SectorFigures(Record):
    """One sector: when, with how much fuel, how heavy, and how it stands with its rules."""

    def __init__(self, number: int, plan: Plan, before: SectorFigures | None) -> None:
        self.at, self.number, self.plan, self._before = f"sector.{number:02d}", number, plan, before
        self.origin = f"{plan.mission.file}#{number}"
        self.last_fuel = f"{phase_key(plan.phases[-1].ident)}.fuel_remaining"

    def _of(self, key: str) -> float:
        return cast(float, self.plan.ledger[key].value)

    def _when(self, key: str) -> datetime:
        return cast(datetime, self.plan.ledger[key].value)

    @figure("Sector", how="as the route says", source="%(origin)s")
    def title(self) -> str:
        return title_of(self.plan.mission)

    @figure("Off blocks", "UTC", how=OF_SECTOR, source="%(origin)s")
    def off_blocks(self) -> datetime:
        return self._when(OffBlocks.off_blocks.key)

    @figure("On blocks", "UTC", how=OF_SECTOR, source="%(origin)s")
    def on_blocks(self) -> datetime:
        return self._when(Milestones.shutdown.key)

    @total("Engines running", "h:min", how="on blocks less off blocks")
    def block(self) -> Sum:
        return Sum([SectorFigures.on_blocks.of(self)], [SectorFigures.off_blocks.of(self)])

    @figure("In the air", "h:min", how=OF_SECTOR, source="%(origin)s")
    def air(self) -> float:
        return self._of(Durations.air.key)

    @total("Turn-round before", "h:min", how="off blocks less on blocks of the sector before")
    def turn_round(self) -> Sum:
        if self._before is None:
            raise Absent("it is the first sector")
        return Sum([SectorFigures.off_blocks.of(self)], [SectorFigures.on_blocks.of(self._before)])

    @figure("Fuel before", "lb", how="fuel on blocks after the sector before")
    def fuel_before(self) -> float:
        if self._before is None:
            raise Absent("it is the first sector")
        return self._before.fuel_after

    @figure("Fuel at the ramp", "lb", how=OF_SECTOR, source="%(origin)s", rounding="down")
    def ramp(self) -> float:
        return self._of(RampFuel.ramp.key)

    @total("Fuel taken on", "lb", how="fuel at the ramp less fuel before")
    def taken_on(self) -> Sum:
        if self._before is None:
            raise Absent("it was loaded before the first sector")
        return Sum([SectorFigures.ramp.of(self)], [SectorFigures.fuel_before.of(self)])

    @figure("Fuel on blocks after", "lb", how=OF_SECTOR, source="%(origin)s")
    def fuel_after(self) -> float:
        return self._of(self.last_fuel)

    @total("Fuel burnt", "lb", how="fuel at the ramp less fuel on blocks after")
    def burnt(self) -> Sum:
        return Sum([SectorFigures.ramp.of(self)], [SectorFigures.fuel_after.of(self)])

    @figure("Fuel required", "lb", how=OF_SECTOR, source="%(origin)s", rounding="up")
    def required(self) -> float:
        return self._of(FuelRequired.total.key)

    @total("Fuel in hand", "lb", how="fuel at the ramp less fuel required")
    def in_hand(self) -> Sum:
        return Sum([SectorFigures.ramp.of(self)], [SectorFigures.required.of(self)])

    @figure("Take-off weight", "lb", how="weight as the brakes are released", source="%(origin)s")
    def take_off_weight(self) -> float:
        return self._of(FlownWeights.take_off.key)

    @figure("Landing weight", "lb", how="weight at the end of the landing", source="%(origin)s")
    def landing_weight(self) -> float:
        return self._of(FlownWeights.landing.key)

    @figure("Take-off power", "min", how="from releasing the brakes to the first power reduction", source="%(origin)s")
    def take_off_power(self) -> float:
        return self.plan.mission.times.take_off_lasts_s

    @figure("Duty so far", "h:min", how="from the briefing before the first sector", source="%(origin)s")
    def duty(self) -> float:
        return self._of(Durations.duty.key)

    @figure("Rules that fail", how="findings of the review of the sector", source="%(origin)s")
    def fails(self) -> float:
        return self._count("fail")

    @figure("Cautions", how="findings of the review of the sector", source="%(origin)s")
    def cautions(self) -> float:
        return self._count("caution")

    @figure("Verdict", how="the gravest finding of the review of the sector", source="%(origin)s")
    def verdict(self) -> str:
        return "fails" if self.fails else "caution" if self.cautions else "meets its rules"

    def same_as(self) -> dict[str, tuple[int, str]]:
        """Return which figure of the sector's own plan each figure here is, where it is one."""
        keys = {
            SectorFigures.off_blocks: OffBlocks.off_blocks.key, SectorFigures.on_blocks: Milestones.shutdown.key,
            SectorFigures.air: Durations.air.key, SectorFigures.ramp: RampFuel.ramp.key, SectorFigures.duty: Durations.duty.key,
            SectorFigures.fuel_after: self.last_fuel, SectorFigures.required: FuelRequired.total.key,
            SectorFigures.take_off_weight: FlownWeights.take_off.key, SectorFigures.landing_weight: FlownWeights.landing.key,
        }  # fmt: skip
        return {figure.of(self).key: (self.number - 1, key) for figure, key in keys.items()}

    def _count(self, outcome: str) -> float:
        return float(len([one for one in self.plan.findings if one.outcome == outcome]))


class SupplyFigures(Record):
    """One supply used by the hour on one sector: what was left, what was filled up, what it begins and ends with."""

    def __init__(self, sector: SectorFigures, number: int, name: str, unit: str, amounts: Supply) -> None:
        self.at, self.name, self.unit_of, self._amounts = f"{sector.at}.supply.{number:02d}", name, unit, amounts
        self.origin, self.sector = sector.origin, sector.number

    @figure("Supply", how="as the aircraft file names it", source="%(origin)s")
    def supply(self) -> str:
        return f"{self.sector}: {self.name}, {self.unit_of}"

    @figure("%(name)s: filled up", decimals=1, how="what was missing of the full supply", source="%(origin)s")
    def filled(self) -> float:
        if self._amounts.filled is None:
            raise Absent("it is not filled up here")
        return self._amounts.filled

    @figure("%(name)s: at the start", decimals=1, how="left by the sector before, and filled up", source="%(origin)s")
    def at_start(self) -> float:
        return self._amounts.at_start

    @figure("%(name)s: left", decimals=1, how="use an hour of the aircraft file, engines running", source="%(origin)s")
    def left(self) -> float:
        return self._amounts.left


class Supply:
    """The amounts of one supply on one sector, in the unit of the aircraft file."""

    def __init__(self, at_start: float, left: float, filled: float | None) -> None:
        self.at_start, self.left, self.filled = at_start, left, filled


class JourneyFigures(Record):
    """What the sectors come to together."""

    at = "journey"

    def __init__(self, sectors: Sequence[SectorFigures]) -> None:
        self._sectors = sectors

    @total("Engine hours", "h:min", how="sum of the sectors")
    def block(self) -> Sum:
        return Sum([SectorFigures.block.of(one) for one in self._sectors])

    @total("Time in the air", "h:min", how="sum of the sectors")
    def air(self) -> Sum:
        return Sum([SectorFigures.air.of(one) for one in self._sectors])

    @total("Take-off power", "min", how="sum of the sectors")
    def take_off_power(self) -> Sum:
        return Sum([SectorFigures.take_off_power.of(one) for one in self._sectors])

    @total("Fuel burnt", "lb", how="sum of the sectors")
    def burnt(self) -> Sum:
        return Sum([SectorFigures.burnt.of(one) for one in self._sectors])

    @total("Fuel taken on, on the way", "lb", how="sum of the landings")
    def taken_on(self) -> Sum:
        return Sum([SectorFigures.taken_on.of(one) for one in self._sectors[1:]])

    @figure("Duty", "h:min", how="from the briefing before the first sector to the last engine stopped")
    def duty(self) -> float:
        return self._sectors[-1].duty

    @figure("Rules that may fail", how="a mission passes when every sector does")
    def may_fail(self) -> float:
        return 0.0


SECTORS = TableOf(
    "sectors",
    "Sectors",
    (
        column(SectorFigures.title, "Sector"),
        column(SectorFigures.off_blocks, "Off blocks"),
        column(SectorFigures.on_blocks, "On blocks"),
        column(SectorFigures.block, "Engines"),
        column(SectorFigures.air, "In the air"),
        column(SectorFigures.take_off_weight, "Take-off weight"),
        column(SectorFigures.landing_weight, "Landing weight"),
        column(SectorFigures.duty, "Duty so far"),
        column(SectorFigures.verdict, "Review"),
    ),
)
SECTOR_FUEL = TableOf(
    "sectors.fuel",
    "Fuel through the sectors",
    (
        column(SectorFigures.title, "Sector"),
        column(SectorFigures.fuel_before, "Before"),
        column(SectorFigures.taken_on, "Taken on"),
        column(SectorFigures.ramp, "At the ramp"),
        column(SectorFigures.burnt, "Burnt"),
        column(SectorFigures.fuel_after, "After"),
        column(SectorFigures.required, "Required"),
        column(SectorFigures.in_hand, "In hand"),
    ),
    "Required is by the fuel policy of the rules, for the sector alone; in hand is what is at the ramp beyond it.",
)
SECTOR_SUPPLIES = TableOf(
    "sectors.supplies",
    "Supplies through the sectors",
    (
        column(SupplyFigures.supply, "Supply"),
        column(SupplyFigures.filled, "Filled up"),
        column(SupplyFigures.at_start, "At the start"),
        column(SupplyFigures.left, "Left"),
    ),
    "Counted at the use an hour of the aircraft file all the time the engines run.",
)
JOURNEY = TableOf("journey", "Together", (ColumnOf("total", "Total"),))
TOGETHER = (
    JourneyFigures.block, JourneyFigures.air, JourneyFigures.take_off_power, JourneyFigures.burnt, JourneyFigures.taken_on,
    JourneyFigures.duty,
)  # fmt: skip


def write_journey(plans: Sequence[Plan], supplies: Sequence[Sequence[tuple[str, str, Supply]]], writer: LedgerWriter) -> tuple[list[SectorFigures], JourneyFigures]:  # fmt: skip
    """Enter one row a sector, its supplies (name, unit, amounts), and what the sectors come to together."""
    sectors: list[SectorFigures] = []
    for number, plan in enumerate(plans, start=1):
        sectors.append(SectorFigures(number, plan, sectors[-1] if sectors else None))
        writer.adopt(sectors[-1])
    rows = []
    for sector, used in zip(sectors, supplies, strict=True):
        for number, (name, unit, amounts) in enumerate(used, start=1):
            record = SupplyFigures(sector, number, name, unit, amounts)
            writer.adopt(record)
            rows.append(SECTOR_SUPPLIES.row(f"{sector.number} {name}", record))
    together = JourneyFigures(sectors)
    writer.adopt(together)
    writer.tabulate(SECTORS.filled([SECTORS.row(str(one.number), one) for one in sectors]))
    writer.tabulate(SECTOR_FUEL.filled([SECTOR_FUEL.row(str(one.number), one) for one in sectors]))
    if rows:
        writer.tabulate(SECTOR_SUPPLIES.filled(rows))
    column_of = JOURNEY.columns[0]
    writer.tabulate(
        JOURNEY.filled([JOURNEY.row_of(one.declared.label, {column_of: one.of(together)}) for one in TOGETHER])
    )
    return sectors, together
