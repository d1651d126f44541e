"""Placing load: the same answer from trying everything and from the solver, every limit kept, and the smallest change."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations, product
from typing import Any

import pytest

from briefgen.errors import PlanError
from briefgen.model.mission import LoadItem
from briefgen.planning.load.conditions import conditions
from briefgen.planning.load.moves import moves
from briefgen.planning.load.pieces import conflicts, why_not
from briefgen.planning.load.placement import (
    best_by_programme,
    best_by_trial,
    distance_from_preferred_m,
    keeps_floor_and_company,
    place,
    smallest_change,
)
from briefgen.planning.load.placement_model import GAP_M, OBJECTIVE_FLOOR_M
from briefgen.planning.load.placement_problem import keeps_limits, problem_of, weigh_all
from tests.shared.loading_cases import (
    BALANCE,
    FT,
    IN,
    LB,
    RICE,
    SPARES,
    WATER,
    aircraft,
    bay,
    envelope,
    item,
    mission,
    phases,
)

FREE = [replace(load, bay=None) for load in (WATER, RICE, SPARES)]
NARROW = aircraft(envelopes=(envelope("flight", (255, 30_000), (255, 61_000), (271.5, 61_000), (271.5, 30_000)),))


def many(count: int, seed: int) -> Any:
    """A mission of many items over twelve bays, some leaving in two passes, two of them dangerous."""
    craft = aircraft(bays=tuple(bay(str(n + 1), 150 + n * 27, 175 + n * 27, 3_000) for n in range(12)))
    chance = random.Random(seed)
    leaves = ("landing", "drop pass 1", "drop pass 2")
    size = {"length_m": 24 * IN, "width_m": 20 * IN, "height_m": 24 * IN}
    items = [
        LoadItem(f"Item {n:02}", chance.choice([120, 200, 260, 340, 500, 640]) * LB, None, leaves[n % 3], **size)
        for n in range(count)
    ]
    items[4 % count] = replace(items[4 % count], dangerous="explosive")
    items[1] = replace(items[1], dangerous="flammable")
    return mission(*items, craft=craft)


def test_a_proposed_placement_keeps_every_limit_at_every_moment() -> None:
    """Checked by weighing each moment, not by the solver's word."""
    task = many(20, 1)
    moments = conditions(task, phases(task))
    found = place(task, moments)

    assert set(found.bays) == {load.name for load in task.items}
    assert keeps_limits(task, moments, found.bays)
    assert keeps_floor_and_company(task, task.items, found.bays)
    assert conflicts(task, found.bays) == []
    assert all(not why_not(task.aircraft, load, _bay(task, found.bays[load.name])) for load in task.items)


def _bay(task: Any, name: str) -> Any:
    return next(b for b in task.aircraft.balance.bays if b.name == name)


def test_the_same_load_is_placed_alike_every_time() -> None:
    """Twice the same answer."""
    task = many(20, 2)
    moments = conditions(task, phases(task))

    assert place(task, moments) == place(task, moments)


@pytest.mark.parametrize("seed", range(4))
def test_the_solver_is_as_good_as_trying_everything(seed: int) -> None:
    """Four items over six bays: the solver's distance is the least there is, to the floor and gap it is asked for."""
    chance = random.Random(seed)
    loads = [
        item(
            f"Item {n}", chance.choice([300, 700, 1_100, 1_500]), None, ("landing", "drop pass 1", "drop pass 2")[n % 3]
        )
        for n in range(4)
    ]
    task = mission(*loads)
    problem = problem_of(task, conditions(task, phases(task)))
    tried, solved = best_by_trial(problem), best_by_programme(problem)

    assert tried is not None
    assert solved is not None
    least_m = max(distance_from_preferred_m(problem, tried), OBJECTIVE_FLOOR_M)
    assert max(distance_from_preferred_m(problem, solved), OBJECTIVE_FLOOR_M) <= least_m + GAP_M


def test_what_is_put_by_hand_stays_there() -> None:
    """Only the rice asks for a place."""
    task = mission(WATER, replace(RICE, bay=None), SPARES)
    found = place(task, conditions(task, phases(task)))

    assert found.bays["Water"] == "6"
    assert found.bays["Spares"] == "3"
    assert found.proposed == ("Rice",)


def test_a_load_that_leaves_first_has_nothing_of_the_second_pass_in_its_way() -> None:
    """The cargo door is at 425 in: water of the first pass stands no further from it than rice of the second."""
    task = mission(*FREE)
    found = place(task, conditions(task, phases(task)))

    assert int(found.bays["Water"]) >= int(found.bays["Rice"])
    assert conflicts(task, {"Water": "4", "Rice": "5", "Spares": "2"}) == [
        ("Water", "Rice", "stands behind a load that leaves later")
    ]


