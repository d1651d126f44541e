"""What a plan rests on that nobody has proved: the aircraft file's own word, rules from memory, weather used outside its points."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import Mission
from briefgen.model.record import Record, figure, note
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.edges import write_edges
from briefgen.planning.sections.basis.groups import AIRFRAME, POWERPLANT, RULES
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.weather.ages import WeatherArea

FROM_MEMORY = "from memory"  # a rule's provenance, as rule sets write it


class Rests(Record):
    """One thing a plan rests on, and how sure it is."""

    def __init__(self, name: str, what: str, said: str, reads: tuple[str, ...]) -> None:
        self.at, self._what, self._said, self._reads = f"rests.{name}", what, said, reads

    @figure("The plan rests on", how="collected from the files and the entries")
    def what(self) -> str:
        for key in self._reads:
            note(key)
        return self._what

    @figure("How sure that is", how="collected from the files and the entries")
    def sure(self) -> str:
        for key in self._reads:
            note(key)
        return self._said


RESTS = TableOf(
    "review.rests", "What the plan rests on", (column(Rests.what, "What"), column(Rests.sure, "How sure that is"))
)


def write_rests(mission: Mission, phases: Sequence[PhaseFigures], writer: LedgerWriter) -> None:
    """Enter what the plan rests on that nobody has proved, and where its charts and forecasts end near what is flown."""
    write_edges(mission, phases, writer)
    found = [
        Rests("aircraft", f"Figures of the {mission.aircraft.name}", mission.aircraft.source, (POWERPLANT, AIRFRAME))
    ]
    memory = [rule.title for rule in mission.rules.rules if rule.provenance == FROM_MEMORY]
    if memory:
        said = f"{len(memory)} known from memory, not seen in their source: {'; '.join(memory)}"
        found.append(Rests("rules", "Rules", said, (RULES,)))
    for area in writer.records(WeatherArea):
        outside = WeatherArea.outside.of(area)
        keys = (outside.key, WeatherArea.where.of(area).key) if outside.there else ()
        said = f"up to {outside} outside the area between them, in: {WeatherArea.where.of(area)}; the file allows {WeatherArea.reach.of(area)}"
        inside = "the whole flight lies within the area between them"
        found.append(
            Rests(
                "area",
                "Winds aloft between their points",
                said if keys else inside,
                (WeatherArea.reach.of(area).key, *keys),
            )
        )
    for one in found:
        writer.adopt(one)
    writer.tabulate(RESTS.filled([RESTS.row(one.at.removeprefix("rests."), one) for one in found]))
