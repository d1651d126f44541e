"""Power rules of piston engines against the printed formulae."""

from __future__ import annotations

import pytest

from briefgen.kernel.engine import (
    brake_power,
    charge_temperature_ratio,
    mean_effective_pressure,
)
from tests.shared.published_rows import half_digit, rows

CUBIC_INCH_M3 = 0.0254**3
PSI_PA = 6894.757293168
HP_W = 745.69987158227
KELVIN_AT_0_DEGC = 273.15
SIGMA_ROUNDING = 0.5e-6 * 1.1324  # the table gives sigma to six digits and the slope passes the rounding on


@pytest.mark.parametrize("row", rows("carburettor_temperature"), ids=lambda row: row[next(iter(row))])
def test_power_goes_with_the_root_of_carburettor_air_temperature(row: dict[str, str]) -> None:
    carburettor_k = float(row["carburettor_air_temperature_degC"]) + KELVIN_AT_0_DEGC

    found = charge_temperature_ratio(15.0 + KELVIN_AT_0_DEGC, carburettor_k)

    printed = row["BHP_ratio_relative_to_15degC"]
    assert found == pytest.approx(float(printed), rel=0, abs=max(half_digit(printed), 0.5e-5))


@pytest.mark.parametrize("row", rows("brake_power"), ids=lambda row: row["power_hp"])
def test_brake_power_follows_from_mean_effective_pressure_and_back(row: dict[str, str]) -> None:
    mep_pa = float(row["mean_effective_pressure_psi"]) * PSI_PA
    displacement_m3 = float(row["displacement_cu_in"]) * CUBIC_INCH_M3
    speed_rpm = float(row["engine_speed_rpm"])

    power_w = brake_power(mep_pa, displacement_m3, speed_rpm)

    assert power_w / HP_W == pytest.approx(float(row["power_hp"]), rel=0, abs=half_digit(row["power_hp"]))
    assert mean_effective_pressure(power_w, displacement_m3, speed_rpm) == pytest.approx(mep_pa, rel=1e-12)
