"""Small weathers for the tests: columns over a few points, times in hours after noon UTC."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from briefgen.model.weather import (
    AerodromeForecast,
    CloudLayer,
    ForecastGroup,
    Sounding,
    SurfacePoint,
    TemperatureLevel,
    Weather,
    Wind,
    WindLevel,
    wind_vector,
)

NOON = datetime(2027, 2, 17, 12, tzinfo=UTC)
FIELD = "LX01"
POINTS = {FIELD: (-15.55, 167.2), "SADDLE": (-18.3, 163.1), "LX04": (-22.1, 166.33), "TERN": (-17.08, 165.83)}
HEIGHTS_M = (0.0, 1000.0, 3000.0, 6000.0)


def after(hours: float) -> datetime:
    """Return an instant some hours after noon."""
    return NOON + timedelta(hours=hours)


def sounding(
    ident: str, hours: float, from_deg: float, speed_m_per_s: float, deviation_k: float = 0.0, use: float = 0.0
) -> Sounding:
    """Return one wind at all heights, standard temperatures shifted by a deviation, for use some hours either way."""
    lat_deg, lon_deg = POINTS[ident]
    east, north = wind_vector(from_deg, speed_m_per_s)
    return Sounding(
        ident,
        lat_deg,
        lon_deg,
        after(hours),
        after(hours - use),
        after(hours + use),
        tuple(WindLevel(height, east, north) for height in HEIGHTS_M),
        tuple(TemperatureLevel(height, 288.15 - 0.0065 * height + deviation_k) for height in HEIGHTS_M),
        f"weather.yaml:{hours:.0f}",
    )


def surface(ident: str, hours: float, setting_pa: float, wind: Wind | None = None, use: float = 0.0) -> SurfacePoint:
    """Return one entry for the ground, warm and moist."""
    return SurfacePoint(
        ident,
        *POINTS[ident],
        after(hours),
        after(hours - use),
        after(hours + use),
        altimeter_setting_pa=setting_pa,
        wind=wind or Wind(0.0, 0.0),
        temperature_k=298.15,
        dew_point_k=294.15,
        visibility_m=9000.0,
        clouds=(CloudLayer("scattered", 600.0),),
        source=f"weather.yaml:{100 + hours:.0f}",
    )


def forecast(*groups: ForecastGroup) -> AerodromeForecast:
    """Return a forecast for the field from noon for a day."""
    return AerodromeForecast(FIELD, NOON, NOON, after(24), groups)


def weather(*soundings: Sounding, **fields: object) -> Weather:
    """Return a weather of some soundings, valid for a day from noon, with a reach of 100 km."""
    given: dict[str, object] = {
        "name": "Test weather",
        "issued": NOON,
        "valid_from": NOON,
        "valid_to": after(24),
        "reach_m": 100_000.0,
        "soundings": soundings,
        "file": "weather.yaml",
    }
    return Weather(**(given | fields))  # type: ignore[arg-type]
