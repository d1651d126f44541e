"""The sheet of an aircraft, and a model written out as a file of charts and read again."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import pytest

from briefgen.aircraft.factory import performance_of
from briefgen.aircraft.sheet.chart import ChartLines
from briefgen.aircraft.sheet.charts import aircraft_as_charts
from briefgen.aircraft.sheet.tables import fuel_grades_of, sheet_of
from briefgen.document.aircraft_page import aircraft_files
from briefgen.document.aircraft_text import sheet_text, sheets_json
from briefgen.model.performance import IndicatedAirspeed
from briefgen.spec import read_aircraft
from briefgen.spec.write_aircraft import aircraft_file_texts
from tests.shared.demo_aircraft import FT, LB, MPH, SPECS, air, aircraft, performance

FEW_LINES = ChartLines(
    mass_kg=(40000.0 * LB, 50000.0 * LB, 60000.0 * LB),
    pressure_altitude_m=(0.0, 5000.0 * FT, 10000.0 * FT),
    isa_deviation_k=(0.0, 15.0),
    ias_m_per_s=(130.0 * MPH, 140.0 * MPH, 150.0 * MPH),
)


@pytest.mark.parametrize("name", ["t4-freighter", "t5-freighter", "b3-feeder", "s2-survey"])
def test_every_grade_of_every_aircraft_has_a_sheet(name: str) -> None:
    described = aircraft(name)

    for grade in fuel_grades_of(described):
        titles = {table.title for table in sheet_of(described, grade, "mph").tables}
        assert {"Speeds", "Stalling speeds", "Long range", "Climb", "Ceilings", "Field lengths"} <= titles


def test_the_sheet_prints_ratings_in_the_units_of_the_trade() -> None:
    text = sheet_text(sheet_of(aircraft("t4-freighter"), "91/96", "mph"))

    lines = [" ".join(line.split()) for line in text.splitlines()]
    assert "take-off 2,600 43.0 auto-rich 5 –" in lines
    assert "climb 2,400 35.5 auto-rich – –" in lines
    assert "highest auto-lean 2,050 29.4 auto-lean – –" in lines


def test_a_model_written_as_charts_is_read_again_and_answers_the_same(tmp_path: Path) -> None:
    source = (SPECS / "aircraft" / "t4-freighter.yaml").read_text(encoding="utf-8")
    printed = aircraft_as_charts(aircraft("t4-freighter"), "91/96", FEW_LINES)
    for path, text in aircraft_file_texts(source, "t4-printed", printed).items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_text(text, encoding="utf-8")

    again = read_aircraft(tmp_path / "aircraft" / "t4-printed.yaml", root=tmp_path)

    assert again.model is None
    assert again.balance == aircraft("t4-freighter").balance
    question = (50000.0 * LB, air(10000.0), IndicatedAirspeed(140.0 * MPH))
    book, model = (
        performance_of(again, "91/96").cruise(*question),
        performance("t4-freighter", "91/96").cruise(*question),
    )
    # The file prints hundredths of a gallon an hour and of an inch.
    assert book.fuel_flow_kg_per_s == pytest.approx(model.fuel_flow_kg_per_s, rel=1e-4)
    assert book.manifold_pressure_pa == pytest.approx(model.manifold_pressure_pa or 0.0, rel=5e-4)
    assert book.mixture == model.mixture


@pytest.mark.parametrize("name", ["t4-freighter", "t5-freighter", "b3-feeder", "s2-survey"])
def test_every_aircraft_is_drawn(name: str) -> None:
    sheets = [sheet_of(aircraft(name), grade, "mph") for grade in fuel_grades_of(aircraft(name))]
    page = aircraft_files(sheets)["index.html"].decode()

    assert page.count("<svg") == sum(len(sheet.charts) for sheet in sheets)
    for sheet in sheets:
        wanted = {"range", "ceilings"} | ({"limits", "power"} if aircraft(name).model else set())
        assert wanted <= {chart.name for chart in sheet.charts}
        for table in sheet.tables:
            assert table.title in page


def test_the_specific_range_falls_where_lean_becomes_rich() -> None:
    """At the lean limit of her lower grade, 29.4 inHg and 2,050 rpm."""
    (chart,) = [one for one in sheet_of(aircraft("t4-freighter"), "91/96", "mph").charts if one.name == "range"]
    middle = dict(chart.curves[1].points)
    plane, mass = performance("t4-freighter", "91/96"), 51500.0 * LB

    speeds = sorted(middle)
    drops = [(slow, fast) for slow, fast in pairwise(speeds) if middle[fast] < 0.95 * middle[slow]]
    assert len(drops) == 1
    slow, fast = (plane.cruise(mass, air(10000.0), IndicatedAirspeed(speed)).mixture for speed in drops[0])
    assert (slow, fast) == ("lean", "rich")


def test_the_sheet_as_data_has_numbers_in_the_units_it_names() -> None:
    (sheet,) = json.loads(sheets_json([sheet_of(aircraft("s2-survey"), "100LL", "kt")]))["sheets"]
    tables = {table["title"]: table for table in sheet["tables"]}

    weights = {row[0]: row[1] for row in tables["Weights"]["rows"]}
    assert weights["take-off"] == pytest.approx(aircraft("s2-survey").balance.limits.take_off_kg / LB)
    assert tables["Weights"]["columns"][1] == {"label": "weight", "unit": "lb"}
    assert {column["unit"] for column in tables["Long range"]["columns"]} >= {"lb", "ft", "kt", "US gal/h"}


def test_ceilings_on_fewer_engines_are_those_of_the_best_speed() -> None:
    (table,) = [one for one in sheet_of(aircraft("t4-freighter"), "91/96", "mph").tables if one.title == "Ceilings"]
    plane = performance("t4-freighter", "91/96")
    name = "three, one outer feathered"
    row = next(row for row in table.rows if row[0] == name and row[1] == pytest.approx(51500.0 * LB, abs=300.0))

    assert isinstance(row[1], float)
    assert isinstance(row[2], float)
    at_climb_speed = plane.ceiling(row[1], 0.0, engines=name, rate_m_per_s=100.0 * FT / 60.0)
    assert row[2] > at_climb_speed.pressure_altitude_m
