"""Cloud with ice in it moves the levers the file names, and they cost what the file says: manifold pressure, power in hand, fuel.

That hot air and filters cost manifold pressure, and warm charge power, is common practice, no published source; the sizes are
the demo aircraft's own. Charge by the root of absolute temperature: see tests/published for its source.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.aircraft.physics.powerplant import IntakeLevers
from briefgen.model.performance import Air, IndicatedAirspeed
from tests.shared.demo_aircraft import LB, MPH, air, performance

INHG = 3386.38864
KT = 1852.0 / 3600.0
ZERO_C = 273.15
LOSS, RISE_K, KEPT_TO_K = 1.1 * INHG, 42.0, ZERO_C + 32.0  # of the B3's file
T4_KEPT_TO_K = ZERO_C + 38.0


def icy(where: Air) -> Air:
    return replace(where, icing=True)


def feeder() -> ModelPerformance:
    found = performance("b3-feeder", "91/96")
    assert isinstance(found, ModelPerformance)
    return found


def freighter() -> ModelPerformance:
    found = performance("t4-freighter", "91/96")
    assert isinstance(found, ModelPerformance)
    return found


def test_carburettor_heat_warms_by_its_rise_and_no_further_than_the_air_is_kept_to() -> None:
    plant = feeder().parts.plant
    for outside_c, expected_k in ((-20.0, ZERO_C - 20.0 + RISE_K), (5.0, KEPT_TO_K), (31.0, KEPT_TO_K)):
        point = feeder().parts.point(Air(2000.0, ZERO_C + outside_c), 60.0)
        assert plant.breath(point, IntakeLevers(False, heat_on=True)).temperature_k == pytest.approx(expected_k)


def test_carburettor_heat_costs_its_manifold_pressure_by_the_square_of_the_airflow() -> None:
    """M = M0 - loss (n M / n0 M0')^2 at full throttle, with take-off at 2,450 rpm and 39 inHg: solved here by iteration."""
    plant = feeder().parts.plant
    point = feeder().parts.point(Air(3000.0, ZERO_C), 60.0)
    for rpm in (1800.0, 2200.0):
        cold = plant.available(plant.breath(point, IntakeLevers(False)), rpm).manifold_pressure_pa
        warm = plant.available(plant.breath(point, IntakeLevers(False, heat_on=True)), rpm).manifold_pressure_pa
        by_hand = cold
        for _ in range(60):
            by_hand = cold - LOSS * (rpm * by_hand / (2450.0 * 39.0 * INHG)) ** 2
        assert warm == pytest.approx(by_hand, rel=1e-9)
        assert 0.2 * INHG < cold - warm < LOSS


def test_warm_charge_gives_less_power_by_the_root_of_its_temperature() -> None:
    """At one setting indicated power, brake power and friction together, falls as 1 / sqrt(T)."""
    plant = feeder().parts.plant
    point = feeder().parts.point(Air(2000.0, ZERO_C), 60.0)
    friction_w = -plant.power(
        plant.breath(point, IntakeLevers(False)), 2000.0, plant.engine.residual_ratio * point.pressure_pa, "rich"
    )
    cold, warm = (
        plant.power(plant.breath(point, IntakeLevers(False, heat_on=on)), 2000.0, 28.0 * INHG, "rich") + friction_w
        for on in (False, True)
    )

    assert warm / cold == pytest.approx(math.sqrt(ZERO_C / KEPT_TO_K), rel=1e-9)


def test_ice_in_cloud_puts_the_heat_on_and_takes_from_what_is_in_hand() -> None:
    plane, where = feeder(), air(6000.0, -10.0)
    dry = plane.cruise(18000.0 * LB, where, IndicatedAirspeed(115.0 * KT))
    ice = plane.cruise(18000.0 * LB, icy(where), IndicatedAirspeed(115.0 * KT))

    assert (dry.carburettor_heat, ice.carburettor_heat) == ("off", "on")
    assert ice.power_w == pytest.approx(dry.power_w, rel=1e-3)  # the flight wants the same
    assert (ice.margin_ratio or 0.0) < (dry.margin_ratio or 0.0) - 0.02
    set_dry, set_ice = plane.as_set(dry), plane.as_set(ice)
    levers = [(one.engine_speed_rpm or 0.0) * (one.manifold_pressure_pa or 0.0) for one in (set_dry, set_ice)]
    assert levers[1] > levers[0]
    assert plane.climb(18000.0 * LB, icy(where)).rate_m_per_s < 0.95 * plane.climb(18000.0 * LB, where).rate_m_per_s


def test_the_phases_the_file_does_not_name_are_flown_cold() -> None:
    """Full power must be there for a go-around: take-off, final and go-around stand outside the list."""
    plane, where = feeder(), air(1000.0)
    assert plane.take_off_setting(icy(where)).carburettor_heat == "off"
    assert plane.go_around(17000.0 * LB, icy(where)).setting.carburettor_heat == "off"
    assert (
        plane.cruise(17000.0 * LB, icy(where), IndicatedAirspeed(105.0 * KT), phase="pattern").carburettor_heat == "off"
    )
    assert plane.cruise(17000.0 * LB, icy(where), IndicatedAirspeed(105.0 * KT), phase="hold").carburettor_heat == "on"


def test_shutters_go_hot_as_far_as_the_air_is_kept_to() -> None:
    plane, where = freighter(), air(10000.0, -12.0)
    dry = plane.climb(54000.0 * LB, where).setting
    ice = plane.climb(54000.0 * LB, icy(where)).setting

    assert (dry.intercooler, ice.intercooler) == ("cold", "hot")
    assert (dry.carburettor_air_temperature_k or 0.0) < T4_KEPT_TO_K
    assert (dry.carburettor_air_temperature_k or 0.0) + 5.0 < (ice.carburettor_air_temperature_k or 0.0) <= T4_KEPT_TO_K
    assert (ice.power_w or 0.0) < (dry.power_w or 0.0)
    assert ice.manifold_pressure_pa == dry.manifold_pressure_pa  # the turbo makes up for it, the charge is thinner


def test_shutters_stay_where_the_air_is_warm_enough_without_them() -> None:
    plane, where = freighter(), icy(air(16000.0, 32.0))
    setting = plane.climb(46000.0 * LB, where).setting

    assert (setting.carburettor_air_temperature_k or 0.0) >= T4_KEPT_TO_K
    assert setting.intercooler == "cold"


def test_filters_are_in_against_ice_up_to_their_height() -> None:
    plane = freighter()
    target = IndicatedAirspeed(150.0 * MPH)
    said = {
        height: (
            plane.cruise(50000.0 * LB, air(height), target).filters,
            plane.cruise(50000.0 * LB, icy(air(height)), target).filters,
        )
        for height in (6000.0, 10000.0, 14000.0)
    }

    assert said == {6000.0: ("on", "on"), 10000.0: ("off", "on"), 14000.0: ("off", "off")}


def test_charts_made_with_cold_air_say_so() -> None:
    plane, target = performance("t5-freighter", "91/96"), IndicatedAirspeed(150.0 * MPH)
    dry, ice = (plane.cruise(48000.0 * LB, where, target) for where in (air(8000.0), icy(air(8000.0))))

    assert (dry.intercooler, ice.intercooler) == (None, "hot")
    assert "without warm air in the carburettors" in ice.governing_limit
    assert "warm air" not in dry.governing_limit
