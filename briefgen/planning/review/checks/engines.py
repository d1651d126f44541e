"""Checks of what is left with one or two engines stopped: the climb a rule wants at the minimum safe altitude."""

from __future__ import annotations

import math
from datetime import timedelta

from briefgen.aircraft.engines_out import IceAt, ceiling_at_best_speed
from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import replace
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.constants import FT_M, KT_M_PER_S, LB_KG
from briefgen.kernel.geodesy import geodesic_distance
from briefgen.kernel.interpolate import Axis
from briefgen.kernel.interpolate import Curve as Interpolator
from briefgen.model.mission import Leg
from briefgen.model.places import Place
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.icing import ice_over
from briefgen.planning.flight.route import item_keys
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.usable import UsableFields
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
    relative_margin,
    shown,
    worst,
)
from briefgen.planning.sections.basis.fuel import FuelRequired
from briefgen.planning.sections.basis.groups import (
    AIRFRAME,
    INSTRUMENTS,
    PLACES,
    POWERPLANT,
    RULES,
    WEATHER,
    rest_on_groups,
)
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.ruled import RuleFigures
from briefgen.planning.sections.basis.written_load import FuelWritten
from briefgen.planning.sections.basis.written_route import SafeAltitudeOfTerrain, SafeAltitudeWritten
from briefgen.planning.sections.way_home.engine_out import NoWayOut, WorstWayOut

FT_PER_MIN_M_PER_S = FT_M / 60.0
START_LIGHTER = "start the leg lighter"


def required_climb_m_per_s(
    stall_m_per_s: float, engines: int, linear: float, square: float, square_per_engine: float
) -> float:
    """Return the rate of climb a transport-category rule wants, from the stalling speed in landing configuration.

    Args:
        stall_m_per_s: Calibrated stalling speed in landing configuration, Vs0 [m/s].
        engines: Number of engines installed.
        linear: Feet per minute for each knot of Vs0.
        square: Feet per minute for each knot squared.
        square_per_engine: Taken off the square term, divided by the number of engines.

    Returns:
        Rate of climb [m/s].

    Source:
        14 CFR 121.179(a) (6.90 Vs0), 121.181(a) ((0.079 - 0.106/N) Vs0 squared), 121.183(a)(2) (0.013 Vs0 squared);
        Vs0 in knots, rate in feet per minute.
    """
    stall_kt = stall_m_per_s / KT_M_PER_S
    return (linear * stall_kt + (square - square_per_engine / engines) * stall_kt**2) * FT_PER_MIN_M_PER_S


def _stall_m_per_s(facts: Facts, performance: Performance, mass_kg: float) -> float:
    model, instruments = facts.mission.aircraft.model, facts.mission.aircraft.instruments
    if model is None:
        raise MissingFactError("the landing configuration of the aircraft")
    indicated = performance.stall_ias_m_per_s(mass_kg, model.field.landing_configuration)
    table = instruments.calibrated_by_indicated
    curve = Interpolator(Axis(table.argument, "m/s", table.x), table.value, "m/s", table.y)
    return curve.at(indicated)


def _ceiling(facts: Facts, rule: RuleFigures, phase: Phase, engines: str) -> float:
    """Return the height on the altimeter setting up to which the rate is met at the phase's first mass [m]."""
    performance, node = facts.need_performance(), phase.start
    rest_on_groups(POWERPLANT, AIRFRAME, INSTRUMENTS, WEATHER)
    facts.rest_on(phase_key(phase.ident), PhaseFigures.mass, PhaseFigures.altitude, PhaseFigures.temperature)
    facts.rest_on(FuelWritten.at, FuelWritten.grade)
    rate = required_climb_m_per_s(
        _stall_m_per_s(facts, performance, node.mass_kg),
        facts.mission.aircraft.engines,
        amount(rule, "linear"),
        amount(rule, "square"),
        amount(rule, "square per engine"),
    )
    warmer_k = phase.temperature_k - standard_temperature(node.pressure_altitude_m)
    best = ceiling_at_best_speed(
        performance, node.mass_kg, warmer_k, engines, rate, node.pressure_altitude_m, _ice_on(facts, phase, warmer_k),
        node.pressure_altitude_m,
    )  # fmt: skip
    return best.ceiling.pressure_altitude_m - (node.pressure_altitude_m - node.altitude_m)


