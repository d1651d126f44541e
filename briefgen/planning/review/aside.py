"""The rules of the set that do not hold for this mission, each with its reason and who says so: never out of sight."""

from __future__ import annotations

from briefgen.model.ledger import Row
from briefgen.model.record import Record, figure
from briefgen.model.rules import SetAside
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import RULES, rest_on_groups

AS_WRITTEN = "as the rule set says"


class AsideFigures(Record):
    """One rule set aside."""

    def __init__(self, aside: SetAside) -> None:
        self.at, self._aside, self.origin = f"set_aside.{aside.rule.ident}", aside, aside.given
        self.published = aside.rule.source

    @figure("Rule set aside", how=AS_WRITTEN, source="%(published)s")
    def rule(self) -> str:
        rest_on_groups(RULES)
        return self._aside.rule.title

    @figure("What it asks for", how=AS_WRITTEN, source="%(published)s")
    def text(self) -> str:
        rest_on_groups(RULES)
        return self._aside.rule.text

    @figure("Why it is set aside", how=AS_WRITTEN, source="%(origin)s")
    def reason(self) -> str:
        rest_on_groups(RULES)
        return self._aside.reason

    @figure("Set aside by", how=AS_WRITTEN, source="%(origin)s")
    def by(self) -> str:
        rest_on_groups(RULES)
        return self._aside.by

    @figure("Source of the rule", how=AS_WRITTEN)
    def source(self) -> str:
        rest_on_groups(RULES)
        return self._aside.rule.source

    def row(self) -> Row:
        """Return its row of the table of rules set aside."""
        return SET_ASIDE.row(self._aside.rule.ident, self)


SET_ASIDE = TableOf(
    "review.set_aside",
    "Rules set aside",
    (
        column(AsideFigures.rule, "Requirement"),
        column(AsideFigures.reason, "Why it does not hold"),
        column(AsideFigures.by, "Set aside by"),
        column(AsideFigures.source, "Source"),
    ),
)


def write_aside(asides: tuple[SetAside, ...], writer: LedgerWriter) -> None:
    """Enter the rules set aside and their table; nothing where every rule holds."""
    records = [AsideFigures(one) for one in asides]
    for record in records:
        writer.adopt(record)
    if records:
        writer.tabulate(SET_ASIDE.filled([record.row() for record in records]))
