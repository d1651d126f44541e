"""Write the session in README.md anew from what the commands really print; run it when a number of the demo has changed.

    python tests/builders/readme_session.py

A test renders the same session and compares, so the README cannot drift from the program.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

README = Path(__file__).parents[2] / "README.md"
BLOCK = re.compile(r"(?<=```console\n).*?(?=```)", re.DOTALL)
LEFT_OUT = "..."
SPEC = "my-missions/cedar-lantern.yaml"

# Each command with the excerpts of its output that are quoted: a pattern of the first line, and how many lines.
SESSION: tuple[tuple[str, tuple[tuple[str, int], ...]], ...] = (
    ("briefgen new my-missions", ((r"my-missions: ", 2),)),
    (f"briefgen check {SPEC}", ((r".* is planned; ", 1), (r"CAUTION Weather at the destination", 5))),
    (f"briefgen show {SPEC}", ((r"LRF-0412", 2), (r"Phase by phase", 10), (r"Pass 1 over", 3))),
    (f"briefgen explain {SPEC} fuel.margin", ((r"Fuel over what is required", 6), (r"   \|- Final reserve at", 3))),
    ("briefgen build my-missions --out briefing", ((r"briefing: ", 1),)),
)


def output_of(command: str) -> list[str]:
    """Return the lines that a command prints, run in this process and in the working folder."""
    from briefgen.cli import main

    shown, code = io.StringIO(), None
    with mock.patch.object(sys, "argv", command.split()), contextlib.redirect_stdout(shown):
        try:
            main()
        except SystemExit as left:
            code = left.code
    if code != 0:
        raise RuntimeError(f"{command} left with {code}")
    return shown.getvalue().splitlines()


def excerpts(lines: list[str], wanted: tuple[tuple[str, int], ...]) -> Iterator[str]:
    """Yield the lines quoted, with a mark where lines are left out."""
    shown = 0
    for pattern, count in wanted:
        first = next(number for number, line in enumerate(lines) if number >= shown and re.match(pattern, line))
        if first > shown:
            yield LEFT_OUT
        yield from (line.rstrip() for line in lines[first : first + count])
        shown = first + count
    if shown < len(lines):
        yield LEFT_OUT


def session() -> str:
    """Return the session as it stands in the README; the working folder must be empty."""
    parts = []
    for command, wanted in SESSION:
        parts.append("\n".join([f"$ {command}", *excerpts(output_of(command), wanted)]))
    return "\n\n".join(parts) + "\n"


if __name__ == "__main__":
    text = README.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        README.write_text(BLOCK.sub(lambda _: session(), text, count=1), encoding="utf-8")
        os.chdir(README.parent)
