"""For the book: hours of the flight and of the engines, time at take-off power, oil, dilution, defects."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, timedelta

from briefgen.kernel.sun import LightCondition, light_condition
from briefgen.model.flight_log import Defect, EngineBook, FlightLog
from briefgen.model.plan import Node
from briefgen.model.record import Absent, Record, Sum, figure, given, rests_on, total
from briefgen.model.tables import TableOf, column
from briefgen.planning.after.readings import NOT_WRITTEN, Reading, written
from briefgen.planning.after.spans import Told
from briefgen.planning.after.ways import IN, OUT, Stretch
from briefgen.planning.ledger.writer import LedgerWriter

MINUTE = timedelta(minutes=1)


class FlightTimes(Record):
    """The flight-time record."""

    at = "debrief.book"

    def __init__(self, log: FlightLog, readings: dict[str, Reading], as_met: Sequence[Stretch], told: Told) -> None:
        self._readings, self._as_met, self._told = readings, as_met, told
        self.dilution = log.engines

    def _between(self, first: str, last: str) -> Sum:
        if first not in self._readings or last not in self._readings:
            raise Absent(NOT_WRITTEN)
        return Sum([Reading.time.of(self._readings[last])], [Reading.time.of(self._readings[first])])

    @total("Engines running", "h:min", how="off blocks to on blocks")
    def block(self) -> Sum:
        return self._between("off blocks", "on blocks")

    @total("In the air", "h:min", how="off ground to on ground")
    def air(self) -> Sum:
        return self._between("off ground", "on ground")

    @figure(
        "In the air by night",
        "h:min",
        how="minutes in the air after evening and before morning civil twilight, along the way as met",
    )
    def night(self) -> float:
        rests_on(self.air)
        self._told.rest()
        off, on = self._readings["off ground"].time, self._readings["on ground"].time
        nodes = [
            node for one in self._as_met if one.name not in (OUT, IN) for phase in one.phases for node in phase.nodes
        ]
        return 60.0 * math.fsum(
            light_condition(at, *_place(nodes, at)) == LightCondition.NIGHT for at in _minutes(off, on)
        )

    @given("Oil diluted for", "min", spec="log:engines.oil dilution.lasts")
    def dilution_time(self) -> float:
        if self.dilution.dilution_s is None:
            raise Absent(NOT_WRITTEN)
        return self.dilution.dilution_s

    @given("Oil dilution began", "UTC", spec="log:engines.oil dilution.at")
    def dilution_at(self) -> datetime:
        if self.dilution.dilution_at is None:
            raise Absent(NOT_WRITTEN)
        return self.dilution.dilution_at


def _minutes(off: datetime, on: datetime) -> list[datetime]:
    """Return the middle of every minute in the air."""
    return [off + MINUTE * (index + 0.5) for index in range(round((on - off) / MINUTE))]


def _place(nodes: Sequence[Node], at: datetime) -> tuple[float, float]:
    """Return where she was at a time: at the node before it."""
    before = [node for node in nodes if node.instant <= at]
    node = before[-1] if before else nodes[0]
    return node.lat_deg, node.lon_deg


class EngineFigures(Record):
    """One engine's line of the book."""

    def __init__(self, number: int, book: EngineBook, times: FlightTimes) -> None:
        self.at, self.number, self._book, self._times = f"debrief.engine.{number}", number, book, times
        self.index = number - 1

    def _one(self, values: Sequence[float]) -> float:
        if not values:
            raise Absent(NOT_WRITTEN)
        return values[self.index]

    @figure("Engine", how="numbered from the left")
    def name(self) -> str:
        return str(self.number)

    @given("Engine %(number)d: hours before", "h:min", spec="log:engines.engine hours[%(index)d]")
    def before(self) -> float:
        return self._one(self._book.hours_before_s)

    @total("Engine %(number)d: hours after", "h:min", how="hours before and the time engines ran")
    def after(self) -> Sum:
        return Sum([EngineFigures.before.of(self), FlightTimes.block.of(self._times)])

    @given("Engine %(number)d: oil before the start", "US gal", decimals=1, spec="log:engines.oil in[%(index)d]")
    def oil_in(self) -> float:
        return self._one(self._book.oil_in_m3)

    @given("Engine %(number)d: oil added", "US gal", decimals=1, spec="log:engines.oil added[%(index)d]")
    def oil_added(self) -> float:
        return self._one(self._book.oil_added_m3)

    @given("Engine %(number)d: oil after", "US gal", decimals=1, spec="log:engines.oil out[%(index)d]")
    def oil_out(self) -> float:
        return self._one(self._book.oil_out_m3)

    @total("Engine %(number)d: oil used", "US gal", decimals=1, how="oil before and oil added less oil after")
    def oil_used(self) -> Sum:
        added = EngineFigures.oil_added.of(self)
        return Sum([EngineFigures.oil_in.of(self), *([added] if added.there else [])], [EngineFigures.oil_out.of(self)])

    @figure("Engine %(number)d: oil an hour", "US gal/h", decimals=2, how="oil used over the time engines ran")
    def oil_rate(self) -> float:
        return self.oil_used / self._times.block


