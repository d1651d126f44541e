"""Where the flight is below the minimum safe altitude of its leg, and what lets her be: sight of the ground, or a procedure.

Every node in the air is judged, not the cruise alone. In air colder than standard she is lower than her altimeter shows, so
what is asked for is the safe altitude with the correction for cold.
"""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.frozen import dataclass
from briefgen.kernel.altimetry import cold_temperature_correction
from briefgen.kernel.constants import NMI_M, SEA_LEVEL_TEMPERATURE_K, TEMPERATURE_LAPSE_K_PER_M
from briefgen.kernel.geodesy import geodesic_distance
from briefgen.kernel.sun import LightCondition, light_condition
from briefgen.model.mission import Alternate, Leg, Mission
from briefgen.model.places import Place
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.fuel_policy import ON_THE_GROUND
from briefgen.planning.flight.sky import Sky

VISIBILITY_M = 5000.0  # ICAO Annex 2, table 3-1: below 10,000 ft
VICINITY_M = (
    16_000.0  # a field's weather speaks for 8 km around it, "in the vicinity" for 16: WMO-No. 306, FM 15 and FM 51
)
AT_FIELD_M = 5.0 * NMI_M  # within this of a lit field, its lights are the sight of the ground at night
NOT_JUDGED = (*ON_THE_GROUND, "take-off")


@dataclass(frozen=True)
class LowPoint:
    """The lowest moment of a phase against the safe altitude of its leg.

    Attributes:
        altitude_m: What the altimeter shows [m].
        wanted_m: Minimum safe altitude of the leg and the correction for cold [m].
        because: What lets her be below, in words; empty where she is not below or nothing lets her.
        against: What stands against sight of the ground, in words; empty where nothing does.
    """

    phase: Phase
    leg: Leg
    altitude_m: float
    wanted_m: float
    because: str = ""
    against: str = ""

    @property
    def kept(self) -> bool:
        """Whether she is no lower than she may be."""
        return self.altitude_m >= self.wanted_m or bool(self.because)


def low_points(mission: Mission, phases: Sequence[Phase], sky: Sky, clearance_m: float = 0.0) -> list[LowPoint]:
    """Return the point of every phase in the air that lies worst against its leg's safe altitude and a clearance over it [m].

    Legs whose safe altitude is not known are left out.
    """
    found = []
    for phase in phases:
        leg = None if phase.kind in NOT_JUDGED else _leg_of(mission, phase)
        if leg is None or leg.safe_height_m is None:
            continue
        found.append(_worst(mission, phase, leg, _procedures(mission, phase), sky, clearance_m))
    return found


def low_points_of_way(
    mission: Mission, alternate: Alternate, phases: Sequence[Phase], sky: Sky, clearance_m: float = 0.0
) -> list[LowPoint]:
    """Return the same of every phase of the way to an alternate: its descent and its circuit no less than its cruise.

    The climb away from the destination is left out: it begins in its circuit, which the flight itself is judged by.
    """
    if alternate.safe_height_m is None:
        return []
    leg = Leg(alternate.place, alternate.height, alternate.cruise, alternate.safe_height_m)
    named = [alternate.procedure] if alternate.procedure else []
    judged = [phase for phase in phases if phase.kind not in (*NOT_JUDGED, "climb")]
    return [_worst(mission, phase, leg, named, sky, clearance_m) for phase in judged]


def _worst(
    mission: Mission, phase: Phase, leg: Leg, procedures: Sequence[str], sky: Sky, clearance_m: float
) -> LowPoint:
    points = [_judged(mission, phase, node, leg, procedures, sky, clearance_m) for node in _nodes(phase)]
    return min(points, key=lambda point: (point.kept, point.altitude_m - point.wanted_m))


def _nodes(phase: Phase) -> tuple[Node, ...]:
    """Return the nodes of a phase; the one on the ground at the end of a landing is not a height flown."""
    return phase.nodes[:-1] if phase.kind == "approach" else phase.nodes


