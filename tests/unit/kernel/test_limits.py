"""What the kernel refuses it tells in the units of the trade, never in those it works in."""

from __future__ import annotations

import math
import re

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel.limits import quantity_text, require_within


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (3048.0, "m", "10,000 ft"),
        (51.444444444444, "m/s", "100 kt"),  # NIST SP 811: 1 kt = 0.514 444 4 m/s
        (233.15, "K", "-40 degC"),
        (101325.0, "Pa", "1,013.25 hPa"),
        (45.359237, "kg", "100 lb"),
        (4.4482216, "N", "1 lbf"),  # NIST SP 811: 4.448 222 N
        (12.5, "deg", "12.5 deg"),
        (0.5, "", "0.5"),
    ],
)
def test_a_quantity_stands_in_the_unit_the_trade_uses(value: float, unit: str, text: str) -> None:
    assert quantity_text(value, unit) == text


def test_a_refusal_names_value_and_range_in_that_unit() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        require_within("height", 25_000.0, 0.0, 20_000.0, "m")

    assert caught.value.problem == "height 82,021 ft is out of range"
    assert caught.value.expected == "0 to 65,616.8 ft"


def test_a_range_without_an_end_is_said_without_one() -> None:
    for low, expected in ((math.ulp(0.0), "more than 0"), (5.0, "at least 16.4042 ft")):
        with pytest.raises(OutOfRangeError) as caught:
            require_within("radius", -1.0, low, math.inf, "m")

        assert caught.value.expected == expected
        assert not re.search(r"inf|e-3", caught.value.text())
