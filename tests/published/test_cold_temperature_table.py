"""Cold-temperature corrections against the printed table and the formula of ICAO Doc 8168."""

from __future__ import annotations

import pytest

from briefgen.kernel.altimetry import cold_temperature_correction, true_altitude, true_height_in_cold_air
from tests.shared.published_rows import rows

FT_M = 0.3048
TABLE_FT = 10.0  # the table is rounded to 10 ft, mostly upwards
# The metric form of the formula has 0.0065 K/m where the form in feet rounds to 0.00198 K/ft.
CONSTANTS_RATIO = 2e-4


@pytest.mark.parametrize(
    "row",
    rows("cold_temperature_table"),
    ids=lambda row: f"{row['aerodrome_temperature_degC']}degC-{row['height_above_source_ft']}ft",
)
def test_the_printed_table_is_met_within_its_rounding(row: dict[str, str]) -> None:
    found_ft = (
        cold_temperature_correction(
            float(row["height_above_source_ft"]) * FT_M, 0.0, float(row["aerodrome_temperature_degC"]) + 273.15
        )
        / FT_M
    )

    assert found_ft == pytest.approx(float(row["published_correction_ft"]), abs=TABLE_FT)
    assert found_ft == pytest.approx(float(row["formula_ft_L_sea_level"]), abs=0.05, rel=CONSTANTS_RATIO)


@pytest.mark.parametrize("row", rows("cold_temperature_formula"), ids=lambda row: row["aerodrome_temperature_degC"])
def test_the_formula_is_met_at_an_elevated_aerodrome(row: dict[str, str]) -> None:
    found_ft = (
        cold_temperature_correction(
            float(row["height_above_source_ft"]) * FT_M,
            float(row["aerodrome_elevation_ft"]) * FT_M,
            float(row["aerodrome_temperature_degC"]) + 273.15,
        )
        / FT_M
    )
    # The reference's 0.00198 K/ft in place of 0.0019812 acts on the small difference from standard at elevation.
    assert found_ft == pytest.approx(float(row["correction_ft"]), abs=0.05, rel=CONSTANTS_RATIO)


@pytest.mark.parametrize(
    "row",
    rows("cold_temperature_table"),
    ids=lambda row: f"{row['aerodrome_temperature_degC']}degC-{row['height_above_source_ft']}ft",
)
def test_the_printed_table_read_backwards_gives_the_true_height(row: dict[str, str]) -> None:
    """An altimeter that shows the height with its printed correction added stands at the height, within its rounding."""
    height_ft = float(row["height_above_source_ft"])
    shown_ft = height_ft + float(row["published_correction_ft"])

    found_ft = true_height_in_cold_air(shown_ft * FT_M, 0.0, float(row["aerodrome_temperature_degC"]) + 273.15) / FT_M

    assert found_ft == pytest.approx(height_ft, abs=TABLE_FT)


def test_true_altitude_of_a_level_in_cold_air() -> None:
    """Pressure altitude 5,000 ft at -10 degC: 4,750 ft (training bank: a rule of 4 % for 10 degC gives 4,700).

    The bank's answer is read off a computer scale; the constant deviation of the code over the whole column gives 4,733.
    """
    found_ft = true_altitude(5000.0 * FT_M, 0.0, 101325.0, -15.1) / FT_M

    assert found_ft == pytest.approx(4750.0, abs=20.0)


def test_level_over_high_ground_in_cold_air() -> None:
    """Ground 11,600 ft and 1,500 ft over it, QNH 1035, ISA-15, levels of full tens: FL140 (training bank)."""
    wanted_ft = 11_600.0 + 1_500.0
    true_ft = [true_altitude(level * 100.0 * FT_M, 0.0, 103500.0, -15.0) / FT_M for level in (120, 140)]

    assert true_ft[0] < wanted_ft < true_ft[1]
