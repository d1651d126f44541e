"""Formulae of mass and balance outside the handbook problems: tie-downs, inverses and refusals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.errors import OutOfRangeError
from briefgen.kernel import balance

LB_KG = 0.45359237  # exact, NIST SP 811
LBF_N = 4.4482216152605  # exact, NIST SP 811


@pytest.mark.parametrize(
    ("mass_lb", "load_factor", "angle_deg", "straps"),
    [
        # Percentages of the rated strength at equal angles to floor and direction: 75 % at 30 deg, 50 % at 45 deg
        # (FM 55-450-2 chapter 6, from memory); forward factor 3.0, aft and sideways 1.5 (TM 10-3930-673-10, F-7).
        (10_000, 3.0, 30.0, 8),
        (10_000, 3.0, 45.0, 12),
        (10_000, 1.5, 30.0, 4),
        (10_001, 1.5, 30.0, 5),
        (0, 3.0, 30.0, 0),
    ],
)
def test_straps_of_5_000_lb_hold_a_load_at_the_percentage_of_their_angles(
    mass_lb: float, load_factor: float, angle_deg: float, straps: int
) -> None:
    """30,000 lb of restraint over 5,000 lb at 75 % is eight straps, at 50 % twelve; a pound more needs another."""
    found = balance.tie_downs_needed(mass_lb * LB_KG, load_factor, 5_000 * LBF_N, angle_deg, angle_deg)

    assert found == straps


def test_straps_upward_use_the_sine() -> None:
    """At 30 degrees to the floor half the strength pulls down: 20,000 lb over 2,500 lb is eight (first principles)."""
    assert balance.tie_downs_needed_upward(10_000 * LB_KG, 2.0, 5_000 * LBF_N, 30.0) == 8


def test_a_strap_across_the_direction_is_refused() -> None:
    """Beyond 80 degrees a strap holds next to nothing."""
    with pytest.raises(OutOfRangeError, match="angle between strap and direction 85 deg"):
        balance.tie_downs_needed(1_000.0, 1.5, 20_000.0, 30.0, 85.0)


@given(st.floats(10_000.0, 40_000.0), st.floats(5.0, 15.0), st.floats(10.0, 2_000.0), st.floats(-5.0, 25.0))
def test_a_mass_added_and_taken_off_again_leaves_the_centre_where_it_was(
    total_kg: float, arm_m: float, added_kg: float, added_arm_m: float
) -> None:
    """Adding and removing are inverse."""
    with_it = balance.arm_after_change(total_kg, arm_m, added_kg, added_arm_m)

    assert balance.arm_after_change(total_kg + added_kg, with_it, -added_kg, added_arm_m) == pytest.approx(arm_m)


@given(st.floats(10_000.0, 40_000.0), st.floats(-0.5, 0.5), st.floats(0.5, 20.0))
def test_the_mass_to_shift_shifts_as_asked(total_kg: float, change_m: float, distance_m: float) -> None:
    """The lever rule solved for the mass gives the movement asked for."""
    moved_kg = balance.mass_to_shift(total_kg, change_m, distance_m)

    assert balance.arm_after_shift(total_kg, 10.0, moved_kg, distance_m) == pytest.approx(10.0 + change_m)


def test_nothing_cannot_have_a_centre_of_gravity() -> None:
    """Masses that add up to nothing are refused."""
    with pytest.raises(OutOfRangeError, match="total mass 0 kg"):
        balance.centre_of_gravity([], [])


def test_mass_at_the_wanted_arm_cannot_bring_the_centre_there() -> None:
    """Adding mass exactly at the wanted arm never gets all the way."""
    with pytest.raises(OutOfRangeError, match="is zero"):
        balance.mass_to_add(1_000.0, 10.0, 11.0, 11.0)
