"""A destination forecast shut from before she comes until after the last moment to leave is said, with the hour of opening."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from briefgen.document.parts.format import Figures
from briefgen.model.plan import Finding, Plan
from tests.shared.demo_missions import plan_edited, plan_of

WEATHER = "weather/2027-02-17-evening.yaml"
NAME = "cedar-lantern"


def shut(plan: Plan) -> list[Finding]:
    return [found for found in plan.findings if found.ident == "destination-shut"]


def test_it_is_said_with_the_opening_and_with_ceiling_and_visibility() -> None:
    """The forecast: 3 km, overcast 300 ft from 19:30, 1,200 m at times; fit from 01:00. The minima: 600 ft and 3 km."""
    plan = plan_of(NAME)
    (found,) = shut(plan)
    text = Figures(plan).text(found.text).replace("\u00a0", " ")

    assert found.outcome == "caution"
    assert "ceiling 300 ft where 600 ft is asked for, visibility 1.2 km where 3.0 km is asked for" in text
    assert "it opens at 01:00 +1 UTC" in text
    landing, leave, opens = (
        plan.ledger[key].value for key in ("time.landing", "hold.lx01.leave_for.lx04.time", "briefing.opening.opens")
    )
    assert isinstance(landing, datetime)
    assert isinstance(leave, datetime)
    assert isinstance(opens, datetime)
    assert landing < leave < opens


def test_it_is_not_said_where_she_can_wait_for_the_opening(tmp_path: Path) -> None:
    """Fit from 22:00, an hour before she must leave for the alternate."""
    plan = plan_edited(
        tmp_path,
        NAME,
        (WEATHER, "TEMPO 1720/1723 1200 BR", "TEMPO 1720/1722 1200 BR"),
        (WEATHER, "FM180100 13010KT 9999 BKN015", "FM172200 13010KT 9999 BKN015"),
    )

    assert shut(plan) == []
    assert "she can wait for the opening" in str(plan.ledger["briefing.opening.sentence"].value)


def test_an_open_destination_is_not_called_shut() -> None:
    for name in ("mudlark", "plumb-line"):
        assert shut(plan_of(name)) == []
