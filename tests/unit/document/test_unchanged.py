"""A site that a build would make again byte for byte stays; whatever it rests on, a change of it is seen."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from briefgen.document import still_fresh as door
from briefgen.document.unchanged import made_of, unchanged_files
from briefgen.document.write import MARKER, write_site

FILES = {"a.html": b"a", "sub/b.html": b"b"}
READ = ("one.yaml", "weather/w.yaml")


def read_as(contents: tuple[str, ...]) -> dict[str, str]:
    """Return the digest of each file as it was when it was read, its contents given in their order."""
    return {name: hashlib.sha256(text.encode()).hexdigest() for name, text in zip(READ, contents, strict=True)}


@pytest.fixture
def specs(tmp_path: Path) -> Path:
    """A mission with a file it refers to, and a site made of them."""
    specs = tmp_path / "specs"
    for name in READ:
        (specs / name).parent.mkdir(parents=True, exist_ok=True)
        (specs / name).write_text(name)
    told = made_of([(specs / "one.yaml", read_as(READ))], FILES, pdf=True, built_at=None)
    write_site(FILES, tmp_path / "site", [specs / "one.yaml"], told)
    return specs


def still(specs: Path, *, pdf: bool = True, built_at: datetime | None = None, mission: str = "one.yaml") -> int:
    return unchanged_files(specs.parent / "site", [specs / mission], pdf=pdf, built_at=built_at)


def test_a_site_of_the_same_files_and_options_is_unchanged(specs: Path) -> None:
    """Also when it is asked from another folder, and by the door of the room."""
    assert still(specs) == len(FILES)
    assert door(specs.parent / "site", [specs / "one.yaml"], pdf=True, built_at=None) == len(FILES)


CHANGES: dict[str, Callable[[Path], object]] = {
    "the mission": lambda specs: (specs / "one.yaml").write_text("other"),
    "a file it refers to": lambda specs: (specs / "weather/w.yaml").write_text("other"),
    "a file it refers to is gone": lambda specs: (specs / "weather/w.yaml").unlink(),
    "a page": lambda specs: (specs.parent / "site/a.html").write_text("other"),
    "a page is gone": lambda specs: (specs.parent / "site/sub/b.html").unlink(),
    "the marker is of another form": lambda specs: (specs.parent / "site" / MARKER).write_text("Made\na.html\n= 7\n"),
    "there is no marker": lambda specs: (specs.parent / "site" / MARKER).unlink(),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_is_seen(specs: Path, change: str) -> None:
    """Of what went in, of what came out, and of the note of both."""
    CHANGES[change](specs)

    assert still(specs) == 0


def test_other_options_another_mission_and_another_program_are_seen(
    specs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A site without PDF, of another build time, of a copy under another name, or made by other versions is not the same."""
    (specs / "two.yaml").write_bytes((specs / "one.yaml").read_bytes())
    (tmp_path / "program").mkdir()

    assert still(specs, pdf=False) == 0
    assert still(specs, built_at=datetime(2026, 1, 1, tzinfo=UTC)) == 0
    assert still(specs, mission="two.yaml") == 0
    with monkeypatch.context() as other:
        (tmp_path / "packages" / "typesetter-9.dist-info").mkdir(parents=True)
        other.syspath_prepend(str(tmp_path / "packages"))
        assert still(specs) == 0
    assert still(specs) == len(FILES)
    monkeypatch.setattr("briefgen.document.unchanged.PROGRAM", tmp_path / "program")
    assert still(specs) == 0


def test_the_note_in_the_marker_is_no_name_of_a_file(specs: Path) -> None:
    """The next build replaces the site as before, and leaves nothing behind."""
    site = specs.parent / "site"
    write_site({"c.html": b"c"}, site)

    assert sorted(os.listdir(site)) == [MARKER, "c.html"]
    assert still(specs) == 0


def test_a_file_changed_while_the_site_was_made_is_seen(specs: Path) -> None:
    """The note is of what was read, not of what stands there when the site is written."""
    told = made_of([(specs / "one.yaml", read_as(("as read", READ[1])))], FILES, pdf=True, built_at=None)
    write_site(FILES, specs.parent / "site", [specs / "one.yaml"], told)

    assert still(specs) == 0
