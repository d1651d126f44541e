"""The thinnest margins of all that is met: how much of each limit is still in hand, one row a cause."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from briefgen.model.ledger import Row
from briefgen.model.plan import Finding
from briefgen.model.record import Record, figure, note
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter

MOST = 5
BY_DEFINITION = 1e-9  # of the limit: met exactly, because the plan is made to it


class ThinMargin(Record):
    """One margin as a part of its limit."""

    def __init__(self, found: Finding, share: float) -> None:
        self.at, self.title, self._found, self._share = f"thin_margin.{found.ident}", found.title, found, share

    @figure("%(title)s: in hand, of the limit", "%", decimals=1, how="what is in hand over the limit", rounding="down")
    def share(self) -> float:
        note(self._found.margin_key)
        note(self._found.limit_key)
        return self._share


MEASURED, LIMIT, MARGIN = ColumnOf("measured", "Planned"), ColumnOf("limit", "Limit"), ColumnOf("margin", "In hand")
MARGINS = TableOf(
    "review.margins",
    "The thinnest margins",
    (MEASURED, LIMIT, MARGIN, column(ThinMargin.share, "Of the limit")),
    note="Of what is met, by how much of the limit is in hand; one row a cause. What is met exactly because the plan is made to it is left out.",
)


def write_margins(findings: Sequence[Finding], judged: Mapping[str, str], writer: LedgerWriter) -> None:
    """Enter the thinnest margins of what is met, with or without caution; ``judged`` names the fact that a rule judges."""
    found = [(share, one) for one in findings if (share := share_in_hand(one, writer)) is not None]
    found.sort(key=lambda pair: pair[0])
    causes: set[str] = set()
    rows: list[Row] = []
    for share, one in found:
        cause = one.subject or judged.get(one.ident, "") or one.title
        if cause in causes or one.title in causes or len(rows) == MOST:
            continue
        causes |= {cause, one.title}
        record = ThinMargin(one, share)
        writer.adopt(record)
        cells = {MEASURED.name: one.measured_key, LIMIT.name: one.limit_key, MARGIN.name: one.margin_key}
        own = MARGINS.row(one.title, record)
        rows.append(Row(one.title, {**cells, **own.cells}))
    if rows:
        writer.tabulate(MARGINS.filled(rows))


def share_in_hand(found: Finding, writer: LedgerWriter) -> float | None:
    """Return what is in hand of a requirement over its limit; None where it is not met, or has no such figures."""
    if found.outcome == "fail" or not found.margin_key or not found.limit_key:
        return None
    margin, limit = writer[found.margin_key].value, writer[found.limit_key].value
    if not isinstance(margin, float) or not isinstance(limit, float) or limit == 0.0 or margin < 0.0:
        return None
    share = margin / abs(limit)
    return share if share > BY_DEFINITION else None
