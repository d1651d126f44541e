"""Several sectors of one mission: what each hands on to the next, and the least fuel that carries through to where fuel is had."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta

from briefgen.errors import BriefgenError, OutOfFuelError, PlanError
from briefgen.frozen import dataclass, replace
from briefgen.model.mission import FuelLoad, HandedOn, Landing, Mission, Sector, Start
from briefgen.planning.flight.schedule import Flown, fuel_in_hand_kg
from briefgen.planning.flight.sortie import written_place
from briefgen.planning.load.people import S_PER_H, use_ratio
from briefgen.planning.load.tank_log import tank_log
from briefgen.planning.load.tanks import M3_PER_US_GAL, fuel_at_its_temperature, start_contents, topped_up

IN_HAND_KG = 0.1  # what the least fuel may leave over what is asked; a pound less fails
TRIALS = 40
_NOTHING_M3 = 1e-9

Fly = Callable[[Mission], Flown]


@dataclass(frozen=True)
class Arrival:
    """What a sector leaves behind it on blocks."""

    title: str
    tanks_m3: Mapping[str, float]
    fuel_kg: float
    grade: str
    supplies: Mapping[str, float]  # those used by the hour, in the units of the aircraft file
    flown: Flown


def title_of(mission: Mission) -> str:
    """Return where a sector begins and ends, in words."""
    return f"{mission.route.origin.name} to {mission.route.destination.name}"


def arrival(flown: Flown) -> Arrival:
    """Return what is left when the last engine has stopped."""
    mission = flown.mission
    ramp_m3 = flown.departure.fuel_kg / mission.fuel.density_kg_per_m3
    log = tank_log(mission, flown.phases, start_contents(mission.aircraft, mission.fuel, ramp_m3))
    running_s = (flown.phases[-1].end.instant - flown.phases[0].start.instant).total_seconds()
    aboard = supplies_at_start(mission)
    used = {
        fluid.name: fluid.use_per_hour * use_ratio(mission, fluid) * running_s / S_PER_H
        for fluid in mission.aircraft.fluids if fluid.use_per_hour and not fluid.on_demand
    }  # fmt: skip
    left = {name: max(0.0, amount - used.get(name, 0.0)) for name, amount in aboard.items()}
    return Arrival(
        title_of(mission), log.contents_m3[-1], flown.phases[-1].end.fuel_kg, mission.fuel_grade, left, flown
    )


def supplies_at_start(mission: Mission) -> dict[str, float]:
    """Return the supplies besides fuel aboard as the engines start: full, or what was handed on and filled up."""
    handed_on = mission.start.handed_on if mission.start else None
    full = {fluid.name: fluid.capacity for fluid in mission.aircraft.fluids}
    return full if handed_on is None else full | dict(handed_on.aboard)


def ready(sector: Sector, number: int, before: Flown | None, fly: Fly) -> Mission:
    """Return one sector (numbered from 0) as it is flown: its time, its fuel by tank and its supplies from the sector before.

    Fuel asked for as the least is settled for this sector and those after it up to where fuel is taken on again.

    Raises:
        PlanError: What the landing asks for cannot be had; the message names its line.
        As the flights themselves.
    """
    mission = sector.sectors[number]
    run = _run(sector, number)
    if before is None:
        if mission.fuel.kind != "as required" or len(run) == 1:
            return mission
        return _least(sector, run, _first(mission), 0.0, fly)
    landing, came = sector.landings[number - 1], arrival(before)

    def with_fuel(fuel_kg: float, settled_for: int = 0) -> Mission:
        return _gone_on(mission, landing, came, fuel_kg, settled_for)

    if mission.fuel.kind == "as required":
        return _least(sector, run, with_fuel, came.fuel_kg, fly)
    fuel = fuel_at_its_temperature(mission.fuel)
    asked_m3 = fuel.volume_m3 or 0.0
    came_m3 = math.fsum(came.tanks_m3.values())
    taken_m3 = asked_m3 if fuel.kind == "add" else asked_m3 - came_m3
    if taken_m3 < -_NOTHING_M3:
        raise PlanError(
            f"{_gallons(came_m3)} are aboard on blocks at {landing.at.ident}, more than the {_gallons(asked_m3)} asked for",
            where=_place_of(before.mission, landing, sector), expected=f"{_gallons(came_m3)} or more",
            hint="'add: 0 US gal' takes on nothing",
        )  # fmt: skip
    return with_fuel(came.fuel_kg + max(0.0, taken_m3) * fuel.density_kg_per_m3)


def _place_of(mission: Mission, landing: Landing, sector: Sector) -> str:
    """Return file and line of what a landing says of fuel."""
    after = sector.sectors[sector.landings.index(landing) + 1]
    keys = ("load.fuel.at ramp", "load.fuel.add", "load.fuel.as required plus")
    found = (written_place(after, key) for key in keys)
    return next(filter(None, found), "").removesuffix(": ") or mission.file


def flown_before(sector: Sector, number: int, fly: Fly) -> Flown | None:
    """Return the sector before one (numbered from 0), flown with all before it; None before the first."""
    before: Flown | None = None
    for one in range(number):
        before = fly_sector(sector, one, before, fly)
    return before


def fly_sector(sector: Sector, number: int, before: Flown | None, fly: Fly) -> Flown:
    """Return one sector flown, after the one before it; what goes wrong names the sector."""
    try:
        return fly(ready(sector, number, before, fly))
    except BriefgenError as error:
        raise error.at(f"sector {number + 1}, {title_of(sector.sectors[number])}") from error


def _run(sector: Sector, number: int) -> range:
    """Return the sectors flown on the fuel of one: itself, and those after it up to where fuel is taken on again."""
    end = number + 1
    while end < len(sector.sectors) and _takes_nothing(sector.sectors[end].fuel):
        end += 1
    return range(number, end)


def _takes_nothing(fuel: FuelLoad) -> bool:
    return fuel.kind == "add" and not fuel.volume_m3


def _first(mission: Mission) -> Callable[[float, int], Mission]:
    """Return how the first sector is given its fuel: it is at the density written, so that its figures stand as written."""
    density = fuel_at_its_temperature(mission.fuel).density_kg_per_m3

    def with_fuel(fuel_kg: float, settled_for: int = 0) -> Mission:
        fuel = replace(mission.fuel, kind="at ramp", volume_m3=fuel_kg / density)
        return replace(mission, fuel=fuel, start=Start(fuel_kg, settled_for))

    return with_fuel


def _gone_on(mission: Mission, landing: Landing, came: Arrival, fuel_kg: float, settled_for: int) -> Mission:
    """Return a sector with the time, the fuel and the supplies it begins with."""
    times = mission.times
    on_blocks = came.flown.phases[-1].end.instant
    off_blocks = on_blocks + timedelta(seconds=landing.turn_round_s)
    taken_kg = max(0.0, fuel_kg - came.fuel_kg)
    taken_m3 = taken_kg / fuel_at_its_temperature(mission.fuel).density_kg_per_m3
    tanks = topped_up(mission.aircraft, came.tanks_m3, taken_m3)
    volume_m3 = math.fsum(tanks.values())
    full = {fluid.name: fluid.capacity for fluid in mission.aircraft.fluids}
    filled = {name: full[name] - came.supplies[name] for name in landing.filled_up}
    handed_on = HandedOn(
        came.title, _reporting(came.flown), on_blocks, landing.turn_round_s, came.fuel_kg, taken_kg,
        {name: amount + filled.get(name, 0.0) for name, amount in came.supplies.items()}, filled,
    )  # fmt: skip
    lead = timedelta(seconds=times.start_s + times.taxi_out_s + times.run_up_s)
    fuel = FuelLoad("by tank", volume_m3, tanks, 0.0, (came.fuel_kg + taken_kg) / volume_m3)
    return replace(
        mission, times=replace(times, take_off=off_blocks + lead), fuel=fuel,
        start=Start(came.fuel_kg + taken_kg, settled_for, handed_on),
    )  # fmt: skip


def _reporting(flown: Flown) -> datetime:
    """Return when the duty began: as the sector before had it, or before its own start."""
    start, times = flown.mission.start, flown.mission.times
    if start is not None and start.handed_on is not None:
        return start.handed_on.reporting
    ahead = times.stations_before_start_s + times.briefing_before_stations_s
    return flown.departure.off_blocks - timedelta(seconds=ahead)


def _least(
    sector: Sector, run: Sequence[int], with_fuel: Callable[[float, int], Mission], came_kg: float, fly: Fly
) -> Mission:
    """Return a sector with the least fuel, not less than came with her, that leaves what is asked in hand on every sector of a run.

    The fuel that was too little and the fuel that was enough close in on each other: by the straight line between the two, or by
    half where that does not help.
    """
    first = sector.sectors[run[0]]
    holds_kg = math.fsum(tank.capacity_m3 for tank in first.aircraft.balance.tanks) * first.fuel.density_kg_per_m3
    over_kg = first.fuel.extra_m3 * fuel_at_its_temperature(first.fuel).density_kg_per_m3

    def spare_kg(fuel_kg: float) -> float:
        if fuel_kg > holds_kg:
            raise PlanError(
                f"the least fuel is more than the {holds_kg / first.fuel.density_kg_per_m3 / M3_PER_US_GAL:,.0f} US gal that the tanks hold",
                expected="less between two landings where fuel is taken on", hint="take fuel on at a landing before",
            )  # fmt: skip
        try:
            return min(in_hand_through(sector, run, with_fuel(fuel_kg, len(run)), fly)) - over_kg
        except OutOfFuelError:
            return -math.inf

    low, high = _bracket(spare_kg, max(came_kg, 0.5 * holds_kg), came_kg)
    if low is None:
        return with_fuel(high[0], len(run))  # what came with her is enough
    for _ in range(TRIALS):
        if 0.0 <= high[1] <= IN_HAND_KG or high[0] - low[0] <= IN_HAND_KG:
            return with_fuel(high[0], len(run))
        trial = (low[0] + high[0]) / 2.0
        if low[1] > -math.inf and high[1] > low[1]:
            part = (IN_HAND_KG / 2.0 - low[1]) / (high[1] - low[1])
            trial = low[0] + part * (high[0] - low[0]) if 0.0 < part < 1.0 else trial
        spare = spare_kg(trial)
        low, high = ((trial, spare), high) if spare < 0.0 else (low, (trial, spare))
    raise PlanError(
        "the least fuel does not settle", expected="a mission whose fuel can carry itself", where=title_of(first)
    )


Tried = tuple[float, float]  # fuel [kg], and what is over [kg]


def _bracket(spare_kg: Callable[[float], float], guess_kg: float, came_kg: float) -> tuple[Tried | None, Tried]:
    """Return a fuel that is too little, None where what came with her is not, and one that is enough."""
    low: Tried = (came_kg, -math.inf)
    if came_kg > 0.0:
        low = (came_kg, spare_kg(came_kg))
        if low[1] >= 0.0:
            return None, low
    here = guess_kg
    for _ in range(TRIALS):
        spare = spare_kg(here)
        if spare >= 0.0:
            return low, (here, spare)
        low = (here, spare)
        here += -1.5 * spare if spare > -math.inf else 0.5 * guess_kg  # over the mark: more fuel is more weight
    raise PlanError("the least fuel does not settle", expected="a mission whose fuel can carry itself")


def in_hand_through(sector: Sector, run: Sequence[int], first: Mission, fly: Fly) -> list[float]:
    """Return the fuel in hand over what the rules require [kg] on each sector of a run, the first of them ready to be flown."""
    flown = fly(first)
    hands = [fuel_in_hand_kg(flown)]
    for number in run[1:]:
        flown = fly_sector(sector, number, flown, fly)
        hands.append(fuel_in_hand_kg(flown))
    return hands


def _gallons(volume_m3: float) -> str:
    return f"{volume_m3 / M3_PER_US_GAL:,.1f} US gal"
