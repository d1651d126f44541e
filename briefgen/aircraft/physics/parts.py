"""The parts of a physical model put together once: airspeed system, airframe, engine, propeller, limits."""

from __future__ import annotations

from briefgen.aircraft.flight_point import AirspeedSystem, FlightPoint, isa_deviation
from briefgen.aircraft.handling import Handling
from briefgen.aircraft.physics.airframe import AirframeSystem
from briefgen.aircraft.physics.lever_solution import Levers, readable_levers
from briefgen.aircraft.physics.powerplant import Breath, IntakeLevers, PowerPlant
from briefgen.aircraft.physics.thrust import PropellerSystem
from briefgen.aircraft.words import height_words
from briefgen.errors import OutOfRangeError
from briefgen.model.aircraft import Aircraft
from briefgen.model.handling import FlightPhase
from briefgen.model.limits import MinimumControl
from briefgen.model.performance import Air, LeverPair, PowerSetting
from briefgen.model.powerplant import PhysicalModel, StoppedEngines

_SOURCE = "physical model of the aircraft file"


class Parts:
    """One aircraft of the model kind on one fuel grade."""

    def __init__(self, aircraft: Aircraft, model: PhysicalModel, fuel_grade: str) -> None:
        grades = {grade.name: grade for grade in model.fuel_grades}
        if fuel_grade not in grades:
            raise OutOfRangeError(f"{aircraft.name} is not cleared on fuel {fuel_grade}", expected=" or ".join(grades))
        self.aircraft = aircraft
        self.handling = Handling(aircraft)
        self.model = model
        self.grade = grades[fuel_grade]
        self.airspeeds = AirspeedSystem(aircraft.instruments.calibrated_by_indicated)
        self.airframe = AirframeSystem(model.airframe, model.propeller, aircraft.engines)
        kept_to_k = aircraft.limits.engine.carburettor_air.kept_to_k
        self.plant = PowerPlant(
            model.engine, self.grade, model.minimum_engine_speed_rpm, kept_to_k, aircraft.mixture_settings
        )
        self.propeller = PropellerSystem(model.propeller, model.engine.gear_ratio)
        self._engines = {one.configuration.name: one for one in model.engine_configurations}

    def stopped(self, engines: str | None) -> StoppedEngines:
        """Return an engine configuration by name; None is all engines."""
        if engines is None:
            return self.model.engine_configurations[0]
        if engines not in self._engines:
            raise OutOfRangeError(
                f"the aircraft file has no engine configuration '{engines}'", expected=" or ".join(self._engines)
            )
        return self._engines[engines]

    def least_control_ias(self, stopped: StoppedEngines) -> float:
        """Return the indicated speed [m/s] below which she is not flown at climb power with these engines stopped.

        0 where the stall governs, and with all engines running: then it is the sudden loss of one that is guarded against.

        Raises:
            OutOfRangeError: The file has no minimum control speed for these engines.
        """
        if stopped is self.model.engine_configurations[0]:
            return 0.0
        return self._control_row(stopped).at_climb_power_m_per_s or 0.0

    def _control_row(self, stopped: StoppedEngines) -> MinimumControl:
        name = stopped.configuration.name
        for row in self.aircraft.minimum_control:
            if row.engines == name:
                return row
        raise OutOfRangeError(
            f"the aircraft file gives no minimum control speed (engines: {name})",
            expected="a row for them under 'minimum control'",
        )

    def control_ias_at_take_off_power(self, stopped: StoppedEngines) -> float:
        """Return the indicated minimum control speed [m/s] at take-off power, 0 where the file says that the stall governs.

        Raises:
            OutOfRangeError: The file has no minimum control speed for these engines.
        """
        return self._control_row(stopped).at_take_off_power_m_per_s or 0.0

    def point(self, air: Air, ias_m_per_s: float) -> FlightPoint:
        """Return a point of flight inside the heights the model covers."""
        limit_m = self.model.airframe.altitude_limit_m
        if air.pressure_altitude_m > limit_m:
            raise OutOfRangeError(
                f"pressure altitude {height_words(air.pressure_altitude_m)} is above what the model covers",
                expected=f"at most {height_words(limit_m)}",
            )
        return self.airspeeds.at_indicated(air, ias_m_per_s)

    def filters_on(self, air: Air, phase: FlightPhase) -> bool:
        """Return whether the carburettor air filters are in use in a phase at a height."""
        said = self.handling.filters(phase, air)
        if said in ("in", "out"):
            return said == "in"
        limit_m = self.model.filters_off_above_m
        return limit_m is not None and air.pressure_altitude_m < limit_m

    def breath(self, point: FlightPoint, phase: FlightPhase = "cruise") -> Breath:
        """Return what each engine breathes at a point in a phase, the levers against ice set where she is in it."""
        against = self.handling.against_ice(phase, point.air)
        levers = IntakeLevers(
            filters_on=self.filters_on(point.air, phase),
            shutters_hot=against is not None and against.intercooler == "hot",
            heat_on=against is not None and against.carburettor_heat == "on",
        )
        return self.plant.breath(point, levers)

    def openings(self, phase: FlightPhase, air: Air) -> tuple[str | None, float]:
        """Return the cowl-flap position of a phase, and the drag area [m2] of flaps on their way to that of a hot day."""
        said = self.handling.of(phase)
        return self.handling.cowl_flaps(phase, air), self.airframe.opening_drag_area(
            said.cowl_flaps, said.hot_day_cowl_flaps, isa_deviation(air)
        )

    def as_set(self, setting: PowerSetting, phase: FlightPhase) -> PowerSetting:
        """Return a level or descending setting as the instruments let it be set: power and fuel flow are those of the pair.

        The speed stays what was asked for; up to one step of manifold pressure is in hand over what holds it.
        """
        rpm, manifold_pa = setting.engine_speed_rpm, setting.manifold_pressure_pa
        power_w, mixture = setting.power_w, setting.mixture
        thrust_n = _thrust(setting)
        if rpm is None or manifold_pa is None or power_w is None or thrust_n is None or mixture is None:
            return setting
        point = self.point(setting.air, setting.ias_m_per_s)
        breath = self.breath(point, phase)
        exact = Levers(rpm, manifold_pa, mixture, power_w, setting.governing_limit, setting.margin_ratio or 0.0)
        read = self.aircraft.instrument_resolution
        levers = readable_levers(
            self.plant, breath, self.propeller.power_for(thrust_n, point), exact,
            (read.engine_speed_rpm, read.manifold_pressure_pa),
        )  # fmt: skip
        stopped = self.stopped(setting.engines)
        return self.setting(
            setting.mass_kg, point, breath, levers, stopped, thrust_n=thrust_n,
            cowl_flaps=setting.cowl_flaps, phase=phase, time_limit_s=setting.time_limit_s,
        )  # fmt: skip

    def held_at(self, setting: PowerSetting, engine_speed_rpm: float, phase: FlightPhase) -> LeverPair | None:
        """Return what holds the speed of a level setting at another engine speed; None of a setting without levers."""
        thrust_n, mixture = _thrust(setting), setting.mixture
        if thrust_n is None or mixture is None:
            return None
        point = self.point(setting.air, setting.ias_m_per_s)
        breath, plant = self.breath(point, phase), self.plant
        power_w = self.propeller.power_for(thrust_n, point)(engine_speed_rpm)
        exact_pa = plant.manifold_pressure(breath, engine_speed_rpm, power_w, mixture)
        step_pa = self.aircraft.instrument_resolution.manifold_pressure_pa
        more_w = plant.power(breath, engine_speed_rpm, exact_pa + step_pa, mixture)
        flow, more = (plant.fuel_flow(engine_speed_rpm, one, mixture) for one in (power_w, more_w))
        highest_rpm = plant.highest_engine_speed(mixture)
        permitted_pa = plant.permitted(breath, min(engine_speed_rpm, highest_rpm), mixture).manifold_pressure_pa
        running = setting.engines_running
        return LeverPair(exact_pa, permitted_pa, highest_rpm, running * flow, running * (more - flow) / step_pa)

    def setting(
        self,
        mass_kg: float,
        point: FlightPoint,
        breath: Breath,
        levers: Levers,
        stopped: StoppedEngines,
        *,
        thrust_n: float,
        cowl_flaps: str | None,
        phase: FlightPhase,
        time_limit_s: float | None = None,
    ) -> PowerSetting:
        """Return the complete answer for levers found, thrust being that of one engine."""
        running, plant, engine = stopped.configuration.running, self.plant, self.model.engine
        speed_rpm, manifold_pa = levers.engine_speed_rpm, levers.manifold_pressure_pa
        fuel_flow = running * plant.fuel_flow(speed_rpm, levers.power_w, levers.mixture)
        deck_pa = plant.deck_pressure(breath, speed_rpm, manifold_pa)
        return PowerSetting(
            engines=stopped.configuration.name, engines_running=running, mass_kg=mass_kg, air=point.air, phase=phase, source=_SOURCE,
            ias_m_per_s=point.ias_m_per_s, cas_m_per_s=point.cas_m_per_s, tas_m_per_s=point.tas_m_per_s,
            engine_speed_rpm=speed_rpm, manifold_pressure_pa=manifold_pa, power_w=levers.power_w,
            mixture=levers.mixture, mixture_name=self.aircraft.mixture_settings.of(levers.mixture),
            propeller_efficiency=thrust_n * point.tas_m_per_s / levers.power_w,
            fuel_flow_kg_per_s=fuel_flow, specific_range_m_per_kg=point.tas_m_per_s / fuel_flow,
            governing_limit=levers.governing_limit, margin_ratio=levers.margin_ratio, time_limit_s=time_limit_s,
            carburettor_air_temperature_k=plant.temperature_behind(breath, deck_pa),
            cowl_flaps=cowl_flaps, boost_pumps=self.handling.boost_pumps(phase, point.air),
            blower=None if engine.turbo is None else ("turbo on" if deck_pa > breath.intake_pa else "turbo off"),
            intercooler=None if engine.turbo is None else ("hot" if plant.shutters_worked(breath, deck_pa) else "cold"),
            filters=None if engine.filter_loss_pa is None else ("on" if breath.filters_on else "off"),
            carburettor_heat=None if engine.carburettor_heat is None else ("on" if breath.heat_on else "off"),
        )  # fmt: skip


def _thrust(setting: PowerSetting) -> float | None:
    """Return the thrust of each engine that runs [N], None of a setting that does not say it."""
    if setting.power_w is None or setting.propeller_efficiency is None:
        return None
    return setting.propeller_efficiency * setting.power_w / setting.tas_m_per_s
