"""Mission in, plan out: fly it, enter every number, hold it against the rules, order the events."""

from __future__ import annotations

from dataclasses import replace

from briefgen.aircraft.factory import performance_of
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, Plan
from briefgen.planning import clock, crew_section, timeline
from briefgen.planning.altitude_section import write_altitudes
from briefgen.planning.balance import write_balance
from briefgen.planning.daylight_section import write_daylight
from briefgen.planning.engines_out import write_engines_out
from briefgen.planning.fields_section import write_fields
from briefgen.planning.flying import Crew
from briefgen.planning.fuel import write_fuel, write_reserve_flow
from briefgen.planning.inputs import write_inputs
from briefgen.planning.navigation import write_navigation
from briefgen.planning.oxygen_section import write_oxygen
from briefgen.planning.power import write_power
from briefgen.planning.review import write_review
from briefgen.planning.risk_section import write_risks
from briefgen.planning.route_forms import placed
from briefgen.planning.schedule import settled
from briefgen.planning.sky import Sky
from briefgen.planning.tanks import fuel_at_its_temperature
from briefgen.planning.timing_section import write_times_asked, write_timing
from briefgen.planning.way_home import write_way_home
from briefgen.planning.weather_section import write_weather
from briefgen.planning.writer import LedgerWriter


def plan_mission(mission: Mission) -> Plan:
    """Return the whole plan of a mission.

    Raises:
        PlanError: The mission cannot be flown as written; the message says where and why.
        OutOfRangeError: The weather, a chart or a model does not cover some part of it.
    """
    mission = placed(replace(mission, fuel=fuel_at_its_temperature(mission.fuel)))
    performance = performance_of(mission.aircraft, mission.fuel_grade)
    crew = Crew(performance, Sky(mission.weather))
    flown = settled(mission, crew)
    phases = flown.phases
    writer = LedgerWriter(mission.given, _airspeed_unit(mission))
    charts: dict[str, ChartData] = {}

    write_inputs(mission, flown.departure.fuel_kg, writer)
    write_times_asked(mission, flown, writer)
    write_navigation(mission, flown, writer)
    clock.write_clock(mission, phases, writer)
    write_reserve_flow(flown.reserve, writer)
    write_fuel(mission, phases, flown.diversions, flown.reserve, writer)
    events, findings = write_timing(mission, crew, flown, writer)
    write_altitudes(mission, crew, flown, writer)
    rows = write_power(mission, phases, performance, writer)
    for more_events, more_findings, more_charts in (
        write_way_home(mission, crew, flown, writer),
        write_balance(mission, phases, writer),
        write_weather(mission, phases, writer),
        write_daylight(mission, phases, writer),
        write_fields(mission, phases, writer, performance),
        write_engines_out(mission, phases, writer, performance),
    ):
        events.extend(more_events)
        findings.extend(more_findings)
        charts |= more_charts
    write_oxygen(mission, phases, writer)
    crew_section.write_crew(mission, writer)
    write_risks(mission, writer)
    findings = [*write_review(mission, phases, writer, performance, findings)]
    events += timeline.write_events(mission, phases, rows, writer)
    return Plan(
        mission=mission, ledger=writer.sealed(), tables=dict(writer.tables), phases=phases,
        events=timeline.in_order(events, mission, writer), findings=tuple(findings), charts=charts,
    )  # fmt: skip


def _airspeed_unit(mission: Mission) -> str:
    """Return the unit of her airspeed indicator: the one her file writes its climbing speed in."""
    written = mission.given.get("aircraft:speeds.climb")
    return "kt" if written is not None and "kt" in written.text.split() else "mph"
