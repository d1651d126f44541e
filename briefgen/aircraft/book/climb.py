"""Climbs read from charts: from accumulated time, fuel and distance, or from rates of climb."""

from __future__ import annotations

from itertools import pairwise

from briefgen.aircraft.book.table import ChartTable
from briefgen.aircraft.flight_point import FlightPoint, isa_deviation
from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.model.performance import Air, EngineConfiguration, Mixture, PowerSetting

_SETTLED_KG = 1e-3
_MOST_STEPS = 50


@dataclass(frozen=True)
class ClimbReading:
    """What a chart says of one height of a climb; a volume flow is in m3/s, all engines together."""

    rate_m_per_s: float  # through pressure altitude
    fuel_flow_m3_per_s: float
    tas_m_per_s: float | None
    engine_speed_rpm: float | None
    manifold_pressure_pa: float | None
    mixture: Mixture | None


def accumulated_climb(table: ChartTable, mass_kg: float, air: Air, density_kg_per_m3: float) -> ClimbReading:
    """Return the climb at a height from a chart that accumulates from its lowest height, entered with the mass there.

    The mass the chart is entered with is the mass now and the fuel burnt since, found by repetition. Rates are the
    differences between the two lines of the chart around the height.
    """
    deviation_k = isa_deviation(air)
    lines = table.si_lines("pressure altitude")
    if not lines[0] <= air.pressure_altitude_m <= lines[-1]:
        outside = {"mass": mass_kg, "isa deviation": deviation_k, "pressure altitude": air.pressure_altitude_m}
        table.number("time", outside)  # raises, naming the axis and its range
    below, above = next(
        ((low, high) for low, high in pairwise(lines) if low <= air.pressure_altitude_m < high), lines[-2:]
    )

    def column(name: str, entry_kg: float, height_m: float) -> float:
        return table.number(name, {"mass": entry_kg, "isa deviation": deviation_k, "pressure altitude": height_m})

    entry_kg = mass_kg
    for _ in range(_MOST_STEPS):
        burnt_kg = column("fuel", entry_kg, air.pressure_altitude_m) * density_kg_per_m3
        if abs(mass_kg + burnt_kg - entry_kg) < _SETTLED_KG:
            break
        entry_kg = mass_kg + burnt_kg
    time_s = column("time", entry_kg, above) - column("time", entry_kg, below)
    fuel_m3 = column("fuel", entry_kg, above) - column("fuel", entry_kg, below)
    distance_m = column("distance", entry_kg, above) - column("distance", entry_kg, below)
    at = {"mass": entry_kg, "isa deviation": deviation_k, "pressure altitude": air.pressure_altitude_m}
    return ClimbReading((above - below) / time_s, fuel_m3 / time_s, distance_m / time_s, *printed_levers(table, at, {}))


def rate_climb(table: ChartTable, mass_kg: float, air: Air, engines: str) -> ClimbReading:
    """Return the climb at a height from a chart of rates of climb."""
    at = {"mass": mass_kg, "isa deviation": isa_deviation(air), "pressure altitude": air.pressure_altitude_m}
    words = {"engines": engines} if "engines" in table.axis_names else {}
    rate, flow = table.number("rate of climb", at, **words), table.number("fuel flow", at, **words)
    return ClimbReading(rate, flow, None, *printed_levers(table, at, words))


def take_off_power(table: ChartTable, air: Air) -> ClimbReading:
    """Return take-off power at a height from a chart of it; there is no rate of climb."""
    at = {"pressure altitude": air.pressure_altitude_m}
    return ClimbReading(0.0, table.number("fuel flow", at), None, *printed_levers(table, at, {}))


def descent_power(table: ChartTable, mass_kg: float, air: Air) -> ClimbReading:
    """Return the power of a descent from a chart of it; the rate is the aircraft file's."""
    at = {"mass": mass_kg, "isa deviation": isa_deviation(air), "pressure altitude": air.pressure_altitude_m}
    return ClimbReading(0.0, table.number("fuel flow", at), None, *printed_levers(table, at, {}))


def final_power(table: ChartTable, mass_kg: float, air: Air, rate_m_per_s: float, ias_m_per_s: float) -> ClimbReading:
    """Return the power of a final from a chart entered with the rate of descent through pressure altitude and the speed."""
    at = {
        "mass": mass_kg,
        "pressure altitude": air.pressure_altitude_m,
        "isa deviation": isa_deviation(air),
        "indicated airspeed": ias_m_per_s,
        "rate of descent": rate_m_per_s,
    }
    return ClimbReading(0.0, table.number("fuel flow", at), None, *printed_levers(table, at, {}))


def printed_levers(
    table: ChartTable, at: dict[str, float], words: dict[str, str]
) -> tuple[float | None, float | None, Mixture | None]:
    """Return engine speed, manifold pressure and mixture where a chart prints them; rich wherever it is not lean."""
    columns = table.column_names
    speed = table.number("engine speed", at, **words) if "engine speed" in columns else None
    pressure = table.number("manifold pressure", at, **words) if "manifold pressure" in columns else None
    if "mixture" not in columns:
        return speed, pressure, None
    lean = all(word == "lean" for word, _, _ in table.word_corners("mixture", at, **words))
    return speed, pressure, "lean" if lean else "rich"


def chart_ceiling(
    table: ChartTable, mass_kg: float, isa_deviation_k: float, engines: str, rate_m_per_s: float
) -> tuple[float, bool]:
    """Return a ceiling [m] from a chart of ceilings and whether the chart only says 'at least'.

    Raises:
        OutOfRangeError: The point lies outside the chart or beside a place where the rate is not met at any height.
    """
    at = {"mass": mass_kg, "isa deviation": isa_deviation_k, "rate of climb": rate_m_per_s}
    height_m = table.number("pressure altitude", at, engines=engines)
    reach = table.word_corners("reach", at, engines=engines)
    words = {word for word, _, _ in reach}
    if words == {"at least"}:
        return height_m, True
    if "at least" in words:
        # Between a printed ceiling and one cut off, the straight line through the cut-off lies on the low side.
        return height_m, False
    if words != {"exactly"}:
        raise OutOfRangeError(f"the chart {table.chart.name} says {words}", expected="exactly, at least")
    return height_m, False


def vertical_setting(
    table: ChartTable,
    mass_kg: float,
    point: FlightPoint,
    engines: EngineConfiguration,
    found: ClimbReading,
    density_kg_per_m3: float,
) -> PowerSetting:
    """Return the setting of a climb, descent or take-off as its chart prints it."""
    tas = point.tas_m_per_s if found.tas_m_per_s is None else found.tas_m_per_s
    flow = found.fuel_flow_m3_per_s * density_kg_per_m3
    return PowerSetting(
        engines=engines.name,
        engines_running=engines.running,
        mass_kg=mass_kg,
        air=point.air,
        ias_m_per_s=point.ias_m_per_s,
        cas_m_per_s=point.cas_m_per_s,
        tas_m_per_s=tas,
        engine_speed_rpm=found.engine_speed_rpm,
        manifold_pressure_pa=found.manifold_pressure_pa,
        mixture=found.mixture,
        power_w=None,
        propeller_efficiency=None,
        fuel_flow_kg_per_s=flow,
        specific_range_m_per_kg=tas / flow,
        governing_limit="chart",
        margin_ratio=None,
        time_limit_s=None,
        carburettor_air_temperature_k=None,
        cowl_flaps=None,
        blower=None,
        intercooler=None,
        filters=None,
        boost_pumps=None,
        source=f"chart {table.chart.name}: {table.chart.source}",
    )
