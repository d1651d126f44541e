"""The altimeter setting of a field: refused where pressure and elevation cannot belong together."""

from __future__ import annotations

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel.altimetry import altimeter_setting


@pytest.mark.parametrize(("elevation_m", "pressure_pa"), [(800.0, 101325.0), (0.0, 84000.0)])
def test_a_pressure_that_does_not_belong_to_the_elevation_is_refused(elevation_m: float, pressure_pa: float) -> None:
    """Sea-level pressure at 800 m would be a setting above 1,100 hPa; both bounds are beyond the records (from memory)."""
    with pytest.raises(OutOfRangeError, match="altimeter setting"):
        altimeter_setting(elevation_m, pressure_pa)
