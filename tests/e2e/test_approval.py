"""Approve, change one thing, and read what became of it: as a planner and a commander would, by the command line."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from briefgen.cli import app
from briefgen.commands.comparing import _pairs
from briefgen.document import plan_json
from briefgen.document.parts.approval import approval_tag
from briefgen.errors import BriefgenError, UsageError
from briefgen.model.plan import Plan
from briefgen.planning import assemble
from tests.shared.demo_missions import edited, plan_of, plan_once

DAY = "1803124800"  # 2027-02-20 12:00 UTC, three days before the flight
ANYBODY = ("rules/rough-strip.yaml", "    accepted by: [nobody]\n", "")
TREES, STRIP = "obstacles-all-engines", "take-off-50ft"
FELLED, PACED = "the trees were felled on the 19th", "the strip was paced again: 90 ft more"
WIND = (
    '{ at: LX02, time: "2027-02-23 03:00Z", altimeter setting: 1007 hPa, wind: 150T/6 kt',
    "wind: 150T/6 kt",
    "wind: 270T/9 kt",
)


@pytest.fixture(autouse=True)
def _planned_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Plans of equal missions are made once in a run; the day is three before the flight."""
    monkeypatch.setattr(assemble, "plan_mission", plan_once)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", DAY)


def said(*words: str | Path, code: int = 0) -> str:
    """Run the program and return what it prints, or the error its door would print; the exit code is held."""
    done = CliRunner().invoke(app, [str(word) for word in words])
    if isinstance(done.exception, BriefgenError):
        assert done.exception.exit_code == code, done.exception.text()
        return done.exception.text()
    assert done.exit_code == code, (done.output, done.exception)
    return done.output


def approved(spec: Path, *more: str | Path) -> str:
    """Approve Mudlark with both of its failures accepted."""
    accepted = ("--accept", TREES, "--because", FELLED, "--accept", STRIP, "--because", PACED)
    return said("approve", spec, "--by", "Orlan", "--role", "commander", *accepted, *more)


def turn_the_wind(spec: Path) -> None:
    """Change one wind of the weather file: the one on the strip at noon."""
    path, (line, old, new) = spec.parent / "weather" / "mudlark.yaml", WIND
    text = path.read_text(encoding="utf-8")
    assert text.count(line) == 1
    path.write_text(text.replace(line, line.replace(old, new)), encoding="utf-8")


def lines_of(text: str) -> str:
    """Return a text without its line breaks."""
    return " ".join(text.split())


def test_a_mission_that_fails_fifteen_times_is_not_approved(tmp_path: Path) -> None:
    """Paper Kite: each failure is named, with who may accept it, and nothing is written."""
    spec = edited(tmp_path, "paper-kite")

    told = said("approve", spec, "--by", "Orlan", "--role", "commander", code=1)

    failing = told.split("--because TEXT: ")[1].split("\n")[0].split("; ")
    assert len(failing) >= 15
    assert {"duty (by commander)", "envelope (never accepted)", "fuel-on-board (never accepted)", "ifr-reserve"} <= set(
        failing
    )
    assert list(tmp_path.rglob("*.appro*")) == []


def test_an_approval_holds_until_one_wind_is_changed(tmp_path: Path) -> None:
    """Approved, it is said with who accepted what and why; one wind later every door says stale, and what that wind did."""
    spec = edited(tmp_path, "mudlark", ANYBODY)
    assert "is not approved" not in said("check", spec)
    assert "Nobody has approved this plan" in said("check", spec, "--approved", code=1)

    approved(spec, "--until", f"{TREES}=2027-03-01")
    held = lines_of(said("check", spec, "--approved"))
    assert "HOLDS Approved by Orlan, commander, 2027-02-20 12:00 UTC; 2 findings accepted" in held
    assert f"accepted: by Orlan (commander): {FELLED}, until 2027-03-01" in held
    assert said("check", spec, "--strict", code=1)

    turn_the_wind(spec)
    stale = lines_of(said("check", spec, "--approved", code=1))
    assert (
        "STALE Approval stale (it was by Orlan, commander, 2027-02-20 12:00 UTC): weather/mudlark.yaml has changed"
        in stale
    )
    assert "winds" not in stale.split("STALE")[1].split("surface")[0]
    assert "weather/mudlark.yaml:25 surface[1].wind: 150T/6 kt -> 270T/9 kt" in stale
    assert "meets -> fails: Tail wind" in stale or "less in hand: Take-off to 50 ft (take-off-50ft), margin" in stale
    assert f"accepted: no longer; it was, by Orlan (commander): {FELLED}" in stale
    data = json.loads(said("check", spec, "--json"))["missions"][0]["approval"]
    assert (data["holds"], data["accepted"], data["by"]) == (False, [TREES, STRIP], "Orlan")


