"""The debrief: a plan, its log and the way that was flown, joined into a ledger that goes on where the plan's ends."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from briefgen.frozen import dataclass
from briefgen.model.flight_log import FlightLog
from briefgen.model.plan import ChartData, ChartName, ChartPoint, Plan, Series
from briefgen.model.record import Absent, Record, Sum, figure, total
from briefgen.planning.after.book import FlightTimes, write_book
from briefgen.planning.after.held import Left, TakeOffPower, write_held
from briefgen.planning.after.measured import Measured, measured_of, way_flown
from briefgen.planning.after.met import met_of
from briefgen.planning.after.readings import Reading, write_readings
from briefgen.planning.after.spans import Cause, Span, Told, Whole, write_spans
from briefgen.planning.after.stretches import write_stretches
from briefgen.planning.after.subsets import Flights, fly_all
from briefgen.planning.after.ways import AWAY, LANDING, Met, Stretch, Way
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.writer import LedgerWriter

CHART: ChartName = "debrief"


@dataclass(frozen=True)
class Joined:
    """A flight joined to its plan."""

    way: Way
    measured: tuple[Measured, ...]
    met: Met
    flights: Flights


class Elsewhere(Record):
    """What going elsewhere than planned asked for: the way flown, as planned, against the plan as written."""

    at = "debrief.elsewhere"

    def __init__(self, plan: Plan, joined: Joined, told: Told, writer: LedgerWriter) -> None:
        self._plan, self._joined, self._told, self._writer = plan, joined, told, writer
        alternate = joined.way.alternate
        self.to = alternate.place.name if alternate else ""
        self.instead = plan.mission.route.destination.name

    @figure(
        "To %(instead)s, as the plan was written",
        "lb",
        how="fuel at the ramp less fuel remaining when the engines stop",
    )
    def written(self) -> float:
        if not self.to:
            raise Absent("she landed where the plan was written for")
        return self._writer.number("fuel.ramp") - self._writer.number(
            f"phase.{self._plan.phases[-1].ident}.fuel_remaining"
        )

    @figure(
        "To %(to)s, as planned for that way",
        "lb",
        how="the way that was flown, flown again as planned, from ramp to ramp",
    )
    def planned(self) -> float:
        if not self.to:
            raise Absent("she landed where the plan was written for")
        self._told.rest()
        return math.fsum(stretch.burnt_kg for stretch in self._joined.flights.planned)

    @total("Going to %(to)s instead", "lb", how="the one less the other")
    def more(self) -> Sum:
        return Sum([Elsewhere.planned.of(self)], [Elsewhere.written.of(self)])


def join(flown: Flown, log: FlightLog) -> Joined:
    """Return a flight joined to its plan, flown again with every set of the causes that its log tells of.

    Raises:
        PlanError: The log contradicts itself, or what it tells cannot be flown.
    """
    way = way_flown(flown, log)
    measured = measured_of(way, log)
    met = met_of(way, log, measured)
    return Joined(way, measured, met, fly_all(way, met))


def debrief(plan: Plan, joined: Joined, log: FlightLog) -> Plan:
    """Return a plan whose ledger goes on with the debrief; its findings and its chart are the debrief's."""
    writer = LedgerWriter({**plan.mission.given, **log.given}, _airspeed_unit(plan))
    writer.go_on(plan.ledger, plan.tables)
    readings = write_readings(plan, log, writer)
    told = Told(tuple(readings.values()), writer)
    ends = _read_ends(joined, log, readings)
    start = readings.get("off blocks")
    start_kg = start.logged.fuel.total_kg if start is not None and start.logged.fuel is not None else None
    write_stretches(joined.way, joined.flights.planned, joined.measured, start_kg, told, writer)
    spans = [
        Span(number, (before[1], after[1]), (before[0], after[0]), joined.flights, told)
        for number, (before, after) in enumerate(pairwise(ends), 1)
    ]
    if spans:
        causes = [Cause(cause, spans, joined.flights, log.reading_error_kg) for cause in joined.flights.causes]
        write_spans(spans, causes, log.reading_error_kg, writer)
    writer.adopt(Elsewhere(plan, joined, told, writer))
    findings = write_held(
        _left(plan, joined, log, readings, writer), _power(joined.way, log), tuple(readings.values()), writer
    )
    write_book(log, FlightTimes(log, readings, joined.flights.as_met, told), plan.mission.aircraft.engines, writer)
    return replace(
        plan, ledger=writer.sealed(), tables=writer.tables, findings=tuple(findings),
        charts={**plan.charts, CHART: _chart(joined, readings, log.density_kg_per_m3)},
    )  # fmt: skip


def _airspeed_unit(plan: Plan) -> str:
    written = plan.mission.given.get("aircraft:speeds.climb")
    return "kt" if written is not None and "kt" in written.text.split() else "mph"


def _read_ends(joined: Joined, log: FlightLog, readings: Mapping[str, Reading]) -> list[tuple[int, Reading]]:
    """Return the ends of stretches at which the tanks were read, each with the number of the stretch that begins there."""
    found = []
    first = log.events.get("off blocks")
    if first is not None and first.fuel is not None:
        found.append((0, readings[first.path]))
    by_place = {id(one.fuel): one.path for one in log.in_order() if one.fuel is not None}
    for index, one in enumerate(joined.measured, 1):
        if one.fuel is not None:
            found.append((index, readings[by_place[id(one.fuel)]]))
    return found


def _left(plan: Plan, joined: Joined, log: FlightLog, readings: Mapping[str, Reading], writer: LedgerWriter) -> Left:
    down = log.events.get("on ground")
    stretch = next(one for one in joined.flights.as_met if one.name in (AWAY, LANDING))
    aboard_kg = stretch.end.mass_kg - stretch.end.fuel_kg
    limit_kg = plan.mission.aircraft.balance.limits.landing_kg
    return Left(
        readings["on ground"] if down is not None and down.fuel else None, joined.met, aboard_kg, limit_kg, writer
    )


def _power(way: Way, log: FlightLog) -> TakeOffPower:
    take_off = next(phase for phase in way.flown.phases if phase.kind == "take-off")
    return TakeOffPower(log.engines.take_off_power_s, take_off)


# --- the picture -----------------------------------------------------------------------------------------------------------


def _chart(joined: Joined, readings: Mapping[str, Reading], density: float) -> ChartData:
    """Return the fuel against the time since the engines were started: as planned, as met, and the readings."""
    began = joined.flights.as_met[0].start.instant
    points = []
    for one in readings.values():
        if one.logged.instant is not None and one.logged.fuel is not None:
            label = one.number or one.logged.name
            points.append(
                ChartPoint(label, (one.logged.instant - began).total_seconds(), one.logged.fuel.total_kg / density)
            )
    curves = (
        Series("planned", "as planned", "h", "US gal", _line(joined.flights.planned, density)),
        Series("as_met", "with all that was met", "h", "US gal", _line(joined.flights.as_met, density)),
    )
    return ChartData(
        CHART,
        "Fuel by the clock, and as read",
        "Since the engines were started",
        "h",
        "Fuel aboard",
        "US gal",
        curves,
        points=tuple(points),
    )


def _line(flown: Sequence[Stretch], density: float) -> tuple[tuple[float, float], ...]:
    began = flown[0].start.instant
    nodes = [node for stretch in flown for phase in stretch.phases for node in phase.nodes]
    return tuple(((node.instant - began).total_seconds(), node.fuel_kg / density) for node in nodes)


__all__ = ["CHART", "Joined", "Whole", "debrief", "join"]