def _leg_of(mission: Mission, phase: Phase) -> Leg | None:
    """Return the leg whose safe altitude holds: its own, or of the leg that brought her to where she works or waits."""
    items = mission.route.items
    last = len(items) - 1 if phase.item is None else phase.item
    return next((item for item in reversed(items[: last + 1]) if isinstance(item, Leg)), None)


def _procedures(mission: Mission, phase: Phase) -> list[str]:
    """Return the published procedures named for a phase: its item's, and that of the item which it climbs away from."""
    items = mission.route.items
    index = len(items) - 1 if phase.item is None else phase.item
    named = [items[index].procedure]
    if phase.kind == "climb" and index:
        named.append(items[index - 1].procedure)
    if phase.kind == "descent" and index + 1 < len(items):
        named.append(items[index + 1].procedure)
    return [name for name in named if name]


def _judged(
    mission: Mission, phase: Phase, node: Node, leg: Leg, procedures: Sequence[str], sky: Sky, clearance_m: float
) -> LowPoint:
    assert leg.safe_height_m is not None
    wanted_m = leg.safe_height_m + clearance_m + cold_correction(node, leg.safe_height_m, sky)
    if node.altitude_m >= wanted_m:
        return LowPoint(phase, leg, node.altitude_m, wanted_m)
    if procedures:
        return LowPoint(phase, leg, node.altitude_m, wanted_m, f"by {procedures[0]}")
    against = not_in_sight(mission, node, wanted_m, sky)
    because = "" if against else "in sight of the ground"
    return LowPoint(phase, leg, node.altitude_m, wanted_m, because, against)


def cold_correction(node: Node, safe_m: float, sky: Sky) -> float:
    """Return what to add to a safe altitude [m] where she is, in air colder than standard; the altimeter's source at sea level.

    Source:
        ICAO Doc 8168, Volume I, with the air of her own height brought to sea level by the standard lapse.
    """
    air = sky.air(node.lat_deg, node.lon_deg, node.pressure_altitude_m, node.instant)
    at_sea_k = air.temperature_k - TEMPERATURE_LAPSE_K_PER_M * node.pressure_altitude_m
    if at_sea_k >= SEA_LEVEL_TEMPERATURE_K or safe_m <= 0.0:
        return 0.0
    return cold_temperature_correction(safe_m, 0.0, at_sea_k)


def not_in_sight(mission: Mission, node: Node, up_to_m: float, sky: Sky) -> str:
    """Return what keeps the ground out of sight at a node and on the way to it from an altitude; empty where nothing does.

    Sight of the ground wants no broken or overcast cloud below that altitude, 5 km of visibility where it is reported or
    forecast, and light: day, twilight, or the lights of a field close by.
    """
    fields = _near(mission, node)
    sheet = sky.ceiling_below(node.lat_deg, node.lon_deg, node.instant, up_to_m)
    if sheet:
        return sheet
    for place in fields:
        ceiling_m, visibility_m = sky.lowest_at(place, node.instant)
        if visibility_m is not None and visibility_m < VISIBILITY_M:
            return f"the visibility at {place.ident} is under {VISIBILITY_M / 1000.0:.0f} km"
        if ceiling_m is not None and (place.elevation_m or 0.0) + ceiling_m < up_to_m:
            return f"a ceiling below that is expected at {place.ident}"
    dark = light_condition(node.instant, node.lat_deg, node.lon_deg) == LightCondition.NIGHT
    lit = any(_lit(place) and _distance_m(place, node) <= AT_FIELD_M for place in fields)
    return "it is night" if dark and not lit else ""


def _near(mission: Mission, node: Node) -> list[Place]:
    near = [place for place in mission.places if _distance_m(place, node) <= VICINITY_M]
    return sorted(near, key=lambda place: _distance_m(place, node))


def _distance_m(place: Place, node: Node) -> float:
    return geodesic_distance(place.lat_deg, place.lon_deg, node.lat_deg, node.lon_deg)


def _lit(place: Place) -> bool:
    return any(runway.lights not in ("", "none") for runway in place.runways)
