"""What the runways say about the plan: too heavy for the field, wind over the limit, water on the runway."""

from __future__ import annotations

import math

from briefgen.aircraft.fields import FieldPerformance
from briefgen.errors import BriefgenError
from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.plan import Finding
from briefgen.planning.ledger import subjects
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.fields.landing import NOT_KNOWN
from briefgen.planning.sections.fields.runway_use import WIND_SOURCE, RunwayUse
from briefgen.planning.sections.fields.take_off import NO_WEIGHT
from briefgen.planning.sections.fields.take_off_limits import OBSTACLE_SOURCE, TakeOffLimits

PAGE = "fields"
NEAR_RATIO = 0.05  # within 5 % of the greatest weight is near the edge: there 5 % of weight is a third of the run


def take_off_findings(limits: TakeOffLimits, writer: LedgerWriter) -> tuple[Finding, ...]:
    """Return whether the runway allows the weight, with what would make it do so."""
    key, mass_kg = limits.use.key, limits.use.mass_kg
    keys = (f"{key}.mass", f"{key}.greatest_mass", f"{key}.mass_margin")
    at = f"{limits.use.name} at {{{key}.mass}}, {{{key}.temperature}}"
    title, ident, subject = "Take-off weight for the field", "field-take-off", limits.governing_subject
    source = f"{limits.fields.source}; {OBSTACLE_SOURCE}; {WIND_SOURCE}"
    greatest = writer[f"{key}.greatest_mass"].value
    if greatest == NO_WEIGHT:
        text = f"{at}: no weight fits. What sets it: {{{key}.governs}}."
        adds = "No weight fits."
        cure = "use another runway, or wait for cooler air, more head wind or a drier surface"
        return (Finding(ident, "fail", title, text, *keys, source, cure, PAGE, subject, adds),)
    over_kg = mass_kg - writer.number(f"{key}.greatest_mass")
    if over_kg > 0.0:
        does_not = " She does not leave the ground at this weight." if math.isinf(limits.answer.ground_run_m) else ""
        adds = (
            f"Not today, unless {{{key}.left_behind}} stays behind.{does_not} "
            f"The greatest weight is {{{key}.greatest_mass}}; what sets it: {{{key}.governs}}."
        )
        text = f"{at}: {adds[:1].lower()}{adds[1:]}"
        cure = f"leave {{{key}.left_behind}} behind"
        if f"{key}.cool_enough" in writer:
            cure += f", or go when it is {{{key}.cool_enough}} or colder"
        if f"{key}.headwind_enough" in writer:
            cure += f", or with {{{key}.headwind_enough}} of head wind"
        return (Finding(ident, "fail", title, text, *keys, source, cure, PAGE, subject, adds),)
    near = over_kg > -NEAR_RATIO * mass_kg
    text = f"{at}: {{{key}.mass_margin}} in hand to {{{key}.greatest_mass}}; what sets it: {{{key}.governs}}."
    cure = f"let nothing over {{{key}.mass_margin}} come aboard; less wind or more warmth takes it away" if near else ""
    outcome = "caution" if near else "pass"
    return (Finding(ident, outcome, title, text, *keys, source, cure, PAGE, subject),)


def use_findings(
    mission: Mission, use: RunwayUse, fields: FieldPerformance, kind: str | None, writer: LedgerWriter
) -> tuple[Finding, ...]:
    """Return the findings of one runway: landing weight, wind limits of the aircraft file, standing water."""
    found = []
    if kind is not None and (landing := _landing_finding(use, kind, writer)):
        found.append(landing)
    if mission.aircraft.model is not None:
        field = mission.aircraft.model.field
        found += _wind_finding(use, "crosswind", use.crosswind_m_per_s, field.crosswind_limit_m_per_s, writer)
        found += _wind_finding(use, "tailwind", -use.headwind_m_per_s, field.tailwind_limit_m_per_s, writer)
    speed = fields.hydroplaning_ground_speed(use.strip)
    if speed is not None:
        found.append(_water_finding(use, speed, writer))
    return tuple(found)


def not_worked_out(key: str, place: Place, error: BriefgenError, writer: LedgerWriter) -> Finding:
    """Return the finding of a field about which the weather says too little, and enter that its figures are not known."""
    for name in ("distance", "available", "mass"):
        writer.put(f"{key}.{name}", f"Landing at {place.name}: {name}", NOT_KNOWN, method=error.problem)
    return Finding(
        f"field-landing-{place.ident.lower()}", "fail", "Landing distance", f"{place.name}: {error.problem}.",
        f"{key}.mass", f"{key}.available", f"{key}.distance", "weather file", "give the weather at the field at that time", PAGE,
    )  # fmt: skip


