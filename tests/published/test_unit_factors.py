"""Every conversion through the units room against printed tables of factors."""

from __future__ import annotations

import pytest

from briefgen.units import in_unit, to_si
from tests.shared.published_rows import half_digit, rows


@pytest.mark.parametrize("row", rows("unit_factors"), ids=lambda row: f"{row['from']} to {row['to']}")
def test_factor_is_met_to_half_its_last_digit(row: dict[str, str]) -> None:
    """One of the first unit, read and shown in the second, is the printed factor."""
    found = in_unit(to_si(1.0, row["from"]), row["to"])

    assert found == pytest.approx(float(row["factor"]), abs=half_digit(row["factor"]) + 1e-12, rel=1e-14)
