"""The points that the planning solves along the flight, against training papers and the closed form, in one uniform wind.

A synthetic aircraft of one true airspeed and one fuel flow flies due north in a wind along the meridian: there the closed
form is exact, and what is solved on the leg table must agree with it to the second.
"""

from __future__ import annotations

from functools import cache

import pytest

from briefgen.model.mission import Mission
from briefgen.planning.flight.home.equal_time import Choice, Ways
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS
from tests.shared.published_rows import half_digit, rows
from tests.shared.range_points import equal_time_distance, no_return_distance, no_return_time
from tests.shared.simple_aircraft import HOUR_S, KT_M_PER_S, NMI_M, hours, no_return_points, northward

ROWS = rows("equal_time_and_no_return")
SECOND_NMI = 1.0 / HOUR_S * 600.0  # what the fastest of the rows flies in the second to which a point is solved


@cache
def mission() -> Mission:
    """Return any mission: its route and alternates are replaced."""
    return read_mission(SPECS / "cedar-lantern.yaml")


def speeds(row: dict[str, str]) -> tuple[float, float]:
    """Return true airspeed and the wind from behind going out [m/s]."""
    out, home = float(row["GS_out_kt"]) * KT_M_PER_S, float(row["GS_home_kt"]) * KT_M_PER_S
    return 0.5 * (out + home), 0.5 * (out - home)


@pytest.mark.parametrize("row", [row for row in ROWS if row["PNR_time_h"]], ids=lambda row: row["id"])
def test_planned_points_of_no_return_are_those_of_the_papers(row: dict[str, str]) -> None:
    tas, wind = speeds(row)
    endurance_s, out = float(row["endurance_h"]) * HOUR_S, tas + wind
    total_m = min(1.3 * float(row["PNR_distance_nmi"]) * NMI_M, 0.95 * endurance_s * out)
    (point,) = no_return_points(northward(mission(), total_m, tas, wind, endurance_s=endurance_s))

    spot = point.spot
    assert point.closing
    assert hours(spot) == pytest.approx(float(row["PNR_time_h"]), abs=half_digit(row["PNR_time_h"]) + 1.0 / HOUR_S)
    printed = row["PNR_distance_nmi"]
    assert spot.node.distance_m / NMI_M == pytest.approx(float(printed), abs=half_digit(printed) + SECOND_NMI)
    assert hours(spot) * HOUR_S == pytest.approx(no_return_time(endurance_s, out, tas - wind), abs=1.0)


@pytest.mark.parametrize("row", [row for row in ROWS if row["ETP_distance_nmi"]], ids=lambda row: row["id"])
def test_planned_equal_time_points_are_those_of_the_papers(row: dict[str, str]) -> None:
    tas, wind = speeds(row)
    total_m = float(row["distance_nmi"]) * NMI_M
    scene = northward(mission(), total_m, tas, wind)
    (spot,) = Ways(scene.mission, scene.crew).points(Choice(scene.origin, scene.destination, True), scene.spots)

    printed = row["ETP_distance_nmi"]
    assert spot.node.distance_m / NMI_M == pytest.approx(float(printed), abs=half_digit(printed) + SECOND_NMI)
    closed_m = equal_time_distance(total_m, tas + wind, tas - wind)
    assert spot.node.distance_m == pytest.approx(closed_m, abs=SECOND_NMI * NMI_M)


def test_the_closed_form_with_mean_ground_speeds_errs_to_the_unsafe_side_on_many_legs() -> None:
    """Six legs, 60 kt from behind on the first half and calm beyond: with the means she would turn 40 NM too late."""
    tas, total_m, endurance_s = 200.0 * KT_M_PER_S, 1800.0 * NMI_M, 9.5 * HOUR_S
    middle_lat = 5.0  # half way, to a few miles

    def behind(lat_deg: float) -> float:
        return 60.0 * KT_M_PER_S if lat_deg < middle_lat else 0.0

    scene = northward(mission(), total_m, tas, behind, endurance_s=endurance_s, legs=6)
    (point,) = no_return_points(scene)
    spot = point.spot
    out_mean = total_m / (hours(scene.spots[-1]) * HOUR_S)
    home_mean = total_m / scene.home.way(scene.spots[-1], scene.back).time_s
    closed_m = no_return_distance(endurance_s, out_mean, home_mean)

    assert spot.node.distance_m < closed_m - 30.0 * NMI_M
    exact_m = no_return_distance(endurance_s, 260.0 * KT_M_PER_S, 140.0 * KT_M_PER_S)
    assert spot.node.distance_m == pytest.approx(exact_m, abs=SECOND_NMI * NMI_M)
