"""Specifications spoilt by a seeded hand: one scalar of one file of a demo folder replaced by something else."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import yaml

# What people and accidents put into a field: nothing, too much, another kind, another unit, signs that mean something.
VALUES = (
    "", "~", "null", "true", "0", "-1", "1e309", ".nan", "00012", "9" * 40, '""', '" "', "[]", "{}", "[1, 2]", "{ a: b }", "- x",
    "*nothing", "&a *a", "!!python/object:os.system x", "'", '"', "|", ">", "%", "@", "`", "? x", "<<", "12 parsecs",
    "-5 ft", "5,5 ft", "5 000 ft", "1,000,000,000 ft", "0 ft", "0 lb", "-1 lb", "1e5 lb", "99999 h", "0 min", "24:00", "25:61", "2027-02-30",
    "2027-02-23 13:30", "9999-12-31 23:59", "0001-01-01 00:00", "360 deg", "-400 degC", "1e-300 kg", "999 kt", "NaN kt", "FL999", "FL0",
    "90 00 00N 180 00 00W", "91N 181E", "{crew.captain.name}", "{no.such}", "{{", "}}", "../../etc/passwd", "/dev/zero", "con", "a/b",
    "name with 'quote", "<b>", "=1+1", "\u706f", "\u0301", '"\\u202e"', '"\\0"', "x" * 5000, "[" * 60, "  ", "\t", "#", "a: b: c", "none",
    "long range", "place it", "LX01", "captain", "variable / 400 kt", "100 / 0 kt gusting 5 kt", "1/0",
)  # fmt: skip


@dataclass(frozen=True)
class Scalar:
    """One written value: its path with the numbers of list items left out, and where it stands in the text."""

    path: str
    start: int
    end: int


LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@lru_cache(maxsize=64)
def scalars(text: str) -> tuple[Scalar, ...]:
    """Return every written value of a file in order."""
    return tuple(_values(iter(yaml.parse(text, Loader=LOADER)), ""))


def _values(events: Iterator[yaml.Event], path: str) -> Iterator[Scalar]:
    """Yield the values of one group, list or document, up to its end."""
    key: str | None = None
    for event in events:
        if isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent | yaml.DocumentEndEvent):
            return
        if isinstance(event, yaml.ScalarEvent):
            if path.endswith("{}") and key is None:
                key = event.value
                continue
            yield Scalar(f"{path}.{key}" if key else path, event.start_mark.index, event.end_mark.index)
        elif isinstance(event, yaml.MappingStartEvent):
            yield from _values(events, f"{path}.{key or ''}{{}}")
        elif isinstance(event, yaml.SequenceStartEvent):
            yield from _values(events, f"{path}.{key or ''}[]")
        else:
            continue
        key = None


def spoilt(text: str, place: Scalar, chance: random.Random) -> str:
    """Return the text with one value replaced, taken away, doubled, or exchanged for another of the file."""
    own = text[place.start : place.end]
    other = chance.choice(scalars(text))
    new = chance.choice(
        [*VALUES, text[other.start : other.end], own + own, own[:-1], f"-{own}", own[::-1], own.upper(), f'"{own}"']
    )
    return text[: place.start] + new + text[place.end :]


def fields(folder: Path) -> dict[tuple[str, str], list[tuple[Path, Scalar]]]:
    """Return every field of every file of a folder by kind of file and path, with all places where it is written."""
    found: dict[tuple[str, str], list[tuple[Path, Scalar]]] = {}
    for path in sorted(folder.rglob("*.yaml")):
        text = path.read_text(encoding="utf-8")
        kind = text.partition("briefgen: ")[2].partition("/")[0]
        for place in scalars(text):
            found.setdefault((kind, place.path), []).append((path, place))
    return found
