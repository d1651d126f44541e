"""The weather a mission is planned on, as observed and forecast; pure data, every instant in UTC.

Winds are stored as the vector the air moves along, east and north; directions as reported (from which it blows, true)
are met only where text is read and written. Heights aloft are pressure altitudes; cloud bases of a report are above its
aerodrome, as the reports give them; tops and sheets are above mean sea level.
"""

from __future__ import annotations

import math
from datetime import datetime
from typing import Literal

from briefgen.frozen import dataclass

Outside = Literal["error", "hold"]
Cover = Literal["few", "scattered", "broken", "overcast"]
GroupKind = Literal["base", "from", "becoming", "temporary", "probable", "probable temporary"]

CEILING_COVERS: tuple[Cover, ...] = ("broken", "overcast")  # what makes a ceiling: more than half the sky
COVER_OKTAS: dict[Cover, str] = {"few": "1-2", "scattered": "3-4", "broken": "5-7", "overcast": "8"}


@dataclass(frozen=True)
class Wind:
    """The motion of the air; with the gust speed and the spread of direction where they are reported.

    A wind reported as variable has no direction: its components are 0 and its speed stands in ``variable_m_per_s``.
    """

    east_m_per_s: float
    north_m_per_s: float
    gust_m_per_s: float | None = None
    variable_m_per_s: float | None = None
    spread_from_deg: float | None = None
    spread_to_deg: float | None = None

    @property
    def speed_m_per_s(self) -> float:
        """Speed [m/s], without the gusts."""
        if self.variable_m_per_s is not None:
            return self.variable_m_per_s
        return math.hypot(self.east_m_per_s, self.north_m_per_s)

    @property
    def from_deg(self) -> float | None:
        """True direction it blows from, above 0 to 360; None when calm or variable."""
        if self.east_m_per_s == 0.0 and self.north_m_per_s == 0.0:
            return None
        return math.degrees(math.atan2(-self.east_m_per_s, -self.north_m_per_s)) % 360.0 or 360.0


def wind_vector(from_deg: float, speed_m_per_s: float) -> tuple[float, float]:
    """Return the east and north components [m/s] of a wind that blows from a true direction."""
    direction = math.radians(from_deg)
    return -speed_m_per_s * math.sin(direction), -speed_m_per_s * math.cos(direction)


@dataclass(frozen=True)
class CloudLayer:
    """One layer of cloud as an aerodrome reports it: base above the aerodrome, top above mean sea level."""

    cover: Cover
    base_m: float
    top_m: float | None = None
    kind: str = ""  # CB | TCU | ""


@dataclass(frozen=True)
class WindLevel:
    """The wind at one level, given by its pressure altitude or by its pressure; the other is None."""

    pressure_altitude_m: float | None
    east_m_per_s: float
    north_m_per_s: float
    pressure_pa: float | None = None


@dataclass(frozen=True)
class TemperatureLevel:
    """The temperature at one level, given by its pressure altitude or by its pressure; the other is None."""

    pressure_altitude_m: float | None
    temperature_k: float
    pressure_pa: float | None = None


@dataclass(frozen=True)
class Sounding:
    """Forecast winds and temperatures above one point for one instant, lowest level first.

    Between the instants of two soundings over the same point they are interpolated; outside them a sounding is held,
    but only within its own period of use. Winds and temperatures have their own levels, as in the coded bulletins.
    """

    ident: str
    lat_deg: float
    lon_deg: float
    instant: datetime
    use_from: datetime
    use_to: datetime
    winds: tuple[WindLevel, ...]
    temperatures: tuple[TemperatureLevel, ...]
    source: str = ""


@dataclass(frozen=True)
class ForecastGroup:
    """One group of an aerodrome forecast: what is expected in its period; None is 'as before'."""

    kind: GroupKind
    start: datetime
    end: datetime
    wind: Wind | None = None
    visibility_m: float | None = None
    clouds: tuple[CloudLayer, ...] | None = None
    vertical_visibility_m: float | None = None
    weather: tuple[str, ...] | None = None  # () is 'no significant weather'
    probability_percent: int | None = None
    wind_shear: str = ""  # low-level wind shear in the coded words
    text: str = ""


@dataclass(frozen=True)
class SurfacePoint:
    """The weather at one place at one instant, observed or forecast; None or empty is 'not given'."""

    ident: str
    lat_deg: float
    lon_deg: float
    instant: datetime
    use_from: datetime
    use_to: datetime
    altimeter_setting_pa: float | None = None
    wind: Wind | None = None
    temperature_k: float | None = None
    dew_point_k: float | None = None
    visibility_m: float | None = None
    clouds: tuple[CloudLayer, ...] | None = None  # () is 'no cloud reported', None is 'not given'
    weather: tuple[str, ...] = ()  # present weather in the coded words, such as "-RA"
    vertical_visibility_m: float | None = None
    trend: tuple[ForecastGroup, ...] = ()  # the landing forecast at the end of an observation
    observed: bool = False
    raw: str = ""
    source: str = ""


@dataclass(frozen=True)
class AerodromeForecast:
    """An aerodrome forecast: the first group is the base, the others change it."""

    ident: str
    issued: datetime
    valid_from: datetime
    valid_to: datetime
    groups: tuple[ForecastGroup, ...]
    raw: str = ""
    source: str = ""


@dataclass(frozen=True)
class CloudSheet:
    """A sheet of cloud around a point for a time; base and top above mean sea level."""

    name: str
    lat_deg: float
    lon_deg: float
    radius_m: float
    cover: Cover
    base_m: float
    top_m: float
    use_from: datetime
    use_to: datetime
    source: str = ""


@dataclass(frozen=True)
class FreezingLevel:
    """A forecast freezing level over the whole area for a time; without one it is found from the temperatures."""

    pressure_altitude_m: float
    use_from: datetime
    use_to: datetime
    source: str = ""


@dataclass(frozen=True)
class Weather:
    """Everything one weather file says.

    ``reach_m`` is how far outside the figure spanned by the points the data may be used; ``outside_altitude`` and
    ``outside_time`` say what happens above, below, before and after them.
    """

    name: str
    issued: datetime
    valid_from: datetime
    valid_to: datetime
    reach_m: float
    soundings: tuple[Sounding, ...]
    surface: tuple[SurfacePoint, ...] = ()
    forecasts: tuple[AerodromeForecast, ...] = ()
    sheets: tuple[CloudSheet, ...] = ()
    freezing_levels: tuple[FreezingLevel, ...] = ()
    outside_altitude: Outside = "error"
    outside_time: Outside = "error"
    remarks: str = ""
    file: str = ""
    more_head_wind_m_per_s: float = 0.0  # a margin the mission asks for, against her on every line she flies
