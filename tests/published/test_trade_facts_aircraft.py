"""The T4 model held against facts of the trade: common practice, no published source.

Each test names the fact by its number in trade_facts_aircraft.csv. The tolerance is what 'near' and 'about' may mean to
a crew: an inch of mercury, a hundred rpm, five miles an hour, a twentieth of a fuel flow. Her settings and speeds are her
own and lie near those of the class by choice. A test of a fact her file was fitted or drawn to is marked `calibration`:
it holds the file to the fact and proves nothing. What carries no such mark came out of the physics.
"""

from __future__ import annotations

from functools import lru_cache

import pytest

from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.performance import Air, GivenSetting, IndicatedAirspeed, LongRange
from briefgen.spec.read import read_aircraft
from tests.shared.demo_missions import SPECS
from tests.shared.published_rows import rows

LB = 0.45359237
FT = 0.3048
MPH = 0.44704
INHG = 3386.38864
HP = 745.69987158227
GALLON_PER_HOUR_KG_PER_S = 6.0 * LB / 3600.0
LOWER, UPPER = "91/96", "100/130"
FACTS = {row["id"]: row["value"] for row in rows("trade_facts_aircraft")}
MID_FLIGHT_LB = 51500.0  # between her landing and take-off weights of a working flight; chosen together with the fit
LIGHT_LB = 40040.0  # basic weight, crew, and a thousand pounds of fuel
TRAINING_LB = 50000.0  # the weight of the unstick speed on her card
NEAR_INHG, NEAR_RPM, NEAR_MPH = 1.0, 100.0, 5.0
calibration = pytest.mark.calibration


def fact(ident: str, separator: str = ";") -> list[float]:
    return [float(part) for part in FACTS[ident].replace(" at ", separator).split(separator)]


@lru_cache
def t4(grade: str) -> ModelPerformance:
    aircraft = read_aircraft(SPECS / "aircraft" / "t4-freighter.yaml", root=SPECS)
    assert aircraft.model is not None
    return ModelPerformance(aircraft, aircraft.model, grade)


def air(height_ft: float, deviation_k: float = 0.0) -> Air:
    return Air(height_ft * FT, standard_temperature(height_ft * FT) + deviation_k)


def gallons(setting_kg_per_s: float) -> float:
    return setting_kg_per_s / GALLON_PER_HOUR_KG_PER_S


@calibration
def test_take_off_setting_and_power_on_100_octane() -> None:
    """TF-06, TF-08: near 46 inHg at 2,500 rpm, chosen; about 1,200 bhp, fitted; five minutes."""
    pressure, speed = fact("TF-06")
    setting = t4(UPPER).take_off_setting(air(0.0))

    assert setting.manifold_pressure_pa == pytest.approx(pressure * INHG, abs=1.001 * NEAR_INHG * INHG)
    assert setting.engine_speed_rpm == pytest.approx(speed, abs=NEAR_RPM)
    assert setting.power_w == pytest.approx(1200.0 * HP, rel=0.02)
    assert setting.time_limit_s == fact("TF-08")[0] * 60.0


def test_lower_grade_costs_a_tenth_of_take_off_power() -> None:
    """TF-07: follows from the two ratings she was given."""
    full, cut = t4(UPPER).take_off_setting(air(0.0)).power_w, t4(LOWER).take_off_setting(air(0.0)).power_w

    assert full is not None
    assert cut is not None
    assert 1.0 - cut / full == pytest.approx(fact("TF-07")[0] / 100.0, abs=0.01)


@calibration
def test_unstick_near_100_mph_at_training_weight() -> None:
    """TF-11, TF-28: she flies off in the three-point attitude, at an angle within a degree of that of the class."""
    ten_deg, nineteen_deg, margin_deg = fact("TF-28")
    model = t4(LOWER).parts.model
    sitting_deg = model.field.tail_down_angle_deg
    assert sitting_deg is not None
    lift_three_point = model.airframe.lift_slope_per_deg * (sitting_deg - model.airframe.zero_lift_angle_deg)
    speed_ias = t4(LOWER).speeds(TRAINING_LB * LB).unstick_m_per_s
    cas = t4(LOWER).parts.airspeeds.calibrated(speed_ias)
    lift_needed = TRAINING_LB * LB * 9.80665 / (0.5 * 1.225 * cas**2 * model.airframe.wing_area_m2)

    assert speed_ias == pytest.approx(fact("TF-11")[0] * MPH, abs=2.0 * MPH)
    assert sitting_deg == pytest.approx(ten_deg, abs=1.0)
    assert model.field.power_on_stall_angle_deg == pytest.approx(nineteen_deg, abs=1.0)
    assert model.field.power_on_stall_angle_deg - sitting_deg == margin_deg
    assert lift_needed == pytest.approx(lift_three_point, rel=0.03)


