"""Of very many points the nearest speak: the same ones that asking all of them gives, without a step between places."""

from __future__ import annotations

import math
import random

import pytest

from briefgen.weather.near import NearIndex
from briefgen.weather.points import SPEAKING, PointSet, unit_vector

CHANCE = random.Random(3)
REACH_M = 300_000.0


def scattered(count: int, lat: float, lon: float, width: float) -> tuple[tuple[str, float, float], ...]:
    """Return points by chance in a square, with its corners."""
    corners = [(-1, -1), (-1, 1), (1, -1), (1, 1)]
    inner = [(CHANCE.uniform(-1, 1), CHANCE.uniform(-1, 1)) for _ in range(count - 4)]
    return tuple((f"P{n}", lat + width * y, lon + width * x) for n, (x, y) in enumerate([*corners, *inner]))


@pytest.mark.parametrize(("lat", "lon", "width"), [(-18.0, 165.0, 4.0), (0.0, 180.0, 1.0), (80.0, 20.0, 8.0)])
@pytest.mark.parametrize("count", [SPEAKING + 1, 100, 1500])
def test_the_nearest_found_are_those_of_asking_every_point(count: int, lat: float, lon: float, width: float) -> None:
    """At two hundred places within and around the points."""
    vectors = tuple(unit_vector(y, x) for _, y, x in scattered(count, lat, lon, width))
    index = NearIndex(vectors, SPEAKING + 1)
    for _ in range(200):
        here = unit_vector(lat + CHANCE.uniform(-1.3, 1.3) * width, lon + CHANCE.uniform(-1.3, 1.3) * width)
        everyone = sorted((math.dist(here, vector), i) for i, vector in enumerate(vectors))

        assert index.nearest(here) == everyone[: SPEAKING + 1]


def test_the_weights_of_many_points_are_positive_and_sum_to_one_and_a_point_keeps_its_own_value() -> None:
    """As with few points, of which all speak."""
    points = scattered(300, -18.0, 165.0, 4.0)
    many = PointSet(points, REACH_M)

    assert many.weights(*points[7][1:]) == ((7, 1.0),)
    for _ in range(100):
        weights = many.weights(-18.0 + CHANCE.uniform(-4, 4), 165.0 + CHANCE.uniform(-4, 4))
        assert len(weights) == SPEAKING
        assert all(weight >= 0.0 for _, weight in weights)
        assert sum(weight for _, weight in weights) == pytest.approx(1.0, abs=1e-12)


def test_along_a_line_no_weight_jumps_when_other_points_begin_to_speak() -> None:
    """Steps of 40 m: a point that comes in begins at nothing, one that goes ends at nothing."""
    many = PointSet(scattered(300, -18.0, 165.0, 4.0), REACH_M)
    before = dict(many.weights(-18.0, 164.0))
    heard = set(before)
    for step in range(1, 5000):
        now = dict(many.weights(-18.0, 164.0 + step * 0.0004))
        heard |= set(now)

        assert max(abs(now.get(i, 0.0) - before.get(i, 0.0)) for i in now.keys() | before.keys()) < 0.01
        before = now
    assert len(heard) > 2 * SPEAKING
