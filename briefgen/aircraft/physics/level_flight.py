"""Level flight of a physical model: the setting at a speed, the speed on a setting, and the searched speeds."""

from __future__ import annotations

from briefgen.aircraft.flight_point import FlightPoint
from briefgen.aircraft.optimum import LONG_RANGE_RATIO, Merit, SpeedSearch, endurance_merit, ground_range_merit
from briefgen.aircraft.physics.lever_solution import Levers, PowerNeeded, engine_speed_for, given_levers, levers_for
from briefgen.aircraft.physics.parts import Parts
from briefgen.aircraft.physics.powerplant import Breath
from briefgen.aircraft.words import mass_words, speed_words
from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.kernel.airspeed import calibrated_from_equivalent
from briefgen.kernel.interpolate import root
from briefgen.model.handling import FlightPhase
from briefgen.model.performance import (
    Air,
    BestEndurance,
    BestRange,
    GivenSetting,
    IndicatedAirspeed,
    LongRange,
    Mixture,
    PercentPower,
    PowerSetting,
    SpeedTarget,
    TrueAirspeed,
)
from briefgen.model.powerplant import StoppedEngines

_SLOWEST_STALL_RATIO = 1.1  # searched speeds are not slower than this over the stalling speed
_SPEED_TOLERANCE_M_PER_S = 0.005
_SCAN_STEPS = 24


@dataclass(frozen=True)
class LevelFlight:
    """Level flight at one mass in one air and configuration."""

    parts: Parts
    mass_kg: float
    air: Air
    stopped: StoppedEngines
    bank_deg: float
    configuration: str
    cowl_flaps: str | None
    extra_drag_area_m2: float
    stall_ias_m_per_s: float
    phase: FlightPhase
    mixture: Mixture | None = None  # one to be kept to; None leans where that is permitted

    def answer(self, target: SpeedTarget, headwind_m_per_s: float) -> PowerSetting:
        """Return the setting for any target."""
        match target:
            case IndicatedAirspeed(ias_m_per_s=ias):
                return self.at(ias)
            case TrueAirspeed(tas_m_per_s=tas):
                return self.at(self.parts.airspeeds.indicated_from_true(self.air, tas))
            case LongRange():
                return self.at(self._search(ground_range_merit(headwind_m_per_s)).fast_side_speed(LONG_RANGE_RATIO))
            case BestRange():
                return self.at(self._search(ground_range_merit(headwind_m_per_s)).best_speed())
            case BestEndurance():
                return self.at(self._search(endurance_merit).best_speed())
            case PercentPower() | GivenSetting():
                return self._on_power(target)

    def at(self, ias_m_per_s: float) -> PowerSetting:
        """Return the setting that holds an indicated airspeed."""
        if ias_m_per_s < self.stall_ias_m_per_s:
            raise PlanError(
                f"{speed_words(ias_m_per_s)} indicated is below the stalling speed at {mass_words(self.mass_kg)}",
                expected=f"more than {speed_words(self.stall_ias_m_per_s)} indicated",
            )
        control = self.parts.least_control_ias(self.stopped)
        if ias_m_per_s < control:
            raise PlanError(
                f"{speed_words(ias_m_per_s)} indicated is below minimum control, engines: {self.stopped.configuration.name}",
                expected=f"at least {speed_words(control)} indicated",
            )
        point = self.parts.point(self.air, ias_m_per_s)
        breath = self.parts.breath(point, self.phase)
        thrust_n = self._thrust_wanted(point)
        return self._setting(
            point, breath, self._levers(breath, self.parts.propeller.power_for(thrust_n, point)), thrust_n
        )

    @property
    def _least_rpm(self) -> float:
        return self.parts.handling.least_engine_speed(self.phase)

    def _levers(self, breath: Breath, needed: PowerNeeded) -> Levers:
        return levers_for(self.parts.plant, breath, needed, self.mixture, self._least_rpm)

    def _flown(self, ias_m_per_s: float) -> tuple[float, float, Mixture]:
        """Return true airspeed [m/s], fuel flow [kg/s] and mixture at a speed: all that a search wants, a third of the cost."""
        point = self.parts.point(self.air, ias_m_per_s)
        plant = self.parts.plant
        needed = self.parts.propeller.power_for(self._thrust_wanted(point), point)
        found = engine_speed_for(plant, self.parts.breath(point, self.phase), needed, self.mixture, self._least_rpm)
        one_kg_per_s = plant.fuel_flow(found.engine_speed_rpm, found.power_w, found.mixture)
        return point.tas_m_per_s, self.stopped.configuration.running * one_kg_per_s, found.mixture

    def _thrust_wanted(self, point: FlightPoint) -> float:
        """Return the thrust of each running engine [N] that balances the drag."""
        drag_n = self.parts.airframe.drag(self.mass_kg, point, self.extra_drag_area_m2, self.bank_deg)
        return self.parts.airframe.thrust_for(drag_n, point, self.stopped)

    def _setting(self, point: FlightPoint, breath: Breath, levers: Levers, thrust_n: float) -> PowerSetting:
        return self.parts.setting(
            self.mass_kg,
            point,
            breath,
            levers,
            self.stopped,
            thrust_n=thrust_n,
            cowl_flaps=self.cowl_flaps,
            phase=self.phase,
        )

    def _search(self, merit: Merit) -> SpeedSearch:
        return SpeedSearch(self._flown, merit, self._slowest(), self._fastest())

    def _slowest(self) -> float:
        return max(
            self.parts.airspeeds.lowest_ias_m_per_s,
            _SLOWEST_STALL_RATIO * self.stall_ias_m_per_s,
            self.parts.least_control_ias(self.stopped),
        )

    def _fastest(self) -> float:
        return min(self.parts.airspeeds.highest_ias_m_per_s, self.parts.aircraft.speeds.never_exceed_m_per_s)

    def _on_power(self, target: PercentPower | GivenSetting) -> PowerSetting:
        """Return the level speed a power gives: the fastest at which thrust still balances drag."""

        def levers_at(breath: Breath) -> Levers:
            if isinstance(target, GivenSetting):
                return given_levers(
                    self.parts.plant,
                    breath,
                    target.engine_speed_rpm,
                    target.manifold_pressure_pa,
                    self.mixture or target.mixture,
                )
            power_w = target.ratio * self.parts.model.engine.rated_power_w
            return self._levers(breath, lambda _: power_w)

        def spare_thrust(ias_m_per_s: float) -> float:
            point = self.parts.point(self.air, ias_m_per_s)
            levers = levers_at(self.parts.breath(point, self.phase))
            given_n = self.parts.propeller.thrust(levers.power_w, point, levers.engine_speed_rpm)
            return given_n - self._thrust_wanted(point)

        fast = self._fastest()
        step = (fast - self._slowest()) / _SCAN_STEPS
        for _ in range(_SCAN_STEPS):
            slow = fast - step
            if spare_thrust(slow) >= 0.0:
                ias = root(spare_thrust, slow, fast, _SPEED_TOLERANCE_M_PER_S, quantity="spare thrust")
                point = self.parts.point(self.air, ias)
                breath = self.parts.breath(point, self.phase)
                return self._setting(point, breath, levers_at(breath), self._thrust_wanted(point))
            fast = slow
        raise PlanError(
            f"this power does not hold height at {mass_words(self.mass_kg)}",
            expected="more power, less weight or a lower height",
        )


