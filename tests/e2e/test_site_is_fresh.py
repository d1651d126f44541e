"""The briefing kept in ``site/`` is what the demo missions build today; its PDF files are left to each build."""

from __future__ import annotations

from briefgen.document.write import MARKER
from tests.shared.demo_missions import ROOT, demo_site


def test_the_kept_site_is_what_is_built_today() -> None:
    """Run ``briefgen build mission_specs --out site`` and commit the result when this fails."""
    built = demo_site(pdf=False)
    kept = {
        path.relative_to(ROOT / "site").as_posix(): path.read_bytes()
        for path in (ROOT / "site").rglob("*")
        if path.is_file() and path.suffix != ".pdf" and path.name != MARKER
    }

    assert sorted(name for name in built.keys() | kept.keys() if built.get(name) != kept.get(name)) == []
