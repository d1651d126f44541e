"""What the aircraft file says of a phase: one look-up for both kinds of aircraft, for fuel flow and for the power table."""

from __future__ import annotations

from briefgen.aircraft.flight_point import isa_deviation
from briefgen.errors import OutOfRangeError
from briefgen.model.aircraft import Aircraft
from briefgen.model.handling import AgainstCarburettorIce, FlightPhase, PhaseSetting
from briefgen.model.performance import Air

LIKE: dict[FlightPhase, FlightPhase] = {
    "drop": "cruise"
}  # a file need not have the first: then it is flown as the second
_ROUND_OFF_K = 1e-6  # a deviation is a difference of two temperatures


class Handling:
    """The phases of one aircraft file by name."""

    def __init__(self, aircraft: Aircraft) -> None:
        self._name = aircraft.name
        self._phases = {setting.phase: setting for setting in aircraft.phases}
        self._ice = aircraft.carburettor_ice
        self.mixture_settings = aircraft.mixture_settings

    def of(self, phase: FlightPhase) -> PhaseSetting:
        """Return what the file says of a phase.

        Raises:
            OutOfRangeError: It says nothing of it.
        """
        found = self._phases.get(phase) or self._phases.get(LIKE.get(phase, phase))
        if found is None:
            raise OutOfRangeError(
                f"the file of {self._name} has no settings for {phase}", expected=" or ".join(self._phases)
            )
        return found

    def boost_pumps(self, phase: FlightPhase, air: Air) -> str:
        """Return whether the boost pumps are on: as the phase says, and from a height on whatever it says."""
        setting = self.of(phase)
        above_m = setting.boost_pumps_on_above_m
        return "on" if above_m is not None and air.pressure_altitude_m >= above_m else setting.boost_pumps

    def against_ice(self, phase: FlightPhase, air: Air) -> AgainstCarburettorIce | None:
        """Return what is set against carburettor ice in a phase, None outside such cloud and where the file sets nothing."""
        named = self._ice.phases
        return self._ice if air.icing and (phase in named or LIKE.get(phase, phase) in named) else None

    def filters(self, phase: FlightPhase, air: Air) -> str | None:
        """Return how the file wants the filters: as against ice where she is in it and not too high, else as the phase says."""
        against = self.against_ice(phase, air)
        if against is not None and against.filters is not None:
            limit_m = against.filters_not_above_m
            if limit_m is None or air.pressure_altitude_m <= limit_m:
                return against.filters
        return self.of(phase).filters

    def cowl_flaps(self, phase: FlightPhase, air: Air) -> str | None:
        """Return the cowl-flap position of a phase, that of a hot day where the air is so hot; None where she has none."""
        setting = self.of(phase)
        hot = setting.hot_day_cowl_flaps
        if hot is not None and isa_deviation(air) >= hot.isa_deviation_from_k - _ROUND_OFF_K:
            return hot.position
        return setting.cowl_flaps

    def least_engine_speed(self, phase: FlightPhase) -> float:
        """Return the engine speed [rpm] a phase is not flown below: the one the crew sets, or the least."""
        setting = self.of(phase)
        return max(setting.least_engine_speed_rpm, setting.engine_speed_rpm or 0.0)
