"""The wind on a runway against the limits of the aircraft file."""

from __future__ import annotations

from briefgen.model.record import Absent, Record, Ref, figure
from briefgen.planning.sections.fields.runway_figures import RunwayFigures

OF_THE_FILE = "aircraft file, wind limits"
LESS_WIND = "limit less wind"
WITHIN = "the wind is within the limit"


class CrosswindLimit(Record):
    """The crosswind against its limit."""

    word, title = "crosswind", "Crosswind limit"

    def __init__(self, runway: RunwayFigures, limit_m_per_s: float) -> None:
        self.at, self.runway, self._limit_m_per_s = runway.at, runway, limit_m_per_s

    @figure("Crosswind limit", "kt", how=OF_THE_FILE)
    def crosswind_limit(self) -> float:
        return self._limit_m_per_s

    @figure("Crosswind limit: in hand", "kt", how=LESS_WIND)
    def crosswind_margin(self) -> float:
        margin = self.crosswind_limit - self.runway.crosswind
        if margin >= 0.0:
            raise Absent(WITHIN)
        return margin

    def refs(self) -> tuple[Ref, Ref, Ref, Ref]:
        """Return what is measured, as found, the limit and the margin."""
        blowing = RunwayFigures.crosswind.of(self.runway)
        return blowing, blowing, CrosswindLimit.crosswind_limit.of(self), CrosswindLimit.crosswind_margin.of(self)


class TailWindLimit(Record):
    """The tail wind against its limit."""

    word, title = "tailwind", "Tail wind limit"

    def __init__(self, runway: RunwayFigures, limit_m_per_s: float) -> None:
        self.at, self.runway, self._limit_m_per_s = runway.at, runway, limit_m_per_s

    @figure("Tail wind limit", "kt", how=OF_THE_FILE)
    def tailwind_limit(self) -> float:
        return self._limit_m_per_s

    @figure("Tail wind limit: in hand", "kt", how=LESS_WIND)
    def tailwind_margin(self) -> float:
        margin = self.tailwind_limit + self.runway.headwind
        if margin >= 0.0:
            raise Absent(WITHIN)
        return margin

    @figure("Tail wind found", "kt", how="without its sign")
    def tailwind_over_limit(self) -> float:
        if self.tailwind_limit + self.runway.headwind >= 0.0:
            raise Absent(WITHIN)
        return -self.runway.headwind

    def refs(self) -> tuple[Ref, Ref, Ref, Ref]:
        """Return what is measured, as found, the limit and the margin."""
        one, blowing = TailWindLimit, RunwayFigures.headwind.of(self.runway)
        return blowing, one.tailwind_over_limit.of(self), one.tailwind_limit.of(self), one.tailwind_margin.of(self)
