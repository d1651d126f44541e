"""Drag of water and slush thrown aside by a wheel, against NASA TN D-552 and the form of EASA AMC 25.1591.

The AMC's formulae are from memory: its rows evaluate them independently, they are not published numbers.
"""

from __future__ import annotations

import re

import pytest

from briefgen.kernel.takeoff import Roll, forward_force
from briefgen.kernel.wheels import displacement_drag_per_speed_squared
from tests.shared.published_rows import rows

ROWS = {row["id"]: row for row in rows("slush")}
WHEELS = [row for row in ROWS.values() if row["id"].startswith("SLN")]


def drag(row: dict[str, str], depth_ratio: float = 1.0) -> float:
    depth_mm, width_m, _, density = (float(number) for number in re.findall(r"[\d.]+(?= (?:mm|m|kg))", row["given"]))
    return displacement_drag_per_speed_squared(depth_ratio * depth_mm / 1000.0, width_m, 1, density)


@pytest.mark.parametrize("row", WHEELS, ids=lambda row: row["id"])
def test_drag_of_one_wheel(row: dict[str, str]) -> None:
    """That of the full width of the tyre, printed to five decimals, and never less than that of the chord."""
    chord, full = (float(number) for number in re.findall(r"(?:^|; )([\d.]+)", row["value"]))

    assert drag(row) == pytest.approx(full, abs=0.5e-5, rel=0)
    assert drag(row) > chord


def test_drag_grows_with_the_depth_and_the_square_of_the_speed() -> None:
    """NASA TN D-552: about in proportion to the depth, as a parabola with the speed."""
    assert ROWS["SL01"]["value"] == "parabolic increase"
    assert ROWS["SL02"]["value"] == "approximately linear increase"
    row = ROWS["SLN08"]
    dry = Roll(20000.0, 1.2, 0.0, 0.0, 0.0)
    wet = Roll(20000.0, 1.2, 0.0, 0.0, 0.0, fluid_drag_kg_per_m=drag(row))

    loss = [forward_force(dry, 0.0, speed) - forward_force(wet, 0.0, speed) for speed in (15.0, 30.0)]

    assert drag(row, 2.0) == pytest.approx(2.0 * drag(row))
    assert loss[1] == pytest.approx(4.0 * loss[0])


def test_drag_coefficient_and_density_are_those_of_the_amc() -> None:
    """0.75, and 0.85 times water for slush: from memory of AMC 25.1591."""
    assert ROWS["SL12"]["value"] == "0.75"
    assert ROWS["SL14"]["value"].split("; ")[:2] == ["1.0", "0.85"]

    assert displacement_drag_per_speed_squared(0.01, 0.4, 2, 1000.0) == pytest.approx(0.5 * 1000.0 * 0.75 * 0.008)
