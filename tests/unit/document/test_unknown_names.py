"""A name that nobody declares is told so where a document asks for it; one that the plan only does not fill is not."""

from __future__ import annotations

import pickle

import pytest

from briefgen.document.parts.format import Figures
from briefgen.planning.sections.basis.fuel import FuelMargin
from briefgen.planning.sections.fields.take_off_rows import TAKE_OFF
from tests.shared.demo_missions import plan_of

NAME = "mudlark"


def test_a_table_that_no_section_declares() -> None:
    tables = plan_of(NAME).tables

    assert tables.get("balance.moves") is not None
    assert tables.get("weather.clouds") is None, "declared, and not filled on this mission"
    with pytest.raises(LookupError, match=r"no section declares a table 'fuel\.transfers'"):
        tables.get("fuel.transfers")


def test_a_column_that_no_table_declares() -> None:
    cells = plan_of(NAME).tables[TAKE_OFF.name].rows[0].cells

    assert cells.get("what")
    assert "wind_speed" not in cells, "a column of another table"
    with pytest.raises(LookupError, match="no table declares a column 'wat'"):
        cells.get("wat")
    assert pickle.loads(pickle.dumps(cells)) == cells


def test_a_figure_that_no_record_declares() -> None:
    printed = Figures(plan_of(NAME))

    assert FuelMargin.margin.key in printed
    assert "hold.99.time" not in printed, "a figure of a hold that is not flown"
    with pytest.raises(LookupError, match="no record declares a figure 'margn'"):
        assert "fuel.margn" in printed
