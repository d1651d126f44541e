"""One point of flight: the air, the three airspeeds and what follows from them."""

from __future__ import annotations

from typing import NamedTuple

from briefgen.aircraft.words import speed_words
from briefgen.errors import OutOfRangeError
from briefgen.kernel.airspeed import calibrated_from_true, mach_from_calibrated, true_from_mach
from briefgen.kernel.atmosphere import density, pressure_at_altitude, standard_temperature
from briefgen.kernel.constants import TEMPERATURE_LAPSE_K_PER_M, TROPOPAUSE_ALTITUDE_M
from briefgen.kernel.interpolate import Axis, Curve
from briefgen.model.curves import Curve as CurveTable
from briefgen.model.performance import Air

_GRADIENT_STEP_M = 30.0  # height step for the change of true airspeed; the curve is smooth on this scale


class FlightPoint(NamedTuple):
    """Air and speeds of one point of flight."""

    air: Air
    pressure_pa: float
    density_kg_per_m3: float
    ias_m_per_s: float
    cas_m_per_s: float
    tas_m_per_s: float
    mach: float

    @property
    def dynamic_pressure_pa(self) -> float:
        """Dynamic pressure [Pa]."""
        return 0.5 * self.density_kg_per_m3 * self.tas_m_per_s * self.tas_m_per_s


def curve_of(table: CurveTable, argument_unit: str = "", value_unit: str = "") -> Curve:
    """Return a table of an aircraft file as a curve that can be read."""
    return Curve(Axis(table.argument, argument_unit, table.x), table.value, value_unit, table.y)


class AirspeedSystem:
    """The aircraft's airspeed indicator: indicated to calibrated by the position-error table, and on to true."""

    def __init__(self, calibrated_by_indicated: CurveTable) -> None:
        self._calibrated = curve_of(calibrated_by_indicated, "m/s", "m/s")
        self.lowest_ias_m_per_s = calibrated_by_indicated.x[0]
        self.highest_ias_m_per_s = calibrated_by_indicated.x[-1]

    def calibrated(self, ias_m_per_s: float) -> float:
        """Return calibrated airspeed [m/s]; outside the table there is none."""
        if not self.lowest_ias_m_per_s <= ias_m_per_s <= self.highest_ias_m_per_s:
            raise OutOfRangeError(
                f"indicated airspeed {speed_words(ias_m_per_s)} is outside the airspeed table of the aircraft file",
                expected=f"{speed_words(self.lowest_ias_m_per_s)} to {speed_words(self.highest_ias_m_per_s)}",
            )
        return self._calibrated.at(ias_m_per_s)

    def indicated(self, cas_m_per_s: float) -> float:
        """Return indicated airspeed [m/s]; outside the table there is none."""
        low, high = self._calibrated.y[0], self._calibrated.y[-1]
        if not low <= cas_m_per_s <= high:
            raise OutOfRangeError(
                f"calibrated airspeed {speed_words(cas_m_per_s)} is outside the airspeed table of the aircraft file",
                expected=f"{speed_words(low)} to {speed_words(high)}",
            )
        return self._calibrated.inverse_at(cas_m_per_s)

    def at_indicated(self, air: Air, ias_m_per_s: float) -> FlightPoint:
        """Return the point of flight at an indicated airspeed."""
        pressure_pa = pressure_at_altitude(air.pressure_altitude_m)
        cas_m_per_s = self.calibrated(ias_m_per_s)
        mach = mach_from_calibrated(cas_m_per_s, air.pressure_altitude_m)
        return FlightPoint(
            air=air,
            pressure_pa=pressure_pa,
            density_kg_per_m3=density(pressure_pa, air.temperature_k),
            ias_m_per_s=ias_m_per_s,
            cas_m_per_s=cas_m_per_s,
            tas_m_per_s=true_from_mach(mach, air.temperature_k),
            mach=mach,
        )

    def indicated_from_true(self, air: Air, tas_m_per_s: float) -> float:
        """Return the indicated airspeed [m/s] of a true airspeed."""
        return self.indicated(calibrated_from_true(tas_m_per_s, air.pressure_altitude_m, air.temperature_k))

    def true_airspeed_gradient(self, point: FlightPoint) -> float:
        """Return the change of true airspeed with pressure altitude [1/s] at constant indicated airspeed."""
        lapse_k_per_m = TEMPERATURE_LAPSE_K_PER_M if point.air.pressure_altitude_m < TROPOPAUSE_ALTITUDE_M else 0.0
        higher_m = point.air.pressure_altitude_m + _GRADIENT_STEP_M
        temperature_k = point.air.temperature_k + lapse_k_per_m * _GRADIENT_STEP_M
        mach = mach_from_calibrated(point.cas_m_per_s, higher_m)
        return (true_from_mach(mach, temperature_k) - point.tas_m_per_s) / _GRADIENT_STEP_M


def isa_deviation(air: Air) -> float:
    """Return the departure of the temperature from the standard at this pressure altitude [K]."""
    return air.temperature_k - standard_temperature(air.pressure_altitude_m)
