"""The envelope of the centre of gravity: its limits at a mass, and how a loading stands to them.

An envelope is a closed polygon of corners, arm against mass, joined by straight edges in the order given.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass

FORWARD_LIMIT = "forward limit"
AFT_LIMIT = "aft limit"
GREATEST_MASS = "greatest mass"
LEAST_MASS = "least mass"

# A corner of an envelope converted between units may miss itself by a few units in the last place.
_ROUND_OFF_RATIO = 1e-9


@dataclass(frozen=True)
class EnvelopeMargins:
    """How a centre of gravity stands to an envelope at its mass.

    Attributes:
        forward_m: Distance aft of the forward limit at this mass, negative when ahead of it [m].
        aft_m: Distance ahead of the aft limit at this mass, negative when behind it [m].
        inside: Whether mass and centre of gravity both lie inside, the edge included.
        nearest: The limit she is nearest to or has passed: forward limit, aft limit, greatest mass or least mass.
    """

    forward_m: float | None
    aft_m: float | None
    inside: bool
    nearest: str


def limits_at_mass(
    corner_arms_m: Sequence[float], corner_masses_kg: Sequence[float], mass_kg: float
) -> tuple[tuple[float, float], ...]:
    """Return the stretches of arms that lie inside an envelope at a mass, forward to aft.

    Args:
        corner_arms_m: Arms of the corners in order around the envelope [m].
        corner_masses_kg: Masses of the same corners [kg].
        mass_kg: Mass at which the envelope is cut [kg].

    Returns:
        Pairs of forward and aft limit [m]; one pair for every envelope without a notch, none at a mass outside it.

    Source:
        First principles: a horizontal line cut by the edges of a polygon.
    """
    slack_kg = _ROUND_OFF_RATIO * max(map(abs, corner_masses_kg))
    lowest_kg, highest_kg = min(corner_masses_kg), max(corner_masses_kg)
    if not lowest_kg - slack_kg <= mass_kg <= highest_kg + slack_kg:
        return ()
    cut_kg = min(max(mass_kg, lowest_kg), highest_kg)
    # A corner belongs to the edge above it and not to the one below, so that a cut through a corner counts once; at the
    # top, where nothing lies above, it is the other way round.
    at_top = cut_kg == highest_kg
    crossings = []
    corners = list(zip(corner_arms_m, corner_masses_kg, strict=True))
    for (arm_a, mass_a), (arm_b, mass_b) in pairwise([*corners, corners[0]]):
        low, high = min(mass_a, mass_b), max(mass_a, mass_b)
        if low < cut_kg <= high if at_top else low <= cut_kg < high:
            crossings.append(arm_a + (cut_kg - mass_a) / (mass_b - mass_a) * (arm_b - arm_a))
    crossings.sort()
    return tuple(zip(crossings[::2], crossings[1::2], strict=True))


def envelope_margins(
    corner_arms_m: Sequence[float], corner_masses_kg: Sequence[float], arm_m: float, mass_kg: float
) -> EnvelopeMargins:
    """Return how a centre of gravity stands to the limits of an envelope at its mass.

    Args:
        corner_arms_m: Arms of the corners in order around the envelope, at least three [m].
        corner_masses_kg: Masses of the same corners [kg].
        arm_m: Arm of the centre of gravity [m].
        mass_kg: Mass [kg].

    Returns:
        Margins to the forward and aft limit [m], None when the mass is outside the envelope, and the nearest limit.

    Raises:
        OutOfRangeError: The envelope has fewer than three corners.

    Source:
        First principles; a centre on the limit is within it, as TM 55-1500-342-23 chapter 4 compares printed figures.
    """
    if len(corner_arms_m) < 3:
        raise OutOfRangeError("the envelope has fewer than three corners", expected="three corners or more")
    stretches = limits_at_mass(corner_arms_m, corner_masses_kg, mass_kg)
    if not stretches:
        beyond = GREATEST_MASS if mass_kg > max(corner_masses_kg) else LEAST_MASS
        return EnvelopeMargins(None, None, False, beyond)
    forward_limit_m, aft_limit_m = max(stretches, key=lambda limits: min(arm_m - limits[0], limits[1] - arm_m))
    forward_m, aft_m = arm_m - forward_limit_m, aft_limit_m - arm_m
    nearest = FORWARD_LIMIT if forward_m <= aft_m else AFT_LIMIT
    slack_m = _ROUND_OFF_RATIO * max(map(abs, corner_arms_m))
    return EnvelopeMargins(forward_m, aft_m, min(forward_m, aft_m) >= -slack_m, nearest)
