"""What `compare` is given: a mission file, a folder, a plan, or one of these as it stood in a revision of git."""

from __future__ import annotations

import io
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from briefgen.errors import UsageError

LARGEST_BYTES = 256_000_000  # of a folder taken out of a revision
WAIT_S = 60


@contextmanager
def on_disk(named: str) -> Iterator[Path]:
    """Give a path as it is named, or, for ``REV:path``, the same path as it stood in a revision, in a folder of its own.

    Raises:
        UsageError: There is no such path, and no such revision that holds it.
    """
    from briefgen.spec import named_sector

    path = Path(named)
    there = named_sector(path)[0].exists()
    revision, colon, inside = named.partition(":")
    if there or not colon or not revision or not inside:
        if not there:
            raise UsageError(
                "there is no such file or folder", where=named, expected="a mission, a folder, a plan.json or REV:path"
            )
        yield path
        return
    with tempfile.TemporaryDirectory(prefix="briefgen-") as folder:
        file, sector = named_sector(Path(inside))
        found = _taken_out(revision, file, Path(folder), named)
        yield found if sector is None else found.with_name(f"{found.name}#{sector}")


def _taken_out(revision: str, inside: Path, folder: Path, named: str) -> Path:
    """Take the folder of a path out of a revision, with all a mission may refer to, and return where the path is now."""
    if revision.startswith("-"):
        raise UsageError("this is no revision of git", where=named)
    here = Path(_git(Path.cwd(), named, "rev-parse", "--show-toplevel").decode().rstrip("\n"))
    whole = (Path.cwd() / inside).resolve()
    if not whole.is_relative_to(here.resolve()):
        raise UsageError("the path lies outside the working folder of git", where=named)
    within = whole.relative_to(here.resolve())
    kind = _git(here, named, "cat-file", "-t", f"{revision}:{within.as_posix()}").decode().strip()
    above = within if kind == "tree" else within.parent
    archive = _git(here, named, "archive", "--format=tar", revision, "--", above.as_posix())
    if len(archive) > LARGEST_BYTES:
        raise UsageError(f"the folder is larger than {LARGEST_BYTES:,} bytes", where=named)
    try:
        with tarfile.open(fileobj=io.BytesIO(archive)) as tar:
            tar.extractall(folder, filter="data")
    except tarfile.TarError as error:
        raise UsageError(f"what git gives cannot be laid out: {error}", where=named) from error
    return folder / within


def _git(folder: Path, named: str, *words: str) -> bytes:
    try:
        done = subprocess.run(["git", *words], cwd=folder, capture_output=True, timeout=WAIT_S, check=False)
    except (FileNotFoundError, subprocess.TimeoutExpired) as error:
        raise UsageError("git cannot be asked for this revision", where=named) from error
    if done.returncode:
        said = done.stderr.decode(errors="replace").strip().splitlines()
        raise UsageError(
            f"git does not give this: {said[0] if said else 'it says nothing'}", where=named,
            expected="REV:path with a revision that holds the path, such as HEAD~1:mission_specs/cedar-lantern.yaml",
        )  # fmt: skip
    return done.stdout
