"""When the sortie starts and with how much fuel: settled by flying it until both stand still."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from briefgen.errors import PlanError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.geodesy import geodesic_distance
from briefgen.model.mission import Leg, Mission, OverTarget
from briefgen.model.plan import Phase
from briefgen.planning.flight.fuel_policy import (
    GROUND_OUT,
    Diversion,
    Reserve,
    air_phases,
    contingency_kg,
    final_reserve,
)
from briefgen.planning.flight.go_around import go_around_kg
from briefgen.planning.flight.pacing import paces_of, point_index
from briefgen.planning.flight.sortie import (
    AS_WRITTEN,
    Departure,
    Pace,
    crew_at,
    fly_diversion,
    fly_ground_and_take_off,
    fly_items,
    fly_sortie,
)
from briefgen.planning.flight.steps import Crew
from briefgen.planning.load.pieces import zero_fuel_mass_kg

CLOCK_TOLERANCE_S = 0.5
FUEL_TOLERANCE_KG = 0.2
TRIALS = 24  # clock, timed points and fuel each take their turn
FIRST_SPEED_M_PER_S = 75.0  # of the first guess; the flying settles it


@dataclass(frozen=True)
class Flown:
    """A settled sortie with the ways to its alternates and its final reserve.

    Attributes:
        mission: What was flown: every point placed, every pattern taken apart, the fuel at its temperature.
        crew: The aircraft's answers and the sky that it was flown with.
        paces: Legs whose speed is set by a timed point, by route item.
    """

    mission: Mission
    crew: Crew
    phases: tuple[Phase, ...]
    diversions: tuple[Diversion, ...]
    reserve: Reserve
    departure: Departure
    paces: Mapping[int, Pace]


def settled(mission: Mission, crew: Crew) -> Flown:
    """Return the sortie flown with the clock and the fuel that the mission asks for.

    Raises:
        PlanError: It cannot be flown, or the fuel required does not fit, or the time cannot be met.
    """
    departure = Departure(_first_off_blocks(mission), zero_fuel_mass_kg(mission), _first_fuel(mission))
    departure = _roughly_on_time(mission, crew, departure)
    paces: Mapping[int, Pace] = AS_WRITTEN
    paced_for: Departure | None = None
    for _ in range(TRIALS):
        phases = fly_sortie(mission, crew, departure, paces)
        late_s = _late(mission, phases)
        if abs(late_s) >= CLOCK_TOLERANCE_S:
            departure = replace(departure, off_blocks=departure.off_blocks - timedelta(seconds=late_s))
            continue
        if mission.times.timed_points and paced_for != departure:
            paces, paced_for = paces_of(mission, crew, departure), departure
            continue
        flown = with_diversions(mission, crew, departure, phases, paces)
        short_kg = _short(mission, flown)
        if abs(short_kg) < FUEL_TOLERANCE_KG:
            return flown
        departure = replace(departure, fuel_kg=departure.fuel_kg + short_kg)
    raise PlanError(
        "the take-off time and the fuel required do not settle",
        expected="a mission whose fuel can carry itself, and winds that change slowly with time",
    )


def fuel_in_hand_kg(flown: Flown) -> float:
    """Return the fuel at the ramp beyond what the rules require [kg], negative where it does not reach."""
    return flown.departure.fuel_kg - _required(flown.mission, flown)


def _short(mission: Mission, flown: Flown) -> float:
    """Return what is missing of the fuel the mission asks for [kg]; fuel that is given stands."""
    if mission.fuel.kind != "as required":
        return 0.0
    wanted_kg = _required(mission, flown) + mission.fuel.extra_m3 * mission.fuel.density_kg_per_m3
    return wanted_kg - flown.departure.fuel_kg


def _late(mission: Mission, phases: Sequence[Phase]) -> float:
    """Return how late she is over the target [s]; a take-off time that is given stands."""
    target = mission.times.over_target
    if mission.times.take_off is not None or target is None:
        return 0.0
    index = point_index(mission, target)
    arrival = [phase for phase in phases if phase.item == index][-1].end.instant
    return (arrival - target.instant).total_seconds()


def with_diversions(
    mission: Mission, crew: Crew, departure: Departure, phases: tuple[Phase, ...], paces: Mapping[int, Pace]
) -> Flown:
    """Return the sortie with its diversions from the circuit of the destination, and the reserve at the last field."""
    landing = next(phase for phase in reversed(phases) if phase.kind == "approach")
    overhead = landing.start
    here = mission.route.destination.ident
    arriving = crew_at(mission, crew, len(mission.route.items))
    diversions = tuple(
        Diversion(alternate.place.ident, fly_diversion(mission, arriving, overhead, here, alternate))
        for alternate in mission.alternates
        if alternate.place.ident != here
    )
    if diversions:
        worst = max(diversions, key=lambda diversion: diversion.fuel_kg)
        reserve = final_reserve(mission, crew, worst.phases[-1], worst.ident)
    else:
        reserve = final_reserve(mission, crew, landing, here)
    reserve = replace(reserve, go_around_kg=go_around_kg(mission, crew, phases))
    return Flown(mission, crew, phases, diversions, reserve, departure, paces)


def _required(mission: Mission, flown: Flown) -> float:
    policy = mission.rules.fuel
    in_air = air_phases(flown.phases)
    trip = math.fsum(p.fuel_burn_kg for p in in_air if p.kind != "hold")
    wait = math.fsum(p.fuel_burn_kg for p in in_air if p.kind == "hold")
    ground = math.fsum(p.fuel_burn_kg for p in flown.phases if p.kind in GROUND_OUT)
    if flown.diversions:
        away = max(diversion.fuel_kg for diversion in flown.diversions)
    else:
        away = flown.reserve.setting.fuel_flow_kg_per_s * (policy.island_reserve_s or 0.0)
    unusable = math.fsum(tank.unusable_m3 for tank in mission.aircraft.balance.tanks) * mission.fuel.density_kg_per_m3
    contingency = contingency_kg(policy, trip, flown.reserve)
    return ground + trip + contingency + wait + away + flown.reserve.go_around_kg + flown.reserve.fuel_kg + unusable


def _first_fuel(mission: Mission) -> float:
    density = mission.fuel.density_kg_per_m3
    if mission.fuel.kind == "at ramp":
        return (mission.fuel.volume_m3 or 0.0) * density
    if mission.fuel.kind == "by tank":
        return math.fsum(mission.fuel.by_tank_m3.values()) * density
    return math.fsum(tank.capacity_m3 for tank in mission.aircraft.balance.tanks) * density * 0.9


def _lead(mission: Mission) -> timedelta:
    times = mission.times
    return timedelta(seconds=times.start_s + times.taxi_out_s + times.run_up_s)


def _first_off_blocks(mission: Mission) -> datetime:
    if mission.times.take_off is not None:
        return mission.times.take_off - _lead(mission)
    target = _target(mission)
    way_m, here = 0.0, mission.route.origin
    for item in mission.route.items[: point_index(mission, target) + 1]:
        if isinstance(item, Leg):
            way_m += geodesic_distance(here.lat_deg, here.lon_deg, item.to.lat_deg, item.to.lon_deg)
            here = item.to
    out_s = way_m / FIRST_SPEED_M_PER_S + mission.times.take_off_lasts_s
    return target.instant - timedelta(seconds=out_s) - _lead(mission)


def _target(mission: Mission) -> OverTarget:
    if mission.times.over_target is None:
        raise PlanError("the mission has neither a take-off time nor a time over target", expected="one of the two")
    return mission.times.over_target


def _roughly_on_time(mission: Mission, crew: Crew, departure: Departure) -> Departure:
    """Return the departure moved so that only the change of the winds with time is left to settle."""
    if mission.times.take_off is not None:
        return departure
    out = fly_ground_and_take_off(mission, crew, departure)
    index = point_index(mission, _target(mission))
    out += fly_items(mission, crew, out[-1].end, through=index)
    return replace(departure, off_blocks=departure.off_blocks - timedelta(seconds=_late(mission, out)))
