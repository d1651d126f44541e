"""The sheet of an aircraft: what its file gives, worked out as tables on the standard day."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from itertools import product

from briefgen.aircraft.engines_out import ceiling_at_best_speed
from briefgen.aircraft.factory import fields_for, performance_of
from briefgen.aircraft.fields import FieldPerformance, Strip
from briefgen.aircraft.interface import Performance
from briefgen.aircraft.sheet.drawings import drawn
from briefgen.aircraft.sheet.power import power_tables
from briefgen.errors import BriefgenError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.constants import FT_M, LB_KG
from briefgen.model.aircraft import Aircraft
from briefgen.model.performance import Air, BestEndurance, Ceiling, LongRange, PowerSetting, SpeedTarget
from briefgen.model.places import Runway
from briefgen.model.sheet import AircraftSheet, SheetColumn, SheetTable

_HEIGHTS_FT = (0, 5000, 10000, 15000, 20000)
_FIELD_HEIGHTS_FT = (0, 2000, 4000, 6000)
_MASSES = 5
_USEFUL_LOAD_RATIO = 1.05  # of the lightest basic mass: crew and the last fuel
_SERVICE_RATE_M_PER_S = 100.0 * FT_M / 60.0  # service ceiling: common practice of the trade
_CEILING_NEAR_M = 3000.0  # where the search for the speed of the best climb begins
_ROUNDING_STEPS = 20.0  # masses stand at twentieths of their power of ten

Cell = float | str | None
Row = tuple[Cell, ...]

MASS = SheetColumn("weight", "lb")
HEIGHT = SheetColumn("pressure altitude", "ft")
SETTING = (
    SheetColumn("engine speed", "rpm"),
    SheetColumn("manifold pressure", "inHg", 1),
    SheetColumn("mixture", ""),
    SheetColumn("fuel flow", "US gal/h", 1, of_fuel=True),
    SheetColumn("true airspeed", "kt"),
)


def sheet_of(aircraft: Aircraft, fuel_grade: str, ias_unit: str) -> AircraftSheet:
    """Return the sheet of an aircraft on one fuel grade, indicated speeds shown in a unit."""
    performance, fields = performance_of(aircraft, fuel_grade), fields_for(aircraft, fuel_grade)
    masses = _masses(aircraft)
    ias = SheetColumn("indicated airspeed", ias_unit)
    tables = (
        _limits(aircraft),
        _speeds(performance, masses, ias),
        _stall(aircraft, performance, masses, ias),
        *power_tables(performance, fuel_grade),
        _cruise("Long range", LongRange(), performance, masses, ias),
        _cruise("Best endurance", BestEndurance(), performance, masses, ias),
        _climb(performance, masses),
        _ceilings(performance, masses),
        _fields(fields, masses, ias),
    )
    kept = tuple(table for table in tables if table.rows)
    return AircraftSheet(
        aircraft=aircraft.name,
        kind=aircraft.kind,
        fuel_grade=fuel_grade,
        fuel_density_kg_per_m3=_density(aircraft, fuel_grade),
        source=aircraft.source,
        tables=kept,
        charts=drawn(kept, performance, masses, ias_unit),
    )


def fuel_grades_of(aircraft: Aircraft) -> tuple[str, ...]:
    """Return the names of the fuel grades an aircraft file covers."""
    grades = aircraft.model.fuel_grades if aircraft.model else aircraft.charts.fuel_grades if aircraft.charts else ()
    return tuple(grade.name for grade in grades)


def _density(aircraft: Aircraft, fuel_grade: str) -> float:
    grades = aircraft.model.fuel_grades if aircraft.model else aircraft.charts.fuel_grades if aircraft.charts else ()
    return next(grade.density_kg_per_m3 for grade in grades if grade.name == fuel_grade)


def _masses(aircraft: Aircraft) -> tuple[float, ...]:
    """Return round masses from the lightest useful to the take-off limit, inside the cruise chart if there is one."""
    low = min(one.basic_mass_kg for one in aircraft.individuals) * _USEFUL_LOAD_RATIO
    high = aircraft.balance.limits.take_off_kg
    if aircraft.charts is not None:
        axis = next(axis for axis in aircraft.charts.charts["cruise"].axes if axis.name == "mass")
        ends = [float(value) for value in axis.values]
        low, high = max(low, ends[0]), min(high, ends[-1])
    step_kg = 10.0 ** math.floor(math.log10(high / LB_KG)) / _ROUNDING_STEPS * LB_KG
    spread = [low + (high - low) * part / (_MASSES - 1) for part in range(_MASSES)]
    inner = [round(mass / step_kg) * step_kg for mass in spread[1:-1]]
    return (math.ceil(low / step_kg) * step_kg, *inner, math.floor(high / step_kg + 1e-9) * step_kg)


def _standard(height_ft: float) -> Air:
    return Air(height_ft * FT_M, standard_temperature(height_ft * FT_M))


def _answered(ask: Callable[[], Row], width: int) -> Row:
    """Return a row, empty where the aircraft refuses."""
    try:
        return ask()
    except BriefgenError:
        return (None,) * width


def _with_answers(rows: Iterable[Row], given: int) -> tuple[Row, ...]:
    """Return the rows that hold an answer beside the columns they are entered with."""
    return tuple(row for row in rows if any(cell is not None for cell in row[given:]))


def _levers(setting: PowerSetting) -> Row:
    return (
        setting.engine_speed_rpm,
        setting.manifold_pressure_pa,
        setting.mixture_name,
        setting.fuel_flow_kg_per_s,
        setting.tas_m_per_s,
    )


def _limits(aircraft: Aircraft) -> SheetTable:
    limits = aircraft.balance.limits
    rows = (
        ("ramp", limits.ramp_kg),
        ("take-off", limits.take_off_kg),
        ("landing", limits.landing_kg),
        ("zero fuel", limits.zero_fuel_kg),
        *((f"basic, {one.registration}", one.basic_mass_kg) for one in aircraft.individuals),
    )
    return SheetTable("Weights", "structural limits, and as weighed", (SheetColumn("weight of", ""), MASS), rows)


def _speeds(performance: Performance, masses: tuple[float, ...], ias: SheetColumn) -> SheetTable:
    card = performance.speeds(masses[-1])
    names = ("unstick", "safe", "climb", "descent", "hold", "approach", "base", "final", "threshold")
    limits = ("flaps_limit", "gear_limit", "never_exceed", "minimum_control")
    rows = tuple((name.replace("_", " "), getattr(card, f"{name}_m_per_s")) for name in (*names, *limits))
    return SheetTable("Speeds", "at the greatest take-off weight", (SheetColumn("speed", ""), ias), rows)


def _stall(aircraft: Aircraft, performance: Performance, masses: tuple[float, ...], ias: SheetColumn) -> SheetTable:
    if aircraft.model is not None:
        names = [one.name for one in aircraft.model.airframe.configurations]
    else:
        names = _chart_words(aircraft, "stall", "configuration")
    rows = [
        (name, mass, *_answered(lambda n=name, m=mass: (performance.stall_ias_m_per_s(m, n),), 1))  # type: ignore[misc]
        for name, mass in product(names, masses)
    ]
    columns = (SheetColumn("configuration", ""), MASS, ias)
    return SheetTable("Stalling speeds", "power off, wings level", columns, _with_answers(rows, 2))


def _chart_words(aircraft: Aircraft, chart: str, axis_name: str) -> list[str]:
    if aircraft.charts is None or chart not in aircraft.charts.charts:
        return []
    axis = next(axis for axis in aircraft.charts.charts[chart].axes if axis.name == axis_name)
    return [str(word) for word in axis.values]


def _cruise(
    title: str, target: SpeedTarget, performance: Performance, masses: tuple[float, ...], ias: SheetColumn
) -> SheetTable:
    def answer(mass: float, height_ft: float) -> Row:
        setting = performance.cruise(mass, _standard(height_ft), target)
        return (setting.ias_m_per_s, *_levers(setting))

    rows = [
        (mass, height * FT_M, *_answered(lambda m=mass, h=height: answer(m, h), 1 + len(SETTING)))  # type: ignore[misc]
        for mass, height in product(masses, _HEIGHTS_FT)
    ]
    return SheetTable(title, "all engines, standard day", (MASS, HEIGHT, ias, *SETTING), _with_answers(rows, 2))


def _climb(performance: Performance, masses: tuple[float, ...]) -> SheetTable:
    def answer(mass: float, height_ft: float) -> Row:
        climb = performance.climb(mass, _standard(height_ft))
        return (climb.rate_m_per_s, *_levers(climb.setting))

    rows = [
        (mass, height * FT_M, *_answered(lambda m=mass, h=height: answer(m, h), 1 + len(SETTING)))  # type: ignore[misc]
        for mass, height in product(masses, _HEIGHTS_FT)
    ]
    columns = (MASS, HEIGHT, SheetColumn("rate of climb", "ft/min"), *SETTING)
    return SheetTable("Climb", "climb power and speed, standard day", columns, _with_answers(rows, 2))


def _ceilings(performance: Performance, masses: tuple[float, ...]) -> SheetTable:
    every = performance.engine_configurations[0].name

    def ask(mass: float, engines: str, rate: float) -> Ceiling:
        if engines == every:
            return performance.ceiling(mass, 0.0, rate_m_per_s=rate)
        return ceiling_at_best_speed(performance, mass, 0.0, engines, rate, _CEILING_NEAR_M).ceiling

    def answer(mass: float, engines: str) -> Row:
        cells: list[Cell] = []
        for rate in (_SERVICE_RATE_M_PER_S, 0.0):
            found = ask(mass, engines, rate)
            cells.extend((found.pressure_altitude_m, "at least" if found.beyond_range else ""))
        return tuple(cells)

    names = [one.name for one in performance.engine_configurations]
    rows = [
        (name, mass, *_answered(lambda n=name, m=mass: answer(m, n), 4))  # type: ignore[misc]
        for name, mass in product(names, masses)
    ]
    mark = SheetColumn("", "")
    columns = (
        SheetColumn("engines", ""),
        MASS,
        SheetColumn("service", "ft"),
        mark,
        SheetColumn("absolute", "ft"),
        mark,
    )
    note = (
        "service: 100 ft/min; standard day, climb power; all engines at the climb speed, fewer at their speed of the best climb; "
        "at least: the file ends there; an empty line: not at any height, or no chart"
    )
    return SheetTable("Ceilings", note, columns, _with_answers(rows, 2))


def _fields(fields: FieldPerformance, masses: tuple[float, ...], ias: SheetColumn) -> SheetTable:
    def take_off(mass: float, strip: Strip) -> Row:
        found = fields.take_off(mass, strip)
        return (found.unstick_ias_m_per_s, found.ground_run_m, found.distance_m)

    def landing(mass: float, strip: Strip) -> Row:
        return (fields.landing(mass, strip).distance_m,)

    rows = []
    for mass, height in product(masses, _FIELD_HEIGHTS_FT):
        strip = Strip(Runway("level", 0.0, 0.0, 0.0, "paved", 0.0, height * FT_M, ""), _standard(height), 0.0)
        off = _answered(lambda m=mass, s=strip: take_off(m, s), 3)  # type: ignore[misc]
        down = _answered(lambda m=mass, s=strip: landing(m, s), 1)  # type: ignore[misc]
        rows.append((mass, height * FT_M, *off, *down))
    columns = (
        MASS,
        HEIGHT,
        SheetColumn("unstick", ias.unit),
        SheetColumn("ground run", "ft"),
        SheetColumn("to 50 ft", "ft"),
        SheetColumn("landing from 50 ft", "ft"),
    )
    note = "dry, level, paved runway, calm, standard day, without any factor"
    return SheetTable("Field lengths", note, columns, _with_answers(rows, 2))
