"""Being on time: the speed, or the time lost, with which each timed point after the first is met.

The first timed point fixes take-off. Every later one (all of them, where take-off is given) is met by one indicated
airspeed on the legs since the one before; where even the slowest is too early, time is lost at the height of the last leg.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.constants import FT_M
from briefgen.kernel.time_control import orbit_time
from briefgen.kernel.turns import bank_for_rate
from briefgen.model.mission import Hold, Leg, Mission, OverTarget
from briefgen.model.performance import IndicatedAirspeed, PowerSetting
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.sortie import Departure, Pace, fly_ground_and_take_off, fly_items
from briefgen.planning.flight.steps import Crew

ON_TIME_S = 0.5
SPEED_STEP_M_PER_S = 0.05  # a tenth of a knot: finer than an indicator is read
SPEED_IN_HAND_RATIO = 0.998  # of the fastest found at the nodes: between them it may be a little warmer
FASTER_TRIALS = 6
FASTER_STEP_RATIO = 0.99  # a hundredth slower where the fastest is not held after all
TRIALS = 20
STANDARD_RATE_DEG_PER_S = 3.0
MPH_M_PER_S = 5280.0 * FT_M / 3600.0
HALF_A_MINUTE = timedelta(seconds=30)  # an instant is printed to the nearest minute


@dataclass(frozen=True)
class Stretch:
    """The route from where the last timed point left her through the leg that ends at the next one."""

    mission: Mission
    crew: Crew
    state: Node
    begin: int
    through: int
    point: OverTarget

    @property
    def legs(self) -> tuple[int, ...]:
        """Route items of the stretch whose speed can be chosen."""
        items = self.mission.route.items
        return tuple(index for index in range(self.begin, self.through + 1) if isinstance(items[index], Leg))

    def paced(self, ias_m_per_s: float, wait_s: float = 0.0, bank_deg: float = 0.0) -> dict[int, Pace]:
        """Return the paces of one speed on all legs, with the time lost on the last of them."""
        paces = dict.fromkeys(self.legs, Pace(ias_m_per_s))
        return paces | {self.legs[-1]: Pace(ias_m_per_s, wait_s, bank_deg)}

    def flown(self, paces: Mapping[int, Pace]) -> list[Phase]:
        """Return the phases of the stretch."""
        return fly_items(self.mission, self.crew, self.state, self.through, self.begin, paces)

    def late_s(self, phases: Sequence[Phase]) -> float:
        """Return how late she is over the point [s], early negative."""
        return (phases[-1].end.instant - self.point.instant).total_seconds()


def point_index(mission: Mission, point: OverTarget, begin: int = 0) -> int:
    """Return the route item that first brings her over a timed point, from an item on.

    Raises:
        PlanError: No leg from there on ends at it.
    """
    ident = point.place.ident
    for index in range(begin, len(mission.route.items)):
        item = mission.route.items[index]
        if isinstance(item, Leg) and item.to.ident == ident:
            return index
    if begin:
        raise PlanError(
            f"no leg ends at {ident}, which has a time, after the timed point before it",
            expected="timed points in the order of the route, over target the first of them",
            hint="give the first place on the route that has a time as over target",
        )
    raise PlanError(
        f"no leg ends at {ident}, which has a time over target", expected="a leg to every place that has a time",
        hint=f"add a leg to {ident}, or give the time for a place on the route",
    )  # fmt: skip


def after(phases: Sequence[Phase]) -> Node:
    """Return the state in which the next phase begins, without what has left her."""
    last = phases[-1]
    return replace(last.end, mass_kg=last.end.mass_kg - last.released_kg)


# --- how slow and how fast ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class SpeedRange:
    """Indicated airspeeds she can keep all along a stretch."""

    slowest_m_per_s: float
    fastest_m_per_s: float


def speed_range(crew: Crew, phases: Sequence[Phase]) -> SpeedRange:
    """Return the speeds from that of the hold to the greatest held in level flight without time limit.

    Judged at every node of the cruises as planned; a chart that ends earlier ends the range.

    Raises:
        PlanError: There is no cruise whose speed could be changed.
    """
    cruises = [setting for phase in phases if phase.kind == "cruise" for _, setting in phase.settings]
    if not cruises:
        raise PlanError(
            "there is no cruise to gain or lose time in", expected="level flight on the legs before a timed point"
        )
    slowest, fastest = 0.0, math.inf
    for setting in cruises:
        limits, planned = crew.performance.speeds(setting.mass_kg), setting.ias_m_per_s
        low = max(slowest, min(planned, limits.hold_m_per_s))
        high = min(fastest, limits.never_exceed_m_per_s)
        slowest = low if _held(crew, setting, low) else _edge(crew, setting, planned, low)
        fastest = high if high <= planned or _held(crew, setting, high) else _edge(crew, setting, planned, high)
    return SpeedRange(slowest, max(SPEED_IN_HAND_RATIO * fastest, slowest))


def _held(crew: Crew, planned: PowerSetting, ias_m_per_s: float) -> bool:
    """Return whether a speed is held in level flight, for as long as wanted, where a setting was planned."""
    try:
        found = crew.performance.cruise(planned.mass_kg, planned.air, IndicatedAirspeed(ias_m_per_s))
    except BriefgenError:
        return False
    return found.time_limit_s is None


def _edge(crew: Crew, planned: PowerSetting, good_m_per_s: float, bad_m_per_s: float) -> float:
    """Return the last speed held on the way from one that is held to one that is not."""
    while abs(bad_m_per_s - good_m_per_s) > SPEED_STEP_M_PER_S:
        middle = 0.5 * (good_m_per_s + bad_m_per_s)
        if _held(crew, planned, middle):
            good_m_per_s = middle
        else:
            bad_m_per_s = middle
    return good_m_per_s


@dataclass(frozen=True)
class Reach:
    """What speed alone can do on a stretch: flown as slowly and as fast as she may be."""

    speeds: SpeedRange
    slow: tuple[Phase, ...]
    fast: tuple[Phase, ...]


def reach(stretch: Stretch, planned: Sequence[Phase]) -> Reach:
    """Return the stretch flown at both ends of its speed range; the planned phases say where the range is judged.

    Raises:
        PlanError: It cannot be flown at one of them, such as for want of fuel.
    """
    speeds = speed_range(stretch.crew, planned)
    slow = stretch.flown(stretch.paced(speeds.slowest_m_per_s))
    fastest = speeds.fastest_m_per_s
    for _ in range(FASTER_TRIALS):
        try:
            fast = stretch.flown(stretch.paced(fastest))
        except BriefgenError:
            fastest = max(speeds.slowest_m_per_s, FASTER_STEP_RATIO * fastest)
        else:
            return Reach(replace(speeds, fastest_m_per_s=fastest), tuple(slow), tuple(fast))
    raise PlanError(
        f"no speed above that planned is held all the way to {stretch.point.place.ident}",
        expected="some power in hand on the legs before a timed point",
    )


# --- meeting the times ----------------------------------------------------------------------------------------------


def paces_of(mission: Mission, crew: Crew, departure: Departure) -> dict[int, Pace]:
    """Return how the legs to the later timed points are flown; no leg is named that flies its written cruise.

    Raises:
        PlanError: A time cannot be met; the message says by how many minutes it is missed.
    """
    times = mission.times
    paces: dict[int, Pace] = {}
    state, begin = fly_ground_and_take_off(mission, crew, departure)[-1].end, 0
    if times.over_target is not None:
        through = point_index(mission, times.over_target)
        state = after(fly_items(mission, crew, state, through))
        begin = through + 1
    for point in times.timed_points:
        stretch = Stretch(mission, crew, state, begin, point_index(mission, point, begin), point)
        chosen, phases = _met(stretch)
        paces |= chosen
        state, begin = after(phases), stretch.through + 1
    return paces


def _met(stretch: Stretch) -> tuple[dict[int, Pace], Sequence[Phase]]:
    """Return the paces that meet a timed point, and the stretch flown with them."""
    written = stretch.flown({})
    if abs(stretch.late_s(written)) < ON_TIME_S:
        return {}, written
    found = reach(stretch, written)
    late_s, early_s = stretch.late_s(found.fast), -stretch.late_s(found.slow)
    if late_s > stretch.point.window_s:
        raise _missed(stretch, found, late_s)
    if late_s >= 0.0:
        return stretch.paced(found.speeds.fastest_m_per_s), found.fast
    if early_s > 0.0:
        return _with_time_lost(stretch, found, early_s)
    return _at_speed_between(stretch, found)


def _at_speed_between(stretch: Stretch, found: Reach) -> tuple[dict[int, Pace], Sequence[Phase]]:
    """Return the one speed that meets the time, by false position on its inverse, in which time is nearly straight."""
    low, high = 1.0 / found.speeds.fastest_m_per_s, 1.0 / found.speeds.slowest_m_per_s
    late_low, late_high = stretch.late_s(found.fast), stretch.late_s(found.slow)
    for _ in range(TRIALS):
        slowness = low - late_low * (high - low) / (late_high - late_low)
        paces = stretch.paced(1.0 / slowness)
        phases = stretch.flown(paces)
        late_s = stretch.late_s(phases)
        if abs(late_s) < ON_TIME_S:
            return paces, phases
        if late_s > 0.0:
            high, late_high, late_low = slowness, late_s, 0.5 * late_low
        else:
            low, late_low, late_high = slowness, late_s, 0.5 * late_high
    raise PlanError(
        f"the speed to be over {stretch.point.place.ident} on time does not settle",
        expected="winds that change slowly with time",
    )


def orbit_bank(mission: Mission, point: OverTarget, tas_m_per_s: float) -> float:
    """Return the bank of a timing orbit [deg]: as written, as in the first hold, else that of a standard-rate turn."""
    if point.bank_deg is not None:
        return point.bank_deg
    holds = [item.bank_deg for item in mission.route.items if isinstance(item, Hold)]
    return holds[0] if holds else bank_for_rate(tas_m_per_s, STANDARD_RATE_DEG_PER_S)


def _with_time_lost(stretch: Stretch, found: Reach, early_s: float) -> tuple[dict[int, Pace], Sequence[Phase]]:
    """Return the slowest speed with time lost at the height of the last leg: orbits, or less than one by a dog-leg."""
    ias = found.speeds.slowest_m_per_s
    tas = [phase.tas_m_per_s for phase in found.slow if phase.kind == "cruise"][-1]
    bank_deg = orbit_bank(stretch.mission, stretch.point, tas)
    if early_s < orbit_time(tas, bank_deg):
        bank_deg = 0.0
    wait_s = early_s
    for _ in range(TRIALS):
        paces = stretch.paced(ias, wait_s, bank_deg)
        try:
            phases = stretch.flown(paces)
        except PlanError as error:
            raise _too_early(stretch, early_s, error) from error
        late_s = stretch.late_s(phases)
        if abs(late_s) < ON_TIME_S:
            return paces, phases
        wait_s -= late_s
    raise PlanError(
        f"the time to lose before {stretch.point.place.ident} does not settle",
        expected="winds that change slowly with time",
    )


def _clock(mission: Mission, instant: datetime) -> str:
    """Return an instant in the zone of the mission, in which its author thinks, and in UTC."""
    from zoneinfo import ZoneInfo

    minute = instant + HALF_A_MINUTE
    return f"{minute.astimezone(ZoneInfo(mission.times.zone)):%H:%M} ({minute:%H:%M}Z)"


def _missed(stretch: Stretch, found: Reach, late_s: float) -> PlanError:
    ident, point = stretch.point.place.ident, stretch.point
    minutes = math.ceil((late_s - point.window_s) / 60.0)
    there, closes = found.fast[-1].end.instant, point.instant + timedelta(seconds=point.window_s)
    fastest = found.speeds.fastest_m_per_s / MPH_M_PER_S

    def clock(instant: datetime) -> str:
        return _clock(stretch.mission, instant)

    return PlanError(
        f"{ident} is missed by {minutes} min: over it at {clock(there)} at the earliest, at {fastest:.0f} mph indicated "
        f"all the way from {_from(stretch)}, and its window closes at {clock(closes)}",
        where="timed points",
        expected=f"{clock(point.instant + timedelta(minutes=minutes))} or later, which the greatest speed held without "
        "time limit makes good within the window",
        hint=f"ask for {ident} {minutes} min later, leave {_from(stretch)} {minutes} min earlier, or shorten what is done "
        "between them",
    )  # fmt: skip


def _too_early(stretch: Stretch, early_s: float, error: PlanError) -> PlanError:
    ident = stretch.point.place.ident
    minutes = math.ceil((early_s - stretch.point.window_s) / 60.0)
    return PlanError(
        f"{ident} is reached {minutes} min before its window opens at the slowest, and she cannot wait so long: "
        f"{error.problem}",
        where="timed points",
        expected="fuel for the time to be lost",
        hint=f"leave {_from(stretch)} {minutes} min later, or ask for {ident} that much earlier",
    )


def _from(stretch: Stretch) -> str:
    legs = [item for item in stretch.mission.route.items[: stretch.begin] if isinstance(item, Leg)]
    return legs[-1].to.ident if legs else stretch.mission.route.origin.ident
