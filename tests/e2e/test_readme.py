"""The README: its session is what the program prints, its links lead somewhere, its lists are complete."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from briefgen.document import site
from briefgen.planning import assemble
from briefgen.spec import missions_in
from tests.builders import readme_session
from tests.shared.demo_missions import ROOT, SPECS, plan_once, site_once

TEXT = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_session_is_what_the_commands_print(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every command runs and every quoted line is real; tests/builders/readme_session.py writes it anew."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    monkeypatch.setattr(assemble, "plan_mission", plan_once)
    monkeypatch.setattr(site, "site_files", site_once)
    (quoted,) = readme_session.BLOCK.findall(TEXT)

    assert quoted.splitlines() == readme_session.session().splitlines()


def test_each_of_the_two_commands_is_one_line() -> None:
    """A fresh machine needs one line to see the demo and one to pass the tests; the second is what CI runs."""
    commands = [line for line in TEXT.splitlines() if line.startswith("python3 -m venv")]

    assert len(commands) == 2
    assert commands[0].endswith("briefgen build mission_specs --out site")
    assert re.match(r"^python3 -m venv .venv .*pytest", commands[1])


def test_files_and_links_it_names_are_there() -> None:
    """A reader who follows a name finds it."""
    named = re.findall(r"\]\(([^)#:]+)\)", TEXT)
    named += re.findall(r"`((?:briefgen|mission_specs|templates|tests)/[^`\s]*)`", TEXT)

    assert len(named) > 10
    assert [name for name in named if not (ROOT / name).exists()] == []


def test_every_demo_mission_is_listed() -> None:
    """The list of demo missions is the folder's."""
    assert set(re.findall(r"\* `mission_specs/([^`]+)`", TEXT)) == {path.name for path in missions_in(SPECS)}


def test_licences_of_packaged_things_are_named_and_beside_them() -> None:
    """SIL Open Font License 1.1, section 2: copies carry the notice and the licence."""
    licence = (ROOT / "briefgen" / "document" / "fonts" / "OFL.txt").read_text(encoding="utf-8")

    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert "Open Font License 1.1" in TEXT
    assert "public domain" in TEXT
