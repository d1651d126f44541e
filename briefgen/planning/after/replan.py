"""The rest of a flight planned anew from its last fix, as a ledger of its own: nothing before the fix is flown again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.model.flight_log import FlightLog
from briefgen.model.mission import Alternate
from briefgen.model.plan import Finding, Phase, Plan
from briefgen.planning.after.fading import WindDifference, difference_found
from briefgen.planning.after.fix import Fix, fix_of
from briefgen.planning.after.measured import measured_of
from briefgen.planning.after.readings import Reading
from briefgen.planning.after.rest import Rest, crew_ahead, engines_with, field_to, fly_phases, fly_rest
from briefgen.planning.after.rest_figures import (
    EQUALS,
    FIELDS,
    LEAVES,
    LINES,
    Ahead,
    EqualFigures,
    Field,
    FixFigures,
    LeaveFigures,
    Line,
    WindFigures,
)
from briefgen.planning.after.ways import Way
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import write_groups
from briefgen.planning.sections.basis.inputs import WeatherWritten
from briefgen.planning.sections.briefing.fuel_log import log_moments

LEAST_IDENT = "replan-least-fuel"


@dataclass(frozen=True)
class Changed:
    """What is otherwise than planned from the fix on: engines left running, tanks whose fuel cannot be had, where she goes."""

    running: int | None = None
    tanks: tuple[str, ...] = ()
    to: str = ""  # ident of the field she turns to; empty: on along the route


@dataclass(frozen=True)
class Anew:
    """The rest, and what it was flown from and in."""

    fix: Fix
    found: WindDifference | None
    rest: Rest
    forecast: tuple[Phase, ...]
    lost_kg: float
    to: Alternate | None = None


def fly_anew(planned: Flown, log: FlightLog, changed: Changed) -> Anew:
    """Return the rest of a flight flown from the last fix of its log.

    Raises:
        PlanError: There is no fix, or the rest cannot be flown; the message says why.
        OutOfRangeError: The weather or the aircraft file does not cover it.
    """
    to = field_to(planned.mission, changed.to)
    fix = fix_of(planned, log, turning=to is not None)
    way = Way(planned, len(planned.mission.route.items) - 1)
    found = difference_found(way, measured_of(way, log), fix.instant)
    engines = None if changed.running is None else engines_with(planned.crew, changed.running)
    lost_kg = _lost(planned, fix, changed.tanks)
    rest = fly_rest(planned, fix, crew_ahead(planned, found, engines), lost_kg, to)
    forecast = rest.phases
    if found is not None and planned.mission.fading is not None:
        forecast = fly_phases(planned, fix, crew_ahead(planned, None, engines), to)
    return Anew(fix, found, rest, forecast, lost_kg, to)


def _lost(planned: Flown, fix: Fix, tanks: Sequence[str]) -> float:
    """Return the fuel in tanks that cannot be had, less what of it could not be had before [kg]."""
    known = {tank.name: tank for tank in planned.mission.aircraft.balance.tanks}
    lost_kg = 0.0
    for name in tanks:
        if name not in known:
            raise PlanError(f"'{name}' is not a tank", expected=f"one of {', '.join(known)}")
        read = fix.reading.fuel.by_tank_kg if fix.reading.fuel else {}
        if name not in read:
            raise PlanError(
                f"the fuel in the {name} tank is not known at {fix.reading.name}",
                expected="'fuel by tank' in the last reading of the log, every tank of it",
            )  # fmt: skip
        unusable_kg = known[name].unusable_m3 * planned.mission.fuel.density_kg_per_m3
        lost_kg += max(0.0, read[name] - unusable_kg)
    return lost_kg


def replan(planned: Flown, anew: Anew, log: FlightLog) -> Plan:
    """Return the rest of a flight with every figure of it entered."""
    mission, fix, rest = planned.mission, anew.fix, anew.rest
    writer = LedgerWriter({**mission.given, **log.given})
    write_groups(mission, writer)
    writer.adopt(WeatherWritten(mission))
    reading = Reading("fuel", fix.reading, log.density_kg_per_m3, None, writer)
    there = reading if fix.line is fix.reading else Reading("fix", fix.line, log.density_kg_per_m3, None, writer)
    for one in {id(reading): reading, id(there): there}.values():
        writer.adopt(one)
    figures = FixFigures(fix, rest, anew.lost_kg, log.density_kg_per_m3, (reading, there), anew.to)
    writer.adopt(figures)
    writer.adopt(WindFigures(anew.found, mission, there))
    lines = [Line(index, ahead, rest, figures) for index, ahead in enumerate(_ahead(planned, anew), 1)]
    fields = [Field(reach, figures) for reach in rest.reaches]
    equals = [EqualFigures(number, equal, figures) for number, equal in enumerate(rest.equal, 1)]
    leaves = [LeaveFigures(number, found, figures) for number, found in enumerate(rest.holds, 1)]
    for table, records in ((LINES, lines), (FIELDS, fields), (EQUALS, equals), (LEAVES, leaves)):
        for record in records:
            writer.adopt(record)
        if records:
            writer.tabulate(table.filled([table.row(record.at, record) for record in records]))
    for line in lines:
        if Line.later.of(line).there:
            writer.foot(Line.later.of(line).key, (Line.time.of(line).key,), (Line.planned.of(line).key,))
    return Plan(mission, writer.sealed(), dict(writer.tables), rest.phases, (), (_least(figures),), {})


def _least(fix: FixFigures) -> Finding:
    over = FixFigures.over.volume().of(fix)
    kept = over.value >= 0.0
    measured, least = FixFigures.fuel.volume().of(fix), FixFigures.least.volume().of(fix)
    text = f"{measured} at {fix.words}, least to go on {least}: margin {over}."
    cure = "" if kept else "Turn to a field that has fuel over: see the table of fields."
    return Finding(
        LEAST_IDENT, "pass" if kept else "fail", "Least fuel to go on", text, measured.key, least.key, over.key, "the rule set of the plan", cure, "replan",
    )  # fmt: skip


def _ahead(planned: Flown, anew: Anew) -> list[Ahead]:
    """Return the points ahead, each with the line of the card it has a number on."""
    mission = planned.mission
    numbers = {
        (one.phase.item, one.words): (number, one.phase)
        for number, one in enumerate(log_moments(mission, planned.phases), 1)
        if one.words and anew.to is None  # the lines of the card lead along the route
    }
    forecast: Mapping[str, Phase] = {phase.ident: phase for phase in anew.forecast}
    found = []
    passes = anew.fix.begun
    for one in log_moments(mission, anew.rest.phases):
        if not one.words:
            continue
        words = f"pass {passes + int(one.words.split()[1])} ends" if one.phase.kind == "run" else one.words
        number, before = numbers.get((one.phase.item, words), (None, None))
        found.append(Ahead(number, words, one.phase, forecast.get(one.phase.ident, one.phase), before))
    return found
