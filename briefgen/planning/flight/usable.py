"""Whether a field can be landed on at a time: a runway long enough, lights by night, weather at or above its minima."""

from __future__ import annotations

from datetime import datetime

from briefgen.kernel.constants import FT_M
from briefgen.kernel.sun import light_condition
from briefgen.model.mission import Mission
from briefgen.model.places import Minima, Place
from briefgen.planning.flight.sky import Sky

NO_MINIMA_CEILING_M = 1500.0 * FT_M  # ICAO Annex 2, 4.2: visual flights to and from a field that has no others
NO_MINIMA_VISIBILITY_M = 5000.0


def unusable(mission: Mission, place: Place, instant: datetime, sky: Sky) -> str:
    """Return in words why a field cannot be landed on at a time; empty where it can.

    Its runway must be no shorter than the shortest that the plan lands on, for which the landing distance is worked out.
    """
    long_enough = [runway for runway in place.runways if runway.length_m >= _shortest_m(mission)]
    if not long_enough:
        return "its runways are shorter than any that the plan lands on"
    dark = light_condition(instant, place.lat_deg, place.lon_deg) == "night"
    if dark and not any(runway.lights not in ("", "none") for runway in long_enough):
        return "it has no lights at night"
    least = place.minima or Minima(NO_MINIMA_CEILING_M, NO_MINIMA_VISIBILITY_M)
    ceiling_m, visibility_m = sky.lowest_at(place, instant)
    if ceiling_m is None and visibility_m is None:
        return "no weather is known there"
    if visibility_m is not None and visibility_m < least.visibility_m:
        return "the visibility is under its minima"
    return "the ceiling is under its minima" if ceiling_m is not None and ceiling_m < least.ceiling_m else ""


def _shortest_m(mission: Mission) -> float:
    landed = [(mission.route.destination, mission.route.destination_runway)]
    landed += [(one.place, one.runway) for one in (*mission.alternates, *mission.en_route)]
    lengths = [runway.length_m for place, name in landed for runway in place.runways if runway.name == name]
    return min(lengths, default=0.0)
