"""The go-around as figures: power, speed, rate and gradient at the landing weight, on all engines and with one out."""

from __future__ import annotations

import math

from briefgen.errors import BriefgenError
from briefgen.model.mission import Mission
from briefgen.model.performance import ClimbState
from briefgen.model.record import Absent, Record, figure, note, rests_on, working
from briefgen.model.tables import TableOf, column
from briefgen.planning.flight.go_around import GivenUp, climb_away, given_up
from briefgen.planning.flight.steps import Crew
from briefgen.planning.ledger.absence import said
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import FLOWN_BY, PLACES, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures

BY_PHASE = (
    "rating, flaps, gear and speed of the go-around in the aircraft file, at the field and the weight of the landing"
)
NOTE = (
    "Gear up, the failed engine feathered. With the gear still down and the engine windmilling she climbs less: see the "
    "gradients of the landing on the page of the fields."
)


class GoAroundClimb(Record):
    """The climb of a go-around on some of the engines; where it cannot be told, why."""

    def __init__(self, key: str, running: str, climb: ClimbState | BriefgenError, landing: PhaseFigures) -> None:
        self.at, self.running, self._landing = f"power.go_around.{key}", running, landing
        self._climb = climb

    @working
    def _found(self) -> ClimbState:
        rests_on(self._landing.mass, self._landing.end)
        note("fuel.grade")
        rest_on_groups(*FLOWN_BY, PLACES)
        if isinstance(self._climb, BriefgenError):
            raise Absent(self._climb.problem)
        return self._climb

    @figure("Go-around: engines running", how="engine configuration of the aircraft file")
    def engines(self) -> str:
        return self.running

    @figure("Go-around, %(running)s: what there is of it", how=BY_PHASE)
    def answer(self) -> str:
        rests_on(self._landing.mass)
        rest_on_groups(*FLOWN_BY, PLACES)
        if isinstance(self._climb, BriefgenError):
            return self._climb.problem
        return "climbs" if self._climb.rate_m_per_s > 0.0 else "does not climb"

    @figure("Go-around, %(running)s: engine speed", "rpm", how=BY_PHASE)
    def rpm(self) -> float:
        return said(self._found.setting.engine_speed_rpm)

    @figure("Go-around, %(running)s: manifold pressure", "inHg", decimals=1, how=BY_PHASE)
    def manifold_pressure(self) -> float:
        return said(self._found.setting.manifold_pressure_pa)

    @figure("Go-around, %(running)s: time limit", "min", how=BY_PHASE)
    def time_limit(self) -> float:
        if self._found.setting.time_limit_s is None:
            raise Absent("the rating may be kept without a limit of time")
        return self._found.setting.time_limit_s

    @figure("Go-around, %(running)s: indicated airspeed", AIRSPEED, how=BY_PHASE)
    def ias(self) -> float:
        return self._found.setting.ias_m_per_s

    @figure("Go-around, %(running)s: rate of climb", "ft/min", how=BY_PHASE)
    def rate(self) -> float:
        return self._found.rate_m_per_s

    @figure(
        "Go-around, %(running)s: gradient in still air",
        "%",
        decimals=1,
        how="rate of climb over speed along the ground",
    )
    def gradient(self) -> float:
        return self.rate / math.sqrt(self._found.setting.tas_m_per_s**2 - self.rate**2)


GO_AROUND = TableOf(
    "power.go_around",
    "Go-around",
    (
        column(GoAroundClimb.engines, "Engines"),
        column(GoAroundClimb.rpm, "Engine speed"),
        column(GoAroundClimb.manifold_pressure, "Manifold pressure"),
        column(GoAroundClimb.time_limit, "Time limit"),
        column(GoAroundClimb.ias, "Indicated airspeed"),
        column(GoAroundClimb.rate, "Rate of climb"),
        column(GoAroundClimb.gradient, "Gradient"),
        column(GoAroundClimb.answer, "What there is of it"),
    ),
    note=NOTE,
)


def write_go_around(mission: Mission, log: Navigation, crew: Crew, writer: LedgerWriter) -> None:
    """Enter the go-around on all engines and on one fewer, whichever of them climbs least."""
    landing = [one for one in log.phases if one.phase.kind == "approach"][-1]
    at = _given_up(mission, crew, log)
    every, *others = crew.performance.engine_configurations
    rows = [GoAroundClimb("all", every.name, _climb(crew, at, None), landing)]
    failed = [(one.name, _climb(crew, at, one.name)) for one in others if one.running == every.running - 1]
    if failed:
        rows.append(GoAroundClimb("failed", *min(failed, key=lambda found: _least(found[1])), landing))
    for row in rows:
        writer.adopt(row)
    writer.tabulate(GO_AROUND.filled([GO_AROUND.row(row.running, row) for row in rows]))


def _given_up(mission: Mission, crew: Crew, log: Navigation) -> GivenUp | BriefgenError:
    try:
        return given_up(mission, crew, tuple(one.phase for one in log.phases))
    except BriefgenError as error:  # the weather says too little of the field
        return error


def _climb(crew: Crew, at: GivenUp | BriefgenError, engines: str | None) -> ClimbState | BriefgenError:
    if isinstance(at, BriefgenError):
        return at
    try:
        return climb_away(crew, at, engines)
    except BriefgenError as error:
        return error


def _least(climb: ClimbState | BriefgenError) -> float:
    """Return the rate by which the worst engine is chosen; one that cannot be told is worse than any."""
    return -math.inf if isinstance(climb, BriefgenError) else climb.rate_m_per_s
