"""A mission of several sectors in, its plan out: each sector planned as it is handed on, and the journey above them."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.errors import BriefgenError
from briefgen.frozen import replace
from briefgen.kernel.constants import LB_KG
from briefgen.model.mission import FuelLoad, Mission, Sector
from briefgen.model.plan import Finding, FindingPage, Plan
from briefgen.model.rules import NOBODY
from briefgen.planning.assemble import plan_flown, plan_mission
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.sectors import arrival, fly_sector, ready, supplies_at_start, title_of
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.journey import JourneyFigures, SectorFigures, Supply, write_journey

PAGE: FindingPage = "index"
WORDS = {"fail": "fails", "caution": "caution"}


def plan_sectors(sectors: Sequence[Mission]) -> Plan:
    """Return the plan of a mission of one sector or of several; that of several holds a plan for each.

    Raises:
        PlanError: A sector cannot be flown as written; the message names it.
        OutOfRangeError: The weather, a chart or a model does not cover some part of it.
    """
    first = sectors[0]
    if first.sector is None or len(sectors) == 1:
        return plan_mission(first)
    plans: list[Plan] = []
    flights: list[Flown] = []
    for number, mission in enumerate(sectors):
        flights.append(fly_sector(first.sector, number, flights[-1] if flights else None, fly))
        try:
            one = flights[-1]
            plans.append(plan_flown(replace(one, mission=replace(one.mission, sector=mission.sector))))
        except BriefgenError as error:
            raise error.at(f"sector {number + 1}, {title_of(mission)}") from error
    return _whole(sectors, plans, flights)


def _whole(sectors: Sequence[Mission], plans: Sequence[Plan], flights: Sequence[Flown]) -> Plan:
    writer = LedgerWriter(sectors[0].given)
    figures, together = write_journey(plans, [_supplies(one) for one in flights], writer)
    findings = [_judged(one, together) for one in figures]
    findings += _where_fuel_lacks(flights, figures, together)
    return Plan(
        mission=_head(sectors), ledger=writer.sealed(), tables=writer.tables, phases=(), events=(),
        findings=tuple(findings), charts={}, sectors=tuple(plans),
        same_as={key: found for one in figures for key, found in one.same_as().items()},
    )  # fmt: skip


def _head(sectors: Sequence[Mission]) -> Mission:
    """Return the mission as a whole: what holds for every sector, from the first field to the last."""
    first, last = sectors[0], sectors[-1]
    name = first.name.rpartition(", sector ")[0]
    route = replace(
        first.route, destination=last.route.destination, destination_runway=last.route.destination_runway,
        items=tuple(item for one in sectors for item in one.route.items), paths=(),
    )  # fmt: skip
    return replace(first, name=name, route=route, sector=None)


def _supplies(flown: Flown) -> list[tuple[str, str, Supply]]:
    """Return the supplies used by the hour of a sector: name, unit, and what it begins and ends with."""
    at_start, left = supplies_at_start(flown.mission), arrival(flown).supplies
    start = flown.mission.start
    filled = start.handed_on.filled if start and start.handed_on else {}
    return [
        (one.name, one.unit, Supply(at_start[one.name], left[one.name], filled.get(one.name)))
        for one in flown.mission.aircraft.fluids if one.use_per_hour
    ]  # fmt: skip


def _judged(sector: SectorFigures, together: JourneyFigures) -> Finding:
    """Return how a sector stands with its rules: a mission passes when every sector does."""
    found = sector.plan.findings
    outcome = next((word for word in ("fail", "caution") if any(one.outcome == word for one in found)), "pass")
    named = "; ".join(one.title for one in found if one.outcome == outcome)
    told = f" {named}." if outcome != "pass" else ""
    return Finding(
        sector.at, outcome, f"Sector {sector.number}, {sector.title}",
        f"{SectorFigures.fails.of(sector)} fail, {SectorFigures.cautions.of(sector)} caution.{told}",
        SectorFigures.fails.of(sector).key, JourneyFigures.may_fail.of(together).key, "", "the review of the sector",
        f"do what the review of sector {sector.number} asks for" if told else "", PAGE, accepted_by=(NOBODY,) if outcome == "fail" else (),
    )  # fmt: skip


def _where_fuel_lacks(
    flights: Sequence[Flown], figures: Sequence[SectorFigures], together: JourneyFigures
) -> list[Finding]:
    """Return the landings at which the fuel asked for is not to be had, each with what would have to be brought along."""
    found = []
    sector = flights[0].mission.sector or figures[0].plan.mission.sector
    assert sector is not None
    for number in range(1, len(flights)):
        landing, start = sector.landings[number - 1], flights[number].mission.start
        taken_kg = start.handed_on.taken_on_kg if start and start.handed_on else 0.0
        had_kg = (
            None if landing.supply_m3 is None else landing.supply_m3 * flights[number].mission.fuel.density_kg_per_m3
        )
        grades = landing.at.fuel_grades
        lacks = ""
        if taken_kg and grades and landing.fuel_grade not in grades:
            lacks = f"{landing.fuel_grade} is not to be had there, only {', '.join(grades)}"
        elif had_kg is not None and taken_kg > had_kg:
            lacks = f"no more than {had_kg / LB_KG:,.0f} lb is to be had there"
        if lacks:
            taken = SectorFigures.taken_on.of(figures[number])
            found.append(
                Finding(
                    f"uplift.{number:02d}", "fail", f"Fuel at {landing.at.name} ({landing.at.ident})",
                    f"{taken} are to be taken on; {lacks}.", taken.key, JourneyFigures.may_fail.of(together).key, "",
                    "places file and mission", tankering(sector, number, flights), PAGE,
                )
            )  # fmt: skip
    return found


def tankering(sector: Sector, number: int, flights: Sequence[Flown]) -> str:
    """Return what to take on where fuel was last had, so that none is needed before one sector (numbered from 0)."""
    source = number - 1
    while source and sector.sectors[source].fuel.kind == "add" and not sector.sectors[source].fuel.volume_m3:
        source -= 1
    missions = list(sector.sectors)
    density = missions[source].fuel.density_kg_per_m3
    nothing = replace(missions[number].fuel, kind="add", volume_m3=0.0, by_tank_m3={})
    over_m3 = missions[number].fuel.extra_m3
    missions[number] = replace(missions[number], fuel=nothing)
    missions[source] = replace(missions[source], fuel=FuelLoad("as required", None, {}, over_m3, density))
    origin = missions[source].route.origin
    try:
        before = flights[source - 1] if source else None
        carried = fly(ready(replace(sector, sectors=tuple(missions)), source, before, fly))
    except BriefgenError as error:
        return f"it cannot be brought from {origin.name} ({origin.ident}): {error.problem}; land where fuel is had"
    more_kg = carried.departure.fuel_kg - flights[source].departure.fuel_kg
    return (
        f"take on {-(-more_kg // LB_KG):,.0f} lb more at {origin.name} ({origin.ident}) and none here: "
        f"{-(-carried.departure.fuel_kg // LB_KG):,.0f} lb at the ramp there"
    )
