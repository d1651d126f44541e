"""Mission in, plan out: fly it, enter every number, hold it against the rules, order the events."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartName, Phase, Plan
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.steps import Crew
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.rests import write_rests
from briefgen.planning.review.rules import write_review
from briefgen.planning.sections import timeline
from briefgen.planning.sections.altitudes import write_altitudes
from briefgen.planning.sections.balance.section import write_balance
from briefgen.planning.sections.basis.clock import Durations, write_clock
from briefgen.planning.sections.basis.field_uses import FieldUse, field_uses
from briefgen.planning.sections.basis.fuel import FuelRequired, write_fuel
from briefgen.planning.sections.basis.groups import write_groups
from briefgen.planning.sections.basis.inputs import write_inputs
from briefgen.planning.sections.basis.navigation import Navigation, write_navigation
from briefgen.planning.sections.briefing.section import Entered, write_briefing
from briefgen.planning.sections.crew import write_crew
from briefgen.planning.sections.daylight import write_daylight
from briefgen.planning.sections.engines_out.section import write_engines_out
from briefgen.planning.sections.fields.section import Fields, write_fields
from briefgen.planning.sections.go_around import write_go_around
from briefgen.planning.sections.limits_held import write_limits_held
from briefgen.planning.sections.oxygen import write_oxygen
from briefgen.planning.sections.power import write_power
from briefgen.planning.sections.risks import write_risks
from briefgen.planning.sections.timing.asked import write_times_asked
from briefgen.planning.sections.timing.section import write_timing
from briefgen.planning.sections.way_home.section import write_way_home
from briefgen.planning.sections.weather.section import WeatherSection, write_weather


def plan_mission(mission: Mission) -> Plan:
    """Return the whole plan of a mission.

    Raises:
        PlanError: The mission cannot be flown as written; the message says where and why.
        OutOfRangeError: The weather, a chart or a model does not cover some part of it.
    """
    return plan_flown(fly(mission))


def plan_flown(flown: Flown) -> Plan:
    """Return the whole plan of a sortie that has been flown."""
    mission, crew, phases = flown.mission, flown.crew, flown.phases
    performance = crew.performance
    writer = LedgerWriter(mission.given, _airspeed_unit(mission))
    charts: dict[ChartName, ChartData] = {}

    write_groups(mission, writer)
    written = write_inputs(mission, flown.departure.fuel_kg, writer)
    asked = write_times_asked(mission, flown, writer)
    log = write_navigation(mission, flown, written, writer)
    clock = write_clock(mission, log, written, writer)
    uses = field_uses(mission, log, clock)
    sheet = write_fuel(mission, log, flown.reserve, writer)
    events, findings = write_timing(flown, log, clock, sheet, asked, writer)
    write_altitudes(mission, crew, flown, log, writer)
    power = write_power(mission, log, performance, writer)
    write_go_around(mission, log, crew, writer)
    findings.extend(write_limits_held(mission, log, power, written.allowances, performance, writer))
    weather, fields = _write_fields(mission, log, uses, crew, writer)
    for more_events, more_findings, more_charts in (
        write_way_home(flown, log, sheet, writer),
        write_balance(mission, log, written.weights, Durations.block.of(clock.durations),
                      FuelRequired.final_reserve.of(sheet.required), writer),
        (weather.events, weather.findings, weather.charts),
        (fields.events, fields.findings, fields.charts),
        write_engines_out(mission, log, written, sheet, writer, crew),
    ):  # fmt: skip
        events.extend(more_events)
        findings.extend(more_findings)
        charts |= more_charts
    _write_words(mission, flown.phases, writer)
    findings.extend(write_briefing(flown, Entered(written, log, clock, sheet, power, weather), writer))
    findings = [*write_review(mission, phases, writer, performance, findings, flown.diversions)]
    write_rests(mission, [*log.phases, *(one for way in log.ways.values() for one in way)], writer)
    events += timeline.write_events(mission, log, power, writer)
    return Plan(
        mission=mission, ledger=writer.sealed(), tables=writer.tables, phases=phases,
        events=timeline.in_order(events, mission, writer), findings=tuple(findings), charts=charts,
    )  # fmt: skip


def _write_fields(
    mission: Mission, log: Navigation, uses: Sequence[FieldUse], crew: Crew, writer: LedgerWriter
) -> tuple[WeatherSection, Fields]:
    """Enter the weather, the light and the runways of every field that is used."""
    weather = write_weather(mission, log.phases, uses, writer)
    write_daylight(mission, log.phases, uses, writer)
    return weather, write_fields(mission, log, weather.fields, crew.performance, writer)


def _write_words(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> None:
    """Enter oxygen, crew and risks, which rest on the flight as a whole."""
    write_oxygen(mission, phases, writer)
    write_crew(mission, writer)
    write_risks(mission, writer)


def _airspeed_unit(mission: Mission) -> str:
    """Return the unit of her airspeed indicator: the one her file writes its climbing speed in."""
    written = mission.given.get("aircraft:speeds.climb")
    return "kt" if written is not None and "kt" in written.text.split() else "mph"
