"""Checks of fuel: what is carried against what each rule wants left at each point of the flight."""

from __future__ import annotations

import math

from briefgen.kernel.sun import LightCondition
from briefgen.model.mission import Mission
from briefgen.model.record import note
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.review.checks.facts import (
    Amount,
    Answer,
    Cure,
    Facts,
    Measure,
    MissingFactError,
    NotApplicable,
    amount,
    shown,
    word,
)
from briefgen.planning.sections.basis.fuel import FuelMargin, FuelRequired
from briefgen.planning.sections.basis.groups import BALANCE, PLACES, RULES, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.ruled import RuleFigures
from briefgen.planning.sections.basis.written_load import DensityWritten, FuelWritten, RampFuel


def capped_time(base_s: float, ratio: float, time_s: float, cap_s: float) -> float:
    """Return a reserve that grows with the flight: a base time and a share of a flight time, but no more than a cap.

    Args:
        base_s: Time in any case [s].
        ratio: Share of the flight time on top of it.
        time_s: Flight time the share is taken of [s].
        cap_s: The most the rule asks for [s].

    Returns:
        Time [s].

    Source:
        14 CFR 125.375(b): the lesser of 30 minutes and 15 % of the time, and 90 minutes.
    """
    return min(base_s + ratio * time_s, cap_s)


