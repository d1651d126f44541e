"""The demo missions, read, planned and built once in a run; and as a planner would edit them, in a copy with a line changed."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from datetime import datetime
from functools import cache
from pathlib import Path

from briefgen.document.site import site_files
from briefgen.model.mission import Mission
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.planning.journey import plan_sectors
from briefgen.spec import missions_in, read_mission, read_sectors
from tests.shared.made_once import made_once

ROOT = Path(__file__).resolve().parents[2]
SPECS = ROOT / "mission_specs"
T5_INSTEAD = (  # Cedar Lantern on the airframe that is described by charts: her registration, and her bay at the door
    ("cedar-lantern.yaml", "aircraft/t4-freighter.yaml", "aircraft/t5-freighter.yaml"),
    ("cedar-lantern.yaml", "individual: LX-T42", "individual: LX-T55"),
    ("cedar-lantern.yaml", 'bay: "C"', "bay: rear"),
    # her book has no wet runway, so the shower of the forecast stays away: with it the plan is refused
    ("weather/2027-02-17-evening.yaml", "      TEMPO 1714/1718 6000 -SHRA BKN018\n", ""),
)
EVERY = tuple(path.stem for path in missions_in(SPECS))
JOURNEYS = ("market-round",)  # missions of several sectors: their plan is of the journey, above a plan for each sector
NAMES = tuple(name for name in EVERY if name not in JOURNEYS)

_plan_mission, _site_files = plan_mission, site_files  # as imported: a test may put ours in their place
_planned: dict[str, tuple[Mission, Plan]] = {}
_rendered: dict[tuple[object, ...], tuple[Sequence[Plan], dict[str, bytes]]] = {}


@cache
def mission_of(name: str) -> Mission:
    """Return one demo mission as it stands."""
    return read_mission(SPECS / f"{name}.yaml")


def plan_of(name: str) -> Plan:
    """Return the plan of one demo mission as it stands."""
    return journey_of(name) if name in JOURNEYS else plan_once(mission_of(name))


@cache
def journey_of(name: str) -> Plan:
    """Return the plan of one demo mission of several sectors."""
    sectors = read_sectors(SPECS / f"{name}.yaml")
    return made_once(f"journey-{sectors[0].digest}", lambda: plan_sectors(sectors))


def plan_once(mission: Mission) -> Plan:
    """Return the plan of a mission, planned only where no test of this run has planned its equal.

    A plan is a function of its mission alone (``test_a_plan_is_made_twice_alike``), and a mission compares by all it holds.
    """
    if mission.digest not in _planned:
        _planned[mission.digest] = made_once(f"plan-{mission.digest}", lambda: (mission, _plan_mission(mission)))
    equal, plan = _planned[mission.digest]
    return plan if equal == mission else _plan_mission(mission)


@cache
def demo_site(*, pdf: bool) -> dict[str, bytes]:
    """Return every file of the site of all demo missions by its path, with the cards as PDF or without."""
    if pdf:
        plans = [plan_of(name) for name in EVERY]
        return dict(made_once("site", lambda: _site_files(plans, pdf=True, built_at=None)))
    return {path: content for path, content in demo_site(pdf=True).items() if not path.endswith(".pdf")}


def site_once(plans: Sequence[Plan], *, pdf: bool, built_at: datetime | None) -> dict[str, bytes]:
    """Return the files of a site, rendered only where no test of this process has rendered it of the very same plans.

    That a site is a function of its plans is what the tests of the same bytes show.
    """
    asked = (*(id(plan) for plan in plans), pdf, built_at)
    if asked not in _rendered:
        every = built_at is None and [*plans] == [plan_of(name) for name in EVERY]
        files = demo_site(pdf=pdf) if every else _site_files(plans, pdf=pdf, built_at=built_at)
        _rendered[asked] = (plans, files)  # the plans are kept, so that no other ever has their identity
    return dict(_rendered[asked][1])


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
    return plan_once(read_mission(edited(folder, name, *changes)))
