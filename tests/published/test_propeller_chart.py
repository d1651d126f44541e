"""The propeller with stalling blades against full-scale measurements: NACA TR 640, three blades of Clark Y section.

The rows are digitised curves (provenance in the CSV). The stall of the blade was fitted to the loaded rows among them,
with a blade of about the tested one's width: for those this shows the quality of one fit with two constants, for the others,
and for the momentum bound, it is a check from outside. The measured efficiency is that of a propeller on its body, so
a part of the thrust is taken off for it.
"""

from __future__ import annotations

import math

import pytest

from briefgen.kernel.propeller import ideal_efficiency, thrust_coefficient
from tests.shared.published_rows import rows

BLADE = (
    0.098,
    0.011,
    0.02,
    0.45,
    1.12,
)  # area, profile drag and its rise, design lift, induced loss: chosen, none printed
INSTALLED = 0.925  # thrust left behind nacelle, hub and slipstream: chosen
READING = 0.02  # efficiency off the peak, as the digitised curves can be trusted
POWER_READING = 0.003  # power coefficient, likewise
OVER = 0.015  # beyond the reading: what one station in place of a twisted blade may flatter
UNDER = 0.035  # beyond the reading: one station stalls whole where a blade stalls from the root outward
# Hub without spinner and blade roots drag most at great blade angles and advance ratios; the model gives them none.
ROOTS_MATTER = {"PN041", "PN049", "PN050", "PN052", "PN053"}
ROWS = rows("propeller_chart")


def found(row: dict[str, str]) -> float:
    power, advance = float(row["Cp"]), float(row["J"])
    return thrust_coefficient(power, advance, *BLADE) * advance / power * INSTALLED


@pytest.mark.parametrize("row", [row for row in ROWS if row["id"] not in ROOTS_MATTER], ids=lambda row: row["id"])
def test_efficiency_is_that_of_the_measured_propeller(row: dict[str, str]) -> None:
    """Not flattered by more than the reading and half a hundredth; a low reading of power counts on the other side."""
    measured = float(row["eta"])
    off = found(row) - measured

    assert off <= READING + OVER
    assert off >= -(READING + UNDER + measured * POWER_READING / float(row["Cp"]))


def test_a_loaded_blade_at_take_off_is_read_without_a_lean() -> None:
    """Advance ratios to 0.7 with power coefficients of 0.08 to 0.25, where the unstalled blade read 0.1 too high."""
    loaded = [row for row in ROWS if float(row["J"]) <= 0.7 and 0.08 <= float(row["Cp"]) <= 0.25]
    mean = math.fsum(found(row) - float(row["eta"]) for row in loaded) / len(loaded)

    assert len(loaded) >= 6
    assert -0.04 <= mean <= 0.0


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_momentum_theory_bounds_every_row(row: dict[str, str]) -> None:
    """The propeller alone never beats the ideal disk of the same power."""
    power, advance = float(row["Cp"]), float(row["J"])

    assert found(row) / INSTALLED < ideal_efficiency(power, advance, 1.0, math.pi / 4.0)


@pytest.mark.parametrize("row", [row for row in ROWS if row["id"] in ROOTS_MATTER], ids=lambda row: row["id"])
def test_where_hub_and_roots_drag_the_model_flatters(row: dict[str, str]) -> None:
    """The known limit, said in the docstring of `power_coefficient`: too high, by up to a fifth at the far end."""
    assert 0.0 < found(row) - float(row["eta"]) < 0.2
