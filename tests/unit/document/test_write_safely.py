"""A build never costs a planner a file: not his own in the folder, not the old site, not on a full disk or when it is killed."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from briefgen import disk
from briefgen.document import write
from briefgen.document.write import MARKER, ready, write_site
from briefgen.errors import RenderError

OLD, NEW = {"a.html": b"old", "sub/b.html": b"old"}, {"a.html": b"new", "sub/c.html": b"new"}


def holds(folder: Path) -> dict[str, bytes]:
    """Return the files of a site but its marker."""
    paths = (path for path in folder.rglob("*") if path.is_file() and path.name != MARKER)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


@pytest.fixture(params=[True, False], ids=["exchanged", "moved"])
def site(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a site in it, on a system that can exchange two folders and on one that cannot."""
    if not request.param:
        monkeypatch.setattr(disk, "_exchange", lambda one, other: False)
    write_site(OLD, tmp_path / "site")
    return tmp_path / "site"


@pytest.mark.parametrize("name", ["notes.txt", "sub/notes.txt", "own/deep/notes.txt", "empty/"])
def test_what_a_planner_put_into_a_site_stays(site: Path, name: str) -> None:
    """A file that no build made stops the next one, which names it."""
    path = site / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.mkdir() if name.endswith("/") else path.write_text("mine")

    with pytest.raises(RenderError, match="holds files that briefgen did not make") as caught:
        write_site(NEW, site)

    assert name.split("/")[0] in caught.value.problem
    assert path.exists()
    assert {key: value for key, value in holds(site).items() if key in OLD} == OLD


def test_a_link_in_a_site_is_not_followed(site: Path, tmp_path: Path) -> None:
    """A link somebody put there is his; what it points to is not ours either."""
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter").write_text("mine")
    (site / "link").symlink_to(tmp_path / "mine")

    with pytest.raises(RenderError, match=r"\(link/\)"):
        write_site(NEW, site)

    assert (tmp_path / "mine" / "letter").read_text() == "mine"


def test_a_folder_that_holds_an_input_is_refused(site: Path) -> None:
    """Before any work, and although every file in it were ours."""
    with pytest.raises(RenderError, match=r"a\.html lies in this folder"):
        ready(site, [site / "a.html"])


def test_a_marker_cannot_name_files_outside(site: Path) -> None:
    """Whoever edits the marker removes nothing of other folders."""
    (site.parent / "letter").write_text("mine")
    with (site / MARKER).open("a") as stream:
        stream.write("../letter\n/etc/hostname\n")

    write_site(NEW, site)

    assert (site.parent / "letter").read_text() == "mine"
    assert holds(site) == NEW


def test_a_link_as_the_folder_stays_one_and_its_target_is_replaced(site: Path) -> None:
    """The reader of the target sees the new site."""
    link = site.parent / "published"
    link.symlink_to(site)

    paths = write_site(NEW, link)

    assert link.is_symlink()
    assert holds(site) == NEW
    assert all(path.is_relative_to(link) for path in paths)
    assert sorted(path.name for path in site.parent.iterdir()) == ["published", "site"]


