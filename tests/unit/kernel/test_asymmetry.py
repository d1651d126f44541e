"""Holding her straight with an engine stopped: limits, balance and scale of the fin's drag."""

from __future__ import annotations

import math

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel.aerodynamics import balancing_thrust, drag_coefficient, greatest_fin_moment, holding_drag

FIN = (4.9, 14.0)  # height and arm [m]
SLOW_PA, FAST_PA = 1000.0, 3000.0


def test_drag_follows_the_square_of_thrust_and_falls_with_speed() -> None:
    """Twice the moment four times the drag; three times the dynamic pressure a third of it."""
    assert holding_drag(2e5, SLOW_PA, *FIN) == pytest.approx(4.0 * holding_drag(1e5, SLOW_PA, *FIN))
    assert holding_drag(1e5, FAST_PA, *FIN) == pytest.approx(holding_drag(1e5, SLOW_PA, *FIN) / 3.0)
    assert holding_drag(-1e5, SLOW_PA, *FIN) == holding_drag(1e5, SLOW_PA, *FIN)


def test_the_fin_pays_what_a_wing_of_its_height_pays() -> None:
    """Induced drag coefficient C^2 / (pi A e) on the fin's area, e = 0.5: the formula of the wing, the other way round."""
    area_m2, pressure_pa, moment_n_m = 13.0, 1500.0, 9e4
    force = moment_n_m / FIN[1] / (pressure_pa * area_m2)
    induced = drag_coefficient(force, 0.0, FIN[0] ** 2 / area_m2, 0.5)

    assert holding_drag(moment_n_m, pressure_pa, *FIN) == pytest.approx(induced * pressure_pa * area_m2)


@pytest.mark.parametrize("arm_m", [0.0, 3.7, 11.6])
@pytest.mark.parametrize("resistance_n", [-4000.0, 0.0, 25000.0])
def test_the_thrust_found_balances_resistance_and_fin(arm_m: float, resistance_n: float) -> None:
    """Thrust of all engines left is the resistance and the drag of the moment it makes; also in a descent."""
    running, stopped_n = 3, 200.0
    thrust_n = balancing_thrust(resistance_n, running, arm_m, stopped_n, SLOW_PA, *FIN)
    fin_n = holding_drag((thrust_n + stopped_n) * arm_m, SLOW_PA, *FIN)

    assert running * thrust_n == pytest.approx(resistance_n + fin_n, rel=1e-9, abs=1e-6)


def test_engines_that_balance_cost_nothing_straight() -> None:
    assert balancing_thrust(24000.0, 2, 0.0, 200.0, SLOW_PA, *FIN) == 12000.0


def test_what_the_fin_eats_up_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="holding her straight costs more than they give"):
        balancing_thrust(60000.0, 2, 11.6, 200.0, 20.0, *FIN)


def test_the_greatest_moment_is_held_at_the_minimum_control_speed() -> None:
    """Four engines, an outer windmilling at 13,500 N of the others: the fin of 13 m2 holds her from 92 mph, by hand.

    0.6 q S l = (T + q f) y, so q = T y / (0.6 S l - f y) with f = 0.84 m2 and y = 7.92 m.
    """
    thrust_n, arm_m, windmilling_m2, area_m2 = 13500.0, 7.92, 0.84, 13.0
    by_hand_pa = thrust_n * arm_m / (0.6 * area_m2 * FIN[1] - windmilling_m2 * arm_m)
    mph = math.sqrt(2.0 * by_hand_pa / 1.225) / 0.44704

    assert mph == pytest.approx(92.3, abs=0.05)
    assert greatest_fin_moment(by_hand_pa, area_m2, FIN[1]) == pytest.approx(
        (thrust_n + by_hand_pa * windmilling_m2) * arm_m
    )
