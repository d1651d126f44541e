"""The worst way out with an engine failed, entered; where she cannot hold a height, why, in its place."""

from __future__ import annotations

from datetime import datetime

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError
from briefgen.frozen import replace
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.model.record import Record, figure, note, rests_on
from briefgen.planning.flight.home.engine_out_way import WayOut, one_stopped, worst_way_out
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.steps import Crew
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.fuel import FuelRequired
from briefgen.planning.sections.basis.groups import AIRFRAME, FLOWN_BY, PLACES, POWERPLANT, rest_on_groups
from briefgen.planning.sections.basis.phases import rest_on_flight
from briefgen.planning.sections.basis.written_load import RampFuel

HOW = (
    "least over the level flight; to overhead the nearest field of the plan that can be landed on when she comes there, at her height or the "
    "minimum safe altitude of the way, the climb to it counted, or as high as these engines hold, at the speed of climb or of "
    "waiting, with the winds on the way"
)


class Stopped(Record):
    """The engines that run when one has stopped."""

    at = "engine_out"

    def __init__(self, engines: str) -> None:
        self._engines = engines

    @figure("Engines, one stopped", how="engine configuration of the aircraft file")
    def engines(self) -> str:
        rest_on_groups(AIRFRAME, POWERPLANT)
        return self._engines


class NoWayOut(Stopped):
    """Why there is no way out with an engine stopped."""

    def __init__(self, engines: str, problem: str, phases: tuple[Phase, ...]) -> None:
        super().__init__(engines)
        self._problem, self._phases = problem, phases

    @figure("Fuel remaining after the way out, an engine stopped", how=HOW)
    def left(self) -> str:
        rest_on_flight(self._phases)
        rest_on_groups(*FLOWN_BY, PLACES)
        return self._problem


class WorstWayOut(Stopped):
    """The way out that leaves the least fuel."""

    def __init__(self, engines: str, worst: WayOut, phases: tuple[Phase, ...], writer: LedgerWriter) -> None:
        super().__init__(engines)
        self._worst, self._phases, self._writer = worst, phases, writer

    @figure("Worst moment for an engine to stop", "UTC", how=HOW)
    def moment(self) -> datetime:
        rest_on_flight(self._phases)
        rest_on_groups(*FLOWN_BY, PLACES)
        return self._worst.node.instant

    @figure("Worst moment for an engine to stop", how=HOW)
    def phase(self) -> str:
        rests_on(self.moment)
        return self._worst.title

    @figure("Nearest field there", how=HOW)
    def place(self) -> str:
        rests_on(self.moment)
        return f"{self._worst.place.ident} {self._worst.place.name}"

    def _flown(self) -> WayOut:
        rests_on(self.engines, self.moment)
        note(RampFuel.ramp.key)
        return self._worst

    @figure("Time to it", "h:min", how=HOW)
    def way_time(self) -> float:
        return self._flown().time_s

    @figure("Fuel to it", "lb", how=HOW)
    def way_fuel(self) -> float:
        return self._flown().fuel_kg

    @figure("Fuel remaining after the way out, an engine stopped", "lb", how=HOW)
    def left(self) -> float:
        rests_on(self.moment)
        return self._worst.node.fuel_kg - self.way_fuel - self._writer.number(FuelRequired.unusable.key)


def write_engine_out_way(
    mission: Mission, phases: tuple[Phase, ...], performance: Performance, writer: LedgerWriter
) -> None:
    """Enter the worst way out with one engine stopped; where she cannot hold a height, say so in its place."""
    engines = one_stopped(performance)
    if engines is None or writer.records(Stopped):
        return
    crew = replace(Crew(performance, Sky(mission.weather, mission.places)), engines=engines)
    try:
        worst = worst_way_out(mission, phases, crew)
    except BriefgenError as error:
        writer.adopt(NoWayOut(engines, error.problem, phases))
    else:
        writer.adopt(WorstWayOut(engines, worst, phases, writer))
