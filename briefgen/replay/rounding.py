"""Settings as gauges round them, for many samples at once.

What gauges round is tabled unrounded and rounded for each sample by itself, because a rounded flow jumps where a smooth one does
not: engine speed goes up to its step, manifold pressure to the step that gives no less than the power, and where that is more
than is permitted, engine speed goes up by another step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from briefgen.aircraft.interface import Performance
from briefgen.model.performance import PowerSetting
from briefgen.replay.draws import Array

# What a node of level flight holds: true airspeed, fuel flow, engine speed, and then the figures of a pair of levers at
# engine speeds so many steps of the gauge above that.
TAS, FLOW, RPM, PAIRS = range(4)
STEPS_ABOVE = 4
PAIR = 5  # figures of a pair
SIZE = PAIRS + PAIR * STEPS_ABOVE
ROUND_OFF = 1e-4  # of a step, as settings are rounded


@dataclass(frozen=True)
class Gauges:
    """Steps a setting is rounded up to: engine speed [rpm] and manifold pressure [Pa]."""

    step_rpm: float
    step_pa: float

    def node(self, performance: Performance, exact: PowerSetting) -> tuple[float, ...]:
        """Return what is kept of an exact setting, so that its neighbours can be rounded."""
        assert exact.engine_speed_rpm is not None
        pairs: list[float] = []
        for above in range(STEPS_ABOVE):
            pair = performance.held_at(exact, exact.engine_speed_rpm + above * self.step_rpm)
            assert pair is not None
            pairs += pair
        return exact.tas_m_per_s, exact.fuel_flow_kg_per_s, exact.engine_speed_rpm, *pairs

    def flow(self, found: Array) -> Array:
        """Return the fuel flow of the pair that the gauges allow, nodes being along the last axis; without one, of the exact setting."""
        flow = found[..., FLOW].copy()
        open_still = ~np.isnan(flow)
        speed = found[..., RPM] / self.step_rpm
        part = np.clip(np.ceil(speed - ROUND_OFF) - speed, 0.0, 1.0)[..., None]
        pairs = found[..., PAIRS:].reshape(*found.shape[:-1], STEPS_ABOVE, PAIR)
        for above in range(STEPS_ABOVE - 1):
            between = (1.0 - part) * pairs[..., above, :] + part * pairs[..., above + 1, :]
            exact_pa, permitted_pa, highest_rpm, held, per_pa = np.moveaxis(between, -1, 0)
            up_pa = np.ceil(exact_pa / self.step_pa - ROUND_OFF) * self.step_pa
            up_rpm = (np.ceil(speed - ROUND_OFF) + above) * self.step_rpm
            fits = open_still & (up_pa <= permitted_pa * (1.0 + ROUND_OFF)) & (up_rpm <= highest_rpm + ROUND_OFF)
            flow = np.where(fits, held + per_pa * (up_pa - exact_pa), flow)
            open_still &= ~fits
        return np.asarray(flow)
