"""The tables of power of an aircraft with a physical model: ratings, settings, heights to which they can be had."""

from __future__ import annotations

from itertools import product

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.physics.advice import full_throttle_height
from briefgen.aircraft.physics.lever_solution import MIXTURES
from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.constants import FT_M
from briefgen.model.performance import Air
from briefgen.model.powerplant import Rating
from briefgen.model.sheet import SheetColumn, SheetTable

_POWER_HEIGHTS_FT = (0, 10000, 20000)
_SPEED_STEPS = 5

Row = tuple[float | str | None, ...]


def power_tables(performance: Performance, fuel_grade: str) -> tuple[SheetTable, ...]:
    """Return ratings and the power table; an aircraft of charts has its settings in its cruise tables."""
    if not isinstance(performance, ModelPerformance):
        return ()
    return (_ratings(performance, fuel_grade), _settings(performance, fuel_grade))


def _ratings(performance: ModelPerformance, fuel_grade: str) -> SheetTable:
    grade = performance.parts.grade
    lean = performance.parts.plant.highest_engine_speed("lean")
    lean_pa = grade.lean_manifold_pressure_pa_by_engine_speed_rpm.y[-1]
    ratings = {
        "take-off": grade.take_off,
        "climb": grade.climb,
        f"highest {performance.parts.aircraft.mixture_settings.lean}": Rating(lean_pa, lean, "lean", None),
    }
    names = performance.parts.aircraft.mixture_settings
    speeds = performance.speeds(performance.parts.aircraft.balance.limits.take_off_kg)
    rows = tuple(
        (
            name,
            rating.engine_speed_rpm,
            rating.manifold_pressure_pa,
            names.of(rating.mixture),
            rating.time_limit_s,
            full_throttle_height(
                performance, rating.engine_speed_rpm, rating.manifold_pressure_pa, speeds.climb_m_per_s, 0.0
            ),
        )
        for name, rating in ratings.items()
    )
    columns = (
        SheetColumn("rating", ""),
        SheetColumn("engine speed", "rpm"),
        SheetColumn("manifold pressure", "inHg", 1),
        SheetColumn("mixture", ""),
        SheetColumn("time limit", "min"),
        SheetColumn("held to", "ft"),
    )
    note = "standard day, climb speed; no height: to the top of what the model covers"
    return SheetTable(f"Ratings on {fuel_grade}", note, columns, rows)


def _settings(performance: ModelPerformance, fuel_grade: str) -> SheetTable:
    plant, names = performance.parts.plant, performance.parts.aircraft.mixture_settings
    ias = performance.parts.aircraft.speeds.climb_m_per_s
    highest_m = performance.parts.model.airframe.altitude_limit_m
    heights_ft = [height_ft for height_ft in _POWER_HEIGHTS_FT if height_ft * FT_M <= highest_m]
    rows: list[Row] = []
    for height_ft, mixture in product(heights_ft, MIXTURES):
        air = Air(height_ft * FT_M, standard_temperature(height_ft * FT_M))
        breath = performance.parts.breath(performance.parts.point(air, ias))
        low, high = plant.minimum_engine_speed_rpm, plant.highest_engine_speed(mixture)
        for step in range(_SPEED_STEPS + 1):
            speed = low + (high - low) * step / _SPEED_STEPS
            ceiling = plant.permitted(breath, speed, mixture)
            power = plant.power(breath, speed, ceiling.manifold_pressure_pa, mixture)
            flow = plant.fuel_flow(speed, power, mixture)
            rows.append(
                (height_ft * FT_M, names.of(mixture), speed, ceiling.manifold_pressure_pa, power, flow, ceiling.limit)
            )
    columns = (
        SheetColumn("pressure altitude", "ft"),
        SheetColumn("mixture", ""),
        SheetColumn("engine speed", "rpm"),
        SheetColumn("manifold pressure", "inHg", 1),
        SheetColumn("power", "hp"),
        SheetColumn("fuel flow", "US gal/h", 1, of_fuel=True),
        SheetColumn("limit", ""),
    )
    note = "one engine, standard day, the highest manifold pressure permitted without time limit and to be had"
    return SheetTable(f"Power on {fuel_grade}", note, columns, tuple(rows))
