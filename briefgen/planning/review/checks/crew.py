"""Checks of people, time and risk: duty, time aloft, positions filled, the time over target, what risk is left."""

from __future__ import annotations

from datetime import timedelta

from briefgen.model.record import rests_on
from briefgen.planning.ledger import subjects
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
)
from briefgen.planning.sections.basis.clock import Durations, Milestones
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups
from briefgen.planning.sections.basis.ruled import RuleFigures
from briefgen.planning.sections.risks import LEVELS, RiskFigures
from briefgen.planning.sections.timing.asked import TimeAsked
from briefgen.planning.sections.weather.section import IssueFigures


def duty_length(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the length of the crew's duty against the rule's limit."""
    length_s, limit_s = facts.number(Durations.duty), amount(rule, "time limit")
    return Measure(
        length_s,
        limit_s,
        "h:min",
        0,
        "at most",
        phrase="it is {measured} from reporting to the end of the shutdown",
        method="from reporting to the end of the shutdown",
        cure=Cure("shorten the duty by {cure}, or carry a relief crew", (Amount("cure", length_s - limit_s, "h:min"),)),
    )


def time_aloft(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the time from take-off to landing against the rule's limit."""
    start, end = facts.instant(Milestones.take_off), facts.instant(Milestones.landing)
    length_s, limit_s = (end - start).total_seconds(), amount(rule, "time limit")
    return Measure(
        length_s,
        limit_s,
        "h:min",
        0,
        "at most",
        phrase="it is {measured} from take-off to landing",
        method="landing less take-off",
        cure=Cure(
            "shorten the flight by {cure}, or carry a relief crew", (Amount("cure", length_s - limit_s, "h:min"),)
        ),
    )


def crew_positions(facts: Facts, rule: RuleFigures) -> Answer:
    """See that every position of the aircraft file is filled."""
    rest_on_groups(BALANCE)
    wanted = tuple(position.name for position in facts.mission.aircraft.crew)
    if not wanted:
        raise MissingFactError("the crew positions of the aircraft file")
    filled = {member.position for member in facts.mission.crew}
    empty = [name for name in wanted if name not in filled]
    return Measure(
        float(len(wanted) - len(empty)),
        float(len(wanted)),
        "",
        0,
        "at least",
        subject=f"no {' and no '.join(empty)}" if empty else "",
        phrase="{measured} positions filled",
        method="positions of the aircraft file that the mission names somebody for",
        cure=Cure(f"name somebody for {', '.join(empty)}"),
    )


def weather_valid(facts: Facts, rule: RuleFigures) -> Answer:
    """See that the weather was forecast for the whole flight, and for the time a rule wants beyond the landing."""
    valid_from, valid_to = facts.instant(IssueFigures.valid_from), facts.instant(IssueFigures.valid_to)
    start, end = facts.instant(Milestones.take_off), facts.instant(Milestones.landing)
    late = Measure(
        end + timedelta(seconds=amount(rule, "beyond")),
        valid_to,
        "UTC",
        0,
        "at most",
        phrase="the weather is needed until {measured} and is valid until {limit}{left}",
        method="landing and the time beyond it against the weather's validity",
        cure=Cure(
            "get weather valid {cure} longer",
            (Amount("cure", (end - valid_to).total_seconds() + amount(rule, "beyond"), "h:min"),),
        ),
    )
    early = Measure(
        start,
        valid_from,
        "UTC",
        0,
        "at least",
        phrase="the weather is needed from {measured} and is valid from {limit}{left}",
        method="take-off against the weather's validity",
        cure=Cure("get weather that is valid at take-off"),
    )
    return min((late, early), key=lambda measure: measure.margin)


def time_over_target(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the time over the target against its window."""
    target = facts.mission.times.over_target
    if target is None:
        return NotApplicable("no time over a target is asked for")
    for one in facts.writer.records(TimeAsked):
        if one.point.place.ident == target.place.ident:
            rests_on(one.asked, one.window)
    planned = facts.instant(Milestones.over_target)
    off_s = (planned - target.instant).total_seconds()
    way = "earlier" if off_s > 0.0 else "later"
    return Measure(
        abs(off_s),
        target.window_s,
        "min",
        0,
        "at most",
        subject=shown(target.place),
        phrase="{measured} off the time asked for",
        judges=subjects.time_over(target.place.ident),
        method="difference from the time asked for against half the window",
        cure=Cure(f"take off {{cure}} {way}, or change speed", (Amount("cure", abs(off_s) - target.window_s, "min"),)),
    )


def residual_risk(facts: Facts, rule: RuleFigures) -> Answer:
    """Hold the highest risk left after mitigation against the highest the rule lets a commander accept."""
    left = [(one.what, one.level_left) for one in facts.writer.records(RiskFigures)]
    if not left:
        raise MissingFactError("an assessment of the risks")
    highest = word(rule, "highest")
    level, what = max(((level, what) for what, level in left), key=lambda pair: LEVELS.index(pair[0]))
    return Measure(
        level,
        f"no more than {highest}",
        "",
        0,
        "at most",
        subject=what,
        phrase="the risk left is {measured}; accepted: {limit}",
        holds=LEVELS.index(level) <= LEVELS.index(highest),
        method="highest level of the risk matrix after mitigation",
        cure=Cure(f"mitigate until no risk is above {highest}, or have it accepted at the level that may"),
    )
