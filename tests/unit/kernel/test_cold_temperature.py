"""The cold-temperature correction grows with cold and height, and is never a licence to go lower."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.errors import OutOfRangeError
from briefgen.kernel.altimetry import cold_temperature_correction, true_height_in_cold_air


@given(st.floats(10.0, 3000.0), st.floats(0.0, 2000.0), st.floats(220.0, 270.0), st.floats(1.0, 10.0))
def test_colder_air_and_greater_height_need_more(
    height_m: float, elevation_m: float, temperature_k: float, step: float
) -> None:
    correction_m = cold_temperature_correction(height_m, elevation_m, temperature_k)

    assert 0.0 < correction_m < cold_temperature_correction(height_m, elevation_m, temperature_k - step)
    assert correction_m < cold_temperature_correction(height_m + step, elevation_m, temperature_k)


@given(st.floats(0.0, 3000.0), st.floats(288.15, 320.0))
def test_warm_air_takes_nothing_off(height_m: float, temperature_k: float) -> None:
    assert cold_temperature_correction(height_m, 0.0, temperature_k) == 0.0


def test_a_setting_from_a_higher_station_makes_the_layer_colder() -> None:
    own = cold_temperature_correction(600.0, 100.0, 250.0)

    assert cold_temperature_correction(600.0, 100.0, 250.0, source_elevation_m=100.0) == own
    assert cold_temperature_correction(600.0, 100.0, 250.0, source_elevation_m=900.0) > own


def test_values_outside_the_formula_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="height above the altimeter-setting source"):
        cold_temperature_correction(10001.0, 0.0, 250.0)
    with pytest.raises(OutOfRangeError, match=r"air temperature -293\.15 degC"):
        cold_temperature_correction(100.0, 0.0, -20.0)


@given(st.floats(0.0, 3000.0), st.floats(0.0, 2000.0), st.floats(220.0, 310.0), st.floats(0.0, 2000.0))
def test_true_height_and_correction_are_inverse(
    height_m: float, elevation_m: float, temperature_k: float, station_m: float
) -> None:
    """The indicated height less the correction of the true one is the true one; warm air gives nothing."""
    correction_m = cold_temperature_correction(height_m, elevation_m, temperature_k, source_elevation_m=station_m)
    true_m = true_height_in_cold_air(height_m + correction_m, elevation_m, temperature_k, source_elevation_m=station_m)

    assert true_m == pytest.approx(height_m, abs=1e-6)
