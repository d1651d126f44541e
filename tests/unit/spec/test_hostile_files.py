"""Files that try to hang, blind or break their reader: each is answered in time, with a sentence at its place."""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

import pytest

from briefgen.errors import BriefgenError, Fault, SpecError, shortened, unseen, visible
from briefgen.spec import missions_in, read_mission
from tests.shared.bad_spec_cases import BASE

SOON_S = 2.0  # each of these took between seconds and for ever, or is of the kind that does


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound small specification to break."""
    import shutil

    shutil.copytree(BASE, tmp_path / "specs")
    return tmp_path / "specs"


def refused(folder: Path, *, name: str = "mission.yaml") -> str:
    with pytest.raises(SpecError) as caught:
        read_mission(folder / name)
    return caught.value.text().replace(f"{folder}/", "")


def rewritten(folder: Path, pattern: str, new: str) -> None:
    path = folder / "mission.yaml"
    text, count = re.subn(pattern, lambda _: new, path.read_text(encoding="utf-8"), count=1, flags=re.MULTILINE)
    assert count == 1
    path.write_text(text, encoding="utf-8")


@pytest.mark.parametrize(
    "text",
    [
        "\n" * 4000,
        " \n" * 2000,
        "#\n" * 2000,
        "\n \t\n" * 500 + "x",
        "briefgen:" + " " * 4000,
        "# " + "\n#" * 1500 + "!",
    ],
)
def test_a_head_that_is_none_is_seen_at_once(folder: Path, text: str) -> None:
    """Thirty blank lines made a pattern try every way of dividing them."""
    (folder / "notes.yaml").write_text(text, encoding="utf-8")
    begun = time.process_time()

    assert missions_in(folder) == (folder / "mission.yaml",)
    assert time.process_time() - begun < SOON_S


# --- what is not seen ---------------------------------------------------------------------------------------------------

UNSEEN = ("\x1b", "\x07", "\x7f", "\x85", "\u200b", "\u200e", "\u202e", "\u2066", "\u2028", "\ufeff", "\U000e0041")


@pytest.mark.parametrize("sign", UNSEEN, ids=lambda sign: f"U+{ord(sign):04X}")
@pytest.mark.parametrize("written", ["itself", "escaped", "comment"])
def test_a_character_that_is_not_seen_is_refused_where_it_stands(folder: Path, sign: str, written: str) -> None:
    """It would steer a terminal or turn a line round: as itself, as an escape of YAML, even in a comment."""
    if written == "comment":
        rewritten(folder, r"^name: .*$", f"name: Small Lamp # a{sign}b")
    else:
        shown = sign if written == "itself" else f"\\U{ord(sign):08X}"
        rewritten(folder, r"^name: .*$", f'name: "a{shown}b"')
    text = refused(folder)

    line = (folder / "mission.yaml").read_bytes().decode().split("name:")[0].count("\n") + 1
    assert text.startswith(f"mission.yaml:{line}:")
    assert f"U+{ord(sign):04X} is not allowed" in text
    assert not unseen(text)


def test_tabs_and_ends_of_lines_may_stand_in_a_text(folder: Path) -> None:
    """Also as Windows writes them."""
    path = folder / "mission.yaml"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))

    assert read_mission(path).name == "Small Lamp"


def test_a_table_file_is_held_to_the_same(folder: Path) -> None:
    """Its words reach pages too."""
    (folder / "table.csv").write_text("# \u202e\n1,2\n", encoding="utf-8")
    rewritten(folder, r"^name: .*$", "name: Small Lamp\nterrain: { file: table.csv }")

    assert "terrain.file: in 'table.csv' the invisible or direction character U+202E is not allowed" in refused(folder)


def test_messages_show_what_cannot_be_seen_and_shorten_what_is_too_long() -> None:
    """Names of files and words of the command line come past the reader."""
    fault = Fault("a\x1b[2Jb\n.yaml", 3, 4, "'x\u202ey' is\nnothing", "one\x07", "two\u2066")
    error = BriefgenError("q" * 5000, where="w\x9b" * 400)

    assert fault.text() == (
        "a\\u001b[2Jb\\n.yaml:3:4: 'x\\u202ey' is\\nnothing\n  expected: one\\u0007\n  hint: two\\u2066"
    )
    assert not unseen(error.text())
    assert len(error.text()) < 1000
    assert "letters ...]" in error.text()
    assert visible("plain\nté") == "plain\nté"
    assert shortened("x" * 400) == "x" * 400


# --- what is too much ---------------------------------------------------------------------------------------------------

PROSE = {
    "a table of 300 columns": ("|a" * 300 + "|\n" + "|-" * 300 + "|\n" + "|b" * 300 + "|", "column marks"),
    "bullets nested 300 deep": ("\n".join("  " * i + "* a" for i in range(300)), "is indented by|letters"),
    "quotations nested 300 deep": (">" * 300 + " a", "marks of lists or quotations"),
    "bullets on one line": ("- " * 300 + "a", "marks of lists or quotations"),
    "five thousand brackets": ("[" * 5000, "stands in the text 5,000 times"),
    "five thousand angles": ("<a " * 5000, "stands in the text 5,000 times"),
    "a book": ("word " * 20_000, "the text has 100,000 letters"),
}


@pytest.mark.parametrize("name", PROSE)
def test_a_text_that_no_card_could_show_is_refused_at_its_place(folder: Path, name: str) -> None:
    """Before the reader of Markdown spends minutes on it or gives up."""
    text, said = PROSE[name]
    written = text.replace("\n", "\\n")
    rewritten(folder, r"^name: (.*)$", f'name: Small Lamp\nbriefing: {{ emergencies: "{written}" }}')
    begun = time.process_time()
    message = refused(folder)

    assert re.search(said, message)
    assert re.match(r"mission\.yaml:\d+:\d+: briefing\.emergencies: ", message)
    assert time.process_time() - begun < SOON_S


def test_values_and_keys_of_five_thousand_letters_are_refused_in_few_words(folder: Path) -> None:
    """The message shows how long they are, not what they say."""
    rewritten(folder, r"^name: .*$", f"name: {'n' * 5000}")
    long_name = refused(folder)
    rewritten(folder, r"^name: .*$", f"name: Small Lamp\n{'k' * 201}: 1")
    long_key = refused(folder)
    rewritten(folder, r"^k+: 1$", f"times: {{ zone: {'UTC ' * 2000} }}")
    long_form = refused(folder)

    assert "name: the text has 5,000 letters" in long_name
    assert "a key has 201 letters" in long_key
    assert all(len(line) < 2_200 for message in (long_name, long_key, long_form) for line in message.splitlines())


# --- what is no file ----------------------------------------------------------------------------------------------------


def test_what_is_no_plain_file_is_said_and_not_waited_for(folder: Path) -> None:
    """A pipe has no end to wait for, a device none at all; a loop of links leads nowhere; a link may lead outside."""
    os.mkfifo(folder / "pipe.yaml")
    (folder / "device.yaml").symlink_to("/dev/zero")
    (folder / "loop.yaml").symlink_to("loop.yaml")
    (folder / "folder.yaml").mkdir()
    (folder / "nowhere.yaml").symlink_to("gone")
    begun = time.process_time()

    assert "this is neither a file nor a folder" in refused(folder, name="pipe.yaml")
    assert "lies outside the specification folder" in refused(folder, name="device.yaml")
    assert "this is a folder, not a file" in refused(folder, name="folder.yaml")
    assert "no such file" in refused(folder, name="nowhere.yaml")
    assert refused(folder, name="loop.yaml")
    assert missions_in(folder) == (folder / "mission.yaml",)
    assert time.process_time() - begun < SOON_S


@pytest.mark.parametrize("name", ["pipe", "device", "loop", "folder", "large"])
def test_a_reference_to_what_is_no_plain_file_is_refused_at_its_line(folder: Path, name: str) -> None:
    """The place is the line of the mission that names it."""
    os.mkfifo(folder / "pipe")
    (folder / "device").symlink_to("/dev/zero")
    (folder / "loop").symlink_to("loop")
    (folder / "folder").mkdir()
    with (folder / "large").open("wb") as stream:
        stream.truncate(2_000_000_000)  # holds no block on the disk
    rewritten(folder, r"^rules: .*$", f"rules: {name}")

    assert re.match(r"(mission\.yaml:\d+:\d+|large): ", refused(folder))