def test_climb_setting_holds_to_great_heights() -> None:
    """TF-13, TF-14: near 135 mph, 35 inHg, 2,300 rpm on the lower grade by choice; said to hold to 30,000 ft.

    That it holds came out; the file covers no more than 27,000 ft, and the tool says nothing above.
    """
    pressure, speed = fact("TF-14")
    climb = t4(LOWER).climb(44000.0 * LB, air(27000.0))
    low = t4(LOWER).climb(44000.0 * LB, air(1000.0))

    assert climb.setting.ias_m_per_s == pytest.approx(fact("TF-13")[0] * MPH, abs=NEAR_MPH * MPH)
    assert climb.setting.manifold_pressure_pa == pytest.approx(pressure * INHG, abs=NEAR_INHG * INHG)
    assert climb.setting.manifold_pressure_pa == pytest.approx(low.setting.manifold_pressure_pa or 0.0, rel=1e-5)
    assert climb.setting.engine_speed_rpm == pytest.approx(speed, abs=1.001 * NEAR_RPM)
    assert climb.rate_m_per_s > 0.0


def test_the_climb_speed_of_her_card_costs_little_of_the_best_rate() -> None:
    """TF-13: her 132 mph, near the 135 of the class, gives away under 3 % of the rate of climb at 56,000 lb.

    The fact is not met as 'the best speed': the model climbs best at 122 mph, and 135 costs it 3.2 %.
    """
    from briefgen.aircraft.physics.vertical_flight import climb_at

    plan = t4(LOWER)
    rates = {
        mph: climb_at(
            plan.parts,
            56000.0 * LB,
            plan.parts.point(air(5000.0), mph * MPH),
            plan.parts.grade.climb,
            "climb",
            plan.parts.stopped(None),
        ).rate_m_per_s
        for mph in range(114, 151, 2)
    }

    assert plan.speeds(56000.0 * LB).climb_m_per_s == pytest.approx(132.0 * MPH)
    assert rates[132] > 0.97 * max(rates.values())


@calibration
def test_filters_off_lifts_manifold_pressure_by_an_inch_and_a_half_at_take_off_airflow() -> None:
    """TF-18 stands in her file as it is; that the same filters cost far less in cruise came out."""
    plant = t4(LOWER).parts.plant
    rating = plant.grade.take_off

    at_take_off = plant.filter_loss(rating.engine_speed_rpm, rating.manifold_pressure_pa)

    assert at_take_off == pytest.approx(fact("TF-18")[0] * INHG, rel=1e-6)
    assert plant.filter_loss(1600.0, 28.0 * INHG) < 0.4 * INHG


@calibration
def test_long_range_at_10000_ft_stands_near_28_inches_and_1600_rpm_lean() -> None:
    """TF-20 at her mid-flight weight: drag, friction, lean limits and that weight itself were fitted to it."""
    speed, pressure, rpm = fact("TF-20")
    at_speed = t4(LOWER).cruise(MID_FLIGHT_LB * LB, air(10000.0), IndicatedAirspeed(speed * MPH))
    long_range = t4(LOWER).cruise(MID_FLIGHT_LB * LB, air(10000.0), LongRange())

    assert at_speed.manifold_pressure_pa == pytest.approx(pressure * INHG, abs=0.5 * INHG)
    assert at_speed.engine_speed_rpm == pytest.approx(rpm, abs=50.0)
    assert at_speed.mixture == "lean"
    assert long_range.ias_m_per_s == pytest.approx(speed * MPH, abs=5.0 * MPH)


@pytest.mark.parametrize("height_ft", [0.0, 10000.0, 20000.0])
def test_lean_is_never_used_above_her_limits_on_the_lower_grade(height_ft: float) -> None:
    """TF-21, TF-22 over every weight and speed that can be flown; her limits lie near 29 inHg, 2,000 and 1,250 rpm."""
    near_pressure, near_speed = fact("TF-21", " and ")
    plan = t4(LOWER)
    curve = plan.parts.grade.lean_manifold_pressure_pa_by_engine_speed_rpm
    pressure_pa, speed, least = curve.y[-1], curve.x[-1], plan.parts.plant.minimum_engine_speed_rpm
    lean = [
        setting
        for weight_lb in range(36000, 60001, 4000)
        for mph in range(120, 171, 10)
        if (setting := plan.cruise(weight_lb * LB, air(height_ft), IndicatedAirspeed(mph * MPH))).mixture == "lean"
    ]

    assert lean
    assert max(one.manifold_pressure_pa or 0.0 for one in lean) <= pressure_pa * (1.0 + 1e-5)
    assert max(one.engine_speed_rpm or 0.0 for one in lean) <= speed
    assert min(one.engine_speed_rpm or 0.0 for one in lean) >= least
    assert pressure_pa == pytest.approx(near_pressure * INHG, abs=NEAR_INHG * INHG)
    assert speed == pytest.approx(near_speed, abs=NEAR_RPM)
    assert least == pytest.approx(fact("TF-22")[0], abs=NEAR_RPM)


def waiting(engines: str) -> float:
    """Return the fuel flow [US gal/h] of TF-23 and TF-24: 120 mph, 2,500 ft, 10 degrees of bank."""
    setting = t4(LOWER).cruise(
        LIGHT_LB * LB, air(2500.0), IndicatedAirspeed(fact("TF-23")[0] * MPH), engines=engines,
        bank_deg=fact("TF-24")[0],
    )  # fmt: skip
    return gallons(setting.fuel_flow_kg_per_s)


