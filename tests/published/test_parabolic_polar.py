"""The parabolic polar against closed forms and textbook examples."""

from __future__ import annotations

import math

import pytest

from briefgen.kernel.aerodynamics import drag_coefficient, greatest_lift_drag_ratio, lift_coefficient
from briefgen.kernel.airspeed import dynamic_pressure
from briefgen.kernel.atmosphere import density, pressure_at_altitude, standard_temperature
from tests.shared.published_rows import half_digit, rows

FT_M = 0.3048
LB_KG = 0.45359237
LBF_N = 4.4482216152605
KT_M_PER_S = 1852.0 / 3600.0
HP_W = 745.69987158227
WING_AREA_M2 = 1736.0 * FT_M**2
ROUNDING = 2e-5  # the source prints five digits of coefficients that it carries on


@pytest.mark.parametrize("row", rows("parabolic_polar"), ids=lambda row: row["weight_lb"])
def test_drag_and_thrust_power_of_the_closed_form_are_reproduced(row: dict[str, str]) -> None:
    altitude_m = float(row["pressure_altitude_ft"]) * FT_M
    tas = float(row["true_airspeed_kt"]) * KT_M_PER_S
    rho = density(pressure_at_altitude(altitude_m), standard_temperature(altitude_m))
    pressure_pa = dynamic_pressure(tas, rho)

    lift = lift_coefficient(float(row["weight_lb"]) * LB_KG, pressure_pa, WING_AREA_M2)
    drag = drag_coefficient(lift, 0.0241, 11.5, 0.753)
    drag_n = drag * pressure_pa * WING_AREA_M2

    found = {
        "lift_coefficient": lift,
        "drag_coefficient": drag,
        "lift_over_drag": lift / drag,
        "drag_lbf": drag_n / LBF_N,
        "thrust_power_hp": drag_n * tas / HP_W,
    }
    for column, value in found.items():
        assert value == pytest.approx(float(row[column]), rel=ROUNDING, abs=half_digit(row[column])), column


def test_greatest_lift_drag_ratio_of_the_textbook_example() -> None:
    """J. D. Anderson, Introduction to Flight, chapter 6, propeller range example (from memory): L/D 13.62."""
    assert greatest_lift_drag_ratio(0.025, 7.37, 0.8) == pytest.approx(13.62, abs=0.03)  # read off a curve there


def test_speeds_for_range_and_endurance_stand_in_the_ratio_of_theory() -> None:
    """Speed of best glide over that of least power: fourth root of 3 (flight-test handbook 2013, chapter 5)."""
    lifts = [0.2 + 0.0001 * step for step in range(20000)]

    def drag(lift: float) -> float:
        return drag_coefficient(lift, 0.027, 7.6, 0.75)

    glide = max(lifts, key=lambda lift: lift / drag(lift))
    least_power = max(lifts, key=lambda lift: lift**1.5 / drag(lift))

    assert math.sqrt(least_power / glide) == pytest.approx(1.316074, abs=2e-4)
    at_least_power = least_power / drag(least_power)
    assert at_least_power / (glide / drag(glide)) == pytest.approx(
        math.sqrt(3.0) / 2.0, abs=5e-5
    )  # lift in steps of 1e-4
    assert glide / drag(glide) == pytest.approx(greatest_lift_drag_ratio(0.027, 7.6, 0.75), rel=1e-6)
