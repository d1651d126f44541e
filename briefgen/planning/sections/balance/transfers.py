"""Tanks used up on the way, and what a transfer that fails would cost."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise

from briefgen.errors import PlanError
from briefgen.model.plan import Event, Finding
from briefgen.model.record import Absent, Record, Ref, figure, note, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.tanks import Changeover, changeovers, transfer_tanks, usable_m3
from briefgen.planning.sections.balance.tanks import ORDER, PAGE, Fuel, TankFigures
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures

FUEL_CREW = ("flight engineer",)


class ChangeFigures(Record):
    """A moment at which a tank or a group of tanks is used up while the engines run."""

    def __init__(self, number: int, change: Changeover, fuel: Fuel) -> None:
        self.at, self.change, self._fuel = f"fuel.change.{number:02}", change, fuel
        self.emptied = ", ".join(change.emptied)
        self._fuel_kg = fuel.ramp_kg - change.burned_m3 * fuel.density
        self.flown, self._seconds = self._found()

    def _found(self) -> tuple[PhaseFigures | None, float]:
        """Return the phase and the time from its start at which so much fuel is left."""
        for one in self._fuel.log.phases:
            nodes = one.phase.nodes
            for before, after in pairwise(nodes):
                if after.fuel_kg <= self._fuel_kg < before.fuel_kg:
                    part = (before.fuel_kg - self._fuel_kg) / (before.fuel_kg - after.fuel_kg)
                    begun = (before.instant - nodes[0].instant).total_seconds()
                    return one, begun + part * (after.instant - before.instant).total_seconds()
        return None, 0.0

    @figure("Fuel left when the tank is used up", "lb", how=ORDER)
    def fuel_left(self) -> float:
        rests_on(self._fuel.ramp.value, *(tank.start for tank in self._fuel.tanks))
        note("fuel.density")
        rest_on_groups(BALANCE)
        return self._fuel_kg

    @figure("Used up: %(emptied)s", "UTC", how="when that much fuel is left, by the fuel log of the phase")
    def time(self) -> datetime:
        if self.flown is None:
            raise Absent("they are not used up in this flight")
        rests_on(self.fuel_left, self.flown.end, self.flown.fuel_remaining)
        return self.flown.begin + timedelta(seconds=self._seconds)

    def event(self, phase: str) -> Event:
        """Return the line of the timeline."""
        onward = f"; go on with {', '.join(self.change.onward)}" if self.change.onward else ""
        text = f"{self.emptied} used up{onward}; {ChangeFigures.fuel_left.of(self)} left"
        return Event(ChangeFigures.time.of(self).key, "fuel", phase, FUEL_CREW, text)


def write_changes(fuel: Fuel, writer: LedgerWriter) -> list[Event]:
    """Return one event for each moment a tank or a group is used up while the engines run."""
    events = []
    for number, change in enumerate(changeovers(fuel.aircraft, fuel.start_m3), 1):
        one = ChangeFigures(number, change, fuel)
        if one.flown is not None:
            writer.adopt(one)
            events.append(one.event(one.flown.phase.ident))
    return events


class FailureFigures(Record):
    """The transfer from one tank failing from the start."""

    def __init__(self, tank: TankFigures, fuel: Fuel, landing: Ref) -> None:
        self.at, self.title = f"fuel.failed_transfer.{tank.number}", tank.title
        self._tank, self._fuel, self._landing = tank, fuel, landing

    def _rests(self) -> float:
        rests_on(*(tank.start for tank in self._fuel.tanks))
        note("fuel.density")
        rest_on_groups(BALANCE)
        return float(self._landing.value)

    @figure("Transfer that fails", how="one at a time", name="name")
    def tank(self) -> str:
        return self.title

    @figure("%(title)s: fuel stuck", "lb", how="contents less unusable")
    def stuck(self) -> float:
        note("fuel.density")
        return (self._tank.start - self._tank.unusable) * self._fuel.density

    @figure("%(title)s stuck: usable fuel at landing", "lb", how="usable fuel planned at landing less the fuel stuck")
    def usable(self) -> float:
        planned_m3 = usable_m3(self._fuel.aircraft, self._fuel.contents_m3(self._rests()))
        return planned_m3 * self._fuel.density - self.stuck

    @figure("%(title)s stuck: sides differ at landing by", "lb", how=ORDER)
    def difference(self) -> float:
        try:
            return self._fuel.difference_kg(self._rests(), frozenset({self.title}))
        except PlanError as error:
            raise Absent(error.problem) from error

    @figure("Least usable fuel at landing", "lb", how="first principles")
    def limit(self) -> float:
        return 0.0

    @property
    def lopsided(self) -> bool:
        """Whether the sides then differ by more than the aircraft file allows."""
        limit_kg = self._fuel.aircraft.balance.fuel_imbalance_limit_kg
        differs_kg = FailureFigures.difference.or_none(self)
        return limit_kg is not None and differs_kg is not None and differs_kg > limit_kg

    def finding(self) -> Finding:
        """Return what it says about the plan."""
        usable, limit = FailureFigures.usable.of(self), FailureFigures.limit.of(self)
        text = f"If the transfer from {self.title} fails, {usable} is usable at landing."
        if self.lopsided:
            text += f" The sides then differ by {FailureFigures.difference.of(self)}, over the limit."
        bad = float(usable.value) < 0.0 or self.lopsided
        cure = (
            f"prove the transfer from {self.title} before it is needed; if it fails, turn back or balance by cross-feed"
        )
        return Finding(
            self.at, "caution" if bad else "pass", f"Transfer from {self.title} fails", text, usable.key, limit.key,
            usable.key, "aircraft file, tanks", cure if bad else "", PAGE,
        )  # fmt: skip


FAILED = TableOf(
    "fuel.failed_transfer",
    "If a transfer fails",
    (
        column(FailureFigures.tank, "Transfer fails from", name="tank"),
        column(FailureFigures.stuck, "Fuel stuck"),
        column(FailureFigures.usable, "Usable at landing"),
        column(FailureFigures.difference, "Sides differ by"),
    ),
    "From the start of the flight, the other tanks used in order with the cross-feed open.",
)


def write_failures(fuel: Fuel, writer: LedgerWriter) -> list[Finding]:
    """Write what each transfer that fails from the start would cost: usable fuel at landing, and the heavy side."""
    flown = fuel.log.phases
    approaches = [one for one in flown if one.phase.kind == "approach"]
    landing = PhaseFigures.fuel_remaining.of((approaches or list(flown))[-1])
    by_transfer = {tank.name for tank in transfer_tanks(fuel.aircraft)}
    failures = [
        FailureFigures(tank, fuel, landing)
        for tank in fuel.tanks
        if tank.title in by_transfer and fuel.start_m3[tank.title] > tank.tank_of.unusable_m3
    ]
    for one in failures:
        writer.adopt(one)
    if failures:
        writer.tabulate(FAILED.filled([FAILED.row(one.title, one) for one in failures]))
    findings = [one.finding() for one in failures]
    return [finding for finding in findings if finding.outcome != "pass"] or findings[:1]
