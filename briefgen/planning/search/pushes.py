"""What is pushed: the wind, the warmth, the load, the start; each a change of the mission, everything else as planned."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.frozen import dataclass
from briefgen.kernel.constants import KT_M_PER_S, LB_KG
from briefgen.model.mission import Mission
from briefgen.model.plan import Plan
from briefgen.model.weather import Weather, WindLevel
from briefgen.planning.search.first_failure import Reach
from briefgen.planning.sections.basis.clock import Milestones
from briefgen.planning.sections.basis.written_load import RampFuel

MINUTE_S, HOUR_S = 60.0, 3600.0


@dataclass(frozen=True)
class Push:
    """One thing that may turn out otherwise than planned."""

    name: str
    label: str  # what is more of it
    unit: str
    reach: Reach
    pushed: Callable[[Mission, float], Mission]


def as_flown(plan: Plan) -> Mission:
    """Return the mission of a plan with what the planning settled written down: fuel at the ramp and time of take-off.

    So that a push is met with the fuel that is aboard, not with more.
    """
    mission, fuel = plan.mission, plan.mission.fuel
    if fuel.kind == "as required":
        ramp = plan.ledger[RampFuel.ramp.key].value
        assert isinstance(ramp, float)
        mission = replace(mission, fuel=replace(fuel, kind="at ramp", volume_m3=ramp / fuel.density_kg_per_m3))
    return mission


def wind_up(mission: Mission, more_m_per_s: float) -> Mission:
    """Return a mission whose winds aloft blow harder from where they blow [m/s]; a calm stays one."""

    def up(level: WindLevel) -> WindLevel:
        speed = math.hypot(level.east_m_per_s, level.north_m_per_s)
        part = (speed + more_m_per_s) / speed if speed else 1.0
        return replace(level, east_m_per_s=level.east_m_per_s * part, north_m_per_s=level.north_m_per_s * part)

    soundings = tuple(replace(one, winds=tuple(up(level) for level in one.winds)) for one in mission.weather.soundings)
    return replace(mission, weather=replace(mission.weather, soundings=soundings))


def warmer(mission: Mission, more_k: float) -> Mission:
    """Return a mission in air that is warmer everywhere [K]; the dew points stay."""
    weather: Weather = mission.weather
    soundings = tuple(
        replace(one, temperatures=tuple(replace(t, temperature_k=t.temperature_k + more_k) for t in one.temperatures))
        for one in weather.soundings
    )
    surface = tuple(
        one if one.temperature_k is None else replace(one, temperature_k=one.temperature_k + more_k)
        for one in weather.surface
    )
    return replace(mission, weather=replace(weather, soundings=soundings, surface=surface))


def heavier(mission: Mission, more_kg: float) -> Mission:
    """Return a mission with a heavier load [kg], every piece in proportion, so that the balance stays what it can."""
    part = 1.0 + more_kg / math.fsum(item.mass_kg for item in mission.items)
    return replace(mission, items=tuple(replace(item, mass_kg=item.mass_kg * part) for item in mission.items))


def later(mission: Mission, more_s: float) -> Mission:
    """Return a mission that takes off later [s]; times over places stay asked for, and are met by speed or not at all."""
    times = mission.times
    assert times.take_off is not None
    return replace(mission, times=replace(times, take_off=times.take_off + timedelta(seconds=more_s)))


def with_its_start(plan: Plan, mission: Mission) -> Mission:
    """Return a mission whose take-off is written down as planned; the time over the target becomes one to be met by speed."""
    times = mission.times
    if times.over_target is None:
        return mission
    start = plan.ledger[Milestones.take_off.key].value
    assert isinstance(start, datetime)
    points = (times.over_target, *times.timed_points)
    return replace(mission, times=replace(times, take_off=start, over_target=None, timed_points=points))


PUSHES = (
    Push("wind", "winds aloft stronger by", "kt", Reach(10 * KT_M_PER_S, KT_M_PER_S, 60 * KT_M_PER_S), wind_up),
    Push("warmth", "air warmer by", "degC diff", Reach(5.0, 1.0, 25.0), warmer),
    Push("load", "load heavier by", "lb", Reach(500 * LB_KG, 50 * LB_KG, 10_000 * LB_KG), heavier),
    Push("start", "take-off later by", "min", Reach(30 * MINUTE_S, 5 * MINUTE_S, 6 * HOUR_S), later),
)
