"""The wind triangle: heading, true airspeed, wind, track and ground speed; components along and across a direction.

Wind is given as the trade gives it, by the true direction it blows from. All directions of one call share one north.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.kernel.geodesy import normalised_course
from briefgen.kernel.limits import number_text, require_within

_HIGHEST_WIND_M_PER_S = 250.0  # twice the strongest jet streams; catches a speed in the wrong unit
_CALM_M_PER_S = 1e-9  # what is left of opposite winds after rounding


@dataclass(frozen=True)
class Wind:
    """A wind.

    Attributes:
        from_deg: Direction the wind blows from [deg]; 0 for a calm.
        speed_m_per_s: Its speed [m/s], not negative.
    """

    from_deg: float
    speed_m_per_s: float


@dataclass(frozen=True)
class WindTriangle:
    """A solved wind triangle.

    Attributes:
        heading_deg: Direction the aircraft points [deg], 0 to 360.
        true_airspeed_m_per_s: True airspeed [m/s].
        track_deg: Direction of travel over the ground [deg], 0 to 360.
        ground_speed_m_per_s: Ground speed [m/s].
        drift_deg: Track less heading [deg], -180 to 180: right (starboard) drift positive. The wind correction angle is
            its negative.
        headwind_m_per_s: Wind component against the track [m/s]; a tailwind is negative.
        crosswind_m_per_s: Wind component across the track [m/s], from the right positive.
    """

    heading_deg: float
    true_airspeed_m_per_s: float
    track_deg: float
    ground_speed_m_per_s: float
    drift_deg: float
    headwind_m_per_s: float
    crosswind_m_per_s: float


@dataclass(frozen=True)
class WindComponents:
    """A wind split along a direction.

    Attributes:
        headwind_m_per_s: Component against the direction [m/s]; a tailwind is negative.
        crosswind_m_per_s: Component across it [m/s], from the right positive.
    """

    headwind_m_per_s: float
    crosswind_m_per_s: float


def wind_components(direction_deg: float, wind: Wind) -> WindComponents:
    """Return the components of a wind along and across a track or a runway.

    Args:
        direction_deg: Direction of travel, or direction of the runway from the same north as the wind [deg].
        wind: The wind.

    Returns:
        Headwind and crosswind.

    Raises:
        OutOfRangeError: The wind speed is negative or impossible.

    Source:
        Plane trigonometry.
    """
    require_within("wind speed", wind.speed_m_per_s, 0.0, _HIGHEST_WIND_M_PER_S, "m/s")
    angle_rad = math.radians(wind.from_deg - direction_deg)
    return WindComponents(wind.speed_m_per_s * math.cos(angle_rad), wind.speed_m_per_s * math.sin(angle_rad))


@dataclass(frozen=True)
class RunwayWind:
    """The wind on a runway, as it is on the mean and as it may be counted on.

    Attributes:
        mean_headwind_m_per_s: Mean wind against the run [m/s], a tailwind negative; 0 where it has no direction.
        mean_crosswind_m_per_s: Mean wind across [m/s], from the right positive; 0 where it has no direction.
        headwind_m_per_s: Least head wind that gusts and shifts leave [m/s]; the strongest tailwind is its negative.
        crosswind_m_per_s: Strongest crosswind that gusts and shifts bring, from either side [m/s].
    """

    mean_headwind_m_per_s: float
    mean_crosswind_m_per_s: float
    headwind_m_per_s: float
    crosswind_m_per_s: float


def runway_wind(
    runway_deg: float,
    wind: Wind,
    *,
    gust_m_per_s: float = 0.0,
    spread_deg: tuple[float, float] | None = None,
    variable: bool = False,
) -> RunwayWind:
    """Return the wind on a runway, each component on the side that does not flatter.

    A gust strengthens the tailwind and the crosswind and is not counted on as head wind. A direction that varies
    between two bearings takes, for each component, the worst of them all. A variable wind without bearings may blow
    from anywhere: across, and from behind, with its whole strength.

    Args:
        runway_deg: Direction of the run [deg], from the same north as the wind.
        wind: The mean wind; its direction means nothing when variable.
        gust_m_per_s: Gust speed [m/s]; one below the mean, such as 0, is none.
        spread_deg: Bearings between which the direction varies [deg], clockwise from the first to the second.
        variable: True for a wind reported without a direction.

    Returns:
        Mean and worst components.

    Raises:
        OutOfRangeError: A speed is negative or impossible.

    Source:
        Plane trigonometry; that the least favourable counts: 14 CFR 121.177(b) counts a tailwind one and a half times.
    """
    gust = max(gust_m_per_s, wind.speed_m_per_s)
    require_within("gust speed", gust, 0.0, _HIGHEST_WIND_M_PER_S, "m/s")
    if variable:
        return RunwayWind(0.0, 0.0, -gust, gust)
    mean = wind_components(runway_deg, wind)
    angles = [wind.from_deg - runway_deg]
    if spread_deg is not None:
        angles += _worst_angles(spread_deg[0] - runway_deg, spread_deg[1] - runway_deg)
    along = min(math.cos(math.radians(angle)) for angle in angles)
    across = max(abs(math.sin(math.radians(angle))) for angle in angles)
    least = along * (wind.speed_m_per_s if along >= 0.0 else gust)
    return RunwayWind(mean.headwind_m_per_s, mean.crosswind_m_per_s, least, across * gust)


def _worst_angles(from_deg: float, to_deg: float) -> list[float]:
    """Return the ends of a sector of angles off the runway, with dead across and dead behind where it holds them."""
    width = (to_deg - from_deg) % 360.0
    return [from_deg, to_deg, *(angle for angle in (90.0, 180.0, 270.0) if (angle - from_deg) % 360.0 <= width)]


def worst_runway_wind(winds: Sequence[RunwayWind]) -> RunwayWind:
    """Return the worst of the winds a runway may be used in: observed, forecast, and temporary ones.

    Args:
        winds: Winds on one runway, at least one; the first is the one whose means are told.

    Returns:
        Means of the first; least head wind and strongest crosswind of all.

    Source:
        First principles.
    """
    return RunwayWind(
        winds[0].mean_headwind_m_per_s,
        winds[0].mean_crosswind_m_per_s,
        min(one.headwind_m_per_s for one in winds),
        max(one.crosswind_m_per_s for one in winds),
    )


def triangle_from_course(course_deg: float, true_airspeed_m_per_s: float, wind: Wind) -> WindTriangle:
    """Return the heading and ground speed that make good a course.

    Args:
        course_deg: Course to make good [deg].
        true_airspeed_m_per_s: True airspeed [m/s].
        wind: The wind.

    Returns:
        The solved triangle.

    Raises:
        OutOfRangeError: The wind across the course is as strong as the airspeed, or the wind against it stops all
            progress.

    Source:
        Plane trigonometry (law of sines).
    """
    components = wind_components(course_deg, wind)
    require_within("true airspeed", true_airspeed_m_per_s, 0.0, math.inf, "m/s")
    ratio = components.crosswind_m_per_s / true_airspeed_m_per_s if true_airspeed_m_per_s > 0.0 else math.inf
    if abs(ratio) >= 1.0:
        raise _cannot_hold(course_deg, true_airspeed_m_per_s, wind)
    correction_rad = math.asin(ratio)
    ground_speed_m_per_s = true_airspeed_m_per_s * math.cos(correction_rad) - components.headwind_m_per_s
    if ground_speed_m_per_s <= 0.0:
        raise _cannot_hold(course_deg, true_airspeed_m_per_s, wind)
    return WindTriangle(
        heading_deg=normalised_course(course_deg + math.degrees(correction_rad)),
        true_airspeed_m_per_s=true_airspeed_m_per_s,
        track_deg=normalised_course(course_deg),
        ground_speed_m_per_s=ground_speed_m_per_s,
        drift_deg=-math.degrees(correction_rad),
        headwind_m_per_s=components.headwind_m_per_s,
        crosswind_m_per_s=components.crosswind_m_per_s,
    )


def triangle_from_heading(heading_deg: float, true_airspeed_m_per_s: float, wind: Wind) -> WindTriangle:
    """Return the track and ground speed that follow from a heading.

    Args:
        heading_deg: Heading flown [deg].
        true_airspeed_m_per_s: True airspeed [m/s].
        wind: The wind.

    Returns:
        The solved triangle.

    Raises:
        OutOfRangeError: The ground speed is zero, so that there is no track.

    Source:
        Addition of vectors.
    """
    along = wind_components(heading_deg, wind)
    ahead_m_per_s = true_airspeed_m_per_s - along.headwind_m_per_s
    right_m_per_s = -along.crosswind_m_per_s
    ground_speed_m_per_s = math.hypot(ahead_m_per_s, right_m_per_s)
    if ground_speed_m_per_s <= _CALM_M_PER_S:
        raise _cannot_hold(heading_deg, true_airspeed_m_per_s, wind)
    drift_deg = math.degrees(math.atan2(right_m_per_s, ahead_m_per_s))
    return _triangle(heading_deg, true_airspeed_m_per_s, heading_deg + drift_deg, ground_speed_m_per_s, wind)


def triangle_from_ground_speed(course_deg: float, ground_speed_m_per_s: float, wind: Wind) -> WindTriangle:
    """Return the heading and true airspeed that make good a course at a ground speed.

    Args:
        course_deg: Course to make good [deg].
        ground_speed_m_per_s: Ground speed to make good [m/s], not negative.
        wind: The wind.

    Returns:
        The solved triangle.

    Raises:
        OutOfRangeError: The ground speed is negative, or no airspeed at all is needed, so that there is no heading.

    Source:
        Subtraction of vectors.
    """
    require_within("ground speed", ground_speed_m_per_s, 0.0, math.inf, "m/s")
    components = wind_components(course_deg, wind)
    ahead_m_per_s = ground_speed_m_per_s + components.headwind_m_per_s
    airspeed_m_per_s = math.hypot(ahead_m_per_s, components.crosswind_m_per_s)
    if airspeed_m_per_s <= _CALM_M_PER_S:
        raise _cannot_hold(course_deg, airspeed_m_per_s, wind)
    correction_deg = math.degrees(math.atan2(components.crosswind_m_per_s, ahead_m_per_s))
    return _triangle(course_deg + correction_deg, airspeed_m_per_s, course_deg, ground_speed_m_per_s, wind)


def wind_from_track(
    heading_deg: float, true_airspeed_m_per_s: float, track_deg: float, ground_speed_m_per_s: float
) -> Wind:
    """Return the wind that turns a heading and airspeed into a track and ground speed.

    Args:
        heading_deg: Heading flown [deg].
        true_airspeed_m_per_s: True airspeed [m/s].
        track_deg: Track made good [deg].
        ground_speed_m_per_s: Ground speed made good [m/s].

    Returns:
        The wind.

    Source:
        Subtraction of vectors.
    """
    heading_rad, track_rad = math.radians(heading_deg), math.radians(track_deg)
    return wind_towards(
        ground_speed_m_per_s * math.cos(track_rad) - true_airspeed_m_per_s * math.cos(heading_rad),
        ground_speed_m_per_s * math.sin(track_rad) - true_airspeed_m_per_s * math.sin(heading_rad),
    )


@dataclass(frozen=True)
class Release:
    """Where a load under a canopy is let go, told from the place it is to fall on.

    Attributes:
        before_m: How far short of being abeam the place along the course [m]; beyond it negative.
        right_m: How far to the right of the place across the course [m]; to the left negative.
    """

    before_m: float
    right_m: float


def release_point(course_deg: float, wind: Wind, fall_s: float, throw_m: float) -> Release:
    """Return the point of release: upwind by what the wind carries the load while it falls, and short by its throw.

    Args:
        course_deg: True course over the ground [deg].
        wind: Wind of all the air it falls through.
        fall_s: Time of the fall [s], not negative.
        throw_m: How far it goes on along the course before it falls with the air [m], not negative.

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        Common practice of the trade (release points worked out by the crew), no published source: drift is wind times time of fall.
    """
    require_within("time of fall", fall_s, 0.0, math.inf, "s")
    require_within("forward throw", throw_m, 0.0, math.inf, "m")
    split = wind_components(course_deg, wind)
    return Release(throw_m - split.headwind_m_per_s * fall_s, split.crosswind_m_per_s * fall_s)


def _triangle(
    heading_deg: float, true_airspeed_m_per_s: float, track_deg: float, ground_speed_m_per_s: float, wind: Wind
) -> WindTriangle:
    components = wind_components(track_deg, wind)
    return WindTriangle(
        heading_deg=normalised_course(heading_deg),
        true_airspeed_m_per_s=true_airspeed_m_per_s,
        track_deg=normalised_course(track_deg),
        ground_speed_m_per_s=ground_speed_m_per_s,
        drift_deg=math.remainder(track_deg - heading_deg, 360.0),
        headwind_m_per_s=components.headwind_m_per_s,
        crosswind_m_per_s=components.crosswind_m_per_s,
    )


def wind_towards(north_m_per_s: float, east_m_per_s: float) -> Wind:
    """Return the wind whose air moves with the given components.

    Args:
        north_m_per_s: Motion of the air towards north [m/s].
        east_m_per_s: Motion of the air towards east [m/s].

    Returns:
        The wind, by where it blows from.

    Source:
        First principles.
    """
    speed_m_per_s = math.hypot(north_m_per_s, east_m_per_s)
    if speed_m_per_s <= _CALM_M_PER_S:
        return Wind(0.0, 0.0)
    return Wind(normalised_course(math.degrees(math.atan2(-east_m_per_s, -north_m_per_s))), speed_m_per_s)


def _cannot_hold(course_deg: float, true_airspeed_m_per_s: float, wind: Wind) -> OutOfRangeError:
    return OutOfRangeError(
        f"a true airspeed of {number_text(true_airspeed_m_per_s)} m/s makes no way on {number_text(course_deg)} deg "
        f"against a wind from {number_text(wind.from_deg)} deg at {number_text(wind.speed_m_per_s)} m/s",
        expected="an airspeed above the wind across the course and a ground speed above zero",
    )
