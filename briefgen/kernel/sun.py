"""Sun, twilight and moon: when they rise and set, how high they stand, and what light that gives.

All instants are timezone-aware and every result is in UTC. Heights are of the body's centre above the sea-level
horizon, without refraction; the refraction of rising and setting is in the defining height.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from briefgen.kernel.limits import require_within

if TYPE_CHECKING:
    from astronomy import Body, Observer, Time

# U.S. Naval Observatory definitions: 34' of refraction and 16' of semidiameter; 6 and 12 degrees of depression.
SUNRISE_ALTITUDE_DEG = -50.0 / 60.0
CIVIL_TWILIGHT_ALTITUDE_DEG = -6.0
NAUTICAL_TWILIGHT_ALTITUDE_DEG = -12.0

_EPOCH = datetime(2000, 1, 1, 12, tzinfo=UTC)  # zero of the ephemeris: J2000.0, here in universal time
_STEP_PAST_EVENT = timedelta(seconds=30)  # far shorter than any day or night that the next search could step over


class LightCondition(StrEnum):
    """What light the sky gives."""

    DAY = "day"
    CIVIL_TWILIGHT = "civil twilight"
    NIGHT = "night"


class Presence(StrEnum):
    """Whether a body crosses a height in a span of time, or stays on one side of it."""

    CROSSES = "crosses"
    ALWAYS_ABOVE = "always above"
    ALWAYS_BELOW = "always below"


@dataclass(frozen=True)
class Crossings:
    """When a body passes a height in a span of time.

    Attributes:
        rises: When it passes upwards, in order, UTC; often one, at times none or two in a day.
        sets: When it passes downwards, in order, UTC.
        presence: Whether it crosses at all, and on which side it stays if not.
    """

    rises: tuple[datetime, ...]
    sets: tuple[datetime, ...]
    presence: Presence


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
        OutOfRangeError: The latitude lies outside -90 to 90 degrees.

    Source:
        Definitions of the U.S. Naval Observatory for an observer at sea level; ephemeris of the astronomy-engine
        library.
    """
    heights_deg = (SUNRISE_ALTITUDE_DEG, CIVIL_TWILIGHT_ALTITUDE_DEG, NAUTICAL_TWILIGHT_ALTITUDE_DEG)
    sun, civil, nautical = (
        sun_crossings(start, end, latitude_deg, longitude_deg, height_deg) for height_deg in heights_deg
    )
    return SunTimes(sun, civil, nautical)


def sun_crossings(
    start: datetime, end: datetime, latitude_deg: float, longitude_deg: float, altitude_deg: float
) -> Crossings:
    """Return when the centre of the sun passes a height at a place, from one instant up to another.

    Args:
        start: Beginning of the span, timezone-aware.
        end: End of the span, which is not part of it, timezone-aware.
        latitude_deg: Latitude [deg].
        longitude_deg: Longitude [deg], any.
        altitude_deg: Height of the centre above the horizon, without refraction [deg].

    Returns:
        The crossings, in UTC.

    Raises:
        OutOfRangeError: The latitude lies outside -90 to 90 degrees.

    Source:
        Ephemeris of the astronomy-engine library, within 1 arc minute of published ephemerides.
    """
    from astronomy import Body, Direction, SearchAltitude

    observer = _observer(latitude_deg, longitude_deg)

    def next_event(direction: Direction, after: Time, days: float) -> Time | None:
        return SearchAltitude(Body.Sun, observer, direction, after, days, altitude_deg)

    rises = _events(lambda after, days: next_event(Direction.Rise, after, days), start, end)
    sets = _events(lambda after, days: next_event(Direction.Set, after, days), start, end)
    presence = _presence(rises, sets, sun_altitude(start, latitude_deg, longitude_deg) >= altitude_deg)
    return Crossings(rises, sets, presence)


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
        Day while the sun is up, civil twilight until its centre is 6 degrees below the horizon, then night.

    Raises:
        OutOfRangeError: The latitude lies outside -90 to 90 degrees.

    Source:
        Definitions of the U.S. Naval Observatory; night begins at the end of civil twilight in 14 CFR 1.1.
    """
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
        OutOfRangeError: The latitude lies outside -90 to 90 degrees.

    Source:
        Upper limb on the sea-level horizon with 34 minutes of arc of refraction, as the U.S. Naval Observatory
        defines it; ephemeris of the astronomy-engine library.
    """
    from astronomy import Body, Direction, SearchRiseSet

    observer = _observer(latitude_deg, longitude_deg)

    def next_event(direction: Direction, after: Time, days: float) -> Time | None:
        return SearchRiseSet(Body.Moon, observer, direction, after, days)

    rises = _events(lambda after, days: next_event(Direction.Rise, after, days), start, end)
    sets = _events(lambda after, days: next_event(Direction.Set, after, days), start, end)
    return Crossings(rises, sets, _presence(rises, sets, moon_altitude(start, latitude_deg, longitude_deg) >= 0.0))


def _time(instant: datetime) -> Time:
    from astronomy import Time

    return Time((instant - _EPOCH) / timedelta(days=1))


def _observer(latitude_deg: float, longitude_deg: float) -> Observer:
    from astronomy import Observer

    require_within("latitude", latitude_deg, -90.0, 90.0, "deg")
    return Observer(latitude_deg, longitude_deg, 0.0)


def _body_altitude(body: Body, instant: datetime, latitude_deg: float, longitude_deg: float) -> float:
    from astronomy import Equator, Horizon, Refraction

    time, observer = _time(instant), _observer(latitude_deg, longitude_deg)
    place = Equator(body, time, observer, ofdate=True, aberration=True)
    return float(Horizon(time, observer, place.ra, place.dec, Refraction.Airless).altitude)


def _events(next_event: Callable[[Time, float], Time | None], start: datetime, end: datetime) -> tuple[datetime, ...]:
    found: list[datetime] = []
    after = start
    while after < end:
        event = next_event(_time(after), (end - after) / timedelta(days=1))
        if event is None:
            break
        instant = _EPOCH + timedelta(days=event.ut)
        if instant >= end:
            break
        found.append(instant)
        after = instant + _STEP_PAST_EVENT
    return tuple(found)


def _presence(rises: tuple[datetime, ...], sets: tuple[datetime, ...], above_at_start: bool) -> Presence:
    if rises or sets:
        return Presence.CROSSES
    return Presence.ALWAYS_ABOVE if above_at_start else Presence.ALWAYS_BELOW
