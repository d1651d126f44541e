"""What moves when a written value is changed names that value, or its group, among its origins.

A seeded sample of one written value for each demo mission, changed and planned again; `tests/perturbation.py` tries them all.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.perturbation import Bench, Origins, kinds
from tests.shared.demo_missions import NAMES, SPECS, plan_of

SEED = 5


@pytest.mark.parametrize("name", NAMES)
def test_what_moves_names_what_was_changed(name: str, tmp_path: Path) -> None:
    """Values are drawn until one can be planned and moves a printed figure."""
    plan = plan_of(name)
    bench, origins = Bench(SPECS / f"{name}.yaml", tmp_path, plan), Origins(plan)
    drawn = list(kinds(plan))
    random.Random(f"{SEED} {name}").shuffle(drawn)
    path, given, moved = next((p, g, m) for p, g in drawn if (m := bench.moved(g)))

    unnamed = origins.unnamed(path, given, moved)

    assert not unnamed, f"{path} moves {len(moved)} figures; these do not name it: {', '.join(unnamed)}"
