"""Whether a site is still what a build would make of the same files: its marker keeps a digest of all that went in and came out.

What went in: every file a mission was read from, the options, the interpreter, the packages beside it, and this program and
its templates, file by file.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path

from briefgen.document.write import standing
from briefgen.model.approval import FIGURES, RECORD, SIGNATURE

PROGRAM = Path(__file__).resolve().parents[1]
TEMPLATES = PROGRAM.parent / "templates"  # where the program runs from its source


def made_of(
    missions: Sequence[tuple[Path, Mapping[str, str]]],
    files: Mapping[str, bytes],
    *,
    pdf: bool,
    built_at: datetime | None,
) -> str:
    """Return what tells whether a site is still fresh, as one line of text.

    ``missions`` are the mission files, each with the names of all files it was read from and the SHA-256 of each as it was
    when it was read: one that is changed while the site is being made is then seen as changed. ``files`` is the site.
    """
    went_in = _digest_in(missions, f"{pdf} {built_at}")
    came_out = _digest(sorted(files.items()))
    return json.dumps([went_in, came_out, [list(names) for _, names in missions]], ensure_ascii=False)


def unchanged_files(out: Path, missions: Sequence[Path], *, pdf: bool, built_at: datetime | None) -> int:
    """Return of how many files the site in a folder is, if a build would make it again byte for byte; otherwise 0."""
    listed, kept = standing(out)
    try:
        went_in, came_out, names = json.loads(kept or "")
        again = [(path, _now(path, read)) for path, read in zip(missions, names, strict=True)]
        same = went_in == _digest_in(again, f"{pdf} {built_at}") and came_out == _digest(
            (name, (out / name).read_bytes()) for name in sorted(listed)
        )
    except (OSError, ValueError, TypeError):  # no marker, one of another form, or a file that is gone
        return 0
    return len(listed) if same else 0


def _now(mission: Path, names: Iterable[str]) -> dict[str, str]:
    """Return the SHA-256 of the files that a mission was read from, as they stand now."""
    folder = Path(os.path.realpath(mission.parent))
    return {name: hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in names}


def _digest_in(missions: Sequence[tuple[Path, Mapping[str, str]]], options: str) -> str:
    read = [(f"{path.name} {name}", digest.encode()) for path, files in missions for name, digest in files.items()]
    said = ("options", f"{options} {sys.version} {' '.join(_packages())}".encode())
    return _digest([said, *_program(), *read])


def _packages() -> list[str]:
    """Return the names and versions of all that is installed beside this program: one of them sets the pages, one the paper."""
    folders = [Path(entry) for entry in sys.path if entry and os.path.isdir(entry)]
    return sorted(
        name for folder in folders for name in os.listdir(folder) if name.endswith((".dist-info", ".egg-info"))
    )


def _approvals(missions: Iterable[tuple[Path, object]]) -> Iterable[tuple[str, bytes]]:
    """Yield what stands of an approval beside each mission file: it is on every page."""
    for path, _ in missions:
        for ending in (RECORD, FIGURES, SIGNATURE):
            beside = path.with_name(path.stem + ending)
            if beside.is_file():
                yield beside.name, beside.read_bytes()


def _program() -> Iterable[tuple[str, bytes]]:
    for root in (PROGRAM, TEMPLATES):
        for folder, below, names in os.walk(root):
            below[:] = sorted(name for name in below if name != "__pycache__")
            for name in sorted(names):
                yield os.path.relpath(os.path.join(folder, name), root), Path(folder, name).read_bytes()


def _digest(named: Iterable[tuple[str, bytes]]) -> str:
    """Return one SHA-256 over names and contents."""
    whole = hashlib.sha256()
    for name, content in named:
        whole.update(f"{name}\n{len(content)}\n".encode(errors="surrogateescape"))
        whole.update(content)
    return whole.hexdigest()


def options_digest(*, pdf: bool, built_at: datetime | None) -> str:
    """Return one SHA-256 over this program, what is installed beside it, and the options of a build."""
    return _digest([("options", f"{pdf} {built_at} {sys.version} {' '.join(_packages())}".encode()), *_program()])


def mission_digest(options: str, mission: Path, names: Iterable[str], read: Mapping[str, str] | None = None) -> str:
    """Return one SHA-256 over all that one mission's pages are made of; empty where a file is gone.

    ``names`` are the files it was read from; ``read`` gives each as it was when it was read, otherwise it is read now.
    """
    names = list(names)
    try:
        files = dict(read) if read is not None else _now(mission, names)
    except OSError:
        return ""
    return _digest([("options", options.encode()), *((name, files[name].encode()) for name in names)])
