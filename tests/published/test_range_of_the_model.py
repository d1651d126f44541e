"""The T4 as a whole against range theory and the drag of its contemporaries."""

from __future__ import annotations

import math
from functools import lru_cache

import pytest

from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.kernel.aerodynamics import greatest_lift_drag_ratio
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.performance import Air, IndicatedAirspeed, PowerSetting
from briefgen.spec import read_aircraft
from tests.shared.demo_missions import SPECS

LB = 0.45359237
FT = 0.3048
MPH = 0.44704
G = 9.80665


@lru_cache
def t4() -> ModelPerformance:
    aircraft = read_aircraft(SPECS / "aircraft" / "t4-freighter.yaml", root=SPECS)
    assert aircraft.model is not None
    return ModelPerformance(aircraft, aircraft.model, "91/96")


def test_drag_lies_among_four_engine_aeroplanes_of_its_time() -> None:
    """L. K. Loftin, Quest for Performance, NASA SP-468, 1985, appendix A, three four-engine aeroplanes: zero-lift drag
    0.0211 to 0.0406, greatest lift over drag 12.9 to 16.8, efficiency factor 0.745 to 0.753 implied by both, 0.72 to
    0.82 over all rows (one row seen in a copy, the others from memory).
    """
    airframe = t4().parts.model.airframe
    aspect_ratio = airframe.wing_span_m**2 / airframe.wing_area_m2

    assert 0.0211 <= airframe.zero_lift_drag <= 0.0406
    assert 0.72 <= airframe.span_efficiency_ratio <= 0.82
    best = greatest_lift_drag_ratio(airframe.zero_lift_drag, aspect_ratio, airframe.span_efficiency_ratio)
    assert 12.9 <= best <= 16.8


def test_range_at_one_lift_coefficient_is_that_of_breguet() -> None:
    """Breguet's equation (Anderson, Introduction to Flight, chapter 6, from memory) with the mean of what the model says.

    At one lift coefficient lift over drag stays; efficiency times lift over drag over consumption changes by a few per
    cent as the engines are throttled, so its mean over the flight stands in the equation, which then holds closely.
    """
    start, end, steps = 54000.0 * LB, 42000.0 * LB, 24
    air = Air(10000.0 * FT, standard_temperature(10000.0 * FT))
    distance = 0.0
    factors = []
    for step in range(steps):
        mass = start + (end - start) * (step + 0.5) / steps
        setting = t4().cruise(mass, air, IndicatedAirspeed(150.0 * MPH * math.sqrt(mass / start)))
        distance += setting.specific_range_m_per_kg * (start - end) / steps
        factors.append(breguet_factor(setting))

    breguet = sum(factors) / steps * math.log(start / end)

    assert distance == pytest.approx(breguet, rel=0.005)


def breguet_factor(setting: PowerSetting) -> float:
    """Return efficiency times lift over drag over consumption and gravity [m] from power, speed, thrust and weight."""
    assert setting.power_w is not None
    assert setting.propeller_efficiency is not None
    consumption = setting.fuel_flow_per_engine_kg_per_s / setting.power_w
    thrust_n = setting.engines_running * setting.power_w * setting.propeller_efficiency / setting.tas_m_per_s
    lift_over_drag = setting.mass_kg * G / thrust_n
    return setting.propeller_efficiency * lift_over_drag / (consumption * G)


def test_drag_rises_from_its_least_as_theory_says() -> None:
    """Drag at x times the speed of least drag is (x^2 + 1/x^2)/2 of the least: closed form of the parabolic polar."""
    air = Air(5000.0 * FT, standard_temperature(5000.0 * FT))
    airframe = t4().parts.airframe
    mass = 50000.0 * LB
    points = [t4().parts.point(air, speed * MPH) for speed in range(100, 200)]
    drags = {point.tas_m_per_s: airframe.drag(mass, point, 0.0) for point in points}
    slowest = min(drags, key=drags.__getitem__)

    for speed, drag in drags.items():
        x = speed / slowest
        # The least is taken from speeds one mile an hour apart, a hundredth of it.
        assert drag / drags[slowest] == pytest.approx(0.5 * (x**2 + x**-2), rel=0.01)
