"""A mission with people and with a load at a station of its own: read, weighed where they are, and counted."""

from __future__ import annotations

from pathlib import Path

import pytest

from briefgen.model.plan import Plan
from tests.shared.demo_missions import plan_edited, plan_of

LB = 0.45359237  # kg, exact: NIST SP 811
IN = 0.0254  # m, exact: NIST SP 811
FUEL = "  fuel: { at ramp: 410 US gal, density: 6.0 lb/US gal }\n"


def _number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


@pytest.fixture(scope="module")
def carried(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Mudlark with a fitter of the file's mass on the rest bench, and a box of tools at the hold seat."""
    people = FUEL + "  people:\n    - { who: Pump fitter, number: 1, station: rest bench }\n"
    box = "    - { name: Tools, mass: 80 lb, bay: hold seat, leaves: landing, size: 20 x 16 x 12 in }\n"
    return plan_edited(
        Path(tmp_path_factory.mktemp("carried")),
        "mudlark",
        ("mudlark.yaml", FUEL, people),
        ("mudlark.yaml", "  items:\n", f"  items:\n{box}"),
    )


def test_people_and_a_load_at_a_station_are_weighed_where_they_are(carried: Plan) -> None:
    """By hand: one of 190 lb at 234 in and 80 lb at 622 in more than the mission without them."""
    before = plan_of("mudlark")
    more_lb = 190 + 80
    moved = _number(carried, "balance.zero_fuel.moment") - _number(before, "balance.zero_fuel.moment")
    placed = sum(
        _number(plan, f"station.item.{n:02}.moment") * sign
        for plan, sign, first in ((carried, 1, 2), (before, -1, 1))
        for n in range(first, first + 3)
    )

    assert (_number(carried, "mass.zero_fuel") - _number(before, "mass.zero_fuel")) / LB == pytest.approx(more_lb)
    assert (moved - placed) / (LB * IN) == pytest.approx(190 * 234 + 80 * 622)
    assert carried.ledger["load.01.bay"].value == "hold seat"


def test_seven_are_aboard_and_the_rafts_hold_ten(carried: Plan) -> None:
    """Six of the crew and one; two rafts of five."""
    found = {one.ident: one for one in carried.findings}

    assert _number(carried, "people.rafts.measured") == 7.0
    assert _number(carried, "people.rafts.limit") == 10.0
    assert {found[name].outcome for name in ("people.rafts", "people.seats", "people.life_jackets")} == {"pass"}


def test_a_load_at_a_station_counts_against_its_limit(tmp_path: Path) -> None:
    """200 lb of loadmaster and 101 lb of tools at a seat that takes 300."""
    box = "  items:\n    - { name: Tools, mass: 101 lb, bay: hold seat, leaves: landing, size: 20 x 16 x 12 in }\n"
    plan = plan_edited(tmp_path, "mudlark", ("mudlark.yaml", "  items:\n", box))
    found = next(one for one in plan.findings if one.ident == "load.station_mass")

    assert found.outcome == "fail"
    assert _number(plan, "load.station_mass.measured") / LB == pytest.approx(301)


def test_a_seat_that_the_crew_takes_for_take_off_is_not_given_to_somebody_else(tmp_path: Path) -> None:
    """The bench has two seats, and the loadmaster sits there for take-off and landing: two fitters are one too many."""
    people = FUEL + "  people:\n    - { who: Pump fitters, number: 2, station: rest bench }\n"
    plan = plan_edited(tmp_path, "mudlark", ("mudlark.yaml", FUEL, people))
    found = next(one for one in plan.findings if one.ident == "people.seats")

    assert found.outcome == "fail"
    assert _number(plan, "people.seats.margin") == -1.0
