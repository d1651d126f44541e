"""What is made cheaper must stay the same: each short cut of the searches against the long way round."""

from __future__ import annotations

import random
from typing import cast

import pytest

from briefgen.aircraft.book.table import ChartTable
from briefgen.aircraft.optimum import SpeedSearch, endurance_merit, ground_range_merit
from briefgen.aircraft.physics.level_flight import LevelFlight, level_flight
from briefgen.aircraft.physics.lever_solution import MIXTURES
from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.aircraft.physics.powerplant import IntakeLevers
from briefgen.errors import OutOfRangeError
from tests.shared.demo_aircraft import LB, air, aircraft, performance

T4 = cast("ModelPerformance", performance("t4-freighter", "91/96"))
OTHER_GRADE = cast("ModelPerformance", performance("t4-freighter", "100/130"))


def some_flights(count: int) -> list[LevelFlight]:
    """Return level flights of any weight, height, temperature and number of engines."""
    drawn = random.Random(7)
    engines = [one.name for one in T4.engine_configurations]
    return [
        level_flight(
            T4.parts, drawn.uniform(36000.0, 66000.0) * LB, air(drawn.uniform(0.0, 20000.0), drawn.uniform(-20.0, 20.0)),
            drawn.choice([None, *engines]), 0.0, None,
        )
        for _ in range(count)
    ]  # fmt: skip


@pytest.mark.parametrize("mixture", MIXTURES)
@pytest.mark.parametrize("aircraft", [T4, OTHER_GRADE])
def test_the_greatest_power_by_speed_is_that_of_the_pressure_permitted(
    aircraft: ModelPerformance, mixture: str
) -> None:
    """To the last bit, with and without filters, shutters and heat, cold and hot, low and high."""
    drawn, plant = random.Random(3), aircraft.parts.plant
    wish = MIXTURES[0] if mixture == "lean" else MIXTURES[1]
    for _ in range(60):
        point = aircraft.parts.point(air(drawn.uniform(0.0, 9000.0), drawn.uniform(-25.0, 20.0)), 70.0)
        levers = IntakeLevers(*(drawn.random() < 0.5 for _ in range(3)))
        breath = plant.breath(point, levers)
        powers = plant.greatest_power_by_speed(breath, wish)
        rpm = drawn.uniform(plant.minimum_engine_speed_rpm, plant.highest_engine_speed(wish))
        ceiling = plant.permitted(breath, rpm, wish)

        assert powers(rpm) == plant.power(breath, rpm, ceiling.manifold_pressure_pa, wish)


def test_the_hill_found_by_climbing_is_the_highest_of_all() -> None:
    """Range in any wind and endurance, on all engines and fewer; and climbing does save looks."""
    drawn, looks = random.Random(11), []
    for flight in some_flights(60):
        merit = drawn.choice([ground_range_merit(drawn.uniform(-40.0, 40.0)), endurance_merit])
        search = flight._search(merit)
        width = (search._fastest - search._slowest) / 10.0
        speeds = [search._slowest + width * step for step in range(11)]
        found = search._hill(speeds)
        looks.append(len(search._values))

        assert search._value(speeds[found]) == max(search._value(speed) for speed in speeds)

    assert min(looks) <= 4


def test_a_second_hill_beyond_a_change_of_mixture_is_not_missed() -> None:
    """Lean up to 40 with its top there, rich beyond with a higher top at 80: the climb ends on the first, the scan does not."""

    def flown(speed: float) -> tuple[float, float, str]:
        if speed <= 40.0:
            return speed, 1.0 + (speed - 40.0) ** 2 / 1000.0, "lean"
        return speed, 1.2 + (speed - 80.0) ** 2 / 1000.0, "rich"

    best = SpeedSearch(flown, ground_range_merit(0.0), 10.0, 110.0).best_speed()  # type: ignore[arg-type]

    assert best > 60.0


def test_a_chart_read_along_an_axis_gives_what_each_of_its_lines_gives() -> None:
    """Also on lines of the other axes, and where the chart is empty; to round-off, which hangs on the order of the axes."""
    charts = aircraft("s2-survey").charts
    assert charts is not None
    table, drawn, empty = ChartTable(charts.charts["cruise"]), random.Random(2), 0
    lines = table.si_lines("power")
    for _ in range(40):
        at = {name: drawn.choice([drawn.uniform(*table.si_ends(name)), drawn.choice(table.si_lines(name))])
              for name in table.axis_names}  # fmt: skip
        for line, value in zip(lines, table.numbers_along("power", "true airspeed", at), strict=True):
            try:
                assert value == pytest.approx(table.number("true airspeed", {**at, "power": line}), rel=1e-12)
            except OutOfRangeError:
                empty += 1
                assert value is None

    assert 0 < empty < 40 * len(lines)
