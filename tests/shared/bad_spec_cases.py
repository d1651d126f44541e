"""Cases of tests/bad_specs: a small sound specification, one thing broken in it, and the message that must come.

A case is a text of sections. ``=== in FILE`` names the file of the base that is changed, ``--- find`` the text that is
taken out (nothing: the whole file), ``--- put`` what stands there instead (``--- put escaped`` with escapes such as
``\\xff`` for bytes that no text holds), and ``=== expected`` the message, exact to the last character.
"""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parents[1] / "bad_specs"
BASE = FOLDER / "base"


@dataclass(frozen=True)
class Edit:
    """One change of one file of the base."""

    file: str
    find: bytes
    put: bytes


@dataclass(frozen=True)
class Case:
    """The changes, and the message they must cause."""

    name: str
    edits: tuple[Edit, ...]
    expected: str


def read_case(path: Path) -> Case:
    """Return a case as written in its file."""
    head, _, expected = path.read_text(encoding="utf-8").partition("=== expected\n")
    edits = [
        Edit(match[1], match[2].encode(), _bytes(match[4], escaped=match[3] is not None))
        for match in re.finditer(r"=== in (\S+)\n--- find\n(.*?)--- put( escaped)?\n(.*?)(?==== |\Z)", head, re.DOTALL)
    ]
    assert edits, f"{path.name} changes nothing"
    return Case(path.stem, tuple(edits), expected.rstrip("\n"))


def _bytes(text: str, *, escaped: bool) -> bytes:
    return text.encode().decode("unicode_escape").encode("latin-1") if escaped else text.encode()


def make_folder(case: Case, folder: Path) -> Path:
    """Copy the base into a folder, break it, and return the mission file."""
    shutil.copytree(BASE, folder, dirs_exist_ok=True)
    for edit in case.edits:
        target = folder / edit.file
        text = target.read_bytes() if target.exists() else b""
        if edit.find:
            assert text.count(edit.find) == 1, f"{case.name}: the text to find stands {text.count(edit.find)} times"
            text = text.replace(edit.find, edit.put)
        else:
            text = edit.put
        target.write_bytes(text)
    return folder / "mission.yaml"


def cases() -> list[Path]:
    """Return the files of all cases in order."""
    return sorted(FOLDER.glob("*.case"))
