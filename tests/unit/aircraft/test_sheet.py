"""The sheet of an aircraft, and a model written out as a file of charts and read again."""

from __future__ import annotations

from pathlib import Path

import pytest
from aircraft_cases import FT, LB, MPH, SPECS, air, aircraft, performance

from briefgen.aircraft.factory import performance_of
from briefgen.aircraft.model_charts import aircraft_as_charts
from briefgen.aircraft.printed_chart import ChartLines
from briefgen.aircraft.sheet import fuel_grades_of, sheet_of
from briefgen.document.aircraft_text import sheet_text
from briefgen.model.performance import IndicatedAirspeed
from briefgen.spec import read_aircraft
from briefgen.spec.write_aircraft import aircraft_file_texts

FEW_LINES = ChartLines(
    mass_kg=(40000.0 * LB, 50000.0 * LB, 60000.0 * LB),
    pressure_altitude_m=(0.0, 5000.0 * FT, 10000.0 * FT),
    isa_deviation_k=(0.0, 15.0),
    ias_m_per_s=(130.0 * MPH, 140.0 * MPH, 150.0 * MPH),
)


@pytest.mark.parametrize("name", ["t4-freighter", "t4-by-the-book", "s2-survey"])
def test_every_grade_of_every_aircraft_has_a_sheet(name: str) -> None:
    described = aircraft(name)

    for grade in fuel_grades_of(described):
        titles = {table.title for table in sheet_of(described, grade, "mph").tables}
        assert {"Speeds", "Stalling speeds", "Long range", "Climb", "Ceilings", "Field lengths"} <= titles


def test_the_sheet_prints_ratings_in_the_units_of_the_trade() -> None:
    text = sheet_text(sheet_of(aircraft("t4-freighter"), "91/96", "mph"))

    lines = [" ".join(line.split()) for line in text.splitlines()]
    assert "take-off 2,500 42.0 rich 5 –" in lines
    assert "climb 2,300 35.0 rich – –" in lines
    assert "highest lean 2,000 29.0 lean – –" in lines


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
