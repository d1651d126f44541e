"""Crew, frequencies, and what is done when things go wrong, as tables of what somebody wrote."""

from __future__ import annotations

from briefgen.model.mission import Contingency, CrewMember, Frequency, Mission
from briefgen.model.record import Absent, Record, figure, given
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter


class CrewFigures(Record):
    """One member of the crew."""

    def __init__(self, member: CrewMember) -> None:
        self.at, self._member = f"crew.{member.position.replace(' ', '_')}", member
        self.place, self.head = member.position, member.position.capitalize()

    @given("%(head)s", spec="crew.%(place)s")
    def name(self) -> str:
        return self._member.name

    @figure("Position", how="as written")
    def position(self) -> str:
        return self._member.position


class ContactFigures(Record):
    """One station that is called by radio."""

    def __init__(self, number: int, contact: Frequency) -> None:
        self.at, self.spec, self._contact = f"frequency.{number:02d}", f"frequencies[{number - 1}]", contact
        self.called = contact.who

    @given("Call", spec="%(spec)s.who")
    def who(self) -> str:
        return self._contact.who

    @given("Where", spec="%(spec)s.where")
    def where(self) -> str:
        return self._contact.where

    @given("%(called)s: frequency", "MHz", decimals=3, spec="%(spec)s.frequency")
    def frequency(self) -> float:
        return self._contact.frequency_hz

    @given("Remarks", spec="%(spec)s.remarks")
    def remarks(self) -> str:
        if not self._contact.remarks:
            raise Absent("nothing is remarked")
        return self._contact.remarks


class ContingencyFigures(Record):
    """One case of something going wrong, and what is done then."""

    def __init__(self, number: int, case: Contingency) -> None:
        self.at, self.spec, self._case = f"contingency.{number:02d}", f"what can go wrong[{number - 1}]", case

    @given("If", spec="%(spec)s.what")
    def what(self) -> str:
        return self._case.what

    @given("Then", spec="%(spec)s.then")
    def then(self) -> str:
        return self._case.then


CREW = TableOf("crew", "Crew", (column(CrewFigures.position, "Position"), column(CrewFigures.name, "Name")))
COMMUNICATIONS = TableOf(
    "communications",
    "Frequencies",
    (
        column(ContactFigures.who, "Call"),
        column(ContactFigures.where, "Where"),
        column(ContactFigures.frequency, "Frequency"),
        column(ContactFigures.remarks, "Remarks"),
    ),
)
CONTINGENCIES = TableOf(
    "contingencies",
    "If it goes wrong",
    (column(ContingencyFigures.what, "If"), column(ContingencyFigures.then, "Then")),
)


def write_crew(mission: Mission, writer: LedgerWriter) -> None:
    """Enter crew list, frequencies and contingencies."""
    members = [CrewFigures(member) for member in mission.crew]
    contacts = [ContactFigures(number, one) for number, one in enumerate(mission.frequencies, start=1)]
    cases = [ContingencyFigures(number, one) for number, one in enumerate(mission.contingencies, start=1)]
    for record in (*members, *contacts, *cases):
        writer.adopt(record)
    writer.tabulate(CREW.filled([CREW.row(one.place, one) for one in members]))
    if contacts:
        writer.tabulate(COMMUNICATIONS.filled([COMMUNICATIONS.row(one.called, one) for one in contacts]))
    if cases:
        named = zip(mission.contingencies, cases, strict=True)
        writer.tabulate(CONTINGENCIES.filled([CONTINGENCIES.row(case.what, one) for case, one in named]))
