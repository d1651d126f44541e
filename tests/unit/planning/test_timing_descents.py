"""A descent placed back from its point arrives there when it says, so that a time over a place is not bent to fit."""

from __future__ import annotations

import pytest

from briefgen.spec import read_mission
from tests.shared.demo_missions import NAMES
from tests.shared.timed_missions import SPECS, flown

PLACED_M = 50.0  # a second at 100 knots


@pytest.mark.parametrize("name", NAMES)
def test_the_last_step_of_a_descent_is_as_long_as_its_speed_and_time_make_it(name: str) -> None:
    """The last node is laid exactly on the point; it had to be there already, though the altimeter setting changes."""
    phases = flown(read_mission(SPECS / f"{name}.yaml")).phases
    placed = [phase for phase in phases if phase.kind == "descent" and phase.distance_m > 0.0]

    assert placed
    for phase in placed:
        before, last = phase.nodes[-2:]
        lasts_s = (last.instant - before.instant).total_seconds()
        assert last.distance_m - before.distance_m == pytest.approx(last.ground_speed_m_per_s * lasts_s, abs=PLACED_M)
