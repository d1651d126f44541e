"""The S2 survey twin: a chart book entered with power instead of speed, and rates of climb instead of sums."""

from __future__ import annotations

import pytest

from briefgen.errors import OutOfRangeError, PlanError
from briefgen.model.performance import BestEndurance, BestRange, IndicatedAirspeed, LongRange, PercentPower
from tests.shared.demo_aircraft import FT, INHG, KT, LB, air, gallons_per_hour, performance

S2 = performance("s2-survey", "100LL")


def test_a_printed_power_is_read_as_printed() -> None:
    """7,000 lb, 8,000 ft, standard, 65 %: 2,450 rpm, 21.3 inHg, 31.2 US gal/h, 170 kt."""
    setting = S2.cruise(7000.0 * LB, air(8000.0), PercentPower(0.65))

    assert setting.engine_speed_rpm == pytest.approx(2450.0)
    assert setting.manifold_pressure_pa == pytest.approx(21.3 * INHG, rel=1e-6)
    assert gallons_per_hour(setting.fuel_flow_kg_per_s) == pytest.approx(31.2, rel=1e-9)
    assert setting.tas_m_per_s == pytest.approx(170.0 * KT)


def test_power_is_found_for_an_indicated_speed() -> None:
    setting = S2.cruise(6400.0 * LB, air(9000.0, 5.0), IndicatedAirspeed(128.0 * KT))

    assert setting.ias_m_per_s == pytest.approx(128.0 * KT, abs=0.01)


def test_speeds_slower_than_the_chart_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="outside the speeds of the cruise chart"):
        S2.cruise(5000.0 * LB, air(2000.0), IndicatedAirspeed(100.0 * KT))


def test_power_the_thin_air_does_not_give_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="no value in the chart cruise"):
        S2.cruise(6500.0 * LB, air(15000.0), PercentPower(0.7))


def test_searched_speeds_stand_in_their_order() -> None:
    mass, where = 6200.0 * LB, air(7000.0)

    endurance, best, long_range = (
        S2.cruise(mass, where, target) for target in (BestEndurance(), BestRange(), LongRange())
    )

    assert endurance.fuel_flow_kg_per_s <= best.fuel_flow_kg_per_s
    assert long_range.specific_range_m_per_kg == pytest.approx(0.99 * best.specific_range_m_per_kg, rel=2e-3)
    assert best.ias_m_per_s < long_range.ias_m_per_s


def test_one_engine_climbs_worse_and_has_the_lower_ceiling() -> None:
    rate = 100.0 * FT / 60.0
    both = S2.ceiling(6500.0 * LB, 0.0, rate_m_per_s=rate)
    one = S2.ceiling(6500.0 * LB, 0.0, engines="one, the other feathered", rate_m_per_s=0.0)

    assert S2.climb(7000.0 * LB, air(8000.0)).rate_m_per_s > 0.0
    assert S2.climb(7000.0 * LB, air(8000.0), engines="one, the other feathered").rate_m_per_s < 0.0
    assert one.pressure_altitude_m < both.pressure_altitude_m


def test_take_off_power_falls_with_height() -> None:
    low, high = S2.take_off_setting(air(0.0)), S2.take_off_setting(air(8000.0))

    assert low.engine_speed_rpm == high.engine_speed_rpm == 2700.0
    assert (high.manifold_pressure_pa or 0.0) < (low.manifold_pressure_pa or 0.0) - 5.0 * INHG
    assert low.time_limit_s == 300.0


def test_a_turn_raises_the_stalling_speed_by_the_root_of_the_load_factor() -> None:
    """60 degrees of bank: load factor 2 (FAA-H-8083-25 load-factor chart)."""
    level, banked = (S2.stall_ias_m_per_s(6500.0 * LB, "clean", bank_deg=bank) for bank in (0.0, 60.0))

    assert banked / level == pytest.approx(2.0**0.5, rel=1e-9)


def test_configurations_the_charts_do_not_cover_are_refused() -> None:
    with pytest.raises(PlanError, match="no level flight in the configuration half flap"):
        S2.cruise(6500.0 * LB, air(2000.0), IndicatedAirspeed(115.0 * KT), configuration="half flap")
