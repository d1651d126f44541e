"""Points by bearing and distance and patterns of lines, taken apart into the places and legs that are flown."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from briefgen.errors import OutOfRangeError, PlanError, SpecError
from briefgen.kernel.geodesy import geodesic_inverse
from briefgen.kernel.turns import reversal_length
from briefgen.model.mission import Leg, Mission
from briefgen.model.performance import LongRange
from briefgen.planning.flight.route_forms import placed
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS, edited, plan_of

NMI_M = 1852.0


@cache
def mission() -> Mission:
    """Return the survey mission as written and placed."""
    return placed(read_mission(SPECS / "plumb-line.yaml"))


def legs_of(name: str) -> list[Leg]:
    """Return the legs of one pattern."""
    return [item for item in mission().route.items if isinstance(item, Leg) and item.to.ident.startswith(name)]


def test_a_point_lies_at_its_bearing_and_distance_by_the_variation_there() -> None:
    """The variation at Kestrel Landing in March 2027 is about 12 degrees east (World Magnetic Model 2025, class L)."""
    places = {place.ident: place for place in mission().places}
    start, grid = places["LX04"], places["GRID"]
    line = geodesic_inverse(start.lat_deg, start.lon_deg, grid.lat_deg, grid.lon_deg)

    assert line.distance_m == pytest.approx(34.0 * NMI_M, abs=1.0)
    assert line.initial_course_deg == pytest.approx(289.0 + 12.0, abs=1.0)


def test_a_creeping_line_is_flown_line_by_line_with_its_spacing() -> None:
    """Six lines and five steps across; alternate lines run the other way; all run-outs lie beyond the lines."""
    lines = legs_of("GRID")[1:]  # the first leg leads to the corner
    assert len(lines) == 11
    points = [legs_of("GRID")[0].to, *(leg.to for leg in lines)]
    courses = [geodesic_inverse(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg) for a, b in pairwise(points)]

    assert [line.initial_course_deg for line in courses[::4]] == pytest.approx([32.0] * 3, abs=0.2)
    assert [line.initial_course_deg for line in courses[2::4]] == pytest.approx([212.0] * 3, abs=0.2)
    assert [line.distance_m for line in courses[1::2]] == pytest.approx([1.5 * NMI_M] * 5, abs=1.0)


def test_the_distance_flown_is_that_of_the_lines_and_the_turns() -> None:
    """At 13,500 ft 120 kt indicated is 147 kt true (density ratio 0.661): 0.87 NM of radius at 20 degrees of bank."""
    lines = legs_of("GRID")[1:]
    run_out_m = math.fsum(leg.run_out_m for leg in lines)
    radius_m = (147.1 * NMI_M / 3600.0) ** 2 / (9.80665 * math.tan(math.radians(20.0)))

    assert run_out_m == pytest.approx(5 * (reversal_length(1.5 * NMI_M, radius_m) - 1.5 * NMI_M), rel=0.02)


def test_the_turn_between_lines_two_radii_apart_is_a_half_circle_and_closer_ones_are_longer() -> None:
    """At no spacing the shortest way back along the own line is 7/3 of a half circle: plane geometry of three arcs."""
    assert reversal_length(2000.0, 1000.0) == pytest.approx(math.pi * 1000.0)
    assert reversal_length(3000.0, 1000.0) == pytest.approx(math.pi * 1000.0 + 1000.0)
    assert reversal_length(0.0, 1000.0) == pytest.approx(7.0 / 3.0 * math.pi * 1000.0)


def test_an_expanding_square_grows_by_the_spacing_every_second_line() -> None:
    """One, one, two, two, three, three spacings ...: IAMSAR Manual, expanding square search (from memory)."""
    lines = legs_of("SPUR")
    points = [leg.to for leg in lines]
    lengths = [
        geodesic_inverse(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg).distance_m / (1.2 * NMI_M)
        for a, b in pairwise(points)
    ]

    assert lengths == pytest.approx([1, 1, 2, 2, 3, 3, 4, 4], abs=1e-3)


def test_a_pattern_without_a_speed_for_its_turns_is_refused() -> None:
    written = read_mission(SPECS / "plumb-line.yaml")
    items = tuple(
        replace(item, pattern=replace(item.pattern, cruise=LongRange()))
        if isinstance(item, Leg) and item.pattern and item.pattern.kind == "creeping line"
        else item
        for item in written.route.items
    )
    with pytest.raises(PlanError, match="the turns of the creeping line cannot be told from its cruise"):
        placed(replace(written, route=replace(written.route, items=items)))


def test_a_point_measured_from_nowhere_is_a_fault(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = edited(tmp_path, "plumb-line", ("plumb-line.yaml", "from: LX04, bearing: 289", "from: LX44, bearing: 289"))
    with pytest.raises(SpecError, match=r"points\.GRID\.from: 'LX44' is not a place, or a point given before this one"):
        read_mission(path)


def test_the_survey_mission_explains_its_points_and_run_outs() -> None:
    ledger = plan_of("plumb-line").ledger

    assert ledger["place.grid.latitude"].inputs == ("place.lx04.latitude", "place.grid.bearing", "place.grid.distance")
    assert ledger["place.grid.bearing"].given is not None
    assert ledger["leg.grid01.run_out"].value > 0.0


def grid(peak_m: float, hole: bool = False) -> str:
    """Return a grid of 0.05 degrees over the survey block, flat at 100 m but for one summit."""
    rows = [["100"] * 60 for _ in range(50)]  # 164.8 to 167.8 E, 20.8 to 23.3 S
    rows[16][21] = f"{peak_m:g}"  # the cell of 21-36S to 21-39S, 165-51E to 165-54E
    if hole:
        rows[20][21] = "-9999"
    head = "ncols 60\nnrows 50\nxllcorner 164.8\nyllcorner -23.3\ncellsize 0.05\nNODATA_value -9999\n"
    return head + "\n".join(" ".join(row) for row in rows) + "\n"


def over(folder: Path, text: str) -> Mission:
    """Return the survey mission with the leg to the Spur over a terrain file."""
    written = (
        "plumb-line.yaml", '{ to: SPUR, altitude: "9,500 ft", cruise: 120 kt indicated, safe altitude: "7,400 ft" }',
        '{ to: SPUR, altitude: "9,500 ft", cruise: 120 kt indicated, safe altitude: from terrain }',
    )  # fmt: skip
    named = (
        "plumb-line.yaml", "weather:\n  file: weather/plumb-line.yaml\n",
        "weather:\n  file: weather/plumb-line.yaml\n\n"
        "terrain: { file: ground.asc, corridor: 5 NM, clearance: 2000 ft, source: invented }\n",
    )  # fmt: skip
    path = edited(folder, "plumb-line", written, named)
    (path.parent / "ground.asc").write_text(text, encoding="utf-8")
    return placed(read_mission(path))


def test_the_safe_height_of_a_leg_is_the_highest_ground_of_its_corridor_and_the_clearance(tmp_path: Path) -> None:
    """1,500 m are 4,921 ft, and 2,000 ft on top: 6,921, rounded up to 7,000 ft."""
    legs = [
        item for item in over(tmp_path, grid(1500.0)).route.items if isinstance(item, Leg) and item.to.ident == "SPUR"
    ]

    assert legs[0].safe_height_m == pytest.approx(7000.0 * 0.3048)


def test_ground_without_a_height_is_never_taken_for_flat(tmp_path: Path) -> None:
    with pytest.raises(OutOfRangeError, match="no height in a part of the corridor of the leg to SPUR"):
        over(tmp_path, grid(1500.0, hole=True))


def test_a_grid_that_is_not_what_its_head_says_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(SpecError, match="the grid has not the rows and columns that its head says"):
        over(tmp_path, grid(1500.0).replace("nrows 50", "nrows 51"))