def test_a_load_for_the_drop_is_not_put_where_no_door_opens_in_flight() -> None:
    """Bay 1 has only the nose hatch."""
    assert why_not(aircraft(), FREE[0], BALANCE.bays[0]) == "no door of the bay opens in flight"
    assert why_not(aircraft(), FREE[2], BALANCE.bays[0]) == ""


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"mass_kg": 4_100 * LB}, "heavier than the bay may carry"),
        ({"length_m": 51 * IN}, "too long for the bay"),
        ({"width_m": 61 * IN}, "too wide for the bay"),
        ({"height_m": 61 * IN}, "too high for the bay"),
        # 40 x 30 in is 8.33 sq ft: at 200 lb/sq ft it may weigh 1,666 lb.
        ({"mass_kg": 1_667 * LB}, "too heavy for the floor it stands on"),
        ({"mass_kg": 1_666 * LB}, ""),
        # 12 in long at 1,000 lb/ft of running length; 60 in wide, so that the floor bears 1,000 lb over 5 sq ft.
        ({"length_m": 12 * IN, "width_m": 60 * IN, "mass_kg": 1_001 * LB}, "too heavy for the floor it stands on"),
    ],
)
def test_an_item_is_refused_by_a_bay_for_a_named_reason(change: dict[str, float], reason: str) -> None:
    """Just at and just beyond each limit of bay 3."""
    assert why_not(aircraft(), replace(FREE[2], **change), BALANCE.bays[2]) == reason


def test_running_load_refuses_what_the_floor_area_would_bear() -> None:
    """600 lb on a foot of running length at a limit of 500 lb/ft, on a floor that bears 200 lb/sq ft over 5 sq ft."""
    strict = bay("3", 250, 300, 4_000, running_limit_kg_per_m=500 * LB / FT)
    load = item("Plate", 600, None, length_m=12 * IN, width_m=60 * IN)

    assert why_not(aircraft(), load, strict) == "too heavy for the length it stands on"


def test_dangerous_classes_stand_a_bay_apart() -> None:
    """Next to each other is a conflict, with a bay between is not (house rule)."""
    one, other = item("Fuel", 100, None, dangerous="flammable"), item("Flares", 100, None, dangerous="explosive")
    task = mission(one, other)

    assert conflicts(task, {"Fuel": "2", "Flares": "3"})
    assert not conflicts(task, {"Fuel": "2", "Flares": "4"})


def test_an_impossible_load_is_refused_with_the_smallest_change() -> None:
    """At the door, 425 in, only 1,285.4 lb keep the centre ahead of 271.5 in.

    By hand, spares in bay 1: (10,900,000 + 400 x 170 + 4,440 x 270 + 425 m) / (45,540 + m) = 271.5.
    """
    task = mission(item("Water", 1_650, None, "drop pass 1"), SPARES, craft=NARROW)
    moments = conditions(task, phases(task))

    with pytest.raises(PlanError, match="no arrangement keeps every limit") as caught:
        place(task, moments)
    assert caught.value.hint == "leave behind Water (1,650 lb), or at least 365 lb of it"
    # Spares put by hand at 275 in: (10,900,000 + 400 x 275 + 4,440 x 270 + 1,650 x 425) / 47,190 = 273.58, 2.1 in behind.
    assert "what binds: Drop pass 1, load at the door, 2.1 in outside the aft limit at best" in caught.value.problem


def test_a_load_too_heavy_to_be_placed_names_the_weight_and_the_moment() -> None:
    """By hand: 40,700 lb without load, three boxes of 3,900 lb: 52,400, over the zero-fuel limit of 52,000."""
    size = {"length_m": 50 * IN, "width_m": 60 * IN}
    task = mission(*(item(f"Box {n}", 3_900, None, **size) for n in range(3)))

    with pytest.raises(PlanError, match="the weight binds: Loaded, no fuel, 52,400 lb, at most 52,000 lb"):
        place(task, conditions(task, phases(task)))


def test_a_load_the_floors_do_not_take_says_so() -> None:
    """Seven boxes, each as large as a bay, into six bays."""
    task = mission(*(item(f"Box {n}", 300, None, length_m=40 * IN, width_m=60 * IN) for n in range(7)))

    with pytest.raises(PlanError, match="the bays do not take it all"):
        place(task, conditions(task, phases(task)))


def _possible_without(task: Any, moments: Any, behind: tuple[str, ...]) -> bool:
    """Whether any arrangement of the rest keeps all limits, by trying all of them."""
    rest = replace(task, items=tuple(load for load in task.items if load.name not in behind))
    names = [load.name for load in rest.items]
    bays = [b.name for b in task.aircraft.balance.bays]
    for places in product(bays, repeat=len(names)):
        where = dict(zip(names, places, strict=True))
        allowed = all(not why_not(task.aircraft, load, _bay(task, where[load.name])) for load in rest.items)
        flown = [moment for moment in moments if moment.envelope]
        if allowed and keeps_floor_and_company(rest, rest.items, where) and keeps_limits(rest, flown, where):
            return True
    return False


