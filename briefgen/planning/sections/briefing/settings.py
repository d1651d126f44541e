"""Power as it is set: manifold pressure down and engine speed up to what the instruments can be read to."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from briefgen.model.handling import InstrumentResolution
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Figure, Record, figure
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.absence import NOT_PRINTED
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.briefing.names import pass_numbers, phase_words
from briefgen.planning.sections.engines_out.setting import SETTING, OneOutSetting
from briefgen.planning.sections.power import PowerLine, PowerTable
from briefgen.planning.sections.power_rows import PowerRow

NEARLY = 1e-4  # of a step: a figure that is a whole number of steps stays where it is
SET_DOWN = "down to what the gauge can be read to, so that the pair set stays under every limit"
SET_UP = "up to what the gauge can be read to, so that the pair set stays under every limit"
AS_FLOWN = "the plan is flown with what the gauges can be set to"
MORE, LESS = "more", "less"
ICING, CLEAR = "icing cloud", "clear of ice"


def set_down(value: float, step: float) -> float:
    """Return a value rounded down to whole steps of an instrument."""
    return math.floor(value / step + NEARLY) * step


def set_up(value: float, step: float) -> float:
    """Return a value rounded up to whole steps of an instrument."""
    return math.ceil(value / step - NEARLY) * step


class SetLine(Record):
    """One change of power as the crew sets it."""

    def __init__(self, line: PowerLine, words: str, move: str, resolution: InstrumentResolution) -> None:
        self.at, self.line, self.row, self._words = f"briefing.power.{line.row.name}", line, line.row, words
        self._move, self._resolution = move, resolution

    @figure("For", how="phase or altitude the setting is for")
    def what(self) -> str:
        if not self._words:
            raise Absent("the phase goes on")
        return self._words

    @figure("More or less power than before", how="power of the setting against that before")
    def move(self) -> str:
        if not self._move:
            raise Absent("as much as before, or the charts do not say")
        return self._move

    @figure("Manifold pressure to set", "inHg", decimals=1, how=SET_DOWN)
    def manifold_pressure(self) -> float:
        return _other(self.row.manifold_pressure, set_down, self._resolution.manifold_pressure_pa)

    @figure("Engine speed to set", "rpm", how=SET_UP)
    def rpm(self) -> float:
        return _other(self.row.rpm, set_up, self._resolution.engine_speed_rpm)


def _other(value: float, to_steps: Callable[[float, float], float], step: float) -> float:
    """Return a value as it can be set, where that is another than the plan is flown with.

    Raises:
        Absent: The plan is flown with what can be set: the figure is the power table's own.
    """
    found = to_steps(value, step)
    if abs(found - value) <= NEARLY * step:
        raise Absent(AS_FLOWN)
    return found


AT = column(PowerRow.begins, "UTC", through="row")
WHAT = column(SetLine.what, "For")
MOVE = column(SetLine.move, "")
PRESSURE = column(SetLine.manifold_pressure, "inHg")
RPM = column(SetLine.rpm, "rpm")
MIXTURE = column(PowerRow.mixture, "Mixture", through="row")
IAS = column(PowerRow.ias, "Speed", through="row")
FLOW = column(PowerRow.flow, "Flow", through="row")
TIME_LIMIT = column(PowerRow.time_limit, "No longer than", through="row")
COWLS = column(PowerRow.cowl_flaps, "Cowl flaps", through="row")
FILTERS = column(PowerRow.filters, "Filters", through="row")
PUMPS = column(PowerRow.boost_pumps, "Pumps", through="row")
COOLER = column(PowerRow.intercooler, "Intercooler", through="row")
HEAT = column(PowerRow.carburettor_heat, "Carburettor heat", through="row")
POWER_SET = TableOf(
    "briefing.power",
    "Power as set",
    (AT, WHAT, MOVE, PRESSURE, RPM, MIXTURE, IAS, FLOW, TIME_LIMIT, COWLS, FILTERS, PUMPS, COOLER, HEAT),
    "Manifold pressure down and rpm up to what the gauges can be read to; where the plan is not flown so, flow and speed are those of "
    "the setting as worked out.",
)


def write_settings(mission: Mission, log: Navigation, power: PowerTable, writer: LedgerWriter) -> list[SetLine]:
    """Enter every change of power as it is set."""
    resolution = mission.aircraft.instrument_resolution
    names = _names(log, power.lines)
    lines = [
        SetLine(line, names[number], _move(power.lines, number), resolution) for number, line in enumerate(power.lines)
    ]
    for one in lines:
        writer.adopt(one)
    if lines:
        writer.tabulate(POWER_SET.filled([_row(one) for one in lines]))
    return lines


def _row(line: SetLine) -> Row:
    """Return a row of the settings, the figures of the power table in it where those can be set as they are."""
    made = POWER_SET.row(line.row.at, line, line.row.kind)
    return _as_flown(made, {
        PRESSURE.name: PowerRow.manifold_pressure.of(line.row).key if PowerRow.manifold_pressure.of(line.row).there else "",
        RPM.name: PowerRow.rpm.of(line.row).key if PowerRow.rpm.of(line.row).there else "",
    })  # fmt: skip


def _as_flown(row: Row, flown: Mapping[str, str]) -> Row:
    """Return a row with the figures flown in the columns that have none of their own."""
    taken = {name: key for name, key in flown.items() if key and name not in row.cells}
    absent = {name: why for name, why in row.absent.items() if name not in taken}
    return replace(row, cells={**row.cells, **taken}, absent=absent)


def _names(log: Navigation, lines: Sequence[PowerLine]) -> list[str]:
    passes: Mapping[str, int] = pass_numbers(log.phases)
    found, before = [], ""
    for line in lines:
        ident = line.row.flown.phase.ident
        words = "" if ident == before else phase_words(line.row.flown, passes.get(ident, 0))
        if not words and line.row.ice:
            words = ICING if line.row.setting.air.icing else CLEAR
        found.append(f"mixture {line.row.setting.mixture_name}" if line.row.mixture_change else words)
        before = ident
    return found


def _move(lines: Sequence[PowerLine], index: int) -> str:
    now = lines[index].row.setting.power_w
    before = lines[index - 1].row.setting.power_w if index else 0.0
    if now is None or before is None or not lines[index].row.moves:
        return ""
    return MORE if now > before else LESS


class FewerSet(Record):
    """The setting with one engine stopped on a leg, as the crew sets it."""

    def __init__(
        self, number: int, cells: Mapping[str, str], resolution: InstrumentResolution, writer: LedgerWriter
    ) -> None:
        self.at, self._cells, self._resolution, self._writer = (
            f"briefing.one_out.{number:02d}",
            cells,
            resolution,
            writer,
        )

    def _number(self, figure_of: Figure[OneOutSetting, float]) -> float:
        key = self._cells.get(SETTING.column(figure_of).name, "")
        if not key or isinstance(self._writer[key].value, str):
            raise Absent(NOT_PRINTED)
        return self._writer.number(key)

    @figure("One out: manifold pressure to set", "inHg", decimals=1, how=SET_DOWN)
    def manifold_pressure(self) -> float:
        return _other(self._number(OneOutSetting.manifold_pressure), set_down, self._resolution.manifold_pressure_pa)

    @figure("One out: engine speed to set", "rpm", how=SET_UP)
    def rpm(self) -> float:
        return _other(self._number(OneOutSetting.rpm), set_up, self._resolution.engine_speed_rpm)

    def flown(self) -> dict[str, str]:
        """Return the keys of the section's own figures by the columns they stand in."""
        own = {ONE_OUT_PRESSURE.name: OneOutSetting.manifold_pressure, ONE_OUT_RPM.name: OneOutSetting.rpm}
        keys = {name: self._cells.get(SETTING.column(of).name, "") for name, of in own.items()}
        return {name: key for name, key in keys.items() if key and not isinstance(self._writer[key].value, str)}


ONE_OUT_PRESSURE, ONE_OUT_RPM = column(FewerSet.manifold_pressure, "inHg"), column(FewerSet.rpm, "rpm")
OWNED = (
    "leg",
    "running",
    "mixture",
    "ias",
    "flow",
)  # what stands in the section's own table and is shown as it is there
ONE_OUT = TableOf(
    "briefing.one_out",
    "Set with one out",
    (
        ONE_OUT_PRESSURE,
        ONE_OUT_RPM,
        *(ColumnOf(one.name, one.head, one.unit) for one in SETTING.columns if one.name in OWNED),
    ),
)


def write_one_out(mission: Mission, writer: LedgerWriter) -> None:
    """Enter the settings with one engine stopped as they are set."""
    table = writer.tables.get(SETTING.name)
    rows = []
    for number, row in enumerate(table.rows if table else (), start=1):
        record = FewerSet(number, row.cells, mission.aircraft.instrument_resolution, writer)
        writer.adopt(record)
        own = _as_flown(ONE_OUT.row(row.name, record), record.flown())
        rows.append(Row(row.name, {**own.cells, **{name: key for name, key in row.cells.items() if name in OWNED}}))
    if rows:
        writer.tabulate(ONE_OUT.filled(rows))
