"""People are not freight: weighed at their seats, counted against seats, oxygen, life jackets and rafts."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from briefgen.errors import PlanError
from briefgen.model.aircraft import PeopleProvision, Raft, SeatRow
from briefgen.model.mission import People
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.balance.section import write_balance
from tests.shared.loading_cases import IN, LB, RICE, SPARES, WATER, aircraft, entered, mission, phases


def craft(seats: int = 2, oxygen: int = 2, jackets: int = 2, places: int = 4) -> Any:
    """The freighter with seats on the bench at 250 in, one on the captain's, one at the desk, and a raft."""
    found = aircraft()
    rows = (SeatRow("seat", 1, 1, 1), SeatRow("desk", 1, 1, 1), SeatRow("bench", seats, oxygen, jackets))
    found.people = PeopleProvision(190 * LB, rows, (Raft("raft", places, "aft"),))
    return found


def written(plane: Any, *people: People) -> tuple[LedgerWriter, dict[str, Any]]:
    """The balance section of the mission with people, and its findings by name."""
    task = replace(mission(WATER, RICE, SPARES, craft=plane), people=people)
    writer = LedgerWriter({})
    log, weights, running, reserve = entered(task, phases(task), writer)
    _, findings, _ = write_balance(task, log, weights, running, reserve, writer)
    return writer, {found.ident: found for found in findings}


FITTER = People("Pump fitter", 1, "bench")


def test_people_are_weighed_at_their_station() -> None:
    """By hand: 44,100 lb and 12,210,000 lb in without them; 190 lb at 250 in."""
    writer, _ = written(craft(), FITTER)

    assert writer.number("mass.zero_fuel") / LB == pytest.approx(44_290)
    assert writer.number("balance.zero_fuel.cg") / IN == pytest.approx((12_210_000 + 190 * 250) / 44_290)
    assert writer.number("mass.payload") / LB == pytest.approx(3_400 + 190)


def test_a_written_mass_is_that_of_each() -> None:
    """Two at 205 lb."""
    writer, _ = written(craft(), People("Miners", 2, "bench", 205 * LB))

    assert writer.number("station.people.01.mass") / LB == pytest.approx(410)


def test_the_navigator_takes_a_seat_of_the_bench_for_the_take_off() -> None:
    """Two on a bench of two are three at take-off: one seat short, and no more than that."""
    _, alone = written(craft(), FITTER)
    writer, both = written(craft(), replace(FITTER, number=2))

    assert alone["people.seats"].outcome == "pass"
    assert both["people.seats"].outcome == "fail"
    assert "bench, at take-off" in both["people.seats"].text
    assert writer.number("people.seats.margin") == pytest.approx(-1.0)


@pytest.mark.parametrize(
    ("short", "ident"),
    [({"oxygen": 1}, "people.oxygen_points"), ({"jackets": 1}, "people.life_jackets"), ({"places": 2}, "people.rafts")],
)
def test_what_is_short_by_one_is_told(short: dict[str, int], ident: str) -> None:
    """Three are aboard, two on the bench at take-off; each thing one short is a caution, enough of it is none."""
    _, enough = written(craft(), FITTER)
    _, lacking = written(craft(**short), FITTER)

    assert enough[ident].outcome == "pass"
    assert lacking[ident].outcome == "caution"
    assert lacking[ident].cure
    assert all(lacking[other].outcome == "pass" for other in ("people.seats",))


def test_a_station_without_seats_has_none() -> None:
    """A row the file does not name has no seat."""
    plane = craft()
    plane.people = replace(plane.people, seats=plane.people.seats[:2])
    _, found = written(plane, FITTER)

    assert found["people.seats"].outcome == "fail"


def test_without_any_mass_people_are_refused() -> None:
    """No silent default."""
    with pytest.raises(PlanError, match="no mass is given and the aircraft file has no passenger mass"):
        written(aircraft(), FITTER)


def test_the_demo_aircraft_plan_with_a_published_passenger_mass() -> None:
    """FAA AC 120-27E: 190 lb in summer, 195 in winter, carry-on included (tests/published/standard_people.csv)."""
    from tests.shared.demo_missions import NAMES, mission_of

    lines = (Path(__file__).parents[2] / "published" / "standard_people.csv").read_text(encoding="utf-8").splitlines()
    published = {float(row["value_lb"]) for row in csv.DictReader(line for line in lines if not line.startswith("#"))}
    planned = {round(mission_of(name).aircraft.people.passenger_mass_kg / LB, 6) for name in NAMES}

    assert planned <= published
