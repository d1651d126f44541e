"""The weather of a mission, as the flying asks it."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from datetime import datetime, timedelta

from briefgen.errors import OutOfRangeError
from briefgen.kernel.altimetry import indicated_altitude
from briefgen.kernel.sun import LightCondition, light_condition
from briefgen.model.performance import Air
from briefgen.model.places import Place
from briefgen.model.plan import Node
from briefgen.model.weather import CEILING_COVERS, Weather, Wind
from briefgen.weather import air, forecast, hazards, surface
from briefgen.weather.air import AirAloft
from briefgen.weather.cloud import CloudCover
from briefgen.weather.hazards import CarburettorIce, CloudRelation

RAIN_WINDOW = timedelta(hours=1)  # before and after a landing, as the winds of its field are taken


class Sky:
    """Air aloft, pressure and cloud at any place and time of one weather file; made once for a plan.

    The places are those whose forecasts tell of cloud over them.
    """

    def __init__(self, weather: Weather, places: Sequence[Place]) -> None:
        self.weather = weather
        self.cloud = CloudCover(weather, places)
        self.clouded = bool(self.cloud.edges_m)  # there is cloud somewhere
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

    def on_instruments(self, node: Node, altitude_m: float, wanted: Collection[str]) -> bool:
        """Return whether one of the conditions wanted holds for her at an altitude: broken or overcast cloud, or night."""
        if "darkness" in wanted and light_condition(node.instant, node.lat_deg, node.lon_deg) == LightCondition.NIGHT:
            return True
        return "cloud" in wanted and any(
            sheet.cover in CEILING_COVERS
            for sheet in self.cloud.at(node.lat_deg, node.lon_deg, altitude_m, node.instant)
        )

    def icing(
        self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime, temperature_k: float
    ) -> bool:
        """Return whether ice in the carburettors is likely: in cloud, outside air of the band."""
        if not self.clouded or hazards.carburettor_ice(temperature_k, None, in_cloud=True) is not CarburettorIce.LIKELY:
            return False
        return self.in_cloud(lat_deg, lon_deg, pressure_altitude_m, instant)

    def in_cloud(self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime) -> bool:
        """Return whether a sheet of cloud is all around at a pressure altitude."""
        over = self.cloud.over(lat_deg, lon_deg, instant)
        if not over:
            return False
        altitude_m = indicated_altitude(pressure_altitude_m, self.altimeter_setting(lat_deg, lon_deg, instant))
        return any(hazards.relation_to(sheet, altitude_m) is CloudRelation.IN for sheet in over)

    def flown_air(
        self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime
    ) -> tuple[Air, AirAloft]:
        """Return the air as the aircraft is asked about it, and with its wind."""
        aloft = self.air(lat_deg, lon_deg, pressure_altitude_m, instant)
        icing = self.icing(lat_deg, lon_deg, pressure_altitude_m, instant, aloft.temperature_k)
        return Air(pressure_altitude_m, aloft.temperature_k, icing=icing), aloft

    def ceiling_below(self, lat_deg: float, lon_deg: float, instant: datetime, up_to_m: float) -> str:
        """Return in words which broken or overcast sheet over a place has its base below an altitude [m]; empty for none."""
        for sheet in hazards.sheets_at(self.weather, lat_deg, lon_deg, instant):
            if sheet.cover in CEILING_COVERS and sheet.base_m < up_to_m:
                return f"{sheet.cover} cloud is forecast below ({sheet.name})"
        return ""

    def lowest_at(self, place: Place, instant: datetime) -> tuple[float | None, float | None]:
        """Return the lowest ceiling above a field [m] and the lowest visibility [m] expected there at a time.

        The forecast that covers the hour comes first, what is temporary included, else the last report; a sheet of cloud over
        the field counts beside either. None is 'not known'.
        """
        ceilings, visibilities = self._said_of(place.ident, instant)
        for sheet in hazards.sheets_at(self.weather, place.lat_deg, place.lon_deg, instant):
            if sheet.cover in CEILING_COVERS:
                ceilings.append(max(0.0, sheet.base_m - (place.elevation_m or 0.0)))
        known = [one for one in ceilings if one is not None], [one for one in visibilities if one is not None]
        return min(known[0], default=None), min(known[1], default=None)

    def winds_at(self, place: Place, instant: datetime) -> tuple[Wind, ...]:
        """Return the winds told at a field: every one forecast for the hour, else that of the reports; empty for none."""
        told = forecast.forecast_for(self.weather, place.ident, instant, instant)
        if told is not None and (winds := forecast.outlook(told, instant, instant).winds):
            return winds
        try:
            found = self._ground.surface_at(place.ident, instant).wind
        except OutOfRangeError:  # the file says nothing of the place at that time
            return ()
        return () if found is None else (found,)

    def wet_at(self, place: Place, instant: datetime) -> bool:
        """Return whether rain, snow or hail is told at a field within an hour of a time: the forecast first, else the report."""
        begin, end = instant - RAIN_WINDOW, instant + RAIN_WINDOW
        for from_, to in ((begin, end), (instant, instant)):
            told = forecast.forecast_for(self.weather, place.ident, from_, to)
            if told is not None:
                states = forecast.outlook(told, from_, to)
                return any(hazards.wets_runway(one.weather) for one in (*states.prevailing, *states.temporary))
        try:
            return hazards.wets_runway(self._ground.surface_at(place.ident, instant).weather)
        except OutOfRangeError:  # the file says nothing of the place at that time
            return False

    def _said_of(self, ident: str, instant: datetime) -> tuple[list[float | None], list[float | None]]:
        told = forecast.forecast_for(self.weather, ident, instant, instant)
        if told is not None:
            states = forecast.outlook(told, instant, instant)
            every = (*states.prevailing, *states.temporary)
            return [state.ceiling_m for state in every], [state.visibility_m for state in every]
        try:
            found = self._ground.surface_at(ident, instant)
        except OutOfRangeError:  # the file says nothing of the place at that time
            return [], []
        if found.clouds is None:
            return [], [found.visibility_m]
        bases = [layer.base_m for layer in found.clouds if layer.cover in CEILING_COVERS]
        return [min(bases, default=math.inf)], [found.visibility_m]

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
