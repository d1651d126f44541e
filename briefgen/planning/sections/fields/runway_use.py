"""One use of a runway: which, when, at what weight, and in what air and wind; with the entries that say so."""

from __future__ import annotations

from dataclasses import dataclass

from briefgen.aircraft.fields import FieldPerformance, Strip
from briefgen.errors import PlanError
from briefgen.kernel.altimetry import pressure_altitude
from briefgen.kernel.atmosphere import density_altitude, vapour_pressure
from briefgen.kernel.wheels import creditable_headwind
from briefgen.model.ledger import Column, Value
from briefgen.model.performance import Air
from briefgen.model.places import Place, Runway
from briefgen.model.plan import Node
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.weather.hazards import wind_on_runway
from briefgen.weather.surface import Ground, Surface

HEADWIND_SHARE = 0.5
TAILWIND_SHARE = 1.5
WIND_SOURCE = "14 CFR 121.177(b): not more than half of a head wind, not less than one and a half times a tail wind"
FALLING = ("RA", "DZ", "SN", "SG", "PL", "GR", "GS", "UP")  # precipitation in the coded words: it wets the runway
RUNWAY_COLUMNS = (
    Column("place", "Field"),
    Column("runway", "Runway"),
    Column("surface", "Surface"),
    Column("slope", "Slope", "%"),
    Column("available", "Length", "ft"),
    Column("pressure_altitude", "Pressure altitude", "ft"),
    Column("temperature", "Temperature", "degC"),
    Column("density_altitude", "Density altitude", "ft"),
    Column("headwind", "Head wind", "kt"),
    Column("headwind_used", "Counted on", "kt"),
    Column("crosswind", "Crosswind", "kt"),
)


@dataclass(frozen=True)
class RunwayUse:
    """A take-off or landing on one runway."""

    key: str  # head of its entries: fields.take_off.lx02
    place: Place
    runway: Runway
    mass_kg: float
    mass_keys: tuple[str, ...]
    strip: Strip
    headwind_m_per_s: float  # the least that gusts and shifts leave, negative from behind
    crosswind_m_per_s: float  # the strongest that they bring, from either side
    dew_point_k: float | None
    sources: tuple[str, ...]

    @property
    def name(self) -> str:
        """The field and runway, for titles."""
        return f"{self.place.name} runway {self.runway.name}"


def runway_of(place: Place, name: str) -> Runway:
    """Return a runway of a place by name."""
    for runway in place.runways:
        if runway.name == name:
            return runway
    raise PlanError(
        f"{place.ident} has no runway {name}",
        expected=f"one of: {', '.join(one.name for one in place.runways) or 'none written'}",
    )


def runway_use(
    key: str, place: Place, runway: Runway, state: Node, mass_kg: float, mass_keys: tuple[str, ...], ground: Ground
) -> RunwayUse:
    """Return a use of a runway in the weather at the ground at the state's time.

    Raises:
        PlanError: The weather does not give pressure, temperature or wind at the field.
        OutOfRangeError: The weather file has nothing for the field or the time.
    """
    weather = ground.surface_at(place.ident, state.instant)
    setting_pa, temperature_k, wind = weather.altimeter_setting_pa, weather.temperature_k, weather.wind
    if setting_pa is None or temperature_k is None or wind is None:
        raise _missing(place, weather)
    dew_point_k = None if weather.dew_point_k is None else min(weather.dew_point_k, temperature_k)
    air = Air(
        pressure_altitude(runway.elevation_m, setting_pa),
        temperature_k,
        0.0 if dew_point_k is None else vapour_pressure(dew_point_k),
    )
    on_runway = wind_on_runway(runway.heading_true_deg, wind)
    headwind, crosswind = on_runway.headwind_m_per_s, on_runway.crosswind_m_per_s
    wet = any(code in word for word in weather.weather if not word.startswith("VC") for code in FALLING)
    counted = creditable_headwind(headwind, HEADWIND_SHARE, TAILWIND_SHARE)
    strip = Strip(runway, air, counted, wet)
    return RunwayUse(key, place, runway, mass_kg, mass_keys, strip, headwind, crosswind, dew_point_k, weather.sources)


def _missing(place: Place, weather: Surface) -> PlanError:
    pressure, temperature = weather.altimeter_setting_pa, weather.temperature_k
    named = (("altimeter setting", pressure), ("temperature", temperature), ("wind", weather.wind))
    gaps = ", ".join(name for name, value in named if value is None)
    return PlanError(
        f"the weather gives no {gaps} at {place.ident} at {weather.instant:%d %H:%M} UTC",
        expected="altimeter setting, temperature and wind at every field used",
    )


def write_runway_use(use: RunwayUse, fields: FieldPerformance, writer: LedgerWriter) -> None:
    """Enter runway, air, wind and weight of one use."""
    key, runway, air = use.key, use.runway, use.strip.air
    surface, surface_source = fields.surface_words(use.strip)
    observed = ", ".join(use.sources)
    written, weather = "runway as written", "weather at the field at that time"

    def put(name: str, label: str, value: Value, unit: str, method: str, source: str = "", decimals: int = 0) -> None:
        writer.put(f"{key}.{name}", label, value, unit, decimals=decimals, method=method, source=source)

    put("place", "Field", f"{use.place.ident} {use.place.name}", "", "route as written")
    put("runway", "Runway", runway.name, "", "route as written")
    put("surface", "Surface", surface, "", "runway as written, wet or dry by the weather", surface_source)
    put("slope", "Slope, uphill positive", runway.slope_ratio, "%", written, decimals=1)
    put("available", "Length available", runway.length_m, "ft", written)
    if runway.depth_m > 0.0:
        put("water_depth", "Standing water or slush", runway.depth_m, "in", written, decimals=1)
    put("pressure_altitude", "Pressure altitude", air.pressure_altitude_m, "ft",
        "elevation corrected for the altimeter setting", observed)  # fmt: skip
    put("temperature", "Temperature", air.temperature_k, "degC", weather, observed)
    put("headwind", "Head wind, tail wind negative", use.headwind_m_per_s, "kt", weather, observed)
    put("crosswind", "Crosswind", use.crosswind_m_per_s, "kt", weather, observed)
    _write_derived(use, writer)


def _write_derived(use: RunwayUse, writer: LedgerWriter) -> None:
    key, air = use.key, use.strip.air
    writer.put(
        f"{key}.mass",
        "Weight",
        use.mass_kg,
        "lb",
        method="weight of the flight at that moment",
        inputs=tuple(name for name in use.mass_keys if name in writer),
    )
    writer.put(
        f"{key}.density_altitude",
        "Density altitude",
        density_altitude(air.pressure_altitude_m, air.temperature_k, use.dew_point_k),
        "ft",
        method="from pressure altitude, temperature and dew point",
        inputs=(f"{key}.pressure_altitude", f"{key}.temperature"),
        source="U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562)",
    )
    writer.put(
        f"{key}.headwind_used",
        "Head wind counted on",
        use.strip.headwind_m_per_s,
        "kt",
        method="half of a head wind, one and a half times a tail wind",
        inputs=(f"{key}.headwind",),
        source=WIND_SOURCE,
    )
