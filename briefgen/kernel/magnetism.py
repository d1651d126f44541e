"""The magnetic compass: variation from the World Magnetic Model, and what variation and deviation do to a direction.

Variation and deviation are east positive: true = magnetic + variation, magnetic = compass + deviation.
"""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any, Literal

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.kernel.geodesy import normalised_course, normalised_longitude
from briefgen.kernel.limits import number_text, require_within

MODEL = "WMM2025"
FIRST_YEAR = 2025.0  # WMM2025 coefficient file: epoch
LAST_YEAR = 2030.0  # WMM2025 readme, NOAA NCEI: valid 2025.0 to 2030.0
LOWEST_HEIGHT_M = -1000.0  # WMM2025 technical report: 1 km below to 850 km above the ellipsoid
HIGHEST_HEIGHT_M = 850000.0
# WMM2025 technical report: the compass is not to be relied on below the first, is doubtful below the second.
BLACKOUT_HORIZONTAL_INTENSITY_NT = 2000.0
CAUTION_HORIZONTAL_INTENSITY_NT = 6000.0
# WMM2025 technical report, error model of the declination: sqrt(0.26^2 + (5417/H)^2) degrees, H in nT.
_VARIATION_ERROR_DEG = 0.26
_VARIATION_ERROR_DEG_NT = 5417.0

CompassZone = Literal["normal", "caution", "blackout"]


@dataclass(frozen=True)
class MagneticField:
    """The magnetic field at a place and date.

    Attributes:
        variation_deg: Variation (declination) [deg], east positive.
        inclination_deg: Inclination (dip) [deg], down positive.
        horizontal_intensity_nt: Horizontal intensity [nT].
        zone: Whether the horizontal field is strong enough for a compass.
        variation_error_deg: One standard deviation of the model's variation [deg].
    """

    variation_deg: float
    inclination_deg: float
    horizontal_intensity_nt: float
    zone: CompassZone
    variation_error_deg: float


@cache
def _model() -> Any:
    from pygeomag import GeoMag
    from pygeomag.wmm.wmm_2025 import WMM_2025

    return GeoMag(coefficients_data=WMM_2025)


def decimal_year(day: date) -> float:
    """Return a date, or a date and time, as a year and its fraction.

    Args:
        day: The date, at its beginning, or the date and time, in UTC.

    Returns:
        Decimal year [-].

    Source:
        World Magnetic Model technical report: the fraction is of the actual length of the year.
    """
    elapsed = timedelta(days=day.toordinal() - date(day.year, 1, 1).toordinal())
    if isinstance(day, datetime):
        elapsed += timedelta(hours=day.hour, minutes=day.minute, seconds=day.second)
    length = date(day.year + 1, 1, 1) - date(day.year, 1, 1)
    return day.year + elapsed / length


def magnetic_field(latitude_deg: float, longitude_deg: float, height_m: float, year: float) -> MagneticField:
    """Return the magnetic field at a place and date.

    Args:
        latitude_deg: Latitude [deg].
        longitude_deg: Longitude [deg], any.
        height_m: Height above the WGS 84 ellipsoid [m], -1,000 to 850,000; an altitude above mean sea level makes no
            difference that matters to a compass.
        year: Decimal year [-], 2025.0 to 2030.0.

    Returns:
        The field.

    Raises:
        OutOfRangeError: A value lies outside its range; the model is not continued beyond its years.

    Source:
        World Magnetic Model 2025, NOAA NCEI and British Geological Survey, through pygeomag.
    """
    require_within("latitude", latitude_deg, -90.0, 90.0, "deg")
    require_within("height", height_m, LOWEST_HEIGHT_M, HIGHEST_HEIGHT_M, "m")
    require_within(f"decimal year of the magnetic model {MODEL}", year, FIRST_YEAR, LAST_YEAR)
    field = _model().calculate(
        glat=latitude_deg, glon=normalised_longitude(longitude_deg), alt=height_m / 1000.0, time=year
    )
    horizontal_nt = float(field.h)
    zone: CompassZone = "normal"
    if horizontal_nt < BLACKOUT_HORIZONTAL_INTENSITY_NT:
        zone = "blackout"
    elif horizontal_nt < CAUTION_HORIZONTAL_INTENSITY_NT:
        zone = "caution"
    error_deg = math.hypot(_VARIATION_ERROR_DEG, _VARIATION_ERROR_DEG_NT / horizontal_nt)
    return MagneticField(float(field.d), float(field.i), horizontal_nt, zone, error_deg)


def magnetic_variation_deg(latitude_deg: float, longitude_deg: float, height_m: float, year: float) -> float:
    """Return the magnetic variation at a place and date where a compass can be used.

    Args:
        latitude_deg: Latitude [deg].
        longitude_deg: Longitude [deg], any.
        height_m: Height above the WGS 84 ellipsoid [m], -1,000 to 850,000.
        year: Decimal year [-], 2025.0 to 2030.0.

    Returns:
        Variation [deg], east positive.

    Raises:
        OutOfRangeError: A value lies outside its range, or the place is in the blackout zone round a magnetic pole.

    Source:
        World Magnetic Model 2025, NOAA NCEI and British Geological Survey, through pygeomag.
    """
    field = magnetic_field(latitude_deg, longitude_deg, height_m, year)
    if field.zone == "blackout":
        raise OutOfRangeError(
            f"no magnetic variation is given at latitude {number_text(latitude_deg)}, longitude "
            f"{number_text(longitude_deg)} deg: the horizontal field is {field.horizontal_intensity_nt:,.0f} nT",
            expected=f"a horizontal field of {BLACKOUT_HORIZONTAL_INTENSITY_NT:,.0f} nT or more",
            hint="steer by true heading here",
        )
    return field.variation_deg


def true_to_magnetic(true_deg: float, variation_deg: float) -> float:
    """Return a magnetic direction from a true one.

    Args:
        true_deg: Direction from true north [deg].
        variation_deg: Magnetic variation [deg], east positive.

    Returns:
        Direction from magnetic north [deg], from 0 up to but not including 360.

    Source:
        Definition of variation.
    """
    return normalised_course(true_deg - variation_deg)


def magnetic_to_true(magnetic_deg: float, variation_deg: float) -> float:
    """Return a true direction from a magnetic one.

    Args:
        magnetic_deg: Direction from magnetic north [deg].
        variation_deg: Magnetic variation [deg], east positive.

    Returns:
        Direction from true north [deg], from 0 up to but not including 360.

    Source:
        Definition of variation.
    """
    return normalised_course(magnetic_deg + variation_deg)


def magnetic_to_compass(magnetic_deg: float, deviation_deg: float) -> float:
    """Return the compass heading to steer for a magnetic heading.

    Args:
        magnetic_deg: Magnetic heading [deg].
        deviation_deg: Deviation of the compass on that heading [deg], east positive.

    Returns:
        Compass heading [deg], from 0 up to but not including 360.

    Source:
        Definition of deviation.
    """
    return normalised_course(magnetic_deg - deviation_deg)
