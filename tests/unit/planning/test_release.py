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


def test_a_pass_without_a_course_says_that_none_is_written() -> None:
    plan = plan_of("paper-kite")
    absent = {key: why for key, why in plan.ledger.absent.items() if ".release." in key}

    assert absent
    assert (
        set(absent.values()) == {"the mission gives no course of this pass"}
        or "the mission does not say how the load falls" in absent.values()
    )
    assert not [key for key in plan.ledger.entries if ".release." in key and key.endswith(".before")]
