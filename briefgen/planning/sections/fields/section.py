"""Take-off and landing: every runway of the plan in its weather, what it allows, and the finding when it is too short."""

from __future__ import annotations

from dataclasses import dataclass, replace

from briefgen.aircraft.factory import fields_for
from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.plan import ChartData, Event, Finding, Node, Phase
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.fields.findings import not_worked_out, take_off_findings, use_findings
from briefgen.planning.sections.fields.landing import LANDING_COLUMNS, write_landing
from briefgen.planning.sections.fields.runway_chart import runway_chart
from briefgen.planning.sections.fields.runway_use import (
    RUNWAY_COLUMNS,
    RunwayUse,
    runway_of,
    runway_use,
    write_runway_use,
)
from briefgen.planning.sections.fields.take_off import write_take_off
from briefgen.planning.sections.fields.take_off_advice import write_advice
from briefgen.planning.sections.fields.take_off_limits import TakeOffLimits
from briefgen.planning.sections.fields.uses import field_uses
from briefgen.weather.surface import Ground


def write_fields(
    mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter, performance: Performance
) -> tuple[tuple[Event, ...], tuple[Finding, ...], dict[str, ChartData]]:
    """Enter take-off and landings, and return the findings and the runway drawn with the points of the take-off.

    Raises:
        PlanError: A runway is not in the places, or its surface or standing water not in the aircraft file.
        OutOfRangeError: The weather or a chart does not cover the take-off; of a landing that is a finding.
    """
    ground = Ground(mission.weather)
    fields = fields_for(mission.aircraft, mission.fuel_grade)
    departure = _departure(mission, phases, ground)
    write_runway_use(departure, fields, writer)
    limits = TakeOffLimits(mission, departure, fields)
    write_take_off(limits, writer)
    leaving = next(phase for phase in phases if phase.kind == "take-off")
    events = write_advice(limits, f"{phase_key(leaving.ident)}.begin", leaving.ident, writer)
    findings = [*use_findings(mission, departure, fields, None, writer), *take_off_findings(limits, writer)]
    uses, rows = [departure], []
    for arrival in _arrivals(mission, phases, writer):
        runway, state = runway_of(arrival.place, arrival.runway), arrival.state
        try:
            use = runway_use(arrival.key, arrival.place, runway, state, state.mass_kg, (arrival.mass_key,), ground)
        except BriefgenError as error:
            findings.append(not_worked_out(arrival.key, arrival.place, error, writer))
            continue
        write_runway_use(use, fields, writer)
        rows.append(write_landing(mission, use, fields, arrival.kind, writer))
        uses.append(use)
        findings += use_findings(mission, use, fields, arrival.kind, writer)
    writer.table("fields.landing", "Landing", LANDING_COLUMNS, rows)
    _write_runways(uses, writer)
    _write_speeds(mission, uses, performance, writer)
    return events, tuple(findings), {"runway": runway_chart(limits)}


def _departure(mission: Mission, phases: tuple[Phase, ...], ground: Ground) -> RunwayUse:
    index = next(number for number, phase in enumerate(phases) if phase.kind == "take-off")
    place, state = mission.route.origin, phases[index].start
    before = (f"{phase_key(phases[index - 1].ident)}.mass",) if index else ("mass.ramp",)
    runway = runway_of(place, mission.route.origin_runway)
    key = f"fields.take_off.{place.ident.lower()}"
    try:
        return runway_use(key, place, runway, state, state.mass_kg, before, ground)
    except BriefgenError as error:
        raise error.at(f"take-off from {place.ident}") from error


@dataclass(frozen=True)
class _Arrival:
    """A landing the plan may make: where, as what, and the state she is in on the runway."""

    place: Place
    runway: str
    kind: str  # destination, alternate or return
    state: Node
    mass_key: str

    @property
    def key(self) -> str:
        return f"fields.landing.{self.place.ident.lower()}"