def level_flight(
    parts: Parts,
    mass_kg: float,
    air: Air,
    engines: str | None,
    bank_deg: float,
    configuration: str | None,
    mixture: Mixture | None = None,
    phase: FlightPhase = "cruise",
) -> LevelFlight:
    """Return level flight at a mass in an air, drag and stalling speed worked out once.

    Flaps and mixture that are not given are those of the phase, and so are gear, cowl flaps, filters and least engine speed.
    """
    said = parts.handling.of(phase)
    configuration = configuration or said.flaps
    stopped = parts.stopped(engines)
    cowl_flaps, opening_m2 = parts.openings(phase, air)
    stall_equivalent = parts.airframe.stall_equivalent_airspeed(mass_kg, configuration, bank_deg)
    stall_calibrated = calibrated_from_equivalent(stall_equivalent, air.pressure_altitude_m)
    return LevelFlight(
        parts=parts,
        mass_kg=mass_kg,
        air=air,
        stopped=stopped,
        bank_deg=bank_deg,
        configuration=configuration,
        cowl_flaps=cowl_flaps,
        extra_drag_area_m2=parts.airframe.extra_drag_area(
            configuration, stopped, cowl_flaps, gear_down=said.gear == "down"
        )
        + opening_m2,
        stall_ias_m_per_s=parts.airspeeds.indicated(stall_calibrated),
        phase=phase,
        mixture=mixture or said.mixture,
    )
