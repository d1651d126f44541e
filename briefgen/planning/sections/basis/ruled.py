"""A rule as figures: its parameters, so that a limit rests on what somebody wrote."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.record import Record, figure, given
from briefgen.model.rule_kinds import PARAMETERS
from briefgen.model.rules import Rule
from briefgen.planning.ledger.writer import LedgerWriter

AS_WRITTEN = "given"


class RuleParameter(Record):
    """One parameter of a rule of the mission's own set, by the line it is written on."""

    def __init__(self, rule: Rule, parameter: str) -> None:
        self.at, self.name = f"rule.{rule.ident}", parameter.replace(" ", "_").replace("-", "_")
        self.label, self.spec = f"{rule.title}: {parameter}", _path(rule, parameter)
        self.unit, self.decimals = PARAMETERS[parameter].shown_in
        self.origin, self._value = rule.given, rule.parameters[parameter]

    @given("%(label)s", "%(unit)s", spec="%(spec)s", decimals="decimals", name="%(name)s")
    def value(self) -> float | str:
        return self._value


class InheritedParameter(RuleParameter):
    """One parameter of a rule that stands in a set the mission's own set extends."""

    @figure("%(label)s", "%(unit)s", how=AS_WRITTEN, source="%(origin)s", decimals="decimals", name="%(name)s")
    def value(self) -> float | str:
        return self._value


class RuleFigures(Record):
    """A rule with its parameters."""

    def __init__(self, rule: Rule, writer: LedgerWriter) -> None:
        self.at, self.rule, self._parameters = f"rule.{rule.ident}", rule, dict[str, RuleParameter]()
        for name in rule.parameters:
            kind = RuleParameter if writer.origin(_path(rule, name)) else InheritedParameter
            self._parameters[name] = kind(rule, name)

    @property
    def ident(self) -> str:
        """The rule's identifier."""
        return self.rule.ident

    def parts(self) -> Sequence[Record]:
        return tuple(self._parameters.values())

    def parameter(self, name: str) -> RuleParameter | None:
        """Return a parameter, None where the rule does not give it."""
        return self._parameters.get(name)

    def has(self, parameter: str) -> bool:
        """Return whether the rule gives a parameter."""
        return parameter in self._parameters

    def amount(self, name: str) -> float:
        """Return a numeric parameter, noted as read; the schema has seen to it that it is there."""
        value = self._parameters[name].value
        if isinstance(value, str):
            raise TypeError(f"parameter {name} of rule {self.ident} is not a number")
        return float(value)

    def word(self, name: str) -> str:
        """Return a parameter that is a word, noted as read."""
        return str(self._parameters[name].value)


def rule_figures(rule: Rule, writer: LedgerWriter) -> RuleFigures:
    """Return a rule as figures, entered by whoever asks first."""
    for entered in writer.records(RuleFigures, f"rule.{rule.ident}"):
        return entered
    figures = RuleFigures(rule, writer)
    writer.adopt(figures)
    return figures


def _path(rule: Rule, parameter: str) -> str:
    return f"rules:rules.{rule.ident}.parameters.{parameter}"
