"""The folder a new planner starts from: the packaged demo mission and the files it refers to."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from briefgen import disk
from briefgen.errors import BriefgenError, UsageError
from briefgen.system_errors import as_sentence

FIRST_MISSION = "cedar-lantern.yaml"
FOLDERS = ("aircraft", "places", "weather", "rules")


def packaged_specs() -> Path:
    """Return the folder of the demo missions: in the installed package, or in the checkout beside it."""
    package = Path(str(files("briefgen")))
    for folder in (package / "mission_specs", package.parent / "mission_specs"):
        if (folder / FIRST_MISSION).is_file():
            return folder
    raise BriefgenError("the demo missions are missing from this installation", hint="install briefgen again")


def write_starter(folder: Path) -> Path:
    """Fill a new or empty folder and return its first mission; a folder with anything in it is left alone."""
    source = packaged_specs()
    paths = [source / FIRST_MISSION, *(path for name in FOLDERS for path in sorted((source / name).rglob("*")))]
    files = {path.relative_to(source).as_posix(): path.read_bytes() for path in paths if path.is_file()}
    place = disk.real_place(folder)
    try:
        with disk.locked(place):
            for left in disk.recover(place):
                disk.remove(left, list(files))
            if place.exists():
                _require_empty(place, folder)
            if empty := disk.put_in_place(disk.staged(place, files), place):
                disk.remove(empty, [])
    except OSError as error:
        fault = as_sentence(error)
        raise _refused(folder, fault.problem) from error
    return folder / FIRST_MISSION


def _require_empty(place: Path, folder: Path) -> None:
    if not place.is_dir():
        raise _refused(folder, "this is a file, not a folder")
    if any(place.iterdir()):
        raise _refused(folder, "this folder is not empty; it is left alone")


def _refused(folder: Path, problem: str) -> UsageError:
    wanted = "a folder that does not exist yet, or is empty"
    return UsageError(problem, where=str(folder), expected=wanted, hint="name another folder")
