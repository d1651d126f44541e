"""The sheet of an aircraft drawn: power within its limits, distance per fuel, climb and ceilings over weight."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.words import MPH_M_PER_S, height_words, mass_words
from briefgen.errors import BriefgenError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.constants import FT_M, KT_M_PER_S
from briefgen.model.performance import Air, IndicatedAirspeed
from briefgen.model.plan import ChartData, ChartPoint, Series
from briefgen.model.sheet import SheetTable

_RANGE_HEIGHT_FT = 10000.0  # where the long-range figures of this class are commonly quoted
_SPEED_STEP = 2.0  # mph or kt between two points of a curve
_LOWER_CURVES = 3  # of the weights: least, middle and greatest; five would not be told apart

Points = tuple[tuple[float, float], ...]


def drawn(
    tables: tuple[SheetTable, ...], performance: Performance, masses: tuple[float, ...], ias_unit: str
) -> tuple[ChartData, ...]:
    """Return the charts of a sheet; one without a curve is left out."""
    found = {table.title.partition(" on ")[0]: table for table in tables}
    charts = [_specific_range(performance, masses, ias_unit)]
    if "Power" in found and "Ratings" in found:
        charts = [_limits(found["Power"], found["Ratings"]), _power(found["Power"]), *charts]
    if "Climb" in found:
        charts.append(_climb(found["Climb"]))
    if "Ceilings" in found:
        charts.append(_ceilings(found["Ceilings"]))
    return tuple(chart for chart in charts if chart.curves)


def _column(table: SheetTable, label: str) -> int:
    return next(index for index, column in enumerate(table.columns) if column.label == label)


def _curves(table: SheetTable, by: tuple[str, ...], x: str, y: str) -> dict[tuple[object, ...], Points]:
    """Return the points of two columns, one curve for each value of the columns it is told apart by."""
    at_by, at_x, at_y = [_column(table, name) for name in by], _column(table, x), _column(table, y)
    curves: dict[tuple[object, ...], list[tuple[float, float]]] = {}
    for row in table.rows:
        across, up = row[at_x], row[at_y]
        if isinstance(across, float | int) and isinstance(up, float | int):
            curves.setdefault(tuple(row[index] for index in at_by), []).append((float(across), float(up)))
    return {name: tuple(points) for name, points in curves.items() if len(points) > 1}


def _spread(names: Iterable[tuple[object, ...]]) -> list[tuple[object, ...]]:
    """Return the first, the middle and the last of some names."""
    every = list(names)
    return every if len(every) <= _LOWER_CURVES else [every[0], every[len(every) // 2], every[-1]]


def _power(table: SheetTable) -> ChartData:
    """Return the power permitted over engine speed, lean and rich, at the lowest and the greatest height of the table."""
    every = _curves(table, ("pressure altitude", "mixture"), "engine speed", "power")
    heights = sorted({_number(height) for height, _ in every})
    curves = tuple(
        Series(f"{height}-{mixture}", f"{mixture}, {_level_words(_number(height))}", "rpm", "hp", points)
        for (height, mixture), points in every.items()
        if height in (heights[0], heights[-1])
    )
    title = f"{table.title}: one engine, the highest permitted and to be had"
    return ChartData("power", title, "Engine speed", "rpm", "Power", "hp", curves)


def _level_words(height_m: float) -> str:
    return height_words(height_m) if height_m else "sea level"


def _limits(table: SheetTable, ratings: SheetTable) -> ChartData:
    """Return the manifold pressure permitted at sea level over engine speed, with the ratings marked."""
    every = _curves(table, ("pressure altitude", "mixture"), "engine speed", "manifold pressure")
    curves = tuple(
        Series(str(mixture), f"{mixture}, sea level", "rpm", "inHg", points)
        for (height, mixture), points in every.items()
        if height == 0.0
    )
    at_name, at_speed = _column(ratings, "rating"), _column(ratings, "engine speed")
    at_pressure = _column(ratings, "manifold pressure")
    points = tuple(
        ChartPoint(str(row[at_name]), float(row[at_speed] or 0.0), float(row[at_pressure] or 0.0))
        for row in ratings.rows
    )
    title = f"Limits of {table.title[0].lower()}{table.title[1:]}: no time limit, with the ratings"
    return ChartData("limits", title, "Engine speed", "rpm", "Manifold pressure", "inHg", curves, (), points)


def _specific_range(performance: Performance, masses: tuple[float, ...], ias_unit: str) -> ChartData:
    """Return the still-air distance per mass of fuel over indicated speed; a jump is the change of mixture."""
    height_m = _RANGE_HEIGHT_FT * FT_M
    air = Air(height_m, standard_temperature(height_m))
    step = _SPEED_STEP * (KT_M_PER_S if ias_unit == "kt" else MPH_M_PER_S)
    speeds = performance.speeds(masses[-1])
    first, last = int(0.8 * speeds.hold_m_per_s / step), int(1.5 * speeds.climb_m_per_s / step)
    curves = []
    for mass_kg in (masses[0], masses[len(masses) // 2], masses[-1]):
        points = []
        for count in range(first, last + 1):
            try:
                setting = performance.cruise(mass_kg, air, IndicatedAirspeed(count * step))
            except BriefgenError:
                continue  # too slow or too fast there
            points.append((count * step, setting.specific_range_m_per_kg))
        if len(points) > 1:
            curves.append(Series(mass_words(mass_kg), mass_words(mass_kg), ias_unit, "NM/lb", tuple(points)))
    title = f"Specific range at {height_words(height_m)}, all engines, standard day"
    return ChartData("range", title, "Indicated airspeed", ias_unit, "Still-air distance", "NM/lb", tuple(curves))


def _climb(table: SheetTable) -> ChartData:
    every = _curves(table, ("weight",), "rate of climb", "pressure altitude")
    curves = tuple(
        Series(str(name[0]), mass_words(_number(name[0])), "ft/min", "ft", every[name]) for name in _spread(every)
    )
    return ChartData("climb", "Climb, all engines", "Rate of climb", "ft/min", "Pressure altitude", "ft", curves)


def _ceilings(table: SheetTable) -> ChartData:
    curves = tuple(
        Series(str(name[0]), str(name[0]), "lb", "ft", points)
        for name, points in _curves(table, ("engines",), "weight", "service").items()
    )
    return ChartData(
        "ceilings",
        "Service ceilings; level lines are the top of what the file covers",
        "Weight",
        "lb",
        "Pressure altitude",
        "ft",
        curves,
    )


def _number(value: object) -> float:
    """Return a cell that is known to be a number."""
    if not isinstance(value, float | int):
        raise TypeError(f"{value!r} is not a number")
    return float(value)
