"""Times in bands of heights, margins and the way out with an engine stopped."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.planning.flight.heights import time_between_heights_s
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.checks.facts import Measure, worst
from briefgen.planning.sections.way_home.engine_out import write_engine_out_way
from tests.shared.review_scene import FT, START, cruise, demo, good, node

HEIGHTS = st.floats(min_value=0.0, max_value=20_000.0)


def test_a_climb_counts_for_the_part_of_it_that_lies_in_the_band() -> None:
    """4,000 ft in 40 min: 20 of them between 10,000 and 12,000 ft, 30 above 10,000 ft."""
    climb = (cruise(node(0.0, 100.0, 9000.0 * FT), node(2400.0, 90.0, 13_000.0 * FT)),)

    assert time_between_heights_s(climb, 10_000.0 * FT, 12_000.0 * FT) == pytest.approx(1200.0)
    assert time_between_heights_s(climb, 10_000.0 * FT, float("inf")) == pytest.approx(1800.0)


def test_level_flight_on_the_upper_edge_is_in_the_band_and_on_the_lower_is_not() -> None:
    level = (cruise(node(0.0, 100.0, 10_000.0 * FT), node(600.0, 90.0, 10_000.0 * FT)),)

    assert time_between_heights_s(level, 8000.0 * FT, 10_000.0 * FT) == 600.0
    assert time_between_heights_s(level, 10_000.0 * FT, 12_000.0 * FT) == 0.0


@given(HEIGHTS, HEIGHTS, HEIGHTS)
def test_two_bands_that_meet_hold_the_time_of_both(start_m: float, end_m: float, edge_m: float) -> None:
    flown = (cruise(node(0.0, 100.0, start_m), node(3600.0, 90.0, end_m)),)

    below = time_between_heights_s(flown, -1.0, edge_m)
    above = time_between_heights_s(flown, edge_m, float("inf"))

    assert below + above == pytest.approx(3600.0, abs=1e-3)


def test_arithmetic_noise_on_the_limit_is_no_breach() -> None:
    noisy = Measure(0.1 + 0.2, 0.3, "ft", 0, "at most", "constructed")

    assert noisy.kept
    assert noisy.margin == 0.0


def test_instants_are_compared_in_seconds() -> None:
    late = Measure(START + timedelta(seconds=61), START, "UTC", 0, "at most", "constructed")

    assert (late.kept, late.margin) == (False, -61.0)


def test_the_worst_measure_is_the_one_with_least_margin() -> None:
    measures = [Measure(value, 10.0, "ft", 0, "at least", "constructed") for value in (12.0, 9.0, 30.0)]

    assert worst(measures).value == 9.0


def test_without_an_open_field_the_way_out_is_told_in_words() -> None:
    """No field of the plan has a runway, so none can be landed on, and the rule of the engine failure fails."""
    scene, mission = good(), demo()
    route = mission.route
    bare = {place.ident: replace(place, runways=()) for place in mission.places}
    mission = replace(
        mission,
        route=replace(route, origin=bare[route.origin.ident], destination=bare[route.destination.ident]),
        alternates=tuple(replace(one, place=bare[one.place.ident]) for one in mission.alternates),
        en_route=tuple(replace(one, place=bare[one.place.ident]) for one in mission.en_route),
    )
    writer = LedgerWriter({})
    writer.put("fuel.ramp", "Ramp", 4000.0, "lb", method="constructed")
    writer.put("fuel.required.unusable", "Unusable", 20.0, "lb", method="constructed")

    write_engine_out_way(mission, scene.phases, scene.performance, writer)  # type: ignore[arg-type]

    told = str(writer["engine_out.left"].value)
    assert told.startswith("no field of the plan can be landed on from Cruise; the nearest, ")
    assert told.endswith(": it has no runway")
    assert writer["engine_out.engines"].value == "three"


def test_an_aircraft_without_answers_on_fewer_engines_has_no_way_out_to_tell() -> None:
    scene = good()
    assert scene.performance is not None
    scene.performance.engine_configurations = scene.performance.engine_configurations[:1]  # type: ignore[assignment]
    writer = LedgerWriter({})

    write_engine_out_way(replace(demo()), scene.phases, scene.performance, writer)  # type: ignore[arg-type]

    assert "engine_out.left" not in writer
