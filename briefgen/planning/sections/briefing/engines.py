"""What she does with engines stopped, each in one sentence for the card that is read when it has happened."""

from __future__ import annotations

from collections.abc import Mapping

from briefgen.model.ledger import Row
from briefgen.model.record import Record, figure, note
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.engines_out.ceilings import CEILINGS

ENGINES = {"one": "One engine out", "two": "Two engines out"}
UNKNOWN = "not known"


class HeldSentence(Record):
    """The leg on which least is left over the safe altitude with so many engines stopped, in words."""

    def __init__(self, stopped: str, row: Row, legs: int, writer: LedgerWriter) -> None:
        self.at, self.engines, self._stopped, self._cells = f"briefing.engines_out.{stopped}", ENGINES[stopped], stopped, row.cells  # fmt: skip
        self._legs, self._writer = legs, writer

    def _value(self, name: str) -> float | str:
        key = self._cells.get(name, "")
        if not key:
            return UNKNOWN
        note(key)
        value = self._writer[key].value
        return value if isinstance(value, str) else float(value)  # type: ignore[arg-type]

    def _quoted(self, name: str) -> str:
        return f"{{{self._cells[name]}}}"

    @figure("%(engines)s", how="the leg with least between service ceiling and safe altitude, else the lowest ceiling")
    def sentence(self) -> str:
        leg = f", leg to {self._value('leg')}" if self._legs > 1 else ""
        return f"{self.engines}{leg}: {self._outcome()}."

    def _outcome(self) -> str:
        service, absolute = f"service_{self._stopped}", f"ceiling_{self._stopped}"
        held = next((name for name in (service, absolute) if not self._missing(name)), "")
        safe = self._value("safe_height")
        least = "" if isinstance(safe, str) else f", minimum safe {self._quoted('safe_height')}"
        if not held:
            known = UNKNOWN not in (self._value(service), self._value(absolute))
            return f"she sinks{least}" if known else f"the aircraft file does not say what she holds{least}"
        height = self._value(held)
        without = "" if held == service else " with no climb left"
        cannot = not isinstance(height, str) and not isinstance(safe, str) and height < safe
        return f"she holds {self._quoted(held)}{without}{least}{': she cannot hold it' if cannot else ''}"

    def _missing(self, name: str) -> bool:
        return self._value(name) in ("none", UNKNOWN)


def write_engine_sentences(writer: LedgerWriter) -> None:
    """Enter one sentence for each number of engines stopped of which the plan says anything."""
    table = writer.tables.get(CEILINGS.name)
    if table is None:
        return
    for stopped in ENGINES:
        # a leg whose minimum safe altitude is not known cannot be compared: it is left to the table, never taken as sea level
        rows = [row for row in table.rows if f"service_{stopped}" in row.cells and "safe_height" in row.cells]
        if rows:
            worst = min(rows, key=lambda row: _in_hand(row.cells, stopped, writer))
            writer.adopt(HeldSentence(stopped, worst, len(rows), writer))


def _in_hand(cells: Mapping[str, str], stopped: str, writer: LedgerWriter) -> tuple[float, float]:
    """Return what is left over the safe altitude, first with climb in hand and then without; no height comes first."""

    def height(name: str) -> float | None:
        value = writer[cells[name]].value if name in cells else None
        if isinstance(value, str):
            return float("inf") if value.startswith("at least") else float("-inf")
        return value if isinstance(value, float) else None

    safe = height("safe_height")
    if safe is None:
        return float("-inf"), float("-inf")
    service, absolute = height(f"service_{stopped}"), height(f"ceiling_{stopped}")
    return (
        float("-inf") if service is None else service - safe,
        float("-inf") if absolute is None else absolute - safe,
    )
