"""The critical point: the moment of the flight with the longest time to the nearest field of the plan."""

from __future__ import annotations

from collections.abc import Callable

from briefgen.frozen import dataclass
from briefgen.kernel.geodesy import geodesic_inverse
from briefgen.kernel.wind import triangle_from_course, wind_towards
from briefgen.model.places import Place
from briefgen.planning.flight.direct import OVERHEAD_DEG, Way, straight_lines
from briefgen.planning.flight.home.spots import Spot, between
from briefgen.planning.flight.route import LegLine
from briefgen.planning.flight.steps import Crew

WITHIN = 0.85  # estimates with the wind of the spot are this near: lesser ones cannot be the longest
SHARES = (0.25, 0.5, 0.75)  # of the way to the neighbours, where the longest is looked for


@dataclass(frozen=True)
class CriticalPoint:
    """The point, the nearest field in time, and the way there."""

    spot: Spot
    place: Place
    way: Way


def critical_point(
    crew: Crew,
    way: Callable[[Spot, tuple[LegLine, ...], Place], Way],
    fields: tuple[Place, ...],
    spots: tuple[Spot, ...],
) -> CriticalPoint:
    """Return the spot from which the nearest field is furthest in time.

    Every spot is estimated with the wind that blows there; the ones that come near the longest are worked out in full, and
    the neighbourhood of the longest is searched.

    Raises:
        BriefgenError: A way from one of them cannot be flown.
    """

    def nearest(spot: Spot) -> CriticalPoint:
        candidates = sorted(fields, key=lambda place: _estimate(crew, spot, place))[:2]
        ways = [CriticalPoint(spot, place, way(spot, straight_lines(spot.node, place), place)) for place in candidates]
        return min(ways, key=lambda one: one.way.time_s)

    estimates = [min(_estimate(crew, spot, place) for place in fields) for spot in spots]
    likely = [number for number, value in enumerate(estimates) if value >= WITHIN * max(estimates)]
    worst = max(likely, key=lambda number: nearest(spots[number]).way.time_s)
    around = [nearest(spots[worst])]
    for other in (worst - 1, worst + 1):
        if 0 <= other < len(spots):
            first, last = min(worst, other), max(worst, other)
            around += [nearest(between(spots[first], spots[last], share)) for share in SHARES]
    return max(around, key=lambda one: one.way.time_s)


def _estimate(crew: Crew, spot: Spot, place: Place) -> float:
    """Return about the time to a field, with the wind over the spot and its indicated speed."""
    node = spot.node
    if abs(node.lat_deg - place.lat_deg) + abs(node.lon_deg - place.lon_deg) < OVERHEAD_DEG:
        return 0.0
    line = geodesic_inverse(node.lat_deg, node.lon_deg, place.lat_deg, place.lon_deg)
    aloft = crew.sky.air(node.lat_deg, node.lon_deg, node.pressure_altitude_m, node.instant)
    wind = wind_towards(aloft.wind_north_m_per_s, aloft.wind_east_m_per_s)
    triangle = triangle_from_course(line.initial_course_deg, spot.ias_m_per_s, wind)
    return line.distance_m / triangle.ground_speed_m_per_s