def fuel_on_board(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the fuel at the ramp against the sum of what the fuel policy requires, the unusable fuel included."""
    ramp_kg, required_kg = facts.numbers(RampFuel.ramp, FuelRequired.total)
    unit, decimals = facts.unit(RampFuel.ramp)
    return Measure(
        ramp_kg,
        required_kg,
        unit,
        decimals,
        "at least",
        phrase="the fuel at the ramp is {measured}",
        method="fuel at the ramp against the sum of the fuel required",
        cure=facts.fuel_cure("carry {cure} more, or shorten the flight", required_kg - ramp_kg),
        measured_of=facts.ref(RampFuel.ramp),
        limit_of=facts.ref(FuelRequired.total),
        margin_of=facts.ref(FuelMargin.margin),
    )


def fuel_components(facts: Facts, rule: RuleFigures) -> Answer:
    """See that every component of the fuel scheme was worked out and that together they make the total."""
    sheet = FuelRequired
    away = sheet.alternate if facts.mission.alternates else sheet.island
    wanted = (sheet.unusable, sheet.taxi, sheet.trip, sheet.contingency, sheet.final_reserve, away)
    *lines_kg, total_kg = facts.numbers(*wanted, sheet.total)
    if facts.ref(sheet.hold) is not None:
        lines_kg.append(facts.number(sheet.hold))
    unit, decimals = facts.unit(sheet.total)
    parts_kg = math.fsum(lines_kg)
    return Measure(
        total_kg,
        parts_kg,
        unit,
        decimals,
        "at least",
        phrase="the total required is {measured}, its parts add up to {limit}{left}",
        method="total required against the sum of its components",
        cure=facts.fuel_cure("add {cure} to the total required", parts_kg - total_kg),
    )


def tank_capacity(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the fuel at the ramp against what the tanks hold."""
    ramp_kg = facts.number(RampFuel.ramp)
    rest_on_groups(BALANCE)
    note(DensityWritten.density.key)
    unit, decimals = facts.unit(RampFuel.ramp)
    capacity_m3 = math.fsum(tank.capacity_m3 for tank in facts.mission.aircraft.balance.tanks)
    capacity_kg = capacity_m3 * facts.mission.fuel.density_kg_per_m3
    return Measure(
        ramp_kg,
        capacity_kg,
        unit,
        decimals,
        "at most",
        phrase="the fuel at the ramp is {measured}, the tanks hold {limit}{left}",
        method="fuel at the ramp against the capacity of all tanks at the density stated",
        cure=facts.fuel_cure("carry {cure} less", ramp_kg - capacity_kg),
    )


def fuel_grade(facts: Facts, rule: RuleFigures) -> Answer:
    """See that the grade flown on can be had where the rule says."""
    where = word(rule, "place")
    route = facts.mission.route
    place = route.origin if where == "origin" else route.destination
    grade = facts.mission.fuel_grade
    if where == "origin" and facts.mission.start is not None and facts.mission.start.handed_on is not None:
        if not facts.mission.start.handed_on.taken_on_kg:
            return NotApplicable(f"no fuel is taken on at {shown(place)}")
        grade = _grade_taken_on(facts.mission)
    if where != "origin" and _nothing_next(facts.mission):
        return NotApplicable(f"no fuel is taken on at {shown(place)}")
    rest_on_groups(PLACES)
    facts.rest_on(FuelWritten.at, FuelWritten.grade)
    if not place.fuel_grades:
        raise MissingFactError(f"the fuel grades at {shown(place)}", cure=f"find out which fuel {shown(place)} has")
    had = ", ".join(place.fuel_grades)
    return Measure(
        grade,
        had,
        "",
        0,
        "at least",
        subject=shown(place),
        phrase="the plan is made on grade {measured}; to be had there: {limit}",
        holds=grade in place.fuel_grades,
        method="grade of the mission among the grades of the aerodrome",
        cure=Cure(f"plan on {had}, or take fuel elsewhere"),
    )


def _nothing_next(mission: Mission) -> bool:
    """Return whether another sector follows that takes on no fuel where this one ends."""
    sector = mission.sector
    if sector is None or sector.number == len(sector.sectors):
        return False
    fuel = sector.sectors[sector.number].fuel
    return fuel.kind == "add" and not fuel.volume_m3


def _grade_taken_on(mission: Mission) -> str:
    """Return the grade taken on at the landing before a sector: mixed with another aboard it is not the one flown on."""
    sector = mission.sector
    return sector.landings[sector.number - 2].fuel_grade if sector else mission.fuel_grade


def _light_of_flight(facts: Facts) -> str:
    """Return 'day' if take-off and landing are by day, else 'night'."""
    route = facts.mission.route
    told = (facts.light("take-off", route.origin.ident), facts.light("landing", route.destination.ident))
    return LightCondition.DAY if all(word == LightCondition.DAY for word in told) else LightCondition.NIGHT


def _left_at_destination(facts: Facts, *, after_alternate: bool) -> float:
    """Return what is left [kg] of the usable fuel after taxi, trip, any planned hold and (if asked) the alternate."""
    used = [FuelRequired.unusable, FuelRequired.taxi, FuelRequired.trip]
    if facts.ref(FuelRequired.hold) is not None:
        used.append(FuelRequired.hold)
    if after_alternate and facts.mission.alternates:
        used.append(FuelRequired.alternate)
    ramp_kg, *used_kg = facts.numbers(RampFuel.ramp, *used)
    return ramp_kg - math.fsum(used_kg)


def _reserve(facts: Facts, left_kg: float, limit_s: float, method: str, where: str) -> Measure:
    flow = facts.cruise_flow_kg_per_s()
    return Measure(
        left_kg / flow,
        limit_s,
        "h:min",
        0,
        "at least",
        phrase=f"the fuel remaining {where} lasts {{measured}}",
        method=method,
        cure=facts.fuel_cure("carry {cure} more", limit_s * flow - left_kg),
    )


def _where(facts: Facts, after: str) -> str:
    """Say where fuel is left: over the destination, or after the way to the alternate where one is listed."""
    return (
        "after the way to the alternate" if after == "alternate" and facts.mission.alternates else "at the destination"
    )


def reserve_time(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the time she can still fly, at normal cruising consumption, against a fixed reserve."""
    wanted = word(rule, "light")
    light = _light_of_flight(facts) if wanted != "any" else "any"
    if light != wanted:
        return NotApplicable(f"the flight is by {light}")
    left_kg = _left_at_destination(facts, after_alternate=word(rule, "after") == "alternate")
    method = f"fuel remaining after the {word(rule, 'after')} over the mean fuel flow in cruise"
    return _reserve(facts, left_kg, amount(rule, "reserve"), method, _where(facts, word(rule, "after")))


def reserve_share(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the time left after the alternate against a reserve that grows with the flight time."""
    if not facts.mission.alternates:
        return NotApplicable("no alternate is listed")
    left_kg = _left_at_destination(facts, after_alternate=True)
    flight_s = math.fsum(facts.numbers(FuelRequired.trip, FuelRequired.alternate)) / facts.cruise_flow_kg_per_s()
    limit_s = capped_time(amount(rule, "base"), amount(rule, "share"), flight_s, amount(rule, "cap"))
    method = "fuel remaining after the alternate over the mean fuel flow in cruise; flight time at the same flow"
    return _reserve(facts, left_kg, limit_s, method, _where(facts, "alternate"))


def reserve_without_alternate(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the time left over a destination without an alternate against the reserve instead of one."""
    if facts.mission.alternates:
        return NotApplicable("an alternate is listed")
    left_kg = _left_at_destination(facts, after_alternate=False)
    cruise_s = math.fsum((phase.end.instant - phase.start.instant).total_seconds() for phase in facts.cruise_phases())
    limit_s = capped_time(amount(rule, "base"), amount(rule, "share"), cruise_s, amount(rule, "cap"))
    method = "fuel remaining at the destination over the mean fuel flow in cruise; share taken of the time in cruise"
    return _reserve(facts, left_kg, limit_s, method, _where(facts, "destination"))


def _holding_flow_kg_per_s(facts: Facts) -> float:
    rest_on_groups(RULES)
    return facts.number(FuelRequired.final_reserve) / facts.mission.rules.fuel.final_reserve_s


def contingency_fuel(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the contingency fuel against a share of the trip and a time of holding, whichever is more."""
    have_kg, trip_kg = facts.numbers(FuelRequired.contingency, FuelRequired.trip)
    holding_kg = amount(rule, "holding") * _holding_flow_kg_per_s(facts)
    limit_kg = max(amount(rule, "share") * trip_kg, holding_kg)
    unit, decimals = facts.unit(FuelRequired.contingency)
    return Measure(
        have_kg,
        limit_kg,
        unit,
        decimals,
        "at least",
        phrase="the contingency fuel is {measured}",
        method="contingency fuel against the larger of a share of the trip fuel and a time of holding at the flow of "
        "the final reserve",
        cure=facts.fuel_cure("put {cure} more into the contingency fuel", limit_kg - have_kg),
    )


def final_reserve_time(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the time of the fuel policy's final reserve against the rule's."""
    facts.require(FuelRequired.final_reserve)
    have_s, limit_s = facts.mission.rules.fuel.final_reserve_s, amount(rule, "reserve")
    return Measure(
        have_s,
        limit_s,
        "h:min",
        0,
        "at least",
        phrase="the fuel policy keeps a final reserve of {measured}",
        method="final reserve of the fuel policy the plan is made with",
        cure=facts.fuel_cure(
            "lengthen the final reserve; that is {cure} more", (limit_s - have_s) * _holding_flow_kg_per_s(facts)
        ),
    )


def _overhead(facts: Facts) -> float:
    """Return the fuel remaining [kg] over the destination after the longest hold, where she would divert."""
    approach = facts.last_phase("approach")
    number = facts.phases.index(approach)
    if number == 0:
        raise MissingFactError("the flight before the approach")
    return facts.number(PhaseFigures.fuel_remaining, phase_key(facts.phases[number - 1].ident))


def final_reserve_intact(facts: Facts, rule: RuleFigures) -> Answer:
    """See that waiting out the longest hold and then diverting leaves the final reserve untouched."""
    used = (FuelRequired.unusable, *((FuelRequired.alternate,) if facts.mission.alternates else ()))
    left_kg = _overhead(facts)
    reserve_kg, *used_kg = facts.numbers(FuelRequired.final_reserve, *used)
    left_kg -= math.fsum(used_kg)
    unit, decimals = facts.unit(FuelRequired.final_reserve)
    flow = _holding_flow_kg_per_s(facts)
    if flow <= 0.0:
        raise MissingFactError("a final reserve of more than nothing")
    short_kg = reserve_kg - left_kg
    volume = facts.fuel_cure("", short_kg).amounts
    return Measure(
        left_kg,
        reserve_kg,
        unit,
        decimals,
        "at least",
        phrase="after the longest hold and the way to the alternate {measured} is left"
        if facts.mission.alternates
        else "after the longest hold {measured} is left",
        method="usable fuel over the destination after the longest hold, less the way to the alternate",
        cure=Cure(
            "carry {cure} more, or leave the hold {cure_time} earlier",
            (*volume, Amount("cure_time", short_kg / flow, "min")),
        ),
    )
