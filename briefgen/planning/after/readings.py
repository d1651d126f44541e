"""What was read on the way, line by line as on the card, beside what was planned."""

from __future__ import annotations

from datetime import datetime

from briefgen.model.flight_log import FlightLog, Logged
from briefgen.model.ledger import Row
from briefgen.model.plan import Plan
from briefgen.model.record import Absent, Record, figure, given
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.briefing.fuel_log import FUEL_LOG, LEAST, PLAN, TIME, numbered_rows

NOT_WRITTEN = "it was not written down"
EVENT_WORDS = {
    "off blocks": "off blocks, engines start", "off ground": "off ground", "on ground": "on ground",
    "on blocks": "on blocks, engines stopped",
}  # fmt: skip


def written(text: str) -> str:
    """Return a crew's own words as an entry holds them: their braces are braces and quote nothing."""
    return text.replace("{", "{{").replace("}", "}}")


class Reading(Record):
    """One moment of the log: an event on the ground, or a line."""

    def __init__(self, slug: str, logged: Logged, density: float, planned: Row | None, writer: LedgerWriter) -> None:
        self.at, self.logged, self._density, self._writer = f"debrief.read.{slug}", logged, density, writer
        blank = logged.blank
        self.words = (blank.where or "half hour") if blank else EVENT_WORDS.get(logged.name, "between lines")
        self.number = str(blank.number) if blank else ""
        self._planned = planned.cells if planned else {}
        self.remarks_path = f"log:{logged.path}.remarks"
        self.time_path, self.fuel_path = f"log:{logged.path}.time", f"log:{logged.path}.fuel"
        if logged.fuel and logged.fuel.by_tank_kg:
            first = next(iter(logged.fuel.by_tank_kg))
            self.fuel_path = f"log:{logged.path}.fuel by tank.{first}"

    def fuel_density(self) -> float:
        return self._density

    def origin(self, path: str) -> str:
        """Return file and line at which a value of the log stands."""
        found = self._writer.origin(path)
        return f"{found.file}:{found.line}" if found else ""

    @property
    def time_origin(self) -> str:
        """Where the time was written."""
        return self.origin(self.time_path)

    @property
    def fuel_origin(self) -> str:
        """Where the fuel was written."""
        return self.origin(self.fuel_path)

    def planned_key(self, wanted: ColumnOf) -> str:
        """Return the key of what the card has in a column of this line.

        Raises:
            Absent: The card has no such line, or nothing there.
        """
        key = self._planned.get(wanted.name, "")
        if not key:
            raise Absent("the card has nothing there")
        return key

    @figure("Where", how="the line of the card")
    def where(self) -> str:
        return self.words

    @figure("No", how="the number of the line on the card, and in the log")
    def no(self) -> str:
        return self.number or "–"

    @figure("%(words)s: time", "UTC", how="as logged", source="%(time_origin)s")
    def time(self) -> datetime:
        if self.logged.instant is None:
            raise Absent(NOT_WRITTEN)
        return self.logged.instant

    @given("%(words)s: remarks", spec="%(remarks_path)s")
    def remarks(self) -> str:
        if not self.logged.remarks:
            raise Absent(NOT_WRITTEN)
        return written(self.logged.remarks)

    @figure("%(words)s: later than planned", "min", how="time logged less time planned")
    def late(self) -> float:
        return (self.time - self._writer.instant(self.planned_key(TIME))).total_seconds()

    @figure("%(words)s: fuel aboard", "lb", how="as read, with the density of the log or else of the plan",
            source="%(fuel_origin)s", volume=True)  # fmt: skip
    def fuel(self) -> float:
        if self.logged.fuel is None:
            raise Absent(NOT_WRITTEN)
        return self.logged.fuel.total_kg

    @figure("%(words)s: more fuel than planned", "US gal", how="fuel read less fuel planned")
    def fuel_more(self) -> float:
        return self._volume() - self._writer.number(self.planned_key(PLAN))

    @figure("%(words)s: over the least to go on", "US gal", how="fuel read less the least to continue as planned")
    def over_least(self) -> float:
        return self._volume() - self._writer.number(self.planned_key(LEAST))

    def _volume(self) -> float:
        return FUEL.read(self)


FUEL = Reading.fuel.volume()
ACTUAL_TIME, ACTUAL_FUEL = column(Reading.time, "Actual", "UTC"), column(FUEL, "Actual")
PLAN_TIME, PLAN_FUEL, LEAST_FUEL = (
    ColumnOf("planned_time", "Planned", "UTC"), ColumnOf("planned_fuel", "Planned", "US gal"), ColumnOf("least", "Least", "US gal"),
)  # fmt: skip
LINES = TableOf(
    "debrief.lines",
    "Line by line",
    (
        column(Reading.no, "No"), column(Reading.where, "Where"), PLAN_TIME, ACTUAL_TIME, column(Reading.late, "Late"), PLAN_FUEL, ACTUAL_FUEL,
        column(Reading.fuel_more, "More"), LEAST_FUEL, column(Reading.over_least, "Over least"), column(Reading.remarks, "Remarks"),
    ),
    "Numbers are those of the card of the fuel log. Least is the least fuel to go on with as planned, reserves kept.",
)  # fmt: skip
PLANNED = ((PLAN_TIME, TIME), (PLAN_FUEL, PLAN), (LEAST_FUEL, LEAST))


def write_readings(plan: Plan, log: FlightLog, writer: LedgerWriter) -> dict[str, Reading]:
    """Enter every moment of the log beside what was planned; return them by their path in the log."""
    table = plan.tables.get(FUEL_LOG.name)
    planned = dict(numbered_rows(table.rows if table else ()))
    found, rows = {}, []
    for index, logged in enumerate(log.in_order(), 1):
        line = planned.get(logged.blank.number) if logged.blank else None
        reading = Reading(f"{index:02d}", logged, log.density_kg_per_m3, line, writer)
        writer.adopt(reading)
        _promise(reading, writer)
        found[logged.path] = reading
        if logged.instant or logged.fuel:
            row = LINES.row(reading.at, reading)
            cells = {
                ours.name: line.cells[theirs.name] for ours, theirs in PLANNED if line and theirs.name in line.cells
            }
            rows.append(Row(row.name, {**row.cells, **cells}, row.mark, row.absent))
    if rows:
        writer.tabulate(LINES.filled(rows))
    return found


def _promise(reading: Reading, writer: LedgerWriter) -> None:
    """Promise that what was read less what was planned is the difference, as printed."""
    for difference, read, planned in (
        (Reading.late, Reading.time, TIME), (Reading.fuel_more, FUEL, PLAN), (Reading.over_least, FUEL, LEAST),
    ):  # fmt: skip
        if difference.of(reading).there:
            writer.foot(difference.of(reading).key, (read.of(reading).key,), (reading.planned_key(planned),))
