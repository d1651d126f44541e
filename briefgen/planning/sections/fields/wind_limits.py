"""The wind on a runway against the limits of the aircraft file."""

from __future__ import annotations

from briefgen.model.record import Record, Ref, figure
from briefgen.planning.sections.basis.groups import LIMITS, rest_on_groups
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.weather.field_winds import FieldWind

OF_THE_FILE = "aircraft file, wind limits"
LESS_WIND = "limit less wind"


class CrosswindLimit(Record):
    """The crosswind against its limit."""

    word, title = "crosswind", "Crosswind limit"

    def __init__(self, runway: RunwayFigures, limit_m_per_s: float) -> None:
        self.at, self.runway, self._limit_m_per_s = runway.at, runway, limit_m_per_s

    @figure("Crosswind limit", "kt", how=OF_THE_FILE)
    def crosswind_limit(self) -> float:
        rest_on_groups(LIMITS)
        return self._limit_m_per_s

    @figure("Crosswind limit: in hand", "kt", how=LESS_WIND)
    def crosswind_margin(self) -> float:
        return self.crosswind_limit - self.runway.wind.crosswind

    def refs(self) -> tuple[Ref, Ref, Ref]:
        """Return what is measured, the limit and the margin."""
        one = CrosswindLimit
        return FieldWind.crosswind.of(self.runway.wind), one.crosswind_limit.of(self), one.crosswind_margin.of(self)


class TailWindLimit(Record):
    """The tail wind against its limit."""

    word, title = "tailwind", "Tail wind limit"

    def __init__(self, runway: RunwayFigures, limit_m_per_s: float) -> None:
        self.at, self.runway, self._limit_m_per_s = runway.at, runway, limit_m_per_s

    @figure("Tail wind limit", "kt", how=OF_THE_FILE)
    def tailwind_limit(self) -> float:
        rest_on_groups(LIMITS)
        return self._limit_m_per_s

    @figure("Tail wind limit: in hand", "kt", how=LESS_WIND)
    def tailwind_margin(self) -> float:
        return self.tailwind_limit - self.runway.wind.tailwind

    def refs(self) -> tuple[Ref, Ref, Ref]:
        """Return what is measured, the limit and the margin."""
        one = TailWindLimit
        return FieldWind.tailwind.of(self.runway.wind), one.tailwind_limit.of(self), one.tailwind_margin.of(self)
