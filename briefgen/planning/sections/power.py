"""The power table: every setting the plan uses, when it begins, and the levers to move for it."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.aircraft.interface import Performance
from briefgen.model.mission import Mission
from briefgen.model.performance import LeverMove, PowerSetting
from briefgen.model.plan import Node, Phase
from briefgen.model.record import Record
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.power_advice import ADVICE, LeanSpeed, Levels, MixtureChange
from briefgen.planning.sections.power_rows import PowerRow, RegimeSetting

BAND_S = 3600.0  # a new row at least every hour: the weight has fallen by a ton or so


class PowerLine(Record):
    """A row of the power table with what an experienced engineer adds to it."""

    def __init__(self, mission: Mission, row: PowerRow, performance: Performance) -> None:
        levels = Levels(mission, row.flown.phase, performance)
        self.row, self.change, self.lean = row, MixtureChange(mission, row, levels), LeanSpeed(mission, row, levels)

    def parts(self) -> Sequence[Record]:
        return [self.row, self.change, self.lean]


POWER = TableOf(
    "power",
    "Power table",
    (
        column(PowerRow.phase, "Phase", through="row"),
        column(PowerRow.begins, "From", through="row"),
        column(PowerRow.mass, "Weight", through="row"),
        column(PowerRow.altitude, "Altitude", through="row"),
        column(PowerRow.rpm, "Engine speed", through="row"),
        column(PowerRow.manifold_pressure, "Manifold pressure", through="row"),
        column(PowerRow.mixture, "Mixture", through="row"),
        column(PowerRow.cowl_flaps, "Cowl flaps", through="row"),
        column(PowerRow.blower, "Turbo setting", through="row"),
        column(PowerRow.intercooler, "Intercooler", through="row"),
        column(PowerRow.carburettor_heat, "Carburettor heat", through="row"),
        column(PowerRow.filters, "Filters", through="row"),
        column(PowerRow.boost_pumps, "Boost pumps", through="row"),
        column(PowerRow.ias, "Indicated airspeed", through="row"),
        column(PowerRow.tas, "True airspeed", through="row"),
        column(PowerRow.flow_engine, "Flow each", through="row"),
        column(PowerRow.flow, "Flow total", through="row"),
        column(PowerRow.limit, "Governing limit", through="row"),
        column(PowerRow.margin, "Power in hand", through="row"),
        column(PowerRow.time_limit, "Time limit", through="row"),
        column(MixtureChange.mixture_change_mass, "Mixture changes at", through="change"),
    ),
)


class PowerTable(Record):
    """Every setting of the sortie, and the first of each kind under the name by which checklists quote it."""

    def __init__(self, mission: Mission, log: Navigation, performance: Performance) -> None:
        self.lines: list[PowerLine] = []
        self._mission, self._performance = mission, performance
        before: PowerSetting | None = None
        for flown in log.phases:
            kept = _kept(flown.phase)
            for number, (node, setting) in enumerate(kept):
                row = PowerRow(_name(flown.phase, number), mission, flown, node, setting)
                row.moves = self._moves(flown.phase, before, setting)
                row.mixture_change = number > 0 and kept[number - 1][1].mixture != setting.mixture
                row.within = number > 0 and kept[number - 1][1].phase != setting.phase
                row.ice = number > 0 and _against_ice(kept[number - 1][1]) != _against_ice(setting)
                self.lines.append(PowerLine(mission, row, performance))
                before = setting
            before = flown.phase.settings[-1][1] if flown.phase.settings else before
        kinds = dict.fromkeys(line.row.kind for line in self.lines)
        self._regimes = [
            RegimeSetting(kind, [line.row for line in self.lines if line.row.kind == kind]) for kind in kinds
        ]

    def _moves(self, phase: Phase, before: PowerSetting | None, after: PowerSetting) -> tuple[LeverMove, ...]:
        """Return the levers to move with a setting; after take-off, those an action at a height moves are left to it.

        Ice has its own say: filters set against it are moved as she enters its cloud, and back as she leaves it.
        """
        at_heights = {action.lever for action in self._mission.aircraft.altitude_actions}
        if (last := _just_before(phase, after)) and last.air.icing != after.air.icing and last.filters != after.filters:
            at_heights -= {"filters"}
        moves = self._performance.lever_moves(before, after)
        return tuple(move for move in moves if phase.kind == "take-off" or move.lever not in at_heights)

    def parts(self) -> Sequence[Record]:
        return [*self.lines, *self._regimes]


def _name(phase: Phase, number: int) -> str:
    """Return the name of a setting: its phase, and which after the first it is within that."""
    return phase.ident if number == 0 else f"{phase.ident}.{number + 1}"


def _kept(phase: Phase) -> list[tuple[Node, PowerSetting]]:
    """Return the settings worth a row: the first, one an hour, and each change of mixture, of levers against ice, or of
    phase of the aircraft file."""
    kept: list[tuple[Node, PowerSetting]] = []
    for node, setting in phase.settings:
        late = kept and (node.instant - kept[-1][0].instant).total_seconds() >= BAND_S - 1.0
        before = kept[-1][1] if kept else None
        if (
            before is None
            or late
            or (setting.mixture, setting.phase) != (before.mixture, before.phase)
            or _against_ice(setting) != _against_ice(before)
        ):
            kept.append((node, setting))
    return kept


def _just_before(phase: Phase, setting: PowerSetting) -> PowerSetting | None:
    """Return the setting flown before one of a phase, None for the first."""
    flown = [one for _, one in phase.settings]
    number = next((number for number, one in enumerate(flown) if one is setting), 0)
    return flown[number - 1] if number else None


def _against_ice(setting: PowerSetting) -> tuple[str | None, ...]:
    """Return the levers set against carburettor ice; outside its cloud the filters go by altitude, with their own action."""
    return setting.intercooler, setting.carburettor_heat, setting.filters if setting.air.icing else None


def write_power(mission: Mission, log: Navigation, performance: Performance, writer: LedgerWriter) -> PowerTable:
    """Enter the power table and return it for the timeline."""
    table = PowerTable(mission, log, performance)
    writer.adopt(table)
    writer.tabulate(
        POWER.filled(
            [
                POWER.row(line.row.title, line, "mixture" if line.row.mixture_change else line.row.kind)
                for line in table.lines
            ]
        )
    )
    leaner = [line.lean for line in table.lines if LeanSpeed.advice.of(line.lean).there]
    if leaner:
        writer.tabulate(ADVICE.filled([ADVICE.row(lean.title, lean) for lean in leaner]))
    return table
