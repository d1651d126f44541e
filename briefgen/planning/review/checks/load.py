"""Checks of masses, of the centre of gravity in every state of the flight, and of what people are taken to weigh."""

from __future__ import annotations

from briefgen.kernel.envelope import GREATEST_MASS, LEAST_MASS
from briefgen.model.rules import Rule
from briefgen.planning.ledger import review_keys as keys
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
    word,
    worst,
)

OUTSIDE = {
    GREATEST_MASS: "above the greatest weight of the envelope",
    LEAST_MASS: "below the least weight of the envelope",
}
WEIGHTS = {
    "ramp": "the ramp weight",
    "take-off": "the take-off weight",
    "landing": "the landing weight",
    "zero fuel": "the zero-fuel weight",
}


def mass_limit(facts: Facts, rule: Rule) -> Answer:
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
    key = keys.mass(state)
    mass_kg = facts.number(key)
    unit, decimals = facts.unit(key)
    return Measure(
        mass_kg,
        limit_kg,
        unit,
        decimals,
        "at most",
        inputs=(key,),
        phrase=f"{WEIGHTS[state]} is {{measured}}",
        judges=subjects.mass(state),
        method=f"{state} mass against the limit of the aircraft file",
        cure=Cure("leave {cure} behind", (Amount("cure", mass_kg - limit_kg, "lb"),)),
    )


def _states(facts: Facts, wanted: str) -> tuple[str, ...]:
    """Return the balance states held against an envelope: all of them, or those while the load is leaving."""
    end = f".{keys.NEAREST_LIMIT}"
    states = tuple(
        key.removeprefix(keys.BALANCE).removesuffix(end) for key in facts.writer.keys(keys.BALANCE) if key.endswith(end)
    )
    if wanted == "drop":
        states = tuple(state for state in states if state.startswith(keys.DROP_STATES))
    if not states:
        raise MissingFactError("the centre of gravity" + (" during the drop" if wanted == "drop" else ""))
    return states


def _moment(facts: Facts, key: str) -> str:
    """Return the name of a balance state, from the key of one of its figures."""
    name = f"{key.rsplit('.', 1)[0]}.moment_name"
    if name in facts.writer:
        return facts.text(name)
    return key.removeprefix(keys.BALANCE).rsplit(".", 1)[0].replace("_", " ").replace(".", " ")


def centre_of_gravity(facts: Facts, rule: Rule) -> Answer:
    """Hold the distance to the forward and the aft limit, in the worst state, against the margin the rule keeps."""
    wanted = word(rule, "states")
    if wanted == "drop" and all(item.leaves == "landing" for item in facts.mission.items):
        return NotApplicable("no load leaves in flight")
    measures = []
    for state in _states(facts, wanted):
        nearest = facts.text(keys.balance(state, keys.NEAREST_LIMIT))
        if nearest in (GREATEST_MASS, LEAST_MASS):  # no limit of the centre of gravity is drawn at this mass
            measures.append(_mass_outside(facts, rule, state, nearest))
            continue
        for end, move in ((keys.FORWARD_MARGIN, "aft"), (keys.AFT_MARGIN, "forward")):
            key = keys.balance(state, end)
            margin_m = facts.number(key)
            unit, decimals = facts.unit(key)
            measures.append(
                Measure(
                    margin_m,
                    amount(rule, "margin"),
                    unit,
                    decimals,
                    "at least",
                    inputs=(key,),
                    subject=_moment(facts, key),
                    phrase=_centre_phrase(rule, margin_m, end.split("_")[0]),
                    judges=subjects.CENTRE_OF_GRAVITY if wanted == "all" else "",
                    method="least distance of the centre of gravity from a limit of the envelope, over all states",
                    cure=_shift(amount(rule, "margin") - margin_m, unit, decimals, move),
                )
            )
    return worst(measures)


def _centre_phrase(rule: Rule, margin_m: float, side: str) -> str:
    if margin_m < 0.0 and amount(rule, "margin") == 0.0:
        return f"the centre of gravity is {{short}} outside the {side} limit"
    if margin_m < 0.0:
        return f"the centre of gravity is {{beyond}} outside the {side} limit; {{limit}} inside it is required"
    return f"the centre of gravity is {{measured}} inside the {side} limit"


def _mass_outside(facts: Facts, rule: Rule, state: str, nearest: str) -> Measure:
    key = keys.balance(state, keys.NEAREST_LIMIT)
    return Measure(
        OUTSIDE[nearest],
        amount(rule, "margin"),
        "in",
        1,
        "at least",
        method="mass against the corners of the envelope",
        subject=_moment(facts, key),
        inputs=(key,),
        holds=False,
        phrase=f"her weight{_of(facts, state)} is {{measured}}: no limit of the centre of gravity is drawn there{{left}}",
        judges=subjects.CENTRE_OF_GRAVITY if word(rule, "states") == "all" else "",
        cure=Cure("bring the weight within the envelope"),
    )


def _of(facts: Facts, state: str) -> str:
    """Quote the weight of a state, where the table of states has it."""
    table = facts.writer.tables.get("balance.states")
    found = [row.cells["mass"] for row in table.rows if row.name == state] if table else []
    return f" of {{{found[0]}}}" if found else ""


def _shift(short_m: float, unit: str, decimals: int, move: str) -> Cure:
    text = f"move the centre of gravity {{cure}} {move}: load or fuel further {move}, or less at the other end"
    return Cure(text, (Amount("cure", short_m, unit, decimals),))


def lateral_balance(facts: Facts, rule: Rule) -> Answer:
    """Hold the lateral moment in the worst state against the limit of the aircraft file."""
    limit = facts.mission.aircraft.balance.lateral_moment_limit_kg_m
    if limit is None:
        return NotApplicable("the aircraft file gives no lateral limit")
    found = [key for key in facts.writer.keys(keys.BALANCE) if key.endswith(f".{keys.LATERAL_MOMENT}")]
    if not found:
        raise MissingFactError("the lateral moment")
    return worst(
        Measure(
            abs(facts.number(key)),
            limit,
            *facts.unit(key),
            "at most",
            inputs=(key,),
            subject=_moment(facts, key),
            phrase="the lateral moment is {measured}",
            method="greatest lateral moment over all states, either side",
            cure=_even(abs(facts.number(key)) - limit, *facts.unit(key)),
        )
        for key in found
    )


def _even(over: float, unit: str, decimals: int) -> Cure:
    return Cure("bring {cure} over to the light side", (Amount("cure", over, unit, decimals),))


def person_mass(facts: Facts, rule: Rule) -> Answer:
    """Hold the lightest mass a person aboard is taken to have, crew or carried, against the standard mass."""
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
