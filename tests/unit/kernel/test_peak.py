"""The top of a hill, against hills whose top is known."""

from __future__ import annotations

import math

import pytest

from briefgen.kernel.peak import peak


@pytest.mark.parametrize("top", [0.3, 1.0, 2.9])
def test_the_top_of_a_parabola_is_found_within_the_tolerance(top: float) -> None:
    assert peak(lambda x: -((x - top) ** 2), 0.0, 3.0, 0.01) == pytest.approx(top, abs=0.01)


def test_a_slope_has_its_top_at_the_bound() -> None:
    assert peak(lambda x: x, 0.0, 1.0, 0.01) == 1.0
    assert peak(lambda x: -x, 0.0, 1.0, 0.01) == 0.0


def test_the_number_of_calls_follows_the_golden_section() -> None:
    calls = []

    def hill(x: float) -> float:
        calls.append(x)
        return math.sin(x)

    peak(hill, 0.0, math.pi, 0.01)

    assert len(calls) == 2 + math.ceil(math.log(0.02 / math.pi) / math.log(0.618034))


def test_bounds_in_the_wrong_order_are_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="no peak"):
        peak(math.sin, 2.0, 1.0, 0.1)
