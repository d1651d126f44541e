"""What the system refuses is a sentence and an exit code: no traceback, nothing half written, no word to the network."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from briefgen.planning.assemble import plan_mission
from briefgen.spec import read_mission
from briefgen.system_errors import TOLD, as_sentence
from tests.shared.demo_missions import ROOT, SPECS

MISSION = str(SPECS / "mudlark.yaml")


def briefgen(
    *words: str, cwd: Path | None = None, code: str = "", **options: object
) -> subprocess.CompletedProcess[bytes]:
    """Run the command in a process of its own, after some lines of Python."""
    program = f"{code}\nimport sys\nsys.argv = ['briefgen', *sys.argv[1:]]\nfrom briefgen.cli import main\nmain()\n"
    env = {**os.environ, "PYTHONPATH": str(ROOT), **dict(options.pop("env", {}))}  # type: ignore[call-overload]
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **options}
    return subprocess.run([sys.executable, "-c", program, *words], cwd=cwd or ROOT, env=env, **streams)  # type: ignore[call-overload, no-any-return]


def test_a_full_output_is_said_and_fails() -> None:
    """A script that keeps the output on a full disk must not think it has it."""
    with open("/dev/full", "wb") as full:
        done = briefgen("schema", "mission", stdout=full)

    assert done.returncode == 1
    assert done.stderr == (
        b"cannot be read or written: there is no space left on the disk\n  hint: make room, then run the command again\n"
    )


def test_a_terminal_without_our_letters_shows_their_codes() -> None:
    """A name in other letters is no reason to stop."""
    done = briefgen("check", "灯.yaml", env={"PYTHONIOENCODING": "latin-1"})

    assert done.returncode == 2
    assert done.stderr.startswith(b"\\u706f.yaml: there is no such file\n")


def test_a_working_folder_that_is_gone_is_a_sentence(tmp_path: Path) -> None:
    """Nothing below it can be found, and nothing but the folder is to blame."""
    (tmp_path / "gone").mkdir()
    done = briefgen("check", "mission.yaml", cwd=tmp_path / "gone", code="import os; os.rmdir(os.getcwd())")

    assert done.returncode in (1, 2)
    assert b"Traceback" not in done.stderr
    assert done.stderr.startswith(b"the folder this was started in is gone\n")


@pytest.mark.parametrize(
    ("out", "said"),
    [
        ("x" * 300, "the name is too long"),
        ("/dev/null/site", "a part of this path is a file"),
    ],
    ids=["over-long", "below a device"],
)
def test_a_place_that_cannot_be_written_stops_before_planning(out: str, said: str) -> None:
    """Before the work, where the system tells by then; always as a sentence that begins with the place."""
    done = briefgen("build", MISSION, "--no-pdf", "--out", out)

    assert done.returncode == 1
    assert done.stderr.decode().startswith(f"{out}: cannot be read or written: {said}")
    assert b"Traceback" not in done.stderr


def test_a_limit_of_the_disk_leaves_the_old_site(tmp_path: Path) -> None:
    """The system itself refuses the bytes beyond a size; what stood there before stands there still."""
    (tmp_path / "site").mkdir()
    limit = "import resource, signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN); resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))"
    done = briefgen("build", MISSION, "--no-pdf", "--out", str(tmp_path / "site"), code=limit)

    assert done.returncode == 1
    assert b"the file grows larger than is allowed here" in done.stderr
    assert [tmp_path / "site"] == list(tmp_path.rglob("*"))


def test_nothing_is_asked_of_the_network(tmp_path: Path) -> None:
    """With every socket refused the whole build runs."""
    cut = (
        "import sys\n"
        "def refuse(event, arguments):\n"
        "    if event.startswith('socket.') and event != 'socket.__new__':\n"
        "        raise SystemExit(99)\n"
        "sys.addaudithook(refuse)"
    )
    done = briefgen("build", MISSION, "--out", str(tmp_path / "site"), code=cut)

    assert (done.returncode, done.stderr) == (0, b"")


def test_a_specification_changed_meanwhile_is_planned_as_it_was_read(tmp_path: Path) -> None:
    """Every file is read once: the plan and its fingerprint are of the bytes read, whatever became of them since."""
    shutil.copytree(SPECS, tmp_path / "specs")
    path = tmp_path / "specs" / "mudlark.yaml"
    before = read_mission(path)
    for file in (tmp_path / "specs").rglob("*.yaml"):
        file.write_text("changed", encoding="utf-8")
    shutil.rmtree(tmp_path / "specs" / "aircraft")

    assert plan_mission(before).mission.digest == read_mission(SPECS / "mudlark.yaml").digest


@pytest.mark.parametrize(
    "error",
    [
        *(OSError(number, os.strerror(number), "a/b") for number in (errno.EACCES, errno.EIO, errno.ENOSPC, errno.ELOOP, errno.ESTALE)),
        UnicodeDecodeError("utf-8", b"\xff", 0, 1, "bad"), UnicodeEncodeError("ascii", "é", 0, 1, "bad"), RecursionError("deep"),
        MemoryError(),
    ],
    ids=lambda error: f"{type(error).__name__} {getattr(error, 'errno', '')}",
)  # fmt: skip
def test_every_error_of_the_system_is_a_sentence(error: Exception) -> None:
    """It says what is wrong without a name of Python's, and where, if that is known."""
    assert isinstance(error, TOLD)
    told = as_sentence(error)

    assert told.problem[0].islower()
    assert "Error" not in told.text()
    assert not isinstance(error, OSError) or told.text().startswith("a/b: ")
