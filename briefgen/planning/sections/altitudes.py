"""The choice of height, entered: every level worth comparing of each leg, what it costs, or why it cannot be flown."""

from __future__ import annotations

from briefgen.errors import PlanError
from briefgen.kernel.constants import FT_M
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, Sum, figure, note, rests_on, total
from briefgen.model.tables import TableOf, column
from briefgen.planning.flight.levels import Cruise, Flight, LevelFlown, cruises, flights
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.steps import Crew
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import FLOWN_BY, PLACES, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation

HOW = (
    "the cruise part of the leg flown level there at its cruise choice: forecast wind and temperature of that level and the "
    "weight planned, in the middle of each hour"
)
AS_PLANNED = "as planned, from the beginning of the leg's cruise to its end"
NOTE = (
    "Cruise part of each leg only: what more climb costs, or less saves, is not in it. "
    "A best speed is worked out for each level at the place and weight half way."
)


class LevelFigures(Record):
    """One level of a leg's cruise: what it costs, the planned one as planned."""

    def __init__(self, mission: Mission, log: Navigation, cruise: Cruise, flown: LevelFlown) -> None:
        self.at = f"altitudes.{cruise.key}.{_level_name(flown.height_m)}"
        self._mission, self._log, self._cruise, self._flown = mission, log, cruise, flown
        self._item = log.of_item(cruise.key)
        self.planned: LevelFigures = self
        where = "its planned altitude" if flown.planned else "another altitude"
        self.name = f"Leg to {cruise.leg.to.name}"
        self.label = f"{self.name} at {where}"
        self.how = AS_PLANNED if flown.planned else HOW
        written = "altitude of the leg as written"
        self.chosen = written if flown.planned else "a cruising level of its track, not below the safe altitude"
        self.said = written if flown.planned else HOW

    @property
    def mark(self) -> str:
        """The mark of its row."""
        return "decision" if self._flown.planned else ""

    @figure("%(label)s: level", "ft", how="%(chosen)s")
    def level(self) -> float:
        note(f"{self._cruise.key}.height")
        return self._flown.height_m

    def _flight(self) -> Flight:
        """Return the flight at this level, with what it rests on read."""
        found, first, last = self._flown.found, self._cruise.phases[0], self._cruise.phases[-1]
        if not isinstance(found, Flight):
            raise Absent(found.problem)
        rests_on(self.level, self._item.distance, self._log.of_phase(first).begin, self._log.of_phase(last).mass)
        rest_on_groups(*FLOWN_BY, PLACES)
        return found

    @figure("%(label)s: head wind", "kt", how="%(how)s")
    def headwind(self) -> float:
        return self._flight().headwind_m_per_s

    @figure("%(label)s: indicated airspeed", AIRSPEED, how="%(how)s")
    def ias(self) -> float:
        return self._flight().ias_m_per_s

    @figure("%(label)s: ground speed", "kt", how="%(how)s")
    def ground_speed(self) -> float:
        return self._cruise.distance_m / self._flight().time_s

    @figure("%(label)s: time", "min", how="%(how)s")
    def time(self) -> float:
        return self._flight().time_s

    @figure("%(label)s: fuel", "US gal", how="%(how)s")
    def fuel(self) -> float:
        note("fuel.density")
        return self._flight().fuel_kg / self._mission.fuel.density_kg_per_m3

    @total("%(label)s: more fuel than planned", "US gal", how="fuel there less fuel as planned")
    def more_fuel(self) -> Sum:
        if self._flown.planned:
            raise Absent("it is the planned altitude")
        return Sum([LevelFigures.fuel.of(self)], [LevelFigures.fuel.of(self.planned)])

    @figure("%(label)s: remark", how="%(said)s")
    def word(self) -> str:
        found = self._flown.found
        rests_on(self.level, self._item.distance, self._log.of_phase(self._cruise.phases[-1]).mass)
        rest_on_groups(*FLOWN_BY, PLACES)
        if self._flown.planned:
            return "planned"
        if isinstance(found, Flight):
            raise Absent("nothing stands against it")
        reason = "not attainable" if isinstance(found, PlanError) else "outside the data"
        return f"{reason}: {found.problem.replace('degC', '°C')}"


ALTITUDES = TableOf(
    "altitudes",
    "Choice of altitude",
    (
        column(LevelFigures.level, "Altitude"),
        column(LevelFigures.headwind, "Head wind"),
        column(LevelFigures.ias, "Indicated airspeed"),
        column(LevelFigures.ground_speed, "Ground speed"),
        column(LevelFigures.time, "Time"),
        column(LevelFigures.fuel, "Fuel"),
        column(LevelFigures.more_fuel, "More fuel than planned"),
        column(LevelFigures.word, "Remark"),
    ),
    NOTE,
)


def _level_name(height_m: float) -> str:
    """Return a height as a part of a key: hundreds of feet, or feet where it lies between; no two heights share one."""
    height_ft = round(height_m / FT_M)
    return f"{height_ft}ft" if height_ft % 100 else f"{height_ft // 100:03d}"


def write_altitudes(mission: Mission, crew: Crew, flown: Flown, log: Navigation, writer: LedgerWriter) -> None:
    """Enter the table of levels for every leg that has a cruise, the highest level first."""
    rows: list[Row] = []
    for cruise in cruises(mission, flown):
        levels = [LevelFigures(mission, log, cruise, one) for one in flights(mission, crew, cruise)]
        planned = next(level for level in levels if level.mark)
        for level in levels:
            level.planned = planned
            writer.adopt(level)
        rows += [ALTITUDES.row(level.name, level, level.mark) for level in levels]
    if rows:
        writer.tabulate(ALTITUDES.filled(rows))