class DefectFigures(Record):
    """One defect."""

    def __init__(self, number: int, defect: Defect) -> None:
        self.at, self._defect, self.index = f"debrief.defect.{number:02d}", defect, number - 1

    @given("Defect", spec="log:defects[%(index)d].what")
    def what(self) -> str:
        return written(self._defect.what)

    @figure("Of engine", how="as logged")
    def engine(self) -> str:
        return str(self._defect.engine) if self._defect.engine else "airframe"

    @figure("Found", how="as logged")
    def found(self) -> str:
        if not self._defect.found:
            raise Absent(NOT_WRITTEN)
        return written(self._defect.found)


class Remark(Record):
    """One remark."""

    def __init__(self, number: int, text: str) -> None:
        self.at, self._text, self.index = f"debrief.remark.{number:02d}", text, number - 1

    @given("Remark", spec="log:remarks[%(index)d]")
    def text(self) -> str:
        return written(self._text)


ENGINES = TableOf(
    "debrief.engines",
    "Engines",
    (
        column(EngineFigures.name, "Engine"),
        column(EngineFigures.before, "Hours before"),
        column(EngineFigures.after, "Hours after"),
        column(EngineFigures.oil_in, "Oil in"),
        column(EngineFigures.oil_added, "Oil added"),
        column(EngineFigures.oil_out, "Oil out"),
        column(EngineFigures.oil_used, "Oil used"),
        column(EngineFigures.oil_rate, "Oil an hour"),
    ),
)
DEFECTS = TableOf(
    "debrief.defects",
    "Defects",
    (column(DefectFigures.what, "What"), column(DefectFigures.engine, "Engine"), column(DefectFigures.found, "Found")),
)
REMARKS = TableOf("debrief.remarks", "Remarks", (column(Remark.text, "Remark"),))


def write_book(log: FlightLog, times: FlightTimes, engines: int, writer: LedgerWriter) -> None:
    """Enter the flight-time record, the line of every engine, defects and remarks."""
    writer.adopt(times)
    book = log.engines
    if any((book.oil_in_m3, book.oil_out_m3, book.oil_added_m3, book.hours_before_s)):
        lines = [EngineFigures(number, book, times) for number in range(1, engines + 1)]
        for line in lines:
            writer.adopt(line)
        writer.tabulate(ENGINES.filled([ENGINES.row(line.at, line) for line in lines]))
    defects = [DefectFigures(number, one) for number, one in enumerate(log.defects, 1)]
    remarks = [Remark(number, text) for number, text in enumerate(log.remarks, 1)]
    for record in (*defects, *remarks):
        writer.adopt(record)
    if defects:
        writer.tabulate(DEFECTS.filled([DEFECTS.row(one.at, one) for one in defects]))
    if remarks:
        writer.tabulate(REMARKS.filled([REMARKS.row(one.at, one) for one in remarks]))
