"""The nearest of many points on a sphere, found without asking each for every place."""

from __future__ import annotations

import math

Vector = tuple[float, float, float]
_HALF_DIAGONAL = math.sqrt(3.0) / 2.0  # of a cube, in sides


class NearIndex:
    """Points on the unit sphere, with the few that can be among the nearest kept for each cube of space asked about.

    A flight stays in few cubes, so all points are measured a few dozen times and not in each of its thousands of questions.
    """

    def __init__(self, vectors: tuple[Vector, ...], count: int) -> None:
        """Take the points and how many of the nearest will be asked for."""
        self._vectors, self._count = vectors, count
        _, middle, longest = sorted(max(axis) - min(axis) for axis in zip(*vectors, strict=True))
        # A cube about as wide as the points are apart: they lie on a surface, which two of the three spans measure.
        self._side = max(math.sqrt(middle * longest / len(vectors)), 1e-6)
        self._near: dict[tuple[int, int, int], list[int]] = {}

    def nearest(self, here: Vector) -> list[tuple[float, int]]:
        """Return distance (the chord) and index of the nearest points, the nearest first."""
        side = self._side
        cube = (math.floor(here[0] / side), math.floor(here[1] / side), math.floor(here[2] / side))
        indices = self._near.get(cube)
        if indices is None:
            indices = self._near[cube] = self._near_to(cube)
        vectors = self._vectors
        return sorted([(math.dist(here, vectors[i]), i) for i in indices])[: self._count]

    def _near_to(self, cube: tuple[int, int, int]) -> list[int]:
        """Return every point that is among the nearest anywhere in a cube.

        From a place in it no point is farther than half its diagonal more than from its middle, so the last of the
        nearest is not farther from the middle than that of the middle by twice as much.
        """
        middle = tuple([(part + 0.5) * self._side for part in cube])
        distances = [math.dist(middle, vector) for vector in self._vectors]
        limit = sorted(distances)[self._count - 1] + 2.0 * _HALF_DIAGONAL * self._side
        return [i for i, distance in enumerate(distances) if distance <= limit]
