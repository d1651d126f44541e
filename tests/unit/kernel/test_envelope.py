"""Limits of an envelope at a mass and the margins to them, on polygons simple enough to do by eye."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.errors import OutOfRangeError
from briefgen.kernel.envelope import envelope_margins, limits_at_mass

# Forward limit at 10 m up to 20,000 kg, then aft in a straight line to 11 m at 30,000 kg; aft limit at 12 m.
ARMS_M = (10.0, 10.0, 11.0, 12.0, 12.0)
MASSES_KG = (15_000.0, 20_000.0, 30_000.0, 30_000.0, 15_000.0)

# A notch: between 10 and 11 m nothing is allowed above 18,000 kg.
NOTCHED_ARMS_M = (9.0, 9.0, 10.0, 10.0, 11.0, 11.0, 12.0, 12.0)
NOTCHED_MASSES_KG = (10e3, 20e3, 20e3, 18e3, 18e3, 20e3, 20e3, 10e3)


def test_a_sloping_limit_is_read_half_way_up_its_edge() -> None:
    """Half-way from 20,000 to 30,000 kg the forward limit stands half-way from 10 to 11 m."""
    assert limits_at_mass(ARMS_M, MASSES_KG, 25_000.0) == ((pytest.approx(10.5), 12.0),)


@pytest.mark.parametrize("mass_kg", [15_000.0, 20_000.0, 30_000.0])
def test_the_cut_through_a_corner_counts_it_once(mass_kg: float) -> None:
    """At the lowest, a middle and the highest corner the envelope still has one forward and one aft limit."""
    ((forward_m, aft_m),) = limits_at_mass(ARMS_M, MASSES_KG, mass_kg)

    assert forward_m == {15_000.0: 10.0, 20_000.0: 10.0, 30_000.0: 11.0}[mass_kg]
    assert aft_m == 12.0


def test_a_notch_leaves_two_stretches() -> None:
    """Above the bottom of the notch there are two allowed stretches, below it one."""
    assert limits_at_mass(NOTCHED_ARMS_M, NOTCHED_MASSES_KG, 19e3) == ((9.0, 10.0), (11.0, 12.0))
    assert limits_at_mass(NOTCHED_ARMS_M, NOTCHED_MASSES_KG, 17e3) == ((9.0, 12.0),)


def test_a_centre_in_the_notch_is_outside() -> None:
    """10.5 m at 19,000 kg lies between the two stretches."""
    assert not envelope_margins(NOTCHED_ARMS_M, NOTCHED_MASSES_KG, 10.5, 19e3).inside


def test_the_nearest_limit_is_named_and_measured() -> None:
    """11.7 m at 25,000 kg is 0.3 m from the aft and 1.2 m from the forward limit."""
    margins = envelope_margins(ARMS_M, MASSES_KG, 11.7, 25_000.0)

    assert margins.inside
    assert margins.nearest == "aft limit"
    assert margins.aft_m == pytest.approx(0.3)
    assert margins.forward_m == pytest.approx(1.2)


def test_on_the_limit_is_inside_and_beyond_it_is_not() -> None:
    """Exactly at, and a millimetre ahead of, the forward limit."""
    assert envelope_margins(ARMS_M, MASSES_KG, 10.5, 25_000.0).inside
    ahead = envelope_margins(ARMS_M, MASSES_KG, 10.499, 25_000.0)

    assert not ahead.inside
    assert ahead.nearest == "forward limit"
    assert ahead.forward_m == pytest.approx(-0.001)


def test_too_heavy_and_too_light_have_no_margins_to_the_arms() -> None:
    """Outside in mass there is no limit to measure from; the passed limit is named."""
    assert envelope_margins(ARMS_M, MASSES_KG, 11.0, 30_100.0).nearest == "greatest mass"
    assert envelope_margins(ARMS_M, MASSES_KG, 11.0, 14_900.0).nearest == "least mass"
    assert envelope_margins(ARMS_M, MASSES_KG, 11.0, 30_100.0).forward_m is None


def test_two_corners_are_no_envelope() -> None:
    """A line encloses nothing."""
    with pytest.raises(OutOfRangeError, match="fewer than three corners"):
        envelope_margins((1.0, 2.0), (1.0, 2.0), 1.5, 1.5)


@given(st.floats(15_000.0, 30_000.0), st.floats(9.0, 13.0))
def test_the_margins_add_up_to_the_width_at_that_mass(mass_kg: float, arm_m: float) -> None:
    """Inside or outside, the two margins together are the distance between the limits."""
    ((forward_m, aft_m),) = limits_at_mass(ARMS_M, MASSES_KG, mass_kg)
    margins = envelope_margins(ARMS_M, MASSES_KG, arm_m, mass_kg)

    assert margins.forward_m is not None
    assert margins.aft_m is not None
    assert margins.forward_m + margins.aft_m == pytest.approx(aft_m - forward_m)
