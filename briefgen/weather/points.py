"""How much each of a set of points on the earth speaks for a place between them."""

from __future__ import annotations

import math
from itertools import pairwise

from briefgen.errors import OutOfRangeError
from briefgen.kernel.constants import NMI_M
from briefgen.weather.near import NearIndex, Vector

# Mean radius of the earth, 6,371,008.8 m: IUGG 1980, R1. Weights and reach do not need the ellipsoid.
EARTH_RADIUS_M = 6371008.8

SPEAKING = (
    16  # points that may speak for one place: a forecast for one route has fewer, and each then speaks everywhere
)
_SURELY = 0.999  # of the reach: round-off stays far inside the rest
_SAME_POINT = 1e-14  # squared chord on the unit sphere; 0.6 m
Weights = tuple[tuple[int, float], ...]  # of the points that speak
_Flat = tuple[float, float]


class PointSet:
    """Points with weights by inverse squared distance, usable inside the figure they span and a reach around it.

    The weights are those of D. Shepard, 'A two-dimensional interpolation function for irregularly-spaced data', Proc.
    23rd ACM National Conference (1968), exponent 2, with the chord on the sphere as distance. They are all positive and
    sum to 1, so a result never leaves the range of the values given; they are continuous; at a point its own value is
    returned. The figure is the convex hull in the gnomonic projection, in which great circles are straight lines.

    Of more than `SPEAKING` points only so many speak for a place, the nearest, with the weights of R. Franke and G.
    Nielson, 'Smooth interpolation of large sets of scattered data', Int. J. Numer. Methods Eng. 15 (1980):
    they fall to zero at the distance of the nearest that is silent, so a point comes in and goes without a step. (Formula seen
    as manuals of numerical libraries quote it; the paper itself was not, and its volume is from memory.)
    """

    def __init__(self, points: tuple[tuple[str, float, float], ...], reach_m: float) -> None:
        """Take (name, latitude [deg], longitude [deg]) of each point, and the reach [m]."""
        self.names = tuple(name for name, _, _ in points)
        self._vectors = tuple(unit_vector(lat_deg, lon_deg) for _, lat_deg, lon_deg in points)
        self._reach_m = reach_m
        # A place this near to a point is within the reach of the figure, whichever of its edges is the nearest.
        self._near_cosine = math.cos(min(math.pi, _SURELY * reach_m / EARTH_RADIUS_M))
        self._centre = _unit(tuple(map(sum, zip(*self._vectors, strict=True))))  # type: ignore[arg-type]
        if any(_dot(vector, self._centre) <= 0.0 for vector in self._vectors):
            raise OutOfRangeError("the points of the weather span more than half the earth", expected="one region")
        self._right, self._up = _plane_axes(self._centre)
        corners = _hull([(*self._flat(vector), vector) for vector in self._vectors])
        self._corners = tuple((x, y) for x, y, _ in corners)
        self._edges = tuple(pairwise([vector for _, _, vector in (*corners, corners[0])]))
        self._index = NearIndex(self._vectors, SPEAKING + 1) if len(self._vectors) > SPEAKING else None
        self._last: tuple[float, float, Weights] | None = None

    def weights(self, lat_deg: float, lon_deg: float) -> Weights:
        """Return the points that speak for a place, each by its place in their order, with its weight.

        Raises:
            OutOfRangeError: The place lies farther outside the figure than the reach.
        """
        last = self._last
        if last is not None and last[0] == lat_deg and last[1] == lon_deg:
            return last[2]
        here = unit_vector(lat_deg, lon_deg)
        self._require_within_reach(here, lat_deg, lon_deg)
        found = self._nearest_only(here, self._index) if self._index else self._inverse_distance(here)
        self._last = (lat_deg, lon_deg, found)
        return found

    def _inverse_distance(self, here: Vector) -> Weights:
        x, y, z = here
        inverses = []
        for index, (px, py, pz) in enumerate(self._vectors):
            dx, dy, dz = x - px, y - py, z - pz
            squared = dx * dx + dy * dy + dz * dz
            if squared < _SAME_POINT:
                return ((index, 1.0),)
            inverses.append(1.0 / squared)
        total = math.fsum(inverses)
        return tuple([(index, inverse / total) for index, inverse in enumerate(inverses)])

    def _nearest_only(self, here: Vector, index: NearIndex) -> Weights:
        found = index.nearest(here)
        if found[0][0] ** 2 < _SAME_POINT:
            return ((found[0][1], 1.0),)
        silent = found[-1][0]
        inverses = [(point, (1.0 / distance - 1.0 / silent) ** 2) for distance, point in found[:-1]]
        total = math.fsum(inverse for _, inverse in inverses)
        if total == 0.0:  # all stand equally far
            return tuple([(point, 1.0 / len(inverses)) for point, _ in inverses])
        return tuple([(point, inverse / total) for point, inverse in inverses])

    def outside_m(self, lat_deg: float, lon_deg: float) -> float:
        """Return how far a place lies outside the figure that the points span [m], 0 within it."""
        return self._outside_m(unit_vector(lat_deg, lon_deg))

    def _outside_m(self, here: Vector) -> float:
        if self._inside(here):
            return 0.0
        return min(_arc_distance(here, start, end) for start, end in self._edges) * EARTH_RADIUS_M

    def _require_within_reach(self, here: Vector, lat_deg: float, lon_deg: float) -> None:
        if any(_dot(here, vector) > self._near_cosine for vector in self._vectors):
            return
        outside_m = self._outside_m(here)
        if outside_m > self._reach_m:
            listed = ", ".join(self.names)
            raise OutOfRangeError(
                f"position {lat_deg:.2f}, {lon_deg:.2f} is {outside_m / NMI_M:.0f} NM outside the weather given",
                expected=f"at most {self._reach_m / NMI_M:.0f} NM (the file's reach) from the area between {listed}",
                hint="give the weather at one more place, or a longer reach if the forecast holds that far out",
            )

    def _inside(self, here: Vector) -> bool:
        if len(self._corners) < 3 or _dot(here, self._centre) <= 0.0:
            return False
        x, y = self._flat(here)
        x0, y0 = self._corners[-1]
        for x1, y1 in self._corners:
            if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) < 0.0:
                return False
            x0, y0 = x1, y1
        return True

    def _flat(self, vector: Vector) -> _Flat:
        depth = _dot(vector, self._centre)
        return _dot(vector, self._right) / depth, _dot(vector, self._up) / depth


