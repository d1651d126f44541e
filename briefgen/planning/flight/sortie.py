"""The whole sortie, from the first engine's start to the last one's stop, as a chain of phases."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from briefgen.errors import BriefgenError, OutOfFuelError, PlanError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.altimetry import indicated_altitude, pressure_altitude
from briefgen.kernel.constants import NMI_M
from briefgen.model.mission import Action, Alternate, Hold, Leg, Mission, RouteItem
from briefgen.model.performance import Air, GroundActivity, IndicatedAirspeed, PowerSetting, SpeedTarget
from briefgen.model.places import Place
from briefgen.model.plan import Node, Phase, PhaseKind
from briefgen.planning.flight import flying
from briefgen.planning.flight.descents import ended_at, top_of_descent, with_level_off
from briefgen.planning.flight.over_place import fly_action, fly_approach, fly_hold
from briefgen.planning.flight.route import STEP, LegLine, alternate_key, called_on, item_keys, line_between, named
from briefgen.planning.flight.steps import Crew, Level, during
from briefgen.planning.flight.written_levels import SETTLING_M, circuit_level, elevation_of, far, level_of


@dataclass(frozen=True)
class Departure:
    """What a sortie starts with."""

    off_blocks: datetime  # first engine starts to turn
    zero_fuel_mass_kg: float
    fuel_kg: float


@dataclass(frozen=True)
class Pace:
    """How a leg is flown so as to be somewhere on time: at one indicated airspeed, after losing some time at its height."""

    ias_m_per_s: float
    wait_s: float = 0.0
    bank_deg: float = 0.0  # of the timing orbits; 0 for a dog-leg


AS_WRITTEN: Mapping[int, Pace] = {}  # no leg is paced: each flies its written cruise


# --- legs -----------------------------------------------------------------------------------------------------------


def fly_leg(
    crew: Crew, state: Node, line: LegLine, leg: Leg, item: int | None, key: str, end: Level | None,
    pace: Pace | None = None,
) -> list[Phase]:  # fmt: skip
    """Return the phases of one leg: to its height, along it with its steps, and down to the level needed at its end."""
    if pace is not None:
        leg = replace(leg, cruise=IndicatedAirspeed(pace.ias_m_per_s))
    phases: list[Phase] = []
    label, level = f"{{{key}.height}}", level_of(crew, leg.height, leg.to, state.instant)
    wanted = [(state.distance_m, leg.height)] + [(line.start_distance_m + c.after_m, c.height) for c in leg.changes]
    for number, (begin_m, height) in enumerate(wanted):
        here = phases[-1].end if phases else state
        if begin_m > here.distance_m + 1.0:
            title = f"Cruise at {label}"
            stretch = flying.cruise(crew, here, line, leg.cruise, level, begin_m, item=item, title=title)
            phases.append(replace(stretch, point=STEP))
            here = stretch.end
        if number:
            label = f"{{{key}.step.{number:02d}.height}}"
        level = level_of(crew, height, leg.to, here.instant)
        phases.extend(_to_level(crew, here, line, leg.cruise, level, item, label))
        if pace is not None and pace.wait_s > 0.0 and number == 0:
            phases.append(_lose_time(crew, phases[-1].end if phases else state, leg, pace, level, item))
    here = phases[-1].end if phases else state
    if here.distance_m > line.end_distance_m:
        rising = here.pressure_altitude_m > state.pressure_altitude_m
        way = "climb" if rising else "descent"
        raise PlanError(
            f"the leg to {leg.to.ident} is too short to {'climb' if rising else 'descend'} in: it is "
            f"{line.length_m / NMI_M:.0f} NM long and the {way} ends "
            f"{(here.distance_m - line.start_distance_m) / NMI_M:.0f} NM along it",
            expected="the height of a leg reached before its end",
            hint=f"plan a {'lower' if rising else 'higher'} height for this leg, or change height over the place before it",
        )
    return called_on(phases + _along_and_down(crew, here, line, leg.cruise, level, end, item, key, label), line)


def _lose_time(crew: Crew, here: Node, leg: Leg, pace: Pace, level: Level, item: int | None) -> Phase:
    """Return the orbits or the dog-leg that lose time before a timed point, as time over the place where they begin.

    A dog-leg joins its track again where she would have been so much earlier: time, fuel and what follows are the same.
    """
    what = "Timing orbits" if pace.bank_deg else "Dog-leg"
    return flying.hold(
        crew,
        here,
        leg.cruise,
        level,
        pace.wait_s,
        pace.bank_deg,
        item=item,
        title=f"{what} before {leg.to.name}",
        place="",
    )


def _to_level(
    crew: Crew, here: Node, line: LegLine, target: SpeedTarget, level: Level, item: int | None, label: str
) -> list[Phase]:
    if not far(crew, here, level):
        return []
    verb = "Climb" if level.of(crew.sky, here) > here.pressure_altitude_m else "Descend"
    change = flying.change_height(crew, here, line.extended(), level, item=item, title=f"{verb} to {label}")
    if verb == "Descend":
        return [change]
    with during(verb):
        settling = flying.level_off(crew, change.end, line.extended(), target, level, item=item)
    return [with_level_off(change, settling, line)]


def _along_and_down(
    crew: Crew, here: Node, line: LegLine, target: SpeedTarget, level: Level, end: Level | None, item: int | None,
    key: str, label: str,
) -> list[Phase]:  # fmt: skip
    phases: list[Phase] = []
    down = end is not None and end.of(crew.sky, here) < here.pressure_altitude_m - SETTLING_M
    stop_m = line.end_distance_m
    if down and end is not None:
        with during("Descend"):
            stop_m = top_of_descent(crew, here, line, target, level, end)
    if stop_m - here.distance_m > 1.0:
        place = "" if down else line.to_ident
        title = f"Cruise at {label}"
        stretch = flying.cruise(crew, here, line, target, level, stop_m, item=item, title=title, place=place)
        phases.append(replace(stretch, point="Top of descent" if down else ""))
        here = stretch.end
    if down and end is not None:
        title = f"Descend to {{{key}.end_altitude}}"
        fall = flying.change_height(crew, here, line.extended(), end, item=item, title=title)
        phases.append(ended_at(fall, line))
    return phases


# --- the ground ----------------------------------------------------------------------------------------------------------


OnTheGround = tuple[PhaseKind, GroundActivity, str, float]  # kind, what the engines do, title, how long [s]


def on_the_ground(
    crew: Crew, state: Node, kind: PhaseKind, activity: GroundActivity, title: str, duration_s: float, place: Place
) -> Phase:
    """Return a time on the ground at the flow of its activity."""
    flow = crew.performance.ground_fuel_flow_kg_per_s(activity)
    burn = crew.consumption_ratio * flow * duration_s
    if burn >= state.fuel_kg:
        raise OutOfFuelError(
            f"the fuel is gone before the end of: {title}", expected="fuel on board for the whole sortie as written"
        )
    end = replace(
        state, instant=state.instant + timedelta(seconds=duration_s),
        mass_kg=state.mass_kg - burn, fuel_kg=state.fuel_kg - burn,
    )  # fmt: skip
    return Phase("", kind, title, None, (state, end), (), place.ident)


def _take_off(crew: Crew, state: Node, mission: Mission) -> Phase:
    """Return the take-off: from releasing the brakes to the first power reduction, all of it at take-off power."""
    origin = mission.route.origin
    aloft = crew.sky.surface_air(origin, state)
    setting: PowerSetting = crew.performance.take_off_setting(Air(state.pressure_altitude_m, aloft.temperature_k))
    burn = crew.consumption_ratio * setting.fuel_flow_kg_per_s * mission.times.take_off_lasts_s
    instant = state.instant + timedelta(seconds=mission.times.take_off_lasts_s)
    top_m = state.pressure_altitude_m + mission.times.first_reduction_height_m
    pressure_pa = crew.sky.altimeter_setting(state.lat_deg, state.lon_deg, instant)
    end = replace(
        state, instant=instant, pressure_altitude_m=top_m, altitude_m=indicated_altitude(top_m, pressure_pa),
        mass_kg=state.mass_kg - burn, fuel_kg=state.fuel_kg - burn, ground_speed_m_per_s=setting.tas_m_per_s,
    )  # fmt: skip
    title = f"Take-off from {origin.name} runway {mission.route.origin_runway}"
    return Phase(
        "", "take-off", title, None, (state, end), ((state, setting),), origin.ident,
        aloft.wind_east_m_per_s, aloft.wind_north_m_per_s, setting.tas_m_per_s, None, aloft.temperature_k,
    )  # fmt: skip


# --- the sortie -----------------------------------------------------------------------------------------------------


def leaving_masses(mission: Mission) -> dict[str, float]:
    """Return the mass [kg] that leaves under each label."""
    total: dict[str, float] = {}
    for load in mission.items:
        total[load.leaves] = total.get(load.leaves, 0.0) + load.mass_kg
    return total


def fly_ground_and_take_off(mission: Mission, crew: Crew, departure: Departure) -> list[Phase]:
    """Return start, taxi, run-up and take-off."""
    origin, times = mission.route.origin, mission.times
    elevation = elevation_of(origin)
    setting_pa = crew.sky.altimeter_setting(origin.lat_deg, origin.lon_deg, departure.off_blocks)
    here = Node(
        departure.off_blocks, origin.lat_deg, origin.lon_deg, 0.0, pressure_altitude(elevation, setting_pa), elevation,
        departure.zero_fuel_mass_kg + departure.fuel_kg, departure.fuel_kg, 0.0,
    )  # fmt: skip
    phases: list[Phase] = []
    before: tuple[OnTheGround, ...] = (
        ("start", "start", "Start engines", times.start_s),
        ("taxi", "taxi", "Taxi out", times.taxi_out_s),
        ("run-up", "run-up", "Run-up", times.run_up_s),
    )
    for kind, activity, title, lasts in before:
        phases.append(on_the_ground(crew, here, kind, activity, title, lasts, origin))
        here = phases[-1].end
    return [*phases, _take_off(crew, here, mission)]


def fly_items(
    mission: Mission, crew: Crew, state: Node, through: int | None = None, begin: int = 0,
    paces: Mapping[int, Pace] = AS_WRITTEN,
) -> list[Phase]:  # fmt: skip
    """Return the phases of the route's items, from one index through another; the state is that before the first."""
    phases: list[Phase] = []
    items = mission.route.items
    before = [item.to.ident for item in items[:begin] if isinstance(item, Leg)]
    here, ident = state, before[-1] if before else mission.route.origin.ident
    leaving = leaving_masses(mission)
    last = len(items) - 1 if through is None else through
    for index in range(begin, last + 1):
        item = items[index]
        try:
            flying_crew = crew_at(mission, crew, index)
            new = _fly_item(mission, flying_crew, here, ident, items, index, leaving, paces.get(index))
        except BriefgenError as error:
            raise error.at(f"{item_place(mission, index)}route item {index + 1} ({_name(item)})") from error
        phases.extend(new)
        if new:
            here = replace(new[-1].end, mass_kg=new[-1].end.mass_kg - new[-1].released_kg)
        if isinstance(item, Leg):
            ident = item.to.ident
    return phases


