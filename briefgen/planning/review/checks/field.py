"""Checks of aerodromes: distances against runways, wind across and along them, lights, ceiling and visibility."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from briefgen.errors import BriefgenError
from briefgen.kernel.geodesy import geodesic_distance
from briefgen.kernel.sun import LightCondition
from briefgen.model.performance import LongRange
from briefgen.model.places import Obstacle, Place, Runway
from briefgen.model.record import Figure
from briefgen.planning.ledger import review_keys as keys
from briefgen.planning.ledger import subjects
from briefgen.planning.review.checks.facts import (
    NO_LIMIT,
    Amount,
    Answer,
    Cure,
    Facts,
    Measure,
    MissingFactError,
    NotApplicable,
    amount,
    each,
    relatively_worst,
    shown,
    word,
    worst,
)
from briefgen.planning.sections.basis.groups import LIMITS, PLACES, rest_on_groups
from briefgen.planning.sections.basis.ruled import RuleFigures
from briefgen.planning.sections.fields.landing import LandingDistance, LandingNotWorkedOut, LandingShare
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.fields.take_off_rows import DistanceFigures, ObstacleFigures
from briefgen.planning.sections.weather.field_winds import FieldWind
from briefgen.planning.sections.weather.fields import MinimaFigures

# How a rule names the heights over an obstacle, and the weights at which they are enough.
PASSING: Mapping[str, Figure[Any, Any]] = {"all engines": ObstacleFigures.over, "one failed": ObstacleFigures.failed}
ENOUGH: Mapping[str, Figure[Any, Any]] = {
    "all engines": ObstacleFigures.greatest_mass, "one failed": ObstacleFigures.greatest_mass_failed,
}  # fmt: skip
NEEDS = {  # how each distance of the take-off is told
    "ground run": "the ground run takes {measured}",
    "distance to 50 ft": "she needs {measured} to 50 ft",
    "accelerate-stop": "she needs {measured} to accelerate and stop",
    "accelerate-go": "she needs {measured} to go on to 50 ft with an engine failed",
}
ABOVE = "passed {measured} above its top"
_WIND = {"crosswind": "crosswind {measured}", "tailwind": "tail wind {measured}"}
STRONGEST: Mapping[str, Figure[Any, Any]] = {"crosswind": FieldWind.crosswind, "tailwind": FieldWind.tailwind}
DARK = (LightCondition.CIVIL_TWILIGHT, LightCondition.NIGHT)


def _lighter(facts: Facts, what: str, greatest: Figure[Any, Any], at: str) -> str:
    """Say at which weight a take-off or landing fits, where the plan has worked it out."""
    found = facts.ref(greatest, at)
    if found is not None and isinstance(found.value, float):
        return f"{what} at no more than {found}"
    return f"{what} lighter"


def take_off_distance(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold one distance of the take-off against its share of the length available."""
    ident = facts.mission.route.origin.ident
    distance = keys.TAKE_OFF_DISTANCES[word(rule, "distance")]
    head = keys.take_off_field(ident)
    at = f"{head}.{distance}"
    run_m, available_m = facts.numbers((DistanceFigures.distance, at), (RunwayFigures.available, head))
    limit_m = amount(rule, "runway share") * available_m
    unit, decimals = facts.unit(DistanceFigures.distance, at)
    return Measure(
        run_m,
        limit_m,
        unit,
        decimals,
        "at most",
        subject=f"{shown(facts.mission.route.origin)}, runway {facts.mission.route.origin_runway}",
        phrase=NEEDS[word(rule, "distance")],
        judges=subjects.take_off(distance),
        method=f"{word(rule, 'distance')} against its share of the runway available",
        cure=Cure(
            f"{_lighter(facts, 'take off', DistanceFigures.greatest_mass, at)}, or find {{cure}} more runway",
            (Amount("cure", run_m / amount(rule, "runway share") - available_m, unit, decimals),),
            besides="find {cure} more runway",
        ),
    )


