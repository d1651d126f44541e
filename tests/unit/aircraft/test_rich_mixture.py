"""A mixture that is kept to: rich in the circuit, where the levers stand ready for going around.

Before landing the mixture is set rich: common practice, no published source for the invented engines; the item stands on the
landing checklists of piston aeroplanes in FAA-H-8083-3 (Airplane Flying Handbook), chapter 9 (from memory).
"""

from __future__ import annotations

import pytest

from briefgen.aircraft.factory import performance_of
from briefgen.aircraft.interface import Performance
from briefgen.model.performance import Air, IndicatedAirspeed
from briefgen.planning.assemble import plan_mission
from briefgen.spec.read import read_mission
from tests.shared.demo_missions import SPECS

MPH = 1609.344 / 3600.0
LB = 0.45359237
CIRCUIT = Air(300.0, 286.0)
DOWNWIND = IndicatedAirspeed(140.0 * MPH)


@pytest.fixture(scope="module")
def performance() -> Performance:
    mission = read_mission(SPECS / "cedar-lantern.yaml")
    return performance_of(mission.aircraft, mission.fuel_grade)


def test_lean_where_it_may_and_rich_where_it_is_asked_for(performance: Performance) -> None:
    """The same speed takes the same power on either mixture, and more fuel on the rich one."""
    lean = performance.cruise(42_000 * LB, CIRCUIT, DOWNWIND)
    rich = performance.cruise(42_000 * LB, CIRCUIT, DOWNWIND, mixture="rich")

    assert (lean.mixture, rich.mixture) == ("lean", "rich")
    assert lean.ias_m_per_s == rich.ias_m_per_s
    assert rich.power_w == pytest.approx(lean.power_w, rel=1e-3)
    assert rich.fuel_flow_kg_per_s > 1.05 * lean.fuel_flow_kg_per_s


def test_what_is_rich_anyway_stays_as_it_is(performance: Performance) -> None:
    """At a power above every lean limit nothing changes."""
    fast = IndicatedAirspeed(190.0 * MPH)
    chosen = performance.cruise(60_000 * LB, CIRCUIT, fast)

    assert chosen.mixture == "rich"
    assert performance.cruise(60_000 * LB, CIRCUIT, fast, mixture="rich") == chosen


def test_the_approach_is_planned_rich_and_the_cruise_before_it_is_not() -> None:
    """Mudlark comes down from a lean cruise; the circuit is rich from its first piece to its last."""
    phases = plan_mission(read_mission(SPECS / "mudlark.yaml")).phases
    approach = next(phase for phase in reversed(phases) if phase.kind == "approach")
    cruise = next(phase for phase in reversed(phases) if phase.kind == "cruise")

    assert {setting.mixture for _, setting in approach.settings} == {"rich"}
    assert cruise.settings[-1][1].mixture == "lean"
