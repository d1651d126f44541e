"""Heights as rules ask for them: the cruising levels of a direction, and the time spent between two heights."""

from __future__ import annotations

import math
from itertools import pairwise

from briefgen.kernel.constants import FT_M
from briefgen.model.plan import Phase

LEVEL_STEP_M = 1000.0 * FT_M  # cruising levels of one direction lie two of these apart
HALF_CIRCLE_DEG = 180.0
VISUAL_OFFSET_M = 500.0 * FT_M
LEVEL_OFFSETS_M = {
    "visual": (VISUAL_OFFSET_M,),
    "instrument": (0.0,),
    "either": (0.0, VISUAL_OFFSET_M),
}


def level_error_m(height_m: float, track_magnetic_deg: float, offset_m: float) -> float:
    """Return how far a height lies from the nearest cruising level of its direction.

    Args:
        height_m: Height flown on the altimeter setting in force [m].
        track_magnetic_deg: Magnetic track [deg].
        offset_m: What the levels stand above whole thousands of feet: 0 or 500 ft [m].

    Returns:
        Distance to the nearest level of the direction [m], not negative.

    Source:
        14 CFR 91.159(a) and 91.179(b): odd thousands on 000 to 179, even thousands on 180 to 359, plus 500 ft under
        visual rules.
    """
    eastward = track_magnetic_deg % (2.0 * HALF_CIRCLE_DEG) < HALF_CIRCLE_DEG
    first_m = offset_m + (LEVEL_STEP_M if eastward else 0.0)
    return abs(math.remainder(height_m - first_m, 2.0 * LEVEL_STEP_M))


def time_between_heights_s(phases: tuple[Phase, ...], above_m: float, up_to_m: float) -> float:
    """Return the time spent above one pressure altitude and not above another; between nodes height changes evenly."""
    total_s = 0.0
    for phase in phases:
        for first, second in pairwise(phase.nodes):
            duration_s = (second.instant - first.instant).total_seconds()
            low, high = sorted((first.pressure_altitude_m, second.pressure_altitude_m))
            if high == low:
                total_s += duration_s if above_m < low <= up_to_m else 0.0
            else:
                total_s += duration_s * max(0.0, min(high, up_to_m) - max(low, above_m)) / (high - low)
    return total_s
