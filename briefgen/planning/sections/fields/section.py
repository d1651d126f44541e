"""Take-off and landing: every runway of the plan in its weather, what it allows, and the finding when it is too short."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.aircraft.factory import fields_for
from briefgen.aircraft.fields import FieldPerformance
from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartName, Event, Finding
from briefgen.model.record import Record, Ref
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.field_uses import FieldUse, runway_of
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.fields.findings import (
    Hydroplaning,
    landing_finding,
    not_worked_out,
    take_off_finding,
    water_finding,
    wind_finding,
)
from briefgen.planning.sections.fields.handling_limits import write_handling_limits
from briefgen.planning.sections.fields.landing import LANDING, FieldNotKnown, LandingFigures, landing_row
from briefgen.planning.sections.fields.runway_chart import runway_chart
from briefgen.planning.sections.fields.runway_figures import RUNWAYS, RunwayFigures, runway_row
from briefgen.planning.sections.fields.runway_use import runway_use
from briefgen.planning.sections.fields.speeds import SPEEDS, SpeedCardFigures
from briefgen.planning.sections.fields.take_off import (
    BINDING,
    EngineFailure,
    TakeOffFigures,
    TakeOffSpeeds,
    binding_row,
)
from briefgen.planning.sections.fields.take_off_advice import run_calls, write_advice
from briefgen.planning.sections.fields.take_off_limits import TakeOffLimits
from briefgen.planning.sections.fields.take_off_rows import (
    OBSTACLES,
    OBSTACLES_FAILED,
    TAKE_OFF,
    DistanceFigures,
    PublishedDistance,
    distance_row,
)
from briefgen.planning.sections.fields.wind_limits import CrosswindLimit, TailWindLimit
from briefgen.planning.sections.weather.field_states import field_weather
from briefgen.planning.sections.weather.fields import FieldsWeather, FieldWeatherFigures
from briefgen.weather.surface import Ground


class Fields(Record):
    """The take-off and every landing of the plan, with what was found."""

    def __init__(self, take_off: TakeOffFigures, landings: Sequence[LandingFigures]) -> None:
        self.take_off, self.landings = take_off, tuple(landings)
        self.events: tuple[Event, ...] = ()
        self.findings: tuple[Finding, ...] = ()
        self.charts: dict[ChartName, ChartData] = {}


def write_fields(
    mission: Mission, log: Navigation, weather: FieldsWeather, performance: Performance, writer: LedgerWriter
) -> Fields:
    """Enter take-off and landings with what is found, and the runway drawn with the points of the take-off.

    Raises:
        PlanError: A runway is not in the places, or its surface or standing water not in the aircraft file.
        OutOfRangeError: The weather or a chart does not cover the take-off; of a landing that is a finding.
    """
    room = _Room(mission, weather, Ground(mission.weather), fields_for(mission.aircraft, mission.fuel_grade), writer)
    uses = weather.uses
    begins, left_from = _leaving(log)
    take_off = write_take_off(mission, room.departure(uses[0], left_from), room.fields, writer)
    write_advice(take_off, writer)
    findings = [*room.runway_findings(take_off.runway), take_off_finding(take_off)]
    landings: list[LandingFigures] = []
    for arrival in _arrivals(mission, log, uses):
        found = room.landing(arrival)
        findings += room.landing_findings(found)
        landings += [found] if isinstance(found, LandingFigures) else []
    findings += write_handling_limits(mission, log.phases, writer)
    section = Fields(take_off, landings)
    _tabulate(mission, section, performance, writer)
    section.events = run_calls(take_off, PhaseFigures.begin.of(begins), begins.phase.ident)
    section.findings = tuple(findings)
    section.charts = {"runway": runway_chart(take_off)}
    return section


def write_take_off(
    mission: Mission, runway: RunwayFigures, fields: FieldPerformance, writer: LedgerWriter
) -> TakeOffFigures:
    """Enter one take-off with its tables."""
    limits = TakeOffLimits(mission, runway.use, fields)
    take_off = TakeOffFigures(limits, runway)
    writer.adopt(take_off)
    rows = [distance_row(one) for one in take_off.distances]
    if take_off.published is not None:
        published = take_off.published
        shown = {
            TAKE_OFF.column(DistanceFigures.title): PublishedDistance.title.of(published),
            TAKE_OFF.column(DistanceFigures.distance): PublishedDistance.distance_50ft.of(published),
        }
        rows.append(TAKE_OFF.row(published.words, published, "shown", shown))
    writer.tabulate(BINDING.filled([binding_row(take_off)]))
    writer.tabulate(TAKE_OFF.filled(rows, title=f"Take-off from {limits.use.name}", note=_note(take_off)))
    if take_off.obstacles:
        table = OBSTACLES_FAILED if True in limits.obstacle_cases else OBSTACLES
        writer.tabulate(table.filled([table.row(one.title, one) for one in take_off.obstacles]))
    return take_off


def _note(take_off: TakeOffFigures) -> str:
    """Say what the bare rows are, and what the runway allows when an engine fails."""
    note = "Rows without a factor are shown, not required by the rule set."
    failing = EngineFailure.engine_failure.of(take_off.failure)
    if not failing.there:
        return note
    note += f" If an engine fails: {failing}."
    fits = TakeOffSpeeds.stop_fits_ias.of(take_off.speeds)
    return f"{note} A stop fits the runway up to {fits}." if fits.there else note


def _leaving(log: Navigation) -> tuple[PhaseFigures, Ref]:
    """Return the take-off, and the weight at which she begins it."""
    index = next(number for number, one in enumerate(log.phases) if one.phase.kind == "take-off")
    return log.phases[index], log.phases[index - 1].chain.mass if index else log.start.mass


@dataclass(frozen=True)
class _Arrival:
    """A landing the plan may make: where and when, as what, and at what weight."""

    use: FieldUse
    mass: Ref

    @property
    def key(self) -> str:
        return f"fields.landing.{self.use.place.ident.lower()}"


def _arrivals(mission: Mission, log: Navigation, uses: Sequence[FieldUse]) -> tuple[_Arrival, ...]:
    """Return every landing the plan may make, each field once.

    An alternate is taken at its own time but at the weight of the destination, which is the heavier one; the return is to the
    runway just left, at take-off weight, and tells the captain whether he may come straight back.
    """
    landed = PhaseFigures.mass.of([one for one in log.phases if one.phase.kind == "approach"][-1])
    leaving, _ = _leaving(log)
    origin = mission.route.origin
    back = FieldUse(
        f"return.{origin.ident.lower()}", "return", origin, runway_of(origin, mission.route.origin_runway),
        PhaseFigures.end.of(leaving),
    )  # fmt: skip
    found = [*(_Arrival(use, landed) for use in uses[1:]), _Arrival(back, PhaseFigures.mass.of(leaving))]
    return tuple({arrival.key: arrival for arrival in reversed(found)}.values())[::-1]


@dataclass(frozen=True)
class _Room:
    """What every runway of the plan is asked with."""

    mission: Mission
    weather: FieldsWeather
    ground: Ground
    fields: FieldPerformance
    writer: LedgerWriter

    def of_use(self, use: FieldUse) -> FieldWeatherFigures:
        """Return the weather of a use of a field; that of a return does not stand with the others and is entered here."""
        found = self.weather.of_use(use)
        if found is None:
            found = FieldWeatherFigures(field_weather(self.mission, self.ground, use), self.ground)
            self.writer.adopt(found.air)
            self.writer.adopt(found.wind)
        return found

    def departure(self, use: FieldUse, mass: Ref) -> RunwayFigures:
        """Return the runway of the take-off."""
        try:
            return self.runway(f"fields.take_off.{use.place.ident.lower()}", use, mass)
        except BriefgenError as error:
            raise error.at(f"take-off from {use.place.ident}") from error

    def runway(self, key: str, use: FieldUse, mass: Ref) -> RunwayFigures:
        """Return a runway in its weather."""
        around = self.of_use(use)
        return RunwayFigures(runway_use(key, around.weather, mass), self.fields, around.air, around.wind)

    def landing(self, arrival: _Arrival) -> LandingFigures | FieldNotKnown:
        """Enter one landing, or that nothing is known of it."""
        place = arrival.use.place
        try:
            runway = self.runway(arrival.key, arrival.use, arrival.mass)
        except BriefgenError as error:
            unknown = FieldNotKnown(arrival.key, place, error)
            self.writer.adopt(unknown)
            return unknown
        landing = LandingFigures(self.mission, runway, self.fields, arrival.use.role)
        self.writer.adopt(landing)
        return landing

    def landing_findings(self, landing: LandingFigures | FieldNotKnown) -> list[Finding]:
        """Return the findings of one landing."""
        if isinstance(landing, FieldNotKnown):
            return [not_worked_out(landing)]
        found = landing_finding(landing)
        return [*([found] if found else []), *self.runway_findings(landing.runway)]

    def runway_findings(self, runway: RunwayFigures) -> list[Finding]:
        """Enter the limits of the aircraft file on a runway and return their findings: wind, standing water."""
        found: list[Finding | None] = []
        most = self.mission.aircraft.limits.wind
        limits = (
            CrosswindLimit(runway, most.crosswind_m_per_s),
            TailWindLimit(runway, most.tailwind_m_per_s),
        )
        for wind in limits:
            self.writer.adopt(wind)
            found.append(wind_finding(wind))
        speed = self.fields.hydroplaning_ground_speed(runway.use.strip)
        if speed is not None:
            water = Hydroplaning(runway, speed)
            self.writer.adopt(water)
            found.append(water_finding(water))
        return [one for one in found if one is not None]


def _tabulate(mission: Mission, section: Fields, performance: Performance, writer: LedgerWriter) -> None:
    take_off, landings = section.take_off, section.landings
    writer.tabulate(LANDING.filled([landing_row(one) for one in landings]))
    runways = [take_off.runway, *(one.runway for one in landings)]
    writer.tabulate(RUNWAYS.filled([runway_row(one) for one in runways]))
    card = SpeedCardFigures(mission, take_off, landings[0] if landings else None, performance)
    writer.adopt(card)
    writer.tabulate(SPEEDS.filled(card.rows()))
