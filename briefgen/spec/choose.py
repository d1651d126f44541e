"""One sector of a mission of several, as it is named behind the file: by its number, or by the field where it ends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from briefgen.errors import UsageError
from briefgen.model.mission import Mission

BEHIND = "#"


def named_sector(path: Path) -> tuple[Path, str | None]:
    """Return a file and the sector named behind it, None where none is; a file that has such a name is itself."""
    file, sign, wanted = path.name.rpartition(BEHIND)
    if not sign or not file or path.exists():
        return path, None
    return path.with_name(file), wanted


def require_whole(paths: Iterable[Path], what: str) -> None:
    """Raise UsageError where a sector is named and a verb takes a mission as a whole; ``what`` is what it does with it."""
    for path in paths:
        file, wanted = named_sector(path)
        if wanted is not None:
            raise UsageError(
                f"a sector is named, and a mission is {what} as a whole", where=str(path), expected=str(file)
            )


def one_sector(path: Path, sectors: Sequence[Mission]) -> Mission:
    """Return the only sector there is.

    Raises:
        UsageError: There are several: they are listed as they can be named.
    """
    if len(sectors) == 1:
        return sectors[0]
    raise UsageError(
        f"the mission has {len(sectors)} sectors, and one is wanted here", where=str(path),
        expected=f"one of {_listed(path, sectors)}",
    )  # fmt: skip


def chosen(file: Path, sectors: Sequence[Mission], wanted: str) -> Mission:
    """Return the sector named by its number or by the field where it ends.

    Raises:
        UsageError: There is none of that name, or two end there.
    """
    if len(sectors) == 1:
        raise UsageError(
            f"a sector is named, '{wanted}', and the mission has one", where=f"{file}{BEHIND}{wanted}",
            expected=str(file), hint="a landing on the way, 'do: land', makes two of it",
        )  # fmt: skip
    found = [one for number, one in enumerate(sectors, start=1) if wanted in (str(number), one.route.destination.ident)]
    if len(found) == 1:
        return found[0]
    problem = f"two sectors end at '{wanted}'" if found else f"there is no sector '{wanted}'"
    raise UsageError(problem, where=str(file), expected=f"one of {_listed(file, sectors)}")


def _listed(file: Path, sectors: Sequence[Mission]) -> str:
    return ", ".join(
        f"{file}{BEHIND}{number} ({one.route.origin.ident} to {one.route.destination.ident})"
        for number, one in enumerate(sectors, start=1)
    )
