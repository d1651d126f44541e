"""Drag and stalling speed of the aeroplane in a configuration of flaps, gear, cowl flaps and stopped engines."""

from __future__ import annotations

from briefgen.aircraft.flight_point import FlightPoint
from briefgen.errors import OutOfRangeError
from briefgen.kernel.aerodynamics import (
    balancing_thrust,
    drag_coefficient,
    holding_drag,
    lift_coefficient,
    load_factor,
    stalling_speed,
)
from briefgen.kernel.constants import SEA_LEVEL_DENSITY_KG_PER_M3
from briefgen.model.handling import HotDayCowlFlaps
from briefgen.model.powerplant import Airframe, AirframeConfiguration, Propeller, StoppedEngines

OPENING_BAND_K = 3.0  # over so many degrees before a hot day of the file the cowl flaps come open
_ROUND_OFF_K = 1e-6  # a deviation is a difference of two temperatures


class AirframeSystem:
    """The aeroplane without its engines' power."""

    def __init__(self, airframe: Airframe, propeller: Propeller, engines: int) -> None:
        self.airframe = airframe
        self._engines = engines
        self._propeller = propeller
        self._aspect_ratio = airframe.wing_span_m**2 / airframe.wing_area_m2
        self._configurations = {one.name: one for one in airframe.configurations}

    def configuration(self, name: str) -> AirframeConfiguration:
        """Return a configuration of the file by name."""
        try:
            return self._configurations[name]
        except KeyError:
            raise OutOfRangeError(
                f"the aircraft file has no configuration '{name}'", expected=" or ".join(self._configurations)
            ) from None

    def opening_drag_area(self, position: str | None, hot_day: HotDayCowlFlaps | None, isa_deviation_k: float) -> float:
        """Return the drag area [m2] of cowl flaps on their way to the position of a hot day, on top of that of the position.

        The temperature of the file is a step; engines warm gradually and the flaps are opened as they do. So drag rises
        evenly over the three degrees before the step, on the safe side of it: one degree at the step no longer moves a
        ceiling by thousands of feet, and from the step on nothing changes.
        """
        if position is None or hot_day is None:
            return 0.0
        areas, short_k = self.airframe.cowl_flap_drag_area_m2, hot_day.isa_deviation_from_k - isa_deviation_k
        if not _ROUND_OFF_K < short_k < OPENING_BAND_K:
            return 0.0
        return max(0.0, areas[hot_day.position] - areas[position]) * (1.0 - short_k / OPENING_BAND_K)

    def extra_drag_area(
        self, configuration: str, stopped: StoppedEngines, cowl_flaps: str | None, *, gear_down: bool = False
    ) -> float:
        """Return the drag area [m2] on top of the clean polar; that of holding her straight follows the thrust."""
        feathered = self._engines - stopped.configuration.running
        return (
            self.configuration(configuration).drag_area_m2
            + (0.0 if cowl_flaps is None else self.airframe.cowl_flap_drag_area_m2[cowl_flaps])
            + feathered * self._propeller.feathered_drag_area_m2
            + (self.airframe.gear_drag_area_m2 if gear_down else 0.0)
        )

    def thrust_for(self, resistance_n: float, point: FlightPoint, stopped: StoppedEngines) -> float:
        """Return the thrust of each running engine [N] that balances a resistance and the drag of flying straight.

        Raises:
            OutOfRangeError: Holding her straight costs more than the engines give.
        """
        airframe = self.airframe
        return balancing_thrust(
            resistance_n,
            stopped.configuration.running,
            stopped.yawing_arm_m,
            self._feathered_drag(point),
            point.dynamic_pressure_pa,
            airframe.fin_height_m,
            airframe.fin_arm_m,
        )

    def straight_drag(self, thrust_n: float, point: FlightPoint, stopped: StoppedEngines) -> float:
        """Return the drag of flying straight [N] with a thrust of each running engine and the others feathered."""
        moment_n_m = (thrust_n + self._feathered_drag(point)) * stopped.yawing_arm_m
        return holding_drag(moment_n_m, point.dynamic_pressure_pa, self.airframe.fin_height_m, self.airframe.fin_arm_m)

    def _feathered_drag(self, point: FlightPoint) -> float:
        return point.dynamic_pressure_pa * self._propeller.feathered_drag_area_m2

    def drag(self, mass_kg: float, point: FlightPoint, extra_drag_area_m2: float, bank_deg: float = 0.0) -> float:
        """Return the drag [N] of level flight at a point, that of holding her straight left out."""
        airframe = self.airframe
        pressure_pa = point.dynamic_pressure_pa
        lift = lift_coefficient(mass_kg, pressure_pa, airframe.wing_area_m2, load_factor(bank_deg))
        drag = drag_coefficient(lift, airframe.zero_lift_drag, self._aspect_ratio, airframe.span_efficiency_ratio)
        return pressure_pa * (airframe.wing_area_m2 * drag + extra_drag_area_m2)

    def stall_equivalent_airspeed(self, mass_kg: float, configuration: str, bank_deg: float = 0.0) -> float:
        """Return the stalling speed, power off, as equivalent airspeed [m/s]."""
        greatest_lift = self.configuration(configuration).greatest_lift
        return stalling_speed(
            mass_kg, SEA_LEVEL_DENSITY_KG_PER_M3, self.airframe.wing_area_m2, greatest_lift, load_factor(bank_deg)
        )
