"""Missions of any size, to see how the tool's cost grows: legs, soundings and items of load are counts."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from tests.shared.demo_missions import SPECS

DEMO = "cedar-lantern.yaml"
ROUTE = "route:\n  from: LX01\n"
WEATHER = "weather/2027-02-17-evening.yaml"
PLACES = "places/coral-sea.yaml"
BAYS = ("A", "B", "D", "E")  # where small items stand in turn
SPACING_DEG = 0.05  # of turning points, to and fro: 200 legs are flown on one tank of fuel
SIDE_DEG = 4.0  # of the square in which soundings stand


def mission_of(folder: Path, *, legs: int = 0, soundings: int = 0, items: int = 0) -> Path:
    """Write a mission with so many legs, soundings or small items, and all it refers to; a zero leaves the demo's own."""
    shutil.copytree(SPECS, folder, dirs_exist_ok=True)
    mission = (SPECS / DEMO).read_text(encoding="utf-8")
    if legs:
        mission = _with_legs(mission, folder, legs)
    if soundings:
        _write_soundings(folder, soundings)
    if items:
        pieces = "".join(
            f"    - {{ name: Box {n}, mass: 3 lb, bay: {BAYS[n % len(BAYS)]}, leaves: landing, size: 12 x 12 x 6 in }}\n"
            for n in range(items)
        )
        mission = mission.replace("  items:\n", f"  items:\n{pieces}")
    path = folder / DEMO
    path.write_text(mission, encoding="utf-8")
    return path


def _with_legs(mission: str, folder: Path, legs: int) -> str:
    """Return the demo with a route to and fro south-west of its base, and no timed point, drop or call on the way."""
    points = "".join(
        f"  W{n}:\n    name: Point {n}\n    kind: waypoint\n"
        f"    position: {15.9 + SPACING_DEG * (n % 2):.3f}S {166.2 + 0.002 * n:.3f}E\n"
        for n in range(1, legs)
    )
    places = (SPECS / PLACES).read_text(encoding="utf-8").replace("places:\n", f"places:\n{points}", 1)
    (folder / PLACES).write_text(places, encoding="utf-8")
    before, rest = mission.split("  legs:\n", 1)
    after = rest.split("    because: base closed by low overcast\n", 1)[-1].split("  landing runway:", 1)[1]
    ends = [*(f"W{n}" for n in range(1, legs)), "LX01"]
    route = "".join(
        f'    - {{ to: {end}, altitude: "8,500 ft", cruise: 150 mph indicated, safe altitude: "6,700 ft" }}\n'
        for end in ends
    )
    text = f"{before}  legs:\n{route}  landing runway:{after}"
    target = "  over target: { at: SADDLE, time: 2027-02-18 05:20, window: 5 min }\n"
    text = (
        text.replace(target, "  take-off at: 2027-02-18 02:00\n")
        .replace("drop pass 1", "landing")
        .replace("drop pass 2", "landing")
    )
    text = re.sub(r"\ncalls:\n(  -.*\n)+", "\n", text)
    return "".join(line for line in text.splitlines(keepends=True) if "SADDLE" not in line)


def _write_soundings(folder: Path, count: int) -> None:
    """Replace the winds aloft of the demo by soundings on a square of places, each at the first and the last time of the demo."""
    text = (SPECS / WEATHER).read_text(encoding="utf-8")
    head = text.split("winds aloft:", 1)[0].replace("reach: 120 NM", "reach: 300 NM")
    times = [f"2027-02-{day} {hour}:00Z" for day, hour in (("17", "12"), ("18", "06"))]
    places = -(-count // len(times))
    across = max(2, round(places**0.5))
    lines = []
    for n in range(count):
        place, time = n // len(times), times[n % len(times)]
        row, column = divmod(place, across)
        lat = -19.5 + SIDE_DEG * 1.1 * row / max(1, -(-places // across) - 1)
        lon = 162.8 + SIDE_DEG * 1.4 * column / max(1, across - 1)
        lines.append(
            f'  - position: {-lat:.3f}S {lon:.3f}E\n    time: "{time}"\n    levels:\n'
            f"      - {{ altitude: 0 ft, wind: {120 + n % 20}T/{10 + n % 7} kt, temperature: {26 - n % 3} degC }}\n"
            f'      - {{ altitude: "18,000 ft", wind: {60 + n % 20:03d}T/{15 + n % 9} kt, temperature: {-6 - n % 3} degC }}\n'
        )
    (folder / WEATHER).write_text(f"{head}winds aloft:\n{''.join(lines)}", encoding="utf-8")