def _arrivals(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> tuple[_Arrival, ...]:
    """Return every landing the plan may make, each field once.

    An alternate is taken at its own time but at the weight of the destination, which is the heavier one; the return is to the
    runway just left, at take-off weight, and tells the captain whether he may come straight back.
    """
    approach = next(phase for phase in reversed(phases) if phase.kind == "approach")
    leaving = next(phase for phase in phases if phase.kind == "take-off")
    landed, left = f"{phase_key(approach.ident)}.mass", f"{phase_key(leaving.ident)}.mass"
    times = {use.place.ident: use.instant for use in field_uses(mission, writer)} if "time.landing" in writer else {}
    route = mission.route
    found = [_Arrival(route.destination, route.destination_runway, "destination", approach.end, landed)]
    for one in mission.alternates:
        state = replace(approach.end, instant=times.get(one.place.ident, approach.end.instant))
        found.append(_Arrival(one.place, one.runway, "alternate", state, landed))
    found.append(_Arrival(route.origin, route.origin_runway, "return", leaving.end, left))
    return tuple({arrival.key: arrival for arrival in reversed(found)}.values())[::-1]


def _write_runways(uses: list[RunwayUse], writer: LedgerWriter) -> None:
    rows = [
        Row(
            use.name, {one.name: f"{use.key}.{one.name}" for one in RUNWAY_COLUMNS if f"{use.key}.{one.name}" in writer}
        )
        for use in uses
    ]
    writer.table("fields.runways", "Runways and the air on them", RUNWAY_COLUMNS, rows)


def _write_speeds(mission: Mission, uses: list[RunwayUse], performance: Performance, writer: LedgerWriter) -> None:
    """Enter the speed card: runway speeds as worked out, operating speeds of the aircraft file at the two weights."""
    departure, arrival = uses[0], uses[1] if len(uses) > 1 else uses[0]
    aloft, down = performance.speeds(departure.mass_kg), performance.speeds(arrival.mass_kg)
    rows = []
    for name, title, use in (
        ("unstick_ias", "Unstick", departure), ("critical_ias", "Engine failure", departure),
        ("stop_fits_ias", "A stop fits the runway up to", departure),
        ("safe_ias", "At 50 ft", departure), ("threshold_ias", "Over the threshold", arrival),
        ("touchdown_ias", "Touchdown", arrival),
    ):  # fmt: skip
        if f"{use.key}.{name}" in writer:
            rows.append(_speed_row(f"speeds.{name}", title, f"{use.key}.{name}", use, writer))
    for name, title, value, use in (
        ("first_reduction", "First power reduction", aloft.safe_m_per_s, departure),
        ("minimum_control", "Minimum control, an outer engine failed", aloft.minimum_control_m_per_s, departure),
        ("climb", "Climb", aloft.climb_m_per_s, departure),
        ("climb_on_instruments", "Climb on instruments", aloft.climb_on_instruments_m_per_s, departure),
        ("flaps_limit", "Flaps not above", down.flaps_limit_m_per_s, arrival),
        ("gear_limit", "Gear not above", down.gear_limit_m_per_s, arrival),
        ("approach", "Downwind", down.approach_m_per_s, arrival),
        ("base", "Base leg", down.base_m_per_s, arrival),
        ("final", "Final approach", down.final_m_per_s, arrival),
        ("never_exceed", "Never exceed", down.never_exceed_m_per_s, arrival),
    ):
        if value is None:
            continue
        key = writer.put(
            f"speeds.{name}.ias", title, value, AIRSPEED, method="speeds of the aircraft file at that weight",
            inputs=(f"{use.key}.mass",), source=mission.aircraft.source,
        )  # fmt: skip
        rows.append(_speed_row(f"speeds.{name}", title, key, use, writer))
    columns = (Column("what", "Speed"), Column("ias", "Indicated", AIRSPEED), Column("mass", "At weight", "lb"))
    writer.table("speeds", "Speeds", columns, rows)


def _speed_row(key: str, title: str, ias_key: str, use: RunwayUse, writer: LedgerWriter) -> Row:
    what = writer.put(f"{key}.title", "Speed", title, method="name of the speed")
    return Row(title, {"what": what, "ias": ias_key, "mass": f"{use.key}.mass"})
