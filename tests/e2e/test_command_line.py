"""The command line on every demo mission: exit codes, exact messages, examples of the help, and what is left on the disk."""

from __future__ import annotations

import hashlib
import json
import os
import pty
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from briefgen.cli import main
from briefgen.document import site
from briefgen.planning import assemble
from briefgen.spec import KINDS, missions_in
from tests.shared.demo_missions import JOURNEYS, ROOT, SPECS, plan_of, plan_once, site_once

NAMES = [path.name for path in missions_in(SPECS)]
OF_ONE_SECTOR = [name for name in NAMES if Path(name).stem not in JOURNEYS]
COMMANDS = (
    "new",
    "check",
    "build",
    "show",
    "explain",
    "aircraft",
    "schema",
    "approve",
    "compare",
    "log",
    "debrief",
    "replan",
    "calibrate",
    "spread",
    "whatif",
    "preview",
)
FAILING = "paper-kite.yaml"  # valid, planned, and fails its rules


@dataclass(frozen=True)
class Result:
    """What one command gave."""

    code: int
    out: str
    err: str


Run = Callable[..., Result]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A working folder with a copy of the specifications, as a planner has it."""
    shutil.copytree(SPECS, tmp_path / "mission_specs")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    return tmp_path


@pytest.fixture
def run(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run one command in the working folder, in this process; what a test has planned or rendered is not made again."""
    monkeypatch.setattr(assemble, "plan_mission", plan_once)
    monkeypatch.setattr(site, "site_files", site_once)

    def run_command(*words: str) -> Result:
        monkeypatch.setattr(sys, "argv", ["briefgen", *words])
        with pytest.raises(SystemExit) as left:
            main()
        shown = capsys.readouterr()
        assert isinstance(left.value.code, int)
        assert "Traceback" not in shown.err
        return Result(left.value.code, shown.out, shown.err)

    return run_command


def contents(folder: Path) -> dict[str, str]:
    """Return every file below a folder with the digest of its bytes."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file())
    return {str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def rewritten(name: str, pattern: str, new: str) -> None:
    """Write something else into a file in the one place that a pattern finds."""
    text, count = re.subn(pattern, new, Path(name).read_text(encoding="utf-8"))
    assert count == 1
    Path(name).write_text(text, encoding="utf-8")


def short_of_fuel() -> None:
    rewritten("mission_specs/cedar-lantern.yaml", r'at ramp: "?[\d,]+ US gal"?', "at ramp: 680 US gal")


# --- every command on every mission -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", OF_ONE_SECTOR)
def test_check_show_and_explain_answer_on_every_mission_and_write_nothing(name: str, run: Run, folder: Path) -> None:
    """Each prints on the standard output only, leaves with 0, and no file is made or changed."""
    before = contents(folder)
    spec = f"mission_specs/{name}"
    answers = [run("check", spec), run("show", spec), run("explain", spec, "fuel.margin")]

    assert [(answer.code, answer.err) for answer in answers] == [(0, "")] * 3
    plan = plan_of(Path(name).stem)
    verdict = "it does not pass" if any(f.outcome == "fail" for f in plan.findings) else "it passes"
    assert answers[0].out.startswith(f"{spec}: {plan.mission.name} is planned; {verdict} its rules: ")
    assert all(answer.out.endswith("\n") and not answer.out.endswith("\n\n") for answer in answers)
    assert contents(folder) == before


@pytest.mark.parametrize("name", OF_ONE_SECTOR)
def test_json_of_show_is_the_plan_json_of_the_build(name: str, run: Run) -> None:
    """A program reads the same plan from the terminal and from the site."""
    shown = run("show", f"mission_specs/{name}", "--json")
    built = run("build", f"mission_specs/{name}", "--no-pdf")
    (written,) = Path("site").glob("*/plan.json")

    assert (shown.code, built.code) == (0, 0)
    assert json.loads(shown.out)["briefgen"] == "plan/1"
    assert written.read_text(encoding="utf-8") == shown.out
    assert built.out.startswith("site: 1 mission, ")
    assert built.out.endswith(" files; open site/index.html\n")


def test_the_whole_folder_is_checked_in_the_order_of_names(run: Run) -> None:
    """A folder stands for all its missions."""
    answer = run("check", "mission_specs")
    heads = [line.partition(":")[0] for line in answer.out.splitlines() if " is planned; " in line]

    assert (answer.code, heads) == (0, [f"mission_specs/{name}" for name in NAMES])


def test_json_of_check_counts_the_findings_of_every_mission(run: Run) -> None:
    """The counts are those of the plan, the file is named as it was found."""
    reports = json.loads(run("check", "mission_specs", "--json").out)["missions"]

    assert [report["file"] for report in reports] == [f"mission_specs/{name}" for name in NAMES]
    for report, name in zip(reports, NAMES, strict=True):
        outcomes = [found.outcome for found in plan_of(Path(name).stem).findings]
        assert report["findings"] == {word: outcomes.count(word) for word in ("pass", "caution", "fail")}


def test_strict_fails_where_a_rule_fails_and_only_then(run: Run) -> None:
    """Findings are the commander's to decide; with --strict they fail the run."""
    for name in NAMES:
        fails = any(found.outcome == "fail" for found in plan_of(Path(name).stem).findings)
        assert run("check", f"mission_specs/{name}", "--strict").code == int(fails)
    assert run("check", f"mission_specs/{FAILING}").code == 0
    assert run("check", f"mission_specs/{FAILING}", "--strict", "--json").code == 1