def obstacle_clearance(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the height over every obstacle in the take-off path, on all engines or one failed, against the clearance."""
    place, runway = next((place, runway) for role, place, runway in _runways(facts) if role == "take-off")
    if not runway.obstacles:
        return NotApplicable("no obstacle is given in the take-off path")
    rest_on_groups(PLACES)
    clearance_m, engines = amount(rule, "clearance"), word(rule, "engines")
    method = f"height over the end of the runway passing the obstacle, {engines}, less the obstacle"

    def over(number: int, obstacle: Obstacle) -> Measure:
        at = keys.take_off_field(place.ident, f"obstacle.{number:02d}")
        passing, height = facts.require((PASSING[engines], at), (ObstacleFigures.height, at))
        fact = subjects.obstacle(obstacle.name, failed=engines == "one failed")
        lighter = _lighter(facts, "take off", ENOUGH[engines], at)
        cure = Cure(f"{lighter}, or the other way", besides="take off the other way")
        if isinstance(passing.value, str):  # words: she is not yet up where the path would begin
            return Measure(
                passing.value, clearance_m, "ft", 0, "at least", method, obstacle.name, cure=cure, holds=False, judges=fact,
                phrase="{measured} when she passes it; required: {limit} above it",
            )  # fmt: skip
        over_m = facts.numeric(passing) - facts.numeric(height)
        return Measure(
            over_m, clearance_m, "ft", 0, "at least", method, obstacle.name, cure=cure, phrase=ABOVE, judges=fact
        )

    return worst(each(lambda one: over(*one), enumerate(runway.obstacles, start=1)))


def landing_distance(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the landing distance from 50 ft against its share of the runway, at the destination or the alternates."""
    mission = facts.mission
    at_alternate = word(rule, "place") == "alternate"
    places = [a.place for a in mission.alternates] if at_alternate else [mission.route.destination]
    if not places:
        return NotApplicable("no alternate is listed")
    share = amount(rule, "runway share")
    return worst(each(lambda place: _landing_at(facts, place, share), places))


def _landing_at(facts: Facts, place: Place, share: float) -> Measure:
    """Return the landing distance at a place against its share of the runway."""
    head = keys.landing_field(place.ident)
    silent = facts.ref(LandingNotWorkedOut.distance, head)
    distance = LandingDistance.distance if silent is None else LandingNotWorkedOut.distance
    distance_m, available_m = facts.numbers((distance, head), (RunwayFigures.available, head))
    unit, decimals = facts.unit(distance, head)
    return Measure(
        distance_m,
        share * available_m,
        unit,
        decimals,
        "at most",
        subject=shown(place),
        phrase="she needs {measured} from 50 ft to a stop",
        judges=subjects.landing(place.ident),
        method="landing distance from 50 ft against its share of the runway available",
        cure=Cure(
            f"{_lighter(facts, 'land', LandingShare.greatest_mass, head)}, or where there is {{cure}} more runway",
            (Amount("cure", distance_m / share - available_m, unit, decimals),),
            besides="land where there is {cure} more runway",
        ),
    )


def _field_limit_m_per_s(facts: Facts, rule: RuleFigures, name: str) -> float:
    """Return the lower of the aircraft file's limit and the rule's own, whichever are given."""
    wind = facts.mission.aircraft.limits.wind
    limits = [wind.crosswind_m_per_s if name == "crosswind" else wind.tailwind_m_per_s]
    rest_on_groups(LIMITS)
    if rule.has("wind limit"):
        limits.append(amount(rule, "wind limit"))
    if not limits:
        raise MissingFactError(f"a {name} limit in the aircraft file or the rule")
    return float(min(limits))


def _wind_component(facts: Facts, rule: RuleFigures, name: str) -> Answer:
    limit = _field_limit_m_per_s(facts, rule, name)

    def component(role: str, place: Place, runway: Runway) -> Measure:
        at = keys.field_weather(role, place.ident)
        value = facts.number(STRONGEST[name], at)
        unit, decimals = facts.unit(STRONGEST[name], at)
        measured = abs(value) if name == "crosswind" else value
        return Measure(
            measured,
            limit,
            unit,
            decimals,
            "at most",
            subject=f"{shown(place)}, runway {runway.name}",
            phrase=_WIND[name] if measured > 0.0 else f"no {_WIND[name].split(' {')[0]}; at most {{limit}} allowed",
            judges=subjects.wind(name, place.ident),
            cure=Cure(
                "use another runway, or wait for {cure} less", (Amount("cure", measured - limit, unit, decimals),)
            ),
            method=f"{name} on the runway in use against the lower of the aircraft's and the rule's limit",
        )

    return worst(each(lambda use: component(*use), _runways(facts)))


def crosswind(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the crosswind on every runway in use against the limit."""
    return _wind_component(facts, rule, "crosswind")


def tailwind(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the tail wind on every runway in use against the limit; a head wind is a negative tail wind."""
    return _wind_component(facts, rule, "tailwind")


def _runways(facts: Facts) -> Iterator[tuple[str, Place, Runway]]:
    """Yield the runways of the plan with what each is for: take-off, landing, alternate."""
    route = facts.mission.route
    named = [("take-off", route.origin, route.origin_runway), ("landing", route.destination, route.destination_runway)]
    named += [("alternate", alternate.place, alternate.runway) for alternate in facts.mission.alternates]
    for role, place, name in named:
        found = [runway for runway in place.runways if runway.name == name]
        if not found:
            raise MissingFactError(f"runway {name} of {place.ident}")
        yield role, place, found[0]


def runway_lights(facts: Facts, rule: RuleFigures) -> Answer:
    """See that a runway used other than by day has lights."""

    def lit(role: str, place: Place, runway: Runway) -> Measure:
        rest_on_groups(PLACES)
        light, lights = facts.light(role, place.ident), runway.lights not in ("", "none")
        return Measure(
            f"{light}, {f'lights: {runway.lights}' if lights else 'no lights'}",
            "lights, unless by day",
            "",
            0,
            "at least",
            subject=f"{role} at {shown(place)}, runway {runway.name}",
            method="light at the expected time against the lights of the runway",
            holds=lights or light not in DARK,
            cure=Cure("arrange flares or lights, or move the time into daylight"),
        )

    return worst(each(lambda use: lit(*use), _runways(facts)))


def _weather_at(
    facts: Facts, role: str, place: Place, ceiling_m: float, visibility_m: float, eased: str = ""
) -> Measure:
    """Return the worse of ceiling and visibility at a place against what is wanted there."""
    measures, at = [], keys.field_weather(role, place.ident)
    for name, figure, limit in (
        ("ceiling", MinimaFigures.ceiling, ceiling_m), ("visibility", MinimaFigures.visibility, visibility_m),
    ):  # fmt: skip
        value = math.inf if facts.text(figure, at) == NO_LIMIT else facts.number(figure, at)
        unit, decimals = facts.unit(figure, at)
        cure = Cure(f"wait until a {name} of at least {{limit}} is forecast, or go elsewhere")
        measures.append(
            Measure(
                value,
                limit,
                unit,
                decimals,
                "at least",
                subject=shown(place),
                phrase=f"the {name} is {{measured}}" if math.isfinite(value) else f"no {name}",
                method="worse of ceiling and visibility at the expected time against its minimum",
                cure=cure,
                eased=eased,
            )
        )
    return relatively_worst(measures)


def landing_minima(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the weather at origin or destination against the minima of the place."""
    route = facts.mission.route
    role, place = ("take-off", route.origin) if word(rule, "place") == "origin" else ("landing", route.destination)
    if place.minima is None:
        raise MissingFactError(f"the minima of {place.ident}")
    listed = ", ".join(shown(alternate.place) for alternate in facts.mission.alternates)
    eased = f"the alternate listed is {listed}" if listed else ""
    return _weather_at(facts, role, place, place.minima.ceiling_m, place.minima.visibility_m, eased)


def alternate_needed(facts: Facts, rule: RuleFigures) -> Answer:
    """Without an alternate the weather at the destination must be good enough to do without one."""
    if facts.mission.alternates:
        return NotApplicable("an alternate is listed")
    return _weather_at(
        facts, "landing", facts.mission.route.destination, amount(rule, "ceiling"), amount(rule, "visibility")
    )


def alternate_minima(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the weather at every alternate against the rule's minima or the place's own, whichever are higher."""
    if not facts.mission.alternates:
        return NotApplicable("no alternate is listed")
    measures = []
    for alternate in facts.mission.alternates:
        ceiling_m, visibility_m = amount(rule, "ceiling"), amount(rule, "visibility")
        if alternate.place.minima is not None:
            ceiling_m = max(ceiling_m, alternate.place.minima.ceiling_m)
            visibility_m = max(visibility_m, alternate.place.minima.visibility_m)
        measures.append(_weather_at(facts, "alternate", alternate.place, ceiling_m, visibility_m))
    return relatively_worst(measures)


def take_off_alternate(facts: Facts, rule: RuleFigures) -> Answer:
    """Where she could not come back to the origin after an engine failure, a place to land must be near enough."""
    origin, aircraft = facts.mission.route.origin, facts.mission.aircraft
    if origin.minima is None:
        raise MissingFactError(f"the minima of {origin.ident}")
    if _weather_at(facts, "take-off", origin, origin.minima.ceiling_m, origin.minima.visibility_m).kept:
        return NotApplicable("the weather at the origin is good enough to come back")
    if not facts.mission.alternates:
        raise MissingFactError("an alternate for the take-off")
    limit_s = amount(rule, "two engines") if aircraft.engines <= 2 else amount(rule, "more engines")
    speed = _one_out_speed_m_per_s(facts)
    measures = []
    for alternate in facts.mission.alternates:
        place = alternate.place
        away_m = geodesic_distance(origin.lat_deg, origin.lon_deg, place.lat_deg, place.lon_deg)
        measures.append(
            Measure(
                away_m / speed,
                limit_s,
                "h:min",
                0,
                "at most",
                subject=shown(place),
                phrase="{measured} away at cruise with one engine out",
                method="still-air time from the origin at cruise with one engine out",
                cure=Cure("list an alternate nearer to the origin, or wait for better weather there"),
            )
        )
    return max(measures, key=lambda measure: measure.margin)  # one near enough will do


def _one_out_speed_m_per_s(facts: Facts) -> float:
    """Return the true airspeed of level flight with one engine out in the air of the first cruise."""
    performance = facts.need_performance()
    phase, setting = next(((p, p.setting) for p in facts.cruise_phases() if p.setting is not None), (None, None))
    if phase is None or setting is None:
        raise MissingFactError("a power setting in cruise")
    running = facts.mission.aircraft.engines - 1
    name = next((c.name for c in performance.engine_configurations if c.running == running), None)
    if name is None:
        raise MissingFactError(f"performance on {running} engines")
    try:
        return performance.cruise(phase.start.mass_kg, setting.air, LongRange(), engines=name).tas_m_per_s
    except BriefgenError as error:
        raise MissingFactError(f"cruise on {running} engines ({error.problem})") from error