def test_a_link_to_nowhere_makes_its_target(tmp_path: Path) -> None:
    """And one that leads back to itself is said."""
    (tmp_path / "link").symlink_to(tmp_path / "away")
    write_site(NEW, tmp_path / "link")

    assert holds(tmp_path / "away") == NEW
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    with pytest.raises(RenderError, match="its links lead back to themselves"):
        write_site(NEW, tmp_path / "loop")


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT, errno.EACCES])
def test_a_full_disk_leaves_the_old_site(site: Path, monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    """The last file does not fit: a sentence, the old site, and nothing beside it."""
    whole = Path.write_bytes

    def full(path: Path, content: bytes) -> int:
        if path.name == "c.html":
            raise OSError(number, os.strerror(number), str(path))
        return whole(path, content)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(RenderError, match="cannot be read or written: ") as caught:
        write_site(NEW, site)

    assert caught.value.hint
    assert holds(site) == OLD
    assert [site] == list(site.parent.iterdir())


@pytest.mark.parametrize(
    ("out", "said"),
    [("x" * 300, "the name is too long"), ("a-file/site", "a part of this path is a file")],
)
def test_a_place_that_cannot_be_is_a_sentence(tmp_path: Path, out: str, said: str) -> None:
    """Over-long names, and a file where a folder should be."""
    (tmp_path / "a-file").write_text("")

    with pytest.raises(RenderError) as caught:
        write_site(NEW, tmp_path / out)

    assert said in str(caught.value)


# --- killed at any moment -----------------------------------------------------------------------------------------------

KILLED = """
import os, signal, sys
from pathlib import Path
from briefgen import disk
from briefgen.document.write import write_site
if sys.argv[2] == "moved":
    disk._exchange = lambda one, other: False
left = int(sys.argv[3])
def trace(frame, event, argument):
    global left
    if frame.f_globals.get("__name__") in ("briefgen.disk", "briefgen.document.write") and event == "line":
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
    return trace
sys.settrace(trace)
write_site({"a.html": b"new", "sub/c.html": b"new"}, Path(sys.argv[1]))
"""
KILLS = int(os.environ.get("BRIEFGEN_KILLS", "8"))  # 400 by hand: see DEVELOPERS.md
LINES = 420  # of the writer's own code that one write executes, and a few more


@pytest.mark.parametrize("way", ["exchanged", "moved"])
def test_a_build_killed_anywhere_loses_nothing(tmp_path: Path, way: str) -> None:
    """At every stroke of the writer there is the old or the new site, or the next start brings it back; nothing is left."""
    site, seen = tmp_path / "site", set()
    for number in range(1, LINES, LINES // KILLS):
        write_site(OLD, site)
        words = [sys.executable, "-c", KILLED, str(site), way, str(number)]
        seen.add(subprocess.run(words, capture_output=True).returncode)
        ready(site)

        assert holds(site) in (OLD, NEW), number
        assert [site] == list(tmp_path.iterdir()), number
    assert -signal.SIGKILL in seen


def test_what_a_kill_between_two_renames_left_is_put_right(tmp_path: Path) -> None:
    """Without an exchange there is a moment with no site; the next start restores it and sweeps."""
    site = tmp_path / "site"
    write_site(OLD, site)
    fresh = disk.staged(site, {MARKER: b"Made by briefgen\na.html\n", "a.html": b"half"})
    site.rename(site.with_name(f"{disk._hidden(site, disk.OLD)}dead"))

    ready(site)

    assert holds(site) == OLD
    assert not fresh.exists()
    assert [site] == list(tmp_path.iterdir())


def test_a_sweep_removes_only_what_a_build_of_this_folder_left(tmp_path: Path) -> None:
    """Hidden folders of another site, and files somebody put into ours, stay."""
    site, other = tmp_path / "site", tmp_path / "other"
    kept = disk.staged(other, {MARKER: b"Made by briefgen\na.html\n", "a.html": b"half"})
    fresh = disk.staged(site, {MARKER: b"Made by briefgen\na.html\n", "a.html": b"half"})
    (fresh / "letter").write_text("mine")

    ready(site)

    assert (kept / "a.html").exists()
    assert [path.name for path in fresh.iterdir()] == ["letter"]


# --- two at once --------------------------------------------------------------------------------------------------------

WRITER = """
import sys
from pathlib import Path
from briefgen.document.write import write_site
for turn in range(15):
    write_site({f"{i}.html": sys.argv[2].encode() for i in range(20)}, Path(sys.argv[1]))
"""


def test_two_builds_at_once_leave_one_whole_site(tmp_path: Path) -> None:
    """Whoever looks meanwhile sees a site of one of them, never a mixture and never none."""
    site = tmp_path / "site"
    write_site({f"{i}.html": b"one" for i in range(20)}, site)
    running = [subprocess.Popen([sys.executable, "-c", WRITER, str(site), word]) for word in ("one", "two")]
    looks = 0
    while any(process.poll() is None for process in running):
        assert site.is_dir()
        looks += 1
        time.sleep(0.01)

    assert [process.returncode for process in running] == [0, 0]
    assert looks > 1
    assert len(set(holds(site).values())) == 1
    assert len(holds(site)) == 20
    assert [site] == list(tmp_path.iterdir())


def test_a_place_that_stays_locked_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A build that hangs does not make the next one hang."""
    monkeypatch.setattr(disk, "LOCK_WAIT_S", 0.05)
    with disk.locked(tmp_path / "site"), pytest.raises(RenderError, match="another build is writing there"):
        write.write_site(NEW, tmp_path / "site")


def test_files_of_charts_never_take_the_place_of_others(tmp_path: Path) -> None:
    """What was edited stays; the same again is no fault; all or nothing."""
    disk.write_new({tmp_path / "a.yaml": "one"})
    disk.write_new({tmp_path / "a.yaml": "one"})
    (tmp_path / "a.yaml").write_text("edited")

    with pytest.raises(RenderError, match="says something else; it is left alone"):
        disk.write_new({tmp_path / "b.csv": "two", tmp_path / "a.yaml": "one"})

    assert [path.name for path in tmp_path.iterdir()] == ["a.yaml"]
    assert (tmp_path / "a.yaml").read_text() == "edited"
