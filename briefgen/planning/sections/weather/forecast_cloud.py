"""The cloud of the aerodrome forecasts as sheets around their aerodromes, beside those that are written in the weather file."""

from __future__ import annotations

from datetime import datetime

from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.weather import CEILING_COVERS, CloudLayer, CloudSheet
from briefgen.weather.forecast import Expected, forecast_for, outlook
from briefgen.weather.hazards import sheets_at
from briefgen.weather.points import distance_m, unit_vector

# An aerodrome forecast speaks for 8 km about its aerodrome: ICAO Annex 3, from memory.
FORECAST_RADIUS_M = 8_000.0
# A forecast gives no tops: what is not known is not taken for clear air, unless a written sheet is the same cloud.
TOP_NOT_KNOWN_M = float("inf")
SAME_BASE_M = 150.0  # a base this much under a written sheet is the sheet's: a report gives bases to 100 ft, a forecast is no nearer


def forecast_sheets_at(mission: Mission, lat_deg: float, lon_deg: float, instant: datetime) -> tuple[CloudSheet, ...]:
    """Return the broken and overcast layers forecast over a place at an instant, temporary ones included."""
    here = unit_vector(lat_deg, lon_deg)
    found: list[CloudSheet] = []
    for place in _forecast_places(mission):
        if distance_m(here, unit_vector(place.lat_deg, place.lon_deg)) > FORECAST_RADIUS_M:
            continue
        forecast = forecast_for(mission.weather, place.ident, instant, instant)
        if forecast is not None:
            expected = outlook(forecast, instant, instant)
            for state in (*expected.prevailing, *expected.temporary):
                found += [_sheet(mission, place, layer, instant, forecast.source) for layer in _layers(state)]
    return tuple({one.base_m: one for one in reversed(found)}.values())


def forecast_edges_m(mission: Mission) -> tuple[float, ...]:
    """Return every altitude [m] at which a forecast layer begins, so that the climb through it is looked at there."""
    edges = []
    for place in _forecast_places(mission):
        for forecast in mission.weather.forecasts:
            layers = [layer for group in forecast.groups for layer in group.clouds or ()]
            if forecast.ident == place.ident:
                edges += [(place.elevation_m or 0.0) + layer.base_m for layer in layers]
    return tuple(dict.fromkeys(edges))


def _forecast_places(mission: Mission) -> list[Place]:
    idents = {one.ident for one in mission.weather.forecasts}
    return [one for one in mission.places if one.ident in idents and one.elevation_m is not None]


def _layers(state: Expected) -> tuple[CloudLayer, ...]:
    """Return what covers more than half the sky; a sky that is hidden begins at the ground."""
    hidden = (CloudLayer("overcast", 0.0),) if state.vertical_visibility_m is not None else ()
    return (*hidden, *(layer for layer in state.clouds or () if layer.cover in CEILING_COVERS))


def _sheet(mission: Mission, place: Place, layer: CloudLayer, instant: datetime, source: str) -> CloudSheet:
    base_m = (place.elevation_m or 0.0) + layer.base_m
    top_m = layer.top_m
    if top_m is None:
        written = sheets_at(mission.weather, place.lat_deg, place.lon_deg, instant)
        tops = [one.top_m for one in written if one.base_m - SAME_BASE_M <= base_m < one.top_m]
        top_m = max(tops, default=TOP_NOT_KNOWN_M)
    not_told = ", top not forecast" if top_m == TOP_NOT_KNOWN_M else ""
    name = f"{layer.cover} cloud forecast at {place.name}{not_told}"
    return CloudSheet(
        name, place.lat_deg, place.lon_deg, FORECAST_RADIUS_M, layer.cover, base_m, top_m, instant, instant, source
    )