@calibration
def test_waiting_light_and_low_burns_about_95_gallons_an_hour_on_four() -> None:
    """TF-23: lean consumption and friction were fitted to it."""
    assert waiting("four") == pytest.approx(fact("TF-23")[2], rel=0.05)


def test_waiting_on_two_burns_more_than_on_four() -> None:
    """TF-26, which came out."""
    four = waiting("four")

    assert waiting("two, both outers feathered") > 1.05 * four
    assert waiting("two, one side feathered") > waiting("two, both outers feathered")


def test_starting_rpm_for_waiting_lies_between_the_lowest_and_1400() -> None:
    """TF-23: she waits on her lowest rpm, 1,300."""
    setting = t4(LOWER).cruise(LIGHT_LB * LB, air(2500.0), IndicatedAirspeed(120.0 * MPH), bank_deg=10.0)

    assert fact("TF-22")[0] <= (setting.engine_speed_rpm or 0.0) <= fact("TF-23")[1]


def test_one_indicated_speed_takes_less_power_and_fuel_lower_down() -> None:
    """TF-27."""
    settings = [
        t4(LOWER).cruise(48000.0 * LB, air(height_ft), IndicatedAirspeed(150.0 * MPH))
        for height_ft in (0.0, 5000.0, 10000.0, 15000.0)
    ]

    powers = [setting.power_w or 0.0 for setting in settings]
    flows = [setting.fuel_flow_kg_per_s for setting in settings]
    assert powers == sorted(powers)
    assert flows == sorted(flows)


@calibration
def test_consumption_lies_in_the_range_of_large_supercharged_radials() -> None:
    """Lean cruise 0.42 to 0.48, take-off 0.65 to 0.85 lb/(bhp h): Perkins and Hage 1949, C. F. Taylor (from memory).

    Lean consumption was fitted to the waiting; the rich ratio of take-off was chosen inside the range.
    """
    lean = t4(LOWER).cruise(48000.0 * LB, air(10000.0), IndicatedAirspeed(150.0 * MPH))
    rich = t4(UPPER).take_off_setting(air(0.0))

    def specific(flow_kg_per_s: float, power_w: float | None) -> float:
        assert power_w is not None
        return (flow_kg_per_s / LB * 3600.0) / (power_w / HP)

    assert 0.42 <= specific(lean.fuel_flow_per_engine_kg_per_s, lean.power_w) <= 0.48
    assert 0.65 <= specific(rich.fuel_flow_per_engine_kg_per_s, rich.power_w) <= 0.85


def test_consumption_rises_with_engine_speed_at_one_power_as_on_the_published_map() -> None:
    """Flight-test handbook 2013, figure 10.2c: near 55 % power 0.44 rises to 0.48 from 1,600 to 2,220 ft/min.

    The map is of another engine. The trend is the check: the rise over the 1,600 ft/min value within 0.03, which is
    what reading piston speed to 30 ft/min and power to 2 % allows; the level lies up to a tenth above the map's best
    engine, because the T4's flow is fitted to TF-20 and TF-23. Her stroke is 5 9/16 in.
    """
    contours = {
        float(row["mean_piston_speed_ft_min"]): float(row["BSFC_lb_per_BHP_h"])
        for row in rows("consumption_map")
        if 50.0 <= float(row["percent_normal_rated_power"]) <= 57.0
        and 1600.0 <= float(row["mean_piston_speed_ft_min"]) <= 2220.0
    }
    plant = t4(LOWER).parts.plant
    power_w = 0.55 * plant.engine.rated_power_w

    def specific(piston_speed_ft_min: float) -> float:
        speed_rpm = piston_speed_ft_min * 12.0 / (2.0 * 5.5625)
        return plant.fuel_flow(speed_rpm, power_w, "lean") / LB * 3600.0 / (power_w / HP)

    assert len(contours) == 4
    for piston_speed, published in contours.items():
        rise, published_rise = specific(piston_speed) / specific(1600.0), published / contours[1600.0]
        assert rise == pytest.approx(published_rise, abs=0.03)
        assert 1.0 <= specific(piston_speed) / published <= 1.10


# The levers are solved to 0.2 rpm, and the lean limit rises by 0.004 inHg a turn: so far above it they may come out.
SOLVED_TO_PA = 0.2 * 0.004 * INHG


def test_given_setting_returns_to_the_speed_it_was_found_for() -> None:
    """TF-20 turned round: the levers of 150 mph give 150 mph."""
    plan = t4(LOWER)
    found = plan.cruise(MID_FLIGHT_LB * LB, air(10000.0), IndicatedAirspeed(150.0 * MPH))
    assert found.engine_speed_rpm is not None
    assert found.manifold_pressure_pa is not None
    target = GivenSetting(found.engine_speed_rpm, found.manifold_pressure_pa - SOLVED_TO_PA, "lean")

    again = plan.cruise(MID_FLIGHT_LB * LB, air(10000.0), target)

    assert again.ias_m_per_s == pytest.approx(found.ias_m_per_s, abs=0.05)
