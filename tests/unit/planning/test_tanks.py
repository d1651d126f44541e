"""Fuel in its tanks: filling, burning in order, changes of tank and a transfer that fails, worked out by hand."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.errors import PlanError
from briefgen.kernel.fuel import density_at_temperature
from briefgen.planning.load.tanks import (
    changeovers,
    filled,
    fuel_at_its_temperature,
    imbalance_m3,
    measured_density_kg_per_m3,
    start_contents,
    tank_contents,
    usable_m3,
)
from tests.shared.loading_cases import DENSITY, GAL, LB, aircraft, mission, tank

CRAFT = aircraft()  # bay tank 202, mains 502 US gal each, 2 US gal of each unusable
PUBLISHED = Path(__file__).parents[2] / "published" / "standard_weights.csv"


def gallons(contents: dict[str, float]) -> dict[str, float]:
    """Contents in US gallons."""
    return {name: pytest.approx(volume / GAL, abs=1e-6) for name, volume in contents.items()}


def test_what_is_burnt_last_is_filled_first() -> None:
    """1,104 US gal fill both mains and leave 100 for the bay tank."""
    found = filled(CRAFT, 1_104 * GAL)

    assert gallons(found) == {"bay tank": 100.0, "main left": 502.0, "main right": 502.0}


def test_more_than_the_tanks_hold_is_refused() -> None:
    """The tanks hold 1,206 US gal."""
    with pytest.raises(PlanError, match=r"1,207\.0 US gal do not fit into the tanks\n  expected: at most 1,206\.0"):
        filled(CRAFT, 1_207 * GAL)


def test_the_first_tank_goes_down_to_its_unusable_fuel_before_the_next_is_touched() -> None:
    """Of 300 US gal burnt, 98 come from the bay tank and 101 from each main."""
    found = tank_contents(CRAFT, filled(CRAFT, 1_104 * GAL), 300 * GAL)

    assert gallons(found) == {"bay tank": 2.0, "main left": 401.0, "main right": 401.0}


def test_tanks_of_one_order_with_unequal_contents_give_equal_volumes() -> None:
    """A main with 40 usable gives 40; the other carries on alone: 100 burnt leave 2 and 240."""
    start = {"bay tank": 0.0, "main left": 42 * GAL, "main right": 300 * GAL}

    assert gallons(tank_contents(CRAFT, start, 100 * GAL)) == {"bay tank": 0.0, "main left": 2.0, "main right": 240.0}


def test_more_than_the_usable_fuel_cannot_be_burnt() -> None:
    """1,104 US gal aboard with 6 unusable give 1,098."""
    with pytest.raises(PlanError, match=r"2\.0 US gal more are burnt than the tanks can give"):
        tank_contents(CRAFT, filled(CRAFT, 1_104 * GAL), 1_100 * GAL)


def test_a_failed_tank_keeps_what_it_has() -> None:
    """With the bay tank stuck, 300 burnt come from the mains, 150 each."""
    found = tank_contents(CRAFT, filled(CRAFT, 1_104 * GAL), 300 * GAL, failed=frozenset({"bay tank"}))

    assert gallons(found) == {"bay tank": 100.0, "main left": 352.0, "main right": 352.0}


def test_changeovers_are_where_a_tank_or_a_group_is_used_up() -> None:
    """Bay tank after 98, left main after 98 + 80, right main after 98 + 40 + 298."""
    start = {"bay tank": 100 * GAL, "main left": 42 * GAL, "main right": 300 * GAL}
    found = [(round(c.burned_m3 / GAL, 6), c.emptied, c.onward, c.group_ends) for c in changeovers(CRAFT, start)]

    assert found == [
        (98.0, ("bay tank",), ("main left", "main right"), True),
        (178.0, ("main left",), ("main right",), False),
        (436.0, ("main right",), (), True),
    ]


def test_imbalance_counts_the_right_side_positive() -> None:
    """300 right, 42 left."""
    start = {"bay tank": 100 * GAL, "main left": 42 * GAL, "main right": 300 * GAL}

    assert imbalance_m3(CRAFT, start) / GAL == pytest.approx(258.0)


@given(st.floats(10.0, 1_206.0), st.floats(0.0, 1.0))
def test_fuel_burnt_is_fuel_lost_and_never_below_unusable(volume_gal: float, part: float) -> None:
    """Conservation, whatever is aboard and however much of it is burnt."""
    start = filled(CRAFT, volume_gal * GAL)
    burned = part * usable_m3(CRAFT, start)
    left = tank_contents(CRAFT, start, burned)

    assert sum(start.values()) - sum(left.values()) == pytest.approx(burned, abs=1e-9)
    assert all(left[t.name] >= min(t.unusable_m3, start[t.name]) - 1e-9 for t in CRAFT.balance.tanks)


def test_a_tank_given_by_a_wrong_name_is_refused() -> None:
    """The names the file knows are listed."""
    task = mission(kind="by tank", by_tank_m3={"nose tank": 1.0})

    with pytest.raises(PlanError, match="no tank 'nose tank'"):
        start_contents(CRAFT, task.fuel, 1.0)


def test_a_tank_is_not_filled_beyond_its_capacity() -> None:
    """503 US gal do not go into 502."""
    task = mission(kind="by tank", by_tank_m3={"main left": 503 * GAL})

    with pytest.raises(PlanError, match=r"503\.0 US gal do not fit into tank 'main left'"):
        start_contents(CRAFT, task.fuel, 503 * GAL)


def test_three_tanks_of_one_order_fill_level() -> None:
    """A small tank of the group is full before the level of the others is reached: 10, 45 and 45 of 100."""
    craft = aircraft(tanks=(tank("a", 10, 0, 0, 1), tank("b", 60, 0, 0, 1), tank("c", 60, 0, 0, 1)))

    assert gallons(filled(craft, 100 * GAL)) == {"a": 10.0, "b": 45.0, "c": 45.0}


def _avgas() -> dict[int, float]:
    lines = [line for line in PUBLISHED.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    rows = [row for row in csv.DictReader(lines) if row["fluid"] == "avgas"]
    return {int(row["temperature_degf"]): float(row["lb_per_us_gal"]) * LB / GAL for row in rows}


def test_gasoline_grows_denser_in_the_cold_as_the_standard_weights_say() -> None:
    """6.01 lb/US gal at 59 degF against 6.14 at 32 degF (class S).

    Tolerance: the petroleum-table formula gives 6.125, a quarter of a per cent less than the handbook's rounded row; the
    two sources differ by that much, so the tolerance is 0.3 per cent and not half a digit.
    """
    weights = _avgas()
    found = density_at_temperature(weights[59], 288.15, 273.15)

    assert found == pytest.approx(weights[32], rel=0.003)


@given(st.floats(705.0, 725.0), st.floats(268.0, 303.0), st.floats(268.0, 303.0))
def test_density_goes_there_and_back(density: float, measured_k: float, fuel_k: float) -> None:
    """Corrected to another temperature and back it is the same."""
    there = density_at_temperature(density, measured_k, fuel_k)

    assert density_at_temperature(there, fuel_k, measured_k) == pytest.approx(density, rel=1e-9)
    assert (there < density) == (fuel_k > measured_k) or there == pytest.approx(density)


def test_a_mission_with_both_temperatures_gets_the_density_of_its_fuel() -> None:
    """Without them the density stays as written."""
    task = mission(density_temperature_k=288.15, temperature_k=308.15)
    warm = fuel_at_its_temperature(task.fuel)

    assert warm.density_kg_per_m3 < DENSITY
    assert fuel_at_its_temperature(mission().fuel).density_kg_per_m3 == DENSITY


def test_a_fuel_temperature_without_that_of_the_measurement_is_refused() -> None:
    """Nothing is assumed about where the density came from."""
    with pytest.raises(PlanError, match="but not the temperature at which its density was measured"):
        fuel_at_its_temperature(mission(temperature_k=308.15).fuel)


def test_the_measured_density_is_found_again() -> None:
    """Taken to the fuel's temperature and back."""
    warm = fuel_at_its_temperature(mission(density_temperature_k=288.15, temperature_k=308.15).fuel)

    assert measured_density_kg_per_m3(warm) == pytest.approx(DENSITY)
