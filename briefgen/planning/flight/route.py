"""The route as it is written: what its items are called, and the line of one leg over the ground."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import lru_cache

from briefgen.frozen import dataclass, replace
from briefgen.kernel.geodesy import GeodesicFrom, geodesic_inverse, rhumb_direct, rhumb_inverse
from briefgen.model.mission import Leg, RouteItem
from briefgen.model.places import Place
from briefgen.model.plan import Phase

_KEPT = 20_000  # points, of one run
STEP = "Step"  # what a navigator calls the end of level flight where the next height is begun on the leg
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
    """Return the head of the keys of each route item: what it is, and the place it goes to or is done over."""
    return each_once(
        f"{type(item).__name__.lower()}.{(item.to if isinstance(item, Leg) else item.at).ident.lower()}"
        for item in items
    )


def each_once(names: Iterable[str]) -> tuple[str, ...]:
    """Return names that stand once each: where one comes again, it is counted from the second on.

    What is put between two things that differ leaves the names of both as they are.
    """
    counts: Counter[str] = Counter()
    found = []
    for name in names:
        counts[name] += 1
        found.append(name if counts[name] == 1 else f"{name}-{counts[name]}")
    return tuple(found)


def called_on(phases: list[Phase], line: LegLine) -> list[Phase]:
    """Return the phases of a leg with their names: what each is, and the point it begins or ends at.

    A change of height is called after where it begins, the place before or a step, unless it ends over the leg's place.
    """
    here, there, steps = line.from_ident.lower(), line.to_ident.lower(), 0
    found = []
    for phase in phases:
        if phase.kind == "hold":
            name = f"before-{there}"
        elif phase.kind == "cruise" and phase.point == STEP:
            steps += 1
            here = f"{there}-step-{steps}"
            name = f"to-{here}"
        elif phase.kind == "cruise" or phase.place:
            name = f"to-{there}"
        else:
            name = f"from-{here}"
        found.append(replace(phase, ident=f"{phase.kind}-{name}"))
    return found


def named(phases: list[Phase], head: str = "") -> tuple[Phase, ...]:
    """Return the phases of a flight with names that stand once each; what has none yet is called after its place."""
    names = each_once(phase.ident or f"{phase.kind}-{phase.place.lower()}" for phase in phases)
    return tuple(replace(phase, ident=f"{head}{name}") for phase, name in zip(phases, names, strict=True))


def alternate_key(ident: str) -> str:
    """Return the head of the keys of the way to one alternate."""
    return f"alternate.{ident.lower()}"
