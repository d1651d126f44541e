"""What pushes, lifts and drags an aircraft of the model kind on a runway: from its file to the terms of the kernel."""

from __future__ import annotations

import math
from functools import cached_property

from briefgen.aircraft.fields import Strip, surface_names
from briefgen.aircraft.flight_point import FlightPoint
from briefgen.aircraft.physics.airframe import AirframeSystem
from briefgen.aircraft.physics.powerplant import IntakeLevers, PowerPlant
from briefgen.aircraft.physics.thrust import PropellerSystem
from briefgen.errors import PlanError
from briefgen.frozen import replace
from briefgen.kernel.aerodynamics import (
    drag_coefficient,
    greatest_fin_moment,
    holding_drag,
    lift_coefficient,
    stalling_speed,
)
from briefgen.kernel.atmosphere import density, pressure_at_altitude, speed_of_sound
from briefgen.kernel.constants import AIR_GAS_CONSTANT_J_PER_KG_K, WATER_VAPOUR_GAS_CONSTANT_J_PER_KG_K
from briefgen.kernel.takeoff import Roll
from briefgen.kernel.wheels import displacement_drag_per_speed_squared, ground_effect_ratio, hydroplaning_speed
from briefgen.model.performance import Air
from briefgen.model.powerplant import AirframeConfiguration, Field, PhysicalModel, Surface

_THRUST_STEP_M_PER_S = 4.0  # the thrust curve bends so little that straight pieces keep to a thousandth
_THRUST_STEPS = 23  # to 92 m/s true airspeed; no run of this class is faster
_WATER_KG_PER_M3 = 1000.0
_INCH_M, _DEPTH_ROUND_OFF_M = 0.0254, 1e-6
COVERED_SURFACES = ("slush", "snow")  # words of a surface that lies under a depth of something
ROLLED = "compacted"  # snow that bears the wheels: no depth of it is displaced
_SLUSH_KG_PER_M3 = 850.0  # between wet snow and water: EASA AMC 25.1591, from memory


def air_density(air: Air) -> float:
    """Return the density of the air, lighter by the vapour in it [kg/m3]."""
    lightness = 1.0 - AIR_GAS_CONSTANT_J_PER_KG_K / WATER_VAPOUR_GAS_CONSTANT_J_PER_KG_K
    pressure_pa = pressure_at_altitude(air.pressure_altitude_m) - lightness * air.vapour_pressure_pa
    return density(pressure_pa, air.temperature_k)


def surface_of(field: Field, strip: Strip) -> Surface:
    """Return the surface of the aircraft file a runway stands for, wet or dry as it is.

    Raises:
        PlanError: The aircraft file says nothing about that surface.
    """
    by_name = {surface.name: surface for surface in field.surfaces}
    names = surface_names(strip)
    for name in names:
        if name in by_name:
            return _not_too_deep(by_name[name], strip)
    raise PlanError(
        f"runway {strip.runway.name} is '{names[0]}', and the aircraft file has no such surface",
        expected=f"one of: {', '.join(by_name)}",
        hint="write the runway's surface as one of these, or add the surface to the aircraft file",
    )


def _not_too_deep(surface: Surface, strip: Strip) -> Surface:
    depth_m, greatest_m = strip.runway.depth_m, surface.greatest_depth_m
    if greatest_m is not None and depth_m > greatest_m + _DEPTH_ROUND_OFF_M:
        raise PlanError(
            f"{depth_m / _INCH_M:.2g} in stands on runway {strip.runway.name} ({surface.name}), deeper than the aircraft file allows",
            expected=f"at most {greatest_m / _INCH_M:.2g} in",
            hint="wait until it is cleared, or use another runway",
        )
    return surface


