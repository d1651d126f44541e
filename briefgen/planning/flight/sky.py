"""The weather of a mission, as the flying asks it."""

from __future__ import annotations

from datetime import datetime

from briefgen.errors import OutOfRangeError
from briefgen.model.places import Place
from briefgen.model.plan import Node
from briefgen.model.weather import CEILING_COVERS, Weather
from briefgen.weather import air, hazards, surface
from briefgen.weather.air import AirAloft


class Sky:
    """Air aloft, pressure and cloud at any place and time of one weather file; made once for a plan."""

    def __init__(self, weather: Weather) -> None:
        self.weather = weather
        self._aloft = air.Sky(weather)
        self._ground = surface.Ground(weather)

    def air(self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime) -> AirAloft:
        """Return wind and temperature aloft."""
        return self._aloft.air_at(lat_deg, lon_deg, pressure_altitude_m, instant)

    def altimeter_setting(self, lat_deg: float, lon_deg: float, instant: datetime) -> float:
        """Return the altimeter setting reduced to sea level [Pa]."""
        return self._ground.altimeter_setting_at(lat_deg, lon_deg, instant)

    def overcast_top(self, lat_deg: float, lon_deg: float, instant: datetime) -> float | None:
        """Return the top of the broken or overcast sheets over a place [m above mean sea level], None if clear."""
        return self._aloft.overcast_top_at(lat_deg, lon_deg, instant)

    def ceiling_below(self, lat_deg: float, lon_deg: float, instant: datetime, up_to_m: float) -> str:
        """Return in words which broken or overcast sheet over a place has its base below an altitude [m]; empty for none."""
        for sheet in hazards.sheets_at(self.weather, lat_deg, lon_deg, instant):
            if sheet.cover in CEILING_COVERS and sheet.base_m < up_to_m:
                return f"{sheet.cover} cloud is forecast below ({sheet.name})"
        return ""

    def obscured_at(self, place: Place, instant: datetime, up_to_m: float, visibility_m: float) -> str:
        """Return in words what hides the ground from an altitude [m] at a field's own weather; empty where nothing does.

        Raises:
            OutOfRangeError: The weather says nothing of the place at that time.
        """
        found = self._ground.surface_at(place.ident, instant)
        if found.visibility_m is not None and found.visibility_m < visibility_m:
            return f"the visibility at {place.ident} is under {visibility_m / 1000.0:.0f} km"
        for layer in found.clouds or ():
            if layer.cover in CEILING_COVERS and (place.elevation_m or 0.0) + layer.base_m < up_to_m:
                return f"{layer.cover} cloud is forecast below at {place.ident}"
        return ""

    def freezing_level(self, lat_deg: float, lon_deg: float, instant: datetime) -> float | None:
        """Return the pressure altitude of the freezing level [m], None when it is above the data."""
        return self._aloft.freezing_level_at(lat_deg, lon_deg, instant)

    def surface_air(self, place: Place, state: Node) -> AirAloft:
        """Return wind and temperature at a field."""
        found = self._ground.surface_at(place.ident, state.instant)
        if found.temperature_k is None or found.wind is None:
            raise OutOfRangeError(
                f"the weather gives no surface temperature or wind for {place.ident}",
                where=self.weather.file, expected="both, for every field that is used",
            )  # fmt: skip
        return AirAloft(found.temperature_k, found.wind.east_m_per_s, found.wind.north_m_per_s)
