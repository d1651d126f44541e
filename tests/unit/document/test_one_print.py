"""One figure, one print: totals of fuel are never printed too small, margins of fuel never too large, parts within one unit."""

from __future__ import annotations

import math

import pytest

from briefgen.document.parts.format import _number_of, printed
from briefgen.planning.sections.basis.fuel import FuelMargin, FuelRequired
from briefgen.planning.sections.basis.written_load import RampFuel
from tests.shared.demo_missions import NAMES, plan_of

NOISE = 1e-6  # of a pound or a gallon
VOLUMES = ("", "_volume")


def number(text: str) -> int:
    """Return a printed whole number."""
    return int(text.replace(",", "").replace("\u2212", "-"))


@pytest.mark.parametrize("name", NAMES)
def test_fuel_required_errs_up_and_fuel_in_hand_errs_down(name: str) -> None:
    plan = plan_of(name)
    figures = printed(plan)
    for end in VOLUMES:
        total, margin = FuelRequired.total.key + end, FuelMargin.margin.key + end
        assert number(figures[total]) >= _number_of(plan.ledger[total]) - NOISE
        assert number(figures[margin]) <= _number_of(plan.ledger[margin]) + NOISE
    assert number(figures[RampFuel.ramp.key]) <= _number_of(plan.ledger[RampFuel.ramp.key]) + NOISE


@pytest.mark.parametrize("name", NAMES)
def test_what_no_sum_makes_is_printed_within_one_unit_of_its_value(name: str) -> None:
    """Parts absorb what rounding leaves, each by one at most; a figure that a sum makes differs by as much as its parts."""
    plan = plan_of(name)
    figures = printed(plan)
    sums = {foot.result for foot in plan.ledger.feet if not foot.divided}
    off = [
        key for key, entry in plan.ledger.entries.items()
        if entry.unit in ("lb", "US gal") and not entry.decimals and isinstance(entry.value, float) and key not in sums
        and math.isfinite(entry.value) and abs(number(figures[key]) - _number_of(entry)) > 1.0 + NOISE
    ]  # fmt: skip

    assert off == []


@pytest.mark.parametrize("name", NAMES)
def test_the_review_quotes_the_fuel_sheet_and_prints_nothing_of_its_own(name: str) -> None:
    """Fuel at the ramp, fuel required and what is over stand once: the finding names the entries of the sheet."""
    plan = plan_of(name)
    for found in (one for one in plan.findings if one.ident == "fuel-on-board"):
        named = (found.measured_key, found.limit_key, found.margin_key)
        assert named == (RampFuel.ramp.key, FuelRequired.total.key, FuelMargin.margin.key)
