"""Wind triangles against handbooks, a wartime training manual and the law of sines."""

from __future__ import annotations

import math

import pytest

from briefgen.kernel.wind import (
    Wind,
    triangle_from_course,
    triangle_from_ground_speed,
    triangle_from_heading,
    wind_components,
    wind_from_track,
)
from tests.shared.published_rows import rows
from tests.shared.range_points import radius_of_action

# Answers of the manuals are read off a drawing or a computer: within a degree, and one or two units of speed.
DRAWING_DEG = 1.0
DRAWING_SPEED = 2.0


@pytest.mark.parametrize("row", rows("wind_triangle"), ids=lambda row: row["id"])
def test_heading_and_ground_speed_agree_with_the_law_of_sines(row: dict[str, str]) -> None:
    """The speeds are used as printed: a wind triangle has no unit of its own."""
    wind = Wind(float(row["wind_from_deg"]), float(row["wind_kt"]))
    found = triangle_from_course(float(row["true_course_deg"]), float(row["TAS_kt"]), wind)

    assert -found.drift_deg == pytest.approx(float(row["WCA_deg"]), abs=0.0005)
    assert found.heading_deg == pytest.approx(float(row["true_heading_deg"]), abs=0.0005)
    assert found.ground_speed_m_per_s == pytest.approx(float(row["GS_kt"]), abs=0.0001)


def test_the_wind_triangle_of_the_pilots_handbook_is_met() -> None:
    """FAA-H-8083-25, Navigation: course 090, 120 kt, wind 045 at 40 kt: ground speed 88 kt (S), heading 076 (M)."""
    found = triangle_from_course(90.0, 120.0, Wind(45.0, 40.0))

    assert found.ground_speed_m_per_s == pytest.approx(88.0, abs=0.5)
    assert found.heading_deg == pytest.approx(76.0, abs=0.5)


def test_track_and_ground_speed_of_the_training_manual_are_met() -> None:
    """War Department TM 1-900 (1943), section 45 b(2): heading 315, 150 mph, wind 30 mph from 045: 304 and 153 (S)."""
    found = triangle_from_heading(315.0, 150.0, Wind(45.0, 30.0))

    assert found.track_deg == pytest.approx(304.0, abs=0.5)
    assert found.ground_speed_m_per_s == pytest.approx(153.0, abs=0.5)
    assert found.drift_deg < 0.0


@pytest.mark.parametrize(
    ("ground_speed", "course_deg", "wind", "airspeed", "heading_deg"),
    [
        # Class S: War Department TM 1-900 (1943), exercises h(2), h(4), h(6) before Appendix I.
        (232.0, 351.0, Wind(33.0, 47.0), 269.0, 358.0),
        (189.0, 27.0, Wind(165.0, 42.0), 160.0, 37.0),
        (215.0, 271.0, Wind(316.0, 48.0), 252.0, 279.0),
    ],
)
def test_heading_and_airspeed_for_a_scheduled_ground_speed_are_met(
    ground_speed: float, course_deg: float, wind: Wind, airspeed: float, heading_deg: float
) -> None:
    found = triangle_from_ground_speed(course_deg, ground_speed, wind)

    assert found.true_airspeed_m_per_s == pytest.approx(airspeed, abs=DRAWING_SPEED)
    assert found.heading_deg == pytest.approx(heading_deg, abs=DRAWING_DEG)


def test_the_wind_of_the_computer_booklet_is_found() -> None:
    """1930s-40s computer booklet, example 16 (S): course 094, crab 10 right, 165 and 146 mph: from 154 at 34 mph."""
    found = wind_from_track(104.0, 165.0, 94.0, 146.0)

    assert found.from_deg == pytest.approx(154.0, abs=DRAWING_DEG)
    assert found.speed_m_per_s == pytest.approx(34.0, abs=DRAWING_SPEED)


@pytest.mark.parametrize("row", rows("crosswind"), ids=lambda row: row["wind_angle_deg"])
def test_runway_components_agree_with_the_table(row: dict[str, str]) -> None:
    found = wind_components(270.0, Wind(270.0 + float(row["wind_angle_deg"]), 20.0))

    assert found.headwind_m_per_s == pytest.approx(float(row["headwind_kt_for_20kt"]), abs=0.0005)
    assert found.crosswind_m_per_s == pytest.approx(float(row["crosswind_kt_for_20kt"]), abs=0.0005)


@pytest.mark.parametrize("angle_deg", [0.0, 40.0, 90.0, 133.0, 180.0])
def test_out_and_back_range_in_a_wind_follows_the_published_closed_form(angle_deg: float) -> None:
    """University of Southampton mathematics problem (edshare 6009): R0 (v^2 - n^2) / (v sqrt(v^2 - n^2 sin^2 phi))."""
    airspeed, wind_speed, endurance_s = 80.0, 25.0, 30000.0
    still_air_m = airspeed * endurance_s / 2.0
    root = math.sqrt(airspeed**2 - (wind_speed * math.sin(math.radians(angle_deg))) ** 2)
    published_m = still_air_m * (airspeed**2 - wind_speed**2) / (airspeed * root)

    assert radius_of_action(endurance_s, angle_deg, airspeed, Wind(0.0, wind_speed)) == pytest.approx(published_m)