def crew_at(mission: Mission, crew: Crew, index: int) -> Crew:
    """Return the crew that flies a route item: on fewer engines after the point from which the mission asks for it.

    Raises:
        PlanError: The aircraft file has no such engine configuration.
    """
    stopped = mission.route.engines_stopped
    if stopped is None:
        return crew
    names = [one.name for one in crew.performance.engine_configurations]
    if stopped.configuration not in names:
        raise PlanError(
            f"'{stopped.configuration}' is no engine configuration of the aircraft file",
            where=f"{written_place(mission, 'route.engines stopped.engines')}route", expected=f"one of {'; '.join(names)}",
        )  # fmt: skip
    passed = [item.to.ident for item in mission.route.items[:index] if isinstance(item, Leg)]
    return replace(crew, engines=stopped.configuration) if stopped.from_ident in passed else crew


def item_place(mission: Mission, index: int) -> str:
    """Return file and line of a route item, to be put before what is wrong with it; empty where they are not known."""
    paths = mission.route.paths
    return written_place(mission, f"{paths[index]}.altitude") if index < len(paths) else ""


def _alternate_place(mission: Mission, alternate: Alternate) -> str:
    return written_place(mission, f"alternates[{mission.alternates.index(alternate)}].altitude")


def written_place(mission: Mission, path: str) -> str:
    """Return file and line at which a value of the mission was written, to be put before a message; empty where not known."""
    origin = mission.given.get(path)
    return f"{origin.file}:{origin.line}: " if origin else ""


