"""The risks of a mission as the commander reads them: level before and after mitigation, from a published matrix."""

from __future__ import annotations

import difflib

from briefgen.errors import PlanError
from briefgen.model.mission import Mission, Risk
from briefgen.model.record import Absent, Record, figure, given
from briefgen.model.tables import TableOf, column
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


class RiskFigures(Record):
    """One risk with its level before and after mitigation."""

    def __init__(self, number: int, risk: Risk) -> None:
        self.at, self.spec, self._risk = f"risk.{number:02d}", f"risks[{number - 1}]", risk

    @given("Risk", spec="%(spec)s.what")
    def what(self) -> str:
        return self._risk.what

    @given("Severity", spec="%(spec)s.severity")
    def severity(self) -> str:
        return self._risk.severity

    @given("Probability", spec="%(spec)s.probability")
    def probability(self) -> str:
        return self._risk.probability

    @given("What is done about it", spec="%(spec)s.mitigation")
    def mitigation(self) -> str:
        return self._risk.mitigation

    @given("Probability then", spec="%(spec)s.residual")
    def residual(self) -> str:
        return self._risk.residual

    @given("Owner", spec="%(spec)s.owner")
    def owner(self) -> str:
        return self._risk.owner

    @given("Accepted by", spec="%(spec)s.accepted by")
    def accepted_by(self) -> str:
        if not self._risk.accepted_by:
            raise Absent("nobody has accepted in writing what is left")
        return self._risk.accepted_by

    @figure("Level", how="risk matrix", source=SOURCE)
    def level(self) -> str:
        return risk_level(self.severity, self.probability)

    @figure("Level then", how="risk matrix", source=SOURCE)
    def level_left(self) -> str:
        return risk_level(self.severity, self.residual)


_HEADED = (
    RiskFigures.what,
    RiskFigures.severity,
    RiskFigures.probability,
    RiskFigures.level,
    RiskFigures.mitigation,
    RiskFigures.residual,
    RiskFigures.level_left,
    RiskFigures.owner,
    RiskFigures.accepted_by,
)
RISKS = TableOf("risks", "Risks", tuple(column(one, one.declared.label) for one in _HEADED), note=f"Levels: {SOURCE}.")


def write_risks(mission: Mission, writer: LedgerWriter) -> None:
    """Enter every risk with its level before and after mitigation, and the table of them."""
    risks = [RiskFigures(number, risk) for number, risk in enumerate(mission.risks, start=1)]
    for one in risks:
        writer.adopt(one)
    writer.tabulate(RISKS.filled([RISKS.row(f"{number:02d}", one) for number, one in enumerate(risks, start=1)]))
