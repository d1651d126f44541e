"""Checks of masses, of the centre of gravity in every state of the flight, and of what people are taken to weigh."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from briefgen.kernel.envelope import GREATEST_MASS, LEAST_MASS
from briefgen.model.record import Figure
from briefgen.planning.ledger import subjects
from briefgen.planning.load.pieces import person_mass_kg
from briefgen.planning.review.checks.facts import (
    Amount,
    Answer,
    Cure,
    Facts,
    Measure,
    MissingFactError,
    NotApplicable,
    amount,
    each,
    word,
    worst,
)
from briefgen.planning.review.checks.words import spoken
from briefgen.planning.sections.balance.moments import FlownWeights, MomentFigures
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups
from briefgen.planning.sections.basis.navigation import RampWeight
from briefgen.planning.sections.basis.ruled import RuleFigures
from briefgen.planning.sections.basis.written_load import Weights

OUTSIDE = {
    GREATEST_MASS: "above the greatest weight of the envelope",
    LEAST_MASS: "below the least weight of the envelope",
}
MOVES: Mapping[Figure[Any, Any], str] = {  # away from each end
    MomentFigures.forward_margin: "aft",
    MomentFigures.aft_margin: "forward",
}
BALANCE_HEAD = "balance."
DROP_STATES = ("run.", "hang_up.")  # how the moments begin at which load is leaving or has failed to
MASSES: Mapping[str, Figure[Any, Any]] = {
    "ramp": RampWeight.ramp,
    "take-off": FlownWeights.take_off,
    "landing": FlownWeights.landing,
    "zero fuel": Weights.zero_fuel,
}
WEIGHTS = {
    "ramp": "the ramp weight",
    "take-off": "the take-off weight",
    "landing": "the landing weight",
    "zero fuel": "the zero-fuel weight",
}


def mass_limit(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold a mass against the structural limit of the aircraft file."""
    state = word(rule, "state")
    limits = facts.mission.aircraft.balance.limits
    limit_kg = {
        "ramp": limits.ramp_kg,
        "take-off": limits.take_off_kg,
        "landing": limits.landing_kg,
        "zero fuel": limits.zero_fuel_kg,
    }[state]
    if limit_kg is None:
        return NotApplicable(f"the aircraft file gives no {state} limit")
    rest_on_groups(BALANCE)
    mass_kg = facts.number(MASSES[state])
    unit, decimals = facts.unit(MASSES[state])
    return Measure(
        mass_kg,
        limit_kg,
        unit,
        decimals,
        "at most",
        phrase=f"{WEIGHTS[state]} is {{measured}}",
        judges=subjects.mass(state),
        method=f"{state} mass against the limit of the aircraft file",
        cure=Cure("leave {cure} behind", (Amount("cure", mass_kg - limit_kg, "lb"),)),
    )


def _states(facts: Facts, wanted: str) -> tuple[MomentFigures, ...]:
    """Return the moments held against an envelope: all of them, or those while the load is leaving."""
    states = [one for one in facts.writer.records(MomentFigures) if MomentFigures.nearest.of(one).there]
    if wanted == "drop":
        states = [one for one in states if one.at.removeprefix(BALANCE_HEAD).startswith(DROP_STATES)]
    if not states:
        raise MissingFactError("the centre of gravity" + (" during the drop" if wanted == "drop" else ""))
    return tuple(states)


def _name(state: MomentFigures) -> str:
    """Return the name of a moment."""
    name = MomentFigures.moment_name.or_none(state)
    return name or state.at.removeprefix(BALANCE_HEAD).replace("_", " ").replace(".", " ")


