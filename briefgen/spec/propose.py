"""A change to a specification file as a patch for a person to accept; the file itself is left alone."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from pathlib import Path

from briefgen.errors import BriefgenError
from briefgen.spec.tree.load import KeyPath, load_file

_NUMBER = re.compile(r"[-+]?\d[\d,]*(?:\.(\d+))?")
DIGITS_MORE = 1  # than the number in the file has: the change is often in its last digit


def patch_of(path: Path, changes: Sequence[tuple[KeyPath, float, str]]) -> str:
    """Return a unified diff that multiplies numbers of a file, each with a line above it that says on what the change rests.

    Raises:
        BriefgenError: The file does not write such a number.
    """
    document = load_file(path, path.name)
    old = path.read_text(encoding="utf-8").splitlines(keepends=True)
    new = list(old)
    for key, ratio, why in sorted(changes, key=lambda change: document.mark(change[0]).line, reverse=True):
        if key not in document.values:
            raise BriefgenError(f"the file does not write {'.'.join(map(str, key))}", where=str(path))
        mark = document.values[key]
        line = new[mark.line - 1]
        number = _NUMBER.search(line, mark.column - 1)
        if number is None:
            raise BriefgenError(f"{'.'.join(map(str, key))} is not a number", where=f"{path}:{mark.line}:{mark.column}")
        value = float(number[0].replace(",", "")) * ratio
        changed = f"{value:.{len(number[1] or '') + DIGITS_MORE}f}"
        indent = line[: len(line) - len(line.lstrip())]
        new[mark.line - 1 : mark.line] = [
            f"{indent}# {why}; was {number[0]}\n",
            line[: number.start()] + changed + line[number.end() :],
        ]
    name = path.as_posix()
    return "".join(difflib.unified_diff(old, new, f"a/{name}", f"b/{name}", n=2))
