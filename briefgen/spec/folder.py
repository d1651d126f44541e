"""Which files of a folder are missions: told by their first line, without reading them."""

from __future__ import annotations

import re
from pathlib import Path

_HEAD = re.compile(r"briefgen:\s{0,9}[\"']?mission/")
_HEAD_BYTES = 4096  # the head stands above everything but comments


def missions_in(folder: Path) -> tuple[Path, ...]:
    """Return the mission files of a folder, in the order of their names."""
    return tuple(path for path in sorted(folder.glob("*.yaml")) if path.is_file() and _is_mission(path))


def _is_mission(path: Path) -> bool:
    with path.open("rb") as stream:
        head = stream.read(_HEAD_BYTES).decode("utf-8-sig", errors="replace")
    lines = (line.strip() for line in head.splitlines())
    first = next((line for line in lines if line and not line.startswith("#")), "")
    return _HEAD.match(first) is not None
