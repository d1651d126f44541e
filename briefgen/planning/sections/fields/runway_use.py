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
from briefgen.planning.sections.weather.field_states import FieldWeather, worst_wind
from briefgen.weather.hazards import wets_runway
from briefgen.weather.surface import Surface

HEADWIND_SHARE = 0.5
TAILWIND_SHARE = 1.5
WIND_SOURCE = "14 CFR 121.177(b): not more than half of a head wind, not less than one and a half times a tail wind"


@dataclass(frozen=True)
class RunwayUse:
    """A take-off or landing on one runway."""

    key: str  # head of its entries: fields.take_off.lx02
    field: FieldUse
    mass: Ref
    strip: Strip

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


def runway_use(key: str, weather: FieldWeather, mass: Ref) -> RunwayUse:
    """Return a use of a runway in the air at its time, and in the worst wind and rain of the period of use.

    Raises:
        PlanError: The weather does not give the pressure at the field.
    """
    place, runway, surface = weather.use.place, weather.use.runway, weather.surface
    setting_pa, temperature_k = surface.altimeter_setting_pa, surface.temperature_k
    if setting_pa is None or temperature_k is None:
        raise _missing(place, surface)
    dew_point_k = None if surface.dew_point_k is None else min(surface.dew_point_k, temperature_k)
    air = Air(
        pressure_altitude(runway.elevation_m, setting_pa),
        temperature_k,
        0.0 if dew_point_k is None else vapour_pressure(dew_point_k),
    )
    headwind = worst_wind(weather).headwind_m_per_s
    wet = wets_runway(weather.present)
    strip = Strip(runway, air, creditable_headwind(headwind, HEADWIND_SHARE, TAILWIND_SHARE), wet)
    return RunwayUse(key, weather.use, mass, strip)


def _missing(place: Place, weather: Surface) -> PlanError:
    pressure, temperature = weather.altimeter_setting_pa, weather.temperature_k
    named = (("altimeter setting", pressure), ("temperature", temperature))
    gaps = ", ".join(name for name, value in named if value is None)
    return PlanError(
        f"the weather gives no {gaps} at {place.ident} at {weather.instant:%d %H:%M} UTC",
        expected="altimeter setting, temperature and wind at every field used",
    )
