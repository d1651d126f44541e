"""The weather at each field at its expected time: pressure, wind on the runways, ceiling and visibility against minima."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from briefgen.errors import OutOfRangeError
from briefgen.kernel.altimetry import cold_temperature_correction, pressure_altitude
from briefgen.kernel.atmosphere import density_altitude
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.weather import ForecastGroup, SurfacePoint, Wind
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.fields.uses import FieldUse, field_uses
from briefgen.weather.forecast import UNLIMITED_CEILING_M, Expected, Outlook, forecast_for, minima_check, outlook
from briefgen.weather.hazards import CARBURETTOR_SOURCE, carburettor_ice, relative_humidity, wind_on_runway
from briefgen.weather.surface import Ground, Surface

# 14 CFR 91.169(b)(2)(i): the forecast is held against the minima from an hour before to an hour after the arrival.
WINDOW = timedelta(hours=1)
WINDOW_SOURCE = "an hour before to an hour after the expected time: 14 CFR 91.169(b)(2)"
NO_CEILING = "none"
NOT_FORECAST = "not forecast"

COLUMNS = (
    Column("field", "Field"),
    Column("role", "For"),
    Column("time", "At", "UTC"),
    Column("wind_from", "Wind from", "degT"),
    Column("wind_speed", "Wind", "kt"),
    Column("ceiling", "Ceiling", "ft"),
    Column("visibility", "Visibility", "km"),
    Column("minima", "Minima"),
    Column("altimeter_setting", "Altimeter setting", "hPa"),
    Column("temperature", "Temperature", "degC"),
)
AIR_COLUMNS = (
    Column("field", "Field"),
    Column("role", "For"),
    Column("dew_point", "Dew point", "degC"),
    Column("humidity", "Humidity", "%"),
    Column("pressure_altitude", "Pressure altitude", "ft"),
    Column("density_altitude", "Density altitude", "ft"),
    Column("cold_correction", "Add to circuit for cold", "ft"),
    Column("carburettor_ice", "Carburettor ice"),
)
RUNWAY_COLUMNS = (
    Column("field", "Field"),
    Column("role", "For"),
    Column("runway", "Runway"),
    Column("headwind", "Head wind", "kt"),
    Column("crosswind", "Crosswind", "kt"),
    Column("side", "From"),
    Column("strongest", "Strongest crosswind", "kt"),
)


@dataclass(frozen=True)
class FieldWeather:
    """One use of a field with everything the file says about it for that time."""

    use: FieldUse
    surface: Surface
    wind: Wind
    states: Outlook | None  # None: neither a forecast nor cloud and visibility for the whole window
    source: str  # of what is interpolated to the instant
    states_source: str


def write_fields(mission: Mission, writer: LedgerWriter) -> tuple[FieldWeather, ...]:
    """Enter the weather at every field of the plan and its two tables."""
    ground = Ground(mission.weather)
    found = tuple(_read(mission, ground, use) for use in field_uses(mission, writer))
    rows: list[Row] = []
    air_rows: list[Row] = []
    runway_rows: list[Row] = []
    for weather in found:
        head = f"weather.field.{weather.use.name}"
        _write_use(weather, head, writer)
        _write_air(weather, head, ground, writer)
        _write_wind(weather, head, writer)
        _write_minima(weather, head, writer)
        cells = _cells(head, COLUMNS, writer)
        rows.append(Row(weather.use.title, {**cells, "time": weather.use.time_key}, weather.use.role))
        air_rows.append(Row(weather.use.title, _cells(head, AIR_COLUMNS, writer), weather.use.role))
        runway_rows.extend(_runway_rows(weather, head, writer))
    writer.table(
        "weather.fields", "Fields at their expected times", COLUMNS, rows,
        note=f"Ceiling and visibility: the lowest expected, temporary changes included, {WINDOW_SOURCE}.",
    )  # fmt: skip
    writer.table("weather.field_air", "Air at the fields", AIR_COLUMNS, air_rows)
    writer.table("weather.runways", "Wind on the runways", RUNWAY_COLUMNS, runway_rows)
    return found


def _cells(head: str, columns: tuple[Column, ...], writer: LedgerWriter) -> dict[str, str]:
    return {column.name: f"{head}.{column.name}" for column in columns if f"{head}.{column.name}" in writer}


def _read(mission: Mission, ground: Ground, use: FieldUse) -> FieldWeather:
    weather, ident = mission.weather, use.place.ident
    try:
        surface = ground.surface_at(ident, use.instant)
    except OutOfRangeError as error:
        raise error.at(use.title) from error
    states, sources = _states(mission, ground, use)
    wind = surface.wind or next((state.wind for state in (states.prevailing if states else ()) if state.wind), None)
    if wind is None or surface.temperature_k is None:
        raise OutOfRangeError(
            f"no {'wind' if wind is None else 'temperature'} for the ground at {ident} at {use.instant:%d %H:%M} UTC",
            where=weather.file,
            expected="wind and temperature at every field of the plan, before and after its expected time",
        )
    return FieldWeather(use, surface, wind, states, ", ".join(surface.sources), ", ".join(dict.fromkeys(sources)))


def _states(mission: Mission, ground: Ground, use: FieldUse) -> tuple[Outlook | None, tuple[str, ...]]:
    """Return what is expected around the time of use: by the aerodrome forecast, else by the entries for the ground."""
    start, end = use.instant - WINDOW, use.instant + WINDOW
    forecast = forecast_for(mission.weather, use.place.ident, start, end)
    if forecast is not None:
        return outlook(forecast, start, end), (forecast.source,)
    try:
        entries = ground.entries_between(use.place.ident, start, end)
    except OutOfRangeError:
        return None, ()
    return Outlook(tuple(_state(point) for point in entries), ()), tuple(point.source for point in entries)


def _state(point: SurfacePoint) -> Expected:
    group = ForecastGroup("base", point.instant, point.instant, text=point.raw or "as given for the ground")
    return Expected(point.wind, point.visibility_m, point.clouds, point.vertical_visibility_m, point.weather, group)


def _write_use(weather: FieldWeather, head: str, writer: LedgerWriter) -> None:
    use = weather.use
    method = "from the route and alternates as written"
    writer.put(f"{head}.field", "Field", f"{use.place.ident} {use.place.name}", method=method)
    writer.put(f"{head}.role", "Use", use.role, method=method)


def _write_air(weather: FieldWeather, head: str, ground: Ground, writer: LedgerWriter) -> None:
    use, surface, title = weather.use, weather.surface, weather.use.title
    put, at = writer.put, (weather.use.time_key,)
    between = "interpolated in time between the entries for the field"
    setting_pa = surface.altimeter_setting_pa
    how = between
    if setting_pa is None:
        setting_pa = ground.altimeter_setting_at(use.place.lat_deg, use.place.lon_deg, use.instant)
        how = "interpolated between the places that have one"
    setting = put(
        f"{head}.altimeter_setting",
        f"{title}: altimeter setting",
        setting_pa,
        "hPa",
        method=how,
        inputs=at,
        source=weather.source,
    )
    temperature_k = surface.temperature_k or 0.0
    temperature = put(
        f"{head}.temperature",
        f"{title}: temperature",
        temperature_k,
        "degC",
        method=between,
        inputs=at,
        source=weather.source,
    )
    moist: tuple[str, ...] = ()
    if surface.dew_point_k is not None:
        moist = (
            put(
                f"{head}.dew_point",
                f"{title}: dew point",
                surface.dew_point_k,
                "degC",
                method=between,
                inputs=at,
                source=weather.source,
            ),
        )
        humidity = relative_humidity(temperature_k, surface.dew_point_k)
        moist += (
            put(
                f"{head}.humidity",
                f"{title}: relative humidity",
                humidity,
                "%",
                method="vapour pressure at the dew point over that at the temperature",
                inputs=(temperature, *moist),
                source="Alduchov and Eskridge (1996), equation 21",
            ),
        )
    else:
        humidity = None
    elevation_m = use.runway.elevation_m
    height_m = pressure_altitude(elevation_m, setting_pa)
    put(f"{head}.elevation", f"{title}: elevation of the runway", elevation_m, "ft", method="given with the place")
    put(
        f"{head}.pressure_altitude", f"{title}: pressure altitude", height_m, "ft",
        method="elevation of the runway on the altimeter setting", inputs=(setting, f"{head}.elevation"),
        source="U.S. Standard Atmosphere, 1976",
    )  # fmt: skip
    put(
        f"{head}.density_altitude", f"{title}: density altitude", density_altitude(height_m, temperature_k, surface.dew_point_k), "ft",
        method="altitude of the standard atmosphere with the density of this air" + (", moisture counted" if moist else ", dry"),
        inputs=(f"{head}.pressure_altitude", temperature, *moist[:1]), source="U.S. Standard Atmosphere, 1976",
    )  # fmt: skip
    _write_cold(weather, head, temperature_k, writer)
    wet = any(word.strip("+-") not in ("", "HZ", "FU", "DU", "SA", "VA") for word in surface.weather)
    band = carburettor_ice(temperature_k, humidity, in_cloud=wet)
    put(
        f"{head}.carburettor_ice",
        f"{title}: carburettor icing on the ground",
        str(band),
        method="temperature and relative humidity against the bands",
        inputs=(temperature, *moist),
        source=CARBURETTOR_SOURCE,
    )


def _write_cold(weather: FieldWeather, head: str, temperature_k: float, writer: LedgerWriter) -> None:
    place = weather.use.place
    if place.circuit_height_m is None or place.elevation_m is None:
        return
    writer.put(
        f"{head}.cold_correction", f"{weather.use.title}: to add to the circuit height in cold air",
        cold_temperature_correction(place.circuit_height_m, place.elevation_m, temperature_k), "ft",
        method="cold-temperature correction of the circuit height", inputs=(f"{head}.temperature",), source="ICAO Doc 8168",
    )  # fmt: skip


def _write_wind(weather: FieldWeather, head: str, writer: LedgerWriter) -> None:
    wind, title = weather.wind, weather.use.title
    method = "interpolated in time as a vector between the entries for the field, else as forecast"
    inputs, source = (weather.use.time_key,), weather.source
    if wind.from_deg is not None:
        writer.put(
            f"{head}.wind_from",
            f"{title}: wind from",
            wind.from_deg,
            "degT",
            method=method,
            inputs=inputs,
            source=source,
        )
    writer.put(
        f"{head}.wind_speed", f"{title}: wind", wind.speed_m_per_s, "kt", method=method, inputs=inputs, source=source
    )
    both = ", ".join(dict.fromkeys(one for one in (source, weather.states_source) if one))
    winds = (wind, *(weather.states.winds if weather.states else ()))
    on_runway = wind_on_runway(weather.use.runway.heading_true_deg, *winds)
    worst = (
        f"strongest that any wind expected brings on runway {weather.use.runway.name}, gusts included, {WINDOW_SOURCE}"
    )
    writer.put(
        f"{head}.crosswind", f"{title}: strongest crosswind", on_runway.crosswind_m_per_s, "kt",
        method=worst, inputs=(f"{head}.wind_speed",), source=both,
    )  # fmt: skip
    writer.put(
        f"{head}.tailwind", f"{title}: strongest tail wind", -on_runway.headwind_m_per_s, "kt",
        method=f"{worst}; a head wind is negative", inputs=(f"{head}.wind_speed",), source=both,
    )  # fmt: skip


def _all_states(weather: FieldWeather) -> tuple[Expected, ...]:
    return (*weather.states.prevailing, *weather.states.temporary) if weather.states else ()


def _write_minima(weather: FieldWeather, head: str, writer: LedgerWriter) -> None:
    use, states = weather.use, _all_states(weather)
    ceilings = [state.ceiling_m for state in states]
    visibilities = [state.visibility_m for state in states]
    _write_lowest(weather, f"{head}.ceiling", "lowest ceiling above the field", "ft", 0, ceilings, writer)
    _write_lowest(weather, f"{head}.visibility", "lowest visibility", "km", 1, visibilities, writer)
    minima = use.place.minima
    inputs: tuple[str, ...] = (f"{head}.ceiling", f"{head}.visibility")
    if minima is None or weather.states is None:
        answer = "no minima given" if minima is None else NOT_FORECAST
    else:
        for name, value, unit, decimals in (
            ("ceiling", minima.ceiling_m, "ft", 0),
            ("visibility", minima.visibility_m, "km", 1),
        ):
            key = f"{head}.minimum_{name}"
            inputs += (
                writer.put(
                    key, f"{use.title}: minimum {name}", value, unit, decimals=decimals, method="given with the place"
                ),
            )
        usual = minima_check(weather.states.prevailing, minima)
        all_met = minima_check(states, minima).met
        answer = "met" if all_met else "met, but not in temporary changes" if usual.met else "not met"
    writer.put(
        f"{head}.minima",
        f"{use.title}: minima",
        answer,
        method=f"ceiling and visibility against the minima of the place, {WINDOW_SOURCE}",
        inputs=inputs,
        source=weather.states_source,
    )


def _write_lowest(
    weather: FieldWeather, key: str, label: str, unit: str, decimals: int, values: list[float | None],
    writer: LedgerWriter,
) -> None:  # fmt: skip
    method = f"lowest of all states forecast, temporary ones included, {WINDOW_SOURCE}"
    known = [value for value in values if value is not None]
    value: float | str = min(known) if known and len(known) == len(values) else NOT_FORECAST
    if value == UNLIMITED_CEILING_M:
        value = NO_CEILING
    shown = (unit, decimals) if isinstance(value, float) else ("", 0)
    writer.put(
        key, f"{weather.use.title}: {label}", value, shown[0], decimals=shown[1], method=method,
        inputs=(weather.use.time_key,), source=weather.states_source,
    )  # fmt: skip


def _runway_rows(weather: FieldWeather, head: str, writer: LedgerWriter) -> list[Row]:
    rows = []
    inputs = (f"{head}.wind_speed",) + ((f"{head}.wind_from",) if f"{head}.wind_from" in writer else ())
    for runway in weather.use.place.runways:
        key = f"{head}.runway_{runway.name.lower()}"
        title = f"{weather.use.title}, runway {runway.name}"
        parts = wind_on_runway(runway.heading_true_deg, weather.wind)
        across = parts.mean_crosswind_m_per_s
        put, method = writer.put, f"component of the wind on {runway.heading_true_deg:.0f} degrees true"
        side = "right" if across > 0.0 else "left" if across < 0.0 else "either side" if parts.crosswind_m_per_s else ""
        cells = {
            "field": f"{head}.field",
            "role": f"{head}.role",
            "runway": put(f"{key}.name", "Runway", runway.name, method="given with the place"),
            "headwind": put(f"{key}.headwind", f"{title}: head wind, a tail wind negative", parts.mean_headwind_m_per_s, "kt", method=method, inputs=inputs),
            "crosswind": put(f"{key}.crosswind", f"{title}: crosswind", abs(across), "kt", method=method, inputs=inputs),
            "side": put(f"{key}.side", f"{title}: crosswind from", side, method=method, inputs=inputs),
            "strongest": put(f"{key}.strongest_crosswind", f"{title}: crosswind in gusts", parts.crosswind_m_per_s, "kt", method=f"{method}, gusts included", inputs=inputs),
        }  # fmt: skip
        rows.append(Row(title, cells, "in use" if runway.name == weather.use.runway.name else ""))
    return rows
