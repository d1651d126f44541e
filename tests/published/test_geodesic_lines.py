"""Geodesics and rhumb lines against GeographicLib's test lines, Karney's paper and PROJ."""

from __future__ import annotations

import math

import pyproj
import pytest

from briefgen.kernel import geodesy
from tests.shared.published_rows import rows

NMI_M = 1852.0
DISTANCE_M = 1e-6  # 15 nm is the library's claim; the printed rows carry 1e-10 m
ANGLE_DEG = 1e-9
RHUMB_DISTANCE_M = 1e-4 + 5e-5  # printed to 1e-4 m
RHUMB_ANGLE_DEG = 1e-9
ELLIPSOID = pyproj.Geod(ellps="WGS84")


def degrees(text: str) -> float:
    """Read '40:38:23N' or '33.3N'."""
    value = sum(float(part) / 60.0**place for place, part in enumerate(text[:-1].split(":")))
    return -value if text[-1] in "SW" else value


def point(text: str) -> tuple[float, float]:
    if "," in text:
        latitude, longitude = text.split(",")
        return float(latitude), float(longitude)
    latitude, longitude = text.split()
    return degrees(latitude), degrees(longitude)


def turn(first_deg: float, second_deg: float) -> float:
    return abs(math.remainder(first_deg - second_deg, 360.0))


@pytest.mark.parametrize("row", rows("geodesic_wgs84_lines"), ids=lambda row: row["n"])
def test_geographiclib_test_lines_are_reproduced_both_ways(row: dict[str, str]) -> None:
    first = float(row["lat1_deg"]), float(row["lon1_deg"])
    second = float(row["lat2_deg"]), float(row["lon2_deg"])
    line = geodesy.geodesic_inverse(*first, *second)
    end = geodesy.geodesic_direct(*first, float(row["azi1_deg"]), float(row["s12_m"]))

    assert line.distance_m == pytest.approx(float(row["s12_m"]), abs=DISTANCE_M, rel=0)
    assert turn(line.initial_course_deg, float(row["azi1_deg"])) < ANGLE_DEG
    assert turn(line.final_course_deg, float(row["azi2_deg_forward"])) < ANGLE_DEG
    assert end.latitude_deg == pytest.approx(second[0], abs=ANGLE_DEG)
    assert turn(end.longitude_deg, second[1]) < ANGLE_DEG
    assert turn(end.course_deg, float(row["azi2_deg_forward"])) < ANGLE_DEG


@pytest.mark.parametrize(
    ("first", "second", "course_1_deg", "course_2_deg", "distance_m", "last_digit_m"),
    [
        # Class M: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013), tables 3 and 4: nearly antipodal.
        ((-30.0, 0.0), (29.9, 179.8), 161.890524736, 18.090737246, 19989832.82761, 1e-5),
        # Class M: same, the short line of table 3.
        ((-30.12345, 0.0), (-30.12344, 0.00005), 77.04353354237, None, 4.944208, 1e-6),
        # Class M: WGS 84 meridian quadrant, NGA.STND.0036 prints 10,001,965.7293 m.
        ((0.0, 0.0), (90.0, 0.0), 0.0, None, 10001965.7293, 1e-4),
    ],
)
def test_published_lines_are_reproduced(
    first: tuple[float, float],
    second: tuple[float, float],
    course_1_deg: float,
    course_2_deg: float | None,
    distance_m: float,
    last_digit_m: float,
) -> None:
    line = geodesy.geodesic_inverse(*first, *second)

    assert line.distance_m == pytest.approx(distance_m, abs=0.5 * last_digit_m, rel=0)
    assert turn(line.initial_course_deg, course_1_deg) < 1e-7
    assert course_2_deg is None or turn(line.final_course_deg, course_2_deg) < 1e-7


@pytest.mark.parametrize(
    ("tenths", "printed"),
    [
        # Class S: GeographicLib 2.7 manual page of GeodSolve, way points of the line from 40:38:23N 073:46:44W to
        # 01:21:33N 103:59:22E, printed to 0.1 second of arc.
        (1, "54:24:51.3N 072:25:39.6W"),
        (3, "81:38:00.4N 058:37:53.9W"),
        (4, "83:43:26.0N 080:37:16.9E"),
        (7, "42:52:37.1N 101:43:37.2E"),
        (9, "15:13:18.6N 103:22:08.0E"),
    ],
)
def test_way_points_of_the_manual_page_lie_along_the_line(tenths: int, printed: str) -> None:
    first, second = point("40:38:23N 073:46:44W"), point("01:21:33N 103:59:22E")
    total_m = geodesy.geodesic_distance(*first, *second)
    found = geodesy.point_along(*first, *second, total_m * tenths / 10.0)
    half_tenth_second_deg = 0.05 / 3600.0

    assert found.latitude_deg == pytest.approx(point(printed)[0], abs=half_tenth_second_deg)
    assert found.longitude_deg == pytest.approx(point(printed)[1], abs=half_tenth_second_deg)
    assert total_m == pytest.approx(15347628.0, abs=0.5)


@pytest.mark.parametrize(
    ("first", "second", "printed_nmi"),
    [
        # Class S: flight-test handbook 2013, ch. 3: one degree of longitude, and of latitude, at the equator.
        ((0.0, 0.0), (0.0, 1.0), 60.10772),
        ((-0.5, 0.0), (0.5, 0.0), 59.70518),
    ],
)
def test_a_degree_at_the_equator_is_as_long_as_the_handbook_prints(
    first: tuple[float, float], second: tuple[float, float], printed_nmi: float
) -> None:
    found_nmi = geodesy.geodesic_distance(*first, *second) / NMI_M
    # The handbook prints the lengths in metres to 0.5 m and 1 m, from which its miles follow.
    assert found_nmi == pytest.approx(printed_nmi, abs=0.5 / NMI_M)


@pytest.mark.parametrize("row", rows("rhumb"), ids=lambda row: row["id"])
def test_rhumb_lines_are_reproduced_both_ways(row: dict[str, str]) -> None:
    first, second = point(row["from"]), point(row["to"])
    course_deg = float(row["published_azimuth_deg"] or row["recomputed_azimuth_deg"])
    distance_m = float(row["published_distance_m"] or row["recomputed_distance_m"])
    line = geodesy.rhumb_inverse(*first, *second)
    end = geodesy.rhumb_direct(*first, line.initial_course_deg, line.distance_m)

    assert line.distance_m == pytest.approx(distance_m, abs=RHUMB_DISTANCE_M, rel=0)
    assert turn(line.initial_course_deg, course_deg) < RHUMB_ANGLE_DEG
    assert end.latitude_deg == pytest.approx(second[0], abs=1e-9)
    assert turn(end.longitude_deg, second[1]) < 1e-9


@pytest.mark.parametrize(
    ("first", "second"),
    [((12.3, -45.6), (13.0, -44.0)), ((-33.9, 151.2), (51.5, -0.5)), ((70.0, 179.5), (70.2, -179.5))],
)
def test_proj_agrees_on_geodesics(first: tuple[float, float], second: tuple[float, float]) -> None:
    """PROJ through pyproj takes longitude first and returns the back azimuth."""
    forward_deg, back_deg, distance_m = ELLIPSOID.inv(first[1], first[0], second[1], second[0])
    line = geodesy.geodesic_inverse(*first, *second)

    assert line.distance_m == pytest.approx(distance_m, abs=DISTANCE_M, rel=0)
    assert turn(line.initial_course_deg, forward_deg) < 1e-9
    assert turn(line.final_course_deg, back_deg + 180.0) < 1e-9
