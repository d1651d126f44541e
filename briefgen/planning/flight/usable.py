"""Whether a field can be landed on at a time: length for her landing, lights by night, weather at or above its minima.

The one place that says what field counts: for the ninety minutes of the rules and for the way out with an engine stopped.
"""

from __future__ import annotations

import math
from datetime import datetime

from briefgen.aircraft.factory import fields_for
from briefgen.aircraft.fields import Strip
from briefgen.errors import BriefgenError
from briefgen.frozen import replace
from briefgen.kernel.altimetry import pressure_altitude
from briefgen.kernel.constants import FT_M
from briefgen.kernel.sun import LightCondition, light_condition
from briefgen.kernel.wheels import creditable_headwind
from briefgen.model.mission import Mission
from briefgen.model.performance import Air
from briefgen.model.places import Minima, Place, Runway
from briefgen.planning.flight.sky import Sky
from briefgen.weather.hazards import wind_on_runway

NO_MINIMA_CEILING_M = 1500.0 * FT_M  # ICAO Annex 2, 4.2: visual flights to and from a field that has no others
NO_MINIMA_VISIBILITY_M = 5000.0
LANDING_SHARE = 0.6  # of the runway that a landing may take: 14 CFR 121.185(a)(1), from memory; 60 % seen in 121.203(a)
HEADWIND_SHARE, TAILWIND_SHARE = 0.5, 1.5  # 14 CFR 121.177(b)
MASS_STEP_KG = 500.0  # a landing distance is worked out for the next step of weight above hers, and for the hour
NOT_KNOWN = "no landing distance is known there"


class UsableFields:
    """The fields of one mission asked again and again; landing distances are kept for the hour and the step of weight."""

    def __init__(self, mission: Mission, sky: Sky) -> None:
        self._sky = sky
        self._fields = fields_for(mission.aircraft, mission.fuel_grade)
        self._distances: dict[tuple[str, str, datetime, float, bool], float | None] = {}

    def why_not(self, place: Place, instant: datetime, mass_kg: float) -> str:
        """Return in words why a field cannot be landed on at a time and weight [kg]; empty where it can.

        One of its runways must hold the landing distance with the factor of the rules, in the wind there, and at night be lit.
        """
        if not place.runways:
            return "it has no runway"
        least = place.minima or Minima(NO_MINIMA_CEILING_M, NO_MINIMA_VISIBILITY_M)
        ceiling_m, visibility_m = self._sky.lowest_at(place, instant)
        if ceiling_m is None and visibility_m is None:
            return "no weather is known there"
        if visibility_m is not None and visibility_m < least.visibility_m:
            return "the visibility is under its minima"
        if ceiling_m is not None and ceiling_m < least.ceiling_m:
            return "the ceiling is under its minima"
        lit = place.runways
        if light_condition(instant, place.lat_deg, place.lon_deg) == LightCondition.NIGHT:
            lit = tuple(runway for runway in place.runways if runway.lights not in ("", "none"))
        if not lit:
            return "it has no lights at night"
        distances = [(runway, self._landing(place, runway, instant, mass_kg)) for runway in lit]
        if any(found_m is not None and found_m <= LANDING_SHARE * runway.length_m for runway, found_m in distances):
            return ""
        known = any(found_m is not None for _, found_m in distances)
        return "its runways are too short to land on with the factor of the rules" if known else NOT_KNOWN

    def _landing(self, place: Place, runway: Runway, instant: datetime, mass_kg: float) -> float | None:
        """Return the landing distance from 50 ft [m]; None where weather or aircraft file do not give it."""
        hour = instant.replace(minute=0, second=0, microsecond=0)
        step_kg = math.ceil(mass_kg / MASS_STEP_KG) * MASS_STEP_KG
        wet = self._sky.wet_at(place, instant)
        key = place.ident, runway.name, hour, step_kg, wet
        if key not in self._distances:
            try:
                strip = replace(_strip(runway, place, self._sky, instant), wet=wet)
                greatest_kg = self._fields.mass_range_kg("landing")[1]
                within_kg = step_kg if step_kg <= greatest_kg else mass_kg
                self._distances[key] = self._fields.landing(within_kg, strip).distance_m
            except BriefgenError:
                self._distances[key] = None
        return self._distances[key]


def _strip(runway: Runway, place: Place, sky: Sky, instant: datetime) -> Strip:
    """Return a runway in the air and the worst wind told there; still air where none is told.

    Raises:
        OutOfRangeError: The weather does not reach there.
    """
    setting_pa = sky.altimeter_setting(place.lat_deg, place.lon_deg, instant)
    height_m = pressure_altitude(runway.elevation_m, setting_pa)
    winds = sky.winds_at(place, instant)
    headwind = wind_on_runway(runway.heading_true_deg, *winds).headwind_m_per_s if winds else 0.0
    air = Air(height_m, sky.air(place.lat_deg, place.lon_deg, height_m, instant).temperature_k)
    return Strip(runway, air, creditable_headwind(headwind, HEADWIND_SHARE, TAILWIND_SHARE))
