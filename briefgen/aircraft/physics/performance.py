"""An aircraft that answers from a physical model: polar, propeller and engines solved together."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

from briefgen.aircraft.flight_point import FlightPoint
from briefgen.aircraft.lever_moves import lever_moves
from briefgen.aircraft.mixture_change import mass_of_mixture_change
from briefgen.aircraft.physics.level_flight import level_flight
from briefgen.aircraft.physics.parts import Parts
from briefgen.aircraft.physics.vertical_flight import climb_at, climb_rate, descent_at
from briefgen.aircraft.speed_card import ground_flow, operating_speeds
from briefgen.aircraft.words import mass_words, rate_words, speed_words
from briefgen.errors import PlanError
from briefgen.kernel.airspeed import calibrated_from_equivalent
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.interpolate import root
from briefgen.kernel.peak import peak
from briefgen.model.aircraft import Aircraft
from briefgen.model.handling import FlightPhase
from briefgen.model.performance import (
    Air,
    Ceiling,
    ClimbState,
    DescentState,
    EngineConfiguration,
    GroundActivity,
    LeverMove,
    LeverPair,
    Mixture,
    OperatingSpeeds,
    PowerSetting,
    SpeedTarget,
)
from briefgen.model.powerplant import PhysicalModel

_CEILING_TOLERANCE_M = 1.0
_CEILING_STEPS = 14
_CACHED_ANSWERS = 20000
SAFE_STALL_RATIO = 1.2  # over the stalling speed: the least margin of climbs in 14 CFR 25.107(b), take-off safety speed
CLIMB_SEARCH_RATIO = 1.5  # of the slowest safe speed: the best rate of climb of this class lies well inside
_CLIMB_SPEED_TOLERANCE_M_PER_S = 0.5  # the top is flat: the rate is within 1 ft/min of the best


class ModelPerformance:
    """Answers of one aircraft of the model kind on one fuel grade; the methods are those of `interface.Performance`."""

    def __init__(self, aircraft: Aircraft, model: PhysicalModel, fuel_grade: str) -> None:
        self._aircraft = aircraft
        self.parts = Parts(aircraft, model, fuel_grade)
        self._solved = lru_cache(maxsize=_CACHED_ANSWERS)(self._cruise)
        self._readable = lru_cache(maxsize=_CACHED_ANSWERS)(self._as_set)
        self._climbs = lru_cache(maxsize=_CACHED_ANSWERS)(self._climb)
        self._best_speeds = lru_cache(maxsize=_CACHED_ANSWERS)(self._best_climb_speed)

    @property
    def engine_configurations(self) -> tuple[EngineConfiguration, ...]:
        """Return the engine configurations of the file."""
        return tuple(one.configuration for one in self.parts.model.engine_configurations)

    def cruise(
        self,
        mass_kg: float,
        air: Air,
        target: SpeedTarget,
        *,
        engines: str | None = None,
        bank_deg: float = 0.0,
        headwind_m_per_s: float = 0.0,
        configuration: str | None = None,
        mixture: Mixture | None = None,
        phase: FlightPhase = "cruise",
    ) -> PowerSetting:
        """Return the setting that holds level flight in a phase of the file."""
        return self._solved(mass_kg, air, target, engines, bank_deg, headwind_m_per_s, configuration, mixture, phase)

    def _cruise(
        self,
        mass_kg: float,
        air: Air,
        target: SpeedTarget,
        engines: str | None,
        bank_deg: float,
        headwind_m_per_s: float,
        configuration: str | None,
        mixture: Mixture | None,
        phase: FlightPhase,
    ) -> PowerSetting:
        flight = level_flight(self.parts, mass_kg, air, engines, bank_deg, configuration, mixture, phase)
        return flight.answer(target, headwind_m_per_s)

    def _as_set(self, setting: PowerSetting) -> PowerSetting:
        return self.parts.as_set(setting, setting.phase or "cruise")

    def climb(
        self, mass_kg: float, air: Air, *, engines: str | None = None, ias_m_per_s: float | None = None
    ) -> ClimbState:
        """Return the climb at climb power, at the climb speed of the file unless another is given."""
        return self._climbs(mass_kg, air, engines, ias_m_per_s)

    def _climb(self, mass_kg: float, air: Air, engines: str | None, ias_m_per_s: float | None) -> ClimbState:
        point = self._climb_point(air, ias_m_per_s)
        return climb_at(self.parts, mass_kg, point, self.parts.grade.climb, "climb", self.parts.stopped(engines))

    def _climb_rate(self, mass_kg: float, air: Air, engines: str | None, ias_m_per_s: float | None) -> float:
        point = self._climb_point(air, ias_m_per_s)
        return climb_rate(self.parts, mass_kg, point, self.parts.grade.climb, "climb", self.parts.stopped(engines))

    def _climb_point(self, air: Air, ias_m_per_s: float | None) -> FlightPoint:
        return self.parts.point(air, self._aircraft.speeds.climb_m_per_s if ias_m_per_s is None else ias_m_per_s)

    def best_climb_speed(self, mass_kg: float, air: Air, *, engines: str | None = None) -> float:
        """Return the indicated airspeed of the best rate of climb, no slower than is safe with engines stopped [m/s].

        The floor is 1.2 times the stalling speed, or the minimum control speed of the file for these engines where faster.
        """
        return self._best_speeds(mass_kg, air, engines)

    def _best_climb_speed(self, mass_kg: float, air: Air, engines: str | None) -> float:
        stopped = self.parts.stopped(engines)
        all_running = stopped is self.parts.model.engine_configurations[0]
        control = self.speeds(mass_kg).minimum_control_m_per_s if all_running else self.parts.least_control_ias(stopped)
        floor = max(SAFE_STALL_RATIO * self.stall_ias_m_per_s(mass_kg, "clean"), control or 0.0)

        def rate(ias_m_per_s: float) -> float:
            return self._climb_rate(mass_kg, air, engines, ias_m_per_s)

        return peak(rate, floor, CLIMB_SEARCH_RATIO * floor, _CLIMB_SPEED_TOLERANCE_M_PER_S)

    def descent(
        self,
        mass_kg: float,
        air: Air,
        *,
        rate_m_per_s: float | None = None,
        ias_m_per_s: float | None = None,
        phase: FlightPhase = "descent",
    ) -> DescentState:
        """Return the descent at descent speed unless another is given; the rate is one through pressure altitude."""
        rate = self._aircraft.descent.rate_m_per_s if rate_m_per_s is None else rate_m_per_s
        point = self.parts.point(air, ias_m_per_s or self._aircraft.speeds.descent_m_per_s)
        return descent_at(self.parts, mass_kg, point, rate, self.parts.stopped(None), phase)

    def as_set(self, setting: PowerSetting) -> PowerSetting:
        """Return a setting on whole steps of the instruments, flown as rounded."""
        return self._readable(setting)

    def held_at(self, setting: PowerSetting, engine_speed_rpm: float) -> LeverPair | None:
        """Return what holds a level setting's speed at another engine speed."""
        return self.parts.held_at(setting, engine_speed_rpm, setting.phase or "cruise")

    def go_around(self, mass_kg: float, air: Air, *, engines: str | None = None) -> ClimbState:
        """Return the climb of a go-around: rating, flaps, gear and speed of that phase of the file."""
        said, stopped = self.parts.handling.of("go-around"), self.parts.stopped(engines)
        rating = self.parts.grade.climb if said.rating == "climb" else self.parts.grade.take_off
        ias = said.airspeed_m_per_s
        if ias is None:
            raise PlanError("the aircraft file gives no speed of the go-around", expected="an airspeed of that phase")
        control = self.parts.control_ias_at_take_off_power(stopped)
        if ias < control:
            raise PlanError(
                f"a go-around at {speed_words(ias)} indicated is below minimum control, engines: {stopped.configuration.name}",
                expected=f"at least {speed_words(control)} indicated",
            )
        return climb_at(self.parts, mass_kg, self.parts.point(air, ias), rating, "go-around", stopped)

    def take_off_setting(self, air: Air) -> PowerSetting:
        """Return the take-off setting at the unstick speed of the greatest take-off mass."""
        mass_kg = self._aircraft.balance.limits.take_off_kg
        point = self.parts.point(air, self.speeds(mass_kg).unstick_m_per_s)
        all_engines = self.parts.stopped(None)
        return climb_at(self.parts, mass_kg, point, self.parts.grade.take_off, "take-off", all_engines).setting

    def ground_fuel_flow_kg_per_s(self, activity: GroundActivity) -> float:
        """Return the fuel flow of all engines on the ground [kg/s]."""
        return ground_flow(self._aircraft.ground_flows, activity) * self.parts.grade.density_kg_per_m3

    def stall_ias_m_per_s(self, mass_kg: float, configuration: str, *, bank_deg: float = 0.0) -> float:
        """Return the indicated stalling speed, power off [m/s]."""
        equivalent = self.parts.airframe.stall_equivalent_airspeed(mass_kg, configuration, bank_deg)
        return self.parts.airspeeds.indicated(calibrated_from_equivalent(equivalent, 0.0))

    def speeds(self, mass_kg: float) -> OperatingSpeeds:
        """Return the speeds of the file at a mass."""
        return operating_speeds(self._aircraft, mass_kg)

    def mixture_change_mass(
        self,
        air: Air,
        target: SpeedTarget,
        mass_low_kg: float,
        mass_high_kg: float,
        *,
        engines: str | None = None,
        bank_deg: float = 0.0,
        headwind_m_per_s: float = 0.0,
        configuration: str | None = None,
        phase: FlightPhase = "cruise",
    ) -> float | None:
        """Return the mass at which the mixture changes, or None."""

        def setting(mass_kg: float) -> PowerSetting:
            return self.cruise(
                mass_kg,
                air,
                target,
                engines=engines,
                bank_deg=bank_deg,
                headwind_m_per_s=headwind_m_per_s,
                configuration=configuration,
                phase=phase,
            )

        return mass_of_mixture_change(setting, mass_low_kg, mass_high_kg)

    def ceiling(
        self,
        mass_kg: float,
        isa_deviation_k: float,
        *,
        engines: str | None = None,
        rate_m_per_s: float = 0.0,
        ias_m_per_s: float | None = None,
        icing: bool = False,
    ) -> Ceiling:
        """Return the lowest pressure altitude at which the rate of climb falls to a value."""

        def spare(height_m: float) -> float:
            air = Air(height_m, standard_temperature(height_m) + isa_deviation_k, icing=icing)
            return self._climb_rate(mass_kg, air, engines, ias_m_per_s) - rate_m_per_s

        name = self.parts.stopped(engines).configuration.name
        top_m = self.parts.model.airframe.altitude_limit_m
        # Below where the outside air is cool enough for the carburettors she cannot be, so no ceiling is looked for there.
        hottest_k = self.parts.grade.carburettor_air_temperature_limit_k
        heights = [
            height
            for height in (top_m * step / _CEILING_STEPS for step in range(_CEILING_STEPS + 1))
            if standard_temperature(height) + isa_deviation_k <= hottest_k
        ]
        if spare(heights[0]) < 0.0:
            raise PlanError(
                f"{mass_words(mass_kg)}: she does not climb {rate_words(rate_m_per_s)} at any altitude, engines: {name}",
                expected="less weight, colder air or more engines",
            )
        for below, above in pairwise(heights):
            if spare(above) < 0.0:
                height = root(spare, below, above, _CEILING_TOLERANCE_M, quantity="spare rate of climb")
                return Ceiling(height, rate_m_per_s, name, beyond_range=False)
        return Ceiling(top_m, rate_m_per_s, name, beyond_range=True)

    def lever_moves(self, before: PowerSetting | None, after: PowerSetting) -> tuple[LeverMove, ...]:
        """Return the lever movements in order."""
        return lever_moves(self._aircraft.lever_order, before, after)
