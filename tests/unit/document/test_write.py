"""A site is replaced whole or not at all, and nobody's folder is deleted."""

from __future__ import annotations

from pathlib import Path

import pytest

from briefgen.document import build_site
from briefgen.document.write import MARKER, write_site
from briefgen.errors import RenderError
from tests.shared.invented_plan import invented_plan


def test_a_build_replaces_the_one_before(tmp_path: Path) -> None:
    """Pages of an earlier build that no longer exist are gone; nothing is left beside the folder."""
    out = tmp_path / "site"
    write_site({"a.html": b"old", "gone.html": b"old"}, out)
    paths = write_site({"a.html": b"new"}, out)

    assert [out / "a.html"] == paths
    assert {MARKER, "a.html"} == {path.name for path in out.iterdir()}
    assert [out] == list(tmp_path.iterdir())


def test_a_folder_with_other_files_is_left_alone(tmp_path: Path) -> None:
    """A folder briefgen did not make is refused with the way out."""
    (tmp_path / "letter.txt").write_text("mine")

    with pytest.raises(RenderError) as caught:
        write_site({"a.html": b"new"}, tmp_path)

    assert (
        f"{tmp_path}: this folder holds files that briefgen did not make (letter.txt); it is left alone\n"
        "  expected: an empty folder, a new one, or one that holds nothing but an earlier build\n"
        "  hint: choose another folder, or move these files out of it"
    ) == caught.value.text()
    assert (tmp_path / "letter.txt").read_text() == "mine"


def test_a_file_is_not_a_folder(tmp_path: Path) -> None:
    """The path of a file is refused."""
    (tmp_path / "site").write_text("")

    with pytest.raises(RenderError, match="this is a file, not a folder"):
        write_site({}, tmp_path / "site")


def test_a_failed_build_leaves_the_old_site(tmp_path: Path) -> None:
    """Everything is made before anything is written: a text that quotes a missing entry stops the build."""
    out = tmp_path / "site"
    build_site([invented_plan()], out, pdf=False)
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}

    with pytest.raises(RenderError, match=r"quotes 'no\.such'"):
        build_site([invented_plan(purpose="{no.such}")], out, pdf=False)

    assert before == {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}


def test_two_missions_of_one_name_are_refused(tmp_path: Path) -> None:
    """Their pages would overwrite each other."""
    with pytest.raises(RenderError, match="two missions are called LRF-0412 Cedar Lantern"):
        build_site([invented_plan(), invented_plan()], tmp_path / "site", pdf=False)
