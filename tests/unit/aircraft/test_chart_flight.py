"""The T5 by her book: charts are read inside their lines, never across a change of mixture, never outside."""

from __future__ import annotations

import csv

import pytest

from briefgen.aircraft.interface import Performance
from briefgen.errors import OutOfRangeError, PlanError
from briefgen.model.aircraft import Aircraft
from briefgen.model.performance import IndicatedAirspeed, LongRange, PercentPower
from tests.shared.demo_aircraft import FT, INHG, KT, LB, MPH, SPECS, air, aircraft, gallons_per_hour, performance

BOOK = performance("t5-freighter", "91/96")
MODEL = performance("t4-freighter", "91/96")


def book_rows(name: str) -> list[dict[str, str]]:
    lines = (SPECS / "aircraft" / "t5-freighter" / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


CRUISE = book_rows("cruise.csv")


def at_row(row: dict[str, str]) -> tuple[float, float, float, float]:
    return (
        float(row["weight_lb"]),
        float(row["pressure_altitude_ft"]),
        float(row["isa_deviation_degC"]),
        float(row["ias_mph"]),
    )


@pytest.mark.parametrize("row", CRUISE[::97], ids=lambda row: "-".join(list(row.values())[:4]))
def test_a_printed_line_is_read_as_printed(row: dict[str, str]) -> None:
    weight, height, deviation, speed = at_row(row)

    setting = BOOK.cruise(weight * LB, air(height, deviation), IndicatedAirspeed(speed * MPH))

    assert setting.engine_speed_rpm == pytest.approx(float(row["rpm"]))
    assert setting.manifold_pressure_pa == pytest.approx(float(row["manifold_pressure_inHg"]) * INHG, rel=1e-6)
    assert setting.mixture == row["mixture"]
    flow = gallons_per_hour(setting.fuel_flow_kg_per_s)
    assert flow == pytest.approx(float(row["fuel_flow_us_gal_per_h_total"]), rel=1e-9)
    assert setting.tas_m_per_s == pytest.approx(float(row["tas_kt"]) * KT, rel=1e-9)


def test_between_lines_of_one_mixture_the_reading_is_linear() -> None:
    """48,000 lb, 10,000 ft, standard: 150 mph prints 158.3 and 160 mph 173.0 US gal/h."""
    setting = BOOK.cruise(48000.0 * LB, air(10000.0), IndicatedAirspeed(155.0 * MPH))

    assert gallons_per_hour(setting.fuel_flow_kg_per_s) == pytest.approx((158.3 + 173.0) / 2.0, rel=1e-9)


def test_across_a_change_of_mixture_rich_is_taken_and_said() -> None:
    """56,000 lb, 10,000 ft: 160 mph is lean at 198.3, 170 mph rich at 244.0; between them the rich value stands."""
    setting = BOOK.cruise(56000.0 * LB, air(10000.0), IndicatedAirspeed(162.0 * MPH))

    assert setting.mixture == "rich"
    assert gallons_per_hour(setting.fuel_flow_kg_per_s) == pytest.approx(244.0, rel=1e-9)
    assert "change of mixture" in setting.governing_limit


def test_outside_the_chart_the_axis_the_value_and_the_range_are_named() -> None:
    with pytest.raises(OutOfRangeError, match="indicated airspeed 185 mph is outside the chart") as refusal:
        BOOK.cruise(48000.0 * LB, air(10000.0), IndicatedAirspeed(185.0 * MPH))

    assert refusal.value.expected == "indicated airspeed from 120 to 180 mph"


def test_next_to_a_cell_without_answer_there_is_none() -> None:
    with pytest.raises(OutOfRangeError, match="has no answer next to mass 64,000 lb, pressure altitude 20,000 ft"):
        BOOK.cruise(64000.0 * LB, air(20000.0, 15.0), IndicatedAirspeed(178.0 * MPH))


def test_bank_counts_as_weight() -> None:
    banked = BOOK.cruise(40000.0 * LB, air(2500.0), IndicatedAirspeed(120.0 * MPH), bank_deg=30.0)
    heavy = BOOK.cruise(40000.0 / 0.8660254037844386 * LB, air(2500.0), IndicatedAirspeed(120.0 * MPH))

    assert banked.fuel_flow_kg_per_s == pytest.approx(heavy.fuel_flow_kg_per_s, rel=1e-9)


def test_waiting_on_two_engines_is_read_from_its_own_chart() -> None:
    setting = BOOK.cruise(
        36000.0 * LB, air(2500.0), IndicatedAirspeed(120.0 * MPH), engines="two, both outers feathered"
    )

    assert gallons_per_hour(setting.fuel_flow_kg_per_s) == pytest.approx(93.6, rel=1e-9)
    assert setting.engines_running == 2


def test_a_chart_for_the_standard_day_is_not_read_on_another() -> None:
    with pytest.raises(OutOfRangeError, match="holds for the standard day"):
        BOOK.cruise(
            36000.0 * LB, air(2500.0, 10.0), IndicatedAirspeed(120.0 * MPH), engines="two, both outers feathered"
        )


def test_climb_flown_in_steps_takes_the_time_and_fuel_the_chart_accumulates() -> None:
    """56,000 lb at sea level, standard: 7,500 ft after 11.6 min, 72.7 US gal and 23.9 NM."""
    mass = 56000.0 * LB
    time_s = fuel_kg = distance_m = 0.0
    steps = 75
    for step in range(steps):
        climb = BOOK.climb(mass - fuel_kg, air((step + 0.5) * 100.0))
        duration = 100.0 * FT / climb.pressure_altitude_rate_m_per_s
        time_s += duration
        fuel_kg += climb.setting.fuel_flow_kg_per_s * duration
        distance_m += climb.setting.tas_m_per_s * duration

    # The chart prints tenths; the steps add less than that.
    assert time_s / 60.0 == pytest.approx(11.6, abs=0.1)
    assert fuel_kg / (6.0 * LB) == pytest.approx(72.7, rel=0.005)
    assert distance_m / 1852.0 == pytest.approx(23.9, abs=0.1)


def test_ceilings_are_read_and_at_least_is_said() -> None:
    exact = BOOK.ceiling(56000.0 * LB, 0.0, engines="three, one outer feathered", rate_m_per_s=100.0 * FT / 60.0)
    open_ended = BOOK.ceiling(48000.0 * LB, 0.0)

    assert exact.pressure_altitude_m / FT == pytest.approx(13386.0)
    assert open_ended.beyond_range


# --- the T5 beside the T4: another airframe of the class, so trends and no figures ------------------------------------


def flow_of_row(plane: Performance, weight: float, height: float, deviation: float, speed: float) -> float | None:
    """Return the lean flow of a plane [kg/s], nothing where she flies rich or does not fly."""
    try:
        setting = plane.cruise(weight * LB, air(height, deviation), IndicatedAirspeed(speed * MPH))
    except PlanError:
        return None
    return setting.fuel_flow_kg_per_s if setting.mixture == "lean" else None


@pytest.mark.parametrize(
    ("axis", "step", "values"),
    [
        ("weight", (4000.0, 0.0, 0.0, 0.0), range(36000, 56001, 4000)),
        ("height", (0.0, 2500.0, 0.0, 0.0), range(36000, 56001, 4000)),
        ("warmth", (0.0, 0.0, 15.0, 0.0), range(36000, 56001, 4000)),
        ("speed", (0.0, 0.0, 0.0, 10.0), range(36000, 56001, 4000)),
    ],
)
def test_both_airframes_answer_one_step_alike(axis: str, step: tuple[float, ...], values: range) -> None:
    """From 5,000 ft, standard, 140 mph: what costs the one more fuel costs the other more, within a factor of two.

    They differ in wing, drag and engines; that a step of an axis costs one of them twice what it costs the other would
    still mean that one of the two calculations has the axis wrong.
    """
    compared = 0
    for weight in values:
        start = (float(weight), 5000.0, 0.0, 140.0)
        there = tuple(one + more for one, more in zip(start, step, strict=True))
        flows = [(flow_of_row(plane, *start), flow_of_row(plane, *there)) for plane in (BOOK, MODEL)]
        if any(flow is None for pair in flows for flow in pair):
            continue
        book, model = (after / before - 1.0 for before, after in flows if before and after)
        assert book > 0.0
        assert model > 0.0
        assert 0.5 < book / model < 2.0, (axis, weight)
        compared += 1
    assert compared >= 4


def test_long_range_speed_rises_with_weight_on_both_airframes() -> None:
    """From the middle weights on; light, the T4 is already at her least engine speed and hardly slows."""
    for plane in (BOOK, MODEL):
        speeds = [plane.cruise(lb * LB, air(10000.0), LongRange()).ias_m_per_s for lb in range(44000, 56001, 4000)]
        assert speeds == sorted(speeds)
        assert speeds[-1] > 1.05 * speeds[0]


def test_power_asked_of_a_chart_of_speeds_is_refused() -> None:
    with pytest.raises(PlanError, match="not entered with power"):
        BOOK.cruise(48000.0 * LB, air(10000.0), PercentPower(0.6))


def test_the_book_and_the_model_are_two_airframes() -> None:
    """Neither registration, tank, bay, limit nor speed of the one file was taken over from the other."""
    book, model = aircraft("t5-freighter"), aircraft("t4-freighter")

    def of(plane: Aircraft) -> tuple[set[object], ...]:
        balance = plane.balance
        return (
            {one.registration for one in plane.individuals},
            {(tank.capacity_m3, tank.arm_m) for tank in balance.tanks},
            {(bay.name, bay.from_arm_m) for bay in balance.bays},
            {(station.name, station.arm_m) for station in balance.stations},
            {
                balance.limits.ramp_kg,
                balance.limits.take_off_kg,
                balance.limits.landing_kg,
                balance.limits.zero_fuel_kg,
            },
        )

    for ours, theirs in zip(of(book), of(model), strict=True):
        assert ours
        assert not ours & theirs
