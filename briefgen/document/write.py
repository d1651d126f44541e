"""The only place that touches the disk: the finished files replace the old site whole, or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from briefgen.errors import RenderError

MARKER = ".briefgen-site"
MARKER_TEXT = "Made by briefgen. The whole folder is replaced by the next build.\n"


def write_site(files: Mapping[str, bytes], out: Path) -> list[Path]:
    """Write the files to a new folder beside ``out`` and put it in the place of ``out``; return their paths in order."""
    shown, out = str(out), Path(os.path.abspath(out))
    _may_replace(out, shown)
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{out.name}-", dir=out.parent))
    except OSError as fault:
        raise RenderError(
            f"cannot write there: {(fault.strerror or '').lower()}", where=shown, hint="choose another folder"
        ) from fault
    try:
        for name, content in {**files, MARKER: MARKER_TEXT.encode()}.items():
            target = fresh / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
        fresh.chmod(0o755)
        _swap(fresh, out)
    except OSError as fault:
        raise RenderError(
            f"cannot write there: {(fault.strerror or '').lower()}", where=shown, hint="choose another folder"
        ) from fault
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    return [out / name for name in sorted(files)]


def _may_replace(out: Path, shown: str) -> None:
    """Refuse a folder that holds anything but an earlier build."""
    if not out.exists():
        return
    if not out.is_dir():
        raise RenderError("this is a file, not a folder", where=shown, hint="choose another folder")
    if any(out.iterdir()) and not (out / MARKER).is_file():
        raise RenderError(
            "this folder holds files that briefgen did not make; it is left alone",
            where=shown,
            expected="an empty folder, a new one, or one an earlier build made",
            hint="choose another folder",
        )


def _swap(fresh: Path, out: Path) -> None:
    """Put the fresh folder in place; the old one is removed only when the new one stands."""
    if not out.exists():
        fresh.rename(out)
        return
    old = fresh.with_name(f"{fresh.name}-old")
    out.rename(old)
    try:
        fresh.rename(out)
    except OSError:
        old.rename(out)
        raise
    shutil.rmtree(old, ignore_errors=True)
