"""The figures of a finding: what was measured, the limit, the margin, and the amounts its words quote."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime

from briefgen.model.ledger import Row, Value
from briefgen.model.record import Absent, Record, Ref, Sum, figure, note, spare
from briefgen.model.rules import Rule
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.review.checks.facts import NO_LIMIT, Measure
from briefgen.planning.sections.basis.groups import RULES, rest_on_groups

NOT_KNOWN = "not known"
BY_RULE = "rule"
OWNED = "it is a figure of its own in the plan, which the finding names"


def note_all(keys: Sequence[str]) -> None:
    """Note keys as read by the figure being worked out."""
    for key in keys:
        note(key)


class RuleWords(Record):
    """How a rule is named."""

    def __init__(self, rule: Rule) -> None:
        self.at, self.rule, self.title, self.source = f"finding.{rule.ident}", rule, rule.title, rule.source

    @figure("%(title)s: ident", how=BY_RULE, source="%(source)s", name="ident")
    def name(self) -> str:
        rest_on_groups(RULES)
        return self.rule.ident

    @figure("%(title)s: title", how=BY_RULE, source="%(source)s", name="title")
    def heading(self) -> str:
        rest_on_groups(RULES)
        return self.rule.title


class IdleRule(RuleWords):
    """A rule that does not concern the mission, and why."""

    def __init__(self, rule: Rule, why: str, reads: Sequence[str]) -> None:
        super().__init__(rule)
        self._why, self._reads = why, reads

    @figure("%(title)s: why", how=BY_RULE, source="%(source)s")
    def why(self) -> str:
        note_all(self._reads)
        return self._why

    @figure("%(title)s: source", how=BY_RULE, source="%(source)s", name="source")
    def published(self) -> str:
        rest_on_groups(RULES)
        return self.rule.source


class UnknownFinding(RuleWords):
    """A rule for which the plan does not know enough: it fails."""

    @figure("%(title)s: outcome", how=BY_RULE, source="%(source)s")
    def outcome(self) -> str:
        return "fail"

    @figure("%(title)s: measured", how=BY_RULE, source="%(source)s")
    def measured(self) -> str:
        return NOT_KNOWN

    @figure("%(title)s: limit", how=BY_RULE, source="%(source)s")
    def limit(self) -> str:
        return NOT_KNOWN

    @figure("%(title)s: margin", how=BY_RULE, source="%(source)s")
    def margin(self) -> str:
        return NOT_KNOWN

    def row(self) -> Row:
        """Return its row of the table of findings."""
        one = UnknownFinding
        return _row(self, one.measured.of(self), one.limit.of(self), one.margin.of(self), "fail")


class Quantity(Record):
    """An amount that the words of a finding or of its cure quote."""

    def __init__(
        self, rule: Rule, name: str, label: str, value: Value, printed: tuple[str, int], how: str, reads: Sequence[str],
        source: str = "",
    ) -> None:  # fmt: skip
        self.at, self.name, self.label, self.how = f"finding.{rule.ident}", name, f"{rule.title}: {label}", how
        (self.unit, self.decimals), self.source = printed, source
        self._value, self._reads = value, reads

    @figure("%(label)s", "%(unit)s", how="%(how)s", decimals="decimals", source="%(source)s", name="%(name)s")
    def value(self) -> Value:
        rest_on_groups(RULES)
        note_all(self._reads)
        return self._value


class FindingFigures(RuleWords):
    """One rule held against the plan: measured, limit, and what both rest on."""

    def __init__(self, rule: Rule, measure: Measure, result: str, reads: Sequence[str]) -> None:
        super().__init__(rule)
        self.measure, self.result, self.reads = measure, result, tuple(dict.fromkeys((*measure.reads, *reads)))
        self.sense, self.method, self.text = measure.sense, measure.method, rule.text
        self.origin = f"{rule.source} ({rule.provenance})"
        self.unlimited = isinstance(measure.value, float) and math.isinf(measure.value)
        self.unit, self.decimals = measure.unit, measure.decimals
        self.measured_unit = "" if self.unlimited or isinstance(measure.value, str) else measure.unit
        self.margin: Margin | MarginWords = (
            MarginWords(self) if math.isinf(measure.margin) else Margin(self, "margin", "margin")
        )
        self.amounts: list[Record] = []
        self._short: Short | None = None

    @figure("%(title)s: outcome", how=BY_RULE, source="%(source)s")
    def outcome(self) -> str:
        rest_on_groups(RULES)
        note_all([self.measured_ref.key, self.limit_ref.key])
        return self.result

    @figure("%(title)s: measured", "%(measured_unit)s", how="%(method)s", decimals="decimals")
    def measured(self) -> Value:
        if self.measure.measured_of is not None:
            raise Absent(OWNED)
        note_all(self.reads)
        return NO_LIMIT if self.unlimited else self.measure.value

    @figure("%(title)s: %(sense)s", "%(unit)s", how="%(text)s", decimals="decimals", source="%(origin)s")
    def limit(self) -> Value:
        if self.measure.limit_of is not None:
            raise Absent(OWNED)
        note_all(self.reads)
        return self.measure.limit

    @property
    def measured_ref(self) -> Ref:
        """What was measured: a figure of the plan, or the finding's own."""
        return self.measure.measured_of or FindingFigures.measured.of(self)

    @property
    def limit_ref(self) -> Ref:
        """The limit: a figure of the plan, or the finding's own."""
        return self.measure.limit_of or FindingFigures.limit.of(self)

    def quoted(
        self, name: str, label: str, value: Value, printed: tuple[str, int], how: str, reads: Sequence[str] = (),
        source: str = "",
    ) -> str:  # fmt: skip
        """Add an amount and return how a text quotes it; without ``reads`` it rests on what was measured and the limit."""
        ends = (self.measured_ref.key, self.limit_ref.key)
        amount = Quantity(self.rule, name, label, value, printed, how, reads or ends, source)
        self.amounts.append(amount)
        return str(Quantity.value.of(amount))

    def short(self, word: str) -> str:
        """Add how far the limit is broken, once, and return how a text quotes it."""
        if self._short is None:
            self._short = Short(self, "short", word)
            self.amounts.append(self._short)
        return str(Short.left.of(self._short))

    def parts(self) -> Sequence[Record]:
        return [*([] if self.measure.margin_of else [self.margin]), *self.amounts]

    @property
    def left(self) -> Ref:
        """The margin, as a figure or in words."""
        if self.measure.margin_of is not None:
            return self.measure.margin_of
        return MarginWords.left.of(self.margin) if isinstance(self.margin, MarginWords) else Margin.left.of(self.margin)

    def row(self) -> Row:
        """Return its row of the table of findings."""
        return _row(self, self.measured_ref, self.limit_ref, self.left, self.result)


