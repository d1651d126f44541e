"""Draw the map of rooms in DEVELOPERS.md anew from the law of imports; run it when a room is added, moved or renamed.

    python tests/builders/map_of_rooms.py

A test compares the two, so the guide cannot drift from the law.
"""

from __future__ import annotations

import ast
import importlib.util
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
GUIDE, LAW = ROOT / "DEVELOPERS.md", ROOT / "tests" / "test_architecture.py"
ROWS = re.compile(r"(?<=\|---\|---\|---\|\n)(?:\| `[^\n]+\n)+")


def law() -> dict[str, set[str]]:
    """Return the rooms and what each may import."""
    spec = importlib.util.spec_from_file_location("law", LAW)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return dict(module.MAY_IMPORT)


def sentence(room: str) -> str:
    """Return what stands on the door of a room."""
    path = ROOT / "briefgen" / room.replace(".", "/")
    door = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
    return (ast.get_docstring(ast.parse(door.read_text(encoding="utf-8"))) or "").split("\n\n")[0].replace("\n", " ")


def rows() -> str:
    """Return the rows of the map, in the order of the law."""
    rooms = law()
    drawn = [room for room in rooms if room not in ("__init__", "__main__")]
    order = list(rooms)
    lines = []
    for room in drawn:
        below = ", ".join(sorted(rooms[room], key=order.index)) or "–"
        lines.append(f"| `{room}` | {sentence(room)} | {below} |\n")
    return "".join(lines)


if __name__ == "__main__":
    GUIDE.write_text(ROWS.sub(lambda _: rows(), GUIDE.read_text(encoding="utf-8"), count=1), encoding="utf-8")
