"""One use of a runway: which, when, at what weight, and in what air and wind."""

from __future__ import annotations

from briefgen.aircraft.fields import Strip
from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.kernel.altimetry import pressure_altitude
from briefgen.kernel.atmosphere import vapour_pressure
from briefgen.kernel.wheels import creditable_headwind
from briefgen.model.performance import Air
from briefgen.model.places import Place, Runway
from briefgen.model.record import Ref
from briefgen.planning.sections.basis.field_uses import FieldUse
from briefgen.weather.hazards import wind_on_runway
from briefgen.weather.surface import Ground, Surface

HEADWIND_SHARE = 0.5
TAILWIND_SHARE = 1.5
WIND_SOURCE = "14 CFR 121.177(b): not more than half of a head wind, not less than one and a half times a tail wind"
FALLING = ("RA", "DZ", "SN", "SG", "PL", "GR", "GS", "UP")  # precipitation in the coded words: it wets the runway


@dataclass(frozen=True)
class RunwayUse:
    """A take-off or landing on one runway."""

    key: str  # head of its entries: fields.take_off.lx02
    field: FieldUse
    mass: Ref
    strip: Strip
    headwind_m_per_s: float  # as reported, negative from behind
    crosswind_m_per_s: float  # without its side
    sources: tuple[str, ...]

    @property
    def place(self) -> Place:
        """The field."""
        return self.field.place

    @property
    def runway(self) -> Runway:
        """The runway."""
        return self.field.runway

    @property
    def mass_kg(self) -> float:
        """The weight of the flight at that moment, noted as read."""
        found: float = self.mass.value
        return found

    @property
    def name(self) -> str:
        """The field and runway, for titles."""
        return f"{self.place.name} runway {self.runway.name}"


def runway_use(key: str, field: FieldUse, mass: Ref, ground: Ground) -> RunwayUse:
    """Return a use of a runway in the weather at the ground at its time.

    The head wind is without its gusts, the tail wind and the crosswind with them: each on the side that does not flatter.

    Raises:
        PlanError: The weather does not give pressure, temperature or wind at the field.
        OutOfRangeError: The weather file has nothing for the field or the time.
    """
    place, runway = field.place, field.runway
    weather = ground.surface_at(place.ident, field.instant)
    setting_pa, temperature_k, wind = weather.altimeter_setting_pa, weather.temperature_k, weather.wind
    if setting_pa is None or temperature_k is None or wind is None:
        raise _missing(place, weather)
    dew_point_k = None if weather.dew_point_k is None else min(weather.dew_point_k, temperature_k)
    air = Air(
        pressure_altitude(runway.elevation_m, setting_pa),
        temperature_k,
        0.0 if dew_point_k is None else vapour_pressure(dew_point_k),
    )
    blowing = wind_on_runway(runway.heading_true_deg, wind)
    headwind = blowing.headwind_m_per_s
    wet = any(code in word for word in weather.weather if not word.startswith("VC") for code in FALLING)
    strip = Strip(runway, air, creditable_headwind(headwind, HEADWIND_SHARE, TAILWIND_SHARE), wet)
    return RunwayUse(key, field, mass, strip, headwind, blowing.crosswind_m_per_s, weather.sources)


def _missing(place: Place, weather: Surface) -> PlanError:
    pressure, temperature = weather.altimeter_setting_pa, weather.temperature_k
    named = (("altimeter setting", pressure), ("temperature", temperature), ("wind", weather.wind))
    gaps = ", ".join(name for name, value in named if value is None)
    return PlanError(
        f"the weather gives no {gaps} at {place.ident} at {weather.instant:%d %H:%M} UTC",
        expected="altimeter setting, temperature and wind at every field used",
    )
