"""Text of a specification file to a checked tree that knows where every word was written.

YAML is read from PyYAML's event stream with the meaning of YAML 1.2 core, and stricter: what looks like a time, a date,
a number with leading zeros or a country code stays the text its author typed, and everything that could be read in two
ways (duplicate keys, tags, merge keys, a comma that splits a number) is refused with its place.
"""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from briefgen.errors import Fault, SpecError, unseen
from briefgen.spec.tree.syntax import syntax_fault

KeyPath = tuple[str | int, ...]
Scalar = str | int | float | bool | None
Data = Scalar | list["Data"] | dict[str, "Data"]

MAX_BYTES = 1_000_000  # twenty times the largest aircraft file; a spec beyond it is a mistake or an attack
MAX_NODES = 50_000  # counted after aliases are followed, so that aliases of aliases cannot explode
MAX_DEPTH = 40
LONGEST_KEY = 200
FAULTS_SHOWN = 20  # of one kind in one file: a binary file is full of them

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_INTEGER = re.compile(r"[-+]?(0|[1-9][0-9]*)", re.ASCII)
_REAL = re.compile(r"[-+]?(0|[1-9][0-9]*)?(\.[0-9]+|[0-9]\.)([eE][-+]?[0-9]+)?|[-+]?(0|[1-9][0-9]*)[eE][-+]?[0-9]+")
_NOT_FINITE = re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)")
_NUMBER_BEGINS = frozenset("-+.0123456789")
_WORDS: dict[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}


class Mark(NamedTuple):
    """Line and column of a word in its file, counted from 1."""

    line: int
    column: int


@dataclass(frozen=True)
class Document:
    """One specification file: plain data, and for every path into it the place and the text as written."""

    file: str
    path: Path
    data: Data
    values: Mapping[KeyPath, Mark]
    keys: Mapping[KeyPath, Mark]
    texts: Mapping[KeyPath, str]
    digest: str = ""  # SHA-256 of the bytes of the file
    origins: tuple[tuple[KeyPath, KeyPath], ...] = ()  # of a part of a file: paths in it, and what they are in the file

    def written_path(self, path: KeyPath) -> KeyPath:
        """Return a path as it is in the file itself, for messages."""
        for here, there in self.origins:
            if path[: len(here)] == here:
                return (*there, *path[len(here) :])
        return path

    def mark(self, path: KeyPath) -> Mark:
        """Return where the value at a path was written, or the nearest enclosing value that was."""
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, Mark(1, 1))

    def fault(self, path: KeyPath, problem: str, expected: str = "", hint: str = "", *, at_key: bool = False) -> Fault:
        """Return a fault placed at the value of a path, or at its key."""
        mark = self.keys.get(path) if at_key else None
        mark = mark or self.mark(path)
        return Fault(self.file, mark.line, mark.column, problem, expected, hint)


def load_file(path: Path, shown_as: str) -> Document:
    """Return the tree of a specification file; raise SpecError with every fault of its text."""
    try:
        if (
            path.exists() and not path.is_file() and not path.is_dir()
        ):  # a pipe would be waited for, a device has no end
            raise _whole_file(shown_as, "this is neither a file nor a folder", "a YAML file")
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except IsADirectoryError as error:
        raise _whole_file(shown_as, "this is a folder, not a file", "a YAML file") from error
    except FileNotFoundError as error:
        raise _whole_file(shown_as, "there is no such file", "an existing YAML file", "check the name") from error
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or "the name is no file name").lower()
        raise _whole_file(shown_as, f"the file cannot be read: {reason}", "a readable YAML file") from error
    return load_bytes(raw, path, shown_as)


