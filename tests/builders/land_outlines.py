"""Build ``briefgen/document/land.json``, the packaged outline of the world's land.

Run once when the source changes::

    npm pack world-atlas            # Natural Earth 1:50 m land in TopoJSON; data public domain, packaging ISC
    tar xzf world-atlas-*.tgz
    python tests/builders/land_outlines.py package/land-50m.json briefgen/document/land.json

Rings are simplified with the Douglas-Peucker rule at 0.02 degrees (about 2 km), islands too small to survive it are kept as
four points, and coordinates are rounded to 0.01 degrees. The result is for orientation on a briefing page, never for navigation.
"""

from __future__ import annotations

import json
import sys
from itertools import pairwise
from pathlib import Path

TOLERANCE_DEG = 0.02
Point = tuple[float, float]


def decoded_arcs(topology: dict) -> list[list[Point]]:
    """Return the arcs of a quantised TopoJSON topology in degrees."""
    (scale_x, scale_y), (move_x, move_y) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = []
    for arc in topology["arcs"]:
        x = y = 0
        points = []
        for step_x, step_y in arc:
            x, y = x + step_x, y + step_y
            points.append((x * scale_x + move_x, y * scale_y + move_y))
        arcs.append(points)
    return arcs


def simplified(points: list[Point], tolerance: float) -> list[Point]:
    """Return the points that the Douglas-Peucker rule keeps; the ends always stay."""
    if len(points) < 3:
        return points
    keep = {0, len(points) - 1}
    stack = [(0, len(points) - 1)]
    while stack:
        first, last = stack.pop()
        worst, index = 0.0, -1
        for i in range(first + 1, last):
            distance = _offset(points[i], points[first], points[last])
            if distance > worst:
                worst, index = distance, i
        if worst > tolerance:
            keep.add(index)
            stack += [(first, index), (index, last)]
    return [points[i] for i in sorted(keep)]


def _offset(point: Point, start: Point, end: Point) -> float:
    (px, py), (ax, ay), (bx, by) = point, start, end
    length2 = (bx - ax) ** 2 + (by - ay) ** 2
    along = 0.0 if length2 == 0 else max(0.0, min(1.0, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / length2))
    return ((px - ax - along * (bx - ax)) ** 2 + (py - ay - along * (by - ay)) ** 2) ** 0.5


def unwrapped(points: list[Point]) -> list[Point]:
    """Return a ring without jumps from one side of 180 degrees to the other; one that goes round a pole is led over it."""
    found = [points[0]]
    for x, y in points[1:]:
        x += 360.0 * round((found[-1][0] - x) / 360.0)
        found.append((x, y))
    if abs(found[-1][0] - found[0][0]) > 180.0:
        pole = -90.0 if found[0][1] < 0 else 90.0
        found += [(found[-1][0], pole), (found[0][0], pole), found[0]]
    return found


def rings(topology: dict) -> list[list[Point]]:
    """Return every outer and inner ring of the land, simplified."""
    arcs = decoded_arcs(topology)
    found = []
    for geometry in topology["objects"]["land"]["geometries"]:
        polygons = geometry["arcs"] if geometry["type"] == "MultiPolygon" else [geometry["arcs"]]
        for polygon in polygons:
            for ring in polygon:
                points: list[Point] = []
                for index in ring:
                    arc = arcs[index] if index >= 0 else arcs[~index][::-1]
                    points += arc[1:] if points else arc
                points = unwrapped(points)
                half = len(points) // 2
                kept = simplified(points[: half + 1], TOLERANCE_DEG)[:-1] + simplified(points[half:], TOLERANCE_DEG)
                if len(kept) >= 4:
                    found.append([(round(x, 2), round(y, 2)) for x, y in kept])
                elif len(points) >= 4:
                    step = max(1, len(points) // 4)
                    found.append([(round(x, 2), round(y, 2)) for x, y in points[::step]])
    return found


def steps(ring: list[tuple[int, int]]) -> list[int]:
    """Return the ring as one flat list: its first point, then the differences between neighbours."""
    flat = list(ring[0])
    for (x0, y0), (x1, y1) in pairwise(ring):
        flat += [x1 - x0, y1 - y0]
    return flat


def main(source: str, target: str) -> None:
    """Write the rings in hundredths of a degree: longitude and latitude of the first point, then steps from point to point."""
    topology = json.loads(Path(source).read_text())
    land = [steps([(round(x * 100), round(y * 100)) for x, y in ring]) for ring in rings(topology)]
    Path(target).write_text(json.dumps({"unit": "0.01 degree", "rings": land}, separators=(",", ":")) + "\n")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
