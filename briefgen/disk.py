"""How files get onto the disk: a folder beside its place, exchanged for the old one at one stroke, under a lock.

Nothing here decides what may be replaced; it only promises that whoever looks at the place sees the old or the new whole.
A process killed at any moment leaves at most hidden folders, which `recover` puts right at the next start.
"""

from __future__ import annotations

import ctypes
import errno
import hashlib
import os
import secrets
import shutil
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from briefgen.errors import RenderError

try:
    import fcntl
except ImportError:  # no advisory locks on this system: two builds at once are then kept apart by their folders' names
    fcntl = None  # type: ignore[assignment]

LOCK_WAIT_S = 30.0  # a site is written in well under a second; whoever holds the lock longer hangs
LOCK_POLL_S = 0.02
NEW, OLD = "new", "old"
_AT_FDCWD, _RENAME_EXCHANGE = -100, 2  # linux/fcntl.h, linux/fs.h


def real_place(folder: Path) -> Path:
    """Return where a folder really lies: a link is followed, so that its target is replaced and not the link."""
    return Path(os.path.realpath(folder))


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the place of a folder for one writer; the lock lies on the folder that contains it, so no file is left.

    Raises:
        RenderError: Another process did not let go of it in time.
        OSError: The containing folder cannot be made or opened.
    """
    folder.parent.mkdir(parents=True, exist_ok=True)
    if fcntl is None:
        yield
        return
    handle = os.open(folder.parent, os.O_RDONLY)
    try:
        _wait_for(handle, folder)
        yield
    finally:
        os.close(handle)


def _wait_for(handle: int, folder: Path) -> None:
    end = time.monotonic() + LOCK_WAIT_S
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            if error.errno not in (errno.EAGAIN, errno.EACCES):
                return  # a file system without locks: the exchange itself stays whole
            if time.monotonic() > end:
                raise RenderError(
                    "another build is writing there", where=str(folder), hint="wait for it, or choose another folder"
                ) from error
            time.sleep(LOCK_POLL_S)
        else:
            return


def _hidden(folder: Path, part: str) -> str:
    """Return how the hidden neighbours of a folder begin; short however long its name is."""
    return f".briefgen-{hashlib.sha256(folder.name.encode(errors='surrogateescape')).hexdigest()[:12]}-{part}-"


def neighbours(folder: Path, part: str) -> list[Path]:
    """Return what an interrupted write left beside a folder."""
    begins = _hidden(folder, part)
    if not folder.parent.is_dir():
        return []
    return sorted(path for path in folder.parent.iterdir() if path.name.startswith(begins))


def staged(folder: Path, files: Mapping[str, bytes]) -> Path:
    """Write files, in order, into a new hidden folder beside their place and return it."""
    fresh = folder.with_name(f"{_hidden(folder, NEW)}{secrets.token_hex(4)}")
    fresh.mkdir()
    try:
        if folder.is_dir():
            shutil.copymode(folder, fresh)
        for name, content in files.items():
            target = fresh / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
    except BaseException:
        remove(fresh, files)
        raise
    return fresh


def put_in_place(fresh: Path, folder: Path) -> Path | None:
    """Put a finished folder in its place and return where the old one is now, None if there was none."""
    if not os.path.lexists(folder):
        fresh.rename(folder)
        return None
    if _exchange(fresh, folder):
        return fresh
    old = folder.with_name(f"{_hidden(folder, OLD)}{secrets.token_hex(4)}")
    folder.rename(old)  # between here and the next line a kill leaves no folder: `recover` puts the old one back
    try:
        fresh.rename(folder)
    except OSError:
        old.rename(folder)
        raise
    return old


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders at one stroke where the system can; return whether it could."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    done = rename(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE)
    return bool(done == 0)


def recover(folder: Path) -> list[Path]:
    """Put back a folder that a killed write had moved away, and return what else it left, to be removed."""
    left = neighbours(folder, OLD)
    if left and not os.path.lexists(folder):
        left.pop().rename(folder)
    return [*left, *neighbours(folder, NEW)]


def remove(folder: Path, names: Mapping[str, object] | list[str]) -> None:
    """Remove the files named and the folders that are empty then; anything else in the folder stays."""
    for name in names:
        with suppress(OSError):
            (folder / name).unlink()
    for path, _, _ in os.walk(folder, topdown=False):
        with suppress(OSError):
            os.rmdir(path)


def write_new(texts: Mapping[Path, str]) -> list[Path]:
    """Write files that do not stand there yet; one that does is kept, and refused where it says something else.

    Raises:
        RenderError: A file is there already with another text; nothing was written.
    """
    fresh = {path: text for path, text in texts.items() if not os.path.lexists(path)}
    for path, text in texts.items():
        if path not in fresh and not (path.is_file() and path.read_bytes() == text.encode()):
            raise RenderError(
                "this file is there already and says something else; it is left alone", where=str(path),
                expected="a place where no file of this name stands", hint="choose another folder, or remove the file first",
            )  # fmt: skip
    for path, text in fresh.items():
        replace_file(path, text.encode())
    return list(texts)


def replace_file(path: Path, content: bytes) -> None:
    """Put a file in its place whole; until then the old one stands there."""
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_name(f"{_hidden(path, NEW)}{secrets.token_hex(4)}")
    try:
        fresh.write_bytes(content)
        fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)