def test_two_revisions_of_one_file_are_compared_out_of_git(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With everything the mission refers to as it stood then; a revision that is not there is said."""
    spec = edited(tmp_path, "mudlark")
    monkeypatch.chdir(tmp_path)
    for words in (
        ("init", "-q"),
        ("add", "-A"),
        ("-c", "user.name=a", "-c", "user.email=a@b", "commit", "-qm", "first"),
    ):
        subprocess.run(["git", *words], check=True, cwd=tmp_path)
    turn_the_wind(spec)

    told = said("compare", "HEAD:specs/mudlark.yaml", "specs/mudlark.yaml")

    assert told.split("\n")[2:5] == [
        "Asked differently",
        "  weather/mudlark.yaml:25  surface[1].wind",
        "    150T/6 kt -> 270T/9 kt",
    ]
    assert told.index("Asked differently") < told.index("the gravest first") < told.index("Figures a crew reads first")
    assert "git does not give this" in said("compare", "HEAD~7:specs/mudlark.yaml", "specs/mudlark.yaml", code=2)
    assert "no such file or folder" in said("compare", "specs/mudlerk.yaml", "specs/mudlark.yaml", code=2)


def test_a_plan_that_somebody_edited_is_refused_with_the_place(tmp_path: Path) -> None:
    """A number in the place of a word: no comparison, and no words of the programming language."""
    plan = json.loads(plan_json(plan_of("mudlark")))
    good, bad = tmp_path / "good.json", tmp_path / "bad.json"
    good.write_text(json.dumps(plan), encoding="utf-8")
    plan["entries"]["fuel.margin"] = 7
    bad.write_text(json.dumps(plan), encoding="utf-8")

    assert "entries > fuel.margin is not as a build writes it: 7 is not of type 'object'" in said(
        "compare", good, bad, code=2
    )


def test_a_site_is_built_anew_when_an_approval_comes_or_goes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a build may leave as it is never says 'approved' of a plan that no longer is, or keeps quiet of one that now is."""
    tags: list[str] = []

    def site(plans: Sequence[Plan], **_: object) -> dict[str, bytes]:
        tags.append(approval_tag(plans[0]))
        return {"index.html": tags[-1].encode()}

    monkeypatch.setattr("briefgen.document.site.site_files", site)
    spec, out = edited(tmp_path, "mudlark", ANYBODY), tmp_path / "site"

    def build() -> None:
        said("build", spec, "--out", out, "--no-pdf")

    build()
    build()
    assert tags == [""]
    approved(spec)
    build()
    build()
    assert tags == ["", "approved", "approved"]
    for path in spec.parent.glob("mudlark.appro*"):
        path.unlink()
    build()
    assert tags[-1] == ""


def test_folders_are_compared_by_the_numbers_of_their_missions() -> None:
    """Who has no partner is said; two single plans are compared whatever their numbers."""

    def plans(*numbers: str) -> list[dict[str, Any]]:
        return [{"mission": {"number": number, "name": number.upper()}} for number in numbers]

    pairs, alone = _pairs(plans("a", "b", "c"), plans("b", "c", "d"), ("old", "new"))
    assert [(was["mission"]["number"], is_now["mission"]["number"]) for was, is_now in pairs] == [
        ("b", "b"),
        ("c", "c"),
    ]
    assert alone == ["a A is in old alone", "d D is in new alone"]
    assert len(_pairs(plans("a"), plans("b"), ("old", "new"))[0]) == 1
    with pytest.raises(UsageError, match="no mission stands on both sides"):
        _pairs(plans("a", "b"), plans("c", "d"), ("old", "new"))
