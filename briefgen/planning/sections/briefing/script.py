"""What is said on the radio, by the clock: who is called on what, and the words of the mission."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.model.mission import CrewCall, Frequency, Mission
from briefgen.model.plan import PhaseKind
from briefgen.model.record import Record, Ref, figure
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.crew import ContactFigures

SPEAKS = "radio operator"
FIRST_CALLS: dict[PhaseKind, str] = {"taxi": "for taxiing", "hold": "overhead, holding", "approach": "for landing"}


class ScriptLine(Record):
    """One call."""

    def __init__(self, number: int, words: str, when: Ref, contact: tuple[int, Frequency] | None) -> None:
        self.at, self._words, self.when = f"briefing.script.{number:02d}", words, when
        self.contact = ContactFigures(*contact) if contact else None

    @figure("Say", how="call of the mission, or the first call to a station of the list")
    def say(self) -> str:
        return self._words


TIME, WHO, FREQUENCY = ColumnOf("time", "UTC", "UTC"), ColumnOf("who", "Call", ""), ColumnOf("frequency", "MHz", "MHz")
SAY = column(ScriptLine.say, "Say")
SCRIPT = TableOf("briefing.script", "Script by the clock", (TIME, WHO, FREQUENCY, SAY))


def write_script(mission: Mission, log: Navigation, writer: LedgerWriter) -> None:
    """Enter the script."""
    lines = [
        ScriptLine(number, words, when, contact)
        for number, (when, words, contact) in enumerate(
            sorted(_calls(mission, log), key=lambda call: call[0].value), start=1
        )
    ]
    rows = []
    for line in lines:
        writer.adopt(line)
        others: dict[ColumnOf, Ref] = {TIME: line.when}
        if line.contact is not None:
            others |= {WHO: ContactFigures.who.of(line.contact), FREQUENCY: ContactFigures.frequency.of(line.contact)}
        rows.append(SCRIPT.row(line.at, line, others=others))
    if rows:
        writer.tabulate(SCRIPT.filled(rows))


def _calls(mission: Mission, log: Navigation) -> Iterator[tuple[Ref, str, tuple[int, Frequency] | None]]:
    for call in mission.calls:
        if call.position != SPEAKS:
            continue
        flown = next((one for one in log.phases if call.at in (one.phase.place, one.phase.kind)), None)
        if flown is not None:
            when = PhaseFigures.begin if call.at == flown.phase.kind else PhaseFigures.end
            yield when.of(flown), call.text, _contact(mission, call)
    for flown in log.phases:
        place = flown.phase.place or (mission.route.origin.ident if flown.phase.kind == "taxi" else "")
        called = next(((n, one) for n, one in enumerate(mission.frequencies, 1) if one.where == place), None)
        if flown.phase.kind in FIRST_CALLS and called is not None:
            yield PhaseFigures.begin.of(flown), FIRST_CALLS[flown.phase.kind], called


def _contact(mission: Mission, call: CrewCall) -> tuple[int, Frequency] | None:
    """Return the station a call is for: named in its words, else at its place."""
    numbered = list(enumerate(mission.frequencies, start=1))
    named = [one for one in numbered if one[1].who.lower() in call.text.lower()]
    first = [one for one in numbered if one[1].who.split()[0].lower() in call.text.lower()]
    there = [one for one in numbered if one[1].where == call.at]
    return next(iter((*named, *first, *there)), None)
