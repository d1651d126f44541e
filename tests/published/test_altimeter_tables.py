"""Altimeter settings against printed corrections, closed forms and worked examples."""

from __future__ import annotations

import math

import pytest

from briefgen.kernel import altimetry
from tests.shared.published_rows import half_digit, rows

FT_M = 0.3048
INHG_PA = 3386.38864
PUBLISHED_CORRECTION_FT = 1.2  # the printed table departs from the closed form by up to this
REFERENCE_ROUNDING = 1e-6  # the reference rounds the exponent of the troposphere to 5.25588; 0.01 ft in altitude
RULE_OF_THUMB_FT = 20.0  # 30 ft per hPa is a rule of thumb; 10 hPa by the closed form are 281 ft, printed 300


@pytest.mark.parametrize("row", rows("altimeter_setting_correction"), ids=lambda row: row["altimeter_setting_inHg"])
def test_the_pilots_handbook_correction_table_is_reproduced(row: dict[str, str]) -> None:
    found_ft = altimetry.pressure_altitude(0.0, float(row["altimeter_setting_inHg"]) * INHG_PA) / FT_M

    assert found_ft == pytest.approx(
        float(row["published_pressure_altitude_at_sea_level_ft"]), abs=PUBLISHED_CORRECTION_FT + 0.5
    )
    assert found_ft == pytest.approx(float(row["closed_form_ft_L"]), abs=half_digit(row["closed_form_ft_L"]))


@pytest.mark.parametrize("row", rows("qnh_to_pressure_altitude"), ids=lambda row: row["QNH_hPa"])
def test_the_zero_of_the_scale_moves_with_the_setting(row: dict[str, str]) -> None:
    found_ft = altimetry.setting_altitude(float(row["QNH_hPa"]) * 100.0) / FT_M
    printed = row["pressure_altitude_at_MSL_ft_exact"]

    assert found_ft == pytest.approx(float(printed), abs=half_digit(printed))


@pytest.mark.parametrize("row", rows("field_pressure_altitude"), ids=lambda row: row["elevation_ft"])
def test_station_pressure_and_pressure_altitude_of_a_field_agree_with_the_closed_form(row: dict[str, str]) -> None:
    elevation_m = float(row["elevation_ft"]) * FT_M
    setting_pa = float(row["QNH_hPa"]) * 100.0
    station_pa = altimetry.station_pressure(elevation_m, setting_pa)
    pressure_altitude_ft = altimetry.pressure_altitude(elevation_m, setting_pa) / FT_M

    printed_hpa = float(row["station_pressure_hPa"])

    assert station_pa / 100.0 == pytest.approx(printed_hpa, abs=0.0005 + REFERENCE_ROUNDING * printed_hpa)
    assert pressure_altitude_ft == pytest.approx(float(row["pressure_altitude_ft"]), abs=0.05 + 0.01)


def test_the_course_example_by_the_rule_of_thumb_is_met_within_the_rule() -> None:
    """Australian performance theory course, section 8.4: 1,500 ft at 1003 hPa printed as 1,800 ft by 30 ft per hPa."""
    found_ft = altimetry.pressure_altitude(1500.0 * FT_M, 100300.0) / FT_M

    assert found_ft == pytest.approx(1800.0, abs=RULE_OF_THUMB_FT)


@pytest.mark.parametrize("deviation_k", [-40.0, -15.0, 0.0, 20.0])
@pytest.mark.parametrize("pressure_altitude_ft", [3000.0, 10000.0, 30000.0])
def test_true_altitude_agrees_with_the_handbook_temperature_compensation(
    pressure_altitude_ft: float, deviation_k: float
) -> None:
    """Flight-test handbook 2013, ch. 3: h = Hb + (dT/L) ln(1 + L (Hp - Hp_apt)/(T0 + L Hp_apt)), L -0.0019812 K/ft.

    The formula is printed in feet and for geopotential altitude; Hb is the altitude shown above the airport's level.
    The web port of the handbook misprints the fraction; this is the form that its units allow.
    """
    airport_ft, setting_pa, lapse_k_per_ft = 1165.0, 100575.7, -0.0019812
    airport_pressure_altitude_ft = 1370.2  # printed in field_pressure_altitude.csv
    shown_ft = airport_ft + pressure_altitude_ft - airport_pressure_altitude_ft
    expected_ft = shown_ft + deviation_k / lapse_k_per_ft * math.log(
        1.0
        + lapse_k_per_ft
        * (pressure_altitude_ft - airport_pressure_altitude_ft)
        / (288.15 + lapse_k_per_ft * airport_pressure_altitude_ft)
    )
    earth_radius_ft = 6356766.0 / FT_M
    expected_geometric_ft = earth_radius_ft * expected_ft / (earth_radius_ft - expected_ft)
    found_m = altimetry.true_altitude(pressure_altitude_ft * FT_M, airport_ft * FT_M, setting_pa, deviation_k)
    # 0.05 ft for the printed pressure altitude, 0.1 ft for the airport's geometric elevation taken as geopotential.
    assert found_m / FT_M == pytest.approx(expected_geometric_ft, abs=0.15)
