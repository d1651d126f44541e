"""Equal-time points and points of no return against training papers and the closed form."""

from __future__ import annotations

import re

import pytest

from briefgen.kernel.wind import Wind
from tests.shared.published_rows import half_digit, rows
from tests.shared.range_points import (
    equal_time_distance,
    no_return_distance,
    no_return_time,
    radius_of_action,
)

HOUR_S = 3600.0
MORE = {row["id"]: row for row in rows("no_return_and_critical_point")}
KT_M_PER_S = 1852.0 / HOUR_S
NMI_M = 1852.0
ROWS = rows("equal_time_and_no_return")


@pytest.mark.parametrize("row", [row for row in ROWS if row["ETP_time_min"]], ids=lambda row: row["id"])
def test_equal_time_points_are_reproduced(row: dict[str, str]) -> None:
    on, home = float(row["GS_out_kt"]) * KT_M_PER_S, float(row["GS_home_kt"]) * KT_M_PER_S
    total_m = float(row["distance_nmi"]) * NMI_M
    distance_m = equal_time_distance(total_m, on, home)

    assert distance_m / NMI_M == pytest.approx(float(row["ETP_distance_nmi"]), abs=half_digit(row["ETP_distance_nmi"]))
    assert distance_m / on / 60.0 == pytest.approx(float(row["ETP_time_min"]), abs=half_digit(row["ETP_time_min"]))


@pytest.mark.parametrize("row", [row for row in ROWS if row["PNR_time_h"]], ids=lambda row: row["id"])
def test_points_of_no_return_are_reproduced(row: dict[str, str]) -> None:
    out, home = float(row["GS_out_kt"]) * KT_M_PER_S, float(row["GS_home_kt"]) * KT_M_PER_S
    endurance_s = float(row["endurance_h"]) * HOUR_S

    assert no_return_time(endurance_s, out, home) / HOUR_S == pytest.approx(
        float(row["PNR_time_h"]), abs=half_digit(row["PNR_time_h"])
    )
    assert no_return_distance(endurance_s, out, home) / NMI_M == pytest.approx(
        float(row["PNR_distance_nmi"]), abs=half_digit(row["PNR_distance_nmi"])
    )


def test_the_question_bank_point_of_safe_return_is_met() -> None:
    """Worked solution (S): endurance 3.3 h, 121 kt out, 129 kt home: 1.7 h; its 205.7 miles follow from that."""
    time_s = no_return_time(3.3 * HOUR_S, 121.0 * KT_M_PER_S, 129.0 * KT_M_PER_S)

    assert time_s / HOUR_S == pytest.approx(1.7, abs=0.05)


@pytest.mark.parametrize("ident", [ident for ident in MORE if ident.startswith("PL")])
def test_equal_time_and_no_return_of_one_flight(ident: str) -> None:
    """Closed form (class L): distance and time of the one, hours and distance of the other, as printed."""
    row = MORE[ident]
    total, endurance, tas, out, home = (float(number) for number in re.findall(r"[-+]?[\d.]+", row["given"]))
    on, back = (tas + out) * KT_M_PER_S, (tas + home) * KT_M_PER_S
    equal_m = equal_time_distance(total * NMI_M, on, back)
    out_s = no_return_time(endurance * HOUR_S, on, back)
    found = (equal_m / NMI_M, equal_m / on / 60.0, out_s / HOUR_S, out_s * on / NMI_M)

    for value, printed in zip(found, row["recomputed"].split("; "), strict=True):
        assert value == pytest.approx(float(printed), abs=half_digit(printed))


@pytest.mark.parametrize("ident", ["PE02", "PE03"])
def test_the_critical_point_of_a_failed_engine_lies_by_the_slower_speed(ident: str) -> None:
    """Closed form (class L): placed by the engine-out ground speeds, reached at the speed of all engines."""
    row = MORE[ident]
    total, every, slower, out, home = (float(number) for number in re.findall(r"[-+]?[\d.]+", row["given"]))
    distance_m = equal_time_distance(total * NMI_M, (slower + out) * KT_M_PER_S, (slower + home) * KT_M_PER_S)
    found = (distance_m / NMI_M, distance_m / ((every + out) * KT_M_PER_S) / 60.0)

    for value, printed in zip(found, row["recomputed"].split("; "), strict=True):
        assert value == pytest.approx(float(printed), abs=half_digit(printed))


def test_equal_time_point_of_the_training_set() -> None:
    """PR04: 1,000 NM at 490 kt, 20 against and 40 behind on the way home: 530 NM (closed form)."""
    found_m = equal_time_distance(1000.0 * NMI_M, 470.0 * KT_M_PER_S, 530.0 * KT_M_PER_S)

    assert found_m / NMI_M == pytest.approx(float(MORE["PR04"]["recomputed"]), abs=0.0005)


def test_radius_of_action_with_drift() -> None:
    """PR05: an hour out and back at 180 kt on 090 with 045/50: 84.7056 NM (closed form with drift)."""
    found_m = radius_of_action(HOUR_S, 90.0, 180.0 * KT_M_PER_S, Wind(45.0, 50.0 * KT_M_PER_S))

    assert found_m / NMI_M == pytest.approx(float(MORE["PR05"]["recomputed"]), abs=0.0005)


def test_fuel_spent_on_a_leg_before_the_outbound_track() -> None:
    """PR01 (training bank): 150 NM at 150 kt first, 3 h 30 min in all, then out and back to that point: 160.3 NM."""
    left_s = 3.5 * HOUR_S - 150.0 / 150.0 * HOUR_S
    found_m = no_return_distance(left_s, 145.0 * KT_M_PER_S, 115.0 * KT_M_PER_S)

    assert found_m / NMI_M == pytest.approx(
        float(MORE["PR01"]["published_answer"]), abs=float(MORE["PR01"]["tolerance"])
    )
