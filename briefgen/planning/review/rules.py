"""The review: every rule of the mission's set held against the finished plan, each to one finding."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import datetime

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import dataclass
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, Phase
from briefgen.model.rule_kinds import RULE_KINDS
from briefgen.model.rules import Rule
from briefgen.planning.ledger.review_keys import finding
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.checks import crew as checks_crew
from briefgen.planning.review.checks import engines as checks_engines
from briefgen.planning.review.checks import field as checks_field
from briefgen.planning.review.checks import fuel as checks_fuel
from briefgen.planning.review.checks import load as checks_load
from briefgen.planning.review.checks import route as checks_route
from briefgen.planning.review.checks.facts import NO_LIMIT, Answer, Facts, Measure, MissingFactError, NotApplicable
from briefgen.planning.review.once import Judged, each_once, told_by
from briefgen.planning.review.text import finding_cure, finding_text, named
from briefgen.planning.sections.way_home.engine_out import write_engine_out_way

NOT_KNOWN = "not known"
WAY_OUT_CHECK = "additional fuel"  # the one check that wants the way out flown, which takes its time
OUTCOMES = ("fail", "caution", "pass")  # in the order a commander reads them


@dataclass(frozen=True)
class Check:
    """How a rule is evaluated, and the page its finding concerns."""

    evaluate: Callable[[Facts, Rule], Answer]
    page: str


_MODULES = (checks_fuel, checks_load, checks_field, checks_route, checks_engines, checks_crew)


def _evaluation(name: str) -> Callable[[Facts, Rule], Answer]:
    """Return the function that evaluates a kind of check: it bears the kind's name, with underscores."""
    wanted = name.replace(" ", "_").replace("-", "_")
    found: list[Callable[[Facts, Rule], Answer]] = [
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
    told: Sequence[Finding] = (),
) -> tuple[Finding, ...]:  # fmt: skip
    """Evaluate every rule of the mission's set, enter measure, limit and margin of each, and return all findings.

    ``told`` are the findings of the sections. One whose fact a rule judges at least as strictly is told by the rule's
    finding, with what the section adds and its cure; the others are returned as they are, before those of the rules.

    The ledger must hold every other entry, but for the way out with an engine stopped, which only a rule asks for. A
    rule that needs what the plan does not know fails and says what; a rule that does not concern the mission makes no
    finding and stands in a table of its own.
    """
    facts = Facts(mission, phases, writer, performance)
    if performance is not None and any(rule.check == WAY_OUT_CHECK for rule in mission.rules.rules):
        write_engine_out_way(mission, phases, performance, writer)
    findings, idle, left = [], [], list(each_once(told))
    for rule in mission.rules.rules:
        answer = _answer(facts, rule)
        if isinstance(answer, NotApplicable):
            idle.append(_write_idle(writer, rule, answer))
        elif isinstance(answer, MissingFactError):
            findings.append(_write_missing(writer, rule, answer))
        else:
            same = told_by(_judged(rule, answer), left)
            left = [one for one in left if one not in same]
            findings.append(_write_finding(writer, rule, answer, same))
    findings.sort(key=lambda found: OUTCOMES.index(found.outcome))
    _write_tables(writer, findings, idle)
    return (*left, *findings)


def _judged(rule: Rule, measure: Measure) -> list[Judged]:
    """Return the facts of a measure with their outcomes: those its finding names, and those that keep the rule."""
    told = [*named(measure), *(other for other in measure.others if other.kept)]
    return [Judged(one.judges, outcome(rule, one)) for one in told if one.judges]


def _answer(facts: Facts, rule: Rule) -> Answer | MissingFactError:
    check = CHECKS.get(rule.check)
    if check is None:
        raise PlanError(f"rule {rule.ident} asks for the check '{rule.check}'", expected=f"one of {', '.join(CHECKS)}")
    try:
        return check.evaluate(facts, rule)
    except MissingFactError as missing:
        return missing
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


def _write_words(writer: LedgerWriter, rule: Rule, **words: str) -> None:
    for name, value in words.items():
        writer.put(
            finding(rule.ident, name),
            f"{rule.title}: {name.replace('_', ' ')}",
            value,
            method="rule",
            source=rule.source,
        )


