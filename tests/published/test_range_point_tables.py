"""Equal-time points and points of no return against training papers and the closed form."""

from __future__ import annotations

import pytest

from briefgen.kernel.range_points import equal_time_distance, no_return_distance, no_return_time
from tests.shared.published_rows import half_digit, rows

HOUR_S = 3600.0
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
