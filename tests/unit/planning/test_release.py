"""The passes of Cedar Lantern: what to steer, and where to let the load go; what is not written is absent for a reason."""

from __future__ import annotations

import math

import pytest

from tests.shared.demo_missions import plan_of

FT_M, KT_M_PER_S = 0.3048, 1852.0 / 3600.0


def test_a_pass_is_let_go_where_its_load_drifts_onto_the_place() -> None:
    """By hand from the printed altitude, the place's elevation, the wind of the pass and what the mission writes of the fall."""
    plan = plan_of("cedar-lantern")
    value = {
        key.rpartition(".")[2]: entry.value
        for key, entry in plan.ledger.entries.items()
        if ".release.run-saddle." in key
    }
    phase = next(one for one in plan.phases if one.ident == "run-saddle")
    place = next(one for one in plan.mission.places if one.ident == "SADDLE")
    course = math.radians(95.0)
    along = phase.wind_east_m_per_s * math.sin(course) + phase.wind_north_m_per_s * math.cos(course)
    across = phase.wind_east_m_per_s * math.cos(course) - phase.wind_north_m_per_s * math.sin(course)
    fall_s = (900.0 * FT_M - (place.elevation_m or 0.0)) / (24.0 * FT_M)

    assert value["fall"] == pytest.approx(fall_s, rel=1e-3)
    assert value["before"] == pytest.approx(450.0 * FT_M + along * fall_s, rel=1e-3)
    assert value["beside"] == pytest.approx(abs(across) * fall_s, rel=1e-3)
    assert value["side"] == ("right" if across < 0.0 else "left")
    assert value["seconds"] == pytest.approx(abs(float(value["before"])) / float(value["ground_speed"]))  # type: ignore[arg-type]
    triangle = math.sqrt(phase.tas_m_per_s**2 - across**2) + along
    assert value["ground_speed"] == pytest.approx(triangle, rel=1e-6)


def test_the_release_leads_back_to_the_lines_it_is_written_on() -> None:
    """Course, fall and throw are given at their lines, and the point of release names them."""
    plan = plan_of("cedar-lantern")
    chain, left = set(), ["briefing.release.run-saddle.before"]
    while left:
        key = left.pop()
        if key not in chain:
            chain.add(key)
            left += plan.ledger[key].inputs

    for name, text in (("course", "095 deg true"), ("falls_at", "24 ft/s"), ("throw", "450 ft")):
        key = f"action.saddle.run.01.{name}"
        assert key in chain
        given = plan.ledger[key].given
        assert given is not None
        assert (given.file, given.text) == ("cedar-lantern.yaml", text)


def test_a_pass_without_a_course_says_that_none_is_written() -> None:
    """No figure of the release, and each says why."""
    plan = plan_of("paper-kite")
    absent = {key: why for key, why in plan.ledger.absent.items() if ".release." in key}

    assert {absent[key] for key in absent if key.endswith((".heading", ".ground_speed"))} == {
        "the mission gives no course of this pass"
    }
    assert {absent[key] for key in absent if key.endswith(".fall")} == {"the mission does not say how the load falls"}
    assert not [key for key in plan.ledger.entries if ".release." in key]
