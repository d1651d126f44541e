"""What eats the margins first: the shorter planning comes out as the whole, and what is told fails when the mission is written so."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from briefgen.document import fingerprint
from briefgen.kernel.constants import LB_KG
from briefgen.model.plan import Plan
from briefgen.planning.search.judged import judged_again
from briefgen.planning.search.pushes import as_flown, heavier, warmer, wind_up
from briefgen.planning.search.sensitivities import SENSITIVITIES, standings, with_sensitivities
from tests.shared.demo_missions import plan_edited, plan_of
from tests.shared.made_once import made_once


def searched() -> Plan:
    """Return the plan of Mudlark with what eats its margins first, worked out once in a run."""
    return made_once("searched-mudlark", lambda: with_sensitivities(plan_of("mudlark")))


@pytest.mark.parametrize("name", ["mudlark", "plumb-line"])
def test_the_shorter_planning_comes_out_as_the_whole(name: str) -> None:
    """Every requirement that it knows: same outcome, same margin; and it knows most of them."""
    plan = plan_of(name)
    again, whole = judged_again(as_flown(plan)), standings(plan)
    known = {ident: one for ident, one in again.standings.items() if ident not in again.unknown and ident in whole}

    assert again.refused == ""
    assert len(known) >= 0.8 * len(whole)
    assert {ident: one.outcome for ident, one in known.items()} == {ident: whole[ident].outcome for ident in known}
    for ident, one in known.items():
        margin = whole[ident].margin
        assert one.margin == (None if margin is None else pytest.approx(margin, abs=1e-6, rel=1e-6)), ident


def test_what_is_added_leaves_the_plan_and_its_fingerprint_alone() -> None:
    """An approval of the plan is one of the plan with the search, too."""
    plan, more = plan_of("mudlark"), searched()

    assert fingerprint(plan) == fingerprint(more)
    assert {key: more.ledger[key] for key in plan.ledger.entries} == dict(plan.ledger.entries)
    assert {key.split(".")[0] for key in more.ledger.entries.keys() - plan.ledger.entries.keys()} == {"sensitivity"}
    assert SENSITIVITIES.name in more.tables


def test_a_load_that_is_said_to_fail_fails_when_it_is_written_so(tmp_path: Path) -> None:
    """The pushed load, written into the mission file in proportion, fails the requirement that was named, and less does not."""
    more, plan = searched(), plan_of("mudlark")
    fails_at = more.ledger["sensitivity.load.fails_at"].value
    holds_at = more.ledger["sensitivity.load.holds_at"].value
    title = more.ledger["sensitivity.load.fails_first"].value
    assert isinstance(fails_at, float)
    assert isinstance(holds_at, float)
    whole = math.fsum(item.mass_kg for item in plan.mission.items)

    def failing(push: float) -> set[str]:
        changes = [
            ("mudlark.yaml", plan.mission.given[f"load.items[{number}].mass"].text, f"{item.mass_kg * (1 + push / whole) / LB_KG:.3f} lb")
            for number, item in enumerate(plan.mission.items)
        ]  # fmt: skip
        folder = tmp_path / f"{push:.0f}"
        folder.mkdir()
        pushed = plan_edited(folder, "mudlark", *changes)
        return {one.title for one in pushed.findings if one.outcome == "fail"} - {one.title for one in plan.findings if one.outcome == "fail"}  # fmt: skip

    assert title in failing(fails_at)
    assert title not in failing(holds_at)


def test_pushes_change_what_they_say_and_nothing_else() -> None:
    """The wind keeps its direction, a calm stays calm, the warmth is everywhere, the load is in proportion."""
    mission = plan_of("mudlark").mission
    before, after = mission.weather.soundings[0].winds[0], wind_up(mission, 5.0).weather.soundings[0].winds[0]
    assert math.hypot(after.east_m_per_s, after.north_m_per_s) == pytest.approx(
        math.hypot(before.east_m_per_s, before.north_m_per_s) + 5.0
    )
    assert after.east_m_per_s * before.north_m_per_s == pytest.approx(after.north_m_per_s * before.east_m_per_s)

    hot = warmer(mission, 4.0).weather
    assert [t.temperature_k for t in hot.soundings[0].temperatures] == [
        t.temperature_k + 4.0 for t in mission.weather.soundings[0].temperatures
    ]
    assert [p.temperature_k for p in hot.surface if p.temperature_k] == [
        p.temperature_k + 4.0 for p in mission.weather.surface if p.temperature_k
    ]
    loaded = heavier(mission, 100.0)
    assert math.fsum(item.mass_kg for item in loaded.items) == pytest.approx(
        math.fsum(item.mass_kg for item in mission.items) + 100.0
    )