class Margin(Record):
    """What is left to the limit."""

    how, broken = "what is left to the limit", False

    def __init__(self, found: FindingFigures, name: str, label: str) -> None:
        self.at, self.name, self.label = found.at, name, f"{found.title}: {label}"
        self.unit = "h:min" if isinstance(found.measure.value, datetime) else found.unit
        self.decimals, self._found = found.decimals, found
        self._up = (found.sense == "at least") is not self.broken

    @spare("%(label)s", "%(unit)s", how="%(how)s", decimals="decimals", name="%(name)s")
    def left(self) -> Sum:
        return self._difference()

    def _difference(self) -> Sum:
        measured, limit = self._found.measured_ref, self._found.limit_ref
        return Sum([measured], [limit]) if self._up else Sum([limit], [measured])


class Short(Margin):
    """By how much the limit is broken: never told too small."""

    how, broken = "how far the limit is broken", True

    @spare("%(label)s", "%(unit)s", how="%(how)s", decimals="decimals", name="%(name)s", rounding="up")
    def left(self) -> Sum:
        return self._difference()


class MarginWords(Record):
    """The margin where there is none in figures."""

    def __init__(self, found: FindingFigures) -> None:
        self.at, self._found, self.label = found.at, found, f"{found.title}: margin"

    @figure("%(label)s", how="comparison", name="margin")
    def left(self) -> str:
        note_all([self._found.measured_ref.key, self._found.limit_ref.key])
        if self._found.unlimited:
            return NO_LIMIT
        return "kept" if self._found.measure.kept else "not kept"


# --- tables -----------------------------------------------------------------------------------------------------------

MEASURED = ColumnOf("measured", "Planned")
LIMIT, MARGIN = ColumnOf("limit", "Limit"), ColumnOf("margin", "In hand")
REVIEW = TableOf(
    "review",
    "Findings",
    (
        column(RuleWords.heading, "Requirement"), MEASURED, LIMIT, MARGIN,
    ),
)  # fmt: skip
NOT_APPLICABLE = TableOf(
    "review_not_applicable",
    "Rules that do not concern this mission",
    (
        column(RuleWords.heading, "Requirement"),
        column(IdleRule.why, "Why"),
        column(IdleRule.published, "Source"),
        column(RuleWords.name, "Rule"),
    ),
)


def _row(words: RuleWords, measured: Ref, limit: Ref, margin: Ref, mark: str) -> Row:
    others = {MEASURED: measured, LIMIT: limit, MARGIN: margin}
    return REVIEW.row(words.rule.ident, words, mark, others)
