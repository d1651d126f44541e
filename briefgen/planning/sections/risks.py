"""The risks of a mission as the commander reads them: level before and after mitigation, from a published matrix."""

from __future__ import annotations

import difflib

from briefgen.errors import PlanError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.planning.ledger.writer import LedgerWriter

SOURCE = "MIL-STD-882E (2012), tables I to III; cell improbable and marginal taken as medium, the stricter reading"
LEVELS = ("eliminated", "low", "medium", "serious", "high")

# In our own words, what the names of the standard mean here.
SEVERITIES = {
    "catastrophic": "somebody dies, or the aircraft is lost",
    "critical": "somebody is maimed or several are put in hospital, or the aircraft is badly damaged",
    "marginal": "somebody misses work, or the aircraft needs repair before the next flight",
    "negligible": "first aid, or a defect that can wait",
}
PROBABILITIES = {
    "frequent": "expected on one flight in ten or more",
    "probable": "once in ten to a hundred flights",
    "occasional": "once in a hundred to a thousand flights",
    "remote": "possible, less than once in a thousand flights",
    "improbable": "not expected in the life of the fleet",
    "eliminated": "the hazard is gone",
}
_MATRIX = {  # columns in the order of SEVERITIES
    "frequent": ("high", "high", "serious", "medium"),
    "probable": ("high", "high", "serious", "medium"),
    "occasional": ("high", "serious", "medium", "low"),
    "remote": ("serious", "medium", "medium", "low"),
    "improbable": ("medium", "medium", "medium", "low"),
    "eliminated": ("eliminated", "eliminated", "eliminated", "eliminated"),
}


def risk_level(severity: str, probability: str) -> str:
    """Return the level of a risk.

    Raises:
        PlanError: A name is not of the matrix.

    Source:
        MIL-STD-882E (2012), table III.
    """
    _require_name("severity", severity, tuple(SEVERITIES))
    _require_name("probability", probability, tuple(PROBABILITIES))
    return _MATRIX[probability][tuple(SEVERITIES).index(severity)]


def _require_name(sort: str, name: str, names: tuple[str, ...]) -> None:
    if name in names:
        return
    near = difflib.get_close_matches(name, names, n=1)
    hint = f"did you mean {near[0]}?" if near else ""
    raise PlanError(f"'{name}' is not a {sort} of the risk matrix", expected=f"one of {', '.join(names)}", hint=hint)


def levels_left(mission: Mission) -> tuple[tuple[str, str], ...]:
    """Return every risk with its level after mitigation."""
    return tuple((risk.what, risk_level(risk.severity, risk.residual)) for risk in mission.risks)


def write_risks(mission: Mission, writer: LedgerWriter) -> None:
    """Enter every risk with its level before and after mitigation, and the table of them."""
    columns = (
        Column("what", "Risk"),
        Column("severity", "Severity"),
        Column("probability", "Probability"),
        Column("level", "Level"),
        Column("mitigation", "What is done about it"),
        Column("residual", "Probability then"),
        Column("level_left", "Level then"),
        Column("owner", "Owner"),
    )
    rows = [_write_risk(number, mission, writer, columns) for number in range(1, len(mission.risks) + 1)]
    writer.table("risks", "Risks", columns, rows, note=f"Levels: {SOURCE}.")


def _write_risk(number: int, mission: Mission, writer: LedgerWriter, columns: tuple[Column, ...]) -> Row:
    risk, spec = mission.risks[number - 1], f"risks[{number - 1}]"
    key = f"risk.{number:02d}"
    for name in ("what", "severity", "probability", "mitigation", "residual", "owner"):
        head = next(column.head for column in columns if column.name == name)
        writer.given(f"{key}.{name}", head, getattr(risk, name), spec=f"{spec}.{name}")
    for name, head, probability in (("level", "Level", "probability"), ("level_left", "Level then", "residual")):
        writer.put(
            f"{key}.{name}",
            head,
            risk_level(risk.severity, getattr(risk, probability)),
            method="risk matrix",
            inputs=(f"{key}.severity", f"{key}.{probability}"),
            source=SOURCE,
        )
    return Row(f"{number:02d}", {column.name: f"{key}.{column.name}" for column in columns})
