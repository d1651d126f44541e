"""The minimum safe altitude of a leg from a grid of ground heights: the highest cell of a corridor, and a clearance."""

from __future__ import annotations

import math

from briefgen.errors import OutOfRangeError
from briefgen.kernel.constants import FT_M, NMI_M
from briefgen.model.places import Place, Terrain
from briefgen.planning.flight.route import line_between

MINUTE_M = NMI_M  # a minute of latitude, near enough for the width of a corridor
ROUND_UP_M = 100.0 * FT_M
EDGE = 1e-6


def safe_height(terrain: Terrain, start: Place, end: Place, track: str) -> float:
    """Return the minimum safe altitude of a leg [m above mean sea level], rounded up to a hundred feet.

    Every cell is taken that comes within the corridor of the leg or of its ends; the leg is walked in steps of half a cell.

    Raises:
        OutOfRangeError: The grid does not cover the corridor, or has no height in a part of it.
    """
    line = line_between(start.ident, start.lat_deg, start.lon_deg, end, 0.0, track)
    step_m = 0.5 * terrain.cell_deg * 60.0 * MINUTE_M
    count = max(1, math.ceil(line.length_m / step_m))
    highest_m = -math.inf
    for number in range(count + 1):
        lat, lon = line.position(line.length_m * number / count)
        highest_m = max(highest_m, _highest_around(terrain, lat, lon, terrain.corridor_m + step_m, end))
    return math.ceil((highest_m + terrain.clearance_m) / ROUND_UP_M - EDGE) * ROUND_UP_M


def _highest_around(terrain: Terrain, lat_deg: float, lon_deg: float, reach_m: float, end: Place) -> float:
    """Return the highest cell of the box around a point: the box holds the circle, so it errs to the safe side."""
    reach_lat = reach_m / (60.0 * MINUTE_M)
    reach_lon = reach_lat / math.cos(math.radians(lat_deg))
    size, rows = terrain.cell_deg, terrain.rows_m
    north_deg = terrain.south_deg + size * len(rows)
    top = math.floor((north_deg - lat_deg - reach_lat) / size + EDGE)
    bottom = math.ceil((north_deg - lat_deg + reach_lat) / size - EDGE)
    left = math.floor((lon_deg - reach_lon - terrain.west_deg) / size + EDGE)
    right = math.ceil((lon_deg + reach_lon - terrain.west_deg) / size - EDGE)
    if top < 0 or left < 0 or bottom > len(rows) or right > len(rows[0]):
        raise OutOfRangeError(
            f"the terrain file does not cover the corridor of the leg to {end.ident}",
            expected="ground heights to either side of the leg and beyond its ends",
            hint="give a larger grid, or a safe altitude from a chart",
        )
    found = [height for row in rows[top:bottom] for height in row[left:right]]
    heights = [height for height in found if height is not None]
    if len(heights) != len(found):
        raise OutOfRangeError(
            f"the terrain file has no height in a part of the corridor of the leg to {end.ident}",
            expected="a height in every cell; the sea is zero",
        )
    return max(heights)
