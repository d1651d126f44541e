"""Lift, stalling speed, load factor and the energy of a climb."""

from __future__ import annotations

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel.aerodynamics import energy_climb_ratio, lift_coefficient, load_factor, stalling_speed


@pytest.mark.parametrize(("bank_deg", "expected"), [(0.0, 1.0), (30.0, 1.1547), (45.0, 1.4142), (60.0, 2.0)])
def test_load_factor_of_a_level_turn(bank_deg: float, expected: float) -> None:
    """FAA-H-8083-25, load factor chart, printed to four decimals."""
    assert load_factor(bank_deg) == pytest.approx(expected, rel=0, abs=5e-5)


def test_a_turn_on_the_wing_tip_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="bank 90 deg is out of range"):
        load_factor(90.0)


def test_at_the_stalling_speed_the_lift_coefficient_is_the_greatest() -> None:
    speed = stalling_speed(25000.0, 1.225, 132.0, 1.5, load_factor_ratio=1.2)

    assert lift_coefficient(25000.0, 0.5 * 1.225 * speed**2, 132.0, 1.2) == pytest.approx(1.5)


def test_at_constant_true_airspeed_all_spare_power_climbs() -> None:
    assert energy_climb_ratio(80.0, 0.0) == 1.0


def test_speeding_up_on_the_climb_costs_rate() -> None:
    """V dV/dh / g = 80 * 0.004 / 9.80665 = 0.03263: the rate falls to 1/1.03263."""
    assert energy_climb_ratio(80.0, 0.004) == pytest.approx(1.0 / 1.03263, rel=1e-5)
