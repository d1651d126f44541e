"""The wind ahead, as far as the wind that was found says something of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from briefgen.frozen import dataclass
from briefgen.model.mission import Leg, WindFading
from briefgen.model.plan import Node
from briefgen.planning.after.measured import Measured
from briefgen.planning.after.met import fitted, target_of
from briefgen.planning.after.ways import Met, Way
from briefgen.planning.flight.sky import Sky
from briefgen.weather.air import AirAloft

MEAN_RADIUS_M = 6_371_009.0  # of the earth, IUGG mean radius (from memory)


@dataclass(frozen=True)
class WindDifference:
    """What the wind of a stretch differed from the forecast by, towards east and north, and where that was found.

    ``by_ground_speed`` says that wind and airspeed could not be told apart: it is then what the speed over the ground lacked.
    """

    east_m_per_s: float
    north_m_per_s: float
    lat_deg: float
    lon_deg: float
    instant: datetime
    words: str  # of the stretch
    by_ground_speed: bool


class FadingWind(Sky):
    """The forecast with a found difference added, the less the farther and the later."""

    def __init__(self, forecast: Sky, found: WindDifference, fading: WindFading) -> None:
        self.__dict__.update(forecast.__dict__)
        self._forecast, self._found, self._fading = forecast, found, fading

    def air(self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime) -> AirAloft:
        """Return the air of the forecast with the part of the found difference that is left there and then."""
        aloft, left = (
            self._forecast.air(lat_deg, lon_deg, pressure_altitude_m, instant),
            self.left(lat_deg, lon_deg, instant),
        )
        return AirAloft(
            aloft.temperature_k, aloft.wind_east_m_per_s + left * self._found.east_m_per_s,
            aloft.wind_north_m_per_s + left * self._found.north_m_per_s,
        )  # fmt: skip

    def left(self, lat_deg: float, lon_deg: float, instant: datetime) -> float:
        """Return which part of the found difference is left at a place and time, from 0 to 1."""
        far_m = _about(self._found.lat_deg, self._found.lon_deg, lat_deg, lon_deg)
        late_s = abs((instant - self._found.instant).total_seconds())
        return math.exp(-far_m / self._fading.over_m - late_s / self._fading.in_s)


def _about(lat_deg: float, lon_deg: float, to_lat_deg: float, to_lon_deg: float) -> float:
    """Return how far one place is from another [m], on a sphere: good to half a per cent, where a fading is a judgement.

    Source: the haversine formula (from memory); asked a thousand times a plan, it costs a fiftieth of the ellipsoid.
    """
    lat, to_lat = math.radians(lat_deg), math.radians(to_lat_deg)
    half = math.sin(0.5 * (to_lat - lat)) ** 2
    half += math.cos(lat) * math.cos(to_lat) * math.sin(0.5 * math.radians(to_lon_deg - lon_deg)) ** 2
    return 2.0 * MEAN_RADIUS_M * math.asin(math.sqrt(min(1.0, half)))


def difference_found(way: Way, measured: Sequence[Measured], before: datetime) -> WindDifference | None:
    """Return how the wind of the last leg that has both its times differed from the forecast; None where no leg has them.

    Raises:
        PlanError: The times of that leg cannot be flown.
    """
    legs = [
        one for one in measured
        if one.lasts_s is not None and one.end is not None and one.end <= before and one.name.isdigit()
        and isinstance(way.flown.mission.route.items[int(one.name)], Leg)
    ]  # fmt: skip
    if not legs:
        return None
    last, item = legs[-1], int(legs[-1].name)
    flown = [phase for phase in way.flown.phases if phase.item == item]
    target = target_of(last.lines)
    met = Met(way.flown.departure, targets={last.name: target} if target else {})
    met = fitted(way, met, last, _begun(flown[0].start, last))
    by_ground_speed = last.name in met.ground_speed_m_per_s
    winds = met.ground_speed_m_per_s if by_ground_speed else met.wind_m_per_s
    east, north = winds.get(last.name, (0.0, 0.0))
    longest = max(flown, key=lambda phase: phase.distance_m)
    middle = longest.nodes[len(longest.nodes) // 2]
    assert last.start is not None
    assert last.end is not None
    leg = way.flown.mission.route.items[item]
    words = f"the leg to {leg.to.name}" if isinstance(leg, Leg) else last.name
    return WindDifference(
        east, north, middle.lat_deg, middle.lon_deg, last.start + 0.5 * (last.end - last.start), words, by_ground_speed
    )


def _begun(planned: Node, one: Measured) -> Node:
    return replace(planned, instant=one.start or planned.instant)
