"""A checked log to what happened on a flight: quantities in SI, times in UTC, lines tied to those of the card."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from briefgen.frozen import dataclass
from briefgen.model.flight_log import (
    GROUND_EVENTS,
    Blank,
    Blanks,
    Defect,
    EngineBook,
    FlightLog,
    Logged,
    LoggedDrop,
    LoggedFuel,
)
from briefgen.model.ledger import Given
from briefgen.model.mission import Height
from briefgen.model.weather import Wind
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.reader import Reader
from briefgen.spec.tree.shape import path_text
from briefgen.spec.tree.survey import Survey
from briefgen.spec.words.coordinates import Position
from briefgen.spec.words.times import WrittenClock, WrittenTime, nearest_instant
from briefgen.units import Quantity


@dataclass(frozen=True)
class LogFrame:
    """What a log is read against: the lines of its card, the zone and the density of its mission."""

    blanks: Blanks
    zone: str
    density_kg_per_m3: float


def blank_of(survey: Survey, path: KeyPath, blanks: Blanks) -> Blank | None:
    """Return the line of the card that a line of the log fills; None for a moment between lines."""
    number, at = survey.data((*path, "no")), survey.text(*path, "at")
    if number is not None:
        return next((one for one in blanks.lines if one.number == number), None)
    found = [one for one in blanks.lines if one.place == at and at]
    return found[0] if len(found) == 1 else None


def instants_of(survey: Survey, frame: LogFrame) -> dict[KeyPath, datetime]:
    """Return the instant of every event and line that has a time.

    A time of day means the one nearest to the planned time of its line; without a line, to the moment written above it.
    """
    found: dict[KeyPath, datetime] = {}
    near = frame.blanks.events["off blocks"]
    order: list[tuple[KeyPath, datetime | None]] = [((name,), frame.blanks.events[name]) for name in GROUND_EVENTS[:2]]
    for path in survey.groups("lines"):
        blank = blank_of(survey, path, frame.blanks)
        order.append((path, blank.instant if blank else None))
    order += [((name,), None) for name in GROUND_EVENTS[2:]]
    for path, planned in order:
        written = survey.checked.fields.get((*path, "time"))
        if isinstance(written, WrittenTime | WrittenClock):
            found[path] = near = nearest_instant(written, planned or near, frame.zone)
    return found


def build_log(reader: Reader, frame: LogFrame, given: Mapping[str, Given], digest: str) -> FlightLog:
    """Return the log of a checked file without faults."""
    survey = Survey(reader.checked)
    instants = instants_of(survey, frame)
    density = reader.si_or_none("density") or frame.density_kg_per_m3
    error_m3 = reader.si_or_none("reading error")
    lines = []
    for one in reader.each("lines"):
        blank = blank_of(survey, one.path, frame.blanks)
        lines.append(_line(one, blank, instants.get(one.path), density))
    return FlightLog(
        file=reader.checked.document.file,
        mission_file=reader.text("mission"),
        number=reader.text("number"),
        revision=reader.data["revision"],
        density_kg_per_m3=density,
        events={
            name: Logged(name, name, instants[(name,)], fuel=_fuel(reader.at(name), density))
            for name in GROUND_EVENTS
            if name in reader
        },
        lines=tuple(lines),
        drops=tuple(
            LoggedDrop(one.text("leaves"), one.si("mass"), path_text(one.path)) for one in reader.each("drops")
        ),
        engines=_engines(reader.at("engines"), instants, frame) if "engines" in reader else EngineBook(),
        defects=tuple(
            Defect(one.text("what"), one.data.get("engine"), one.text_or("found", "")) for one in reader.each("defects")
        ),
        remarks=reader.texts("remarks"),
        given=given,
        digest=digest,
        reading_error_kg=None if error_m3 is None else error_m3 * density,
        flow_error_ratio=reader.si_or_none("flow error"),
        speed_error_ratio=reader.si_or_none("speed error"),
        zero_fuel_mass_kg=reader.si_or_none("zero fuel weight"),
        landed_at=reader.text_or("landed at", ""),
    )


def _line(line: Reader, blank: Blank | None, instant: datetime | None, density: float) -> Logged:
    position = line.value_or_none("position", Position)
    wind = line.value_or_none("wind", Wind)
    flow = line.value_or_none("fuel flow", Quantity)
    name = f"line {blank.number}" if blank else f"between lines, {line.text_or('time', line.text_or('at', ''))}"
    return Logged(
        path=path_text(line.path),
        name=name,
        instant=instant,
        blank=blank,
        position=None if position is None else (position.lat_deg, position.lon_deg),
        fuel=_fuel(line, density),
        height=line.value_or_none("altitude", Height),
        ias_m_per_s=line.si_or_none("indicated"),
        engine_speed_rpm=line.si_or_none("engine speed"),
        manifold_pressure_pa=line.si_or_none("manifold pressure"),
        mixture=line.text_or("mixture", ""),
        fuel_flow_kg_per_s=None if flow is None else _mass_flow(flow, density),
        temperature_k=line.si_or_none("air temperature"),
        wind_m_per_s=None if wind is None else (wind.east_m_per_s, wind.north_m_per_s),
        remarks=line.text_or("remarks", ""),
    )


def _mass_flow(flow: Quantity, density: float) -> float:
    """Return a fuel flow as mass [kg/s]; one read as a volume is made so with the density of the fuel."""
    return flow.si_value * (density if flow.dimension == "volume flow" else 1.0)


def _fuel(reader: Reader, density: float) -> LoggedFuel | None:
    if "fuel by tank" in reader:
        tanks = reader.at("fuel by tank")
        read = {name: tanks.si(name) * density for name in tanks.data}
        return LoggedFuel(sum(read.values()), read)
    volume_m3 = reader.si_or_none("fuel")
    return None if volume_m3 is None else LoggedFuel(volume_m3 * density)


def _engines(reader: Reader, instants: Mapping[KeyPath, datetime], frame: LogFrame) -> EngineBook:
    dilution = reader.at("oil dilution") if "oil dilution" in reader else None
    stopped = instants.get(("on blocks",), frame.blanks.events["on blocks"])
    written = dilution.checked.fields[(*dilution.path, "at")] if dilution else None
    at = nearest_instant(written, stopped, frame.zone) if isinstance(written, WrittenTime | WrittenClock) else None
    return EngineBook(
        take_off_power_s=reader.si_or_none("take-off power"),
        oil_in_m3=_each(reader, "oil in"),
        oil_out_m3=_each(reader, "oil out"),
        oil_added_m3=_each(reader, "oil added"),
        dilution_s=dilution.si("lasts") if dilution else None,
        dilution_at=at,
        hours_before_s=_each(reader, "engine hours"),
    )


def _each(reader: Reader, key: str) -> tuple[float, ...]:
    values = reader.at(key)
    return tuple(values.si(index) for index in range(len(reader.data.get(key) or ())))
