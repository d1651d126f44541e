"""The cloud over a place: the written sheets, and what the aerodrome forecasts tell of cloud around their aerodromes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.model.places import Place
from briefgen.model.weather import CEILING_COVERS, CloudLayer, CloudSheet, Weather
from briefgen.weather.forecast import Expected, forecast_for, outlook
from briefgen.weather.hazards import CloudRelation, relation_to, sheets_at
from briefgen.weather.points import distance_m, unit_vector

# An aerodrome forecast speaks for 8 km about its aerodrome: ICAO Annex 3, from memory.
FORECAST_RADIUS_M = 8_000.0
# A forecast gives no tops: what is not known is not taken for clear air, unless a written sheet is the same cloud.
TOP_NOT_KNOWN_M = float("inf")
SAME_BASE_M = 150.0  # a base this much under a written sheet is the sheet's: a report gives bases to 100 ft, a forecast is no nearer


class CloudCover:
    """The cloud of one weather file over any place of a mission."""

    def __init__(self, weather: Weather, places: Sequence[Place]) -> None:
        self._weather = weather
        idents = {one.ident for one in weather.forecasts}
        self._fields = [
            (unit_vector(place.lat_deg, place.lon_deg), place)
            for place in places
            if place.ident in idents and place.elevation_m is not None
        ]

    def over(self, lat_deg: float, lon_deg: float, instant: datetime) -> tuple[CloudSheet, ...]:
        """Return the sheets over a place at an instant: all that are written, broken and overcast ones that are forecast."""
        written = sheets_at(self._weather, lat_deg, lon_deg, instant)
        return (*written, *self._forecast(lat_deg, lon_deg, instant)) if self._fields else written

    def at(self, lat_deg: float, lon_deg: float, altitude_m: float, instant: datetime) -> tuple[CloudSheet, ...]:
        """Return the sheets an altitude above mean sea level [m] lies in, base and top counted."""
        over = self.over(lat_deg, lon_deg, instant)
        return tuple(sheet for sheet in over if relation_to(sheet, altitude_m) is CloudRelation.IN)

    @property
    def edges_m(self) -> tuple[float, ...]:
        """Every altitude [m] at which cloud begins or ends anywhere, so that a climb through it is looked at there."""
        edges = [edge_m for sheet in self._weather.sheets for edge_m in (sheet.base_m, sheet.top_m)]
        for _, place in self._fields:
            for forecast in self._weather.forecasts:
                layers = [layer for group in forecast.groups for layer in group.clouds or ()]
                if forecast.ident == place.ident:
                    edges += [(place.elevation_m or 0.0) + layer.base_m for layer in layers]
        return tuple(dict.fromkeys(edges))

    def _forecast(self, lat_deg: float, lon_deg: float, instant: datetime) -> tuple[CloudSheet, ...]:
        """Return the broken and overcast layers forecast over a place at an instant, temporary ones included."""
        here = unit_vector(lat_deg, lon_deg)
        found: list[CloudSheet] = []
        for vector, place in self._fields:
            if distance_m(here, vector) > FORECAST_RADIUS_M:
                continue
            forecast = forecast_for(self._weather, place.ident, instant, instant)
            if forecast is not None:
                expected = outlook(forecast, instant, instant)
                for state in (*expected.prevailing, *expected.temporary):
                    found += [self._sheet(place, layer, instant, forecast.source) for layer in _layers(state)]
        return tuple({one.base_m: one for one in reversed(found)}.values())

    def _sheet(self, place: Place, layer: CloudLayer, instant: datetime, source: str) -> CloudSheet:
        base_m = (place.elevation_m or 0.0) + layer.base_m
        top_m = layer.top_m
        if top_m is None:
            written = sheets_at(self._weather, place.lat_deg, place.lon_deg, instant)
            tops = [one.top_m for one in written if one.base_m - SAME_BASE_M <= base_m < one.top_m]
            top_m = max(tops, default=TOP_NOT_KNOWN_M)
        not_told = ", top not forecast" if top_m == TOP_NOT_KNOWN_M else ""
        name = f"{layer.cover} cloud forecast at {place.name}{not_told}"
        return CloudSheet(
            name, place.lat_deg, place.lon_deg, FORECAST_RADIUS_M, layer.cover, base_m, top_m, instant, instant, source
        )


def _layers(state: Expected) -> tuple[CloudLayer, ...]:
    """Return what covers more than half the sky; a sky that is hidden begins at the ground."""
    hidden = (CloudLayer("overcast", 0.0),) if state.vertical_visibility_m is not None else ()
    return (*hidden, *(layer for layer in state.clouds or () if layer.cover in CEILING_COVERS))
