"""The demo missions as a planner would edit them: a copy of the specification folder with one line changed."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.spec import read_mission

ROOT = Path(__file__).resolve().parents[2]
SPECS = ROOT / "mission_specs"


@cache
def plan_of(name: str) -> Plan:
    """Return the plan of one demo mission as it stands."""
    return plan_mission(read_mission(SPECS / f"{name}.yaml"))


def edited(folder: Path, name: str, *changes: tuple[str, str, str]) -> Path:
    """Copy the specification folder and replace text in its files; every text must stand there exactly once."""
    target = folder / "specs"
    shutil.copytree(SPECS, target)
    for file, old, new in changes:
        path = target / file
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file}"
        path.write_text(text.replace(old, new), encoding="utf-8")
    return target / f"{name}.yaml"


def plan_edited(folder: Path, name: str, *changes: tuple[str, str, str]) -> Plan:
    """Return the plan of an edited copy."""
    return plan_mission(read_mission(edited(folder, name, *changes)))
