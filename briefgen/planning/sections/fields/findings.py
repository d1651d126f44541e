"""What the runways say about the plan: too heavy for the field, wind over the limit, water on the runway."""

from __future__ import annotations

import math

from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Record, Ref, figure
from briefgen.planning.ledger import subjects
from briefgen.planning.ledger.writer import AIRSPEED
from briefgen.planning.sections.basis.groups import FIELD, PLACES, rest_on_groups
from briefgen.planning.sections.fields.landing import (
    FieldNotKnown,
    LandingFigures,
    LandingNotWorkedOut,
    LandingShare,
)
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.fields.runway_use import WIND_SOURCE
from briefgen.planning.sections.fields.take_off import (
    GreatestWeight,
    NoWeightInHand,
    TakeOffFigures,
    WeightInHand,
    binding_margin,
)
from briefgen.planning.sections.fields.take_off_limits import OBSTACLE_SOURCE, TakeOffLimits
from briefgen.planning.sections.fields.wind_limits import CrosswindLimit, TailWindLimit
from briefgen.planning.sections.weather.air import AirFigures

PAGE: FindingPage = "fields"
NEAR_RATIO = 0.05  # within 5 % of the greatest weight is near the edge: there 5 % of weight is a third of the run
WATER_SOURCE = "Horne and Dreher, NASA TN D-2056 (1963)"


class Hydroplaning(Record):
    """The speed at which the wheels ride on the water of a runway."""

    def __init__(self, runway: RunwayFigures, speed_m_per_s: float) -> None:
        self.at, self.runway, self._speed_m_per_s = runway.at, runway, speed_m_per_s

    @figure(
        "Ground speed at which a rolling tyre rides on the water", AIRSPEED, source=WATER_SOURCE,
        how="9 times the root of the tyre pressure in psi, in knots",
    )  # fmt: skip
    def hydroplaning(self) -> float:
        rest_on_groups(FIELD, PLACES)
        return self._speed_m_per_s


def take_off_finding(take_off: TakeOffFigures) -> Finding:
    """Return whether the runway allows the weight, with what would make it do so."""
    limits = take_off.limits
    greatest = GreatestWeight.greatest_mass.of(take_off.greatest)
    air = AirFigures.temperature.of(take_off.runway.air)
    at = f"{limits.use.name} at {limits.use.mass}, {air}"
    if isinstance(take_off.in_hand, NoWeightInHand):
        text = f"{at}: no weight fits. What sets it: {GreatestWeight.governs.of(take_off.greatest)}."
        cure = "use another runway, or wait for cooler air, more head wind or a drier surface"
        margin = NoWeightInHand.mass_margin.of(take_off.in_hand)
        return _of_weight("fail", text, limits, greatest, margin, cure, "No weight fits.")
    margin = WeightInHand.mass_margin.of(take_off.in_hand)
    if margin.value < 0.0:
        return _too_heavy(take_off, take_off.in_hand, at)
    near = margin.value < NEAR_RATIO * limits.use.mass_kg
    binds = binding_margin(take_off)
    inside = "" if binds.key == margin.key else f", with {binds} in hand to it"
    governs = GreatestWeight.governs.of(take_off.greatest)
    text = f"{at}: {margin} in hand to {greatest}; what sets it: {governs}{inside}."
    cure = f"let nothing over {margin} come aboard; less wind or more warmth takes it away" if near else ""
    return _of_weight("caution" if near else "pass", text, limits, greatest, margin, cure)


def _too_heavy(take_off: TakeOffFigures, in_hand: WeightInHand, at: str) -> Finding:
    limits, one = take_off.limits, WeightInHand
    left = one.left_behind.of(in_hand)
    greatest = GreatestWeight.greatest_mass.of(take_off.greatest)
    does_not = " She does not leave the ground at this weight." if math.isinf(limits.answer.ground_run_m) else ""
    adds = (
        f"Not today, unless {left} stays behind.{does_not} "
        f"The greatest weight is {greatest}; what sets it: {GreatestWeight.governs.of(take_off.greatest)}."
    )
    cure = f"leave {left} behind"
    cooler, windier = one.cool_enough.of(in_hand), one.headwind_enough.of(in_hand)
    if cooler.there:
        cure += f", or go when it is {cooler} or colder"
    if windier.there:
        cure += f", or with {windier} of head wind"
    text = f"{at}: {adds[:1].lower()}{adds[1:]}"
    return _of_weight("fail", text, limits, greatest, one.mass_margin.of(in_hand), cure, adds)


def _of_weight(
    outcome: str, text: str, limits: TakeOffLimits, greatest: Ref, margin: Ref, cure: str, adds: str = ""
) -> Finding:
    return Finding(
        "field-take-off", outcome, "Take-off weight for the field", text, limits.use.mass.key, greatest.key, margin.key,
        f"{limits.fields.source}; {OBSTACLE_SOURCE}; {WIND_SOURCE}", cure, PAGE, limits.governing_subject, adds,
    )  # fmt: skip