def test_several_specs_are_built_once_each_however_they_are_named(run: Run, folder: Path) -> None:
    """A file, the same by its full path and again in its folder make one mission of the site."""
    answer = run("build", "mission_specs/mudlark.yaml", str(folder / "mission_specs/mudlark.yaml"),
                 "mission_specs/cedar-lantern.yaml", "--no-pdf")  # fmt: skip

    assert answer.code == 0
    assert answer.out.startswith("site: 2 missions, ")
    assert sorted(path.parent.name for path in Path("site").glob("*/plan.json")) == [
        "lrf-0412-cedar-lantern", "lrf-0419-mudlark",
    ]  # fmt: skip


# --- help ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", COMMANDS)
def test_help_ends_with_an_example_that_runs(command: str, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the help shows can be copied; a preview, which goes on until it is stopped, is only begun."""
    monkeypatch.setattr("briefgen.preview.serve.Served.follow", lambda *_: None)
    shown = run(command, "--help")
    text, _, _ = shown.out.partition("\nArguments:")
    example = " ".join(text.strip().split("\n\n")[-1].split())  # a long one goes over two lines

    assert (shown.code, shown.err) == (0, "")
    assert example.startswith(f"Example: briefgen {command} ")
    assert run(*shlex.split(example.removeprefix("Example: briefgen "))).code == 0


def test_the_help_names_every_command_and_what_the_tool_is_not(run: Run) -> None:
    """The caution stands where a newcomer looks first; the list here is complete."""
    shown = run("--help").out
    listed = [line.split()[0] for line in shown.partition("Commands:")[2].splitlines() if line.strip()]

    assert tuple(listed) == COMMANDS
    assert "not a substitute for the approved flight manual" in " ".join(shown.split())


def test_without_a_command_the_help_is_shown(run: Run) -> None:
    """Nothing asked is a command line that is wrong."""
    assert run().code == 2


# --- a wrong command line or specification: 2 -----------------------------------------------------------------------------

TWO = {
    "no such file": (
        ("check", "nowhere.yaml"),
        "nowhere.yaml: there is no such file\n  expected: an existing YAML file\n  hint: check the name\n",
    ),
    "folder without missions": (
        ("check", "mission_specs/weather"),
        "mission_specs/weather: there is no mission in this folder\n"
        "  expected: files named *.yaml with 'briefgen: mission/1' as the first line\n"
        "  hint: name the folder that holds the missions; 'briefgen new FOLDER' starts one\n",
    ),
    "folder where a file is wanted": (
        ("show", "mission_specs"),
        "mission_specs: this is a folder, not a file\n  expected: a YAML file\n",
    ),
    "file that is no mission": (
        ("build", "mission_specs/places/coral-sea.yaml"),
        "mission_specs/places/coral-sea.yaml:2:11: this is 'places/1', where a mission file is wanted\n"
        "  expected: 'briefgen: mission/1' as the first line\n"
        "  hint: name a mission file here, not a places file\n",
    ),
    "no such entry": (
        ("explain", "mission_specs/cedar-lantern.yaml", "fuel.required.tripp"),
        "the plan has no entry called 'fuel.required.tripp'\n"
        "  expected: the key of an entry, as on the page of numbers, in plan.json and in 'briefgen explain SPEC --list'\n"
        "  hint: nearest: fuel.required.trip, ",
    ),
    "no such schema": (
        ("schema", "plann"),
        "plann: there is no schema of this name\n"
        "  expected: one of mission, aircraft, places, weather, rules, approval, log, plan\n"
        "  hint: did you mean 'plan'?\n",
    ),
    "new in a folder that is not empty": (
        ("new", "mission_specs"),
        "mission_specs: this folder is not empty; it is left alone\n"
        "  expected: a folder that does not exist yet, or is empty\n"
        "  hint: name another folder\n",
    ),
    "new where a file stands": (
        ("new", "mission_specs/mudlark.yaml"),
        "mission_specs/mudlark.yaml: this is a file, not a folder\n"
        "  expected: a folder that does not exist yet, or is empty\n"
        "  hint: name another folder\n",
    ),
    "new below a file": (
        ("new", "mission_specs/mudlark.yaml/x"),
        "mission_specs/mudlark.yaml/x: cannot be read or written: a part of this path is a file, not a folder\n"
        "  expected: a folder that does not exist yet, or is empty\n"
        "  hint: name another folder\n",
    ),
    "no such command": (
        ("fly", "mission_specs"),
        "Usage: briefgen [OPTIONS] COMMAND [ARGS]...\nTry 'briefgen --help' for help.\n\n"
        "Error: No such command 'fly'.\n",
    ),
    "nothing named": (("check",), "Usage: briefgen check [OPTIONS] "),
    "no such option": (("show", "mission_specs/mudlark.yaml", "--jsn"), "Usage: briefgen show [OPTIONS] "),
    "wrong unit of speed": (
        ("aircraft", "mission_specs/aircraft/s2-survey.yaml", "--speeds", "km/h"),
        "Usage: briefgen aircraft [OPTIONS] ",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", TWO)
def test_what_is_wrong_on_the_command_line_is_said_exactly(case: str, run: Run, folder: Path) -> None:
    """Exit 2, nothing on the standard output, nothing touched; a message that ends open lists more names after it."""
    words, expected = TWO[case]
    before = contents(folder)
    answer = run(*words)

    assert (answer.code, answer.out) == (2, "")
    assert answer.err == expected or (not expected.endswith("\n") and answer.err.startswith(expected))
    assert contents(folder) == before


@pytest.mark.parametrize("value", ["", "tomorrow", "-1", "1e9", "99999999999999999"])
def test_a_build_time_that_is_none_is_refused_before_any_work(
    value: str, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SOURCE_DATE_EPOCH is whole seconds, as the reproducible-builds specification has it."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", value)
    answer = run("build", "mission_specs/mudlark.yaml")

    assert answer.code == 2
    assert answer.err == (f"SOURCE_DATE_EPOCH is '{value}'\n  expected: whole seconds since 1970, such as 1767225600\n")
    assert not Path("site").exists()


def test_faults_of_several_missions_are_told_together_at_their_lines(run: Run) -> None:
    """All faults of a run, in the order of file and line, with the file as it was named."""
    rewritten("mission_specs/mudlark.yaml", 'altitude: "6,500 ft"', 'altitude: "6,500"')
    rewritten("mission_specs/cedar-lantern.yaml", "bank: 10 deg", "bnak: 10 deg")
    places = [line for line in run("check", "mission_specs").err.splitlines() if not line.startswith("  ")]

    assert [place.split(":")[0] for place in places] == [
        "mission_specs/cedar-lantern.yaml", "mission_specs/mudlark.yaml",
    ]  # fmt: skip


@pytest.mark.parametrize("words", [("check",), ("build", "--no-pdf")])
def test_a_path_is_named_as_it_was_typed(words: tuple[str, ...], run: Run, folder: Path) -> None:
    """From another folder the message still leads to the file."""
    rewritten("mission_specs/mudlark.yaml", r"revision: \d+", "revision: one")
    (folder / "desk").mkdir()
    os.chdir("desk")
    answer = run(*words, "../mission_specs/mudlark.yaml")

    assert answer.code == 2
    assert answer.err.startswith("../mission_specs/mudlark.yaml:5:11: ")


# --- what cannot be flown or written: 1 -----------------------------------------------------------------------------------


def test_a_mission_that_cannot_be_flown_is_said_with_its_file(run: Run) -> None:
    """Valid, but not to be flown as written: exit 1, and what to do about it."""
    short_of_fuel()
    answer = run("check", "mission_specs/cedar-lantern.yaml")

    assert (answer.code, answer.out) == (1, "")
    assert answer.err.startswith("mission_specs/cedar-lantern.yaml: ")
    assert "the fuel is gone before the end of: " in answer.err
    assert "{" not in answer.err
    assert "\n  expected: fuel on board for the whole flight as written\n  hint: load more fuel, " in answer.err


def test_a_failing_mission_among_good_ones_fails_alone(run: Run) -> None:
    """The others are built, the index names the one that is not, and the exit code says it; alone it leaves the old site whole."""
    assert run("build", "mission_specs/mudlark.yaml", "mission_specs/plumb-line.yaml", "--no-pdf").code == 0
    short_of_fuel()
    before = contents(Path("site"))
    assert run("build", "mission_specs/cedar-lantern.yaml", "--no-pdf").code == 1
    assert contents(Path("site")) == before

    answer = run("build", "mission_specs/mudlark.yaml", "mission_specs/cedar-lantern.yaml", "--no-pdf")
    assert answer.code == 1
    assert "the fuel is gone before the end of: " in answer.err
    index = Path("site/index.html").read_text(encoding="utf-8")
    assert "Not built" in index
    assert "cedar-lantern.yaml" in index
    assert Path("site/lrf-0419-mudlark/index.html").is_file()
    assert not list(Path("site").glob("*cedar*"))


def test_a_second_build_of_what_has_not_changed_writes_nothing(run: Run) -> None:
    """It says so and leaves the very same folder; --fresh writes it anew."""
    words = ("build", "mission_specs/mudlark.yaml", "--no-pdf")
    first = run(*words)
    folder = Path("site").stat().st_ino
    second = run(*words)

    assert "1 mission" in first.out
    assert second.out.startswith("site: nothing has changed, ")
    assert (second.code, Path("site").stat().st_ino) == (0, folder)
    assert "1 mission" in run(*words, "--fresh").out
    assert Path("site").stat().st_ino != folder


def test_a_build_replaces_the_old_site_whole(run: Run) -> None:
    """What the last build made and this one does not is gone, and nothing is left beside the site."""
    run("build", "mission_specs/mudlark.yaml", "mission_specs/cedar-lantern.yaml", "--no-pdf")
    run("build", "mission_specs/mudlark.yaml", "--no-pdf")

    assert [path.parent.name for path in Path("site").glob("*/plan.json")] == ["lrf-0419-mudlark"]
    assert sorted(path.name for path in Path().iterdir()) == ["mission_specs", "site"]


def test_a_folder_of_somebody_is_never_replaced(run: Run, folder: Path) -> None:
    """A slip in --out costs nothing."""
    before = contents(folder)
    answer = run("build", "mission_specs/mudlark.yaml", "--no-pdf", "--out", "mission_specs")

    assert answer.code == 1
    assert answer.err == (
        "mission_specs: mission_specs/mudlark.yaml lies in this folder, and a build replaces the folder; nothing was written\n"
        "  expected: a folder that holds none of the files read\n"
        "  hint: choose another folder\n"
    )
    assert contents(folder) == before


@pytest.mark.parametrize("out", ["mission_specs/mudlark.yaml", "mission_specs/mudlark.yaml/site"])
def test_a_place_that_cannot_be_written_is_said_as_typed(out: str, run: Run, folder: Path) -> None:
    """A file is no folder and holds none."""
    before = contents(folder)
    answer = run("build", "mission_specs/mudlark.yaml", "--no-pdf", "--out", out)

    assert answer.code == 1
    assert answer.err.startswith(f"{out}: ")
    assert contents(folder) == before


# --- new ----------------------------------------------------------------------------------------------------------------


def test_new_makes_a_folder_that_passes_check_and_builds(run: Run) -> None:
    """The first four commands of a newcomer."""
    made = run("new", "my-missions")
    following = made.out.splitlines()[-1].removeprefix("next: briefgen ")

    assert (made.code, made.err) == (0, "")
    assert made.out == (
        "my-missions: a mission to change, with everything it refers to\n"
        "next: briefgen check my-missions/cedar-lantern.yaml\n"
    )
    assert run(*shlex.split(following)).code == 0
    assert run("build", "my-missions", "--no-pdf").code == 0


def test_new_writes_only_what_its_mission_uses_and_the_schemas_editors_find_it_by(run: Run) -> None:
    """The comment at the head of each file leads from the file to its schema, and to no other place."""
    assert run("new", "mine").code == 0
    files = sorted(Path("mine").rglob("*.yaml"))

    assert sorted(path.name for path in Path("mine/aircraft").iterdir()) == ["t4-freighter.yaml"]
    assert len(files) > len(KINDS)
    for path in files:
        head, _, rest = path.read_text(encoding="utf-8").partition("\n")
        schema = path.parent / head.removeprefix("# yaml-language-server: $schema=")
        kind = next(line for line in rest.splitlines() if line.startswith("briefgen: "))[10:].partition("/")[0]
        assert schema.read_text(encoding="utf-8") == run("schema", kind).out
    assert {path.name for path in Path("mine/schemas").iterdir()} == {f"{kind}.schema.json" for kind in KINDS}


def test_new_fills_an_empty_folder_and_refuses_it_then(run: Run) -> None:
    """A second time would overwrite work."""
    Path("empty").mkdir()
    assert run("new", "empty").code == 0
    rewritten("empty/cedar-lantern.yaml", r"revision: \d+", "revision: 99")
    before = contents(Path("empty"))

    assert run("new", "empty").code == 2
    assert contents(Path("empty")) == before


# --- the schemas and the process itself ---------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [*KINDS, "plan"])
def test_schema_prints_every_kind(kind: str, run: Run) -> None:
    """An editor can be pointed at each."""
    answer = run("schema", kind)

    assert (answer.code, answer.err) == (0, "")
    assert json.loads(answer.out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT)}


def test_the_process_keeps_quiet_and_leaves_with_the_code_where_no_terminal_is(folder: Path) -> None:
    """As a script sees it: standard error empty on success, the message and the code on failure."""
    command = [sys.executable, "-m", "briefgen"]
    good = subprocess.run([*command, "check", "mission_specs/mudlark.yaml"], env=environment(), capture_output=True)
    bad = subprocess.run([*command, "check", "nowhere.yaml"], env=environment(), capture_output=True)

    assert (good.returncode, good.stderr) == (0, b"")
    assert (bad.returncode, bad.stdout) == (2, b"")
    assert bad.stderr.decode().startswith("nowhere.yaml: there is no such file\n")


@pytest.fixture
def terminal() -> Iterator[tuple[int, int]]:
    """Both ends of a terminal: the one watched and the one given to a process."""
    watched, given = pty.openpty()
    yield watched, given
    os.close(watched)


def test_progress_is_shown_on_a_terminal(folder: Path, terminal: tuple[int, int]) -> None:
    """Somebody who waits sees what is being done."""
    watched, given = terminal
    words = [sys.executable, "-m", "briefgen", "build", "mission_specs/mudlark.yaml", "--no-pdf"]
    done = subprocess.run(words, env=environment(), stdout=subprocess.PIPE, stderr=given)
    os.close(given)
    shown = os.read(watched, 4096).decode()

    assert done.returncode == 0
    assert shown.split("\r\n")[:2] == ["planning Mudlark ...", "rendering ..."]
    assert done.stdout.decode().startswith("site: 1 mission, ")


def test_a_reader_that_goes_away_is_no_fault(folder: Path) -> None:
    """``briefgen show … | head -1`` ends without a word on the standard error."""
    words = [sys.executable, "-m", "briefgen", "show", "mission_specs/mudlark.yaml"]
    with subprocess.Popen(words, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        said = process.stderr.read()

    assert said == b""
