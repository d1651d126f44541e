"""The model and the charts printed from it fly the same flight."""

from __future__ import annotations

from functools import lru_cache

import pytest

from briefgen.aircraft.factory import fields_for, performance_of
from briefgen.aircraft.fields import Strip
from briefgen.aircraft.interface import Performance
from briefgen.aircraft.sheet.chart import ChartLines
from briefgen.aircraft.sheet.charts import aircraft_as_charts
from briefgen.errors import BriefgenError
from briefgen.model.aircraft import Aircraft
from briefgen.model.performance import IndicatedAirspeed, LongRange, SpeedTarget
from briefgen.model.places import Runway
from tests.shared.demo_aircraft import FT, LB, MPH, air, aircraft, performance

MODEL = performance("t4-freighter", "91/96")
LINES = ChartLines(
    mass_kg=tuple(weight * LB for weight in range(36000, 60001, 2000)),
    pressure_altitude_m=tuple(height * FT for height in range(0, 14001, 2000)),
    isa_deviation_k=(0.0, 15.0),
    ias_m_per_s=tuple(speed * MPH for speed in range(110, 181, 5)),
)


@lru_cache
def printed_file() -> Aircraft:
    return aircraft_as_charts(aircraft("t4-freighter"), "91/96", LINES)


@lru_cache
def printed() -> Performance:
    return performance_of(printed_file(), "91/96")


def fuel_of_flight(plane: Performance, take_off_lb: float, deviation: float, target: SpeedTarget) -> float:
    """Climb to 9,000 ft, five hours' cruise, descent to 1,000 ft; fuel in kilograms."""
    mass = start = take_off_lb * LB
    for foot in range(250, 9000, 500):
        climb = plane.climb(mass, air(foot, deviation))
        mass -= climb.setting.fuel_flow_kg_per_s * 500.0 * FT / climb.pressure_altitude_rate_m_per_s
    for _ in range(20):
        mass -= plane.cruise(mass, air(9000.0, deviation), target).fuel_flow_kg_per_s * 900.0
    for foot in range(8750, 1000, -500):
        descent = plane.descent(mass, air(foot, deviation))
        mass -= descent.setting.fuel_flow_kg_per_s * 500.0 * FT / descent.pressure_altitude_rate_m_per_s
    return start - mass


@pytest.mark.parametrize("take_off_lb", [46000.0, 52000.0, 56000.0])
@pytest.mark.parametrize("deviation", [0.0, 8.0])
@pytest.mark.parametrize("target", [IndicatedAirspeed(143.0 * MPH), IndicatedAirspeed(150.0 * MPH), LongRange()])
def test_one_flight_takes_the_same_fuel_on_the_model_and_on_its_charts(
    take_off_lb: float, deviation: float, target: SpeedTarget
) -> None:
    """Within 1 %, the bound set for the two kinds of aircraft."""
    on_model = fuel_of_flight(MODEL, take_off_lb, deviation, target)
    on_charts = fuel_of_flight(printed(), take_off_lb, deviation, target)

    assert on_charts == pytest.approx(on_model, rel=0.01)


def test_ceilings_agree() -> None:
    name = "three, one outer feathered"
    model = MODEL.ceiling(58000.0 * LB, 15.0, engines=name)
    charts = printed().ceiling(58000.0 * LB, 15.0, engines=name)

    # Straight lines over 2,000 lb and 2,000 ft; near the ceiling a foot a minute of climb is a dozen feet of height.
    assert charts.pressure_altitude_m == pytest.approx(model.pressure_altitude_m, abs=300.0 * FT)


def test_an_aircraft_of_charts_is_not_printed_again() -> None:
    with pytest.raises(BriefgenError, match="described by charts already"):
        aircraft_as_charts(aircraft("t5-freighter"), "91/96", LINES)


@pytest.mark.parametrize("surface", ["paved dry", "soft", "compacted snow"])
@pytest.mark.parametrize("weight_lb", [47000.0, 53000.0, 59000.0])
def test_her_own_take_off_chart_gives_her_own_take_off(surface: str, weight_lb: float) -> None:
    """Between the lines, 1,000 ft and 7 K over standard: runs within 2 %, unstick speeds within half a mile an hour."""
    runway = Runway("09", 90.0, 1500.0, 30.0, surface, 0.0, 1000.0 * FT, "none")
    on = Strip(runway, air(1000.0, 7.0), 0.0)
    charted, worked_out = (
        fields_for(plane, "91/96").take_off(weight_lb * LB, on) for plane in (printed_file(), aircraft("t4-freighter"))
    )

    assert charted.ground_run_m == pytest.approx(worked_out.ground_run_m, rel=0.02)
    assert charted.distance_m == pytest.approx(worked_out.distance_m, rel=0.02)
    assert charted.unstick_ias_m_per_s == pytest.approx(worked_out.unstick_ias_m_per_s or 0.0, abs=0.5 * MPH)