def _landing_finding(use: RunwayUse, kind: str, writer: LedgerWriter) -> Finding | None:
    """Return a finding when the landing does not fit; the rule set holds it against its own share besides."""
    key = use.key
    ident = f"field-landing-{use.place.ident.lower()}"
    if f"{key}.factored" not in writer:
        text = f"The landing at {use.name} is {{{key}.distance}}: {writer[f'{key}.distance'].method}."
        return Finding(
            ident, "fail", "Landing distance", text, f"{key}.mass", f"{key}.available", f"{key}.distance",
            "aircraft file", "add a landing chart to the aircraft file", PAGE, subjects.landing(use.place.ident),
        )  # fmt: skip
    if f"{key}.mass_margin" in writer and writer.number(f"{key}.mass_margin") >= 0.0:
        return None
    margin = f"{key}.mass_margin" if f"{key}.mass_margin" in writer else f"{key}.margin"
    numbered = isinstance(writer[f"{key}.greatest_mass"].value, float)
    adds = f"The greatest weight is {{{key}.greatest_mass}}." if numbered else "No weight fits."
    cure = (
        f"land at no more than {{{key}.greatest_mass}}, or on a longer runway"
        if numbered
        else "land on a longer runway"
    )
    if writer.number(f"{key}.margin") >= 0.0:  # the runway would do; the limit of the aircraft does not
        adds = ""
        text = f"{use.name}: she would land at {{{key}.mass}}, over her greatest of {{{key}.greatest_mass}}; the runway would do."
        if kind == "return":
            cure = f"before coming back at once burn or drop down to {{{key}.greatest_mass}}"
        return Finding(
            ident, "caution" if kind == "return" else "fail", "Landing weight for the field", text, f"{key}.mass",
            f"{key}.greatest_mass", margin, "aircraft file, weight limits", cure, PAGE,
        )  # fmt: skip
    text = (
        f"Landing at {use.name} at {{{key}.mass}} she needs {{{key}.factored}} with its factor; {{{key}.available}} is "
        f"there. {adds}"
    )
    return Finding(
        ident, "caution" if kind == "return" else "fail", "Landing weight for the field", text, f"{key}.mass",
        f"{key}.greatest_mass", margin, writer[f"{key}.factored"].source, cure, PAGE,
        subjects.landing(use.place.ident), adds,
    )  # fmt: skip


def _wind_finding(use: RunwayUse, name: str, value: float, limit: float, writer: LedgerWriter) -> list[Finding]:
    """Enter the limit of the aircraft file and return a finding when the wind is over it."""
    key = use.key
    label = "Crosswind limit" if name == "crosswind" else "Tail wind limit"
    writer.put(f"{key}.{name}_limit", label, limit, "kt", method="aircraft file, field section")
    if value <= limit:
        return []
    measured = f"{key}.{name}" if name == "crosswind" else f"{key}.headwind"
    writer.put(
        f"{key}.{name}_margin", f"{label}: in hand", limit - value, "kt", method="limit less wind",
        inputs=(f"{key}.{name}_limit", measured),
    )  # fmt: skip
    found = writer.put(f"{key}.{name}_over_limit", label.replace("limit", "found"), value, "kt", method="without its sign",
                       inputs=(measured,))  # fmt: skip
    wind = label.removesuffix(" limit").lower()
    text = f"{use.name}: {wind} {{{found}}}; at most {{{key}.{name}_limit}} allowed."
    return [
        Finding(
            f"field-{name}-{key.split('.')[1]}-{use.place.ident.lower()}", "fail", label, text, measured,
            f"{key}.{name}_limit", f"{key}.{name}_margin", "aircraft file, field section",
            f"use another runway, or wait until the wind is down to {{{key}.{name}_limit}}", PAGE,
            subjects.wind(name, use.place.ident),
        )
    ]  # fmt: skip


def _water_finding(use: RunwayUse, speed_m_per_s: float, writer: LedgerWriter) -> Finding:
    key = use.key
    source = "Horne and Dreher, NASA TN D-2056 (1963)"
    hydroplaning = writer.put(
        f"{key}.hydroplaning", "Ground speed at which a rolling tyre rides on the water", speed_m_per_s, AIRSPEED,
        method="9 times the root of the tyre pressure in psi, in knots", source=source,
    )  # fmt: skip
    standing = f"{key}.water_depth" in writer
    state = f"{{{key}.water_depth}} of water or slush" if standing else f"wet by the weather ({{{key}.surface}})"
    consequence = "the wheels ride on it" if standing else "the wheels may ride on standing patches"
    text = f"{use.name}: {state}; above {{{hydroplaning}}} over the ground {consequence} and brakes and steering do little."
    if standing:
        text += " Spray on the airframe is not in the figures."
    against = f"{key}.water_depth" if standing else f"{key}.surface"
    return Finding(
        f"field-water-{key.split('.')[1]}-{use.place.ident.lower()}", "caution", "Water on the runway", text,
        hydroplaning, against, against, source, "touch down firmly and brake below that speed", PAGE,
    )  # fmt: skip
