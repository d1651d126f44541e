"""Sun, twilight and moon: when they rise and set, how high they stand, and what light that gives.

All instants are timezone-aware and every result is in UTC. Heights are of the body's centre above the sea-level
horizon, without refraction; the refraction of rising and setting is in the defining height.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

from briefgen.frozen import dataclass
from briefgen.kernel.crossings import Crossings, crossings
from briefgen.kernel.limits import require_within

if TYPE_CHECKING:
    from astronomy import Body, Observer, Time

# U.S. Naval Observatory definitions: 34' of refraction and 16' of semidiameter; 6 and 12 degrees of depression.
REFRACTION_AT_HORIZON_DEG = 34.0 / 60.0
SUNRISE_ALTITUDE_DEG = -50.0 / 60.0
CIVIL_TWILIGHT_ALTITUDE_DEG = -6.0
NAUTICAL_TWILIGHT_ALTITUDE_DEG = -12.0

_EPOCH = datetime(2000, 1, 1, 12, tzinfo=UTC)  # zero of the ephemeris: J2000.0, here in universal time
_DAY = timedelta(days=1)
_SIDEREAL_DEG_PER_DAY = 360.98564736629  # J. Meeus, Astronomical Algorithms, 2nd ed., equation 12.4
_SUN_PARALLAX_DEG = 8.794 / 3600.0  # equatorial horizontal parallax at one astronomical unit: same, chapter 40
_LIGHT_LIMITS_DEG = (SUNRISE_ALTITUDE_DEG, CIVIL_TWILIGHT_ALTITUDE_DEG)
_PATH_WITHIN_DEG = 0.01  # of the ephemeris: a hundred times what the path of a day departs from it
_Direction = tuple[float, float, float]
_KEPT = 20_000  # heights: the review and the pages ask for the same ones
_MOON_RADIUS_KM = 1737.4  # IAU working group on cartographic coordinates, 2015


class LightCondition(StrEnum):
    """What light the sky gives."""

    DAY = "day"
    CIVIL_TWILIGHT = "civil twilight"
    NIGHT = "night"


@dataclass(frozen=True)
class SunTimes:
    """Rising and setting of the sun and the two twilights in one span of time.

    Attributes:
        sun: Sunrise and sunset: the upper limb on the horizon.
        civil: Beginning (rises) and end (sets) of civil twilight.
        nautical: Beginning and end of nautical twilight.
    """

    sun: Crossings
    civil: Crossings
    nautical: Crossings


def sun_times(start: datetime, end: datetime, latitude_deg: float, longitude_deg: float) -> SunTimes:
    """Return the sunrises, sunsets and twilights at a place from one instant up to another.

    Args:
        start: Beginning of the span, timezone-aware.
        end: End of the span, which is not part of it, timezone-aware.
        latitude_deg: Latitude [deg].
        longitude_deg: Longitude [deg], any.

    Returns:
        The events, in UTC.

    Raises:
        OutOfRangeError: The latitude lies outside -90 to 90 degrees, or the span is empty or longer than three days.

    Source:
        Definitions of the U.S. Naval Observatory for an observer at sea level; ephemeris of the astronomy-engine
        library.
    """
    altitude_deg = _sun_path(start, end, latitude_deg, longitude_deg)
    return SunTimes(
        sun=crossings(lambda days: altitude_deg(days) - SUNRISE_ALTITUDE_DEG, start, end),
        civil=crossings(lambda days: altitude_deg(days) - CIVIL_TWILIGHT_ALTITUDE_DEG, start, end),
        nautical=crossings(lambda days: altitude_deg(days) - NAUTICAL_TWILIGHT_ALTITUDE_DEG, start, end),
    )


def sun_altitude(instant: datetime, latitude_deg: float, longitude_deg: float) -> float:
    """Return the height of the sun's centre above the horizon, without refraction.

    Args:
        instant: The instant, timezone-aware.
        latitude_deg: Latitude [deg].
        longitude_deg: Longitude [deg], any.

    Returns:
        Height [deg].

    Raises:
        OutOfRangeError: The latitude lies outside -90 to 90 degrees.

    Source:
        Ephemeris of the astronomy-engine library, within 1 arc minute of published ephemerides.
    """
    from astronomy import Body

    return _body_altitude(Body.Sun, instant, latitude_deg, longitude_deg)


def light_condition(instant: datetime, latitude_deg: float, longitude_deg: float) -> LightCondition:
    """Return whether it is day, civil twilight or night on the ground at a place.

    Args:
        instant: The instant, timezone-aware.
        latitude_deg: Latitude [deg].
        longitude_deg: Longitude [deg], any.

    Returns:
        Day while the sun is up, civil twilight until its centre is 6 degrees below the horizon, then night. Only near a limit
        is the ephemeris asked; elsewhere the sun's path of the day tells, in a hundredth of the time.

    Raises:
        OutOfRangeError: The latitude lies outside -90 to 90 degrees.

    Source:
        Definitions of the U.S. Naval Observatory; night begins at the end of civil twilight in 14 CFR 1.1.
    """
    midnight = instant.replace(hour=0, minute=0, second=0, microsecond=0)
    path = _sun_path(midnight, midnight + _DAY, latitude_deg, longitude_deg)
    height_deg = path((instant - midnight) / _DAY)
    if min(abs(height_deg - limit_deg) for limit_deg in _LIGHT_LIMITS_DEG) < _PATH_WITHIN_DEG:
        height_deg = sun_altitude(instant, latitude_deg, longitude_deg)
    if height_deg >= SUNRISE_ALTITUDE_DEG:
        return LightCondition.DAY
    if height_deg >= CIVIL_TWILIGHT_ALTITUDE_DEG:
        return LightCondition.CIVIL_TWILIGHT
    return LightCondition.NIGHT


def moon_altitude(instant: datetime, latitude_deg: float, longitude_deg: float) -> float:
    """Return the height of the moon's centre above the horizon, as seen from the place, without refraction.

    Args:
        instant: The instant, timezone-aware.
        latitude_deg: Latitude [deg].
        longitude_deg: Longitude [deg], any.

    Returns:
        Height [deg].

    Raises:
        OutOfRangeError: The latitude lies outside -90 to 90 degrees.

    Source:
        Ephemeris of the astronomy-engine library, within 1 arc minute of published ephemerides.
    """
    from astronomy import Body

    return _body_altitude(Body.Moon, instant, latitude_deg, longitude_deg)


def moon_illuminated_ratio(instant: datetime) -> float:
    """Return the part of the moon's disc that is lit.

    Args:
        instant: The instant, timezone-aware.

    Returns:
        Lit part of the disc [-], 0 new to 1 full.

    Source:
        Ephemeris of the astronomy-engine library; (1 + cos i)/2 with the phase angle i, J. Meeus, Astronomical
        Algorithms, 2nd ed., equation 48.1.
    """
    from astronomy import Body, Illumination

    phase_angle_deg = float(Illumination(Body.Moon, _time(instant)).phase_angle)
    return (1.0 + math.cos(math.radians(phase_angle_deg))) / 2.0


def moon_crossings(start: datetime, end: datetime, latitude_deg: float, longitude_deg: float) -> Crossings:
    """Return when the moon rises and sets at a place, from one instant up to another.

    Args:
        start: Beginning of the span, timezone-aware.
        end: End of the span, which is not part of it, timezone-aware.
        latitude_deg: Latitude [deg].
        longitude_deg: Longitude [deg], any.

    Returns:
        Moonrises and moonsets, in UTC.

    Raises:
        OutOfRangeError: The latitude lies outside -90 to 90 degrees, or the span is empty or longer than three days.

    Source:
        Upper limb on the sea-level horizon with 34 minutes of arc of refraction, as the U.S. Naval Observatory
        defines it; ephemeris of the astronomy-engine library.
    """
    from astronomy import KM_PER_AU, Body, Equator, Horizon, Refraction

    observer = _observer(latitude_deg, longitude_deg)

    def upper_limb_deg(days: float) -> float:
        time = _time(start + timedelta(days=days))
        place = Equator(Body.Moon, time, observer, ofdate=True, aberration=True)
        semidiameter_deg = math.degrees(math.asin(_MOON_RADIUS_KM / (place.dist * KM_PER_AU)))
        altitude_deg = Horizon(time, observer, place.ra, place.dec, Refraction.Airless).altitude
        return float(altitude_deg) + semidiameter_deg + REFRACTION_AT_HORIZON_DEG

    return crossings(upper_limb_deg, start, end)


def _time(instant: datetime) -> Time:
    from astronomy import Time

    return Time((instant - _EPOCH) / timedelta(days=1))


def _observer(latitude_deg: float, longitude_deg: float) -> Observer:
    from astronomy import Observer

    require_within("latitude", latitude_deg, -90.0, 90.0, "deg")
    return Observer(latitude_deg, longitude_deg, 0.0)


@lru_cache(maxsize=_KEPT)
def _body_altitude(body: Body, instant: datetime, latitude_deg: float, longitude_deg: float) -> float:
    from astronomy import Equator, Horizon, Refraction

    time, observer = _time(instant), _observer(latitude_deg, longitude_deg)
    place = Equator(body, time, observer, ofdate=True, aberration=True)
    return float(Horizon(time, observer, place.ra, place.dec, Refraction.Airless).altitude)


@lru_cache(maxsize=_KEPT)
def _sun_directions(start: datetime, half_days: float) -> tuple[tuple[_Direction, ...], float]:
    """Return where the sun stands among the stars at three instants half a span apart, and the sidereal time of the first [deg]."""
    from astronomy import Body, GeoVector, RotateVector, Rotation_EQJ_EQD, SiderealTime

    directions = []
    for days in (0.0, half_days, 2.0 * half_days):
        time = _time(start + timedelta(days=days))
        vector = RotateVector(Rotation_EQJ_EQD(time), GeoVector(Body.Sun, time, True))
        length = vector.Length()
        directions.append((vector.x / length, vector.y / length, vector.z / length))
    return tuple(directions), 15.0 * float(SiderealTime(_time(start)))


def _sun_path(start: datetime, end: datetime, latitude_deg: float, longitude_deg: float) -> Callable[[float], float]:
    """Return the height of the sun's centre [deg] as a function of the days since the start.

    The sun moves a degree a day among the stars, so its direction is a parabola through three instants: over three days
    this departs from the ephemeris by about 0.0001 degree and costs a hundredth of it.
    """
    require_within("latitude", latitude_deg, -90.0, 90.0, "deg")
    half_days = (end - start) / _DAY / 2.0
    directions, sidereal_deg = _sun_directions(start, half_days)
    local_sidereal_deg = sidereal_deg + longitude_deg
    cos_latitude, sin_latitude = math.cos(math.radians(latitude_deg)), math.sin(math.radians(latitude_deg))

    def altitude_deg(days: float) -> float:
        u = days / half_days
        weights = ((u - 1.0) * (u - 2.0) / 2.0, u * (2.0 - u), u * (u - 1.0) / 2.0)
        x, y, z = (
            math.fsum(w * part for w, part in zip(weights, axis, strict=True)) for axis in zip(*directions, strict=True)
        )
        angle_rad = math.radians(local_sidereal_deg + _SIDEREAL_DEG_PER_DAY * days)
        sine = cos_latitude * (x * math.cos(angle_rad) + y * math.sin(angle_rad)) + sin_latitude * z
        geocentric_rad = math.asin(max(-1.0, min(1.0, sine)))
        return math.degrees(geocentric_rad) - _SUN_PARALLAX_DEG * math.cos(geocentric_rad)

    return altitude_deg