def unit_vector(lat_deg: float, lon_deg: float) -> Vector:
    """Return the direction from the centre of the sphere to a place."""
    lat, lon = math.radians(lat_deg), math.radians(lon_deg)
    cos_lat = math.cos(lat)
    return cos_lat * math.cos(lon), cos_lat * math.sin(lon), math.sin(lat)


def distance_m(a: Vector, b: Vector) -> float:
    """Return the great-circle distance between two directions [m]."""
    chord = math.sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2)
    return 2.0 * EARTH_RADIUS_M * math.asin(min(1.0, chord / 2.0))


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _unit(vector: Vector) -> Vector:
    length = math.sqrt(_dot(vector, vector))
    return vector[0] / length, vector[1] / length, vector[2] / length


def _plane_axes(centre: Vector) -> tuple[Vector, Vector]:
    """Return two directions that span the tangent plane at the centre, right-handed seen from outside."""
    pole = (0.0, 0.0, 1.0) if abs(centre[2]) < 0.9 else (1.0, 0.0, 0.0)
    right = _unit(_cross(pole, centre))
    return right, _cross(centre, right)


def _hull(points: list[tuple[float, float, Vector]]) -> list[tuple[float, float, Vector]]:
    """Return the corners of the convex hull, counter-clockwise: A. M. Andrew, Inf. Process. Lett. 9 (1979), 216-219."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered
    return _chain(ordered)[:-1] + _chain(ordered[::-1])[:-1]


def _chain(ordered: list[tuple[float, float, Vector]]) -> list[tuple[float, float, Vector]]:
    chain: list[tuple[float, float, Vector]] = []
    for point in ordered:
        while len(chain) > 1:
            (x0, y0, _), (x1, y1, _) = chain[-2:]
            if (x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0) > 0.0:
                break
            chain.pop()
        chain.append(point)
    return chain


def _arc_distance(here: Vector, start: Vector, end: Vector) -> float:
    """Return the angle from a place to the nearest point of a great-circle arc [rad]."""
    nearest_end = min(distance_m(here, start), distance_m(here, end)) / EARTH_RADIUS_M
    normal = _cross(start, end)
    if _dot(normal, normal) < _SAME_POINT:
        return nearest_end
    normal = _unit(normal)
    abeam = _dot(_cross(normal, start), here) >= 0.0 and _dot(_cross(end, normal), here) >= 0.0
    return abs(math.asin(max(-1.0, min(1.0, _dot(normal, here))))) if abeam else nearest_end
