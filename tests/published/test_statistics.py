"""Least squares and Student's distribution against certified values, a printed table and an independent library.

Provenance: M, from memory, of NIST Statistical Reference Datasets, linear regression, Norris (36 observations of an ozone
photometer, certified to 15 digits) and of the NIST/SEMATECH e-Handbook, section 1.3.6.7.2, printed to three decimals; L,
computed with NumPy's lstsq.
"""

from __future__ import annotations

import numpy as np
import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel.statistics.least_squares import least_squares
from briefgen.kernel.statistics.student import student_quantile

# NIST StRD, Norris: y, x
NORRIS = (
    (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888.0, 884.6), (9.2, 10.1), (228.1, 226.5), (668.5, 666.3), (998.5, 996.3),
    (449.1, 448.6), (778.9, 777.0), (559.2, 558.2), (0.3, 0.4), (0.1, 0.6), (778.1, 775.5), (668.8, 666.9), (339.3, 338.0),
    (448.9, 447.5), (10.8, 11.6), (557.7, 556.0), (228.3, 228.1), (998.0, 995.8), (888.8, 887.6), (119.6, 120.2), (0.3, 0.3),
    (0.6, 0.3), (557.6, 556.8), (339.3, 339.1), (888.0, 887.2), (998.5, 999.0), (778.9, 779.0), (10.2, 11.1), (117.6, 118.3),
    (228.9, 229.2), (668.4, 669.1), (449.2, 448.9), (0.2, 0.5),
)  # fmt: skip
CERTIFIED = (-0.262323073774029, 1.00211681802045)
CERTIFIED_ERRORS = (0.232818234301152, 0.429796848199937e-03)
CERTIFIED_SCATTER = 0.884796396144373
# e-Handbook, critical values of Student's t: degrees of freedom, at 0.95, at 0.975, at 0.99
TABLE = (
    (1, 6.314, 12.706, 31.821), (2, 2.920, 4.303, 6.965), (5, 2.015, 2.571, 3.365), (10, 1.812, 2.228, 2.764),
    (30, 1.697, 2.042, 2.457), (100, 1.660, 1.984, 2.364),
)  # fmt: skip
HALF_PRINTED = 0.5e-3


def test_norris_of_the_reference_datasets() -> None:
    """Intercept, slope, their standard deviations and the residual one, to ten of the certified digits."""
    fit = least_squares([(1.0, x) for _, x in NORRIS], [y for y, _ in NORRIS], [1.0] * len(NORRIS))

    assert fit.values == pytest.approx(CERTIFIED, rel=1e-10)
    assert (fit.error(0), fit.error(1)) == pytest.approx(CERTIFIED_ERRORS, rel=1e-10)
    assert fit.scatter == pytest.approx(CERTIFIED_SCATTER, rel=1e-10)


@pytest.mark.parametrize("seed", range(4))
def test_weighted_fits_agree_with_the_library(seed: int) -> None:
    """Thirty observations of two or three coefficients with errors of their own, against lstsq and the inverse of the normal matrix."""
    draw = np.random.default_rng(seed)
    rows, errors = draw.normal(size=(30, 2 + seed % 2)), draw.uniform(0.5, 3.0, size=30)
    observed = rows @ draw.normal(size=rows.shape[1]) + errors * draw.normal(size=30)

    fit = least_squares(rows.tolist(), observed.tolist(), errors.tolist())

    weighted = rows / errors[:, None]
    values, square, _, _ = np.linalg.lstsq(weighted, observed / errors, rcond=None)
    covariance = np.linalg.inv(weighted.T @ weighted) * square[0] / fit.freedom
    assert fit.values == pytest.approx(values.tolist(), rel=1e-9)
    assert np.array(fit.covariance) == pytest.approx(covariance, rel=1e-9)
    assert fit.correlation(0, 1) == pytest.approx(
        covariance[0, 1] / np.sqrt(covariance[0, 0] * covariance[1, 1]), rel=1e-9
    )


@pytest.mark.parametrize(("freedom", "at_950", "at_975", "at_990"), TABLE)
def test_quantiles_are_those_of_the_printed_table(freedom: int, at_950: float, at_975: float, at_990: float) -> None:
    """To half a unit of the last printed digit."""
    found = [student_quantile(probability, freedom) for probability in (0.95, 0.975, 0.99)]

    assert found == pytest.approx([at_950, at_975, at_990], abs=HALF_PRINTED * 1.0001)


def test_what_cannot_be_told_apart_is_refused() -> None:
    """Two columns that say the same, and as many values as observations."""
    with pytest.raises(OutOfRangeError, match="cannot be told apart"):
        least_squares([(1.0, 2.0), (2.0, 4.0), (3.0, 6.0)], [1.0, 2.0, 3.0], [1.0] * 3)
    with pytest.raises(OutOfRangeError, match="2 observations cannot give 2 values"):
        least_squares([(1.0, 2.0), (2.0, 5.0)], [1.0, 2.0], [1.0] * 2)
    with pytest.raises(OutOfRangeError, match="no quantile"):
        student_quantile(0.3, 4)
