"""What is written of a route in another form made into places and legs, before anything is flown.

A point given by bearing and distance gets its position; a pattern becomes the legs that are flown. Each line of a creeping
line is carried on at its ends by half of what the turn onto the next line is longer than the straight step across: so the
distance flown is that of the turns, and the crew has the run-out and the run-in on its log. An expanding square is flown with
its corners turned inside the lines, which is shorter than the lines themselves: nothing is added.
"""

from __future__ import annotations

from datetime import datetime

from briefgen.errors import PlanError
from briefgen.frozen import replace
from briefgen.kernel.airspeed import true_from_calibrated
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.geodesy import geodesic_direct
from briefgen.kernel.magnetism import decimal_year, magnetic_to_true, magnetic_variation_deg
from briefgen.kernel.turns import reversal_length, turn_radius
from briefgen.model.mission import Action, Alternate, Hold, Leg, Mission, Pattern, RouteItem
from briefgen.model.performance import IndicatedAirspeed, TrueAirspeed
from briefgen.model.places import Offset, Place
from briefgen.planning.flight.terrain import safe_height

RIGHT_ANGLE_DEG = 90.0
HALF_TURN_DEG = 180.0


def placed(mission: Mission) -> Mission:
    """Return the mission with every point placed and every pattern taken apart.

    Raises:
        PlanError: A pattern is flown at a speed from which its turns cannot be told.
    """
    legs = [item for item in mission.route.items if isinstance(item, Leg)]
    if not any(place.offset for place in mission.places) and not any(
        leg.pattern or leg.safe_from_terrain for leg in legs
    ):
        return mission
    at: dict[str, Place] = {}
    for place in mission.places:
        at[place.ident] = _placed(place, at, _day(mission))
    items: list[RouteItem] = []
    paths: list[str] = []
    for item, path in zip(mission.route.items, mission.route.paths, strict=True):
        here = _moved(item, at)
        pattern = _pattern(item)
        items.append(replace(here, pattern=None) if isinstance(here, Leg) else here)
        paths.append(path)
        if pattern is not None and isinstance(here, Leg):
            lines = _legs(pattern, here.to)
            items += lines
            paths += [pattern.path] * len(lines)
            at |= {leg.to.ident: leg.to for leg in lines}
    route = replace(
        mission.route,
        items=_over_terrain(mission, items),
        paths=tuple(paths),
        destination=at[mission.route.destination.ident],
    )
    return replace(
        mission, route=route, places=tuple(at.values()),
        alternates=tuple(_alternate(one, at) for one in mission.alternates),
        en_route=tuple(_alternate(one, at) for one in mission.en_route),
    )  # fmt: skip


def _over_terrain(mission: Mission, items: list[RouteItem]) -> tuple[RouteItem, ...]:
    """Return the items, each leg that asks for it with the safe altitude worked out from the terrain."""
    found: list[RouteItem] = []
    here = mission.route.origin
    for item in items:
        if isinstance(item, Leg):
            if item.safe_from_terrain and mission.terrain is not None:
                height_m = safe_height(mission.terrain, here, item.to, item.track)
                found.append(replace(item, safe_height_m=height_m))
            else:
                found.append(item)
            here = item.to
        else:
            found.append(item)
    return tuple(found)


def _pattern(item: RouteItem) -> Pattern | None:
    return item.pattern if isinstance(item, Leg) else None


def _day(mission: Mission) -> datetime:
    times = mission.times
    instant = times.take_off or (times.over_target.instant if times.over_target else None)
    if instant is None:
        raise PlanError("the mission has neither a take-off time nor a time over target", expected="one of the two")
    return instant


def _placed(place: Place, at: dict[str, Place], day: datetime) -> Place:
    if place.offset is None:
        return place
    start, bearing_deg = at[place.offset.from_ident], place.offset.bearing_deg
    if place.offset.magnetic:
        height_m, year = start.elevation_m or 0.0, decimal_year(day.date())
        bearing_deg = magnetic_to_true(
            bearing_deg, magnetic_variation_deg(start.lat_deg, start.lon_deg, height_m, year)
        )
    there = geodesic_direct(start.lat_deg, start.lon_deg, bearing_deg, place.offset.distance_m)
    return replace(place, lat_deg=there.latitude_deg, lon_deg=there.longitude_deg)


def _moved(item: RouteItem, at: dict[str, Place]) -> RouteItem:
    if isinstance(item, Leg):
        return replace(item, to=at[item.to.ident])
    return replace(item, at=at[item.at.ident]) if isinstance(item, Action | Hold) else item


def _alternate(alternate: Alternate, at: dict[str, Place]) -> Alternate:
    return replace(alternate, via=tuple(at[point.ident] for point in alternate.via))


# --- patterns -------------------------------------------------------------------------------------------------------


def _legs(pattern: Pattern, start: Place) -> list[Leg]:
    side_deg = RIGHT_ANGLE_DEG if pattern.to_right else -RIGHT_ANGLE_DEG
    if pattern.kind == "expanding square":
        runs = [
            (pattern.course_deg + number * side_deg, (number // 2 + 1) * pattern.spacing_m, 0.0)
            for number in range(pattern.lines)
        ]
        return _joined(pattern, start, runs)
    extra_m = _turn_extra(pattern)
    runs = []
    for number in range(pattern.lines):
        course_deg = pattern.course_deg + (HALF_TURN_DEG if number % 2 else 0.0)
        ends = 1 if number in (0, pattern.lines - 1) else 2
        length_m = (pattern.length_m or 0.0) + 0.5 * extra_m * ends
        runs.append((course_deg, length_m, 0.5 * extra_m * ends))
        if number < pattern.lines - 1:
            runs.append((pattern.course_deg + side_deg, pattern.spacing_m, 0.0))
    return _joined(pattern, start, runs)


def _joined(pattern: Pattern, start: Place, runs: list[tuple[float, float, float]]) -> list[Leg]:
    """Return the legs of courses and lengths flown one after the other."""
    legs: list[Leg] = []
    here = start
    for number, (course_deg, length_m, run_out_m) in enumerate(runs, start=1):
        there = geodesic_direct(here.lat_deg, here.lon_deg, course_deg, length_m)
        here = Place(
            f"{start.ident}{number:02d}", f"{start.name} {number}", "waypoint", there.latitude_deg, there.longitude_deg,
            offset=Offset(here.ident, course_deg % (2.0 * HALF_TURN_DEG), False, length_m),
        )  # fmt: skip
        legs.append(
            Leg(
                here,
                pattern.height,
                pattern.cruise,
                pattern.safe_height_m,
                safe_from_terrain=pattern.safe_from_terrain,
                run_out_m=run_out_m,
            )
        )
    return legs


def _turn_extra(pattern: Pattern) -> float:
    """Return by how much the turn from line to line is longer than the straight step across [m], in still air."""
    radius_m = turn_radius(_true_airspeed(pattern), pattern.bank_deg)
    return reversal_length(pattern.spacing_m, radius_m) - pattern.spacing_m


def _true_airspeed(pattern: Pattern) -> float:
    """Return the true airspeed of the turns [m/s], in standard air at the height as written."""
    cruise, height_m = pattern.cruise, pattern.height.value_m
    if isinstance(cruise, TrueAirspeed):
        return cruise.tas_m_per_s
    if isinstance(cruise, IndicatedAirspeed):
        return true_from_calibrated(cruise.ias_m_per_s, height_m, standard_temperature(height_m))
    raise PlanError(
        f"the turns of the {pattern.kind} cannot be told from its cruise",
        expected="an indicated or a true airspeed, such as 130 kt indicated",
    )
