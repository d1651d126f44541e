"""Take-off and landing of an aircraft of the model kind, by summing the forces over speed."""

from __future__ import annotations

import math
from collections.abc import Callable

from briefgen.aircraft.fields import SCREEN_HEIGHT_M, Attitude, Landing, Strip, TakeOff
from briefgen.aircraft.flight_point import AirspeedSystem
from briefgen.aircraft.handling import Handling
from briefgen.aircraft.physics.powerplant import PowerPlant
from briefgen.aircraft.physics.strip_forces import StripForces
from briefgen.aircraft.speed_card import minimum_control_ias, threshold_ias
from briefgen.errors import OutOfRangeError
from briefgen.kernel import air_distance, takeoff
from briefgen.kernel.takeoff import Marks, Roll
from briefgen.kernel.wheels import hydroplaning_speed
from briefgen.model.aircraft import Aircraft
from briefgen.model.powerplant import AirframeConfiguration, PhysicalModel

SAFE_STALL_RATIO = 1.2  # speed at 50 ft over the stalling speed: SFTE Reference Handbook 2013, chapter 12
SAFE_CONTROL_RATIO = 1.1  # over the minimum control speed: CAR 4b.114(b), from memory
TOUCHDOWN_STALL_RATIO = 1.15  # Anderson, Introduction to Flight, chapter 6, from memory
REACTION_S = 2.0  # from the failure to the brakes: 14 CFR 25.109, from memory
BRAKES_ON_S = 2.0  # from touchdown to the brakes; textbooks give 1 to 3 s of free roll, from memory
APPROACH_PATH_DEG = 3.0  # the usual path in; a steeper glide is not counted on


class ModelFields:
    """Runway answers of an aircraft of the model kind, by summing the forces over speed."""

    def __init__(self, aircraft: Aircraft, model: PhysicalModel, fuel_grade: str) -> None:
        grade = next(one for one in model.fuel_grades if one.name == fuel_grade)
        self._aircraft, self._model = aircraft, model
        kept_to_k = aircraft.limits.engine.carburettor_air.kept_to_k
        self._plant = PowerPlant(
            model.engine, grade, model.minimum_engine_speed_rpm, kept_to_k, aircraft.mixture_settings
        )
        self._handling = Handling(aircraft)
        self._airspeeds = AirspeedSystem(aircraft.instruments.calibrated_by_indicated)
        self._forces: dict[Strip, StripForces] = {}

    @property
    def attitudes(self) -> tuple[Attitude, ...]:
        return ("nose wheel",) if self._model.field.tail_down_angle_deg is None else ("tail down", "tail raised")

    @property
    def source(self) -> str:
        return "physical model of the aircraft file, forces summed over speed"

    def mass_range_kg(self, kind: str) -> tuple[float, float]:
        return 0.0, math.inf

    def surface_words(self, strip: Strip) -> tuple[str, str]:
        surface = self._on(strip).surface
        return surface.name, surface.source

    def hydroplaning_ground_speed(self, strip: Strip) -> float | None:
        pressure_pa = self._model.field.tyre_pressure_pa
        if pressure_pa is None or not (strip.wet or strip.runway.depth_m > 0.0):
            return None
        return hydroplaning_speed(pressure_pa, rotating=True)

    def take_off(self, mass_kg: float, strip: Strip, attitude: Attitude | None = None) -> TakeOff:
        forces = self._on(strip)
        flaps = forces.configuration(self._model.field.take_off_configuration)
        run = _Run(self._aircraft, forces, mass_kg, flaps, attitude or self.attitudes[0])
        return run.take_off(lambda tas: self._airspeeds.indicated_from_true(strip.air, tas))

    def landing(self, mass_kg: float, strip: Strip) -> Landing:
        forces, field = self._on(strip), self._model.field
        flaps = forces.configuration(field.landing_configuration)
        stall = forces.stall(mass_kg, flaps)
        over = max(field.threshold_stall_ratio * stall, self._least_over_threshold(mass_kg, strip))
        down = min(field.threshold_stall_ratio, TOUCHDOWN_STALL_RATIO) * stall
        headwind = strip.headwind_m_per_s
        drag_n = forces.drag(mass_kg, 0.5 * (over + down), flaps)
        path_ratio = math.tan(math.radians(APPROACH_PATH_DEG))
        air_m = air_distance.descent_to_touchdown_distance(
            mass_kg, drag_n, over, down, SCREEN_HEIGHT_M, path_ratio, headwind
        )
        rolling = forces.roll(mass_kg, field.level_angle_deg, flaps)
        stop = _stops(forces, rolling, down, rotating=False)
        return Landing(
            threshold_ias_m_per_s=self._airspeeds.indicated_from_true(strip.air, over),
            touchdown_ias_m_per_s=self._airspeeds.indicated_from_true(strip.air, down),
            air_m=air_m,
            distance_m=air_m + BRAKES_ON_S * (down - headwind) + stop.at(down),
        )

    def _least_over_threshold(self, mass_kg: float, strip: Strip) -> float:
        """Return the true airspeed [m/s] of the file's threshold speed, or of minimum control for the go-around if greater.

        Source:
            14 CFR 25.125: the reference speed is not below the minimum control speed of the landing, from memory.
        """
        ias = max(threshold_ias(self._aircraft, mass_kg), minimum_control_ias(self._aircraft) or 0.0)
        return self._airspeeds.at_indicated(strip.air, ias).tas_m_per_s

    def _on(self, strip: Strip) -> StripForces:
        if strip not in self._forces:
            cowl_flaps = self._handling.cowl_flaps("take-off", strip.air)
            self._forces[strip] = StripForces(self._model, self._aircraft.engines, self._plant, strip, cowl_flaps)
        return self._forces[strip]


