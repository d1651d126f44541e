"""The route as it is written: what its items are called, and the line of one leg over the ground."""

from __future__ import annotations

from functools import lru_cache

from briefgen.frozen import dataclass, replace
from briefgen.kernel.geodesy import GeodesicFrom, geodesic_inverse, rhumb_direct, rhumb_inverse
from briefgen.model.mission import RouteItem
from briefgen.model.places import Place

_KEPT = 20_000  # points, of one run
EXTENSION_M = 400_000.0  # how far past its end a line is followed while a descent is being placed


@dataclass(frozen=True)
class LegLine:
    """A geodesic or rhumb line between two places, at its distance along the whole route.

    Distances given to ``position`` and ``course`` are along this line; the ``*_distance_m`` fields are along the route.
    """

    from_ident: str
    to_ident: str
    lat_deg: float
    lon_deg: float
    initial_course_deg: float
    length_m: float
    start_distance_m: float
    track: str

    @property
    def end_distance_m(self) -> float:
        """Distance along the route at which the line ends [m]."""
        return self.start_distance_m + self.length_m

    def at(self, along_m: float) -> tuple[float, float, float]:
        """Return latitude, longitude and true course [deg] at a distance along the line [m]."""
        return self._point(along_m)

    def position(self, along_m: float) -> tuple[float, float]:
        """Return latitude and longitude [deg] at a distance along the line [m]."""
        point = self._point(along_m)
        return point[0], point[1]

    def course(self, along_m: float) -> float:
        """Return the true course [deg] at a distance along the line [m]."""
        return self._point(along_m)[2]

    def _point(self, along_m: float) -> tuple[float, float, float]:
        return _point_of(self.track, self.lat_deg, self.lon_deg, self.initial_course_deg, along_m)

    def extended(self) -> LegLine:
        """Return the same line carried on past its end."""
        return replace(self, length_m=self.length_m + EXTENSION_M)


@lru_cache(maxsize=_KEPT)
def _point_of(
    track: str, lat_deg: float, lon_deg: float, course_deg: float, along_m: float
) -> tuple[float, float, float]:
    """Return latitude, longitude and course along a line: the same line is laid again and again while a plan settles."""
    if track == "rhumb":
        there = rhumb_direct(lat_deg, lon_deg, course_deg, along_m)
    else:
        there = _geodesic_from(lat_deg, lon_deg, course_deg).at(along_m)
    return there.latitude_deg, there.longitude_deg, there.course_deg


_geodesic_from = lru_cache(maxsize=_KEPT)(GeodesicFrom)


def line_between(
    from_ident: str, lat_deg: float, lon_deg: float, to: Place, start_distance_m: float, track: str = "geodesic"
) -> LegLine:
    """Return the line from a point to a place, beginning at a distance along the route."""
    inverse = rhumb_inverse if track == "rhumb" else geodesic_inverse
    line = inverse(lat_deg, lon_deg, to.lat_deg, to.lon_deg)
    return LegLine(
        from_ident, to.ident, lat_deg, lon_deg, line.initial_course_deg, line.distance_m, start_distance_m, track
    )


def item_keys(items: tuple[RouteItem, ...]) -> tuple[str, ...]:
    """Return the head of the keys of each route item; legs, actions and holds are each counted from 1."""
    counts: dict[str, int] = {}
    keys = []
    for item in items:
        kind = type(item).__name__.lower()
        counts[kind] = counts.get(kind, 0) + 1
        keys.append(f"{kind}.{counts[kind]:02d}")
    return tuple(keys)


def alternate_key(ident: str) -> str:
    """Return the head of the keys of the way to one alternate."""
    return f"alternate.{ident.lower()}"
