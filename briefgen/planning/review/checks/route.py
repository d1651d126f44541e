"""Checks along the route: heights over the ground, cruising levels, and oxygen for the time spent high."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.model.mission import Action, Alternate, Leg
from briefgen.model.plan import Phase
from briefgen.model.record import rests_on
from briefgen.planning.flight.heights import LEVEL_OFFSETS_M, level_error_m, time_between_heights_s
from briefgen.planning.flight.route import item_keys
from briefgen.planning.flight.safe_altitude import LowPoint, low_points, low_points_of_way
from briefgen.planning.flight.sky import Sky
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
    shown,
    word,
    worst,
)
from briefgen.planning.sections.basis.groups import PLACES, WEATHER, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.ruled import RuleFigures
from briefgen.planning.sections.basis.written_route import HeightWritten, SafeAltitudeOfTerrain, SafeAltitudeWritten
from briefgen.planning.sections.oxygen import OxygenFigures


def safe_altitude(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold every moment in the air, to the alternates too, against the minimum safe altitude, corrected for cold.

    Below it only sight of the ground or a published procedure that the mission names lets her be.
    """
    mission, clearance_m = facts.mission, amount(rule, "clearance")
    legs = {item.to.ident: item for item in mission.route.items if isinstance(item, Leg)}
    unknown = [f"on the leg to {shown(leg.to)}" for leg in legs.values() if leg.safe_height_m is None]
    unknown += [f"on the way to the alternate {shown(a.place)}" for a in mission.alternates if a.safe_height_m is None]
    if unknown:
        raise MissingFactError(*(f"the safe altitude {name}" for name in dict.fromkeys(unknown)))
    facts.cruise_phases()
    _read_heights(facts)
    sky = Sky(mission.weather, mission.places)
    points = [("on the leg to", point) for point in low_points(mission, facts.phases, sky, clearance_m)]
    for alternate in mission.alternates:
        way = low_points_of_way(mission, alternate, _phases_to(facts, alternate), sky, clearance_m)
        points += [("on the way to the alternate", point) for point in way]
    below = _told_below([point for _, point in points])
    return worst([_safe_measure(where, point, below) for where, point in points if not point.because])


def _phases_to(facts: Facts, alternate: Alternate) -> tuple[Phase, ...]:
    """Return the phases of the way to an alternate, as flown."""
    for way in facts.diversions:
        if way.ident == alternate.place.ident:
            return way.phases
    raise MissingFactError(f"the way to the alternate {shown(alternate.place)}")


def _read_heights(facts: Facts) -> None:
    """Note the minimum safe altitudes, the heights flown and the weather that corrects them."""
    rest_on_groups(WEATHER)
    refs = [PhaseFigures.altitude.of(one) for one in facts.writer.records(PhaseFigures)]
    refs += [SafeAltitudeWritten.safe_height.of(one) for one in facts.writer.records(SafeAltitudeWritten)]
    refs += [SafeAltitudeOfTerrain.safe_height.of(one) for one in facts.writer.records(SafeAltitudeOfTerrain)]
    rests_on(*(ref.value for ref in refs if ref.there))


def _higher(short_m: float) -> Cure:
    text = "fly {cure} higher, or name the published procedure by which she is lower"
    return Cure(text, (Amount("cure", max(short_m, 0.0), "ft"),))


def _told_below(points: Sequence[LowPoint]) -> str:
    """Return where she is below the safe altitude and what lets her be, a clause for each reason; empty for nowhere."""
    why: dict[str, list[str]] = {}
    for point in points:
        if point.because:
            why.setdefault(point.because, []).append(point.phase.kind)
    clauses = [f"{', '.join(dict.fromkeys(kinds))} {because}" for because, kinds in why.items()]
    return f"; below it: {'; '.join(clauses)}" if clauses else ""


def _safe_measure(way: str, point: LowPoint, below: str) -> Measure:
    where = f"{way} {shown(point.leg.to)}"
    if point.phase.kind != "cruise":
        where = f"{point.phase.kind} {where}"
    against = f"the ground is not in sight: {point.against}; " if point.against else ""
    return Measure(
        point.altitude_m, point.wanted_m, "ft", 0, "at least", subject=where,
        phrase=f"{against}the lowest altitude flown is {{measured}}{below}",
        method="lowest altitude of the phase against the minimum safe altitude of its leg, corrected for cold air; below it "
        "only in sight of the ground or by a published procedure",
        cure=_higher(point.wanted_m - point.altitude_m),
    )  # fmt: skip


