"""Ends of the ranges that public functions of the kernel name: the end itself is taken, what lies a hair beyond is refused."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from briefgen.errors import BriefgenError, OutOfRangeError
from briefgen.kernel.aerodynamics import load_factor
from briefgen.kernel.balance import running_load, tie_downs_needed_upward
from briefgen.kernel.fuel import density_at_temperature
from briefgen.kernel.interpolate import Axis
from briefgen.kernel.magnetism import magnetic_field
from briefgen.kernel.turns import bank_for_rate, reversal_length, turn_radius, turn_rate

Call = Callable[[float], object]


@pytest.mark.parametrize(
    ("call", "taken", "refused"),
    [
        (lambda bank: turn_radius(70.0, bank), 80.0, 80.1),
        (lambda bank: turn_rate(70.0, bank), 80.0, 80.1),
        (lambda spacing: reversal_length(spacing, 1000.0), 0.5, -0.001),
        (lambda radius: reversal_length(0.0, radius), 0.5, 0.0),
        (lambda bank: load_factor(bank), 89.9, 90.0),
        (lambda bank: load_factor(bank), -89.9, -90.0),
        (lambda length: running_load(100.0, length), 0.01, 0.0),
        (lambda strength: tie_downs_needed_upward(100.0, 2.0, strength, 45.0), 1.0, 0.0),
        (lambda angle: tie_downs_needed_upward(100.0, 2.0, 22_000.0, angle), 10.0, 9.9),
        (lambda height: magnetic_field(-15.0, 167.0, height, 2027.1), -1000.0, -1000.2),
        (lambda height: magnetic_field(-15.0, 167.0, height, 2027.1), 850_000.0, 850_000.2),
        (lambda year: magnetic_field(-15.0, 167.0, 0.0, year), 2025.0, 2024.99),
        (lambda year: magnetic_field(-15.0, 167.0, 0.0, year), 2030.0, 2030.01),
        (lambda kelvin: density_at_temperature(720.0, 288.15, kelvin), 328.15, 328.2),
        (lambda kelvin: density_at_temperature(720.0, kelvin, 288.15), 223.15, 223.1),
        (lambda density: density_at_temperature(density, 288.15, 288.15), 653.0, 652.9),
        (lambda density: density_at_temperature(density, 288.15, 288.15), 770.0, 770.1),
    ],
)
def test_the_end_is_taken_and_what_lies_beyond_is_refused(call: Call, taken: float, refused: float) -> None:
    """Ranges are those of the docstrings."""
    call(taken)
    with pytest.raises(BriefgenError):
        call(refused)


def test_an_axis_needs_values_that_increase() -> None:
    for values in ((), (1.0, 1.0), (2.0, 1.0)):
        with pytest.raises(ValueError, match="axis"):
            Axis("mass", "kg", values)


def test_the_density_of_gasoline_by_the_formula_of_its_table() -> None:
    """ASTM D1250-80, table 54B, volume factor exp(-a t (1 + 0.8 a t)), a = 346.4228 / d^2 + 0.4388 / d: coefficients from memory.

    By hand at 720 kg/m3 and 15 degC: a = 0.00066826 + 0.00060944 = 0.00127770 per kelvin; 20 K warmer the factor is
    exp(-0.0255540 (1 + 0.0204432)) = 0.974261, so 701.47 kg/m3.
    """
    assert density_at_temperature(720.0, 288.15, 308.15) == pytest.approx(701.468, abs=0.01)
    assert density_at_temperature(701.468, 308.15, 288.15) == pytest.approx(720.0, abs=0.01)
    assert density_at_temperature(720.0, 300.0, 300.0) == pytest.approx(720.0, abs=1e-6)


def test_the_way_back_between_lines_closer_than_two_radii() -> None:
    """Plane geometry of three arcs (Dubins 1957): 7/3 of a half circle at no spacing, a half circle at two radii, even between."""
    lengths = [reversal_length(spacing, 1000.0) for spacing in (0.0, 500.0, 1000.0, 1500.0, 1999.0, 2000.0)]

    assert lengths[0] == pytest.approx(7.0 / 3.0 * math.pi * 1000.0)
    assert lengths[-1] == pytest.approx(math.pi * 1000.0)
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[2] == pytest.approx(1000.0 * (math.pi + 4.0 * math.acos(0.75)))


def test_a_bank_for_a_rate_turns_at_that_rate() -> None:
    bank = bank_for_rate(70.0, 3.0)

    assert turn_rate(70.0, bank) == pytest.approx(3.0, rel=1e-9)
    with pytest.raises(OutOfRangeError):
        bank_for_rate(70.0, -0.1)
