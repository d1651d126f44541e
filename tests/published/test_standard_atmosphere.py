"""The standard atmosphere against printed tables and against the `fluids` library."""

from __future__ import annotations

import math

import fluids
import pytest

from briefgen.kernel import atmosphere
from tests.shared.published_rows import half_digit, rows

FT_M = 0.3048
INHG_PA = 3386.38864
SEA_LEVEL_DENSITY_SLUG_PER_FT3 = 0.0023769  # as the handbook prints it
KT_M_PER_S = 1852.0 / 3600.0
TROPOPAUSE_ROW_FT = 36089  # stands for 11,000 m, which is 36,089.24 ft

# The handbook takes the sea-level density as 1.225 kg/m3 exactly (1.22499916 by the standard's own constants) and
# rounds the ratios it starts from.
HANDBOOK_ROUNDING = 2e-6
# In the isothermal layer its printed exponent, 4.8063e-5 per foot, adds an error that grows with height.
HANDBOOK_EXPONENT_ROUNDING = 1e-5
# The textbook starts from a speed of sound of 661.7 kt where the standard has 661.48.
TEXTBOOK_SPEED_OF_SOUND_RATIO = 5e-4
# `fluids` carries the gas constant of the standard to fewer digits.
LIBRARY_ROUNDING = 1e-5


def altitude_m(row_ft: str) -> float:
    return 11000.0 if int(row_ft) == TROPOPAUSE_ROW_FT else float(row_ft) * FT_M


@pytest.mark.parametrize("row", rows("isa_1976_table"), ids=lambda row: row["pressure_altitude_ft"])
def test_the_handbook_table_of_the_1976_standard_is_reproduced(row: dict[str, str]) -> None:
    altitude = altitude_m(row["pressure_altitude_ft"])
    temperature_k = atmosphere.standard_temperature(altitude)
    pressure_pa = atmosphere.pressure_at_altitude(altitude)
    density = atmosphere.density(pressure_pa, temperature_k)
    found = {
        "delta": pressure_pa / 101325.0,
        "sigma": density / 1.225,
        "theta": temperature_k / 288.15,
        "T_K": temperature_k,
        "T_degC": temperature_k - 273.15,
        "T_degF": temperature_k * 1.8 - 459.67,
        "p_Pa": pressure_pa,
        "p_inHg": pressure_pa / INHG_PA,
        "rho_kg_m3": density,
        "rho_slug_ft3": density / 1.225 * SEA_LEVEL_DENSITY_SLUG_PER_FT3,
        "a_kt_computed_L": atmosphere.speed_of_sound(temperature_k) / KT_M_PER_S,
    }
    slack = HANDBOOK_ROUNDING if altitude <= 11000.0 else HANDBOOK_EXPONENT_ROUNDING
    for column, value in found.items():
        printed = float(row[column])
        allowed = half_digit(row[column]) + (0.0 if column.startswith("T_") else slack * abs(printed))

        assert value == pytest.approx(printed, abs=allowed, rel=0), column


@pytest.mark.parametrize("row", rows("isa_1976_table"), ids=lambda row: row["pressure_altitude_ft"])
def test_the_printed_pressure_gives_back_its_altitude(row: dict[str, str]) -> None:
    printed_pa = float(row["p_Pa"])
    scale_height_m = 8500.0  # never less than what the pressure falls by a factor e in, for the allowance only
    allowed = scale_height_m * (half_digit(row["p_Pa"]) / printed_pa + HANDBOOK_EXPONENT_ROUNDING)

    assert atmosphere.altitude_at_pressure(printed_pa) == pytest.approx(
        altitude_m(row["pressure_altitude_ft"]), abs=allowed, rel=0
    )


@pytest.mark.parametrize("row", rows("isa_textbook_table"), ids=lambda row: row["altitude_ft"])
def test_the_textbook_table_is_reproduced(row: dict[str, str]) -> None:
    altitude = altitude_m(row["altitude_ft"])
    temperature_k = atmosphere.standard_temperature(altitude)
    pressure_pa = atmosphere.pressure_at_altitude(altitude)
    density_ratio = atmosphere.density(pressure_pa, temperature_k) / 1.225
    found = {
        "sigma": density_ratio,
        "sqrt_sigma": math.sqrt(density_ratio),
        "delta": pressure_pa / 101325.0,
        "theta": temperature_k / 288.15,
        "T_degF": temperature_k * 1.8 - 459.67,
    }
    for column, value in found.items():
        assert value == pytest.approx(float(row[column]), abs=half_digit(row[column]), rel=0), column
    speed_kt = atmosphere.speed_of_sound(temperature_k) / KT_M_PER_S

    assert speed_kt == pytest.approx(float(row["a_kt"]), rel=TEXTBOOK_SPEED_OF_SOUND_RATIO)


@pytest.mark.parametrize("geometric_altitude_m", [-500.0, 0.0, 1500.0, 5000.0, 10900.0, 11500.0, 15000.0, 19000.0])
def test_the_fluids_library_agrees_at_a_geometric_altitude(geometric_altitude_m: float) -> None:
    """That library takes geometric altitude."""
    reference = fluids.ATMOSPHERE_1976(geometric_altitude_m)
    altitude = atmosphere.geopotential_from_geometric(geometric_altitude_m)
    temperature_k = atmosphere.standard_temperature(altitude)
    pressure_pa = atmosphere.pressure_at_altitude(altitude)

    assert altitude == pytest.approx(reference.H, abs=0.01)
    assert temperature_k == pytest.approx(reference.T, rel=LIBRARY_ROUNDING)
    assert pressure_pa == pytest.approx(reference.P, rel=LIBRARY_ROUNDING)
    assert atmosphere.density(pressure_pa, temperature_k) == pytest.approx(reference.rho, rel=LIBRARY_ROUNDING)
    assert atmosphere.speed_of_sound(temperature_k) == pytest.approx(reference.v_sonic, rel=LIBRARY_ROUNDING)


def test_the_handbook_sea_level_speed_of_sound_is_reproduced() -> None:
    """Society of Flight Test Engineers, Reference Handbook, 2013, ch. 3: 340.294 m/s."""
    assert atmosphere.speed_of_sound(288.15) == pytest.approx(340.294, abs=0.0005)


@pytest.mark.parametrize(
    "row", rows("density_altitude"), ids=lambda row: f"{row['pressure_altitude_ft']}-{row['OAT_degC']}"
)
def test_density_altitudes_dry_and_moist_agree_with_the_closed_form(row: dict[str, str]) -> None:
    dew_point_k = float(row["dew_point_degC"]) + 273.15 if row["dew_point_degC"] else None
    found_m = atmosphere.density_altitude(
        float(row["pressure_altitude_ft"]) * FT_M, float(row["OAT_degC"]) + 273.15, dew_point_k
    )
    # The reference rounds its gas constant to 287.05287, two parts in ten million: a few millimetres.
    allowed_ft = half_digit(row["density_altitude_exact_ft"]) + 0.02

    assert found_m / FT_M == pytest.approx(float(row["density_altitude_exact_ft"]), abs=allowed_ft)


def test_the_density_altitude_read_from_the_pilots_handbook_chart_is_met() -> None:
    """FAA-H-8083-25, figure 10-21 sample problem: 5,718 ft and 70 degF read as 7,700 ft; charts read to 150 ft."""
    found_m = atmosphere.density_altitude(5718.0 * FT_M, (70.0 + 459.67) / 1.8)

    assert found_m / FT_M == pytest.approx(7700.0, abs=150.0)
