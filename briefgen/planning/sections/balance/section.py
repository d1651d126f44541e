"""Balance through the flight: what stands where, how she weighs at every moment, and which moment is the worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.errors import PlanError
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, Event, Finding, Phase
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition, conditions, require_same_mass, weigh
from briefgen.planning.load.pieces import fixed_pieces, item_pieces, zero_fuel_mass_kg
from briefgen.planning.load.placement import NOTHING_HELPS, place, smallest_change
from briefgen.planning.sections.balance.charts import balance_charts
from briefgen.planning.sections.balance.findings import load_findings, station_findings
from briefgen.planning.sections.balance.moves import write_moves
from briefgen.planning.sections.balance.sheet import write_load, write_payload, write_reference, write_stations
from briefgen.planning.sections.balance.states import write_states
from briefgen.planning.sections.balance.tanks import write_tanks


def write_balance(
    mission: Mission, phases: Sequence[Phase], writer: LedgerWriter
) -> tuple[list[Event], list[Finding], dict[str, ChartData]]:
    """Enter load, balance and tanks; return fuel events, findings and charts.

    Raises PlanError when load that was to be placed cannot be, with the smallest change that would help.
    """
    require_same_mass(mission, phases, zero_fuel_mass_kg(mission))
    moments = conditions(mission, phases)
    placement = place(mission, moments)
    pieces = (*fixed_pieces(mission), *item_pieces(mission, placement.bays))
    write_reference(mission, writer)
    masses = write_stations(mission, pieces, writer)
    write_load(mission, pieces, placement, writer)
    weighed = [weigh(mission, pieces, moment) for moment in moments]
    findings = write_states(mission, moments, weighed, pieces, masses, writer)
    findings = _with_cure(mission, moments, findings)
    findings += station_findings(mission, pieces, writer) + load_findings(mission, placement, writer)
    write_payload(mission, moments, weighed, writer)
    write_moves(mission, moments, placement.bays, writer)
    events, tank_findings = write_tanks(mission, phases, moments, writer)
    return events, findings + tank_findings, balance_charts(mission, moments, weighed)


def _with_cure(mission: Mission, moments: Sequence[Condition], findings: list[Finding]) -> list[Finding]:
    """Return the findings, the first that fails with the smallest change of the load that makes all of them pass.

    The findings that follow keep what they say of themselves, or point to the first.
    """
    first = next((number for number, finding in enumerate(findings) if finding.outcome == "fail"), None)
    if first is None:
        return findings
    try:
        change = smallest_change(mission, moments)
        text = change.text if change else NOTHING_HELPS
    except PlanError as error:
        text = f"{error.where}: {error.problem}"
    before, failed, after = findings[:first], findings[first], findings[first + 1 :]
    see = f"see the change of load under '{failed.title}'"
    after = [
        replace(one, cure=f"{one.cure}; {see}" if one.cure else see) if one.outcome == "fail" else one for one in after
    ]
    return [*before, replace(failed, cure=text), *after]
