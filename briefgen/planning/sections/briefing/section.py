"""What the cards are made of: entered last, for it refers to every other section."""

from __future__ import annotations

from dataclasses import dataclass

from briefgen.model.plan import Finding
from briefgen.planning.flight.home.refuges import WayHome, refuges_of
from briefgen.planning.flight.home.spots import spots_of
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.clock import Clock
from briefgen.planning.sections.basis.fuel import FuelRequired, FuelSheet
from briefgen.planning.sections.basis.inputs import Written
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.briefing.engines import write_engine_sentences
from briefgen.planning.sections.briefing.fields import write_fields
from briefgen.planning.sections.briefing.fuel_log import write_fuel_log
from briefgen.planning.sections.briefing.gauges import write_limits
from briefgen.planning.sections.briefing.ladder import holds_of, write_ladders
from briefgen.planning.sections.briefing.off_plan import write_off_plan
from briefgen.planning.sections.briefing.opening import write_opening
from briefgen.planning.sections.briefing.reach import write_reach
from briefgen.planning.sections.briefing.route import write_route
from briefgen.planning.sections.briefing.script import write_script
from briefgen.planning.sections.briefing.settings import write_one_out, write_settings
from briefgen.planning.sections.briefing.work import write_work
from briefgen.planning.sections.power import PowerTable
from briefgen.planning.sections.way_home.places import HeldBack
from briefgen.planning.sections.weather.section import WeatherSection


@dataclass(frozen=True)
class Entered:
    """The sections that the cards refer to."""

    written: Written
    log: Navigation
    clock: Clock
    sheet: FuelSheet
    power: PowerTable
    weather: WeatherSection


def write_briefing(flown: Flown, entered: Entered, writer: LedgerWriter) -> tuple[Finding, ...]:
    """Enter what only the cards need; return what it says about the plan."""
    mission, log = flown.mission, entered.log
    write_route(mission, log, entered.written, writer)
    write_settings(mission, log, entered.power, writer)
    write_fuel_log(mission, log, writer)
    write_engine_sentences(writer)
    write_one_out(mission, writer)
    write_fields(mission, log, entered.weather, writer)
    findings = _write_waiting(flown, entered, writer)
    write_off_plan(mission, log, flown.crew.performance, writer)
    write_limits(mission, writer)
    write_work(mission, log, writer)
    write_script(mission, log, writer)
    write_reach(mission, log, writer)
    return findings


def _write_waiting(flown: Flown, entered: Entered, writer: LedgerWriter) -> tuple[Finding, ...]:
    """Enter the ladders of the holds, and the hour of opening against the hour of leaving."""
    mission, required = flown.mission, entered.sheet.required
    landing = next(phase for phase in reversed(flown.phases) if phase.kind == "approach")
    instead_kg = FuelRequired.island.or_none(required) or 0.0
    home = WayHome(mission, flown.crew, flown, HeldBack(required, ()).held_back, landing.fuel_burn_kg, instead_kg)
    spots = spots_of(flown.phases, len(mission.route.items))
    every = [one for one in refuges_of(mission, flown.crew, flown, spots) if one.height_m is not None]
    planned = {
        alternate.place.ident for alternate in mission.alternates
    }  # fuel is carried for these; others only where none is
    refuges = [one for one in every if one.place.ident in planned] or every
    holds = holds_of(mission, entered.log, refuges, writer)
    write_ladders(home, holds, writer)
    at_destination = [held for held in holds if held.hold.at.ident == mission.route.destination.ident and held.leave]
    leave = at_destination[-1].leave[0][1] if at_destination else None
    landed = next((one for one in entered.weather.fields.fields if one.weather.use.role == "destination"), None)
    return write_opening(mission, entered.clock, leave, landed.minima if landed else None, writer)
