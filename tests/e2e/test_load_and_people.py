"""A mission with people and with a load at a station of its own: read, weighed where they are, and counted."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from briefgen.document.parts.format import printed
from briefgen.model.plan import Plan
from tests.shared.demo_missions import NAMES, plan_edited, plan_of

LB = 0.45359237  # kg, exact: NIST SP 811
IN = 0.0254  # m, exact: NIST SP 811
FUEL = "  fuel: { at ramp: 430 US gal, density: 6.0 lb/US gal }\n"


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


def test_people_who_are_carried_breathe_and_are_weighed_by_the_rules(tmp_path: Path) -> None:
    """Seven where the file's rate is for six: 8,800 L less 450 at 450 L/h by 7/6; a fitter of 150 lb is under 170.

    It lasts 15.90 h instead of 18.56.
    """
    people = FUEL + "  people:\n    - { who: Pump fitter, number: 1, station: rest bench, mass: 150 lb }\n"
    plan = plan_edited(tmp_path, "mudlark", ("mudlark.yaml", FUEL, people))
    found = next(one for one in plan.findings if one.title == "Weight of a person")

    assert _number(plan, "oxygen.available") / 3600 == pytest.approx((8_800 - 450) / 450 * 6 / 7)
    assert _number(plan, "fluid.02.lasts") == pytest.approx(_number(plan, "oxygen.available"))
    assert _number(plan, "fluid.02.use") == pytest.approx(450 * 7 / 6)
    assert found.outcome == "caution"
    assert "Pump fitter" in found.text


def test_oil_to_begin_with_is_what_the_flight_uses_or_the_least_at_start() -> None:
    """72 US gal of the file against 44 and 5.2 an hour of a flight: of an hour or two 72, of nine and a half 93.4."""
    short, long = plan_of("mudlark"), plan_of("long-tide")
    hours = _number(long, "duration.block") / 3600

    assert _number(short, "duration.block") / 3600 < (72 - 44) / 5.2
    assert _number(short, "fluid.01.begin_with") == pytest.approx(72)
    assert hours > (72 - 44) / 5.2
    assert 44 + 5.2 * hours <= _number(long, "fluid.01.begin_with") <= 44 + 5.2 * hours + 0.1


@pytest.mark.parametrize("name", NAMES)
def test_a_weight_of_the_flight_is_entered_once_or_is_a_declared_total(name: str) -> None:
    """Take-off and landing weight have one origin, the log of the flight: printed alike, and never entered a third time."""
    plan = plan_of(name)
    totals = {foot.result: foot.plus for foot in plan.ledger.feet if not foot.divided}
    states = {row.name: row.cells["mass"] for row in plan.tables["balance.states"].rows}
    figures = printed(plan)

    for fact in ("take_off", "landing"):
        assert totals[f"mass.{fact}"] == (states[fact],)
        assert figures[f"mass.{fact}"] == figures[states[fact]]
        assert f"balance.{fact}.mass" not in plan.ledger
    assert states["zero_fuel"] == "mass.zero_fuel"
    assert states["ramp"] == "mass.ramp"


@pytest.mark.parametrize("name", NAMES)
def test_fuel_remains_and_a_pressure_altitude_is_no_height(name: str) -> None:
    """In what is printed of fuel, load and oxygen: fuel remaining, and height only above ground or of a thing."""
    entries = plan_of(name).ledger.entries
    own = [one for key, one in entries.items() if key.startswith(("fuel.", "tanks.", "balance.", "oxygen."))]
    words = [re.sub(r"\{.*?\}", "", f"{one.label}: {one.method}").lower() for one in own]  # keys are not printed

    assert len(words) > 100
    assert [one for one in words if "fuel left" in one or "fuel is left" in one] == []
    assert [one for one in words if "height" in one and "reserve height" not in one] == []
