"""Tanks used up on the way, and what a transfer that fails would cost."""

from __future__ import annotations

from datetime import datetime

from briefgen.errors import PlanError
from briefgen.model.plan import Event, Finding
from briefgen.model.record import Absent, Record, figure, note, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import change_title
from briefgen.planning.load.tank_log import TankChange
from briefgen.planning.load.tanks import transfer_tanks, usable_m3
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

    @figure("%(title)s", "UTC", how="when so much fuel is left in the tanks, by the fuel log of the phase")
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

    def __init__(self, tank: TankFigures, fuel: Fuel, landing: PhaseFigures) -> None:
        self.at, self.title = f"fuel.failed_transfer.{tank.number}", tank.title
        self._tank, self._fuel, self._landing = tank, fuel, landing
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

    @figure("%(title)s stuck: sides differ at landing by", "lb", how=ORDER)
    def difference(self) -> float:
        self._rests()
        try:
            return self._fuel.difference_kg(self._fuel.log_without(frozenset({self.title})), self._landed)
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
    "From the start of the flight, the other tanks used as planned.",
)


def write_failures(fuel: Fuel, writer: LedgerWriter) -> list[Finding]:
    """Write what each transfer that fails from the start would cost: usable fuel at landing, and the heavy side."""
    flown = fuel.log.phases
    approaches = [one for one in flown if one.phase.kind == "approach"]
    landing = (approaches or list(flown))[-1]
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