def not_worked_out(field: FieldNotKnown) -> Finding:
    """Return the finding of a field about which the weather says too little."""
    one = FieldNotKnown
    return Finding(
        f"field-landing-{field.place.ident.lower()}", "fail", "Landing distance", f"{field.place.name}: {field.problem}.",
        one.mass.of(field).key, one.available.of(field).key, one.distance.of(field).key, "weather file",
        "give the weather at the field at that time", PAGE,
    )  # fmt: skip


def landing_finding(landing: LandingFigures) -> Finding | None:
    """Return a finding when the landing does not fit; the rule set holds it against its own share besides."""
    use, share = landing.runway.use, landing.share
    if isinstance(landing.distance, LandingNotWorkedOut):
        found = LandingNotWorkedOut.distance.of(landing.distance)
        text = f"The landing at {use.name} is {found}: {landing.distance.problem}."
        return Finding(
            f"field-landing-{use.place.ident.lower()}", "fail", "Landing distance", text, use.mass.key,
            RunwayFigures.available.of(landing.runway).key, found.key, "aircraft file",
            "add a landing chart to the aircraft file", PAGE, subjects.landing(use.place.ident),
        )  # fmt: skip
    assert share is not None  # a distance that is worked out is held against the runway
    in_hand = LandingShare.mass_margin.of(share)
    if in_hand.there and in_hand.value >= 0.0:
        return None
    return _over_her_greatest(landing, share) if share.margin >= 0.0 else _runway_too_short(landing, share)


def _over_her_greatest(landing: LandingFigures, share: LandingShare) -> Finding:
    """Return the finding of a landing for which the runway would do and the limit of the aircraft does not."""
    use, greatest = landing.runway.use, LandingShare.greatest_mass.of(share)
    text = f"{use.name}: she would land at {use.mass}, over her greatest of {greatest}; the runway would do."
    cure = _lighter(share)
    if landing.kind == "return":
        cure = f"before coming back at once burn or drop down to {greatest}"
    return _of_landing(landing, share, text, "aircraft file, weight limits", cure)


def _runway_too_short(landing: LandingFigures, share: LandingShare) -> Finding:
    use, greatest = landing.runway.use, LandingShare.greatest_mass.of(share)
    adds = "No weight fits." if isinstance(greatest.value, str) else f"The greatest weight is {greatest}."
    text = (
        f"Landing at {use.name} at {use.mass} she needs {LandingShare.factored.of(share)} of runway (÷ {LandingShare.part.of(share)}); "
        f"{RunwayFigures.available.of(landing.runway)} is there. {adds}"
    )
    subject = subjects.landing(use.place.ident)
    return _of_landing(landing, share, text, share.source, _lighter(share), subject, adds)


def _lighter(share: LandingShare) -> str:
    greatest = LandingShare.greatest_mass.of(share)
    if isinstance(greatest.value, str):
        return "land on a longer runway"
    return f"land at no more than {greatest}, or on a longer runway"


def _of_landing(
    landing: LandingFigures, share: LandingShare, text: str, source: str, cure: str, subject: str = "", adds: str = ""
) -> Finding:
    use, in_hand = landing.runway.use, LandingShare.mass_margin.of(share)
    margin = in_hand if in_hand.there else LandingShare.margin.of(share)
    return Finding(
        f"field-landing-{use.place.ident.lower()}", "caution" if landing.kind == "return" else "fail",
        "Landing weight for the field", text, use.mass.key, LandingShare.greatest_mass.of(share).key, margin.key, source,
        cure, PAGE, subject, adds,
    )  # fmt: skip


def wind_finding(wind: CrosswindLimit | TailWindLimit) -> Finding | None:
    """Return a finding when the wind on a runway is over the limit of the aircraft file."""
    use = wind.runway.use
    measured, limit, margin = wind.refs()
    if margin.value >= 0.0:
        return None
    words = wind.title.removesuffix(" limit").lower()
    return Finding(
        f"field-{wind.word}-{use.key.split('.')[1]}-{use.place.ident.lower()}", "fail", wind.title,
        f"{use.name}: {words} {measured}; at most {limit} allowed.", measured.key, limit.key, margin.key,
        "aircraft file, wind limits", f"use another runway, or wait until the wind is down to {limit}", PAGE,
        subjects.wind(wind.word, use.place.ident),
    )  # fmt: skip


def water_finding(water: Hydroplaning) -> Finding:
    """Return the caution of a runway on which the wheels may ride on water."""
    use, runway = water.runway.use, water.runway
    riding, surface = Hydroplaning.hydroplaning.of(water), RunwayFigures.surface.of(runway)
    depth = RunwayFigures.water_depth.of(runway)
    state = f"{depth} of water or slush" if depth.there else f"wet by the weather ({surface})"
    consequence = "the wheels ride on it" if depth.there else "the wheels may ride on standing patches"
    text = f"{use.name}: {state}; above {riding} over the ground {consequence} and brakes and steering do little."
    if depth.there:
        text += " Spray on the airframe is not in the figures."
    against = depth if depth.there else surface
    return Finding(
        f"field-water-{use.key.split('.')[1]}-{use.place.ident.lower()}", "caution", "Water on the runway", text,
        riding.key, against.key, against.key, WATER_SOURCE, "touch down firmly and brake below that speed", PAGE,
        subjects.water(use.name, standing=depth.there),
    )  # fmt: skip
