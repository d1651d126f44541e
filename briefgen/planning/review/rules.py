"""The review: every rule of the mission's set held against the finished plan, each to one finding."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import dataclass
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, FindingPage, Phase
from briefgen.model.record import Absent, reads_of
from briefgen.model.rule_kinds import RULE_KINDS
from briefgen.model.rules import Rule
from briefgen.planning.flight.fuel_policy import Diversion
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.aside import write_aside
from briefgen.planning.review.checks import crew as checks_crew
from briefgen.planning.review.checks import engines as checks_engines
from briefgen.planning.review.checks import field as checks_field
from briefgen.planning.review.checks import fuel as checks_fuel
from briefgen.planning.review.checks import load as checks_load
from briefgen.planning.review.checks import route as checks_route
from briefgen.planning.review.checks.facts import Answer, Facts, Measure, MissingFactError, NotApplicable
from briefgen.planning.review.finding_figures import NOT_APPLICABLE, REVIEW, FindingFigures, IdleRule, UnknownFinding
from briefgen.planning.review.margins import share_in_hand, write_margins
from briefgen.planning.review.once import Judged, each_once, told_by
from briefgen.planning.review.text import finding_cure, finding_text, named
from briefgen.planning.sections.basis.ruled import RuleFigures, rule_figures
from briefgen.planning.sections.way_home.engine_out import write_engine_out_way

WAY_OUT_CHECK = "additional fuel"  # the one check that wants the way out flown, which takes its time
OUTCOMES = ("fail", "caution", "pass")  # in the order a commander reads them


@dataclass(frozen=True)
class Check:
    """How a rule is evaluated, and the page its finding concerns."""

    evaluate: Callable[[Facts, RuleFigures], Answer]
    page: FindingPage


_MODULES = (checks_fuel, checks_load, checks_field, checks_route, checks_engines, checks_crew)


def _evaluation(name: str) -> Callable[[Facts, RuleFigures], Answer]:
    """Return the function that evaluates a kind of check: it bears the kind's name, with underscores."""
    wanted = name.replace(" ", "_").replace("-", "_")
    found: list[Callable[[Facts, RuleFigures], Answer]] = [
        function
        for module in _MODULES
        if (function := vars(module).get(wanted)) is not None and function.__module__ == module.__name__
    ]
    if len(found) != 1:
        raise LookupError(
            f"the kind '{name}' of model/rule_kinds.py wants one function {wanted} in the modules of checks"
        )
    return found[0]


CHECKS: dict[str, Check] = {kind.name: Check(_evaluation(kind.name), kind.page) for kind in RULE_KINDS}


def write_review(
    mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter, performance: Performance | None = None,
    told: Sequence[Finding] = (), diversions: tuple[Diversion, ...] = (),
) -> tuple[Finding, ...]:  # fmt: skip
    """Evaluate every rule of the mission's set, enter measure, limit and margin of each, and return all findings.

    ``diversions`` are the ways to the alternates, ``told`` the findings of the sections. One whose fact a rule judges at least as
    strictly is told by the rule's finding, with what the section adds and its cure. What is not met comes first, then cautions,
    then the rest, each thinnest first.

    The ledger must hold every other entry, but for the way out with an engine stopped, which only a rule asks for. A
    rule that needs what the plan does not know fails and says what; a rule that does not concern the mission makes no
    finding and stands in a table of its own.
    """
    facts = Facts(mission, phases, writer, performance, diversions)
    if performance is not None and any(rule.check == WAY_OUT_CHECK for rule in mission.rules.rules):
        write_engine_out_way(mission, phases, performance, writer)
    findings: list[tuple[Finding, Row]] = []
    idle, left = [], list(each_once(told))
    judged: dict[str, str] = {}
    for rule in mission.rules.rules:
        figures = rule_figures(rule, writer)
        answer, reads = reads_of(partial(_answer, facts, figures))
        if isinstance(answer, NotApplicable):
            idle.append(_write_idle(writer, IdleRule(rule, answer.why, reads)))
        elif isinstance(answer, MissingFactError):
            findings.append(_write_unknown(writer, UnknownFinding(rule), answer))
        else:
            judged[rule.ident] = answer.judges
            same = told_by(_judged(rule, answer), left)
            left = [one for one in left if one not in same]
            found = FindingFigures(rule, answer, outcome(rule, answer), reads)
            findings.append(_write_finding(writer, found, same))
    findings.sort(key=lambda pair: _order(pair[0], writer))
    writer.tabulate(REVIEW.filled([row for _, row in findings]))
    writer.tabulate(NOT_APPLICABLE.filled(idle))
    write_aside(mission.rules.set_aside, writer)
    every = sorted((*left, *(found for found, _ in findings)), key=lambda one: _order(one, writer))
    write_margins(every, judged, writer)
    return tuple(every)


