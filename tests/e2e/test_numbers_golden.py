"""The printed figures of the demo missions stay as they are until a change is meant to change them."""

from __future__ import annotations

import pytest

from tests.builders.numbers_golden import changes_in_words, figures_text, golden_path
from tests.shared.demo_missions import EVERY, SPECS, plan_of

SHOWN = 60  # changes that are told


@pytest.mark.parametrize("name", EVERY)
def test_printed_figures_are_those_on_record(name: str) -> None:
    """Each difference is said in words; when it is meant, the builder writes the record anew and the change names it."""
    kept = golden_path(SPECS / f"{name}.yaml").read_text(encoding="utf-8")
    changes = changes_in_words(kept, figures_text(plan_of(name)))

    told = "\n".join(changes[:SHOWN])
    assert not changes, (
        f"{len(changes)} changes in {name}:\n{told}\n"
        "if this is meant: python tests/builders/numbers_golden.py, and name the change under 'Numbers changed'"
    )


def test_a_change_is_told_in_words() -> None:
    """What was printed and what is printed now, key by key; what is gone and what is new; sentences under their heading."""
    kept = "# figures\na.mass = 8,158 lb\nb.time = 12 min\n# findings\npass: Fuel\n# events\n16:01 start\n"
    fresh = "# figures\na.mass = 8,159 lb\nc.time = 9 min\n# findings\nfail: Fuel\n# events\n16:01 start\n"

    assert changes_in_words(kept, kept) == []
    assert changes_in_words(kept, fresh) == [
        "a.mass: was 8,158 lb, is 8,159 lb",
        "b.time: was 12 min, is no more",
        "c.time: is new, 9 min",
        "findings: no more: pass: Fuel",
        "findings: new: fail: Fuel",
    ]


def test_sentences_in_another_order_are_a_change() -> None:
    """The order of findings, events and rows has a meaning."""
    assert changes_in_words("# events\none\ntwo\n", "# events\ntwo\none\n") != []
