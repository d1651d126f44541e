"""Charts are read inside their range and nowhere else; roots are found where they are bracketed."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import RegularGridInterpolator

from briefgen.errors import OutOfRangeError
from briefgen.kernel.interpolate import Axis, Curve, Grid, root

WEIGHT = Axis("weight", "lb", (40000.0, 50000.0, 65000.0))
ALTITUDE = Axis("pressure altitude", "ft", (0.0, 5000.0, 10000.0, 20000.0))
SPEED = Axis("speed", "mph", (130.0, 150.0))
VALUES = tuple(math.sin(0.7 * index) * 50.0 + 200.0 for index in range(24))
CHART = Grid("fuel flow", "US gal/h", (WEIGHT, ALTITUDE, SPEED), VALUES)


def test_a_grid_gives_back_its_own_values_at_its_points() -> None:
    for position, value in enumerate(VALUES):
        assert CHART.at(**CHART.coordinates_of(position)) == value


@given(st.floats(40000, 65000), st.floats(0, 20000), st.floats(130, 150))
def test_a_grid_agrees_with_scipy_everywhere_inside(weight: float, altitude: float, speed: float) -> None:
    import numpy as np

    reference = RegularGridInterpolator(
        (WEIGHT.values, ALTITUDE.values, SPEED.values), np.array(VALUES).reshape(3, 4, 2), method="linear"
    )
    found = CHART.at(**{"weight": weight, "pressure altitude": altitude, "speed": speed})

    assert found == pytest.approx(float(reference((weight, altitude, speed))), rel=1e-12)


@given(st.floats(40000, 65000), st.floats(0, 20000), st.floats(130, 150))
def test_the_corners_of_a_point_have_weights_that_give_its_value(weight: float, altitude: float, speed: float) -> None:
    point = {"weight": weight, "pressure altitude": altitude, "speed": speed}
    corners = CHART.corners(CHART.cell(**point))

    assert math.fsum(share for _, share in corners) == pytest.approx(1.0)
    assert math.fsum(share * VALUES[position] for position, share in corners) == pytest.approx(CHART.at(**point))


def test_outside_an_axis_the_error_names_axis_value_and_range() -> None:
    with pytest.raises(OutOfRangeError) as error:
        CHART.at(**{"weight": 70000.0, "pressure altitude": 0.0, "speed": 130.0})

    assert error.value.text() == ("weight 70,000 lb is outside the chart\n  expected: weight from 40,000 to 65,000 lb")


@pytest.mark.parametrize("value", [39999.9, 65000.1, math.nan, math.inf])
def test_nothing_is_extrapolated_or_clamped(value: float) -> None:
    with pytest.raises(OutOfRangeError, match="weight"):
        CHART.at(**{"weight": value, "pressure altitude": 0.0, "speed": 130.0})


def test_the_round_off_of_a_conversion_counts_as_the_end_of_the_axis() -> None:
    at_the_end = CHART.at(**{"weight": 65000.0, "pressure altitude": 20000.0, "speed": 150.0})

    assert CHART.at(**{"weight": 65000.00000000001, "pressure altitude": 20000.0, "speed": 150.0}) == at_the_end


def test_next_to_an_empty_cell_there_is_no_value_and_the_error_shows_the_cell() -> None:
    chart = Grid("fuel flow", "US gal/h", (WEIGHT, SPEED), (100.0, 110.0, 120.0, None, 140.0, 150.0))
    with pytest.raises(OutOfRangeError) as error:
        chart.at(weight=45000.0, speed=140.0)

    assert error.value.text() == (
        "no value in the chart fuel flow next to weight 45,000 lb, speed 140 mph\n"
        "  expected: a point between grid points that all have a value\n"
        "  hint: the chart is empty at weight 50,000 lb, speed 150 mph"
    )


def test_on_a_line_of_the_grid_a_gap_beside_the_line_does_not_matter() -> None:
    chart = Grid("fuel flow", "US gal/h", (WEIGHT, SPEED), (100.0, 110.0, 120.0, None, 140.0, 150.0))

    assert chart.at(weight=45000.0, speed=130.0) == pytest.approx(110.0)
    assert chart.at(weight=65000.0, speed=140.0) == pytest.approx(145.0)


def test_an_axis_of_one_value_admits_that_value_alone() -> None:
    chart = Grid("fuel flow", "US gal/h", (Axis("weight", "lb", (50000.0,)), SPEED), (100.0, 120.0))

    assert chart.at(weight=50000.0, speed=140.0) == pytest.approx(110.0)
    with pytest.raises(OutOfRangeError, match="weight 50,001 lb is outside the chart"):
        chart.at(weight=50001.0, speed=140.0)


def test_a_missing_or_surplus_coordinate_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(TypeError, match="needs the coordinate 'speed'"):
        CHART.at(**{"weight": 45000.0, "pressure altitude": 0.0})
    with pytest.raises(TypeError, match="has the axes"):
        CHART.at(**{"weight": 45000.0, "pressure altitude": 0.0, "speed": 140.0, "wind": 3.0})


def test_a_grid_that_does_not_fit_its_axes_is_refused() -> None:
    with pytest.raises(ValueError, match="needs 6 values, got 5"):
        Grid("fuel flow", "US gal/h", (WEIGHT, SPEED), (1.0, 2.0, 3.0, 4.0, 5.0))
    with pytest.raises(ValueError, match="do not increase"):
        Axis("weight", "lb", (1.0, 1.0))


BURN = Curve(Axis("weight", "kg", (30000.0, 25000.0, 20000.0)[::-1]), "time", "s", (9000.0, 4000.0, 0.0))


@given(st.floats(20000, 30000))
def test_a_curve_and_its_inverse_undo_each_other(weight: float) -> None:
    assert BURN.inverse_at(BURN.at(weight)) == pytest.approx(weight, rel=1e-12)


def test_a_curve_refuses_a_value_it_does_not_have() -> None:
    with pytest.raises(OutOfRangeError, match="time 9,001 s is outside the chart"):
        BURN.inverse_at(9001.0)
    with pytest.raises(OutOfRangeError, match="weight 19,999 kg is outside the chart"):
        BURN.at(19999.0)


def test_a_curve_of_one_point_admits_that_point_alone() -> None:
    point = Curve(Axis("weight", "kg", (20000.0,)), "time", "s", (4000.0,))

    assert point.at(20000.0) == 4000.0
    assert point.inverse_at(4000.0) == 20000.0
    with pytest.raises(OutOfRangeError, match="weight 20,001 kg is outside the chart"):
        point.at(20001.0)


def test_a_curve_that_turns_has_no_inverse() -> None:
    turning = Curve(Axis("speed", "mph", (100.0, 150.0, 200.0)), "power", "hp", (500.0, 400.0, 700.0))
    with pytest.raises(ValueError, match="do not increase"):
        turning.inverse_at(450.0)


@pytest.mark.parametrize(
    ("function", "low", "high", "expected"),
    [
        (lambda x: math.cos(x) - x, 0.0, 1.0, 0.7390851332151607),  # Dottie number, published to any digits
        (lambda x: x**3 - 2.0 * x - 5.0, 2.0, 3.0, 2.0945514815423265),  # Wallis's equation, 1685
        (lambda x: (x - 1.0) ** 9, -3.0, 4.5, 1.0),
        (lambda x: math.copysign(1.0, x - 0.3), 0.0, 1.0, 0.3),
        (lambda x: 2.0 - x, 2.0, 3.0, 2.0),
        (lambda x: x - 3.0, 2.0, 3.0, 3.0),
    ],
)
def test_a_bracketed_root_is_found_within_the_tolerance(function, low, high, expected) -> None:  # type: ignore[no-untyped-def]
    assert root(function, low, high, 1e-9) == pytest.approx(expected, abs=1e-9)
    assert root(function, high, low, 1e-9) == pytest.approx(expected, abs=1e-9)


def test_a_smooth_root_costs_about_ten_calls() -> None:
    calls = []
    root(lambda x: calls.append(x) or math.cos(x) - x, 0.0, 1.0, 1e-12)  # type: ignore[func-returns-value]

    assert len(calls) <= 12


def test_without_a_bracket_there_is_no_root() -> None:
    with pytest.raises(OutOfRangeError) as error:
        root(lambda x: x * x + 1.0, -1.0, 2.0, 1e-6, quantity="thrust less drag")

    assert error.value.text() == (
        "thrust less drag does not cross zero between -1 and 2\n"
        "  expected: values of opposite sign at the two ends, got 2 and 5"
    )
