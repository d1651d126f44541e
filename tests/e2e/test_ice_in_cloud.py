"""Cloud with ice in it, planned: the levers move at the minute she enters it and back as she leaves, and the plan pays for it."""

from __future__ import annotations

import math
from datetime import datetime

import pytest

from briefgen.model.plan import Event, Plan
from tests.shared.demo_missions import plan_of
from tests.shared.missions_beyond import plan_beyond

MEAN_RADIUS_M = 6_371_008.8  # IUGG
WEATHER = "weather/feeder-run.yaml"
SHEET = """cloud sheets:
  - { name: Layer round the volcano, at: LX05, radius: 60 NM, cover: broken, base: "6,500 ft", top: "9,000 ft",
      from: 2027-03-11 00:00Z, to: 2027-03-11 12:00Z }

winds aloft: """


def rows(plan: Plan, word: str) -> list[dict[str, str]]:
    """Return the cells of the rows of the power table whose phase has a word."""
    found = [dict(row.cells) for row in plan.tables["power"].rows]
    return [cells for cells in found if word in str(plan.ledger[cells["phase"]].value)]


def instant(plan: Plan, key: str) -> datetime:
    value = plan.ledger[key].value
    assert isinstance(value, datetime)
    return value


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


def events(plan: Plan, kind: str, text: str) -> list[Event]:
    return [event for event in plan.events if event.kind == kind and text in event.text]


@pytest.fixture(scope="module")
def dry() -> Plan:
    return plan_beyond("feeder-run")


@pytest.fixture(scope="module")
def cloudy() -> Plan:
    return plan_beyond("feeder-run", (WEATHER, "winds aloft: ", SHEET))


def test_heat_goes_on_at_the_minute_she_enters_the_cloud_and_off_as_she_leaves_it(cloudy: Plan) -> None:
    into, out = rows(cloudy, ": in icing cloud"), rows(cloudy, ": clear of the icing cloud")
    assert (len(into), len(out)) == (1, 1)
    assert cloudy.ledger[into[0]["carburettor_heat"]].value == "on"
    assert cloudy.ledger[out[0]["carburettor_heat"]].value == "off"

    told = events(cloudy, "action", "Carburettor ice likely")
    moved = events(cloudy, "power", ": in icing cloud")
    assert len(told) == len(moved) == 1
    assert "Carburettor heat on" in moved[0].steps
    apart_s = (instant(cloudy, told[0].time_key) - instant(cloudy, moved[0].time_key)).total_seconds()
    assert abs(apart_s) <= 2.0
    assert "Carburettor heat off" in events(cloudy, "power", ": clear of the icing cloud")[0].steps


def test_the_cloud_is_entered_where_it_begins(cloudy: Plan) -> None:
    """Sixty miles from the place the sheet is about, on the sphere of mean radius, to a tenth of a mile."""
    centre = next(place for place in cloudy.mission.places if place.ident == "LX05")
    (row,) = rows(cloudy, ": in icing cloud")
    at = instant(cloudy, row["from"])
    node = next(node for phase in cloudy.phases for node in phase.nodes if node.instant == at)
    lat, far = math.radians(node.lat_deg), math.radians(centre.lat_deg)
    haversine = math.sin(0.5 * (far - lat)) ** 2
    haversine += math.cos(lat) * math.cos(far) * math.sin(0.5 * math.radians(centre.lon_deg - node.lon_deg)) ** 2
    away_m = 2.0 * MEAN_RADIUS_M * math.asin(math.sqrt(haversine))

    assert away_m == pytest.approx(60.0 * 1852.0, abs=0.1 * 1852.0)


def test_heat_takes_from_the_power_in_hand_and_asks_for_more_on_the_levers(cloudy: Plan) -> None:
    (into,), (out,) = rows(cloudy, ": in icing cloud"), rows(cloudy, ": clear of the icing cloud")
    before = [cells for cells in rows(cloudy, "Cruise") if "cloud" not in str(cloudy.ledger[cells["phase"]].value)][-1]

    for plain in (before, out):
        assert number(cloudy, into["margin"]) < number(cloudy, plain["margin"]) - 0.01
        levers = [number(cloudy, cells["rpm"]) * number(cloudy, cells["manifold_pressure"]) for cells in (into, plain)]
        assert levers[0] > levers[1]


def test_the_review_says_that_the_plan_counts_it(cloudy: Plan, dry: Plan) -> None:
    (found,) = [finding for finding in cloudy.findings if finding.ident == "carburettor-ice"]

    assert found.outcome == "caution"
    assert found.cure.startswith("carburettor heat on: manifold pressure, power in hand and fuel are planned so")
    assert not [finding for finding in dry.findings if finding.ident == "carburettor-ice"]
    assert not rows(dry, "icing cloud")


def test_filters_against_ice_are_not_moved_twice_by_their_height() -> None:
    """Cedar Lantern comes down into the stratocumulus with the filters in already, and leaves them in below it."""
    plan = plan_of("cedar-lantern")
    into = events(plan, "power", ": in icing cloud")

    assert into
    assert all("Intercooler hot" in event.steps for event in into)
    assert not [event for event in into if any(step.startswith("Filters") for step in event.steps)]
    assert all(plan.ledger[cells["filters"]].value == "on" for cells in rows(plan, ": in icing cloud"))


@pytest.mark.parametrize("name", ["mudlark", "cedar-lantern", "long-tide"])
def test_the_setting_of_a_phase_stands_right_under_its_title(name: str) -> None:
    """Where a phase and its power begin at one instant nothing of another phase comes between them, as it is printed."""
    plan = plan_of(name)
    told = [(plan.ledger[event.time_key].value, event) for event in plan.events]
    titles = {(at, event.phase): n for n, (at, event) in enumerate(told) if event.kind == "phase"}
    pairs = [
        (titles[at, event.phase], n)
        for n, (at, event) in enumerate(told)
        if event.kind == "power" and (at, event.phase) in titles
    ]

    assert len(pairs) >= 3
    for title, setting in pairs:
        assert title < setting
        assert {event.phase for _, event in told[title:setting]} <= {told[title][1].phase, ""}
