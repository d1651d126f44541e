"""Balance through the flight: what stands where, how she weighs at every moment, and which moment is the worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.errors import PlanError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, Event, Finding, Phase
from briefgen.planning.balance_charts import balance_charts
from briefgen.planning.balance_states import write_states
from briefgen.planning.conditions import Condition, conditions, require_same_mass, weigh
from briefgen.planning.load_findings import load_findings
from briefgen.planning.load_sheet import write_load, write_reference, write_stations
from briefgen.planning.loading import fixed_pieces, item_pieces, zero_fuel_mass_kg
from briefgen.planning.placement import NOTHING_HELPS, Placement, moves, place, smallest_change
from briefgen.planning.tank_section import write_tanks
from briefgen.planning.writer import LedgerWriter

MOVES_SHOWN = 300  # more possibilities than this make no table that anybody reads
MOVE_COLUMN = "bay "


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
    findings = [_with_cure(mission, moments, finding) for finding in findings]
    findings += load_findings(mission, placement, writer)
    _write_moves(mission, moments, placement, writer)
    events, tank_findings = write_tanks(mission, phases, moments, writer)
    return events, findings + tank_findings, balance_charts(mission, moments, weighed, writer)


def _with_cure(mission: Mission, moments: Sequence[Condition], finding: Finding) -> Finding:
    """Return a failed finding with the smallest change of the load that would make it pass."""
    if finding.outcome != "fail":
        return finding
    try:
        change = smallest_change(mission, moments)
    except PlanError as error:
        return replace(finding, cure=f"{error.where}: {error.problem}")
    return replace(finding, cure=change.text if change else NOTHING_HELPS)


def _write_moves(mission: Mission, moments: Sequence[Condition], placement: Placement, writer: LedgerWriter) -> None:
    """Write what moving any one item to another bay does to the centre of gravity at take-off."""
    bays = mission.aircraft.balance.bays
    if not mission.items or len(bays) * len(mission.items) > MOVES_SHOWN:
        return
    take_off = next(moment for moment in moments if moment.key == "take_off")
    changes = moves(mission, moments, placement.bays, take_off)
    rows = []
    for number, item in enumerate(mission.items, 1):
        cells = {"item": f"load.{number:02}.name"}
        for index, bay in enumerate(bays, 1):
            change_m = changes.get((item.name, bay.name))
            if change_m is not None:
                cells[f"{MOVE_COLUMN}{bay.name}"] = writer.put(
                    f"load.{number:02}.move.{index:02}", f"{item.name} moved to bay {bay.name}: change of centre of gravity",
                    change_m, "in", decimals=1, method="mass moved times distance over take-off mass",
                    inputs=("balance.take_off.cg", f"load.{number:02}.mass"), source="FAA-H-8083-25, weight shifting",
                )  # fmt: skip
        rows.append(Row(item.name, cells))
    columns = (Column("item", "Item"), *(Column(f"{MOVE_COLUMN}{bay.name}", f"Bay {bay.name}", "in") for bay in bays))
    note = "Change of the centre of gravity at take-off, aft positive. Blank: it stands there, or a limit forbids it."
    writer.table("balance.moves", "What moving one item does", columns, rows, note)
