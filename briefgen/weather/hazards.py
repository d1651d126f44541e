"""What the weather threatens: ice in the carburettor, ice on the airframe, cloud on the way, wind across the runway."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from enum import StrEnum

from briefgen.kernel.atmosphere import vapour_pressure
from briefgen.kernel.constants import FT_M, KELVIN_AT_0_DEGC
from briefgen.kernel.wind import RunwayWind, runway_wind, worst_runway_wind
from briefgen.kernel.wind import Wind as VectorWind
from briefgen.model.weather import CloudSheet, Weather, Wind
from briefgen.weather.near import Vector
from briefgen.weather.points import distance_m, unit_vector

# FAA-H-8083-25, Pilot's Handbook of Aeronautical Knowledge, induction systems: icing most likely below 70 degF with a
# relative humidity above 80 %, possible up to 100 degF with as little as 50 %. Seen in a quotation, not in the book.
LIKELY_BELOW_K = KELVIN_AT_0_DEGC + 21.0
LIKELY_ABOVE_HUMIDITY_RATIO = 0.8
POSSIBLE_UP_TO_K = KELVIN_AT_0_DEGC + 38.0
POSSIBLE_FROM_HUMIDITY_RATIO = 0.5
CARBURETTOR_SOURCE = (
    "FAA-H-8083-25, induction systems: likely below 21 degC above 80 % humidity, possible to 38 degC from 50 %"
)

# Common practice, no published source. It is told beside the band and never makes it milder.
NOT_USUAL_ABOVE_M = 12_000.0 * FT_M

# House band: two degrees above freezing leave room for an error of the forecast. No lower end, so that none is trusted.
AIRFRAME_AT_OR_BELOW_K = KELVIN_AT_0_DEGC + 2.0
AIRFRAME_SOURCE = "house band: cloud at +2 degC or colder"

FALLING = ("RA", "DZ", "SN", "SG", "PL", "GR", "GS", "UP")  # precipitation in the coded words
_EDGE_M = 1e-6  # an altitude worked out to be the base or top may miss it by round-off


class CarburettorIce(StrEnum):
    """The band of carburettor icing the air lies in, worst first."""

    LIKELY = "likely"
    POSSIBLE = "possible"
    IF_HUMID = "possible if humid"
    OUTSIDE = "outside the bands"


class AirframeIce(StrEnum):
    """Whether ice may form on the airframe, worst first."""

    EXPOSED = "exposed"
    WARM = "cloud, but warmer"
    DRY = "no cloud forecast"


class CloudRelation(StrEnum):
    """Where the aircraft is to a sheet of cloud."""

    IN = "in"
    ABOVE = "above"
    BELOW = "below"


def relative_humidity(temperature_k: float, dew_point_k: float) -> float:
    """Return the relative humidity over water, 0 to 1, of air of a temperature and dew point."""
    return vapour_pressure(dew_point_k) / vapour_pressure(temperature_k)


def wets_runway(words: Iterable[str]) -> bool:
    """Return whether one of the coded words of present weather is precipitation at the field itself, which wets a runway."""
    return any(code in word for word in words if not word.startswith("VC") for code in FALLING)


def carburettor_ice(temperature_k: float, humidity_ratio: float | None, *, in_cloud: bool = False) -> CarburettorIce:
    """Return the band of carburettor icing; cloud is saturated air, and unknown humidity is never taken for dry air.

    No band has a lower end of temperature here: the published sentences give none.
    """
    humidity = 1.0 if in_cloud else humidity_ratio
    if temperature_k > POSSIBLE_UP_TO_K:
        return CarburettorIce.OUTSIDE
    if humidity is None:
        return CarburettorIce.IF_HUMID
    if temperature_k < LIKELY_BELOW_K and humidity > LIKELY_ABOVE_HUMIDITY_RATIO:
        return CarburettorIce.LIKELY
    if humidity >= POSSIBLE_FROM_HUMIDITY_RATIO:
        return CarburettorIce.POSSIBLE
    return CarburettorIce.OUTSIDE


def airframe_ice(temperature_k: float, *, in_cloud: bool) -> AirframeIce:
    """Return whether ice may form on the airframe: cloud, or rain out of it, in air about freezing or colder."""
    if not in_cloud:
        return AirframeIce.DRY
    return AirframeIce.EXPOSED if temperature_k <= AIRFRAME_AT_OR_BELOW_K else AirframeIce.WARM


def is_under(sheet: CloudSheet, lat_deg: float, lon_deg: float, instant: datetime) -> bool:
    """Return whether a sheet covers a place at an instant, whatever the height there."""
    return _covers(sheet, unit_vector(lat_deg, lon_deg), instant)


def _covers(sheet: CloudSheet, here: Vector, instant: datetime) -> bool:
    if not sheet.use_from <= instant <= sheet.use_to:
        return False
    return distance_m(here, unit_vector(sheet.lat_deg, sheet.lon_deg)) <= sheet.radius_m


def sheets_at(weather: Weather, lat_deg: float, lon_deg: float, instant: datetime) -> tuple[CloudSheet, ...]:
    """Return the cloud sheets that cover a place at an instant."""
    here = unit_vector(lat_deg, lon_deg)
    return tuple([sheet for sheet in weather.sheets if _covers(sheet, here, instant)])


def relation_to(sheet: CloudSheet, altitude_m: float) -> CloudRelation:
    """Return where an altitude above mean sea level [m] is to a sheet; its base and top count as in it."""
    if altitude_m < sheet.base_m - _EDGE_M:
        return CloudRelation.BELOW
    return CloudRelation.ABOVE if altitude_m > sheet.top_m + _EDGE_M else CloudRelation.IN


def wind_on_runway(heading_true_deg: float, *winds: Wind) -> RunwayWind:
    """Return the wind on a runway: the means of the first wind, the worst of all, gusts and shifts included."""
    return worst_runway_wind([_one_on_runway(heading_true_deg, wind) for wind in winds])


def _one_on_runway(heading_true_deg: float, wind: Wind) -> RunwayWind:
    spread = (wind.spread_from_deg, wind.spread_to_deg)
    return runway_wind(
        heading_true_deg,
        VectorWind(wind.from_deg or 0.0, wind.speed_m_per_s),
        gust_m_per_s=wind.gust_m_per_s or 0.0,
        spread_deg=None if spread[0] is None or spread[1] is None else (spread[0], spread[1]),
        variable=wind.from_deg is None,  # variable, or gusts out of a calm: they may come from anywhere
    )
