"""The rest of a flight, flown from a fix: the route to its end, the ways home from every point of it, the hold."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import dataclass
from briefgen.model.mission import Alternate, Mission
from briefgen.model.plan import Phase
from briefgen.planning.after.fading import FadingWind, WindDifference
from briefgen.planning.after.fix import Fix, items_ahead
from briefgen.planning.flight.home.equal_time import EqualTime, Ways, choices
from briefgen.planning.flight.home.holding import leave_by
from briefgen.planning.flight.home.refuges import OUT_OF_USE, Refuge, TurningPoint, WayHome, refuges_of
from briefgen.planning.flight.home.spots import Spot, spots_of
from briefgen.planning.flight.over_place import fly_approach
from briefgen.planning.flight.route import named
from briefgen.planning.flight.schedule import Flown, with_diversions
from briefgen.planning.flight.sortie import fly_diversion, fly_items
from briefgen.planning.flight.steps import Crew


@dataclass(frozen=True)
class Reach:
    """A field from the fix on: the fuel it needs now, and where it goes out of reach or comes into reach."""

    refuge: Refuge
    needed_kg: float | None  # from the fix; None where it cannot be had
    points: tuple[TurningPoint, ...]


@dataclass(frozen=True)
class LeaveHold:
    """The latest moment to leave a hold for a field."""

    phase: Phase
    refuge: Refuge
    spot: Spot


@dataclass(frozen=True)
class Rest:
    """What lies ahead."""

    flown: Flown
    away_kg: float  # to the alternate that needs most, or the island reserve
    held_back_kg: float  # final reserve, unusable fuel, and what cannot be had any more
    reaches: tuple[Reach, ...]
    equal: tuple[EqualTime, ...]
    holds: tuple[LeaveHold, ...]

    @property
    def phases(self) -> tuple[Phase, ...]:
        """The phases ahead, in the air."""
        return self.flown.phases

    def least_kg(self, phase: Phase) -> float:
        """Return the least fuel with which to go on from the end of a phase [kg]."""
        onward_kg = phase.end.fuel_kg - self.phases[-1].end.fuel_kg
        return onward_kg + self.away_kg + self.held_back_kg


def engines_with(crew: Crew, running: int) -> str | None:
    """Return the engine configuration with so many engines running, None for all of them.

    Raises:
        PlanError: The aircraft file covers no such number.
    """
    every = crew.performance.engine_configurations
    found = next((one for one in every if one.running == running), None)
    if found is None:
        known = ", ".join(str(one.running) for one in every)
        raise PlanError(f"the aircraft file has no figures for {running} engines running", expected=f"one of {known}")
    return None if found is every[0] else found.name


def field_to(mission: Mission, ident: str) -> Alternate | None:
    """Return the field she turns to, None for the destination of the route.

    Raises:
        PlanError: The mission does not say how to fly to that field.
    """
    fields = {one.place.ident: one for one in (*mission.alternates, *mission.en_route)}
    if ident in ("", mission.route.destination.ident):
        return None
    if ident not in fields:
        raise PlanError(
            f"the mission has no way to '{ident}'", expected=f"an alternate or a field on the way: {', '.join(fields)}"
        )
    return fields[ident]


def fly_phases(planned: Flown, fix: Fix, crew: Crew, to: Alternate | None = None) -> tuple[Phase, ...]:
    """Return the phases from a fix to the landing, at the end of the route or at a field she turns to.

    Raises:
        PlanError: The rest cannot be flown so; the message says which part of it and why.
        OutOfRangeError: The weather or the aircraft file does not cover it.
    """
    if to is not None:
        return fly_diversion(planned.mission, crew, fix.node, fix.ident, to)
    mission = items_ahead(planned.mission, fix, planned)
    paces = {item: pace for item, pace in planned.paces.items() if item >= fix.item and crew.engines is None}
    phases = (
        fly_items(mission, crew, fix.node, begin=fix.item, paces=paces) if fix.item < len(mission.route.items) else []
    )
    here = replace(phases[-1].end, mass_kg=phases[-1].end.mass_kg - phases[-1].released_kg) if phases else fix.node
    phases += fly_approach(crew, here, mission.route.destination, mission.times.approach_s)
    return named(phases, "replan.")


def fly_rest(planned: Flown, fix: Fix, crew: Crew, lost_kg: float = 0.0, to: Alternate | None = None) -> Rest:
    """Return the rest of a flight with its ways home.

    Args:
        planned: The plan as it was settled before the flight.
        fix: Where it begins.
        crew: The air ahead, and the engines that run.
        lost_kg: Fuel aboard that cannot be had any more.
        to: The field she turns to in place of the rest of the route: beyond it there is no other.
    """
    mission = planned.mission
    phases = fly_phases(planned, fix, crew, to)
    if to is not None:
        flown = replace(planned, crew=crew, phases=phases, diversions=())
    else:
        flown = with_diversions(mission, crew, planned.departure, phases, planned.paces)
    reserve = planned.reserve  # what is kept does not shrink because an engine stands
    unusable_kg = (
        math.fsum(tank.unusable_m3 for tank in mission.aircraft.balance.tanks) * mission.fuel.density_kg_per_m3
    )
    held_kg = reserve.fuel_kg + unusable_kg + lost_kg
    instead_kg = 0.0
    if not flown.diversions and to is None:
        instead_kg = reserve.setting.fuel_flow_kg_per_s * (mission.rules.fuel.island_reserve_s or 0.0)
    away_kg = max((one.fuel_kg for one in flown.diversions), default=instead_kg)
    landing = phases[-1]
    home = WayHome(mission, crew, flown, held_kg, landing.fuel_burn_kg, instead_kg)
    spots = spots_of(phases, len(mission.route.items))
    reaches = tuple(
        _reach(home, spots, refuge)
        for refuge in (refuges_of(mission, crew, flown, spots) if spots else ())
        if to is None or refuge.place.ident != to.place.ident
    )
    equal = _equal(flown, crew, spots) if to is None else ()
    return Rest(flown, away_kg, held_kg, reaches, equal, tuple(_holds(home, reaches)))


def crew_ahead(planned: Flown, found: WindDifference | None, engines: str | None) -> Crew:
    """Return who flies the rest: in the forecast, or in it and what is left of the difference found."""
    crew, fading = planned.crew, planned.mission.fading
    if found is not None and fading is not None:
        crew = replace(crew, sky=FadingWind(crew.sky, found, fading))
    return replace(crew, engines=engines)


def _reach(home: WayHome, spots: tuple[Spot, ...], refuge: Refuge) -> Reach:
    needed = [home.needed_or_none(spot, refuge) for spot in spots]
    values = [
        OUT_OF_USE if need is None else spot.node.fuel_kg - need for spot, need in zip(spots, needed, strict=True)
    ]
    return Reach(refuge, needed[0], tuple(home.turning_points(spots, refuge, values)))


def _equal(flown: Flown, crew: Crew, spots: tuple[Spot, ...]) -> tuple[EqualTime, ...]:
    """Return the equal-time points ahead, with the engines that run."""
    ways = Ways(flown.mission, crew)
    return tuple(
        EqualTime(choice, spot, ways.way(spot, ways.lines(spot.node, choice.behind), choice.behind))
        for choice in choices(flown.mission, spots)
        for spot in ways.points(choice, spots)
    )


def _holds(home: WayHome, reaches: Sequence[Reach]) -> list[LeaveHold]:
    found = []
    for phase in home.flown.phases:
        if phase.kind != "hold" or phase.item is None or phase.duration_s <= 0.0:
            continue
        for reach in reaches:
            try:
                spot = leave_by(home, phase, reach.refuge) if reach.refuge.height_m is not None else None
            except BriefgenError:
                continue
            if spot is not None:
                found.append(LeaveHold(phase, reach.refuge, spot))
    return found
