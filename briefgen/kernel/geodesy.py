"""Lines on the WGS 84 ellipsoid: the geodesic (shortest line) and the rhumb line (constant course).

Latitudes are north positive, longitudes east positive. Courses are degrees true, clockwise from north.
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from typing import Any

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.kernel.limits import number_text, quantity_text, require_within

HIGHEST_RHUMB_LATITUDE_DEG = 89.9  # a rhumb line winds round the pole without end
_KEPT = 20_000  # answers: a plan asks for the same line and the same point of it several times
# Below this difference of latitude the exact ratio loses more digits to cancellation than the mid-latitude one to its
# own error, which is about the square of the difference.
_NEARLY_EAST_WEST_DEG = 1e-4


@dataclass(frozen=True)
class Line:
    """A line between two points.

    Attributes:
        distance_m: Its length [m].
        initial_course_deg: True course at its beginning [deg], 0 to 360.
        final_course_deg: True course at its end, in the direction of travel [deg], 0 to 360.
    """

    distance_m: float
    initial_course_deg: float
    final_course_deg: float


@dataclass(frozen=True)
class Position:
    """A point reached along a line.

    Attributes:
        latitude_deg: Latitude [deg], north positive.
        longitude_deg: Longitude [deg], east positive, from -180 up to but not including 180.
        course_deg: True course of the line there [deg], 0 to 360.
    """

    latitude_deg: float
    longitude_deg: float
    course_deg: float


@cache
def _ellipsoid() -> Any:
    from geographiclib.geodesic import Geodesic

    return Geodesic.WGS84


@lru_cache(maxsize=_KEPT)
def _inverse(
    latitude_1_deg: float, longitude_1_deg: float, latitude_2_deg: float, longitude_2_deg: float
) -> tuple[float, float, float]:
    """Return distance [m] and the azimuths at both ends [deg]."""
    solution = _ellipsoid().Inverse(latitude_1_deg, longitude_1_deg, latitude_2_deg, longitude_2_deg)
    return float(solution["s12"]), float(solution["azi1"]), float(solution["azi2"])


def normalised_course(angle_deg: float) -> float:
    """Return an angle as a course from 0 up to but not including 360 degrees.

    Args:
        angle_deg: Any angle [deg].

    Returns:
        The same direction [deg].

    Source:
        Convention.
    """
    course_deg = math.fmod(angle_deg, 360.0)
    if course_deg < 0.0:
        course_deg += 360.0
    # Adding 360 to a tiny negative angle rounds to 360 itself.
    return 0.0 if course_deg >= 360.0 else course_deg + 0.0


def normalised_longitude(longitude_deg: float) -> float:
    """Return a longitude from -180 up to but not including 180 degrees.

    Args:
        longitude_deg: Any longitude [deg].

    Returns:
        The same meridian [deg].

    Source:
        Convention.
    """
    return math.remainder(longitude_deg, 360.0) if math.remainder(longitude_deg, 360.0) < 180.0 else -180.0


def _require_latitudes(*latitudes_deg: float) -> None:
    for latitude_deg in latitudes_deg:
        require_within("latitude", latitude_deg, -90.0, 90.0, "deg")


def geodesic_distance(
    latitude_1_deg: float, longitude_1_deg: float, latitude_2_deg: float, longitude_2_deg: float
) -> float:
    """Return the shortest distance between two points, which may coincide.

    Args:
        latitude_1_deg: Latitude of the first point [deg].
        longitude_1_deg: Longitude of the first point [deg].
        latitude_2_deg: Latitude of the second point [deg].
        longitude_2_deg: Longitude of the second point [deg].

    Returns:
        Distance [m].

    Raises:
        OutOfRangeError: A latitude lies outside -90 to 90 degrees.

    Source:
        C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43-55, through geographiclib.
    """
    _require_latitudes(latitude_1_deg, latitude_2_deg)
    return _inverse(latitude_1_deg, longitude_1_deg, latitude_2_deg, longitude_2_deg)[0]


def geodesic_inverse(
    latitude_1_deg: float, longitude_1_deg: float, latitude_2_deg: float, longitude_2_deg: float
) -> Line:
    """Return the length and the courses of the shortest line from one point to another.

    Args:
        latitude_1_deg: Latitude of the first point [deg].
        longitude_1_deg: Longitude of the first point [deg].
        latitude_2_deg: Latitude of the second point [deg].
        longitude_2_deg: Longitude of the second point [deg].

    Returns:
        The line.

    Raises:
        OutOfRangeError: A latitude lies outside -90 to 90 degrees, or the points coincide, so that there is no course.

    Source:
        C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43-55, through geographiclib.
    """
    _require_latitudes(latitude_1_deg, latitude_2_deg)
    distance_m, initial_deg, final_deg = _inverse(latitude_1_deg, longitude_1_deg, latitude_2_deg, longitude_2_deg)
    if distance_m == 0.0:
        raise _coincident(latitude_1_deg, longitude_1_deg)
    return Line(distance_m, normalised_course(initial_deg), normalised_course(final_deg))


def geodesic_direct(latitude_deg: float, longitude_deg: float, course_deg: float, distance_m: float) -> Position:
    """Return the point reached from another by the geodesic that leaves it on a course.

    Args:
        latitude_deg: Latitude of the starting point [deg].
        longitude_deg: Longitude of the starting point [deg].
        course_deg: True course at the starting point [deg].
        distance_m: Distance along the geodesic [m]; negative goes backwards.

    Returns:
        The point, with the course there.

    Raises:
        OutOfRangeError: The latitude lies outside -90 to 90 degrees.

    Source:
        C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43-55, through geographiclib.
    """
    _require_latitudes(latitude_deg)
    solution = _ellipsoid().Direct(latitude_deg, longitude_deg, course_deg, distance_m)
    return Position(
        float(solution["lat2"]), normalised_longitude(solution["lon2"]), normalised_course(solution["azi2"])
    )


class GeodesicFrom:
    """One geodesic, made ready for many questions along it; ten times faster than `geodesic_direct` point by point.

    Source:
        C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43-55, through geographiclib.
    """

    def __init__(self, latitude_deg: float, longitude_deg: float, course_deg: float) -> None:
        """Take the starting point [deg] and the true course there [deg]; OutOfRangeError for a latitude beyond a pole."""
        _require_latitudes(latitude_deg)
        self._line = _ellipsoid().Line(latitude_deg, longitude_deg, course_deg)

    def at(self, distance_m: float) -> Position:
        """Return the point at a distance along the geodesic.

        Args:
            distance_m: Distance from the starting point [m]; negative goes backwards.

        Returns:
            The point, with the course there.

        Source:
            As the class.
        """
        solution = self._line.Position(distance_m)
        return Position(
            float(solution["lat2"]), normalised_longitude(solution["lon2"]), normalised_course(solution["azi2"])
        )


def point_along(
    latitude_1_deg: float, longitude_1_deg: float, latitude_2_deg: float, longitude_2_deg: float, distance_m: float
) -> Position:
    """Return the point at a distance along the shortest line from one point to another.

    Args:
        latitude_1_deg: Latitude of the first point [deg].
        longitude_1_deg: Longitude of the first point [deg].
        latitude_2_deg: Latitude of the second point [deg].
        longitude_2_deg: Longitude of the second point [deg].
        distance_m: Distance from the first point [m]; may go beyond the second.

    Returns:
        The point, with the course there.

    Raises:
        OutOfRangeError: A latitude lies outside -90 to 90 degrees, or the points coincide.

    Source:
        C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43-55, through geographiclib.
    """
    line = geodesic_inverse(latitude_1_deg, longitude_1_deg, latitude_2_deg, longitude_2_deg)
    return geodesic_direct(latitude_1_deg, longitude_1_deg, line.initial_course_deg, distance_m)


def rhumb_inverse(latitude_1_deg: float, longitude_1_deg: float, latitude_2_deg: float, longitude_2_deg: float) -> Line:
    """Return the length and the course of the rhumb line from one point to another, the shorter way round.

    Args:
        latitude_1_deg: Latitude of the first point [deg], -89.9 to 89.9.
        longitude_1_deg: Longitude of the first point [deg].
        latitude_2_deg: Latitude of the second point [deg], -89.9 to 89.9.
        longitude_2_deg: Longitude of the second point [deg].

    Returns:
        The line; its two courses are the same.

    Raises:
        OutOfRangeError: A latitude lies outside its range, or the points coincide.

    Source:
        Isometric latitude and meridian arc of the ellipsoid: J. P. Snyder, Map Projections - A Working Manual, USGS
        Professional Paper 1395 (1987), equations 7-7 and 3-21; the arc is measured as a geodesic along the meridian.
    """
    _require_rhumb_latitudes(latitude_1_deg, latitude_2_deg)
    east_rad = math.radians(normalised_longitude(longitude_2_deg - longitude_1_deg))
    north_m = _northing(latitude_1_deg, latitude_2_deg)
    if north_m == 0.0 and east_rad == 0.0:
        raise _coincident(latitude_1_deg, longitude_1_deg)
    east_m = east_rad * _metres_per_isometric_radian(latitude_1_deg, latitude_2_deg, north_m)
    course_deg = normalised_course(math.degrees(math.atan2(east_m, north_m)))
    return Line(math.hypot(east_m, north_m), course_deg, course_deg)


def rhumb_direct(latitude_deg: float, longitude_deg: float, course_deg: float, distance_m: float) -> Position:
    """Return the point reached from another along a constant course.

    Args:
        latitude_deg: Latitude of the starting point [deg], -89.9 to 89.9.
        longitude_deg: Longitude of the starting point [deg].
        course_deg: True course [deg].
        distance_m: Distance along the rhumb line [m]; negative goes backwards.

    Returns:
        The point, with the course.

    Raises:
        OutOfRangeError: The line begins or ends beyond 89.9 degrees of latitude.

    Source:
        As `rhumb_inverse`.
    """
    _require_rhumb_latitudes(latitude_deg)
    north_m = distance_m * math.cos(math.radians(course_deg))
    limit_deg = math.copysign(HIGHEST_RHUMB_LATITUDE_DEG, north_m)
    if abs(north_m) > abs(_northing(latitude_deg, limit_deg)):
        raise OutOfRangeError(
            f"a rhumb line of {quantity_text(distance_m, 'm')} on {number_text(course_deg)} deg from latitude "
            f"{number_text(latitude_deg)} deg ends too near the pole",
            expected=f"a line that stays between {-HIGHEST_RHUMB_LATITUDE_DEG} and {HIGHEST_RHUMB_LATITUDE_DEG} deg",
        )
    latitude_2_deg = float(_ellipsoid().Direct(latitude_deg, 0.0, 0.0, north_m)["lat2"])
    scale_m = _metres_per_isometric_radian(latitude_deg, latitude_2_deg, north_m)
    east_rad = distance_m * math.sin(math.radians(course_deg)) / scale_m
    return Position(
        latitude_2_deg, normalised_longitude(longitude_deg + math.degrees(east_rad)), normalised_course(course_deg)
    )


def _require_rhumb_latitudes(*latitudes_deg: float) -> None:
    for latitude_deg in latitudes_deg:
        require_within(
            "latitude of a rhumb line", latitude_deg, -HIGHEST_RHUMB_LATITUDE_DEG, HIGHEST_RHUMB_LATITUDE_DEG, "deg"
        )


def _northing(latitude_1_deg: float, latitude_2_deg: float) -> float:
    """Return the signed length of the meridian between two latitudes [m]."""
    arc_m = float(_ellipsoid().Inverse(latitude_1_deg, 0.0, latitude_2_deg, 0.0)["s12"])
    return math.copysign(arc_m, latitude_2_deg - latitude_1_deg)


def _metres_per_isometric_radian(latitude_1_deg: float, latitude_2_deg: float, north_m: float) -> float:
    """Return the mean length on the ground of a radian of the Mercator plane between two latitudes [m]."""
    if abs(latitude_2_deg - latitude_1_deg) < _NEARLY_EAST_WEST_DEG:
        middle_rad = math.radians((latitude_1_deg + latitude_2_deg) / 2.0)
        eccentricity_squared = _eccentricity_squared()
        bulge = math.sqrt(1.0 - eccentricity_squared * math.sin(middle_rad) ** 2)
        return float(_ellipsoid().a) * math.cos(middle_rad) / bulge
    return north_m / (_isometric_latitude(latitude_2_deg) - _isometric_latitude(latitude_1_deg))


def _isometric_latitude(latitude_deg: float) -> float:
    latitude_rad = math.radians(latitude_deg)
    eccentricity = math.sqrt(_eccentricity_squared())
    return math.asinh(math.tan(latitude_rad)) - eccentricity * math.atanh(eccentricity * math.sin(latitude_rad))


def _eccentricity_squared() -> float:
    flattening = float(_ellipsoid().f)
    return flattening * (2.0 - flattening)


def _coincident(latitude_deg: float, longitude_deg: float) -> OutOfRangeError:
    return OutOfRangeError(
        f"the two points coincide at latitude {number_text(latitude_deg)}, longitude {number_text(longitude_deg)} deg",
        expected="two different points, so that the line between them has a course",
    )
