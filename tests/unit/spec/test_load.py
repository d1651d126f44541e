"""YAML text to a tree: YAML 1.2 core meaning, nothing guessed, every place kept."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from briefgen.errors import SpecError
from briefgen.spec.tree import load
from briefgen.spec.tree.load import Document, Mark, load_bytes, load_file


def loaded(text: str) -> Document:
    return load_bytes(text.encode(), Path("x.yaml"), "x.yaml")


# YAML 1.2.2 specification, section 10.3.2 (core schema tag resolution), against what YAML 1.1 made of the same words.
# The last six are stricter than 1.2 core, which reads 010 as 10, 0o17 and 0x1F as numbers: they stay text here.
@pytest.mark.parametrize(
    ("written", "meaning"),
    [
        ("12:30", "12:30"),
        ("1:30:00", "1:30:00"),
        ("NO", "NO"),
        ("yes", "yes"),
        ("off", "off"),
        ("1_000", "1_000"),
        ("2027-02-18", "2027-02-18"),
        ("2027-02-18 05:20", "2027-02-18 05:20"),
        ("=", "="),
        ("true", True),
        ("False", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("12", 12),
        ("-7", -7),
        ("+3", 3),
        ("1.50", 1.5),
        ("-.5", -0.5),
        ("2.", 2.0),
        ("1e3", 1000.0),
        ("'12'", "12"),
        ('"true"', "true"),
        ("010", "010"),
        ("0730", "0730"),
        ("-08", "-08"),
        ("0o17", "0o17"),
        ("0x1F", "0x1F"),
        ("01.5", "01.5"),
    ],
)
def test_plain_words_mean_what_yaml_1_2_says_or_stay_text(written: str, meaning: object) -> None:
    """A word is a number, a truth value, nothing, or the text its author typed."""
    data: Any = loaded(f"a: {written}\n").data

    assert data == {"a": meaning}
    assert type(data["a"]) is type(meaning)


def test_every_value_keeps_its_place_and_text() -> None:
    """Line and column count from 1, keys have places of their own, the text is as written."""
    document = loaded("a: 1.50\nb:\n  - c: 2,000 lb\n")

    assert document.values[("b", 0, "c")] == Mark(3, 8)
    assert document.keys[("b", 0, "c")] == Mark(3, 5)
    assert document.texts[("a",)] == "1.50"
    assert document.mark(("b", 0, "nothing")) == Mark(3, 5)


def test_alias_repeats_a_whole_value() -> None:
    """An alias stands for its anchor, and is placed where the anchor was written."""
    document = loaded("a: &x { b: 1 }\nc: *x\n")

    assert document.data == {"a": {"b": 1}, "c": {"b": 1}}
    assert document.values[("c", "b")] == Mark(1, 12)


def test_comma_with_a_space_separates_numbers() -> None:
    """Only a comma right between figures is taken for one that was meant for thousands."""
    assert loaded("a: [1, 200, 300]\nb: {x: 1, 200 ft: 3}\n").data == {"a": [1, 200, 300], "b": {"x": 1, "200 ft": 3}}


def test_all_faults_of_a_text_come_together() -> None:
    """Two duplicate keys and a tag are three faults of one run, in the order of their lines."""
    with pytest.raises(SpecError) as caught:
        loaded("a: 1\na: 2\nb: !x y\nc: 1\nc: 2\n")

    assert [fault.line for fault in caught.value.faults] == [2, 3, 5]


def test_byte_order_mark_is_passed_over() -> None:
    """A file saved with a mark in front of its first key is read."""
    assert load_bytes(b"\xef\xbb\xbfa: 1\n", Path("x.yaml"), "x.yaml").data == {"a": 1}


def test_too_large_file_is_refused_unread(tmp_path: Path) -> None:
    """One byte over the limit is enough, and no more than that is read."""
    path = tmp_path / "x.yaml"
    path.write_bytes(b"#" * (load.MAX_BYTES + 1))

    with pytest.raises(SpecError, match="larger than 1,000,000 bytes"):
        load_file(path, "x.yaml")


@pytest.mark.parametrize(
    ("name", "problem"), [("missing.yaml", "there is no such file"), (".", "this is a folder, not a file")]
)
def test_unreadable_file_is_a_fault(tmp_path: Path, name: str, problem: str) -> None:
    """What the operating system refuses is told in its place."""
    with pytest.raises(SpecError, match=problem):
        load_file(tmp_path / name, name)


def test_pure_python_parser_gives_the_same_tree(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where PyYAML was built without its C library the meaning and the places are the same."""
    text = "a: [1, 'x', {b: 12:30}]\nc: |\n  one\n  two\nd: &n 0730\ne: *n\n"
    quick = loaded(text)
    monkeypatch.setattr(load, "_LOADER", yaml.SafeLoader)
    slow = loaded(text)

    assert (slow.data, slow.values, slow.keys, slow.texts) == (quick.data, quick.values, quick.keys, quick.texts)


@pytest.mark.parametrize(
    ("name", "problem"),
    [
        ("no\0name.yaml", "the file cannot be read: the name is no file name"),
        ("x" * 300 + ".yaml", "the file cannot be read: file name too long"),
        ("nothing.yaml", "there is no such file"),
        (".", "this is a folder, not a file"),
    ],
)
def test_a_file_that_cannot_be_read_is_named_with_the_reason(tmp_path: Path, name: str, problem: str) -> None:
    """What the system says, in words, and what was looked for."""
    with pytest.raises(SpecError, match=problem):
        load_file(tmp_path / name, name)


def test_a_key_that_is_missing_is_told_at_its_place() -> None:
    with pytest.raises(SpecError, match=r"x.yaml:2:1: a key is missing before ':'"):
        loaded("a: 1\n'': 2\n")