def height_over_target(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the height above the ground while working over a place against the rule's least height."""
    items = facts.mission.route.items
    actions = [(key, item) for key, item in zip(item_keys(items), items, strict=True) if isinstance(item, Action)]
    if not actions:
        return NotApplicable("no work is done over a place")
    rest_on_groups(PLACES)
    measures = []
    for key, action in actions:
        facts.rest_on(key, HeightWritten.height)
        if action.at.elevation_m is None:
            raise MissingFactError(f"the elevation of {action.at.ident}")
        above_m = action.height.value_m - action.at.elevation_m
        if action.height.reference == "above field":
            above_m = action.height.value_m
        elif action.height.reference != "altitude":
            raise MissingFactError(f"the height over {action.at.ident} on the altimeter setting or above the field")
        limit_m = amount(rule, "least height")
        measures.append(
            Measure(
                above_m,
                limit_m,
                "ft",
                0,
                "at least",
                subject=f"{action.kind} at {shown(action.at)}",
                phrase="she works {measured} above the ground",
                method="planned height less the elevation of the place",
                cure=Cure("work {cure} higher", (Amount("cure", limit_m - above_m, "ft"),)),
            )
        )
    return worst(measures)


def cruising_level(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold every cruise's height against the levels of its magnetic track; the worst counts."""
    offsets_m = LEVEL_OFFSETS_M[word(rule, "levels")]
    measures = []
    for phase in facts.cruise_phases():
        leg = facts.mission.route.items[phase.item or 0]
        if not isinstance(leg, Leg):
            continue
        height_m = _height_meant_m(leg, phase)
        if height_m <= amount(rule, "from height"):
            continue
        track_deg = facts.number(PhaseFigures.course_magnetic, phase_key(phase.ident))
        error_m = min(level_error_m(height_m, track_deg, offset_m) for offset_m in offsets_m)
        measures.append(
            Measure(
                error_m,
                amount(rule, "tolerance"),
                "ft",
                0,
                "at most",
                subject=f"on the leg to {shown(leg.to)}",
                phrase="{measured} off the nearest level of its magnetic track"
                if error_m
                else "on a level of its magnetic track",
                method="distance of the altitude of the leg from the nearest level of its magnetic track",
                cure=Cure("fly {cure} higher or lower", (Amount("cure", error_m, "ft"),)),
            )
        )
    return worst(measures) if measures else NotApplicable("no leg is high enough for the levels to apply")


def _height_meant_m(leg: Leg, phase: Phase) -> float:
    """Return the written height of the leg that a cruise flies: its first, or the nearest one it steps to."""
    written = (leg.height, *(change.height for change in leg.changes))
    return min((height.value_m for height in written), key=lambda value_m: abs(value_m - phase.start.altitude_m))


def oxygen(facts: Facts, rule: RuleFigures) -> Answer:
    """Time in a band of heights beyond what is allowed without oxygen calls for a supply that covers the need."""
    if not facts.phases:
        raise MissingFactError("the flight")
    above_m, allowed_s = amount(rule, "above"), amount(rule, "allowed")
    up_to_m = amount(rule, "up to") if rule.has("up to") else math.inf
    high_s = time_between_heights_s(facts.phases, above_m, up_to_m)
    in_band = Measure(
        high_s,
        allowed_s,
        "h:min",
        0,
        "at most",
        phrase="{measured} in the band of heights" if high_s else "no time in the band of heights",
        method="time at pressure altitudes in the band against what is allowed without oxygen",
        cure=Cure("fly lower, or carry oxygen"),
    )
    if in_band.kept:
        return in_band
    have, need = facts.numbers(OxygenFigures.available, OxygenFigures.required)
    if need <= 0.0:
        raise MissingFactError("the oxygen needed above the height of the rule (oxygen.required is nothing)")
    unit, decimals = facts.unit(OxygenFigures.available)
    return Measure(
        have,
        need,
        unit,
        decimals,
        "at least",
        phrase="the oxygen carried lasts {measured}" if unit == "h:min" else "oxygen carried: {measured}",
        method="oxygen carried against the use over the time in the band",
        cure=Cure("carry {cure} more oxygen, or fly lower", (Amount("cure", need - have, unit, decimals),)),
    )
