"""The air at a field at the time it is used: pressure, temperature, moisture, and what they do to height and carburettor."""

from __future__ import annotations

from briefgen.errors import OutOfRangeError
from briefgen.kernel.altimetry import cold_temperature_correction, pressure_altitude
from briefgen.kernel.atmosphere import density_altitude
from briefgen.model.record import Absent, Record, figure, rests_on
from briefgen.planning.sections.basis.groups import PLACES, WEATHER, rest_on_groups
from briefgen.planning.sections.weather.field_states import FieldWeather
from briefgen.weather.hazards import CARBURETTOR_SOURCE, carburettor_ice, relative_humidity
from briefgen.weather.surface import Ground

BETWEEN = "interpolated in time between the entries for the field"
BETWEEN_PLACES = "interpolated between the places that have one"
DRY_WORDS = ("", "HZ", "FU", "DU", "SA", "VA")  # present weather that wets nothing


class AirFigures(Record):
    """The air on one field at the time of one use."""

    def __init__(self, weather: FieldWeather, ground: Ground) -> None:
        use, surface = weather.use, weather.surface
        self.at, self.title, self._use, self._surface = f"weather.field.{use.name}", use.title, use, surface
        self._present = weather.present
        self.source = ", ".join(surface.sources)
        self.setting_how = BETWEEN if surface.altimeter_setting_pa is not None else BETWEEN_PLACES
        self.moisture = "dry" if surface.dew_point_k is None else "moisture counted"
        self._ground = ground

    @figure("%(title)s: altimeter setting", "hPa", how="%(setting_how)s", source="%(source)s")
    def altimeter_setting(self) -> float:
        place, instant = self._use.place, self._use.instant
        rest_on_groups(WEATHER, PLACES)
        if self._surface.altimeter_setting_pa is not None:
            return self._surface.altimeter_setting_pa
        return self._ground.altimeter_setting_at(place.lat_deg, place.lon_deg, instant)

    @figure("%(title)s: temperature", "degC", how=BETWEEN, source="%(source)s")
    def temperature(self) -> float:
        rests_on(self._use.instant)
        rest_on_groups(WEATHER, PLACES)
        if self._surface.temperature_k is None:
            raise OutOfRangeError(f"no temperature for the ground at {self._use.place.ident}")
        return self._surface.temperature_k

    @figure("%(title)s: dew point", "degC", how=BETWEEN, source="%(source)s")
    def dew_point(self) -> float:
        rests_on(self._use.instant)
        rest_on_groups(WEATHER, PLACES)
        if self._surface.dew_point_k is None:
            raise Absent("the weather gives no dew point for the field")
        return self._surface.dew_point_k

    @figure(
        "%(title)s: relative humidity", "%", how="vapour pressure at the dew point over that at the temperature",
        source="Alduchov and Eskridge (1996), equation 21",
    )  # fmt: skip
    def humidity(self) -> float:
        return relative_humidity(self.temperature, self.dew_point)

    @figure("%(title)s: elevation of the runway", "ft", how="given with the place")
    def elevation(self) -> float:
        rest_on_groups(PLACES)
        return self._use.runway.elevation_m

    @figure(
        "%(title)s: pressure altitude", "ft", how="elevation of the runway on the altimeter setting",
        source="U.S. Standard Atmosphere, 1976",
    )  # fmt: skip
    def pressure_altitude(self) -> float:
        return pressure_altitude(self.elevation, self.altimeter_setting)

    @figure(
        "%(title)s: density altitude", "ft", source="U.S. Standard Atmosphere, 1976",
        how="altitude of the standard atmosphere with the density of this air, %(moisture)s",
    )  # fmt: skip
    def density_altitude(self) -> float:
        return density_altitude(self.pressure_altitude, self.temperature, AirFigures.dew_point.or_none(self))

    @figure(
        "%(title)s: to add to the circuit height in cold air", "ft", source="ICAO Doc 8168",
        how="cold-temperature correction of the circuit height",
    )  # fmt: skip
    def cold_correction(self) -> float:
        place = self._use.place
        if place.circuit_height_m is None or place.elevation_m is None:
            raise Absent("the place gives no circuit height")
        rest_on_groups(PLACES)
        return cold_temperature_correction(place.circuit_height_m, place.elevation_m, self.temperature)

    @figure(
        "%(title)s: carburettor icing on the ground", how="temperature and relative humidity against the bands",
        source=CARBURETTOR_SOURCE,
    )  # fmt: skip
    def carburettor_ice(self) -> str:
        rest_on_groups(WEATHER)
        wet = any(word.strip("+-") not in DRY_WORDS for word in self._present)
        return str(carburettor_ice(self.temperature, AirFigures.humidity.or_none(self), in_cloud=wet))