def _order(found: Finding, writer: LedgerWriter) -> tuple[int, float]:
    """Return where a finding stands: what is not met first, then the thinnest margin."""
    share = share_in_hand(found, writer)
    return OUTCOMES.index(found.outcome), math.inf if share is None else share


def _judged(rule: Rule, measure: Measure) -> list[Judged]:
    """Return the facts of a measure with their outcomes: those its finding names, and those that keep the rule."""
    told = [*named(measure), *(other for other in measure.others if other.kept)]
    return [Judged(one.judges, outcome(rule, one)) for one in told if one.judges]


def _answer(facts: Facts, figures: RuleFigures) -> Answer | MissingFactError:
    rule = figures.rule
    check = CHECKS.get(rule.check)
    if check is None:
        raise PlanError(f"rule {rule.ident} asks for the check '{rule.check}'", expected=f"one of {', '.join(CHECKS)}")
    try:
        return check.evaluate(facts, figures)
    except MissingFactError as missing:
        return missing
    except Absent as absent:  # a figure the rule rests on has no value, and says why
        return MissingFactError(absent.reason)
    except BriefgenError as error:  # a chart or formula without an answer is a figure that is not known
        return MissingFactError(error.problem)


def outcome(rule: Rule, measure: Measure) -> str:
    """Return pass, caution or fail of a measure under a rule."""
    if not measure.kept:
        return "caution" if measure.eased else rule.severity
    near = rule.caution_within_ratio
    if near and isinstance(measure.limit, float | int) and measure.margin < near * abs(measure.limit):
        return "caution"
    return "pass"


def _write_finding(writer: LedgerWriter, found: FindingFigures, told: Sequence[Finding]) -> tuple[Finding, Row]:
    rule, measure = found.rule, found.measure
    adds = " ".join(one.adds for one in told if one.adds and one.outcome != "pass")
    cured = next((one for one in told if one.cure and one.subject == measure.judges), None)
    text, cure = finding_text(found, adds), finding_cure(found, cured)
    writer.adopt(found)
    return (
        Finding(
            rule.ident, found.result, rule.title, text, found.measured_ref.key,
            found.limit_ref.key, found.left.key, found.origin, cure, CHECKS[rule.check].page,
            accepted_by=rule.accepted_by,
        ),
        found.row(),
    )  # fmt: skip


def _write_unknown(writer: LedgerWriter, found: UnknownFinding, missing: MissingFactError) -> tuple[Finding, Row]:
    rule, one = found.rule, UnknownFinding
    writer.adopt(found)
    return (
        Finding(
            rule.ident, "fail", rule.title, f"Not known: {', '.join(missing.what)}. The rule: {rule.text}",
            one.measured.of(found).key, one.limit.of(found).key, one.margin.of(found).key,
            f"{rule.source} ({rule.provenance})", missing.cure, CHECKS[rule.check].page, accepted_by=rule.accepted_by,
        ),
        found.row(),
    )  # fmt: skip


def _write_idle(writer: LedgerWriter, rule: IdleRule) -> Row:
    writer.adopt(rule)
    return NOT_APPLICABLE.row(rule.rule.ident, rule)
