"""The briefing kept in ``site/`` is what the demo missions build today; its PDF files are left to each build."""

from __future__ import annotations

from pathlib import Path

from briefgen.document.site import site_files
from briefgen.document.write import MARKER
from briefgen.planning.assemble import plan_mission
from briefgen.spec import missions_in, read_mission

ROOT = Path(__file__).parents[2]


def test_the_kept_site_is_what_is_built_today() -> None:
    """Run ``briefgen build mission_specs --out site`` and commit the result when this fails."""
    plans = [plan_mission(read_mission(path)) for path in missions_in(ROOT / "mission_specs")]
    built = site_files(plans, pdf=False, built_at=None)
    kept = {
        path.relative_to(ROOT / "site").as_posix(): path.read_bytes()
        for path in (ROOT / "site").rglob("*")
        if path.is_file() and path.suffix != ".pdf" and path.name != MARKER
    }

    assert sorted(name for name in built.keys() | kept.keys() if built.get(name) != kept.get(name)) == []