def _name(item: RouteItem) -> str:
    return f"to {item.to.ident}" if isinstance(item, Leg) else f"{type(item).__name__.lower()} at {item.at.ident}"


def _fly_item(
    mission: Mission, crew: Crew, here: Node, ident: str, items: tuple[RouteItem, ...], index: int,
    leaving: dict[str, float], pace: Pace | None,
) -> list[Phase]:  # fmt: skip
    item = items[index]
    if isinstance(item, Action):
        return fly_action(crew, here, item, index, leaving)
    if isinstance(item, Hold):
        return fly_hold(crew, here, item, index)
    line = line_between(ident, here.lat_deg, here.lon_deg, item.to, here.distance_m, item.track)
    after = items[index + 1] if index + 1 < len(items) else None
    end: Level | None = None
    if isinstance(after, Action | Hold):
        end = level_of(crew, after.height, after.at, here.instant)
    elif after is None:
        end = circuit_level(mission.route.destination)
    return fly_leg(crew, here, line, item, index, item_keys(items)[index], end, pace)


def fly_sortie(
    mission: Mission, crew: Crew, departure: Departure, paces: Mapping[int, Pace] = AS_WRITTEN
) -> tuple[Phase, ...]:
    """Return every phase of the mission as written but for the legs that are paced, named.

    Raises:
        PlanError: Some part cannot be flown; the message says which and why.
        OutOfRangeError: The weather or the aircraft file does not cover some part.
    """
    phases = fly_ground_and_take_off(mission, crew, departure)
    phases += fly_items(mission, crew, phases[-1].end, paces=paces)
    destination, times = mission.route.destination, mission.times
    last = phases[-1]
    here = replace(last.end, mass_kg=last.end.mass_kg - last.released_kg)
    try:
        phases += fly_approach(crew, here, destination, times.approach_s)
    except BriefgenError as error:
        raise error.at(f"{item_place(mission, len(mission.route.items) - 1)}approach at {destination.ident}") from error
    after: tuple[OnTheGround, ...] = (
        ("taxi-in", "taxi", "Taxi in", times.taxi_in_s),
        ("shutdown", "shutdown", "Shut down", times.shutdown_s),
    )
    for kind, activity, title, lasts in after:
        phases.append(on_the_ground(crew, phases[-1].end, kind, activity, title, lasts, destination))
    return named(phases)


def fly_diversion(
    mission: Mission, crew: Crew, state: Node, from_ident: str, alternate: Alternate
) -> tuple[Phase, ...]:
    """Return the way from a state to an alternate and onto its runway."""
    place, key = alternate.place, alternate_key(alternate.place.ident)
    phases: list[Phase] = []
    here, ident = state, from_ident
    try:
        for point in (*alternate.via, place):
            line = line_between(ident, here.lat_deg, here.lon_deg, point, here.distance_m)
            leg = Leg(point, alternate.height, alternate.cruise, alternate.safe_height_m)
            phases += fly_leg(crew, here, line, leg, None, key, circuit_level(place) if point is place else None)
            here, ident = phases[-1].end, point.ident
        phases += fly_approach(crew, here, place, mission.times.approach_s)
    except BriefgenError as error:
        raise error.at(f"{_alternate_place(mission, alternate)}alternate {place.ident}") from error
    return named(phases, f"{key}.")
