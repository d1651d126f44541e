"""Advice beside a setting: staying lean, and the height up to which a manifold pressure can be drawn."""

from __future__ import annotations

import pytest

from briefgen.aircraft.physics.advice import filters_off_rise, full_throttle_height, lean_advice
from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.model.performance import IndicatedAirspeed
from tests.shared.demo_aircraft import FT, INHG, LB, MPH, air, performance

T4 = performance("t4-freighter", "91/96")
BOOK = performance("t5-freighter", "91/96")
CRUISE = IndicatedAirspeed(150.0 * MPH)


@pytest.mark.parametrize("plane", [T4, BOOK], ids=["T4, a model", "T5, a book"])
def test_a_slightly_slower_speed_stays_lean_and_saves_a_good_part_of_the_fuel(plane: ModelPerformance) -> None:
    """Close to the change a slower speed can save a tenth of the range: independent study of the same class."""
    rich = plane.cruise(56000.0 * LB, air(10000.0), IndicatedAirspeed(168.0 * MPH))

    advice = lean_advice(plane, rich)

    assert rich.mixture == "rich"
    assert advice is not None
    assert advice.setting.mixture == "lean"
    assert 0.0 < advice.slower_m_per_s < 0.12 * rich.tas_m_per_s
    assert 0.05 < advice.fuel_over_distance_saved_ratio < 0.2


def test_just_above_the_advised_speed_the_mixture_is_rich() -> None:
    assert isinstance(T4, ModelPerformance)
    rich = T4.cruise(56000.0 * LB, air(10000.0), IndicatedAirspeed(168.0 * MPH))
    advice = lean_advice(T4, rich)
    assert advice is not None

    faster = T4.cruise(56000.0 * LB, air(10000.0), IndicatedAirspeed(advice.setting.ias_m_per_s + 0.05))

    assert faster.mixture == "rich"


def test_lean_needs_no_advice() -> None:
    lean = T4.cruise(44000.0 * LB, air(10000.0), IndicatedAirspeed(150.0 * MPH))

    assert lean_advice(T4, lean) is None


def test_the_turbo_holds_manifold_pressure_to_its_critical_height() -> None:
    """Below that height full boost gives more than is asked for, above it less."""
    assert isinstance(T4, ModelPerformance)
    speed = 150.0 * MPH
    cruise = full_throttle_height(T4, 1600.0, 28.0 * INHG, speed, 0.0)
    higher = full_throttle_height(T4, 1600.0, 29.0 * INHG, speed, 0.0)
    assert cruise is not None
    assert higher is not None

    below = T4.parts.plant.available(T4.parts.breath(T4.parts.point(air(cruise / FT - 500.0), speed)), 1600.0)
    above = T4.parts.plant.available(T4.parts.breath(T4.parts.point(air(cruise / FT + 500.0), speed)), 1600.0)

    assert above.manifold_pressure_pa < 28.0 * INHG < below.manifold_pressure_pa
    assert higher < cruise


def test_hot_air_costs_power_by_the_root_of_temperature_and_more_through_the_turbo() -> None:
    """The square-root rule (flight-test handbook 2013, chapter 10) on indicated power; friction makes it a little more."""
    standard, hot = T4.take_off_setting(air(0.0)), T4.take_off_setting(air(0.0, 12.0))
    assert standard.power_w is not None
    assert hot.power_w is not None
    warm_k, cool_k = hot.carburettor_air_temperature_k, standard.carburettor_air_temperature_k
    assert warm_k is not None
    assert cool_k is not None
    rule = (cool_k / warm_k) ** 0.5

    assert rule * 0.985 < hot.power_w / standard.power_w < rule


def test_filters_off_lift_manifold_pressure_more_at_climb_airflow_than_in_cruise() -> None:
    """TF-18 at take-off airflow is 1.5 inHg; airflow goes with rpm times manifold pressure, the loss with its square."""
    assert isinstance(T4, ModelPerformance)
    climb, cruise = T4.climb(50000.0 * LB, air(7000.0)).setting, T4.cruise(50000.0 * LB, air(7000.0), CRUISE)

    assert filters_off_rise(T4, climb) == pytest.approx(1.5 * INHG * (35.5 * 2400.0 / (43.0 * 2600.0)) ** 2, rel=1e-6)
    assert filters_off_rise(T4, cruise) < 0.4 * INHG
