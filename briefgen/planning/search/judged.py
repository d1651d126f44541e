"""A mission flown again and held against its rules, as plain numbers: all that takes little time, nothing of what takes much.

Left out are the ways home from every point, engines stopped, the altitudes compared, power and cards: nearly two thirds of
the time of a plan. A rule that rests on them is not known here and says nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.finding_figures import UnknownFinding
from briefgen.planning.review.rules import write_review
from briefgen.planning.sections.balance.section import write_balance
from briefgen.planning.sections.basis.clock import Durations, write_clock
from briefgen.planning.sections.basis.field_uses import field_uses
from briefgen.planning.sections.basis.fuel import FuelRequired, write_fuel
from briefgen.planning.sections.basis.groups import write_groups
from briefgen.planning.sections.basis.inputs import write_inputs
from briefgen.planning.sections.basis.navigation import write_navigation
from briefgen.planning.sections.crew import write_crew
from briefgen.planning.sections.daylight import write_daylight
from briefgen.planning.sections.fields.section import write_fields
from briefgen.planning.sections.oxygen import write_oxygen
from briefgen.planning.sections.risks import write_risks
from briefgen.planning.sections.timing.asked import write_times_asked
from briefgen.planning.sections.timing.section import write_timing
from briefgen.planning.sections.weather.section import write_weather


@dataclass(frozen=True)
class Standing:
    """How one requirement came out: its margin is in SI, None where it has none in figures."""

    title: str
    outcome: str  # pass | caution | fail
    margin: float | None = None


@dataclass(frozen=True)
class Judgement:
    """How a mission came out; ``refused`` says why it could not be planned at all, ``unknown`` which rules lack their facts."""

    standings: Mapping[str, Standing] = field(default_factory=dict)
    unknown: frozenset[str] = frozenset()
    refused: str = ""


def judged_again(mission: Mission) -> Judgement:
    """Return how a mission comes out when it is flown again; one that cannot be planned is refused with the reason."""
    writer = LedgerWriter(mission.given)
    try:
        findings = _review(fly(mission), writer)
    except BriefgenError as error:
        return Judgement(refused=error.problem)
    unknown = frozenset(one.rule.ident for one in writer.records(UnknownFinding))
    return Judgement({one.ident: Standing(one.title, one.outcome, _margin(one, writer)) for one in findings}, unknown)


def _review(flown: Flown, writer: LedgerWriter) -> tuple[Finding, ...]:
    mission, crew, phases = flown.mission, flown.crew, flown.phases
    write_groups(mission, writer)
    written = write_inputs(mission, flown.departure.fuel_kg, writer)
    asked = write_times_asked(mission, flown, writer)
    log = write_navigation(mission, flown, written, writer)
    clock = write_clock(mission, log, written, writer)
    uses = field_uses(mission, log, clock)
    sheet = write_fuel(mission, log, flown.reserve, writer)
    _, findings = write_timing(flown, log, clock, sheet, asked, writer)
    weather = write_weather(mission, log.phases, uses, writer)
    write_daylight(mission, log.phases, uses, writer)
    fields = write_fields(mission, log, weather.fields, crew.performance, writer)
    reserve = FuelRequired.final_reserve.of(sheet.required)
    _, balance, _ = write_balance(mission, log, written.weights, Durations.block.of(clock.durations), reserve, writer)
    write_oxygen(mission, phases, writer)
    write_crew(mission, writer)
    write_risks(mission, writer)
    told = [*findings, *balance, *weather.findings, *fields.findings]
    return write_review(mission, phases, writer, None, told, flown.diversions)


def _margin(found: Finding, writer: LedgerWriter) -> float | None:
    value = writer[found.margin_key].value if found.margin_key in writer else None
    return float(value) if isinstance(value, int | float) else None
