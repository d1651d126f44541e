"""Airspeeds against an independent table and the printed formulae of the flight-test handbook."""

from __future__ import annotations

import math

import pytest

from briefgen.kernel import airspeed, atmosphere
from tests.shared.published_rows import half_digit, rows

FT_M = 0.3048
KT_M_PER_S = 1852.0 / 3600.0
PSF_PA = 47.880259
ROWS = rows("cas_tas_mach")


def temperature_k(row: dict[str, str]) -> float:
    deviation_k = float(row["temperature"].removeprefix("ISA") or 0.0)
    return atmosphere.standard_temperature(float(row["pressure_altitude_ft"]) * FT_M) + deviation_k


@pytest.mark.parametrize(
    "row", ROWS, ids=lambda row: f"{row['CAS_kt']}kt-{row['pressure_altitude_ft']}ft-{row['temperature']}"
)
def test_airspeeds_of_the_independent_table_are_reproduced(row: dict[str, str]) -> None:
    calibrated, altitude_m = float(row["CAS_kt"]) * KT_M_PER_S, float(row["pressure_altitude_ft"]) * FT_M
    true = airspeed.true_from_calibrated(calibrated, altitude_m, temperature_k(row))
    equivalent = airspeed.equivalent_from_calibrated(calibrated, altitude_m)
    density = atmosphere.density(atmosphere.pressure_at_altitude(altitude_m), temperature_k(row))
    found = {
        "impact_pressure_qc_Pa": airspeed.impact_pressure(calibrated),
        "Mach": airspeed.mach_from_calibrated(calibrated, altitude_m),
        "TAS_kt": true / KT_M_PER_S,
        "EAS_kt": equivalent / KT_M_PER_S,
        "compressibility_correction_CAS_minus_EAS_kt": (calibrated - equivalent) / KT_M_PER_S,
        "dynamic_pressure_q_Pa": airspeed.dynamic_pressure(true, density),
    }
    for column, value in found.items():
        # The references round the sea-level speed of sound and density to six or seven digits.
        allowed = max(half_digit(row[column]), 0.0005 if column.endswith("kt") else 0.0) + 1.5e-6 * abs(value)

        assert value == pytest.approx(float(row[column]), abs=allowed, rel=0), column


@pytest.mark.parametrize(
    "row", ROWS, ids=lambda row: f"{row['CAS_kt']}kt-{row['pressure_altitude_ft']}ft-{row['temperature']}"
)
def test_the_calibrated_airspeed_comes_back_from_the_true_airspeed_of_the_table(row: dict[str, str]) -> None:
    found = airspeed.calibrated_from_true(
        float(row["TAS_kt"]) * KT_M_PER_S, float(row["pressure_altitude_ft"]) * FT_M, temperature_k(row)
    )
    # Half a digit of the printed true airspeed; calibrated airspeed never changes faster than true.
    assert found / KT_M_PER_S == pytest.approx(float(row["CAS_kt"]), abs=0.0005 + 1.5e-6 * float(row["CAS_kt"]))


@pytest.mark.parametrize("calibrated_kt", [100.0, 150.0, 220.0, 300.0])
def test_the_handbook_formula_in_knots_and_psf_is_met(calibrated_kt: float) -> None:
    """Flight-test handbook 2013, ch. 4: Vc = 1479 sqrt((qc/2116 + 1)^(2/7) - 1); four printed digits."""
    impact_psf = airspeed.impact_pressure(calibrated_kt * KT_M_PER_S) / PSF_PA
    handbook_kt = 1479.0 * math.sqrt((impact_psf / 2116.0 + 1.0) ** (2.0 / 7.0) - 1.0)

    assert handbook_kt == pytest.approx(calibrated_kt, rel=5e-4)


@pytest.mark.parametrize("mach", [0.1, 0.3, 0.5])
def test_impact_pressure_over_dynamic_pressure_follows_the_handbook_series(mach: float) -> None:
    """Flight-test handbook 2013, ch. 4: qc/q = 1 + M^2/4 + M^4/40 + M^6/1600, truncated there."""
    altitude_m = 5000.0
    impact_pa = airspeed.impact_pressure(airspeed.calibrated_from_mach(mach, altitude_m))
    temperature = atmosphere.standard_temperature(altitude_m)
    density = atmosphere.density(atmosphere.pressure_at_altitude(altitude_m), temperature)
    dynamic_pa = airspeed.dynamic_pressure(airspeed.true_from_mach(mach, temperature), density)

    assert impact_pa / dynamic_pa == pytest.approx(1 + mach**2 / 4 + mach**4 / 40 + mach**6 / 1600, abs=1e-6)
