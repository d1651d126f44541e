"""Turns against tables, the closed form and the handbook."""

from __future__ import annotations

import pytest

from briefgen.kernel import turns
from briefgen.kernel.aerodynamics import load_factor, stalling_speed
from tests.shared.published_rows import half_digit, rows

KT_M_PER_S = 1852.0 / 3600.0
FT_M = 0.3048


@pytest.mark.parametrize("row", rows("turns"), ids=lambda row: f"{row['TAS_kt']}kt-{row['condition']}")
def test_rate_radius_and_load_factor_agree_with_the_closed_form(row: dict[str, str]) -> None:
    true_airspeed = float(row["TAS_kt"]) * KT_M_PER_S
    rate = float(row["rate_deg_s"])
    if row["condition"] == "3 deg/s":
        bank = turns.bank_for_rate(true_airspeed, rate)
        assert bank == pytest.approx(float(row["bank_deg"]), abs=half_digit(row["bank_deg"]))
    else:
        bank = float(row["bank_deg"])
    radius = turns.turn_radius(true_airspeed, bank)

    assert turns.turn_rate(true_airspeed, bank) == pytest.approx(rate, abs=0.00005)
    assert radius == pytest.approx(float(row["radius_m"]), abs=0.005)
    assert radius / FT_M == pytest.approx(float(row["radius_ft"]), abs=0.05)
    assert load_factor(bank) == pytest.approx(float(row["load_factor"]), abs=0.5e-5)


@pytest.mark.parametrize("row", rows("load_factor"), ids=lambda row: row["bank_deg"])
def test_load_factor_and_stall_speed_ratio_agree_with_the_closed_form(row: dict[str, str]) -> None:
    bank = float(row["bank_deg"])

    assert load_factor(bank) == pytest.approx(float(row["load_factor"]), abs=0.5e-6)
    straight, banked = (stalling_speed(20000.0, 1.225, 130.0, 1.5, load) for load in (1.0, load_factor(bank)))
    assert banked / straight == pytest.approx(float(row["stall_speed_factor"]), abs=0.5e-6)


@pytest.mark.parametrize(
    ("true_airspeed_kt", "radius_ft", "rate"),
    [
        # Class M: FAA-H-8083-25, Aerodynamics of Flight, at 30 degrees of bank, whose constants carry four digits.
        (120.0, 2215.0, 5.25),
        (240.0, 8861.0, 2.62),
    ],
)
def test_the_turns_of_the_pilots_handbook_are_met(true_airspeed_kt: float, radius_ft: float, rate: float) -> None:
    true_airspeed = true_airspeed_kt * KT_M_PER_S

    assert turns.turn_radius(true_airspeed, 30.0) / FT_M == pytest.approx(radius_ft, rel=0.004)
    assert turns.turn_rate(true_airspeed, 30.0) == pytest.approx(rate, abs=0.01)


def test_an_orbit_at_the_standard_rate_takes_two_minutes() -> None:
    """Standard rate, 3 degrees a second: 360 degrees in 2 minutes (S, encyclopaedic text)."""
    bank = turns.bank_for_rate(80.0, 3.0)

    assert turns.race_track(80.0, bank, 0.0).lap_s == pytest.approx(120.0)
