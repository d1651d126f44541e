"""One engine and its propeller on one grade of fuel: what it may do, what it gives, what it burns."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from briefgen.aircraft.flight_point import FlightPoint, curve_of
from briefgen.aircraft.words import height_words, temperature_words
from briefgen.errors import PlanError
from briefgen.kernel.engine import (
    brake_power,
    charge_temperature_ratio,
    compressed_air_temperature,
    compressor_pressure_ratio,
    friction_mean_effective_pressure,
    geared_blower_ratio,
    intake_pressure,
    mean_effective_pressure,
)
from briefgen.kernel.interpolate import Curve
from briefgen.model.handling import MixtureSettings
from briefgen.model.performance import Mixture
from briefgen.model.powerplant import Engine, FuelGrade, Turbo

_MANIFOLD_TOLERANCE_PA = 0.5
_MOST_STEPS = 40
_WITH_TURBO = ("full boost of the turbo", "regulated deck pressure of the turbo", "carburettor air temperature")
_WITHOUT_TURBO = ("full throttle",)


class Breath(NamedTuple):
    """What one engine breathes at one point of flight, with its filters, intercooler and carburettor heat as they are set."""

    ambient_pa: float
    intake_pa: float
    temperature_k: float  # of the air drawn in, carburettor heat counted
    dry_ratio: float  # part of the charge that is not water vapour
    filters_on: bool
    heat_on: bool  # carburettor heat
    shutters_hot: bool  # the intercooler's, as far as the air wants warming
    hottest_ratio: float  # deck over intake pressure at which the carburettor air limit is met, intercooler cold


class IntakeLevers(NamedTuple):
    """How the levers ahead of the carburettor are set: filters in use, intercooler shutters hot, carburettor heat on."""

    filters_on: bool
    shutters_hot: bool = False
    heat_on: bool = False


class Ceiling(NamedTuple):
    """The highest manifold pressure permitted or to be had at one engine speed, and what sets it."""

    manifold_pressure_pa: float
    limit: str


class PowerPlant:
    """One engine on one grade of fuel."""

    def __init__(
        self,
        engine: Engine,
        grade: FuelGrade,
        minimum_engine_speed_rpm: float,
        kept_to_k: float,
        mixture_settings: MixtureSettings,
    ) -> None:
        """Take an engine on a grade; air that is warmed against ice is warmed no further than to `kept_to_k`."""
        self._mixture_settings = mixture_settings
        self.engine = engine
        self.grade = grade
        self._warmest_k = min(kept_to_k, grade.carburettor_air_temperature_limit_k)
        self.minimum_engine_speed_rpm = minimum_engine_speed_rpm
        self._lean = curve_of(grade.lean_manifold_pressure_pa_by_engine_speed_rpm, "rpm", "Pa")
        self._rich = curve_of(grade.rich_manifold_pressure_pa_by_engine_speed_rpm, "rpm", "Pa")
        self._rich_ratio = curve_of(engine.consumption.rich_ratio_by_power_ratio)
        turbo = engine.turbo
        self._turbo_ratio = curve_of(turbo.pressure_ratio_by_engine_speed_rpm, "rpm") if turbo else None
        # The losses of the intake hold at the airflow of take-off; engine speed times manifold pressure stands for airflow.
        self._gain_at = (0.0, 0.0)  # the engine speed last asked for, and its blower gain
        self._take_off_airflow = grade.take_off.engine_speed_rpm * grade.take_off.manifold_pressure_pa

    def highest_engine_speed(self, mixture: Mixture) -> float:
        """Return the highest engine speed [rpm] permitted without time limit on a mixture."""
        return self._limits(mixture).x.values[-1]

    def breath(self, point: FlightPoint, levers: IntakeLevers) -> Breath:
        """Return what the engine breathes at a point of flight.

        Heat is put on as far as the air wants warming; a door that stands half open is counted to cost as much as an open one.

        Raises:
            PlanError: The outside air alone is hotter than the carburettors may draw it on this grade.
        """
        limit_k = self.grade.carburettor_air_temperature_limit_k
        if point.air.temperature_k > limit_k:
            raise PlanError(
                f"the outside air is {temperature_words(point.air.temperature_k)} at "
                f"{height_words(point.air.pressure_altitude_m)}, hotter than the carburettors may draw it on {self.grade.name}",
                expected=f"at most {temperature_words(limit_k)}",
                hint="wait for cooler air, or use a grade with a higher limit",
            )
        rise_k = self._heat(point.air.temperature_k) if levers.heat_on else 0.0
        temperature_k = point.air.temperature_k + rise_k
        return Breath(
            ambient_pa=point.pressure_pa,
            intake_pa=intake_pressure(point.pressure_pa, point.mach, self.engine.ram_ratio),
            temperature_k=temperature_k,
            dry_ratio=1.0 - point.air.vapour_pressure_pa / point.pressure_pa,
            filters_on=levers.filters_on and self.engine.filter_loss_pa is not None,
            heat_on=rise_k > 0.0,
            shutters_hot=levers.shutters_hot,
            hottest_ratio=self._hottest_ratio(temperature_k),
        )

    def _heat(self, outside_k: float) -> float:
        """Return by how much carburettor heat warms outside air [K]: full on, or as far as the air wants warming."""
        heat = self.engine.carburettor_heat
        return 0.0 if heat is None else min(heat.temperature_rise_k, max(0.0, self._warmest_k - outside_k))

    def _hottest_ratio(self, temperature_k: float) -> float:
        turbo = self.engine.turbo
        if turbo is None:
            return 1.0
        coolest_ratio = compressor_pressure_ratio(
            temperature_k,
            self.grade.carburettor_air_temperature_limit_k,
            turbo.compressor_efficiency_ratio,
            turbo.intercooler_cold_ratio,
        )
        return max(1.0, coolest_ratio)

    def permitted(self, breath: Breath, engine_speed_rpm: float, mixture: Mixture) -> Ceiling:
        """Return the highest manifold pressure permitted without time limit and to be had at an engine speed."""
        permitted_pa = self._limits(mixture).at(engine_speed_rpm)
        available = self.available(breath, engine_speed_rpm)
        if permitted_pa <= available.manifold_pressure_pa:
            return Ceiling(permitted_pa, f"{self._mixture_settings.of(mixture)} limit on {self.grade.name}")
        return available

    def available(self, breath: Breath, engine_speed_rpm: float) -> Ceiling:
        """Return the highest manifold pressure the air, the turbo and the carburettor air limit allow."""
        offers_pa = self._offers(breath, engine_speed_rpm)
        lowest_pa = min(offers_pa)
        return Ceiling(lowest_pa, (_WITH_TURBO if self.engine.turbo else _WITHOUT_TURBO)[offers_pa.index(lowest_pa)])

    def greatest_power_by_speed(self, breath: Breath, mixture: Mixture) -> Callable[[float], float]:
        """Return the brake power [W] at the pressure of `permitted` as a function of engine speed [rpm].

        Levers are sought with it: a third of all that a plan computes. So what does not change with engine speed is taken
        out, and the function stands for `permitted` and `power` together; a test holds it equal to them to the last bit.
        """
        engine, turbo = self.engine, self.engine.turbo
        limits, deck_ratio, reference_rpm = self._limits(mixture).at, self._turbo_ratio, engine.reference_speed_rpm
        intake_pa, ambient_pa, dry_ratio = breath.intake_pa, breath.ambient_pa, breath.dry_ratio
        other_decks_pa = min(turbo.deck_pressure_limit_pa, breath.hottest_ratio * intake_pa) if turbo else intake_pa
        loss_pa, take_off_airflow = self._intake_loss(breath), self._take_off_airflow
        strength = engine.lean_power_ratio if mixture == "lean" else 1.0
        cold = charge_temperature_ratio(engine.reference_carburettor_temperature_k, breath.temperature_k)

        def power(rpm: float) -> float:
            gain, relative = self._blower_gain(rpm), rpm / reference_rpm
            deck_pa = min(intake_pa * deck_ratio.at(rpm), other_decks_pa) if deck_ratio else other_decks_pa
            had_pa = self._after_intake(deck_pa * gain, breath, rpm) if loss_pa else deck_pa * gain
            manifold_pa = min(limits(rpm), had_pa)
            exhaust_pa, heat = ambient_pa, cold
            if turbo is not None:
                airflow_ratio = rpm * manifold_pa / take_off_airflow
                deck_pa = (manifold_pa + loss_pa * airflow_ratio * airflow_ratio) / gain
                if deck_pa > intake_pa:
                    exhaust_pa += turbo.back_pressure_ratio * (deck_pa - intake_pa)
                    heat = charge_temperature_ratio(
                        engine.reference_carburettor_temperature_k, self.temperature_behind(breath, deck_pa)
                    )
            charge_pa = manifold_pa * dry_ratio - engine.residual_ratio * exhaust_pa
            breathing = 1.0 - engine.breathing_loss_ratio * relative * relative
            indicated_pa = engine.indicated_pressure_ratio * charge_pa * breathing * heat * strength
            friction_pa = engine.friction_constant_pa + engine.friction_quadratic_pa * relative * relative
            return brake_power(indicated_pa - friction_pa, engine.displacement_m3, rpm)

        return power

    def _limits(self, mixture: Mixture) -> Curve:
        return self._lean if mixture == "lean" else self._rich

    def _offers(self, breath: Breath, engine_speed_rpm: float) -> tuple[float, ...]:
        """Return the manifold pressures [Pa] that each of the limits on what can be had would allow, in their order."""
        turbo = self.engine.turbo
        gain = self._blower_gain(engine_speed_rpm)
        intake_pa = breath.intake_pa
        if turbo is None or self._turbo_ratio is None:
            return (self._after_intake(intake_pa * gain, breath, engine_speed_rpm),)
        decks_pa = (
            intake_pa * self._turbo_ratio.at(engine_speed_rpm),
            turbo.deck_pressure_limit_pa,
            breath.hottest_ratio * intake_pa,
        )
        # The loss of filters and heat is made up at the deck, whatever limits it: heat and pressure there come to that much sooner.
        return tuple(self._after_intake(deck_pa * gain, breath, engine_speed_rpm) for deck_pa in decks_pa)

    def filter_loss(self, engine_speed_rpm: float, manifold_pressure_pa: float) -> float:
        """Return the manifold pressure [Pa] the filters cost at a setting, the levers unmoved; 0 without filters."""
        airflow_ratio = engine_speed_rpm * manifold_pressure_pa / self._take_off_airflow
        return (self.engine.filter_loss_pa or 0.0) * airflow_ratio * airflow_ratio

    def _intake_loss(self, breath: Breath) -> float:
        """Return the manifold pressure [Pa] that filters and carburettor heat, as they are set, cost at take-off airflow."""
        heat = self.engine.carburettor_heat
        filters_pa = self.engine.filter_loss_pa if breath.filters_on else None
        return (filters_pa or 0.0) + (heat.manifold_pressure_loss_pa if heat and breath.heat_on else 0.0)

    def shutters_worked(self, breath: Breath, deck_pa: float) -> bool:
        """Return whether the intercooler's shutters are moved to hot: asked for, and the air colder than it is kept to."""
        return breath.shutters_hot and self._behind_cold(breath, deck_pa) < self._warmest_k

    def temperature_behind(self, breath: Breath, deck_pa: float) -> float:
        """Return the temperature [K] of the air behind the turbo and its intercooler at a deck pressure.

        Shutters that are to be hot are moved only as far as the air wants warming.
        """
        cold_k, turbo = self._behind_cold(breath, deck_pa), self.engine.turbo
        if turbo is None or not self.shutters_worked(breath, deck_pa):
            return cold_k
        return max(cold_k, min(self._warmest_k, self._behind(breath, deck_pa, turbo, turbo.intercooler_hot_ratio)))

    def _behind_cold(self, breath: Breath, deck_pa: float) -> float:
        turbo = self.engine.turbo
        return (
            breath.temperature_k
            if turbo is None
            else self._behind(breath, deck_pa, turbo, turbo.intercooler_cold_ratio)
        )

    def _behind(self, breath: Breath, deck_pa: float, turbo: Turbo, removed_ratio: float) -> float:
        if deck_pa <= breath.intake_pa:
            return breath.temperature_k
        return compressed_air_temperature(
            breath.temperature_k, deck_pa / breath.intake_pa, turbo.compressor_efficiency_ratio, removed_ratio
        )

    def power(self, breath: Breath, engine_speed_rpm: float, manifold_pressure_pa: float, mixture: Mixture) -> float:
        """Return the brake power [W] of a setting."""
        engine = self.engine
        indicated_pa = self._indicated_pressure(breath, engine_speed_rpm, manifold_pressure_pa, mixture)
        return brake_power(indicated_pa - self._friction(engine_speed_rpm), engine.displacement_m3, engine_speed_rpm)

    def manifold_pressure(self, breath: Breath, engine_speed_rpm: float, power_w: float, mixture: Mixture) -> float:
        """Return the manifold pressure [Pa] that gives a brake power at an engine speed.

        Secant on the indicated pressure, which is all but linear in the manifold pressure.
        """
        engine = self.engine
        wanted_pa = mean_effective_pressure(power_w, engine.displacement_m3, engine_speed_rpm) + self._friction(
            engine_speed_rpm
        )
        low = wanted_pa / (engine.indicated_pressure_ratio * breath.dry_ratio)
        f_low = self._indicated_pressure(breath, engine_speed_rpm, low, mixture) - wanted_pa
        high = low - f_low / engine.indicated_pressure_ratio
        for _ in range(_MOST_STEPS):
            f_high = self._indicated_pressure(breath, engine_speed_rpm, high, mixture) - wanted_pa
            if f_high == f_low:
                break
            step = f_high * (high - low) / (f_high - f_low)
            low, f_low = high, f_high
            high -= step
            if abs(step) <= _MANIFOLD_TOLERANCE_PA:
                break
        return high

    def fuel_flow(self, engine_speed_rpm: float, power_w: float, mixture: Mixture) -> float:
        """Return the fuel flow [kg/s] of one engine: by indicated power, richer with the part of rated power in use."""
        engine = self.engine
        friction_w = brake_power(self._friction(engine_speed_rpm), engine.displacement_m3, engine_speed_rpm)
        lean_kg_per_s = engine.consumption.lean_kg_per_j * (power_w + friction_w)
        if mixture == "lean":
            return lean_kg_per_s
        return lean_kg_per_s * self._rich_ratio.at(max(0.0, power_w) / engine.rated_power_w)

    def _blower_gain(self, engine_speed_rpm: float) -> float:
        """Return manifold over deck pressure with the throttle wide open."""
        engine = self.engine
        if engine_speed_rpm == self._gain_at[0]:  # asked three times for each trial of an engine speed
            return self._gain_at[1]
        relative_speed = engine_speed_rpm / engine.reference_speed_rpm
        open_throttle = 1.0 - engine.throttle_loss_ratio * relative_speed * relative_speed
        gain = open_throttle * geared_blower_ratio(
            engine_speed_rpm, engine.reference_speed_rpm, engine.blower_rise_ratio
        )
        self._gain_at = (engine_speed_rpm, gain)
        return gain

    def _after_intake(self, manifold_pressure_pa: float, breath: Breath, engine_speed_rpm: float) -> float:
        """Return the full-throttle manifold pressure with the loss of filters and heat taken off at its own airflow.

        M = M0 - c M^2 with c the loss per square of manifold pressure, solved in closed form.
        """
        loss_pa = self._intake_loss(breath)
        if loss_pa == 0.0:
            return manifold_pressure_pa
        c_per_pa = loss_pa * (engine_speed_rpm / self._take_off_airflow) ** 2
        return (math.sqrt(1.0 + 4.0 * c_per_pa * manifold_pressure_pa) - 1.0) / (2.0 * c_per_pa)

    def deck_pressure(self, breath: Breath, engine_speed_rpm: float, manifold_pressure_pa: float) -> float:
        """Return the pressure wanted at the carburettor deck, the loss of filters and heat made up for."""
        airflow_ratio = engine_speed_rpm * manifold_pressure_pa / self._take_off_airflow
        lost_pa = self._intake_loss(breath) * airflow_ratio * airflow_ratio
        return (manifold_pressure_pa + lost_pa) / self._blower_gain(engine_speed_rpm)

    def _indicated_pressure(
        self, breath: Breath, engine_speed_rpm: float, manifold_pressure_pa: float, mixture: Mixture
    ) -> float:
        """Return the indicated mean effective pressure [Pa] of a setting."""
        engine = self.engine
        exhaust_pa, temperature_k = breath.ambient_pa, breath.temperature_k
        if engine.turbo is not None:
            deck_pa = self.deck_pressure(breath, engine_speed_rpm, manifold_pressure_pa)
            temperature_k = self.temperature_behind(breath, deck_pa)
            if deck_pa > breath.intake_pa:
                exhaust_pa += engine.turbo.back_pressure_ratio * (deck_pa - breath.intake_pa)
        charge_pa = manifold_pressure_pa * breath.dry_ratio - engine.residual_ratio * exhaust_pa
        strength = engine.lean_power_ratio if mixture == "lean" else 1.0
        heat = charge_temperature_ratio(engine.reference_carburettor_temperature_k, temperature_k)
        relative_speed = engine_speed_rpm / engine.reference_speed_rpm
        breathing = 1.0 - engine.breathing_loss_ratio * relative_speed * relative_speed
        return engine.indicated_pressure_ratio * charge_pa * breathing * heat * strength

    def _friction(self, engine_speed_rpm: float) -> float:
        engine = self.engine
        return friction_mean_effective_pressure(
            engine_speed_rpm, engine.reference_speed_rpm, engine.friction_constant_pa, engine.friction_quadratic_pa
        )
