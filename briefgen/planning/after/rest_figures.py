"""The rest of a flight planned anew, entered: the fix, the points ahead, the fields, equal time, the hold."""

from __future__ import annotations

import math
from datetime import datetime

from briefgen.frozen import dataclass
from briefgen.kernel.wind import wind_towards
from briefgen.model.mission import Alternate, Mission
from briefgen.model.plan import Phase
from briefgen.model.record import Absent, Record, Sum, figure, given, rests_on, total
from briefgen.model.tables import TableOf, column
from briefgen.planning.after.fading import WindDifference
from briefgen.planning.after.fix import Fix
from briefgen.planning.after.readings import Reading
from briefgen.planning.after.rest import LeaveHold, Reach, Rest
from briefgen.planning.flight.home.equal_time import EqualTime
from briefgen.planning.sections.basis.groups import BALANCE, FLOWN_BY, PLACES, RULES, rest_on_groups

FROM_FIX = "flown from the fix as planned, in the air ahead"
RATHER = "flown from the fix as planned, in the forecast air alone"
BEFORE = "the plan before the flight"


@dataclass(frozen=True)
class Ahead:
    """One point ahead: the phase that ends there as planned anew, in the forecast alone, and before the flight."""

    number: int | None
    words: str
    phase: Phase
    forecast: Phase
    planned: Phase | None


class FixFigures(Record):
    """Where the rest begins."""

    at = "replan.fix"

    def __init__(
        self, fix: Fix, rest: Rest, lost_kg: float, density: float, readings: tuple[Reading, Reading], to: Alternate | None
    ) -> None:  # fmt: skip
        self._fix, self._rest, self._lost_kg, self._density, self._to = fix, rest, lost_kg, density, to
        (self.reading, self.there), self.words = readings, fix.words
        self.beyond = (
            "flown from over the destination in the air ahead" if to is None else "none: she goes to the last field"
        )

    def fuel_density(self) -> float:
        return self._density

    def solved(self) -> None:
        """Read what the rest was flown with."""
        rests_on(self.fuel, self.mass)
        rest_on_groups(*FLOWN_BY, PLACES, RULES)

    @figure("Fix", how="the last line of the log with a place and a time")
    def where(self) -> str:
        return self.words

    @figure("Going to", how="the field turned to, else where the route ends")
    def going_to(self) -> str:
        rest_on_groups(PLACES)
        return (self._to.place if self._to else self._rest.flown.mission.route.destination).name

    @figure("Time of the fix", "UTC", how="as logged")
    def time(self) -> datetime:
        return self.there.time

    @figure("Fuel flow since the reading", "lb/h", how="the flow read last, else that of the plan")
    def flow(self) -> float:
        rests_on(self.reading.time)
        if not self._fix.flow_read:
            rest_on_groups(*FLOWN_BY)
        return self._fix.flow_kg_per_s

    @figure("Fuel at the fix", "lb", how="fuel read last less the flow since", volume=True, rounding="down")
    def fuel(self) -> float:
        since_s = (self.time - self.reading.time).total_seconds()
        return self.reading.fuel - self.flow * since_s

    @figure("Of it not to be had", "lb", how="in tanks that no transfer empties any more", volume=True)
    def lost(self) -> float:
        if not self._lost_kg:
            raise Absent("every tank can be used")
        rests_on(self.reading.fuel)
        return self._lost_kg

    @figure("Weight at the fix", "lb", how="weight without fuel as loaded, less what left, and the fuel")
    def mass(self) -> float:
        rests_on(self.fuel)
        rest_on_groups(BALANCE)
        return self._fix.node.mass_kg

    @figure("Fuel to go on to landing", "lb", how=FROM_FIX, volume=True)
    def onward(self) -> float:
        self.solved()
        return self._fix.node.fuel_kg - self._rest.phases[-1].end.fuel_kg

    @figure(
        "To the alternate, or the island reserve",
        "lb",
        how="%(beyond)s",
        volume=True,
    )
    def away(self) -> float:
        self.solved()
        return self._rest.away_kg

    @figure("Final reserve, unusable and lost", "lb", volume=True,
            how="final reserve as planned before the flight, unusable fuel, and what cannot be had any more")  # fmt: skip
    def held_back(self) -> float:
        rest_on_groups(RULES, BALANCE)
        return self._rest.held_back_kg

    @total(
        "Least fuel to go on",
        "lb",
        how="to go on, to the alternate, final reserve and unusable",
        volume=True,
        rounding="up",
    )
    def least(self) -> Sum:
        return Sum([FixFigures.onward.of(self), FixFigures.away.of(self), FixFigures.held_back.of(self)])

    @total("Over the least", "lb", how="fuel at the fix less the least", volume=True, rounding="down")
    def over(self) -> Sum:
        return Sum([FixFigures.fuel.of(self)], [FixFigures.least.of(self)])


