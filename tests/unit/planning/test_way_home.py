"""Ways home along the flight: symmetries, what wind and a drop do to them, fields of a part of the route, engines out."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from briefgen.model.mission import Leg, Mission
from briefgen.planning.flight.direct import along, highest_way, straight_lines, time_along
from briefgen.planning.flight.home.critical_point import critical_point
from briefgen.planning.flight.home.equal_time import Choice, Ways, equal_times
from briefgen.planning.flight.home.refuges import Refuge
from briefgen.planning.flight.home.spots import Spot
from briefgen.planning.flight.home.way_height import safe_level
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS
from tests.shared.range_points import equal_time_distance
from tests.shared.simple_aircraft import (
    EMPTY_KG,
    FLOW_KG_PER_S,
    HEIGHT_M,
    HOUR_S,
    IAS_RATIO,
    KT_M_PER_S,
    NMI_M,
    NOT_FOUR,
    Scene,
    SimpleAircraft,
    hours,
    no_return_points,
    northward,
)

TAS = 180.0 * KT_M_PER_S
TOTAL_M = 1500.0 * NMI_M
NEAR_M = 0.1 * NMI_M  # what she flies in the two seconds to which a point is solved


@cache
def mission() -> Mission:
    """Return any mission: its route and alternates are replaced."""
    return read_mission(SPECS / "cedar-lantern.yaml")


def equal_time(scene: Scene, engines: str | None = None) -> list[Spot]:
    """Return the equal-time points between the ends of a scene."""
    ways = Ways(scene.mission, replace(scene.crew, engines=engines))
    return ways.points(Choice(scene.origin, scene.destination, True), scene.spots)


def test_without_wind_the_equal_time_point_is_half_way_on_four_and_on_three_engines() -> None:
    scene = northward(mission(), TOTAL_M, TAS)

    for engines in (None, NOT_FOUR):
        (spot,) = equal_time(scene, engines)
        assert spot.node.distance_m == pytest.approx(0.5 * TOTAL_M, abs=NEAR_M)


def test_head_and_tail_wind_move_the_equal_time_point_alike_to_either_side() -> None:
    """The point moves into the wind: towards the end with the wind against her."""
    (against,) = equal_time(northward(mission(), TOTAL_M, TAS, -25.0 * KT_M_PER_S))
    (behind,) = equal_time(northward(mission(), TOTAL_M, TAS, 25.0 * KT_M_PER_S))

    assert behind.node.distance_m < 0.5 * TOTAL_M < against.node.distance_m
    assert behind.node.distance_m + against.node.distance_m == pytest.approx(TOTAL_M, abs=2 * NEAR_M)


def test_on_three_engines_the_wind_moves_the_point_further() -> None:
    """She is slower, so the same wind weighs more: X = D H / (O + H) with the slower speed."""
    wind = -25.0 * KT_M_PER_S
    (spot,) = equal_time(northward(mission(), TOTAL_M, TAS, wind), NOT_FOUR)

    slow = 0.8 * TAS
    assert spot.node.distance_m == pytest.approx(equal_time_distance(TOTAL_M, slow + wind, slow - wind), abs=NEAR_M)


def test_the_last_moment_to_return_comes_earlier_in_any_wind_along_the_track() -> None:
    """Radius of action in a wind is that of still air times 1 - (w/v)^2: wind from ahead and from behind cost alike."""
    calm, ahead, behind = (
        no_return_points(northward(mission(), TOTAL_M, TAS, wind * KT_M_PER_S, endurance_s=13 * HOUR_S))[0].spot
        for wind in (0.0, -30.0, 30.0)
    )

    assert behind.node.distance_m == pytest.approx(calm.node.distance_m * (1 - (30 / 180) ** 2), abs=NEAR_M)
    assert ahead.node.distance_m == pytest.approx(behind.node.distance_m, abs=2 * NEAR_M)
    assert hours(behind) < hours(calm) < hours(ahead)


def test_more_wind_against_the_way_home_brings_the_last_moment_forward() -> None:
    points = [
        no_return_points(northward(mission(), TOTAL_M, TAS, wind * KT_M_PER_S, endurance_s=11 * HOUR_S))[0].spot
        for wind in (10.0, 20.0, 30.0, 40.0)
    ]

    assert [hours(spot) for spot in points] == sorted((hours(spot) for spot in points), reverse=True)


def test_a_drop_reopens_the_way_home_and_every_crossing_is_told() -> None:
    """Lighter by the load she burns less: the way home that had closed is open again, until it closes for good."""
    scene = northward(
        mission(), TOTAL_M, TAS, endurance_s=18 * HOUR_S, legs=3, aircraft=SimpleAircraft(TAS, flow_per_kg=1.0e-5),
        drop_after=1, drop_kg=5000.0,
    )  # fmt: skip
    points = no_return_points(scene)

    assert [point.closing for point in points] == [True, False, True]
    first, reopened, last = (point.spot.node.distance_m for point in points)
    assert first < reopened < last
    assert reopened == pytest.approx(2.0 / 3.0 * TOTAL_M, abs=NEAR_M)


def test_a_field_of_a_part_of_the_route_serves_there_alone() -> None:
    scene = northward(mission(), TOTAL_M, TAS)
    refuge = Refuge("x", scene.destination, HEIGHT_M, "reach", from_m=0.25 * TOTAL_M, until_m=0.75 * TOTAL_M)
    points = no_return_points(scene, refuge)

    assert [point.closing for point in points] == [False, True]
    assert points[0].spot.node.distance_m == pytest.approx(0.25 * TOTAL_M, abs=NEAR_M)
    assert points[1].spot.node.distance_m == pytest.approx(0.75 * TOTAL_M, abs=NEAR_M)


def test_the_way_to_an_alternate_leads_through_its_points() -> None:
    scene = northward(mission(), TOTAL_M, TAS, legs=2)
    node, middle = scene.spots[0].node, scene.mission.route.items[0].to  # type: ignore[union-attr]
    back = straight_lines(node, scene.origin, (middle,))

    assert [line.to_ident for line in back] == [middle.ident, scene.origin.ident]
    assert back[-1].end_distance_m - node.distance_m == pytest.approx(
        straight_lines(node, middle)[0].length_m + 0.5 * TOTAL_M
    )


def test_a_way_asked_for_its_time_alone_takes_the_same_time() -> None:
    """One setting at the greatest weight tells the speed of the whole way."""
    scene = northward(mission(), TOTAL_M, TAS, lambda lat: 20.0 if lat < 0.0 else -10.0)
    spot = scene.spots[-1]
    lines = straight_lines(spot.node, scene.origin)

    whole = along(scene.crew, spot.node, lines, HEIGHT_M, TAS * IAS_RATIO)
    time = time_along(scene.crew, spot.node, lines, HEIGHT_M, TAS * IAS_RATIO)
    assert time.time_s == pytest.approx(whole.time_s, rel=2e-3)


def test_fuel_of_a_long_way_is_that_of_the_falling_weight() -> None:
    """Flow rising with weight, burnt over eight hours: the exact answer is an exponential; three-hour stretches give it."""
    rate = 5.0e-6
    aircraft = SimpleAircraft(TAS, flow_per_kg=rate)
    scene = northward(mission(), TOTAL_M, TAS, aircraft=aircraft, endurance_s=15 * HOUR_S)
    node = scene.spots[0].node
    lines = straight_lines(node, scene.destination)
    flow = FLOW_KG_PER_S + rate * (node.mass_kg - EMPTY_KG)
    way = along(scene.crew, node, lines, HEIGHT_M, TAS * IAS_RATIO, flow)

    exact_kg = flow / rate * (1.0 - math.exp(-rate * lines[0].length_m / TAS))
    assert way.fuel_kg == pytest.approx(exact_kg, rel=5e-4)
    unaware = along(scene.crew, node, lines, HEIGHT_M, TAS * IAS_RATIO)
    assert exact_kg < unaware.fuel_kg < 1.01 * exact_kg  # not told her flow she is taken heavier: the safe side


def test_on_three_engines_she_goes_home_at_the_height_they_hold() -> None:
    scene = northward(mission(), TOTAL_M, TAS, aircraft=SimpleAircraft(TAS, three_ceiling_m=2000.0))
    crew = replace(scene.crew, engines=NOT_FOUR)
    way = highest_way(crew, scene.spots[-1].node, straight_lines(scene.spots[-1].node, scene.origin), HEIGHT_M)

    assert 2000.0 - 304.8 < way.pressure_altitude_m <= 2000.0


def test_where_three_engines_hold_no_height_the_plan_says_so() -> None:
    scene = northward(mission(), TOTAL_M, TAS, aircraft=SimpleAircraft(TAS, three_ceiling_m=100.0))
    _, fewer = equal_times(scene.mission, scene.crew, scene.spots)

    assert fewer.name == NOT_FOUR
    assert not fewer.points
    assert "no height can be held at" in fewer.refused[0][1].problem
    assert "three, one outer feathered" in fewer.refused[0][1].problem


def test_out_and_back_has_a_critical_point_at_the_far_end() -> None:
    """From a base and back to it there is no equal-time point: the furthest moment is told, with the time to the base."""
    scene = northward(mission(), TOTAL_M, TAS)
    ways = Ways(scene.mission, replace(scene.crew, engines=NOT_FOUR))
    found = critical_point(ways.crew, ways.way, (scene.origin,), scene.spots)

    assert found.spot.node.distance_m == pytest.approx(TOTAL_M, rel=1e-6)
    assert found.way.time_s == pytest.approx(TOTAL_M / (0.8 * TAS), rel=1e-6)


def test_between_two_fields_the_critical_point_is_the_equal_time_point() -> None:
    """The nearest field is furthest in time where both are equally far; it is found to a few minutes."""
    wind = -25.0 * KT_M_PER_S
    scene = northward(mission(), TOTAL_M, TAS, wind)
    ways = Ways(scene.mission, scene.crew)
    found = critical_point(ways.crew, ways.way, (scene.origin, scene.destination), scene.spots)

    assert found.spot.node.distance_m == pytest.approx(
        equal_time_distance(TOTAL_M, TAS + wind, TAS - wind), abs=30 * NMI_M
    )


def low_scene(height_m: float, safe_m: float | None, three_ceiling_m: float = 6000.0) -> Scene:
    """Return a scene flown low, as after a drop, over ground with a safe altitude."""
    scene = northward(mission(), TOTAL_M, TAS, aircraft=SimpleAircraft(TAS, three_ceiling_m=three_ceiling_m))
    items = tuple(
        replace(item, safe_height_m=safe_m) if isinstance(item, Leg) else item for item in scene.mission.route.items
    )
    nodes = [replace(spot.node, pressure_altitude_m=height_m) for spot in scene.spots]
    spots = tuple(replace(spot, node=node, height_m=height_m) for spot, node in zip(scene.spots, nodes, strict=True))
    flown = replace(scene.mission, route=replace(scene.mission.route, items=items))
    return replace(scene, mission=flown, spots=spots)


@pytest.mark.parametrize("engines", [None, NOT_FOUR])
@pytest.mark.parametrize("height_ft", [1152.0, 700.0])
def test_a_way_home_from_low_down_climbs_to_the_safe_altitude(engines: str | None, height_ft: float) -> None:
    """Down at a drop under a safe altitude of 3,400 ft she climbs to it, on three engines too, and is not told to fly lower."""
    scene = low_scene(height_ft * 0.3048, 3400.0 * 0.3048)
    ways = Ways(scene.mission, replace(scene.crew, engines=engines))
    spot = scene.spots[-1]
    way = ways.way(spot, straight_lines(spot.node, scene.origin), scene.origin)

    assert way.pressure_altitude_m == pytest.approx(3400.0 * 0.3048, abs=1.0)
    assert way.fuel_kg > 0.0  # the climb's


def test_the_climb_to_the_safe_altitude_is_in_the_fuel_of_the_worst_way_out() -> None:
    low, high = low_scene(350.0, None), low_scene(350.0, 1500.0)
    crew = replace(low.crew, engines=NOT_FOUR)
    level, climbing = (
        highest_way(crew, low.spots[-1].node, straight_lines(low.spots[-1].node, low.origin), height_m)
        for height_m in (350.0, safe_level(high.mission, crew, high.spots[-1].node, 0, high.origin))
    )

    assert climbing.pressure_altitude_m > level.pressure_altitude_m
    assert climbing.fuel_kg != level.fuel_kg
