"""What was met instead of what was planned, as far as a log tells it; what it does not tell stays as planned.

Wind between two fixes follows from the time between them and the airspeed flown; the airspeed from the time and the wind found.
With neither, the two cannot be told apart: what fits the time is then the ground speed. With both, they stand as written, and what
is left of the time stays unexplained.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

from briefgen.errors import PlanError
from briefgen.model.flight_log import FlightLog, Logged
from briefgen.model.mission import Height, Leg
from briefgen.model.performance import GivenSetting, IndicatedAirspeed, SpeedTarget
from briefgen.model.plan import Node, Phase
from briefgen.planning.after.measured import Measured
from briefgen.planning.after.ways import (
    ALTITUDE,
    AWAY,
    CAUSES,
    CONSUMPTION,
    DELAY,
    GROUND_SPEED,
    IN,
    OUT,
    SPEED,
    WEIGHT,
    WIND,
    Met,
    Pilot,
    Stretch,
    Way,
)
from briefgen.planning.flight.sortie import Departure

EVERY = frozenset(CAUSES)
FIT_TRIALS, FIT_S = 16, 0.5  # a stretch is fitted until it lasts as long as it did, to half a second
SAME_S, SAME_KG, SAME_M = 1.0, 0.05, 1.0
STRONGEST_M_PER_S = (
    80.0  # beyond any wind a piston aircraft is flown in: a time that asks for more is a slip of the pen
)
WAITS = ("hold", "run")


def met_of(way: Way, log: FlightLog, measured: Sequence[Measured]) -> Met:
    """Return what was met, stretch by stretch, each begun in the state that everything before it led to.

    Raises:
        PlanError: A time cannot be met by any wind or airspeed.
        OutOfRangeError: The weather or the aircraft file does not cover what was flown.
    """
    planned = Pilot(way, Met(way.flown.departure), frozenset()).whole()
    met = Met(
        departure=_departure(way, log),
        waits_s=_waits(way, planned, measured),
        left_kg={drop.leaves: drop.mass_kg for drop in log.drops},
        heights=_heights(way, measured),
        targets={one.name: target for one in measured if (target := target_of(one.lines)) is not None},
    )
    here = Pilot(way, met, EVERY).out()[-1].end
    for one in measured[2:]:
        met = _with_stretch(way, met, one, here)
        here = Pilot(way, met, EVERY).stretch(one.name, here).end
    return replace(met, causes=_present(way, met))


def _with_stretch(way: Way, met: Met, one: Measured, here: Node) -> Met:
    """Return what was met with one more stretch: its wind, speed or ground speed, then its consumption."""
    start = here if one.start is None else replace(here, instant=one.start)
    if one.name == AWAY or (one.name.isdigit() and isinstance(way.flown.mission.route.items[int(one.name)], Leg)):
        met = fitted(way, met, one, start)
    flows = [line for line in one.lines if line.fuel_flow_kg_per_s is not None]
    if flows:
        flown = Pilot(way, met, EVERY - {CONSUMPTION}).stretch(one.name, start)
        ratio = math.fsum((line.fuel_flow_kg_per_s or 0.0) / modelled_flow(flown, line) for line in flows) / len(flows)
        met = replace(met, consumption_ratio={**met.consumption_ratio, one.name: ratio})
    return met


def modelled_flow(flown: Stretch, line: Logged) -> float:
    """Return the flow [kg/s] that the aircraft file gives in level flight nearest to the time of a reading."""
    level = [phase for phase in flown.phases if phase.settings and phase.kind in ("cruise", *WAITS)]
    settings = [pair for phase in (level or flown.phases) for pair in phase.settings]
    if not settings:
        raise PlanError("a fuel flow is read where nothing is flown", where=line.name)
    instant = line.instant or flown.end.instant
    before = [pair for pair in settings if pair[0].instant <= instant]
    return (before[-1] if before else settings[0])[1].fuel_flow_kg_per_s


# --- wind, airspeed, ground speed ----------------------------------------------------------------------------------------


def fitted(way: Way, met: Met, one: Measured, start: Node) -> Met:
    found, lasts_s, speed = _wind_found(one), one.lasts_s, met.targets.get(one.name)
    if found is not None:
        mean = _mean_wind(Pilot(way, met, EVERY).stretch(one.name, start))
        met = replace(met, wind_m_per_s={**met.wind_m_per_s, one.name: (found[0] - mean[0], found[1] - mean[1])})
        if lasts_s is None or speed is not None:
            return met
        return _fit(way, met, one, start, _by_speed)
    if lasts_s is None:
        return met
    return _fit(way, met, one, start, _by_wind if speed is not None else _by_ground_speed)


def _wind_found(one: Measured) -> tuple[float, float] | None:
    """Return the mean of the winds found in a stretch, each for the time since the line above; None where none was."""
    found: list[tuple[float, tuple[float, float]]] = []
    before = one.start
    for line in one.lines:
        span_s = (line.instant - before).total_seconds() if line.instant and before else 0.0
        if line.wind_m_per_s is not None:
            found.append((span_s, line.wind_m_per_s))
        before = line.instant or before
    if not found:
        return None
    whole = math.fsum(span for span, _ in found)
    parts = [(span / whole if whole else 1.0 / len(found), wind) for span, wind in found]
    return math.fsum(p * w[0] for p, w in parts), math.fsum(p * w[1] for p, w in parts)


def _mean_wind(flown: Stretch) -> tuple[float, float]:
    spans = [(phase.duration_s, phase) for phase in flown.phases]
    whole = math.fsum(span for span, _ in spans)
    return (
        math.fsum(span * phase.wind_east_m_per_s for span, phase in spans) / whole,
        math.fsum(span * phase.wind_north_m_per_s for span, phase in spans) / whole,
    )


Change = Callable[[Met, str, Stretch, float], Met]


def _fit(way: Way, met: Met, one: Measured, start: Node, change: Change) -> Met:
    """Return what was met with one unknown changed until the stretch lasts as long as it did."""
    wanted_s = one.lasts_s or 0.0
    for _ in range(FIT_TRIALS):
        flown = Pilot(way, met, EVERY).stretch(one.name, start)
        if abs(flown.lasts_s - wanted_s) < FIT_S:
            return met
        met = change(met, one.name, flown, wanted_s)
    last = one.lines[-1].name if one.lines else one.name
    raise PlanError(
        f"the {wanted_s / 60.0:.0f} minutes before {last} are not to be flown at any airspeed she has",
        expected="the time over the point, and the wind or the airspeed on the way to it", hint="look at the times again",
    )  # fmt: skip


def _by_wind(met: Met, name: str, flown: Stretch, wanted_s: float) -> Met:
    return replace(met, wind_m_per_s=_along(met.wind_m_per_s, name, flown, wanted_s))


def _by_ground_speed(met: Met, name: str, flown: Stretch, wanted_s: float) -> Met:
    return replace(met, ground_speed_m_per_s=_along(met.ground_speed_m_per_s, name, flown, wanted_s))


def _along(
    winds: Mapping[str, tuple[float, float]], name: str, flown: Stretch, wanted_s: float
) -> dict[str, tuple[float, float]]:
    """Return the winds with that of a stretch changed along its track by what the mean speed over the ground lacks."""
    far_m = flown.end.distance_m - flown.start.distance_m
    more = far_m / wanted_s - far_m / flown.lasts_s
    course = math.radians(_course(flown))
    east, north = winds.get(name, (0.0, 0.0))
    changed = east + more * math.sin(course), north + more * math.cos(course)
    if math.hypot(*changed) > STRONGEST_M_PER_S:
        raise PlanError(
            f"the time on the way to {flown.phases[-1].place or 'the field'} asks for a wind of {math.hypot(*changed) / 0.514444:.0f} kt",
            expected="times over two points that an aircraft can keep", hint="look at the times again",
        )  # fmt: skip
    return {**winds, name: changed}


def _course(flown: Stretch) -> float:
    longest = max((p for p in flown.phases if p.course_deg is not None), key=lambda p: p.distance_m)
    return longest.course_deg or 0.0


def _by_speed(met: Met, name: str, flown: Stretch, wanted_s: float) -> Met:
    """Return what was met with the indicated airspeed of the level part changed."""
    level = [phase for phase in flown.phases if phase.kind == "cruise" and phase.setting]
    level_s = math.fsum(phase.duration_s for phase in level)
    wanted_level_s = level_s + wanted_s - flown.lasts_s
    if not level or wanted_level_s <= 0.0:
        raise PlanError(
            f"the time on the way to {flown.phases[-1].place or 'the field'} leaves none for level flight",
            expected="times over two points that an aircraft can keep", hint="look at the times again",
        )  # fmt: skip
    longest = max(level, key=lambda phase: phase.duration_s)
    ground, air = longest.distance_m / longest.duration_s, longest.tas_m_per_s
    ias = longest.settings[0][1].ias_m_per_s
    faster = (level_s / wanted_level_s - 1.0) * ground / air
    return replace(met, targets={**met.targets, name: IndicatedAirspeed(ias * (1.0 + faster))})


def target_of(lines: Sequence[Logged]) -> SpeedTarget | None:
    """Return what was flown by: the mean airspeed read, else the mean setting, None where neither was written."""
    ias = [line.ias_m_per_s for line in lines if line.ias_m_per_s is not None]
    if ias:
        return IndicatedAirspeed(math.fsum(ias) / len(ias))
    set_ = [
        (one.engine_speed_rpm, one.manifold_pressure_pa)
        for one in lines
        if one.engine_speed_rpm and one.manifold_pressure_pa
    ]
    if not set_:
        return None
    rpm, pressure = (math.fsum(pair[index] or 0.0 for pair in set_) / len(set_) for index in (0, 1))
    mixture = next((line.mixture for line in lines if line.mixture), "")
    return GivenSetting(rpm, pressure, "lean" if mixture == "lean" else "rich" if mixture else None)


# --- clock, weight, height -------------------------------------------------------------------------------------------------


def _departure(way: Way, log: FlightLog) -> Departure:
    planned, events = way.flown.departure, log.events
    off, lifted = events.get("off blocks"), events.get("off ground")
    instant = planned.off_blocks
    if off is not None and off.instant is not None:
        instant = off.instant
    elif lifted is not None and lifted.instant is not None:
        instant += lifted.instant - _take_off(way).start.instant
    fuel_kg = off.fuel.total_kg if off is not None and off.fuel is not None else planned.fuel_kg
    zero_fuel = planned.zero_fuel_mass_kg if log.zero_fuel_mass_kg is None else log.zero_fuel_mass_kg
    return Departure(instant, zero_fuel, fuel_kg)


def _take_off(way: Way) -> Phase:
    return next(phase for phase in way.flown.phases if phase.kind == "take-off")


def _waits(way: Way, planned: Sequence[Stretch], measured: Sequence[Measured]) -> dict[str, tuple[float, ...]]:
    """Return the times on the ground and over places, where the log has both their ends."""
    found: dict[str, tuple[float, ...]] = {}
    for stretch, one in zip(planned, measured, strict=True):
        if one.name in (OUT, IN) and one.lasts_s is not None:
            found[one.name] = (one.lasts_s,)
        waits = [phase for phase in stretch.phases if phase.kind in WAITS]
        if one.name.isdigit() and waits:
            found |= _over_place(one, stretch, waits)
    return {name: waits for name, waits in found.items() if min(waits) > 0.0}


def _over_place(one: Measured, stretch: Stretch, waits: Sequence[Phase]) -> dict[str, tuple[float, ...]]:
    """Return the time of each wait of a stretch: from line to line, the first less what the change of height takes."""
    times = [line.instant for line in one.lines if line.blank is not None and line.blank.ends_phase]
    if len(times) != len(waits) or None in times or one.start is None:
        return {}
    first_s = math.fsum(phase.duration_s for phase in stretch.phases if phase.kind not in WAITS)
    edges = [one.start + timedelta(seconds=first_s), *(at for at in times if at is not None)]
    spans = tuple((after - before).total_seconds() for before, after in pairwise(edges))
    return {one.name: spans}


def _heights(way: Way, measured: Sequence[Measured]) -> dict[str, Height]:
    """Return the heights flown where they are not those planned."""
    found = {}
    for one in measured:
        read = [line.height for line in one.lines if line.height is not None]
        if not read or not (one.name == AWAY or one.name.isdigit()):
            continue
        planned = way.alternate.height if one.name == AWAY and way.alternate else None
        planned = planned or way.flown.mission.route.items[int(one.name)].height
        if read[-1].reference != planned.reference or abs(read[-1].value_m - planned.value_m) > SAME_M:
            found[one.name] = read[-1]
    return found


def _present(way: Way, met: Met) -> tuple[str, ...]:
    """Return the causes of which the log tells anything that differs from the plan."""
    planned, departure = way.flown.departure, met.departure
    late_s = (departure.off_blocks - planned.off_blocks).total_seconds()
    heavier_kg = departure.zero_fuel_mass_kg - planned.zero_fuel_mass_kg, departure.fuel_kg - planned.fuel_kg
    told = {
        WIND: bool(met.wind_m_per_s),
        GROUND_SPEED: bool(met.ground_speed_m_per_s),
        SPEED: bool(met.targets),
        WEIGHT: any(abs(kg) > SAME_KG for kg in heavier_kg) or bool(met.left_kg),
        CONSUMPTION: bool(met.consumption_ratio),
        ALTITUDE: bool(met.heights),
        DELAY: abs(late_s) > SAME_S or bool(met.waits_s),
    }
    return tuple(cause for cause in CAUSES if told[cause])
