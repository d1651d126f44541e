"""The engine formulae: what they reduce to at their limits, and that inverses invert."""

from __future__ import annotations

import pytest

from briefgen.kernel.engine import (
    compressed_air_temperature,
    compressor_pressure_ratio,
    friction_mean_effective_pressure,
    geared_blower_ratio,
    intake_pressure,
)


def test_standing_still_the_intake_has_static_pressure() -> None:
    assert intake_pressure(70000.0, 0.0, 0.72) == 70000.0


def test_full_ram_recovery_gives_total_pressure() -> None:
    """Mach 0.5: total over static pressure 1.18621 (isentropic flow tables, NACA TR 1135)."""
    assert intake_pressure(100000.0, 0.5, 1.0) == pytest.approx(118621.0, abs=0.5)


def test_half_the_recovery_gives_half_the_rise() -> None:
    whole, half = (intake_pressure(100000.0, 0.3, ratio) for ratio in (1.0, 0.5))

    assert half - 100000.0 == pytest.approx((whole - 100000.0) / 2.0)


def test_blower_rise_goes_with_the_square_of_speed() -> None:
    assert geared_blower_ratio(2500.0, 2500.0, 0.38) == pytest.approx(1.38)
    assert geared_blower_ratio(1250.0, 2500.0, 0.38) == pytest.approx(1.0 + 0.38 / 4.0)
    assert geared_blower_ratio(1250.0, 2500.0, 0.0) == 1.0


def test_friction_is_its_constant_and_its_square_part() -> None:
    assert friction_mean_effective_pressure(1250.0, 2500.0, 100.0, 80.0) == pytest.approx(120.0)


def test_adiabatic_compression_to_twice_the_pressure() -> None:
    """A perfect compressor, no cooler: temperature ratio 2^(2/7) = 1.21901 (NACA TR 1135, isentropic relation)."""
    assert compressed_air_temperature(288.15, 2.0, 1.0, 0.0) == pytest.approx(288.15 * 1.21901, abs=0.01)


def test_a_perfect_cooler_brings_the_air_back() -> None:
    assert compressed_air_temperature(288.15, 2.5, 0.7, 1.0) == pytest.approx(288.15)


@pytest.mark.parametrize("ratio", [1.0, 1.4, 2.7])
def test_pressure_ratio_is_the_inverse_of_the_temperature_behind_the_cooler(ratio: float) -> None:
    hot_k = compressed_air_temperature(250.0, ratio, 0.68, 0.55)

    assert compressor_pressure_ratio(250.0, hot_k, 0.68, 0.55) == pytest.approx(ratio, rel=1e-12)
