"""Crew, frequencies, and what is done when things go wrong, as tables of entries."""

from __future__ import annotations

from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.planning.ledger.writer import LedgerWriter


def write_crew(mission: Mission, writer: LedgerWriter) -> None:
    """Enter crew list, frequencies and contingencies."""
    rows = []
    for member in mission.crew:
        key = f"crew.{member.position.replace(' ', '_')}"
        writer.given(f"{key}.name", member.position.capitalize(), member.name, spec=f"crew.{member.position}")
        writer.put(f"{key}.position", "Position", member.position, method="as written")
        rows.append(Row(member.position, {"position": f"{key}.position", "name": f"{key}.name"}))
    writer.table("crew", "Crew", (Column("position", "Position"), Column("name", "Name")), rows)
    _write_frequencies(mission, writer)
    _write_contingencies(mission, writer)


def _write_frequencies(mission: Mission, writer: LedgerWriter) -> None:
    rows = []
    for number, contact in enumerate(mission.frequencies, start=1):
        key, spec = f"frequency.{number:02d}", f"frequencies[{number - 1}]"
        writer.given(f"{key}.who", "Call", contact.who, spec=f"{spec}.who")
        writer.given(f"{key}.where", "Where", contact.where, spec=f"{spec}.where")
        writer.given(
            f"{key}.frequency",
            f"{contact.who}: frequency",
            contact.frequency_hz,
            "MHz",
            decimals=3,
            spec=f"{spec}.frequency",
        )
        cells = {name: f"{key}.{name}" for name in ("who", "where", "frequency")}
        if contact.remarks:
            cells["remarks"] = writer.given(f"{key}.remarks", "Remarks", contact.remarks, spec=f"{spec}.remarks")
        rows.append(Row(contact.who, cells))
    columns = (
        Column("who", "Call"),
        Column("where", "Where"),
        Column("frequency", "Frequency", "MHz"),
        Column("remarks", "Remarks"),
    )
    if rows:
        writer.table("communications", "Frequencies", columns, rows)


def _write_contingencies(mission: Mission, writer: LedgerWriter) -> None:
    rows = []
    for number, case in enumerate(mission.contingencies, start=1):
        key, spec = f"contingency.{number:02d}", f"what can go wrong[{number - 1}]"
        what = writer.given(f"{key}.what", "If", case.what, spec=f"{spec}.what")
        then = writer.given(f"{key}.then", "Then", case.then, spec=f"{spec}.then")
        rows.append(Row(case.what, {"what": what, "then": then}))
    if rows:
        writer.table("contingencies", "If it goes wrong", (Column("what", "If"), Column("then", "Then")), rows)