def _ice_on(facts: Facts, phase: Phase, warmer_k: float) -> IceAt | None:
    sky = Sky(facts.mission.weather, facts.mission.places)
    return ice_over(sky, phase.nodes, lambda height_m: standard_temperature(height_m) + warmer_k)


def en_route_climb(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the height up to which the wanted rate of climb is met against the safe altitude, leg by leg."""
    aircraft = facts.mission.aircraft
    if aircraft.engines < amount(rule, "least engines"):
        return NotApplicable(f"she has {aircraft.engines} engines")
    running = aircraft.engines - int(amount(rule, "engines out"))
    names = [one.name for one in facts.need_performance().engine_configurations if one.running == running]
    if not names:
        raise MissingFactError(f"performance on {running} engines")
    legs = [(phase, _climb_on_leg(facts, rule, phase, names)) for phase in facts.cruise_phases()]
    lowest = worst(measure for _, measure in legs)
    if not lowest.kept and rule.has("within"):
        nearest = _time_to_aerodrome(facts, amount(rule, "within"))
        lowest = max((nearest, lowest), key=relative_margin)  # either will do; of two breaches the smaller is told
    broken = [(phase, measure) for phase, measure in legs if not measure.kept]
    if lowest.kept or lowest.subject not in {measure.subject for _, measure in broken}:
        return lowest
    lighter_kg = [_lighter_kg(facts, rule, phase, names, measure) for phase, measure in broken]
    if None in lighter_kg:
        return lowest
    most = Amount("cure", max(one for one in lighter_kg if one is not None), "lb")
    return replace(lowest, cure=Cure("be {cure} lighter as the cruise begins", (most,)))


def _lighter_kg(facts: Facts, rule: RuleFigures, phase: Phase, engines: list[str], found: Measure) -> float | None:
    """Return by how much a leg must start lighter [kg], to the pound and on the safe side; None where no weight will do."""
    limit_m = max(float(found.limit), amount(rule, "least height"))  # type: ignore[arg-type]

    def climbs(mass_kg: float) -> bool:
        start = replace(phase.start, mass_kg=mass_kg)
        try:
            lighter = replace(phase, nodes=(start, *phase.nodes[1:]))
            return all(_ceiling(facts, rule, lighter, name) >= limit_m for name in engines)
        except BriefgenError:  # out of her power at any height, or below the weights of the file
            return False

    low, high = facts.mission.individual.basic_mass_kg, phase.start.mass_kg
    if low >= high or not climbs(low):
        return None
    while high - low > LB_KG:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if climbs(middle) else (low, middle)
    return phase.start.mass_kg - low


def _climb_on_leg(facts: Facts, rule: RuleFigures, phase: Phase, engines: list[str]) -> Measure:
    """Return the lowest height up to which the rate is met on these engines, against the safe altitude of the leg."""
    leg = facts.mission.route.items[phase.item or 0]
    if not isinstance(leg, Leg) or leg.safe_height_m is None:
        raise MissingFactError(f"the safe altitude of {phase.title}")
    key = item_keys(facts.mission.route.items)[phase.item or 0]
    facts.rest_on(key, SafeAltitudeWritten.safe_height, SafeAltitudeOfTerrain.safe_height)
    limit_m = max(leg.safe_height_m, amount(rule, "least height"))
    subject = f"on the leg to {shown(leg.to)}"
    phrase = "the rate of climb is met up to {measured}; the safe altitude is {limit}{left}"
    method = "altitude up to which the rate of climb of the rule is met at the mass the cruise starts with"
    try:
        ceiling_m = min(_ceiling(facts, rule, phase, name) for name in engines)
    except MissingFactError:
        raise
    except PlanError as error:  # the rate is out of her power at any height
        cure = Cure(START_LIGHTER)
        words = "{measured}; the safe altitude is {limit}"
        return Measure(
            _at_none(error), limit_m, "ft", 0, "at least", method, subject, cure=cure, holds=False, phrase=words
        )
    lower = Amount("cure", limit_m - ceiling_m, "ft")
    cure = Cure("start the leg lighter, or route where the safe altitude is {cure} lower", (lower,))
    return Measure(ceiling_m, limit_m, "ft", 0, "at least", method, subject, cure=cure, phrase=phrase)


def _at_none(error: PlanError) -> str:
    """Return why there is no ceiling, as it stands after the name of the leg."""
    return f"at {error.problem}".replace(": she does not", " she does not", 1)


def _time_to_aerodrome(facts: Facts, limit_s: float) -> Measure:
    """Return the longest still-air time to the nearest aerodrome that can be landed on when she comes there."""
    aerodromes = [place for place in facts.mission.places if place.runways]
    rest_on_groups(PLACES, WEATHER, AIRFRAME, POWERPLANT)
    fields = UsableFields(facts.mission, Sky(facts.mission.weather, facts.mission.places))
    if not aerodromes:
        raise MissingFactError("an aerodrome")
    measures = []
    for phase in facts.cruise_phases():
        if phase.tas_m_per_s <= 0.0:
            raise MissingFactError(f"the true airspeed of {phase.title}")
        facts.rest_on(phase_key(phase.ident), PhaseFigures.tas, PhaseFigures.end, PhaseFigures.cumulative)
        for node in phase.nodes:
            away_m = _nearest_usable_m(node, phase.tas_m_per_s, aerodromes, fields)
            measures.append(
                Measure(
                    away_m / phase.tas_m_per_s,
                    limit_s,
                    "h:min",
                    0,
                    "at most",
                    subject=phase.title,
                    phrase="the nearest aerodrome that can then be landed on is {measured} away at cruise"
                    if math.isfinite(away_m)
                    else "no aerodrome of the places files can then be landed on: length, lights at night, weather",
                    method="longest still-air time at cruise to the nearest aerodrome with a runway that holds her landing distance over 0.6, "
                    "lights at night and weather at or above its minima when she comes there",
                    cure=Cure(
                        "keep {cure} nearer to an aerodrome, or start lighter",
                        (Amount("cure", away_m / phase.tas_m_per_s - limit_s, "min"),),
                    ),
                )
            )
    return worst(measures)


def _nearest_usable_m(node: Node, tas_m_per_s: float, aerodromes: list[Place], fields: UsableFields) -> float:
    """Return the distance to the nearest aerodrome that can be landed on at arrival [m], infinite where there is none."""
    by_distance = sorted(
        ((geodesic_distance(node.lat_deg, node.lon_deg, p.lat_deg, p.lon_deg), p) for p in aerodromes),
        key=lambda pair: pair[0],
    )
    for away_m, place in by_distance:
        if not fields.why_not(place, node.instant + timedelta(seconds=away_m / tas_m_per_s), node.mass_kg):
            return away_m
    return math.inf


def additional_fuel(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the fuel remaining after the worst way out with an engine stopped against a time of holding there."""
    if (why_not := facts.ref(NoWayOut.left)) is not None:
        raise MissingFactError(
            f"the way out with an engine stopped, as {why_not.value}", cure=f"{START_LIGHTER} until she holds a height"
        )
    left_kg, reserve_kg = facts.numbers(WorstWayOut.left, FuelRequired.final_reserve)
    rest_on_groups(RULES)
    hold_kg = amount(rule, "holding") * reserve_kg / facts.mission.rules.fuel.final_reserve_s
    unit, decimals = facts.unit(WorstWayOut.left)
    return Measure(
        left_kg,
        hold_kg,
        unit,
        decimals,
        "at least",
        subject=facts.text(WorstWayOut.phase),
        phrase="{measured} of usable fuel remaining over the nearest field",
        method="usable fuel remaining over the nearest field, an engine stopped at the worst moment, against a time of holding",
        cure=facts.fuel_cure("carry {cure} more", hold_kg - left_kg),
    )
