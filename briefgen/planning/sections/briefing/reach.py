"""How far from a field she may be: the rings around the alternates on the map."""

from __future__ import annotations

from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, figure, rests_on
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import RULES, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures

HOUR_S = 3600.0
WITHIN = "within"  # parameter of a rule: so long from a field at most


class Reach(Record):
    """The distance she covers at cruise, in still air, in the time that a rule lets her be from a field; else in an hour."""

    at = "briefing.reach"

    def __init__(self, mission: Mission, log: Navigation) -> None:
        found = [rule for rule in mission.rules.rules if isinstance(rule.parameters.get(WITHIN), float)]
        self._rule = found[0] if found else None
        self._cruises = [one for one in log.phases if one.phase.kind == "cruise" and PhaseFigures.tas.of(one).there]
        self.source = found[0].source if found else "common practice, no published source"

    @figure(
        "Time the rings stand for",
        "min",
        how="longest way to a field by the rule set, an hour where it names none",
        source="%(source)s",
    )
    def time(self) -> float:
        rest_on_groups(RULES)
        return float(self._rule.parameters[WITHIN]) if self._rule else HOUR_S

    @figure(
        "Ring around an alternate", "NM",
        how="slowest true airspeed of the cruise as planned over the time from a field, still air",
    )  # fmt: skip
    def radius(self) -> float:
        time_s = self.time
        if not self._cruises:
            raise Absent("no cruise is planned")
        rests_on(*(one.tas for one in self._cruises))
        return min(one.tas for one in self._cruises) * time_s


def write_reach(mission: Mission, log: Navigation, writer: LedgerWriter) -> None:
    """Enter how far from an alternate she may be."""
    writer.adopt(Reach(mission, log))
