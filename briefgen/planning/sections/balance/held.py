"""A measured figure, its limit and what is left between them: what most findings quote."""

from __future__ import annotations

from collections.abc import Callable

from briefgen.frozen import dataclass
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Record, Sum, figure, given
from briefgen.model.record import total as summed

ROUND_OFF_RATIO = 1e-9


@dataclass(frozen=True)
class Measure:
    """One thing that is measured and held; both functions read the figures that their value rests on."""

    label: str
    unit: str
    measured: Callable[[], float]
    limit: Callable[[], float]
    how: str
    spec: str = ""  # where the limit is written, for one that is a value of the aircraft file by itself
    decimals: int = 0


class Held(Record):
    """A measured figure that is at most its limit, or is not."""

    def __init__(self, at: str, measure: Measure) -> None:
        self.at, self._measure = at, measure
        self.label, self.unit, self.decimals = measure.label, measure.unit, measure.decimals
        self.how, self.spec = measure.how, measure.spec
        self.limit_how = "given" if measure.spec else "aircraft file"

    @figure("%(label)s", "%(unit)s", decimals="decimals", how="%(how)s")
    def measured(self) -> float:
        return self._measure.measured()

    @given("%(label)s: limit", "%(unit)s", decimals="decimals", how="%(limit_how)s", spec="%(spec)s")
    def limit(self) -> float:
        return self._measure.limit()

    @summed("%(label)s: to spare", "%(unit)s", decimals="decimals", how="limit less measured")
    def margin(self) -> Sum:
        return Sum([Held.limit.of(self)], [Held.measured.of(self)])

    @property
    def keeps(self) -> bool:
        """Whether the limit is kept."""
        return self._measure.measured() <= self._measure.limit() * (1 + ROUND_OFF_RATIO)

    def finding(self, title: str, text: str, source: str, cure: str, page: FindingPage) -> Finding:
        """Return the finding on it; the text may quote {measured} and {limit}."""
        measured, limit, margin = Held.measured.of(self), Held.limit.of(self), Held.margin.of(self)
        told = text.format(measured=measured, limit=limit)
        outcome = "pass" if self.keeps else "fail"
        keys = (measured.key, limit.key, margin.key)
        return Finding(self.at, outcome, title, told, *keys, source, "" if self.keeps else cure, page)
