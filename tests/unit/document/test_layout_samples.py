"""Two sample pages keep their layout until a change is meant to change it."""

from __future__ import annotations

import difflib

from tests.builders.layout_samples import FOLDER, SAMPLES, sample_pages

SHOWN = 40  # lines of a difference that are told


def test_the_sample_pages_are_laid_out_as_on_record() -> None:
    """The invented plan: one page with table and drawing, and the cards."""
    fresh = sample_pages()
    assert tuple(fresh) == SAMPLES
    for name, text in fresh.items():
        kept = (FOLDER / name).read_text(encoding="utf-8")
        changes = list(difflib.unified_diff(kept.splitlines(), text.splitlines(), "on record", "now", lineterm="", n=0))

        assert not changes, (
            f"{name} is laid out in another way:\n"
            + "\n".join(line[:200] for line in changes[:SHOWN])
            + "\nif this is meant: python -m tests.builders.layout_samples"
        )
