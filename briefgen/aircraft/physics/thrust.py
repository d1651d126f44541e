"""The propeller between engine and air: thrust from power and power from thrust at a point of flight."""

from __future__ import annotations

import math
from collections.abc import Callable

from briefgen.aircraft.flight_point import FlightPoint
from briefgen.kernel.propeller import power_coefficient, thrust_coefficient
from briefgen.model.powerplant import Propeller

_SECONDS_PER_MINUTE = 60.0


class PropellerSystem:
    """One propeller on its gear."""

    def __init__(self, propeller: Propeller, gear_ratio: float) -> None:
        self._turns_per_rpm = gear_ratio / _SECONDS_PER_MINUTE
        self._diameter_m = propeller.diameter_m
        self._installed_ratio = propeller.installed_ratio
        self._blade = (
            propeller.blade_area_ratio,
            propeller.profile_drag,
            propeller.profile_drag_rise,
            propeller.design_lift,
            propeller.induced_ratio,
        )
        self.disk_area_m2 = math.pi * propeller.diameter_m**2 / 4.0

    def power_for(self, thrust_n: float, point: FlightPoint) -> Callable[[float], float]:
        """Return the shaft power [W] that gives a thrust, closed form, as a function of engine speed [rpm]."""
        alone_n = thrust_n / self._installed_ratio
        density_kg_per_m3, tas_m_per_s = point.density_kg_per_m3, point.tas_m_per_s
        turns_per_rpm, diameter_m, blade = self._turns_per_rpm, self._diameter_m, self._blade

        def power(engine_speed_rpm: float) -> float:
            tip = engine_speed_rpm * turns_per_rpm * diameter_m
            scale_n = density_kg_per_m3 * tip * tip * diameter_m * diameter_m
            return power_coefficient(alone_n / scale_n, tas_m_per_s / tip, *blade) * scale_n * tip

        return power

    def thrust(self, power_w: float, point: FlightPoint, engine_speed_rpm: float) -> float:
        """Return the thrust [N] that a shaft power gives, by iteration."""
        turns = engine_speed_rpm * self._turns_per_rpm
        tip = turns * self._diameter_m
        scale_n = point.density_kg_per_m3 * tip * tip * self._diameter_m * self._diameter_m
        alone_n = thrust_coefficient(power_w / (scale_n * tip), point.tas_m_per_s / tip, *self._blade) * scale_n
        return alone_n * self._installed_ratio
