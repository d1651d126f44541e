"""Tanks used up on the way, and what a transfer that fails would cost."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.model.plan import Event, Finding
from briefgen.model.record import Record, Ref, Sum, figure, note, rests_on, spare
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition, change_title
from briefgen.planning.load.stuck import StuckFlight, stuck_flight
from briefgen.planning.load.tank_log import TankChange
from briefgen.planning.load.tanks import transfer_tanks, usable_m3
from briefgen.planning.sections.balance.sheet import Sheet
from briefgen.planning.sections.balance.stuck import AcrossLimit, StuckFigures, stuck_findings
from briefgen.planning.sections.balance.tanks import ORDER, PAGE, TANK_RULES, Fuel, TankFigures
from briefgen.planning.sections.basis.groups import rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures

FUEL_CREW = ("flight engineer",)


class ChangeFigures(Record):
    """A moment at which something is done with the tanks, or one of them is used up, while the engines run."""

    def __init__(self, number: int, change: TankChange, fuel: Fuel, flown: PhaseFigures) -> None:
        self.at, self.change, self._fuel, self._flown = f"fuel.change.{number:02}", change, fuel, flown
        self.title = change_title(change)

    def _rests(self) -> None:
        rests_on(*(tank.start for tank in self._fuel.tanks), self._flown.begin)
        note("fuel.density")
        rest_on_groups(*TANK_RULES)

    @figure("Fuel remaining: %(title)s", "lb", how=ORDER)
    def fuel_left(self) -> float:
        self._rests()
        rests_on(self._flown.fuel_remaining)
        return self.change.fuel_kg

    @figure("%(title)s", "UTC", how="when so much fuel remains in the tanks, by the fuel log of the phase")
    def time(self) -> datetime:
        self._rests()
        rests_on(self._flown.end)
        return self.change.instant

    def event(self) -> Event:
        """Return the line of the timeline."""
        tanks, onward = ", ".join(self.change.tanks), ", ".join(self.change.onward)
        text = {
            "used up": f"{tanks} used up; go on with {onward}",
            "feed": f"feed on {tanks}",
            "transfer": f"start the transfer from {tanks} into {onward}",
            "transfer ends": f"stop the transfer from {tanks}",
        }[self.change.kind]
        left = ChangeFigures.fuel_left.of(self)
        return Event(
            ChangeFigures.time.of(self).key, "fuel", self.change.phase, FUEL_CREW, f"{text}; fuel remaining {left}"
        )


def write_changes(fuel: Fuel, writer: LedgerWriter) -> list[Event]:
    """Return one event for each thing that is done with the tanks while the engines run."""
    by_ident = {one.phase.ident: one for one in fuel.log.phases}
    changes = [
        ChangeFigures(number, change, fuel, by_ident[change.phase])
        for number, change in enumerate(fuel.tank_log.changes, 1)
    ]
    for one in changes:
        writer.adopt(one)
    return [one.event() for one in changes]


class FailureFigures(Record):
    """The transfer from one tank failing from the start."""

    def __init__(
        self,
        tank: TankFigures,
        fuel: Fuel,
        landing: PhaseFigures,
        flight: StuckFlight,
        stuck: StuckFigures,
        reserve: Ref,
    ) -> None:
        self.at, self.title = f"fuel.failed_transfer.{tank.number}", tank.title
        self._tank, self._fuel, self._landing, self._flight = tank, fuel, landing, flight
        self.balance, self._reserve = stuck, reserve
        self._landed = landing.phase.end.instant

    def _rests(self) -> None:
        rests_on(*(tank.start for tank in self._fuel.tanks), self._landing.fuel_remaining, self._landing.end)
        note("fuel.density")
        rest_on_groups(*TANK_RULES)

    @figure("Transfer that fails", how="one at a time", name="name")
    def tank(self) -> str:
        return self.title

    @figure("%(title)s: fuel stuck", "lb", how="contents less unusable")
    def stuck(self) -> float:
        note("fuel.density")
        return (self._tank.start - self._tank.unusable) * self._fuel.density

    @figure("%(title)s stuck: usable fuel at landing", "lb", how="usable fuel planned at landing less the fuel stuck")
    def usable(self) -> float:
        self._rests()
        planned_m3 = usable_m3(self._fuel.aircraft, self._fuel.tank_log.at(self._landed))
        return planned_m3 * self._fuel.density - self.stuck

    @spare("%(title)s stuck: usable fuel at landing over the final reserve", "lb", how="usable less final reserve")
    def over_reserve(self) -> Sum:
        return Sum([FailureFigures.usable.of(self)], [self._reserve])

    @figure("%(title)s stuck: sides differ by up to", "lb", how=ORDER)
    def difference(self) -> float:
        self._rests()
        log = self._flight.log
        return max(self._fuel.difference_kg(log, instant) for instant in log.instants if instant <= self._landed)

    @property
    def lopsided(self) -> bool:
        """Whether the sides then differ by more than the aircraft file allows."""
        limit_kg = self._fuel.aircraft.balance.fuel_imbalance_limit_kg
        return limit_kg is not None and self.difference > limit_kg

    def finding(self) -> Finding:
        """Return what it says about the plan."""
        usable, spare, dry = (
            FailureFigures.usable.of(self),
            FailureFigures.over_reserve.of(self),
            StuckFigures.dry.of(self.balance),
        )
        text = f"If the transfer from {self.title} fails, {usable} is usable at landing; the final reserve is {self._reserve}."
        if dry.there:
            text += f" The tanks that are left run dry at {dry}: she does not reach the landing."
        if self.lopsided:
            text += f" The sides then differ by up to {FailureFigures.difference.of(self)}, over the limit."
        short = float(spare.value) < 0.0 or dry.there
        return Finding(
            self.at, "caution" if short or self.lopsided else "pass", f"Transfer from {self.title} fails", text,
            usable.key, self._reserve.key, spare.key, "aircraft file, tanks", self._cure(short), PAGE,
        )  # fmt: skip

    def _cure(self, short: bool) -> str:
        do = [f"prove the transfer from {self.title} before it is needed"]
        if short:
            do.append("if it fails, land where the rest of the fuel still leaves the final reserve")
        if self.lopsided:
            do.append("if it fails, turn back or balance by cross-feed")
        return "; ".join(do) if len(do) > 1 else ""


FAILED = TableOf(
    "fuel.failed_transfer",
    "If a transfer fails",
    (
        column(FailureFigures.tank, "Transfer fails from", name="tank"),
        column(FailureFigures.stuck, "Fuel stuck"),
        column(FailureFigures.usable, "Usable at landing"),
        column(FailureFigures.difference, "Sides differ by"),
        column(StuckFigures.lateral, "Lateral moment", through="balance"),
        column(StuckFigures.lateral_time, "at", through="balance"),
    ),
    "From the start of the flight, the other tanks used as planned; difference and lateral moment at their greatest.",
)


def write_failures(
    fuel: Fuel, moments: Sequence[Condition], sheet: Sheet, reserve: Ref, writer: LedgerWriter
) -> list[Finding]:
    """Write what each transfer stuck from its start would cost: usable fuel at landing, the heavy side, the balance."""
    flown = fuel.log.phases
    approaches = [one for one in flown if one.phase.kind == "approach"]
    landing = (approaches or list(flown))[-1]
    by_transfer = {tank.name for tank in transfer_tanks(fuel.aircraft)}
    limit = AcrossLimit(fuel.aircraft.balance)
    phases, pieces = [one.phase for one in flown], [row.piece for row in sheet.rows]
    failures = []
    for tank in fuel.tanks:
        if tank.title in by_transfer and fuel.start_m3[tank.title] > tank.tank_of.unusable_m3:
            flight = stuck_flight(fuel.mission, phases, pieces, moments, fuel.tank_log, tank.title)
            stuck = StuckFigures(tank, fuel, sheet, flight, limit)
            failures.append(FailureFigures(tank, fuel, landing, flight, stuck, reserve))
    for record in (*([limit] if failures else []), *(part for one in failures for part in (one.balance, one))):
        writer.adopt(record)
    if failures:
        writer.tabulate(FAILED.filled([FAILED.row(one.title, one) for one in failures]))
    findings = [one.finding() for one in failures]
    findings = [finding for finding in findings if finding.outcome != "pass"] or findings[:1]
    return findings + stuck_findings([one.balance for one in failures])
