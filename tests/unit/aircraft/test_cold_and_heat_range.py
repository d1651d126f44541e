"""The T4 answers at sea level from -40 degC to what her carburettors may draw, on both grades, at every weight."""

from __future__ import annotations

from itertools import pairwise

import pytest

from briefgen.errors import PlanError
from briefgen.model.performance import Air, IndicatedAirspeed
from tests.shared.demo_aircraft import HP, INHG, LB, MPH, performance

DEGREES = {"100/130": range(-40, 51, 10), "91/96": range(-40, 41, 10)}  # she may draw air of 52 and of 46 degC
RATED_INHG = {"100/130": 47.0, "91/96": 43.0}


@pytest.mark.parametrize("grade", ["100/130", "91/96"])
@pytest.mark.parametrize("weight_lb", [42000.0, 51500.0, 63200.0])
def test_take_off_climb_and_cruise_are_answered(grade: str, weight_lb: float) -> None:
    """Colder is stronger: take-off power and rate of climb fall from each ten degrees to the next."""
    plane = performance(grade=grade, name="t4-freighter")
    powers, rates = [], []
    for celsius in DEGREES[grade]:
        air = Air(0.0, 273.15 + celsius)
        powers.append(plane.take_off_setting(air).power_w or 0.0)
        rates.append(plane.climb(weight_lb * LB, air).rate_m_per_s)
        cruise = plane.cruise(weight_lb * LB, air, IndicatedAirspeed(150.0 * MPH))
        assert 0.0 < (cruise.power_w or 0.0) < powers[-1]

    for found in (powers, rates):
        assert all(colder > warmer for colder, warmer in pairwise(found))
    assert (
        0.6 < powers[-1] / powers[0] < 0.85
    )  # the square root of the temperatures gives 0.85; heat takes pressure too


@pytest.mark.parametrize("grade", ["100/130", "91/96"])
def test_the_rated_pressure_is_had_to_forty(grade: str) -> None:
    plane = performance("t4-freighter", grade)

    assert plane.take_off_setting(Air(0.0, 313.15)).manifold_pressure_pa == pytest.approx(RATED_INHG[grade] * INHG)


def test_near_the_limit_of_the_carburettor_the_turbo_stands_back_and_over_it_she_is_refused() -> None:
    """At 50 degC the air itself is near the limit of 52 on one grade, over the limit of 46 on the other."""
    hot = Air(0.0, 323.15)
    at_50 = performance("t4-freighter", "100/130").take_off_setting(hot)

    assert (at_50.manifold_pressure_pa or 0.0) < (RATED_INHG["100/130"] - 1.0) * INHG
    assert at_50.governing_limit == "carburettor air temperature"
    with pytest.raises(PlanError, match="hotter than the carburettors may draw it on 91/96"):
        performance("t4-freighter", "91/96").take_off_setting(hot)


def test_power_in_the_cold_follows_the_square_root_of_the_temperatures() -> None:
    """The square-root rule (flight-test handbook 2013, chapter 10) on indicated power; friction makes it a little more."""
    plane = performance("t4-freighter", "100/130")
    cold, mild = (plane.take_off_setting(Air(0.0, 273.15 + celsius)) for celsius in (-40, 15))
    assert cold.carburettor_air_temperature_k is not None
    assert mild.carburettor_air_temperature_k is not None
    rule = (mild.carburettor_air_temperature_k / cold.carburettor_air_temperature_k) ** 0.5

    assert rule < (cold.power_w or 0.0) / (mild.power_w or 1.0) < 1.03 * rule
    assert (mild.power_w or 0.0) / HP == pytest.approx(1199.0, abs=1.0)
