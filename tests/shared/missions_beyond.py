"""Missions that are no part of the demo: the specification folder with those of tests/missions laid over it."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS

MISSIONS = Path(__file__).resolve().parents[1] / "missions"


def laid_over(folder: Path, *changes: tuple[str, str, str]) -> Path:
    """Copy both folders into one and replace text; every text must stand in its file."""
    specs = folder / "specs"
    shutil.copytree(SPECS, specs)
    shutil.copytree(MISSIONS, specs, dirs_exist_ok=True)
    for file, old, new in changes:
        text = (specs / file).read_text(encoding="utf-8")
        assert old in text, f"{old!r} does not stand in {file}"
        (specs / file).write_text(text.replace(old, new), encoding="utf-8")
    return specs


@cache
def plan_beyond(name: str, *changes: tuple[str, str, str]) -> Plan:
    """Return the plan of a mission of tests/missions, with text replaced in its files."""
    with TemporaryDirectory() as folder:
        return plan_mission(read_mission(laid_over(Path(folder), *changes) / f"{name}.yaml"))