class StripForces:
    """The forces on one model aircraft on one strip, ready for runs at any mass."""

    def __init__(
        self, model: PhysicalModel, engines: int, plant: PowerPlant, strip: Strip, cowl_flaps: str | None
    ) -> None:
        """Take a model with its cowl flaps in a position for take-off; None where she has none."""
        self.model, self.engines, self.plant, self.strip = model, engines, plant, strip
        self.field = model.field
        self.surface = surface_of(self.field, strip)
        self.density_kg_per_m3 = air_density(strip.air)
        self.fluid_drag_kg_per_m = self._fluid_drag()
        self._airframe = AirframeSystem(model.airframe, model.propeller, engines)
        self._propeller = PropellerSystem(model.propeller, model.engine.gear_ratio)
        self._aspect_ratio = model.airframe.wing_span_m**2 / model.airframe.wing_area_m2
        open_m2 = 0.0 if cowl_flaps is None else model.airframe.cowl_flap_drag_area_m2[cowl_flaps]
        self._hanging_m2 = model.airframe.gear_drag_area_m2 + open_m2
        self._thrust = self._thrust_curve()

    # --- thrust ------------------------------------------------------------------------------------------------------

    def thrust(self, tas_m_per_s: float) -> float:
        """Return the take-off thrust of one engine [N]; against a tail wind not yet outrun, that of standing still.

        Straight between points of the curve. Beyond its last point the last piece goes on: thrust there falls less.
        """
        place = max(tas_m_per_s, 0.0) / _THRUST_STEP_M_PER_S
        index = min(int(place), _THRUST_STEPS - 1)
        low, high = self._thrust[index], self._thrust[index + 1]
        return low + (high - low) * (place - index)

    def _thrust_curve(self) -> tuple[float, ...]:
        """Return the thrust at evenly spaced speeds; blades that unstall give it a bend no one polynomial follows."""
        return tuple(self.thrust_at(_THRUST_STEP_M_PER_S * step) for step in range(_THRUST_STEPS + 1))

    def thrust_at(self, tas_m_per_s: float) -> float:
        """Return the take-off thrust of one engine at a speed, straight from engine and propeller [N]."""
        rating = self.plant.grade.take_off
        point = _point_at(self.strip.air, self.density_kg_per_m3, tas_m_per_s)
        breath = self.plant.breath(point, IntakeLevers(filters_on=True))
        available_pa = self.plant.available(breath, rating.engine_speed_rpm).manifold_pressure_pa
        manifold_pa = min(rating.manifold_pressure_pa, available_pa)
        power_w = self.plant.power(breath, rating.engine_speed_rpm, manifold_pa, rating.mixture)
        return self._propeller.thrust(power_w, point, rating.engine_speed_rpm)

    # --- speeds ------------------------------------------------------------------------------------------------------

    def configuration(self, name: str) -> AirframeConfiguration:
        """Return a flap setting of the aircraft file by name."""
        return self._airframe.configuration(name)

    def stall(self, mass_kg: float, configuration: AirframeConfiguration) -> float:
        """Return the stalling speed, power off, as a true airspeed [m/s]."""
        wing = self.model.airframe.wing_area_m2
        return stalling_speed(mass_kg, self.density_kg_per_m3, wing, configuration.greatest_lift)

    # --- rolling and flying ------------------------------------------------------------------------------------------

    def roll(self, mass_kg: float, angle_deg: float, configuration: AirframeConfiguration) -> Roll:
        """Return her on her wheels in an attitude of the wing, brakes off."""
        airframe = self.model.airframe
        lift = airframe.lift_slope_per_deg * (angle_deg - airframe.zero_lift_angle_deg) + configuration.lift_increment
        # Near the ground the wing pays less for its lift; without a height in the file that help is not counted.
        height_m = self.field.wing_height_m
        relief = ground_effect_ratio(height_m, airframe.wing_span_m) if height_m else 1.0
        return Roll(
            mass_kg=mass_kg,
            density_kg_per_m3=self.density_kg_per_m3,
            lift_area_m2=lift * airframe.wing_area_m2,
            drag_area_m2=self._drag_area(lift * math.sqrt(relief), configuration),
            friction=self.surface.rolling,
            slope_ratio=self.strip.runway.slope_ratio,
            headwind_m_per_s=self.strip.headwind_m_per_s,
            thrust_angle_deg=angle_deg,
            fluid_drag_kg_per_m=self.fluid_drag_kg_per_m,
        )

    def braked(self, roll: Roll) -> Roll:
        """Return her with the brakes on: the braked wheels carry their share of the load, engines at idle.

        The drag of water or slush is not counted on: it may have been blown or rolled aside where she needs it.
        """
        share = self.field.main_wheel_share_ratio
        friction = share * self.surface.braking + (1.0 - share) * self.surface.rolling
        return replace(roll, friction=friction, thrust_angle_deg=0.0, fluid_drag_kg_per_m=0.0)

    def unbraked(self, roll: Roll) -> Roll:
        """Return her rolling free with the engines at idle, no help from water or slush counted on."""
        return replace(roll, thrust_angle_deg=0.0, fluid_drag_kg_per_m=0.0)

    def drag(self, mass_kg: float, tas_m_per_s: float, configuration: AirframeConfiguration) -> float:
        """Return the drag in flight just off the ground, gear down, without ground effect [N]."""
        pressure_pa = 0.5 * self.density_kg_per_m3 * tas_m_per_s**2
        lift = lift_coefficient(mass_kg, pressure_pa, self.model.airframe.wing_area_m2)
        return pressure_pa * self._drag_area(lift, configuration)

    def failed_drag(self, thrust_n: float, tas_m_per_s: float) -> float:
        """Return the drag [N] of one failed engine, windmilling, and of holding her straight against the others' thrust.

        Below the speed at which the fin alone holds her the wheels do the rest.
        """
        pressure_pa = 0.5 * self.density_kg_per_m3 * tas_m_per_s * tas_m_per_s
        windmilling_n = pressure_pa * self.model.propeller.windmilling_drag_area_m2
        if pressure_pa <= 0.0:
            return windmilling_n
        airframe = self.model.airframe
        moment_n_m = min(
            (thrust_n + windmilling_n) * self._failed_arm_m,
            greatest_fin_moment(pressure_pa, airframe.fin_area_m2, airframe.fin_arm_m),
        )
        return windmilling_n + holding_drag(moment_n_m, pressure_pa, airframe.fin_height_m, airframe.fin_arm_m)

    @cached_property
    def _failed_arm_m(self) -> float:
        """Return the arm of the one engine whose failure yaws her most [m]."""
        arms = [
            one.yawing_arm_m
            for one in self.model.engine_configurations
            if one.configuration.running == self.engines - 1
        ]
        if not arms:
            raise PlanError(
                "the aircraft file has no configuration with one engine stopped",
                expected="the yawing arm of one stopped engine",
            )
        return max(arms)

    def brake_limit_ground_speed(self, *, rotating: bool) -> float:
        """Return the ground speed above which brakes find no hold on water; infinite without water [m/s]."""
        if self.strip.runway.depth_m <= 0.0:
            return math.inf
        if self.field.tyre_pressure_pa is None:
            raise self._missing("the tyre pressure")
        return hydroplaning_speed(self.field.tyre_pressure_pa, rotating=rotating)

    def _drag_area(self, lift: float, configuration: AirframeConfiguration) -> float:
        airframe = self.model.airframe
        wing = drag_coefficient(lift, airframe.zero_lift_drag, self._aspect_ratio, airframe.span_efficiency_ratio)
        return wing * airframe.wing_area_m2 + configuration.drag_area_m2 + self._hanging_m2

    def _fluid_drag(self) -> float:
        depth_m, surface = self.strip.runway.depth_m, self.strip.runway.surface
        if depth_m <= 0.0:
            if ROLLED not in surface and any(word in surface for word in COVERED_SURFACES):
                raise PlanError(
                    f"runway {self.strip.runway.name} is '{surface}', and its depth is not given",
                    expected="the depth of what lies on the runway, such as 6 mm",
                    hint="without a depth its drag is not known; ask the aerodrome, or wait until the runway is cleared",
                )
            return 0.0
        if self.field.tyre_width_m is None or self.field.main_wheels is None:
            raise self._missing("the width and number of the main wheels")
        fluid = _SLUSH_KG_PER_M3 if surface == "slush" else _WATER_KG_PER_M3
        return displacement_drag_per_speed_squared(depth_m, self.field.tyre_width_m, self.field.main_wheels, fluid)

    def _missing(self, what: str) -> PlanError:
        return PlanError(
            f"runway {self.strip.runway.name} has standing water or slush, and the aircraft file does not give {what}",
            expected=f"{what} in the aircraft file's field section",
            hint="without them the run in water cannot be worked out",
        )


def _point_at(air: Air, density_kg_per_m3: float, tas_m_per_s: float) -> FlightPoint:
    """Return the point of flight of a roll; indicated and calibrated speeds have no meaning near standing still."""
    return FlightPoint(
        air=air,
        pressure_pa=pressure_at_altitude(air.pressure_altitude_m),
        density_kg_per_m3=density_kg_per_m3,
        ias_m_per_s=math.nan,
        cas_m_per_s=math.nan,
        tas_m_per_s=tas_m_per_s,
        mach=tas_m_per_s / speed_of_sound(air.temperature_k),
    )
