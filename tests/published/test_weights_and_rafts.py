"""Standard weights of people and places in rafts against the published table ``weights_and_rafts.csv``."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from briefgen.model.aircraft import PeopleProvision, Raft, SeatRow
from briefgen.model.mission import People
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.balance.section import write_balance
from briefgen.units import to_si
from tests.shared.demo_missions import NAMES, mission_of
from tests.shared.loading_cases import LB, RICE, SPARES, WATER, aircraft, entered, mission, phases
from tests.shared.published_rows import half_digit, rows

TABLE = {row["id"]: row for row in rows("weights_and_rafts")}
RAFTS = [row for name, row in TABLE.items() if name.startswith("RD")]
CREW = 2  # of the freighter of the loading cases


def numbers(text: str) -> list[float]:
    """Return the numbers of a cell as printed."""
    return [float(found.replace(",", "")) for found in re.findall(r"\d[\d,]*(?:\.\d+)?", text)]


def test_the_old_standard_is_the_same_in_pounds_and_kilograms() -> None:
    """170 lb, printed as 77 kg: half a kilogram of rounding."""
    pounds, kilograms = numbers(TABLE["WT17"]["value"])

    assert to_si(pounds, "lb") == pytest.approx(kilograms, abs=half_digit("77"), rel=0)


def test_the_rule_on_the_weight_of_a_person_holds_the_published_standard() -> None:
    """The house rules take the 170 lb of the older standard as the least that anybody may be taken to weigh."""
    pounds, _ = numbers(TABLE["WT17"]["value"])
    asked = {
        rule.parameters["standard"]
        for name in NAMES
        for rule in mission_of(name).rules.rules
        if rule.check == "person mass"
    }

    assert list(asked) == [pytest.approx(pounds * LB)]


def test_the_demo_aircraft_plan_nobody_lighter_than_the_average_adult_in_summer() -> None:
    """WT01, 190 lb with what is carried on: crew with their bags and passengers are planned with no less."""
    summer, winter = numbers(TABLE["WT01"]["value"])
    masses = {
        mass
        for name in NAMES
        for craft in [mission_of(name).aircraft]
        for mass in (craft.balance.crew_mass_kg, craft.people.passenger_mass_kg if craft.people else None)
        if mass is not None
    }

    assert masses
    assert min(masses) >= summer * LB - 1e-9
    assert summer < winter


@pytest.mark.parametrize("row", RAFTS, ids=lambda row: row["id"])
def test_rated_places_of_the_rafts_against_people_aboard(row: dict[str, str]) -> None:
    """Everybody aboard against the rated places, as the table counts them; one more than they hold is told."""
    aboard, *rated = (int(one) for one in numbers(row["given"].partition("; overload")[0]))
    total = int(numbers(row["value"])[0])

    held, outcome = _raft_finding(aboard, rated)
    _, full = _raft_finding(total, rated)
    _, one_too_many = _raft_finding(total + 1, rated)

    assert held == (aboard, total)
    assert outcome == ("pass" if "enough" in row["value"].partition(";")[0] else "caution")
    assert (full, one_too_many) == ("pass", "caution")


def _raft_finding(aboard: int, rated: list[int]) -> tuple[tuple[float, float], str]:
    """Return people aboard and places as the plan counts them, and what it says of them."""
    plane = aircraft()
    rafts = tuple(Raft(f"raft {number}", places, "aft") for number, places in enumerate(rated, 1))
    seats = tuple(SeatRow(name, 60, 60, 60) for name in ("seat", "desk", "bench"))
    plane.people = PeopleProvision(190 * LB, seats, rafts)
    carried = (People("Miners", aboard - CREW, "bench", 10 * LB),)
    task: Any = replace(mission(WATER, RICE, SPARES, craft=plane), people=carried)
    writer = LedgerWriter({})
    log, weights, running, reserve = entered(task, phases(task), writer)
    _, findings, _ = write_balance(task, log, weights, running, reserve, writer)
    found = next(one for one in findings if one.ident == "people.rafts")
    return (writer.number("people.rafts.measured"), writer.number("people.rafts.limit")), found.outcome