def _write_finding(writer: LedgerWriter, rule: Rule, measure: Measure, told: Sequence[Finding]) -> Finding:
    result = outcome(rule, measure)
    _write_words(writer, rule, ident=rule.ident, title=rule.title, outcome=result)
    keys = [finding(rule.ident, name) for name in ("measured", "limit", "margin")]
    measured_key, limit_key, margin_key = keys
    unlimited = isinstance(measure.value, float) and math.isinf(measure.value)
    value = NO_LIMIT if unlimited else measure.value
    value_unit = "" if isinstance(value, str) else measure.unit
    source = f"{rule.source} ({rule.provenance})"
    writer.put(
        measured_key,
        f"{rule.title}: measured",
        value,
        value_unit,
        decimals=measure.decimals,
        method=measure.method,
        inputs=measure.inputs,
    )
    writer.put(
        limit_key,
        f"{rule.title}: {measure.sense}",
        measure.limit,
        measure.unit,
        decimals=measure.decimals,
        method=rule.text,
        inputs=measure.inputs,
        source=source,
    )
    if math.isinf(measure.margin):
        words = NO_LIMIT if unlimited else "kept" if measure.kept else "not kept"
        writer.put(margin_key, f"{rule.title}: margin", words, method="comparison", inputs=(measured_key, limit_key))
    else:
        unit = "h:min" if isinstance(measure.value, datetime) else measure.unit
        writer.put(
            margin_key,
            f"{rule.title}: margin",
            measure.margin,
            unit,
            decimals=measure.decimals,
            method="what is left to the limit",
            inputs=(measured_key, limit_key),
        )
        ends = (measured_key, limit_key) if measure.sense == "at least" else (limit_key, measured_key)
        writer.foot(margin_key, (ends[0],), (ends[1],))
    adds = " ".join(one.adds for one in told if one.adds and one.outcome != "pass")
    cured = next((one for one in told if one.cure and one.subject == measure.judges), None)
    return Finding(
        rule.ident,
        result,
        rule.title,
        finding_text(writer, rule, measure, adds),
        measured_key,
        limit_key,
        margin_key,
        source,
        finding_cure(writer, rule, measure, result, cured),
        CHECKS[rule.check].page,
    )


def _write_missing(writer: LedgerWriter, rule: Rule, missing: MissingFactError) -> Finding:
    what = ", ".join(missing.what)
    _write_words(
        writer,
        rule,
        ident=rule.ident,
        title=rule.title,
        outcome="fail",
        measured=NOT_KNOWN,
        limit=NOT_KNOWN,
        margin=NOT_KNOWN,
    )
    return Finding(
        rule.ident,
        "fail",
        rule.title,
        f"Not known: {what}. The rule: {rule.text}",
        finding(rule.ident, "measured"),
        finding(rule.ident, "limit"),
        finding(rule.ident, "margin"),
        f"{rule.source} ({rule.provenance})",
        missing.cure,
        CHECKS[rule.check].page,
    )


def _write_idle(writer: LedgerWriter, rule: Rule, answer: NotApplicable) -> Row:
    _write_words(writer, rule, ident=rule.ident, title=rule.title, why=answer.why, source=rule.source)
    return Row(rule.ident, {name: finding(rule.ident, name) for name in ("ident", "title", "why", "source")})


def _write_tables(writer: LedgerWriter, findings: list[Finding], idle: list[Row]) -> None:
    names = ("outcome", "title", "measured", "limit", "margin", "ident")
    heads = ("Outcome", "Requirement", "Measured", "Limit", "Margin", "Rule")
    columns = tuple(Column(name, head) for name, head in zip(names, heads, strict=True))
    rows = [
        Row(found.ident, {name: finding(found.ident, name) for name in names}, mark=found.outcome) for found in findings
    ]
    writer.table("review", "Findings", columns, rows)
    columns = (
        Column("title", "Requirement"),
        Column("why", "Why"),
        Column("source", "Source"),
        Column("ident", "Rule"),
    )
    writer.table("review_not_applicable", "Rules that do not concern this mission", columns, idle)
