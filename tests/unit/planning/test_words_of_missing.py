"""What a check says of a figure that is missing."""

from __future__ import annotations

from briefgen.planning.review.checks.words import HEADS, spoken
from briefgen.planning.sections.basis.phases import PhaseFigures
from tests.shared.demo_missions import plan_of


def test_every_head_is_that_of_a_record() -> None:
    """Words for a place of the plan are of no use where no figure stands."""
    keys = [*plan_of("cedar-lantern").ledger.entries]

    assert [head for head in HEADS if not any(key.startswith(head) for key in keys)] == []


def test_a_figure_is_named_by_its_place() -> None:
    assert spoken(PhaseFigures.light, "phase.climb-from-lx01") == "phase climb-from-lx01: light"