class WindFigures(Record):
    """The wind that was found, and how it fades ahead."""

    at = "replan.wind"

    def __init__(self, found: WindDifference | None, mission: Mission, there: Reading) -> None:
        self._found, self._mission, self._there = found, mission, there
        self.on = found.words if found else "no leg"
        self.what = (
            "what the speed over the ground lacked"
            if found and found.by_ground_speed
            else "wind found less wind forecast"
        )
        self.source = mission.fading.source if mission.fading else ""

    def _difference(self) -> WindDifference:
        if self._found is None:
            raise Absent("no leg has the times over both its ends")
        rests_on(self._there.time)
        rest_on_groups(*FLOWN_BY)
        return self._found

    @figure("Wind found on", how="the last leg with both its times")
    def leg(self) -> str:
        return self._difference().words

    @figure("Difference from the forecast, from", "degT", how="%(what)s", name="difference_from")
    def blows_from(self) -> float:
        found = self._difference()
        return wind_towards(found.north_m_per_s, found.east_m_per_s).from_deg

    @figure("Difference from the forecast", "kt", how="%(what)s")
    def speed(self) -> float:
        found = self._difference()
        return math.hypot(found.north_m_per_s, found.east_m_per_s)

    @given("It fades to 0.37 over", "NM", spec="found wind fades.over")
    def over(self) -> float:
        if self._mission.fading is None:
            raise Absent("the mission does not say how a found wind fades: the forecast stands ahead")
        return self._mission.fading.over_m

    @given("It fades to 0.37 in", "h:min", spec="found wind fades.in")
    def in_time(self) -> float:
        if self._mission.fading is None:
            raise Absent("the mission does not say how a found wind fades: the forecast stands ahead")
        return self._mission.fading.in_s


class Line(Record):
    """One point ahead."""

    def __init__(self, index: int, ahead: Ahead, rest: Rest, fix: FixFigures) -> None:
        self.at, self._ahead, self._rest, self._fix = f"replan.line.{index:02d}", ahead, rest, fix
        self.words = ahead.words

    def fuel_density(self) -> float:
        return self._fix.fuel_density()

    @figure("No", how="the number of the line on the card of the fuel log")
    def no(self) -> str:
        return str(self._ahead.number) if self._ahead.number else "–"

    @figure("Where", how="a point ahead")
    def where(self) -> str:
        return self.words

    @figure("%(words)s: as planned", "UTC", how=BEFORE)
    def planned(self) -> datetime:
        if self._ahead.planned is None:
            raise Absent("the plan before the flight has no such point")
        rest_on_groups(*FLOWN_BY, PLACES, RULES)
        return self._ahead.planned.end.instant

    @figure("%(words)s: estimate", "UTC", how=FROM_FIX)
    def time(self) -> datetime:
        self._fix.solved()
        return self._ahead.phase.end.instant

    @figure("%(words)s: later than planned", "min", how="estimate less planned")
    def later(self) -> float:
        return (self.time - self.planned).total_seconds()

    @figure("%(words)s: estimate in the forecast alone", "UTC", how=RATHER)
    def forecast_time(self) -> datetime:
        self._fix.solved()
        return self._ahead.forecast.end.instant

    @figure("%(words)s: fuel left", "lb", how=FROM_FIX, volume=True, rounding="down")
    def fuel(self) -> float:
        self._fix.solved()
        return self._ahead.phase.end.fuel_kg

    @figure("%(words)s: fuel left in the forecast alone", "lb", how=RATHER, volume=True, rounding="down")
    def forecast_fuel(self) -> float:
        self._fix.solved()
        return self._ahead.forecast.end.fuel_kg

    @figure("%(words)s: least fuel to go on", "lb", volume=True, rounding="up",
            how="to go on, then the alternate or the island reserve, final reserve and unusable fuel; no contingency")  # fmt: skip
    def least(self) -> float:
        self._fix.solved()
        return self._rest.least_kg(self._ahead.phase)

    @total("%(words)s: over the least", "lb", how="fuel left less the least", volume=True)
    def over(self) -> Sum:
        return Sum([Line.fuel.of(self)], [Line.least.of(self)])


