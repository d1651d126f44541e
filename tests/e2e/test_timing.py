"""A mission whose timing cannot be met fails with the shortfall in minutes, and one a little later is planned."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from briefgen.cli import main
from tests.shared.demo_missions import edited

LINE = "  briefing before stations: 1 h 15 min\n"
MESSAGE = re.compile(
    r"cedar-lantern.yaml: timed points: TERN is missed by (\d+) min: over it at 06:\d\d \(19:(\d\d)Z\) at the earliest, "
    r"at \d+ mph indicated all the way from SADDLE, and its window closes at 06:20 \(19:20Z\)\n"
    r"  expected: 06:\d\d \(19:\d\dZ\) or later, which the greatest speed held without time limit makes good within the "
    r"window\n"
    r"  hint: ask for TERN \1 min later, leave SADDLE \1 min earlier, or shorten what is done between them\n"
)


def test_a_time_that_cannot_be_met_fails_with_the_shortfall(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 1, as for anything that is well written and cannot be flown."""
    point = f"  timed points:\n    - {{ at: TERN, time: 2027-02-18 06:15, window: 5 min }}\n{LINE}"
    spec = edited(tmp_path, "cedar-lantern", ("cedar-lantern.yaml", LINE, point))

    monkeypatch.chdir(spec.parent)
    monkeypatch.setattr(sys, "argv", ["briefgen", "check", spec.name])

    with pytest.raises(SystemExit) as left:
        main()
    said = capsys.readouterr().err
    found = MESSAGE.fullmatch(said)

    assert found is not None, said
    assert int(found[2]) - 20 <= int(found[1]) <= int(found[2]) - 20 + 1  # part of a minute missed is a minute missed
    assert left.value.code == 1