def load_bytes(raw: bytes, path: Path, shown_as: str) -> Document:
    """Return the tree of a specification given as the bytes of its file."""
    if len(raw) > MAX_BYTES:
        raise _whole_file(
            shown_as,
            f"the file is larger than {MAX_BYTES:,} bytes",
            f"a specification of at most {MAX_BYTES:,} bytes",
            "put long tables into files of their own",
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - raw.rfind(b"\n", 0, error.start)
        problem = f"the file is not UTF-8 text: byte 0x{raw[error.start]:02x} cannot be read"
        fault = Fault(shown_as, line, column, problem, "UTF-8 text", "save the file with the encoding UTF-8")
        raise SpecError((fault,)) from error
    composer = _Composer(shown_as)
    if places := unseen(text.replace("\r\n", "\n")):
        raise SpecError(
            tuple(_unseen_fault(text.replace("\r\n", "\n"), place, shown_as) for place in places[:FAULTS_SHOWN])
        )
    try:
        data = composer.compose(text)
    except yaml.YAMLError as error:
        raise SpecError((*composer.faults, syntax_fault(error, text, shown_as))) from error
    if composer.faults:
        raise SpecError(tuple(composer.faults))
    digest = hashlib.sha256(raw).hexdigest()
    return Document(shown_as, path, data, composer.values, composer.keys, composer.texts, digest)


def _unseen_fault(text: str, place: int, file: str) -> Fault:
    """Return the fault of a character that steers a text; what it does would be seen nowhere."""
    line = text.count("\n", 0, place) + 1
    return Fault(file, line, place - text.rfind("\n", 0, place), *unseen_problem(text[place]))


def unseen_problem(sign: str) -> tuple[str, str, str]:
    """Return problem, expected and hint for a character that is not seen."""
    kind = "control" if ord(sign) < 0xA0 else "invisible or direction"
    return f"the {kind} character U+{ord(sign):04X} is not allowed", "printable text", "remove the character"


def _whole_file(file: str, problem: str, expected: str, hint: str = "") -> SpecError:
    return SpecError((Fault(file, 0, 0, problem, expected, hint),))


@dataclass(slots=True)
class _Node:
    """A composed value before aliases are expanded into places of their own."""

    mark: Mark
    scalar: Scalar = None
    text: str = ""
    items: list[_Node] | None = None
    pairs: list[tuple[str, Mark, _Node]] | None = None
    open: bool = False


class _RefusedError(Exception):
    """The text is refused as a whole; the reason is already among the faults."""


@dataclass
class _Composer:
    """Builds the tree from events, gathering every fault it can survive."""

    file: str
    faults: list[Fault] = field(default_factory=list)
    values: dict[KeyPath, Mark] = field(default_factory=dict)
    keys: dict[KeyPath, Mark] = field(default_factory=dict)
    texts: dict[KeyPath, str] = field(default_factory=dict)
    anchors: dict[str, _Node] = field(default_factory=dict)

    def compose(self, text: str) -> Data:
        events: Iterator[yaml.Event] = iter(yaml.parse(text, Loader=_LOADER))
        root: _Node | None = None
        try:
            for event in events:
                if isinstance(event, yaml.DocumentStartEvent) and root is not None:
                    self._fault(
                        event, "a second document starts here", "one document in a file", "remove the line '---'"
                    )
                    raise _RefusedError
                if isinstance(event, yaml.NodeEvent):
                    root = self._node(event, events, 1)
            if root is None or (root.items is None and root.pairs is None and root.scalar is None):
                self.faults.append(Fault(self.file, 0, 0, "the file is empty", "a specification in YAML"))
                raise _RefusedError
            if self.faults:
                raise _RefusedError
            return self._expand(root, (), 1)
        except _RefusedError:
            return None

    def _fault(self, event: yaml.Event, problem: str, expected: str, hint: str = "") -> None:
        mark = _mark(event)
        self.faults.append(Fault(self.file, mark.line, mark.column, problem, expected, hint))

    def _node(self, event: yaml.NodeEvent, events: Iterator[yaml.Event], depth: int) -> _Node:
        if type(event) is yaml.ScalarEvent and event.tag is None and event.anchor is None and depth <= MAX_DEPTH:
            text = event.value  # nearly every node: kept short
            if event.style == '"' and unseen(text):
                self._escaped(event)
            return _Node(_mark(event), text if event.style else self._scalar(event), text)
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event)
        if depth > MAX_DEPTH:
            self._fault(event, f"values are nested more than {MAX_DEPTH} deep", f"at most {MAX_DEPTH} levels")
            raise _RefusedError
        if getattr(event, "tag", None) is not None:
            expected = "plain values without '!' tags"
            self._fault(event, f"the tag '{_shown_tag(event)}' is not allowed", expected, "remove the tag")
        node = _Node(_mark(event), open=True)
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        if isinstance(event, yaml.ScalarEvent):
            if event.style == '"' and unseen(event.value):
                self._escaped(event)
            node.text = event.value
            node.scalar = event.value if event.style else self._scalar(event)
        elif isinstance(event, yaml.SequenceStartEvent):
            node.items = self._items(event, events, depth)
        elif isinstance(event, yaml.MappingStartEvent):
            node.pairs = self._pairs(event, events, depth)
        node.open = False
        return node

    def _escaped(self, event: yaml.ScalarEvent) -> None:
        """Report a character that stands in the file only as an escape, where no one sees what it does."""
        self._fault(event, *unseen_problem(event.value[unseen(event.value)[0]]))

    def _alias(self, event: yaml.AliasEvent) -> _Node:
        node = self.anchors.get(str(event.anchor))
        if node is None:
            hint = "put a text that begins with '*' in quotes"
            self._fault(event, f"'*{event.anchor}' refers to nothing", f"an anchor '&{event.anchor}' above it", hint)
            return _Node(_mark(event))
        if node.open:
            self._fault(event, f"'*{event.anchor}' refers to itself", "an anchor outside the value that uses it")
            raise _RefusedError
        return node

    def _scalar(self, event: yaml.ScalarEvent) -> Scalar:
        text: str = event.value
        if text in _WORDS:
            return _WORDS[text]
        if text[0] not in _NUMBER_BEGINS:
            return text
        if _NOT_FINITE.fullmatch(text):
            self._fault(event, f"'{text}' is not a number anyone can fly", "a finite number")
        if _INTEGER.fullmatch(text) and len(text) <= 18:
            return int(text)
        if _REAL.fullmatch(text):
            number = float(text)
            if not math.isfinite(number):
                self._fault(event, f"the number {text} is too large", "a finite number")
                return 0.0
            return number
        return text

    def _items(self, event: yaml.SequenceStartEvent, events: Iterator[yaml.Event], depth: int) -> list[_Node]:
        items: list[_Node] = []
        before: yaml.Event | None = None
        for inner in events:
            if isinstance(inner, yaml.SequenceEndEvent):
                break
            if event.flow_style:
                self._split_number(before, inner)
            assert isinstance(inner, yaml.NodeEvent)
            items.append(self._node(inner, events, depth + 1))
            before = inner
        return items

    def _pairs(
        self, event: yaml.MappingStartEvent, events: Iterator[yaml.Event], depth: int
    ) -> list[tuple[str, Mark, _Node]]:
        pairs: list[tuple[str, Mark, _Node]] = []
        first_at: dict[str, Mark] = {}
        before: yaml.Event | None = None
        for key_event in events:
            if isinstance(key_event, yaml.MappingEndEvent):
                break
            assert isinstance(key_event, yaml.NodeEvent)
            split = bool(event.flow_style) and self._split_number(before, key_event)
            key, key_mark = self._key(key_event, events, depth)
            value_event = next(events)
            assert isinstance(value_event, yaml.NodeEvent)
            value = self._node(value_event, events, depth + 1)
            before = value_event
            if key is None or split:
                continue
            if key in first_at:
                place = f"line {first_at[key].line}"
                problem = f"'{key}' is given twice, first on {place}"
                self._fault(key_event, problem, "each key once", "remove one of the two")
                continue
            first_at[key] = key_mark
            pairs.append((key, first_at[key], value))
        return pairs

    def _key(self, event: yaml.NodeEvent, events: Iterator[yaml.Event], depth: int) -> tuple[str | None, Mark]:
        node = self._node(event, events, depth + 1)
        if not isinstance(event, yaml.ScalarEvent):
            self._fault(event, "a key must be a plain word or words", "text before the ':'")
            return None, node.mark
        if event.value == "<<" and not event.style:
            hint = "write the keys out; a whole value may be repeated with '&name' and '*name'"
            self._fault(event, "the merge key '<<' is not allowed", "each key written out", hint)
            return None, node.mark
        if not node.text:
            self._fault(event, "a key is missing before ':'", "text before the ':'")
            return None, node.mark
        if len(node.text) > LONGEST_KEY:
            self._fault(event, f"a key has {len(node.text):,} letters", f"at most {LONGEST_KEY}")
            return None, node.mark
        return node.text, node.mark

    def _split_number(self, before: yaml.Event | None, event: yaml.Event) -> bool:
        """Report a thousands comma that split a number inside braces or brackets; return whether it did."""
        if not (isinstance(before, yaml.ScalarEvent) and isinstance(event, yaml.ScalarEvent)):
            return False
        if before.style or event.style or not re.search(r"\d\Z", before.value) or not re.match(r"\d{3}\b", event.value):
            return False
        end, start = _place(before.end_mark), _place(event.start_mark)
        if end.line != start.line or start.column != end.column + 1:
            return False
        whole = f"{before.value},{event.value}"
        self._fault(
            before,
            f"the comma splits '{whole}' in two inside braces or brackets",
            f'the value in quotes: "{whole}"',
            "inside { } and [ ] a comma always separates; put a space after a comma that is meant to",
        )
        return True

    def _expand(self, node: _Node, path: KeyPath, depth: int) -> Data:
        """Return plain data and record the place of every value; aliases count each time they are used."""
        if len(self.values) >= MAX_NODES or depth > MAX_DEPTH:
            what = f"more than {MAX_NODES:,} values" if depth <= MAX_DEPTH else f"values more than {MAX_DEPTH} deep"
            hint = "do not let aliases repeat aliases"
            self.faults.append(
                Fault(self.file, 0, 0, f"the file holds {what} once its aliases are followed", hint=hint)
            )
            raise _RefusedError
        self.values[path] = node.mark
        if node.items is not None:
            return [self._expand(item, (*path, index), depth + 1) for index, item in enumerate(node.items)]
        if node.pairs is None:
            self.texts[path] = node.text
            return node.scalar
        mapping: dict[str, Data] = {}
        for key, key_mark, value in node.pairs:
            self.keys[(*path, key)] = key_mark
            mapping[key] = self._expand(value, (*path, key), depth + 1)
        return mapping


def _mark(event: yaml.Event) -> Mark:
    mark: Any = event.start_mark
    return Mark(mark.line + 1, mark.column + 1)


def _place(mark: Any) -> Mark:
    return Mark(mark.line + 1, mark.column + 1)


def _shown_tag(event: yaml.Event) -> str:
    tag = str(getattr(event, "tag", ""))
    return tag.replace("tag:yaml.org,2002:", "!!")
