"""What was asked differently: written values of two specifications by path, moved list items found again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from typing import Any

from briefgen.comparison.plan_data import Written
from briefgen.frozen import dataclass
from briefgen.model.comparison import Asked

Path = tuple[str | int, ...]
Leaf = tuple[int, int, str]  # line, column, text
ALIKE = 0.3  # part of the values that two list items share to be one item, changed


@dataclass(frozen=True)
class _Change:
    path: Path
    before: Leaf | None
    now: Leaf | None


def asked_differently(before: Mapping[str, Written], now: Mapping[str, Written]) -> tuple[Asked, ...]:
    """Return what two specifications ask differently, in the order of files and lines; what one line says for many, once."""
    found: list[Asked] = []
    for file in sorted({*before, *now}):
        changes = list(_changes((), _tree(before.get(file, {})), _tree(now.get(file, {}))))
        found += _once_a_line(file, changes)
    return tuple(found)


def _tree(values: Written) -> Any:
    """Return the values of a file as nested groups, lists as groups by number; a value is its line, column and text."""
    tree: dict[Any, Any] = {}
    for path, value in values.items():
        group = tree
        for part in path[:-1]:
            group = group.setdefault(part, {})
        group[path[-1]] = value
    return tree


def _changes(path: Path, before: Any, now: Any) -> Iterator[_Change]:
    old, new = (one if isinstance(one, tuple) else None for one in (before, now))
    if path and isinstance(path[-1], int) and (before is None or now is None):
        yield _Change(path, _whole(before), _whole(now))
        return
    if (old or ("",))[-1] != (new or ("",))[-1]:
        yield _Change(path, old, new)
    left, right = (one if isinstance(one, dict) else {} for one in (before, now))
    keys = list(dict.fromkeys((*right, *left)))
    if keys and all(isinstance(key, int) for key in keys):
        for number, was, is_now in _paired(list(left.values()), list(right.values())):
            yield from _changes((*path, number), was, is_now)
        return
    for key in keys:
        yield from _changes((*path, key), left.get(key), right.get(key))


def _paired(before: Sequence[Any], now: Sequence[Any]) -> Iterator[tuple[int, Any, Any]]:
    """Yield list items side by side, each by its number: one that changed with what it was, and those that came or went."""
    ways = SequenceMatcher(None, [_signature(one) for one in before], [_signature(one) for one in now], autojunk=False)
    for way, a, b, c, d in ways.get_opcodes():
        if way == "equal":
            continue
        left = list(range(a, b))
        for number in range(c, d):
            likeness = {old: _likeness(before[old], now[number]) for old in left}
            nearest = max(left, key=likeness.__getitem__, default=None)
            if nearest is not None and likeness[nearest] < ALIKE:
                nearest = left[0] if b - a == d - c else None  # as many as before: each took the place of one
            if nearest is not None:
                left.remove(nearest)
                yield number, before[nearest], now[number]
            else:
                yield number, None, now[number]
        for number in left:
            yield number, before[number], None


def _whole(item: Any) -> Leaf | None:
    """Return a list item as one value: all that stands in it, at its first line."""
    if item is None or isinstance(item, tuple):
        return item
    leaves = list(_leaves((), item))
    line, column, _ = min(_places(item))
    return line, column, ", ".join(f"{_path_words(path)} {text}".strip() for path, text in leaves)


def _places(item: Any) -> Iterator[Leaf]:
    if isinstance(item, tuple):
        yield item
        return
    for value in item.values():
        yield from _places(value)


def _signature(item: Any) -> frozenset[tuple[Path, str]]:
    return frozenset(_leaves((), item))


def _leaves(path: Path, item: Any) -> Iterator[tuple[Path, str]]:
    if isinstance(item, tuple):
        yield path, item[-1]
        return
    for key, value in item.items():
        yield from _leaves((*path, key), value)


def _likeness(one: Any, other: Any) -> float:
    a, b = _signature(one), _signature(other)
    return len(a & b) / max(len(a | b), 1)


def _once_a_line(file: str, changes: Sequence[_Change]) -> list[Asked]:
    """Return changes with those of one written place told once: a value that others refer to changes in all of them."""
    told: dict[object, list[_Change]] = {}
    for one in changes:
        told.setdefault((one.before, one.now), []).append(one)
    found = []
    for same in told.values():
        first = same[0]
        line = (first.now or first.before or (0,))[0]
        found.append((line, Asked(
            f"{file}:{line}", _path_words(first.path), (first.before or ("",))[-1], (first.now or ("",))[-1], len(same) - 1,
        )))  # fmt: skip
    return [one for _, one in sorted(found, key=lambda pair: pair[0])]


def _path_words(path: Path) -> str:
    """Return a path as messages write it: ``route.legs[2].height``."""
    parts = [f"[{part}]" if isinstance(part, int) else f".{part}" for part in path]
    return "".join(parts).lstrip(".")
