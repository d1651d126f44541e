"""Written values replaced in memory: a file as it would be if somebody had changed a few of its values.

A change is made before the meaning of the file is read, so that every check of a written file holds for it as well.
"""

from __future__ import annotations

import difflib
import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from briefgen.errors import SpecError, UsageError
from briefgen.model.bench import Change
from briefgen.spec.tree.load import Data, Document, KeyPath, Mark, load_bytes
from briefgen.spec.tree.shape import path_text

APPENDED = "[+]"  # one more item of a list
NEAR_SHOWN = 3


def known_paths(document: Document, kind: str) -> dict[str, KeyPath]:
    """Return every value and group of a file by the path a change names it by.

    A mission's paths stand alone (``route.legs[2].height``); others carry their kind: ``aircraft:speeds.climb``, and
    ``places:LX01.elevation`` with the identifier at once.
    """
    prefix = "" if kind == "mission" else f"{kind}:"
    return {prefix + path_text(path[1:] if kind == "places" and path[:1] == ("places",) and len(path) > 1 else path): path
            for path in document.values if path}  # fmt: skip


def place_of(change: Change, document: Document, kind: str) -> KeyPath | None:
    """Return where in a file a change is made, None where it is none of this file.

    A key that is not written yet may be given in a group that is: the schema judges whether it belongs there.
    """
    paths = known_paths(document, kind)
    if change.path in paths:
        return paths[change.path]
    if change.path.endswith(APPENDED):
        path = paths.get(change.path.removesuffix(APPENDED))
        inside = _at(document.data, path) if path is not None else None
        return (*path, len(inside)) if path is not None and isinstance(inside, list) else None
    group, dot, key = change.path.rpartition(".")
    if not dot and kind == "mission" and ":" not in change.path and not change.path.endswith("]"):
        return (change.path,)
    path = paths.get(group)
    return (*path, key) if path is not None and isinstance(_at(document.data, path), dict) else None


def _at(data: Data, path: KeyPath) -> Data:
    for part in path:
        data = data[part]  # type: ignore[index]
    return data


def changed(document: Document, kind: str, changes: Iterable[Change]) -> tuple[Document, list[Change]]:
    """Return a file with the changes that are of it, and those.

    Raises:
        UsageError: A new value cannot be read.
    """
    made = []
    for change in changes:
        path = place_of(change, document, kind)
        if path is not None:
            document = _with(document, path, change)
            made.append(change)
    return document, made


def _with(document: Document, path: KeyPath, change: Change) -> Document:
    """Return a file with one value replaced; the new value stands where the old one, or the group around it, was written."""
    try:
        given = load_bytes(change.text.encode(), Path(change.path), change.path)
    except SpecError as error:
        raise UsageError(
            f"the value for {change.path} cannot be read: {error.faults[0].problem}", where=change.text,
            expected="a value as it would stand in the file", hint=error.faults[0].hint,
        ) from error  # fmt: skip
    mark = document.mark(path)
    deep = len(path)
    values = {one: at for one, at in document.values.items() if one[:deep] != path}
    texts = {one: text for one, text in document.texts.items() if one[:deep] != path}
    keys = {one: at for one, at in document.keys.items() if one[:deep] != path}
    values |= {(*path, *one): Mark(*mark) for one in given.values}
    texts |= {(*path, *one): text for one, text in given.texts.items()}
    keys |= {(*path, *one): Mark(*mark) for one in given.keys}
    if path in document.keys:
        keys[path] = document.keys[path]
    digest = hashlib.sha256(f"{document.digest} {change.path} {change.text}".encode()).hexdigest()
    return replace(
        document, data=put(document.data, path, given.data), values=values, texts=texts, keys=keys, digest=digest
    )


def put(data: Data, path: KeyPath, new: Data) -> Data:
    """Return a copy of a tree with one value replaced or added."""
    if not path:
        return new
    first, rest = path[0], path[1:]
    if isinstance(data, list):
        assert isinstance(first, int)
        return [*data[:first], put(data[first] if first < len(data) else None, rest, new), *data[first + 1 :]]
    assert isinstance(data, dict)
    assert isinstance(first, str)
    return data | {first: put(data.get(first), rest, new)}


def unknown_path(change: Change, known: Sequence[str]) -> UsageError:
    """Return the error of a change whose path leads nowhere, with the paths nearest to it."""
    near = difflib.get_close_matches(change.path, known, n=NEAR_SHOWN, cutoff=0.5)
    last = change.path.rpartition(".")[2]
    near += [one for one in known if one.rpartition(".")[2] == last and one not in near][: NEAR_SHOWN - len(near)]
    return UsageError(
        f"nothing is written at '{change.path}'", where="--set",
        expected="the path of a written value, such as route.legs[0].altitude or aircraft:speeds.climb",
        hint=f"did you mean {' or '.join(near)}?" if near else "",
    )  # fmt: skip
