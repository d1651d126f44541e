"""The weather a mission is planned on, as observed and forecast; pure data, every instant in UTC.

Winds are stored as the vector the air moves along, east and north; directions as reported (from which it blows, true)
are met only where text is read and written. Heights aloft are pressure altitudes; cloud bases of a report are above its
aerodrome, as the reports give them; tops and sheets are above mean sea level.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Outside = Literal["error", "hold"]
Cover = Literal["few", "scattered", "broken", "overcast"]
GroupKind = Literal["base", "from", "becoming", "temporary", "probable", "probable temporary"]

CEILING_COVERS: tuple[Cover, ...] = ("broken", "overcast")  # what makes a ceiling: more than half the sky
COVER_OKTAS: dict[Cover, str] = {"few": "1-2", "scattered": "3-4", "broken": "5-7", "overcast": "8"}


@dataclass(frozen=True)
class Wind:
    """The motion of the air, and the gust speed and the spread of direction where reported."""

    east_m_per_s: float
    north_m_per_s: float
    gust_m_per_s: float | None = None
    variable: bool = False  # no direction given: the components are 0, the speed stands in `speed_m_per_s`
    speed_m_per_s: float = 0.0
    variable_from_deg: float | None = None
    variable_to_deg: float | None = None


@dataclass(frozen=True)
class CloudLayer:
    """One layer of cloud as an aerodrome reports it: base above the aerodrome, top above mean sea level."""

    cover: Cover
    base_m: float
    top_m: float | None = None
    kind: str = ""  # CB | TCU | ""


@dataclass(frozen=True)
class WindLevel:
    """The wind at one pressure altitude."""

    pressure_altitude_m: float
    east_m_per_s: float
    north_m_per_s: float


@dataclass(frozen=True)
class TemperatureLevel:
    """The temperature at one pressure altitude."""

    pressure_altitude_m: float
    temperature_k: float


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
    observed: bool = False
    raw: str = ""
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
    altimeter_setting_pa: float | None = None
    text: str = ""


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

    ``reach_m`` is how far outside the figure spanned by the points the data may be used; ``outside_height`` and
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
    outside_height: Outside = "error"
    outside_time: Outside = "error"
    remarks: str = ""
    file: str = ""