@pytest.mark.parametrize("aft_limit_in", [269.5, 271.0, 272.5])
def test_no_smaller_mass_left_behind_would_do(aft_limit_in: float) -> None:
    """Every lighter set of whole items is tried in every arrangement, and none of them flies."""
    corners = ((255, 30_000), (255, 61_000), (aft_limit_in, 61_000), (aft_limit_in, 30_000))
    loads = [replace(WATER, bay=None), item("Flour", 900, None, "drop pass 2"), item("Tent", 500, None, "drop pass 2")]
    task = mission(*loads, craft=aircraft(envelopes=(envelope("flight", *corners),)))
    moments = conditions(task, phases(task))
    change = smallest_change(task, moments)

    assert change is not None
    masses = {load.name: load.mass_kg for load in loads}
    left_kg = sum(masses[name] for name in change.left_behind)
    assert left_kg > 0.0
    sets = [names for count in range(4) for names in combinations(masses, count)]
    lighter = [names for names in sets if sum(masses[name] for name in names) < left_kg - 1e-6]
    assert not any(_possible_without(task, moments, names) for names in lighter)
    assert _possible_without(task, moments, change.left_behind)


def test_moving_what_was_put_by_hand_comes_before_leaving_load_behind() -> None:
    """3,000 lb in bay 6 by hand are too far aft; the change moves as few of them as will do."""
    loads = [item(f"Box {n}", 1_000, "6") for n in range(3)]
    corners = ((250, 30_000), (250, 61_000), (275, 61_000), (275, 30_000))
    task = mission(*loads, craft=aircraft(envelopes=(envelope("flight", *corners),)))
    moments = conditions(task, phases(task))
    change = smallest_change(task, moments)

    assert not keeps_limits(task, moments, {})
    assert change is not None
    assert change.left_behind == ()
    assert len(change.moved) == 1
    assert keeps_limits(task, moments, change.bays)


def test_an_item_no_bay_takes_is_refused_with_the_reason_of_each_bay() -> None:
    """Nine feet long."""
    task = mission(item("Mast", 100, None, length_m=9 * FT))

    with pytest.raises(PlanError, match=r"load item Mast: no bay takes it \(bay 1: too long for the bay"):
        place(task, conditions(task, phases(task)))


def test_two_items_of_one_name_are_refused() -> None:
    """They could not be told apart on the sheet."""
    task = mission(SPARES, SPARES)

    with pytest.raises(PlanError, match="two load items are called 'Spares'"):
        place(task, conditions(task, phases(task)))


def test_moving_an_item_moves_the_centre_by_the_lever_rule() -> None:
    """400 lb moved 50 in aft at 49,980 lb: 0.4 in (FAA-H-8083-25, weight shifting, by hand)."""
    task = mission(WATER, RICE, SPARES)
    moments = conditions(task, phases(task))
    bays = {"Water": "6", "Rice": "5", "Spares": "3"}
    found = {(move.item, move.bay): move for move in moves(task, moments, bays)}
    take_off = next(moment for moment in moments if moment.key == "take_off")
    after = weigh_all(task, [take_off], {**bays, "Spares": "4"})[0]
    before = weigh_all(task, [take_off], bays)[0]

    assert found["Spares", "4"].change_m == pytest.approx(400 * 50 / 49_980 * IN)
    assert after.arm_m - before.arm_m == pytest.approx(found["Spares", "4"].change_m)
    assert found["Spares", "4"].verdict == "keeps every limit"
    assert found["Spares", "6"].verdict == "Rice stands behind a load that leaves later"
    assert found["Water", "1"].verdict == "no door of the bay opens in flight"


def test_a_load_over_the_zero_fuel_limit_has_to_lose_exactly_what_is_over() -> None:
    """40,700 lb operating with 7 x 1,600 + 400 lb is 52,300 against 52,000."""
    task = mission(*(item(f"Box {n}", 1_600, None) for n in range(7)), item("Tent", 400, None))

    with pytest.raises(PlanError) as caught:
        place(task, conditions(task, phases(task)))
    assert caught.value.hint == "leave behind Tent (400 lb), or at least 300 lb of it"


def test_a_load_that_no_bay_takes_is_told_what_to_take_off_it() -> None:
    """On 8.33 sq ft at 200 lb/sq ft it may weigh 1,666 lb; 334 lb have to go."""
    task = mission(item("Pump", 2_000, None))

    with pytest.raises(PlanError) as caught:
        place(task, conditions(task, phases(task)))
    assert caught.value.hint == "leave behind Pump (2,000 lb), or at least 334 lb of it"