def centre_of_gravity(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the distance to the forward and the aft limit, in the worst state, against the margin the rule keeps."""
    wanted = word(rule, "states")
    if wanted == "drop" and all(item.leaves == "landing" for item in facts.mission.items):
        return NotApplicable("no load leaves in flight")
    ends = [(state, end) for state in _states(facts, wanted) for end in MOVES]
    ends = [(state, end) for state, end in ends if end is MomentFigures.forward_margin or state.nearest not in OUTSIDE]
    return worst(each(lambda one: _within(facts, rule, *one), ends))


def _within(facts: Facts, rule: RuleFigures, state: MomentFigures, end: Figure[Any, Any]) -> Measure:
    """Return how far the centre of gravity of a state is within one end, or that no limit is drawn at its mass."""
    if state.nearest in OUTSIDE:
        return _mass_outside(rule, state)
    margin, wanted_m = end.of(state), amount(rule, "margin")
    if not margin.there:
        raise MissingFactError(spoken(end, state.at))
    margin_m = facts.numeric(margin)
    return Measure(
        margin_m,
        wanted_m,
        margin.unit,
        margin.decimals,
        "at least",
        subject=_name(state),
        phrase=_centre_phrase(rule, margin_m, end.name.split("_")[0]),
        judges=subjects.CENTRE_OF_GRAVITY if word(rule, "states") == "all" else "",
        method="least distance of the centre of gravity from a limit of the envelope, over all states",
        cure=_shift(wanted_m - margin_m, margin.unit, margin.decimals, MOVES[end]),
    )


def _centre_phrase(rule: RuleFigures, margin_m: float, side: str) -> str:
    if margin_m < 0.0 and amount(rule, "margin") == 0.0:
        return f"the centre of gravity is {{short}} outside the {side} limit"
    if margin_m < 0.0:
        return f"the centre of gravity is {{beyond}} outside the {side} limit; {{limit}} inside it is required"
    return f"the centre of gravity is {{measured}} inside the {side} limit"


def _mass_outside(rule: RuleFigures, state: MomentFigures) -> Measure:
    mass = state.mass_ref
    return Measure(
        OUTSIDE[state.nearest],
        amount(rule, "margin"),
        "in",
        1,
        "at least",
        method="mass against the corners of the envelope",
        subject=_name(state),
        holds=False,
        phrase=f"her weight{f' of {mass}' if mass.there else ''} is {{measured}}: no limit of the centre of gravity is drawn "
        "there{left}",
        judges=subjects.CENTRE_OF_GRAVITY if word(rule, "states") == "all" else "",
        cure=Cure("bring the weight within the envelope"),
    )


def _shift(short_m: float, unit: str, decimals: int, move: str) -> Cure:
    text = f"move the centre of gravity {{cure}} {move}: load or fuel further {move}, or less at the other end"
    return Cure(text, (Amount("cure", short_m, unit, decimals),))


def lateral_balance(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the lateral moment in the worst state against the limit of the aircraft file."""
    limit = facts.mission.aircraft.balance.lateral_moment_limit_kg_m
    if limit is None:
        return NotApplicable("the aircraft file gives no lateral limit")
    found = [one for one in facts.writer.records(MomentFigures) if MomentFigures.lateral_moment.of(one).there]
    if not found:
        raise MissingFactError("the lateral moment")
    rest_on_groups(BALANCE)

    def off_centre(state: MomentFigures) -> Measure:
        moment = MomentFigures.lateral_moment.of(state)
        moment_kg_m = abs(facts.numeric(moment))
        return Measure(
            moment_kg_m,
            limit,
            moment.unit,
            moment.decimals,
            "at most",
            subject=_name(state),
            phrase="the lateral moment is {measured}",
            method="greatest lateral moment over all states, either side",
            cure=_even(moment_kg_m - limit, moment.unit, moment.decimals),
        )

    return worst(each(off_centre, found))


def _even(over: float, unit: str, decimals: int) -> Cure:
    return Cure("bring {cure} over to the light side", (Amount("cure", over, unit, decimals),))


def person_mass(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the lightest mass a person aboard is taken to have, crew or carried, against the standard mass."""
    rest_on_groups(BALANCE)
    planned_kg = facts.mission.aircraft.balance.crew_mass_kg
    masses = [(member.mass_kg or planned_kg, member.position) for member in facts.mission.crew]
    masses += [(person_mass_kg(facts.mission.aircraft, one), one.who) for one in facts.mission.people]
    unknown = [position for mass_kg, position in masses if mass_kg is None]
    if unknown or not masses:
        raise MissingFactError(*(f"the mass of the {position}" for position in unknown or ("crew",)))
    mass_kg, position = min((mass_kg or 0.0, position) for mass_kg, position in masses)
    standard = amount(rule, "standard")
    return Measure(
        mass_kg,
        standard,
        "lb",
        0,
        "at least",
        subject=position,
        phrase="taken to weigh {measured}",
        method="lightest mass of a person aboard against the standard mass",
        cure=Cure("weigh the people with what they carry, or use {cure} each", (Amount("cure", standard, "lb"),)),
    )
