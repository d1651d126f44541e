"""Carburettor air is never planned hotter than the fuel grade allows, whatever else takes pressure on the way to the engine.

Detonation follows charge temperature, so the limit of a grade is a limit of the air the carburettor draws: common practice, no
published source for the demo aircraft's own figure.
"""

from __future__ import annotations

from itertools import product

import pytest

from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.aircraft.physics.powerplant import IntakeLevers
from briefgen.errors import PlanError
from tests.shared.demo_aircraft import FT, LB, MPH, air, performance

GRADES = ("100/130", "91/96")
WARMER_K = (0.0, 10.0, 15.0, 20.0)
HEIGHTS_FT = (0.0, 3000.0, 7900.0, 8100.0, 14000.0)
CASES = list(product(GRADES, WARMER_K, HEIGHTS_FT))


def model(grade: str) -> ModelPerformance:
    found = performance("t4-freighter", grade)
    assert isinstance(found, ModelPerformance)
    return found


@pytest.mark.parametrize(("grade", "warmer_k", "height_ft"), CASES)
def test_no_power_that_is_offered_draws_air_over_the_limit(grade: str, warmer_k: float, height_ft: float) -> None:
    """With the filters in their loss is made up at the deck, and the deck's heat counts in every one of the offers."""
    parts = model(grade).parts
    limit_k = parts.grade.carburettor_air_temperature_limit_k
    where = air(height_ft, warmer_k)
    point = parts.point(where, 150.0 * MPH)
    for filters_on in (True, False):
        breath = parts.plant.breath(point, IntakeLevers(filters_on))
        for speed_rpm in (1600.0, 2000.0, 2400.0):
            offered = parts.plant.available(breath, speed_rpm)
            deck_pa = parts.plant.deck_pressure(breath, speed_rpm, offered.manifold_pressure_pa)
            turbo = parts.model.engine.turbo
            assert turbo is not None
            assert deck_pa <= turbo.deck_pressure_limit_pa * (1.0 + 1e-9)
            assert parts.plant.temperature_behind(breath, deck_pa) <= limit_k + 1e-6


@pytest.mark.parametrize("grade", GRADES)
def test_outside_air_over_the_limit_is_refused_not_flown(grade: str) -> None:
    plane = model(grade)
    limit_k = plane.parts.grade.carburettor_air_temperature_limit_k
    deviation_k = limit_k - air(0.0).temperature_k

    plane.take_off_setting(air(0.0, deviation_k - 0.1))
    for ask in (
        lambda: plane.take_off_setting(air(0.0, deviation_k + 0.1)),
        lambda: plane.climb(50000.0 * LB, air(0.0, deviation_k + 4.0)),
    ):
        with pytest.raises(PlanError, match=f"hotter than the carburettors may draw it on {grade}"):
            ask()


def test_a_ceiling_is_looked_for_where_the_air_can_be_drawn() -> None:
    """A hot day over the limit at the sea is no reason for a ceiling to be unknown aloft."""
    plane = model("91/96")
    limit_k = plane.parts.grade.carburettor_air_temperature_limit_k
    deviation_k = limit_k - air(0.0).temperature_k + 3.0

    assert plane.ceiling(45000.0 * LB, deviation_k).pressure_altitude_m > 5000.0 * FT
