"""Balance through the flight: what stands where, how she weighs at every moment, and which moment is the worst."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.errors import PlanError
from briefgen.frozen import dataclass, replace
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartName, Event, Finding
from briefgen.model.record import Ref
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition, conditions, most_adverse, require_same_mass, weigh
from briefgen.planning.load.pieces import fixed_pieces, item_pieces, zero_fuel_mass_kg
from briefgen.planning.load.placement import NOTHING_HELPS, Placement, place, smallest_change
from briefgen.planning.sections.balance.charts import balance_charts
from briefgen.planning.sections.balance.findings import load_findings, station_findings
from briefgen.planning.sections.balance.fluids import write_fluids
from briefgen.planning.sections.balance.items import ItemFigures, PlacementFigures, write_items
from briefgen.planning.sections.balance.moments import MomentFigures, ZeroFuelFigures, logged, write_moments
from briefgen.planning.sections.balance.moves import write_moves
from briefgen.planning.sections.balance.people import people_findings
from briefgen.planning.sections.balance.sheet import Chord, Payload, PieceFigures, Sheet, write_sheet
from briefgen.planning.sections.balance.states import write_states
from briefgen.planning.sections.balance.tanks import Fuel, imbalance, write_contents
from briefgen.planning.sections.balance.transfers import write_changes, write_failures
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.written_load import ItemWritten, Weights


@dataclass(frozen=True)
class Loading:
    """What stands where, and how she weighs with it at every moment."""

    flown: Sequence[Condition]
    items: Sequence[ItemFigures]
    sheet: Sheet
    moments: Sequence[MomentFigures]
    adverse: MomentFigures

    def moment(self, key: str) -> MomentFigures:
        """Return a moment by its key."""
        return next(one for one in self.moments if one.moment_of.key == key)


def write_balance(
    mission: Mission, log: Navigation, weights: Weights, running: Ref, reserve: Ref, writer: LedgerWriter
) -> tuple[list[Event], list[Finding], dict[ChartName, ChartData]]:
    """Enter load, balance and tanks; return fuel events, findings and charts.

    ``running`` is how long the engines run, ``reserve`` the final reserve of fuel.

    Raises PlanError when load that was to be placed cannot be, with the smallest change that would help.
    """
    phases = [one.phase for one in log.phases]
    require_same_mass(mission, phases, zero_fuel_mass_kg(mission))
    flown = conditions(mission, phases)
    loading = _loading(mission, flown, place(mission, flown), log, weights, writer)
    findings = write_states(mission, loading.moments, loading.adverse, writer)
    findings = _with_cure(mission, flown, findings)
    findings += station_findings(mission, loading.sheet, writer) + load_findings(mission, loading.items, writer)
    findings += people_findings(mission, loading.sheet, writer)
    _write_payload(mission, loading, weights, writer)
    write_moves(mission, flown, loading.items, loading.moments, writer)
    fuel = Fuel(mission, log, loading.moment("ramp").moment_of.tanks_m3)
    write_contents(fuel, writer)
    events = write_changes(fuel, writer)
    findings += imbalance(fuel, writer) + write_failures(fuel, flown, loading.sheet, reserve, writer)
    findings += write_fluids(mission, running, writer)
    return events, findings, balance_charts(mission, loading.moments, loading.adverse)


def _loading(
    mission: Mission, flown: Sequence[Condition], placement: Placement, log: Navigation, weights: Weights,
    writer: LedgerWriter,
) -> Loading:  # fmt: skip
    """Enter the chord, the loading sheet, the load and every moment of the flight."""
    pieces = (*fixed_pieces(mission), *item_pieces(mission, placement.bays))
    chord = Chord(mission.aircraft.balance)
    found = [logged(one, log, weights) for one in flown]
    carried = [ItemWritten.mass.of(one) for one in weights.items]
    carried += [ref for one in found for ref in (one.mass, one.fuel) if ref is not None]
    items = [ItemFigures(mission, number, item, placement, carried) for number, item in enumerate(weights.items, 1)]
    sheet = Sheet(pieces, weights, {item.title: item for item in items})
    for record in (chord, sheet, *items):
        writer.adopt(record)
    write_items(items, {row.title: PieceFigures.arm.of(row) for row in sheet.rows}, writer)
    moments = [
        (ZeroFuelFigures if one.key == "zero_fuel" else MomentFigures)(
            mission, one, weigh(mission, pieces, one), sheet, chord, entered
        )
        for one, entered in zip(flown, found, strict=True)
    ]
    writer.adopt(PlacementFigures(mission, placement, [MomentFigures.cg.of(one) for one in moments]))
    adverse = moments[most_adverse([one.state for one in moments])]
    write_moments(moments, adverse, writer)
    loading = Loading(flown, items, sheet, moments, adverse)
    write_sheet(sheet, MomentFigures.moment.of(loading.moment("zero_fuel")), writer)
    return loading


def _write_payload(mission: Mission, loading: Loading, weights: Weights, writer: LedgerWriter) -> None:
    masses = {one.moment_of.key: one.mass_ref for one in loading.moments}
    fuels = {one.moment_of.key: one.fuel_ref for one in loading.moments if one.fuel_ref is not None}
    writer.adopt(Payload(mission, weights, masses, fuels))


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
