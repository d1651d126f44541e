"""The printed figures of the demo missions stay as they are until a change is meant to change them."""

from __future__ import annotations

import difflib
import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from briefgen.planning.assemble import plan_mission
from briefgen.spec import read_mission

BUILDER = Path(__file__).parents[1] / "builders" / "numbers_golden.py"
SHOWN = 60  # lines of a difference that are printed


def _builder() -> ModuleType:
    spec = importlib.util.spec_from_file_location("numbers_golden", BUILDER)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


GOLDEN = _builder()


@pytest.mark.parametrize("spec", GOLDEN.SPECS, ids=lambda path: path.stem)
def test_printed_figures_are_those_on_record(spec: Path) -> None:
    """Each difference is said in words; when it is meant, the builder writes the record anew and the change names it."""
    kept = GOLDEN.golden_path(spec).read_text(encoding="utf-8").splitlines()
    fresh = GOLDEN.figures_text(plan_mission(read_mission(spec))).splitlines()

    changes = list(difflib.unified_diff(kept, fresh, "on record", "now", lineterm="", n=0))
    told = "\n".join(changes[:SHOWN])
    assert not changes, (
        f"{len(changes)} lines of {spec.stem} differ from the record:\n{told}\n"
        "if this is meant: python tests/builders/numbers_golden.py, and name the change under 'Numbers changed'"
    )
