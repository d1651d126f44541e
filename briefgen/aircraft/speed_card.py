"""The speeds of the aircraft file at a mass."""

from __future__ import annotations

import math
from bisect import bisect_right

from briefgen.model.aircraft import Aircraft, GroundFlows
from briefgen.model.performance import GroundActivity, OperatingSpeeds


def operating_speeds(aircraft: Aircraft, mass_kg: float) -> OperatingSpeeds:
    """Return the speeds of the file; unsticking takes one lift coefficient, so its speed goes with the root of mass."""
    card = aircraft.speeds
    return OperatingSpeeds(
        unstick_m_per_s=card.unstick_m_per_s * math.sqrt(mass_kg / card.unstick_mass_kg),
        safe_m_per_s=card.safe_m_per_s,
        climb_m_per_s=card.climb_m_per_s,
        climb_on_instruments_m_per_s=card.climb_on_instruments_m_per_s,
        descent_m_per_s=card.descent_m_per_s,
        hold_m_per_s=card.hold_m_per_s,
        approach_m_per_s=card.approach_m_per_s,
        base_m_per_s=card.base_m_per_s,
        final_m_per_s=card.final_m_per_s,
        threshold_m_per_s=threshold_ias(aircraft, mass_kg),
        flaps_limit_m_per_s=card.flaps_limit_m_per_s,
        gear_limit_m_per_s=card.gear_limit_m_per_s,
        never_exceed_m_per_s=card.never_exceed_m_per_s,
        minimum_control_m_per_s=minimum_control_ias(aircraft),
        climb_on_instruments_in=card.climb_on_instruments_in,
    )


def threshold_ias(aircraft: Aircraft, mass_kg: float) -> float:
    """Return the speed over the threshold at a mass [m/s]: that of the card, or of its table by mass between the masses given.

    Outside the masses of the table the nearest row is not stretched: above the heaviest the card's own speed counts where
    it is greater, below the lightest the lightest row's, which is the faster.
    """
    rows = [
        (one.mass_kg, one.threshold_m_per_s) for one in aircraft.speeds_by_mass if one.threshold_m_per_s is not None
    ]
    if not rows:
        return aircraft.speeds.threshold_m_per_s
    masses, speeds = [mass for mass, _ in rows], [speed for _, speed in rows]
    if mass_kg >= masses[-1]:
        return max(speeds[-1], aircraft.speeds.threshold_m_per_s)
    index = bisect_right(masses, mass_kg)
    if index == 0:
        return speeds[0]
    part = (mass_kg - masses[index - 1]) / (masses[index] - masses[index - 1])
    return speeds[index - 1] + part * (speeds[index] - speeds[index - 1])


def minimum_control_ias(aircraft: Aircraft) -> float | None:
    """Return the indicated airspeed [m/s] from which the sudden loss of the worst engine at take-off power can be held.

    None where the stall governs, as the file says in the row of all engines.
    """
    if aircraft.model is not None:
        configurations = [one.configuration for one in aircraft.model.engine_configurations]
    else:
        configurations = [*aircraft.charts.engine_configurations] if aircraft.charts is not None else []
    everyone = {one.name for one in configurations if one.running == aircraft.engines}
    return next(row.at_take_off_power_m_per_s for row in aircraft.minimum_control if row.engines in everyone)


def ground_flow(flows: GroundFlows, activity: GroundActivity) -> float:
    """Return the fuel flow of all engines on the ground [m3/s]."""
    return {
        "start": flows.start_m3_per_s,
        "taxi": flows.taxi_m3_per_s,
        "run-up": flows.run_up_m3_per_s,
        "shutdown": flows.shutdown_m3_per_s,
    }[activity]
