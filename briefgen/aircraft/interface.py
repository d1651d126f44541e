"""What the plan may ask of any aircraft, whether a physical model or a set of charts stands behind it."""

from __future__ import annotations

from typing import Protocol

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


class Performance(Protocol):
    """Answers of one individual aircraft on one fuel grade.

    What cannot be attained raises PlanError (in the aircraft's power) or OutOfRangeError (outside a chart's axis or a
    formula's range); the message names the value and the range in trade words. Nothing is extrapolated or clamped.
    `engines` names an engine configuration of the aircraft file; None means all engines.
    """

    @property
    def engine_configurations(self) -> tuple[EngineConfiguration, ...]:
        """Return the engine configurations the file covers, all engines first, then fewer."""
        ...

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
        """Return the setting that holds level flight; the head wind moves only the two range speeds.

        Levers, gear and flaps are those the file gives for the phase; flaps or a mixture that are given go before.

        A mixture is one to be kept to; None leans where that is permitted. Charts that print only the other one there
        are taken as they are, and the setting's governing limit says so.
        """
        ...

    def climb(
        self, mass_kg: float, air: Air, *, engines: str | None = None, ias_m_per_s: float | None = None
    ) -> ClimbState:
        """Return the climb at climb power at one height, at an indicated airspeed; None is the climb speed of the file."""
        ...

    def best_climb_speed(self, mass_kg: float, air: Air, *, engines: str | None = None) -> float:
        """Return the indicated airspeed of the best rate of climb; of charts, the climb speed they were made for."""
        ...

    def descent(
        self,
        mass_kg: float,
        air: Air,
        *,
        rate_m_per_s: float | None = None,
        ias_m_per_s: float | None = None,
        phase: FlightPhase = "descent",
    ) -> DescentState:
        """Return the descent at descent speed at a rate through pressure altitude; None takes those of the file.

        Another phase is a final: gear and flaps out, the throttle no further back than keeps the engines warm.
        """
        ...

    def as_set(self, setting: PowerSetting) -> PowerSetting:
        """Return a level or descending setting rounded to what the instruments show, power and fuel flow as rounded.

        The pair never exceeds the limits and never gives less than the power; charts are taken in their own steps.
        """
        ...

    def held_at(self, setting: PowerSetting, engine_speed_rpm: float) -> LeverPair | None:
        """Return the manifold pressure that holds a level setting's speed at another engine speed, and the fuel flow about it.

        None of an aircraft whose settings are not rounded: charts are taken in their own steps.
        """
        ...

    def go_around(self, mass_kg: float, air: Air, *, engines: str | None = None) -> ClimbState:
        """Return the climb of a go-around at the rating, flaps, gear and speed the file gives it."""
        ...

    def take_off_setting(self, air: Air) -> PowerSetting:
        """Return the take-off setting at the unstick speed of the greatest take-off mass."""
        ...

    def ground_fuel_flow_kg_per_s(self, activity: GroundActivity) -> float:
        """Return the fuel flow of all engines on the ground [kg/s]."""
        ...

    def stall_ias_m_per_s(self, mass_kg: float, configuration: str, *, bank_deg: float = 0.0) -> float:
        """Return the indicated stalling speed, power off, in a named configuration such as "flaps up"."""
        ...

    def speeds(self, mass_kg: float) -> OperatingSpeeds:
        """Return the indicated speeds of the aircraft file at this mass."""
        ...

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
        """Return the mass between the two at which rich must be used above and lean may be used below, or None."""
        ...

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
        """Return the highest pressure altitude at which the rate of climb is met at climb power and a speed as in climb.

        Icing has her in cloud with carburettor ice at every altitude, the levers against it set; charts made without warm
        air do not answer that.
        """
        ...

    def lever_moves(self, before: PowerSetting | None, after: PowerSetting) -> tuple[LeverMove, ...]:
        """Return the lever movements from one setting to the next, in the order in which they are made."""
        ...
