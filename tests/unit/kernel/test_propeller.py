"""The propeller formulae at their limits."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel.propeller import ideal_efficiency, ideal_thrust, power_coefficient, thrust_coefficient

IDEAL_BLADE = (0.3, 0.0, 0.0, 0.45, 1.0)  # broad enough not to stall; no profile drag, no induced loss beyond the ideal
BLADE = (0.098, 0.011, 0.02, 0.45, 1.12)


def test_a_blade_without_losses_is_the_ideal_disk() -> None:
    """Dimensionless: density, turns per second and diameter are 1, so the disk has pi/4 area and speed is J."""
    for advance in (0.0, 0.5, 1.5):
        power = power_coefficient(0.1, advance, *IDEAL_BLADE)

        assert ideal_thrust(power, advance, 1.0, math.pi / 4.0) == pytest.approx(0.1, rel=1e-9)


def test_static_thrust_of_the_ideal_disk_is_the_closed_form() -> None:
    """T = (2 rho A P^2)^(1/3)."""
    assert ideal_thrust(5e5, 0.0, 1.225, 9.8) == pytest.approx((2.0 * 1.225 * 9.8 * 5e5**2) ** (1.0 / 3.0), rel=1e-9)


def test_the_ideal_disk_comes_near_one_at_speed_and_none_standing() -> None:
    assert ideal_efficiency(4e5, 0.0, 1.225, 9.8) == 0.0
    assert ideal_efficiency(1e4, 100.0, 1.225, 9.8) > 0.99


def test_thrust_rises_with_power_at_every_advance_ratio() -> None:
    for advance in (0.0, 0.6, 1.4, 2.2):
        powers = [power_coefficient(0.0, advance, *BLADE) + 0.02 * step for step in range(12)]
        thrusts = [thrust_coefficient(power, advance, *BLADE) for power in powers]

        assert thrusts == sorted(thrusts)
        # Standing, a little thrust takes no more power than none: the blades then work nearer their design lift.
        assert thrusts[0] == pytest.approx(0.0, abs=3e-3)


def test_power_that_does_not_turn_the_blades_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="below that of the turning blades"):
        thrust_coefficient(1e-4, 1.0, *BLADE)


def test_a_stalled_blade_takes_more_power_for_less_and_never_the_other_way() -> None:
    """Without a jump at the onset, and ever steeper beyond it: power rises with thrust at every advance ratio."""
    for advance in (0.0, 0.3, 0.7, 1.3, 2.0, 2.6):
        powers = [power_coefficient(0.002 * step, advance, *BLADE) for step in range(20, 200)]
        steps = [after - before for before, after in pairwise(powers)]

        assert min(steps) > 0.0
        assert all(after >= before - 1e-12 for before, after in pairwise(steps))


def test_a_blade_asked_for_more_than_it_can_give_still_answers_below_the_bound() -> None:
    """Ten times the power of a usual take-off: little more thrust than five times gives, and far below momentum."""
    five, ten = (thrust_coefficient(power, 0.5, *BLADE) for power in (0.6, 1.2))

    assert five < ten < 1.6 * five
    assert ten < 0.6 * ideal_thrust(1.2, 0.5, 1.0, math.pi / 4.0)
