"""What thousands of flights come to, entered: the figures are those of the spread, on page, card, terminal and as data."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache

import pytest
from jsonschema import Draft202012Validator

from briefgen.document import plan_json
from briefgen.document.flown.files import likely_files
from briefgen.document.flown.likely_page import likely_text
from briefgen.model.bench import Spread
from briefgen.model.plan import Plan
from briefgen.planning.flight.fly import fly
from briefgen.planning.likely.figures import NOT_SAID, Likely
from briefgen.planning.likely.section import likely_plan
from briefgen.replay.spread import spread
from briefgen.spec import schema_text
from tests.e2e.test_voice import SLIPS, said
from tests.shared.demo_missions import mission_of


@cache
def plumb_line() -> tuple[Spread, Plan]:
    flown = fly(mission_of("plumb-line"))
    found = spread(flown, samples=300, seed=2, in_full=10)
    return found, likely_plan(Likely(flown, found))


def test_the_figures_are_those_of_the_spread() -> None:
    """Every band at its point, in the order of the route; the sum of what is refused; the part under the reserve."""
    found, plan = plumb_line()
    value = {key: entry.value for key, entry in plan.ledger.entries.items()}

    assert len(plan.tables["likely.points"].rows) == len(found.bands)
    for number, band in enumerate(found.bands, 1):
        at = f"likely.point.{number:02d}"
        later = [value[f"{at}.{name}"] for name in ("later_low", "later_middle", "later_high")]
        fuel = [value[f"{at}.{name}"] for name in ("fuel_lowest", "fuel_low", "fuel_middle", "fuel_high")]
        assert (later, fuel) == (list(band.later_s[1:4]), list(band.fuel_kg[:4]))
        assert fuel == sorted(fuel)
    assert value["likely.chances.refused"] == sum(number for _, number in found.refused)
    assert value["likely.chances.under_reserve"] == found.under_reserve
    assert math.fsum(float(value[f"likely.cause.{name}.fuel"]) for name, _, _ in found.shares) == pytest.approx(1.0)  # type: ignore[arg-type]


def test_a_figure_of_the_spread_leads_back_to_what_the_mission_states() -> None:
    """`explain` of a band ends at the lines on which somebody wrote how uncertain things are."""
    _, plan = plumb_line()
    inputs = set(plan.ledger["likely.point.01.fuel_low"].inputs)

    assert {"likely.wind.sd", "likely.wind.in_time", "likely.supposed.consumption", "likely.supposed.delay"} <= inputs
    given = plan.ledger["likely.supposed.consumption"].given
    assert given is not None
    assert given.text == "2 %"


def test_what_nobody_stated_is_absent_and_says_so() -> None:
    """Without a word on weight there is no figure for it, but a reason; a mission without a hold has no chance of leaving one."""
    found, _ = plumb_line()
    flown = fly(mission_of("plumb-line"))
    assert flown.mission.uncertainty is not None
    silent = replace(
        flown, mission=replace(flown.mission, uncertainty=replace(flown.mission.uncertainty, weight_sd_kg=None))
    )
    plan = likely_plan(Likely(silent, found))

    assert "likely.supposed.weight" not in plan.ledger
    assert plan.ledger.absent["likely.supposed.weight"] == NOT_SAID
    assert "no hold" in plan.ledger.absent["likely.chances.leave_hold"]


def test_page_card_terminal_and_data_hold_the_same_figures() -> None:
    """Printed figures of the last point stand in each; the data keep the schema of plans; what is said is in words."""
    found, plan = plumb_line()
    files = likely_files(plan, pdf=False, built_at=None)
    page = next(content for name, content in files.items() if name.endswith("line/index.html")).decode()
    cards = next(content for name, content in files.items() if name.endswith("/cards.html")).decode()
    text = likely_text(plan)
    data = json.loads(plan_json(plan))

    assert list(Draft202012Validator(json.loads(schema_text("plan"))).iter_errors(data)) == []
    last = f"likely.point.{len(found.bands):02d}"
    low = data["entries"][f"{last}.fuel_low_volume"]["printed"]
    for shown in (page, cards, text):
        assert low in shown
        assert "Planning aid" in shown
    assert "0.00 % of the flights land under the final reserve" in cards.replace("\u00a0", " ")
    assert [one for one in said(plan) for pattern in SLIPS.values() if pattern.search(one[1])] == []
