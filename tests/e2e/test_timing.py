"""A mission whose timing cannot be met fails with the shortfall in minutes, and one a little later is planned."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from demo import ROOT, edited

LINE = "  briefing before stations: 1 h 15 min\n"
EXPECTED = """\
cedar-lantern.yaml: timed points: TERN is missed by 10 min: over it at 06:29 (19:29Z) at the earliest, at 203 mph indicated \
all the way from SADDLE, and its window closes at 06:20 (19:20Z)
  expected: 06:25 (19:25Z) or later, which the greatest speed held without time limit makes good within the window
  hint: ask for TERN 10 min later, leave SADDLE 10 min earlier, or shorten what is done between them
"""


def test_a_time_that_cannot_be_met_fails_with_the_shortfall(tmp_path: Path) -> None:
    """Exit 1, as for anything that is well written and cannot be flown."""
    point = f"  timed points:\n    - {{ at: TERN, time: 2027-02-18 06:15, window: 5 min }}\n{LINE}"
    spec = edited(tmp_path, "cedar-lantern", ("cedar-lantern.yaml", LINE, point))

    run = subprocess.run(
        [sys.executable, "-m", "briefgen", "check", spec.name], cwd=spec.parent, env={"PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert run.stderr == EXPECTED
    assert run.returncode == 1
