"""How the physical model behaves: what must rise, what must balance, what must be refused."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from briefgen.errors import BriefgenError, OutOfRangeError, PlanError
from briefgen.kernel.atmosphere import density, pressure_at_altitude, vapour_pressure
from briefgen.kernel.propeller import ideal_efficiency
from briefgen.model.performance import (
    Air,
    BestEndurance,
    BestRange,
    GivenSetting,
    IndicatedAirspeed,
    LongRange,
    PercentPower,
    PowerSetting,
    TrueAirspeed,
)
from tests.shared.demo_aircraft import FT, HP, INHG, LB, MPH, air, gallons_per_hour, performance

T4 = performance("t4-freighter", "91/96")
T4_UPPER = performance("t4-freighter", "100/130")
AT_150 = IndicatedAirspeed(150.0 * MPH)


def rising(values: list[float]) -> bool:
    return all(low < high for low, high in pairwise(values))


def test_fuel_flow_rises_with_weight() -> None:
    flows = [T4.cruise(w * LB, air(9000.0), AT_150).fuel_flow_kg_per_s for w in range(37000, 65000, 1000)]

    assert rising(flows)


def test_fuel_flow_at_one_indicated_speed_rises_with_height() -> None:
    # Above 7,000 ft the filters come off; below and above it the flow rises throughout.
    for heights in (range(0, 7000, 500), range(7000, 20001, 500)):
        assert rising([T4.cruise(48000.0 * LB, air(h), AT_150).fuel_flow_kg_per_s for h in heights])


def test_fuel_flow_at_one_indicated_speed_rises_with_temperature() -> None:
    flows = [T4.cruise(48000.0 * LB, air(9000.0, dt), AT_150).fuel_flow_kg_per_s for dt in range(-20, 31, 5)]

    assert rising(flows)


def test_rate_of_climb_falls_with_weight_and_temperature() -> None:
    by_weight = [T4.climb(w * LB, air(5000.0)).rate_m_per_s for w in range(40000, 65000, 2000)]
    by_temperature = [T4.climb(52000.0 * LB, air(5000.0, dt)).rate_m_per_s for dt in (-15, 0, 10, 14)]

    assert rising([-rate for rate in by_weight])
    assert rising([-rate for rate in by_temperature])


def test_climb_keeps_the_energy_balance() -> None:
    """Propulsive power equals drag power, height gain and the gain of speed that a constant indicated speed brings."""
    mass = 52000.0 * LB
    low, high = T4.climb(mass, air(6000.0)), T4.climb(mass, air(6100.0))
    setting = low.setting
    assert setting.power_w is not None
    assert setting.propeller_efficiency is not None
    propulsive_w = setting.engines_running * setting.power_w * setting.propeller_efficiency
    level = T4.cruise(mass, air(6000.0), IndicatedAirspeed(setting.ias_m_per_s))
    assert level.power_w is not None
    assert level.propeller_efficiency is not None
    # The climb flies with cowl flaps in trail, level flight with them closed.
    rho = density(pressure_at_altitude(6000.0 * FT), air(6000.0).temperature_k)
    cowl_w = 0.5 * rho * setting.tas_m_per_s**3 * 3.5 * FT**2
    drag_w = level.engines_running * level.power_w * level.propeller_efficiency + cowl_w
    speed_gradient = (high.setting.tas_m_per_s - setting.tas_m_per_s) / (100.0 * FT)
    kinetic_w = mass * setting.tas_m_per_s * speed_gradient * low.rate_m_per_s

    gained_w = mass * 9.80665 * low.rate_m_per_s + kinetic_w

    assert gained_w == pytest.approx(propulsive_w - drag_w, rel=2e-3)  # finite difference over 100 ft


@pytest.mark.parametrize("weight_lb", [38000, 48000, 60000])
@pytest.mark.parametrize("height_ft", [0, 9000, 18000])
def test_propeller_efficiency_stays_below_the_ideal_disk(weight_lb: float, height_ft: float) -> None:
    setting = T4.cruise(weight_lb * LB, air(height_ft), IndicatedAirspeed(140.0 * MPH))
    rho = density(pressure_at_altitude(height_ft * FT), setting.air.temperature_k)
    assert setting.power_w is not None
    bound = ideal_efficiency(setting.power_w, setting.tas_m_per_s, rho, math.pi * (12.33 * FT) ** 2 / 4.0)

    assert 0.7 < (setting.propeller_efficiency or 0.0) < bound


def merit(setting: PowerSetting) -> float:
    return setting.specific_range_m_per_kg


@pytest.mark.parametrize("weight_lb", [40000, 48000, 54000])
def test_long_range_is_99_percent_of_best_range_on_the_fast_side(weight_lb: float) -> None:
    mass, where = weight_lb * LB, air(10000.0)
    best = T4.cruise(mass, where, BestRange())
    scan = [T4.cruise(mass, where, IndicatedAirspeed(mph * MPH)) for mph in range(110, 176)]

    long_range = T4.cruise(mass, where, LongRange())

    assert merit(best) >= max(map(merit, scan)) * (1.0 - 1e-4)
    assert merit(long_range) == pytest.approx(0.99 * merit(best), rel=2e-4)
    assert long_range.ias_m_per_s > best.ias_m_per_s


def test_long_range_stops_at_the_change_of_mixture_when_it_comes_first() -> None:
    """At 62,000 lb the last lean speed is still better than 99 %, the next speed is rich and far worse."""
    mass, where = 62000.0 * LB, air(10000.0)
    found = T4.cruise(mass, where, LongRange())
    faster = T4.cruise(mass, where, IndicatedAirspeed(found.ias_m_per_s + 0.1))

    assert found.mixture == "lean"
    assert faster.mixture == "rich"
    assert faster.fuel_flow_kg_per_s > 1.05 * found.fuel_flow_kg_per_s
    assert found.margin_ratio == pytest.approx(0.0, abs=2e-3)


def test_best_endurance_burns_least() -> None:
    mass, where = 44000.0 * LB, air(5000.0)
    flows = [T4.cruise(mass, where, IndicatedAirspeed(mph * MPH)).fuel_flow_kg_per_s for mph in range(100, 150)]

    assert T4.cruise(mass, where, BestEndurance()).fuel_flow_kg_per_s <= min(flows) * (1.0 + 1e-4)


def test_head_wind_asks_for_a_faster_best_range_speed_and_tail_wind_for_a_slower() -> None:
    mass, where = 48000.0 * LB, air(10000.0)
    calm, head, tail = (
        T4.cruise(mass, where, BestRange(), headwind_m_per_s=wind).ias_m_per_s for wind in (0.0, 20.0, -20.0)
    )

    assert tail < calm < head


def test_mixture_change_mass_parts_lean_from_rich() -> None:
    where, target = air(10000.0), IndicatedAirspeed(160.0 * MPH)

    change = T4.mixture_change_mass(where, target, 48000.0 * LB, 64000.0 * LB)

    assert change is not None
    assert T4.cruise(change, where, target).mixture == "lean"
    assert T4.cruise(change + 0.5, where, target).mixture == "rich"
    assert T4.mixture_change_mass(where, target, 40000.0 * LB, 42000.0 * LB) is None


def test_true_airspeed_target_is_met() -> None:
    setting = T4.cruise(48000.0 * LB, air(9000.0, 8.0), TrueAirspeed(80.0))

    assert setting.tas_m_per_s == pytest.approx(80.0, abs=1e-6)


def test_percent_power_target_is_met() -> None:
    setting = T4.cruise(48000.0 * LB, air(9000.0), PercentPower(0.55))

    assert setting.power_w == pytest.approx(0.55 * 940.0 * HP, rel=1e-3)


def test_humid_air_costs_power_by_the_share_of_its_vapour() -> None:
    """Charge falls by vapour over static pressure; friction does not, so brake power loses a little more."""
    dry = Air(0.0, 303.15)
    wet = Air(0.0, 303.15, vapour_pressure(303.15))
    dry_power, wet_power = T4.take_off_setting(dry).power_w, T4.take_off_setting(wet).power_w
    assert dry_power is not None
    assert wet_power is not None
    share = wet.vapour_pressure_pa / 101325.0

    assert share < 1.0 - wet_power / dry_power < 1.6 * share


def test_the_higher_grade_permits_more_power_and_a_higher_lean_limit() -> None:
    mass, where, target = 60000.0 * LB, air(10000.0), IndicatedAirspeed(160.0 * MPH)

    lower, upper = T4.cruise(mass, where, target), T4_UPPER.cruise(mass, where, target)

    assert (lower.mixture, upper.mixture) == ("rich", "lean")
    assert T4_UPPER.climb(mass, where).rate_m_per_s > T4.climb(mass, where).rate_m_per_s


def test_rich_costs_a_tenth_at_once() -> None:
    """Crossing the mixture switch costs 9 to 14 % of fuel flow: independent study of the same class of aircraft."""
    where, target = air(10000.0), IndicatedAirspeed(160.0 * MPH)
    change = T4.mixture_change_mass(where, target, 48000.0 * LB, 64000.0 * LB)
    assert change is not None
    lean, rich = T4.cruise(change, where, target), T4.cruise(change + 0.5, where, target)

    jump = rich.fuel_flow_kg_per_s / lean.fuel_flow_kg_per_s - 1.0

    assert 0.07 < jump < 0.15


def test_fewer_engines_climb_worse_and_lose_their_ceiling_first() -> None:
    where, mass = air(5000.0), 50000.0 * LB
    rates = [
        T4.climb(mass, where, engines=name).rate_m_per_s
        for name in ("four", "three, one outer feathered", "two, both outers feathered")
    ]
    four = T4.ceiling(56000.0 * LB, 15.0)
    three = T4.ceiling(56000.0 * LB, 15.0, engines="three, one outer feathered")

    assert rising([-rate for rate in rates])
    assert three.pressure_altitude_m < four.pressure_altitude_m
    assert not three.beyond_range


def test_ceiling_is_where_the_rate_of_climb_is_met() -> None:
    rate = 100.0 * FT / 60.0
    name = "three, one outer feathered"
    found = T4.ceiling(52000.0 * LB, 0.0, engines=name, rate_m_per_s=rate)

    there = T4.climb(52000.0 * LB, air(found.pressure_altitude_m / FT), engines=name)

    assert there.rate_m_per_s == pytest.approx(rate, abs=0.002)


def test_descent_at_the_rate_of_the_file_takes_less_fuel_than_level_flight() -> None:
    descent = T4.descent(50000.0 * LB, air(8000.0))
    level = T4.cruise(50000.0 * LB, air(8000.0), IndicatedAirspeed(165.0 * MPH))

    assert descent.pressure_altitude_rate_m_per_s == pytest.approx(500.0 * FT / 60.0)
    assert descent.setting.fuel_flow_kg_per_s < 0.8 * level.fuel_flow_kg_per_s


def test_lever_order_reducing_is_manifold_pressure_then_rpm_and_increasing_the_reverse() -> None:
    """TF-15, common practice: manifold pressure before rpm when reducing."""
    climb = T4.climb(50000.0 * LB, air(10000.0)).setting
    cruise = T4.cruise(50000.0 * LB, air(10000.0), AT_150)

    down = [move.lever for move in T4.lever_moves(climb, cruise)]
    up = [move.lever for move in T4.lever_moves(cruise, climb)]

    assert down == ["manifold pressure", "engine speed", "mixture", "cowl flaps"]
    assert up == ["cowl flaps", "mixture", "engine speed", "manifold pressure"]


def test_light_holding_flow_is_printed_in_gallons_the_crew_knows() -> None:
    setting = T4.cruise(40040.0 * LB, air(2500.0), IndicatedAirspeed(120.0 * MPH), bank_deg=10.0)

    assert 90.0 < gallons_per_hour(setting.fuel_flow_kg_per_s) < 100.0
    assert setting.fuel_flow_per_engine_kg_per_s == pytest.approx(setting.fuel_flow_kg_per_s / 4.0)


REFUSED = [
    (lambda: T4.cruise(64000.0 * LB, air(20000.0), IndicatedAirspeed(180.0 * MPH)), PlanError, "of the power"),
    (lambda: T4.cruise(60000.0 * LB, air(0.0), IndicatedAirspeed(90.0 * MPH)), PlanError, "below the stalling speed"),
    (lambda: T4.cruise(50000.0 * LB, air(30000.0), AT_150), OutOfRangeError, "above what the model covers"),
    (lambda: T4.cruise(50000.0 * LB, air(0.0), IndicatedAirspeed(290.0 * MPH)), OutOfRangeError, "airspeed table"),
    (lambda: T4.cruise(50000.0 * LB, air(0.0), AT_150, engines="five"), OutOfRangeError, "no engine configuration"),
    (lambda: T4.cruise(50000.0 * LB, air(0.0), AT_150, configuration="half flap"), OutOfRangeError, "no configuration"),
    (
        lambda: T4.cruise(50000.0 * LB, air(5000.0), GivenSetting(1600.0, 33.0 * INHG, "lean")),
        PlanError,
        "not permitted or not to be had",
    ),
    (lambda: T4.cruise(64000.0 * LB, air(9000.0), PercentPower(0.3)), PlanError, "does not hold height"),
    (lambda: T4.descent(50000.0 * LB, air(8000.0), rate_m_per_s=12.0), PlanError, "keeps the engines warm"),
    (
        lambda: T4.ceiling(64000.0 * LB, 25.0, engines="two, both outers feathered"),
        PlanError,
        "does not climb 0 ft/min at any altitude",
    ),
    (lambda: performance("t4-freighter", "80/87"), OutOfRangeError, "not cleared on fuel 80/87"),
]


@pytest.mark.parametrize(("ask", "kind", "words"), REFUSED, ids=[words for _, _, words in REFUSED])
def test_what_cannot_be_flown_is_refused_with_the_reason(ask: object, kind: type[BriefgenError], words: str) -> None:
    assert callable(ask)
    with pytest.raises(kind, match=words):
        ask()
