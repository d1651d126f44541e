"""What was really left, and what was broken: reserves, least fuel, the time at take-off power, the weight on landing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from briefgen.model.plan import Finding, FindingPage, Phase
from briefgen.model.record import Absent, Figure, Record, Ref, figure, given, note, rests_on
from briefgen.planning.after.readings import NOT_WRITTEN, Reading
from briefgen.planning.after.ways import Met
from briefgen.planning.ledger.writer import LedgerWriter

PAGE: FindingPage = "debrief"
FINAL_RESERVE, UNUSABLE, FLOW = "fuel.required.final_reserve", "fuel.required.unusable", "fuel.final_reserve_flow"


class Left(Record):
    """What was left on landing."""

    at = "debrief.left"

    def __init__(
        self, down: Reading | None, met: Met, aboard_kg: float, landing_limit_kg: float, writer: LedgerWriter
    ) -> None:
        self._down, self._met, self._aboard_kg, self._limit_kg = down, met, aboard_kg, landing_limit_kg
        self._writer = writer

    def fuel_density(self) -> float:
        return self._writer.number("fuel.density")

    @figure("Fuel on landing", "lb", how="as read", volume=True)
    def landed(self) -> float:
        if self._down is None:
            raise Absent(NOT_WRITTEN)
        return self._down.fuel

    @figure(
        "Usable fuel on landing", "lb", how="fuel on landing less what cannot be used", volume=True, rounding="down"
    )
    def usable(self) -> float:
        return self.landed - self._writer.number(UNUSABLE)

    @figure("Over the final reserve on landing", "lb", volume=True, rounding="down",
            how="usable fuel on landing less the final reserve as planned")  # fmt: skip
    def over_reserve(self) -> float:
        return self.usable - self._writer.number(FINAL_RESERVE)

    @figure("Time left on landing", "h:min", how="usable fuel on landing over the flow of the final reserve")
    def time(self) -> float:
        return self.usable / self._writer.number(FLOW)

    @figure("Final reserve", "lb", how="as planned", volume=True)
    def reserve(self) -> float:
        return self._writer.number(FINAL_RESERVE)

    @figure("Weight on landing", "lb", how="weight without fuel as loaded, less what left, and the fuel on landing")
    def mass(self) -> float:
        self._writer.number("mass.zero_fuel")
        return self._aboard_kg + self.landed

    @figure("Greatest weight for landing", "lb", how="as the aircraft file says")
    def mass_limit(self) -> float:
        note("aircraft.balance.file")
        return self._limit_kg

    @figure("Weight on landing: margin", "lb", how="limit less weight", rounding="down")
    def mass_margin(self) -> float:
        return self.mass_limit - self.mass


class TakeOffPower(Record):
    """The time at take-off power."""

    at = "debrief.take_off_power"

    def __init__(self, lasted_s: float | None, take_off: Phase) -> None:
        self._lasted_s, self._take_off = lasted_s, take_off

    @given("Time at take-off power, in all", "min", spec="log:engines.take-off power", decimals=1)
    def time(self) -> float:
        if self._lasted_s is None:
            raise Absent(NOT_WRITTEN)
        return self._lasted_s

    @figure("Time at take-off power: limit of one use", "min", how="as the aircraft file says", decimals=1)
    def limit(self) -> float:
        note(f"phase.{self._take_off.ident}.end")
        limit_s = self._take_off.setting.time_limit_s if self._take_off.setting else None
        if limit_s is None:
            raise Absent("the aircraft file gives it no time limit")
        return limit_s

    @figure("Time at take-off power: margin", "min", how="limit less time", decimals=1)
    def margin(self) -> float:
        return self.limit - self.time


class LeastHeld(Record):
    """The reading of the tanks that came nearest to the least fuel, or fell below it."""

    at = "debrief.least"

    def __init__(self, reading: Reading) -> None:
        self._reading, self.words = reading, reading.words

    @figure("Least over the least fuel to go on, %(words)s", "US gal", how="the smallest of all lines", rounding="down")
    def over(self) -> float:
        return self._reading.over_least

    @figure("Fuel aboard, %(words)s", "US gal", how="as read")
    def fuel(self) -> float:
        rests_on(self._reading.fuel)
        return self._reading.fuel / self._reading.fuel_density()

    @figure("Least fuel to go on, %(words)s", "US gal", how="as planned")
    def least(self) -> float:
        return self.fuel - self.over


def write_held(left: Left, power: TakeOffPower, readings: Sequence[Reading], writer: LedgerWriter) -> list[Finding]:
    """Enter what was left and hold what was flown against its limits; what was not written down gives no finding."""
    writer.adopt(left)
    writer.adopt(power)
    found = []
    near = [one for one in readings if Reading.over_least.of(one).there]
    if near:
        least = LeastHeld(min(near, key=lambda one: one.over_least))
        writer.adopt(least)
        title = f"Least fuel to go on, {least.words}"
        found.append(
            _finding(
                "debrief-least-fuel",
                title,
                (LeastHeld.fuel.of(least), LeastHeld.least.of(least), LeastHeld.over.of(least)),
                "the rule set of the plan",
            )
        )
    for ident, title, refs, source in (
        ("debrief-final-reserve", "Final reserve on landing", _refs(left, Left.usable, Left.reserve, Left.over_reserve),
         "the rule set of the plan"),
        ("debrief-landing-weight", "Weight on landing", _refs(left, Left.mass, Left.mass_limit, Left.mass_margin),
         "the aircraft file"),
        ("debrief-take-off-power", "Time at take-off power",
         _refs(power, TakeOffPower.time, TakeOffPower.limit, TakeOffPower.margin), "the aircraft file"),
    ):  # fmt: skip
        if all(ref.there for ref in refs):
            found.append(_finding(ident, title, refs, source))
    return found


def _refs(record: Record, *figures: Figure[Any, float]) -> tuple[Ref, Ref, Ref]:
    measured, limit, margin = (one.of(record) for one in figures)
    return measured, limit, margin


def _finding(ident: str, title: str, refs: tuple[Ref, Ref, Ref], source: str) -> Finding:
    measured, limit, margin = refs
    kept = margin.value >= 0.0
    text = f"{title}: {measured}, limit {limit}: margin {margin}."
    cure = "" if kept else "Report it, and enter it in the book."
    return Finding(
        ident, "pass" if kept else "fail", title, text, measured.key, limit.key, margin.key, source, cure, PAGE
    )
