"""Oxygen used along a flight against the printed tables and worked examples of US Army technical manuals.

One system of masks: the table is integrated here, it is not a rule for other equipment.
"""

from __future__ import annotations

import re

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel.oxygen import oxygen_used
from tests.shared.published_rows import rows

FLOWS = rows("oxygen_flow")
WORKED = {row["id"]: row for row in rows("oxygen_durations")}


def litres_used(minutes: list[float], feet: list[float], table: dict[float, float]) -> float:
    """Return what is used on a history in minutes and feet; the kernel wants no unit but its own consistency."""
    return oxygen_used(minutes, feet, sorted(table), [table[foot] for foot in sorted(table)])


@pytest.mark.parametrize("row", [row for name, row in WORKED.items() if name.startswith("OD")], ids=lambda r: r["id"])
def test_a_full_supply_lasts_as_long_as_printed(row: dict[str, str]) -> None:
    """At the printed duration the printed flow has taken the 3,226 L; the tolerance is that of the printed flow."""
    flow = float(re.findall(r"([\d.]+) L/min", row["given"])[0])
    minutes = float(row["value"])

    used = litres_used([0.0, minutes], [20000.0, 20000.0], {0.0: flow, 40000.0: flow})

    assert used == pytest.approx(3226.0, abs=float(row["tolerance"]) * flow)


def test_a_descent_takes_the_flow_of_every_step() -> None:
    """25,000 to 15,000 ft: 5.7 L/min a mask, not the 5.5 of its two ends (table 2-5 note)."""
    steps = [float(number) for number in WORKED["OW1"]["given"].split()]
    table = {25000.0 - 1000.0 * index: flow for index, flow in enumerate(steps)}

    mean = litres_used([0.0, 10.0], [25000.0, 15000.0], table) / 10.0

    assert mean == pytest.approx(float(WORKED["OW1"]["value"]), abs=0.05)
    assert abs(0.5 * (steps[0] + steps[-1]) - mean) > 0.15


def test_a_part_filled_supply_for_mixed_masks() -> None:
    """3,226 L at 84 %, two of the crew at 7.2 and one passenger at 3.7 L/min: 149.7 min (two manuals forget the 84 %).

    The manual prints the sum of two crew masks, 2 x 7.2.
    """
    flow = 2.0 * 7.2 + 3.7

    used = litres_used([0.0, 149.7], [20000.0, 20000.0], {0.0: flow, 40000.0: flow})

    assert used == pytest.approx(0.84 * 3226.0, abs=0.05 * flow)


def test_crew_on_pure_oxygen_by_hand_over_the_printed_table() -> None:
    """Twenty minutes at 31,000 ft, ten minutes down to 25,000 ft: 4.2 x 20 and the trapezoids of four printed steps."""
    table = {float(row["cabin_pressure_altitude_ft"]): float(row["crew_100_L_min"]) for row in FLOWS}
    by_steps = (2.0 * (4.2 + 4.7) + 1.0 * (4.7 + 5.0) + 2.0 * (5.0 + 5.6) + 1.0 * (5.6 + 5.9)) / 2.0

    used = litres_used([0.0, 20.0, 30.0], [31000.0, 31000.0, 25000.0], table)

    assert used == pytest.approx(84.0 + by_steps * 10.0 / 6.0, rel=1e-12)


def test_below_the_table_nothing_is_used_and_above_it_nobody_guesses() -> None:
    table = {10000.0: 2.0, 20000.0: 3.0}

    assert litres_used([0.0, 10.0], [5000.0, 8000.0], table) == 0.0
    assert litres_used([0.0, 10.0], [5000.0, 15000.0], table) == pytest.approx(5.0 * 2.25)
    with pytest.raises(OutOfRangeError, match="above the table of oxygen flow"):
        litres_used([0.0, 10.0], [20000.0, 20001.0], table)