class Field(Record):
    """A field that can be turned to."""

    def __init__(self, reach: Reach, fix: FixFigures) -> None:
        self.at, self._reach, self._fix = (
            f"replan.{reach.refuge.key.replace('way_home.', '').replace('.', '_')}",
            reach,
            fix,
        )
        self.field = reach.refuge.place.name

    def fuel_density(self) -> float:
        return self._fix.fuel_density()

    @figure("Field", how="a field of the mission")
    def name(self) -> str:
        return self.field

    @figure("%(field)s: fuel needed from the fix", "lb", volume=True, rounding="up",
            how="level to overhead, approach added, reserve kept, in the air ahead")  # fmt: skip
    def needed(self) -> float:
        if self._reach.needed_kg is None:
            raise Absent("it cannot be reached from the fix")
        self._fix.solved()
        return self._reach.needed_kg

    @total(
        "%(field)s: fuel over what is needed",
        "lb",
        how="fuel at the fix less fuel needed",
        volume=True,
        rounding="down",
    )
    def spare(self) -> Sum:
        return Sum([FixFigures.fuel.of(self._fix)], [Field.needed.of(self)])

    @figure(
        "%(field)s: last moment to turn to it",
        "UTC",
        how="where fuel left equals fuel needed along the rest of the flight",
    )
    def until(self) -> datetime:
        closing = [point for point in self._reach.points if point.closing]
        if not closing:
            raise Absent("it stays in reach to the landing, or is not in reach at all")
        self._fix.solved()
        return closing[0].spot.node.instant


class EqualFigures(Record):
    """An equal-time point ahead."""

    def __init__(self, number: int, equal: EqualTime, fix: FixFigures) -> None:
        self.at, self._equal, self._fix = f"replan.equal.{number:02d}", equal, fix
        self.fields = f"{equal.choice.behind.name} and {equal.choice.ahead.name}"

    @figure("Between", how="two fields")
    def between(self) -> str:
        return self.fields

    @figure("Equal time to %(fields)s", "UTC", how="where it takes as long back as on, in the air ahead")
    def time(self) -> datetime:
        self._fix.solved()
        return self._equal.spot.node.instant

    @figure("Equal time to %(fields)s: latitude", "latitude", how="where she is then")
    def latitude(self) -> float:
        self._fix.solved()
        return self._equal.spot.node.lat_deg

    @figure("Equal time to %(fields)s: longitude", "longitude", how="where she is then")
    def longitude(self) -> float:
        self._fix.solved()
        return self._equal.spot.node.lon_deg

    @figure("Equal time to %(fields)s: each way", "h:min", how="time back, which is the time on")
    def each_way(self) -> float:
        self._fix.solved()
        return self._equal.way.time_s


class LeaveFigures(Record):
    """The latest moment to leave the hold for a field."""

    def __init__(self, number: int, found: LeaveHold, fix: FixFigures) -> None:
        self.at, self._found, self._fix = f"replan.leave.{number:02d}", found, fix
        self.to = found.refuge.place.name

    def fuel_density(self) -> float:
        return self._fix.fuel_density()

    @figure("For", how="a field of the mission")
    def field(self) -> str:
        return self.to

    @figure(
        "Leave the hold for %(to)s by", "UTC", how="the hold kept up until fuel left equals fuel needed, reserve kept"
    )
    def time(self) -> datetime:
        self._fix.solved()
        return self._found.spot.node.instant

    @figure("Leave the hold for %(to)s: fuel there", "lb", how="fuel left at that moment", volume=True, rounding="up")
    def fuel(self) -> float:
        self._fix.solved()
        return self._found.spot.node.fuel_kg


LINES = TableOf(
    "replan.lines",
    "Rest of the route",
    (
        column(Line.no, "No"), column(Line.where, "Where"), column(Line.planned, "Planned"), column(Line.time, "Estimate"),
        column(Line.later, "Later"), column(Line.forecast_time, "Forecast alone"), column(Line.fuel.volume(), "Fuel"),
        column(Line.forecast_fuel.volume(), "Forecast alone", name="forecast_fuel"), column(Line.least.volume(), "Least"), column(Line.over.volume(), "Over least"),
    ),
    "Flown from the fix with what is left of the wind found; beside it in the forecast alone. Numbers are those of the fuel log.",
)  # fmt: skip
FIELDS = TableOf(
    "replan.fields",
    "Fields from the fix",
    (column(Field.name, "Field"), column(Field.needed.volume(), "Needs"), column(Field.spare.volume(), "Over it"), column(Field.until, "Last moment")),
    "Reserve kept; no last moment means that the field stays in reach to the landing, or that nothing is over.",
)  # fmt: skip
EQUALS = TableOf(
    "replan.equal",
    "Equal time ahead",
    (
        column(EqualFigures.between, "Between"), column(EqualFigures.time, "At"), column(EqualFigures.latitude, "Latitude"),
        column(EqualFigures.longitude, "Longitude"), column(EqualFigures.each_way, "Each way"),
    ),
)  # fmt: skip
LEAVES = TableOf(
    "replan.leaves",
    "Leave the hold by",
    (
        column(LeaveFigures.field, "For"),
        column(LeaveFigures.time, "By"),
        column(LeaveFigures.fuel.volume(), "Fuel then"),
    ),
)