class _Run:
    """One run on one strip at one mass in one attitude."""

    def __init__(
        self, aircraft: Aircraft, forces: StripForces, mass_kg: float, flaps: AirframeConfiguration, attitude: Attitude
    ) -> None:
        field = forces.field
        angle_deg = field.level_angle_deg
        if attitude == "tail down" and field.tail_down_angle_deg is not None:
            angle_deg = field.tail_down_angle_deg
        self.aircraft, self.forces, self.mass_kg, self.flaps = aircraft, forces, mass_kg, flaps
        self.rolling = forces.roll(mass_kg, angle_deg, flaps)
        self.headwind = forces.strip.headwind_m_per_s
        self.stall = forces.stall(mass_kg, flaps)
        self.unstick = self._unstick(attitude, field.unstick_stall_ratio)

    def _unstick(self, attitude: Attitude, stall_ratio: float) -> float:
        """Return the unstick speed: that of the file over the stall, and the attitude's own where it is not changed.

        Never below the minimum control speed: until then she is held on the ground, whatever the attitude would lift
        (common practice; the regulations ask for a margin on it: CAR 4b.114, from memory).
        """
        least = max(stall_ratio * self.stall, self._control_speed() or 0.0)
        if attitude == "nose wheel":
            return least
        roll = self.rolling
        lifts = takeoff.attitude_unstick_speed(
            self.mass_kg, roll.density_kg_per_m3, roll.lift_area_m2, self.all_engines, roll.thrust_angle_deg
        )
        return max(least, lifts)

    def all_engines(self, tas_m_per_s: float) -> float:
        return self.aircraft.engines * self.forces.thrust(tas_m_per_s)

    def one_failed(self, tas_m_per_s: float) -> float:
        """Return the thrust of the engines left, less the drag of the failed one and of holding her straight [N]."""
        thrust_n = self.forces.thrust(tas_m_per_s)
        return (self.aircraft.engines - 1) * thrust_n - self.forces.failed_drag(thrust_n, tas_m_per_s)

    def take_off(self, indicated: Callable[[float], float]) -> TakeOff:
        safe = self._safe_speed()
        run = takeoff.run_marks(self.rolling, self.all_engines, self.headwind, self.unstick)
        if math.isinf(run.distance_m[-1]):
            return self._does_not_unstick(run, indicated)
        away_m = self._climb_away(self.all_engines, safe)
        stop_m, go_m, critical, fits = self._with_an_engine_failing(run, safe)
        return TakeOff(
            unstick_ias_m_per_s=indicated(self.unstick),
            safe_ias_m_per_s=indicated(safe),
            ground_run_m=run.distance_m[-1],
            distance_m=run.distance_m[-1] + away_m,
            accelerate_stop_m=stop_m,
            accelerate_go_m=go_m,
            critical_ias_m_per_s=indicated(critical),
            gradient_ratio=self._gradient(self.all_engines, safe),
            failed_gradient_ratio=self._gradient(self.one_failed, safe),
            fastest_ias_m_per_s=None,
            critical_run_m=run.at(critical),
            critical_time_s=run.time_to(critical, self.headwind),
            stop_fits_ias_m_per_s=_if_shown(indicated, fits),
        )

    def _with_an_engine_failing(self, run: Marks, safe: float) -> tuple[float, float, float, float]:
        """Return accelerate-stop, accelerate-go, the critical speed and the highest speed whose stop fits the runway."""
        failed_away_m = self._climb_away(self.one_failed, safe)
        rest = takeoff.remaining_marks(
            takeoff.run_marks(self.rolling, self.one_failed, max(self._least(), self.headwind), self.unstick)
        )
        stop = _stops(self.forces, self.rolling, self.unstick, rotating=True)

        def go_m(tas: float) -> float:
            return run.at(tas) + rest.at(tas) + failed_away_m

        def stop_m(tas: float) -> float:
            return run.at(tas) + REACTION_S * (tas - self.headwind) + stop.at(tas)

        critical = takeoff.critical_speed(go_m, stop_m, self._least(), self.unstick)
        length_m = self.forces.strip.runway.length_m
        fits = takeoff.critical_speed(lambda tas: length_m, stop_m, max(self.headwind, 0.0), self.unstick)
        return stop_m(critical), go_m(critical), critical, fits

    def _least(self) -> float:
        """Return the lowest engine-failure speed from which going on is allowed: the minimum control speed, if any."""
        return max(self._control_speed() or 0.0, self.headwind)

    def _control_speed(self) -> float | None:
        """Return the minimum control speed as a true airspeed [m/s], None when the file gives none."""
        ias = minimum_control_ias(self.aircraft)
        if ias is None:
            return None
        airspeeds = AirspeedSystem(self.aircraft.instruments.calibrated_by_indicated)
        return airspeeds.at_indicated(self.forces.strip.air, ias).tas_m_per_s

    def _safe_speed(self) -> float:
        control = self._control_speed() or 0.0
        return max(self.unstick, SAFE_STALL_RATIO * self.stall, SAFE_CONTROL_RATIO * control)

    def _climb_away(self, thrust: Callable[[float], float], safe: float) -> float:
        return air_distance.climb_away_distance(
            self.mass_kg,
            lambda tas: thrust(tas) - self.forces.drag(self.mass_kg, tas, self.flaps),
            self.unstick,
            safe,
            SCREEN_HEIGHT_M,
            self.headwind,
            self.rolling.slope_ratio,
        )

    def _gradient(self, thrust: Callable[[float], float], safe: float) -> float:
        excess_n = thrust(safe) - self.forces.drag(self.mass_kg, safe, self.flaps)
        return air_distance.climb_gradient(excess_n, self.mass_kg, safe, self.headwind)

    def _does_not_unstick(self, run: Marks, indicated: Callable[[float], float]) -> TakeOff:
        reached = max(tas for tas, distance in zip(run.tas_m_per_s, run.distance_m, strict=True) if distance < math.inf)
        unstick, fastest = indicated(self.unstick), _if_shown(indicated, reached)
        return TakeOff(unstick, None, math.inf, math.inf, math.inf, math.inf, None, None, None, fastest)


def _if_shown(indicated: Callable[[float], float], tas_m_per_s: float) -> float | None:
    """Return the indicated airspeed, None below the first mark of the aircraft's airspeed table."""
    try:
        return indicated(tas_m_per_s)
    except OutOfRangeError:
        return None


def _stops(forces: StripForces, rolling: Roll, from_tas_m_per_s: float, *, rotating: bool) -> Marks:
    """Return the braked stopping distances up to a speed, without brakes where the tyres ride on water."""
    braked = forces.braked(rolling)
    headwind = rolling.headwind_m_per_s
    holds_to = forces.brake_limit_ground_speed(rotating=rotating) + headwind
    if holds_to >= from_tas_m_per_s:
        return takeoff.stop_marks(braked, headwind, from_tas_m_per_s)
    slow = takeoff.stop_marks(braked, headwind, holds_to)
    fast = takeoff.stop_marks(forces.unbraked(rolling), holds_to, from_tas_m_per_s)
    return takeoff.joined_marks(slow, fast)
