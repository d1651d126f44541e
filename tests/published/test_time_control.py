"""Time control against the worked examples of flying-training manuals."""

from __future__ import annotations

import math

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel import time_control
from briefgen.kernel.turns import bank_for_rate
from briefgen.kernel.wind import Wind
from tests.shared.published_rows import half_digit, rows

KT_M_PER_S = 1852.0 / 3600.0
NMI_M = 1852.0
CALM = Wind(0.0, 0.0)


@pytest.mark.parametrize("row", rows("time_control"), ids=lambda row: f"{row['source']} {row['error_s']}s")
def test_a_change_of_speed_is_held_as_long_as_the_manuals_print(row: dict[str, str]) -> None:
    held = time_control.time_to_hold(
        float(row["error_s"]), float(row["ground_speed_kt"]) * KT_M_PER_S, float(row["change_kt"]) * KT_M_PER_S
    )

    assert held == pytest.approx(float(row["hold_s"]), abs=half_digit(row["hold_s"]))


def test_an_orbit_at_the_standard_rate_takes_two_minutes() -> None:
    """FAA-H-8083-15 (class M): a turn of 360 degrees at the standard rate of 3 degrees a second loses 2 minutes."""
    bank = bank_for_rate(75.0, 3.0)

    assert time_control.orbit_time(75.0, bank) == pytest.approx(120.0, abs=0.001)


def test_the_orbit_of_a_turn_table_takes_its_printed_rate() -> None:
    """180 kt at 25 degrees of bank turn at 2.8263 deg/s (class D, 1091 tan(bank) / TAS)."""
    assert time_control.orbit_time(180.0 * KT_M_PER_S, 25.0) == pytest.approx(360.0 / 2.8263, rel=2e-3)


def test_right_and_left_dog_legs_mirror_each_other_in_a_head_wind() -> None:
    right = time_control.dog_leg(90.0, 75.0, Wind(90.0, 15.0), 60.0, 120.0)
    left = time_control.dog_leg(90.0, 75.0, Wind(90.0, 15.0), -60.0, 120.0)

    assert right.first_s == pytest.approx(left.first_s, rel=1e-12)
    assert right.offset_m == pytest.approx(left.offset_m, rel=1e-12)
    assert 180.0 - right.first_heading_deg == pytest.approx(left.first_heading_deg % 360.0)


@pytest.mark.parametrize("wind_deg", [0.0, 70.0, 200.0, 290.0])
def test_the_vectors_of_a_dog_leg_in_wind_close_and_lose_the_time(wind_deg: float) -> None:
    """Independent of the solution: fly both headings for their times, drift with the wind, and compare."""
    course, tas, wind, lost = 40.0, 75.0, Wind(wind_deg, 12.0), 180.0
    made = time_control.dog_leg(course, tas, wind, 45.0, lost)
    north = east = 0.0
    for heading, lasts in ((made.first_heading_deg, made.first_s), (made.second_heading_deg, made.second_s)):
        north += (tas * math.cos(math.radians(heading)) - wind.speed_m_per_s * math.cos(math.radians(wind_deg))) * lasts
        east += (tas * math.sin(math.radians(heading)) - wind.speed_m_per_s * math.sin(math.radians(wind_deg))) * lasts
    along = north * math.cos(math.radians(course)) + east * math.sin(math.radians(course))
    across = east * math.cos(math.radians(course)) - north * math.sin(math.radians(course))
    drift = math.radians(wind_deg - course)
    straight = math.sqrt(tas**2 - (12.0 * math.sin(drift)) ** 2) - 12.0 * math.cos(drift)

    assert across == pytest.approx(0.0, abs=1e-6)
    assert along == pytest.approx(made.along_m, rel=1e-9)
    assert made.first_s + made.second_s - along / straight == pytest.approx(lost, rel=1e-9)


def test_a_dog_leg_along_the_track_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="angle of the dog-leg"):
        time_control.dog_leg(0.0, 75.0, CALM, 0.0, 60.0)
