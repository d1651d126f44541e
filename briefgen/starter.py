"""The folder a new planner starts from: the packaged demo mission, the files it refers to, and their schemas.

Every file but a table of figures begins with the comment by which editors find its schema (an open convention of YAML
language servers), so that keys are offered and explained while the mission is written.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path, PurePosixPath

from briefgen import disk
from briefgen.errors import BriefgenError, UsageError
from briefgen.spec import files_of_mission, schema_text
from briefgen.system_errors import as_sentence

FIRST_MISSION = "cedar-lantern.yaml"
SCHEMAS = "schemas"


def packaged_specs() -> Path:
    """Return the folder of the demo missions: in the installed package, or in the checkout beside it."""
    package = Path(str(files("briefgen")))
    for folder in (package / "mission_specs", package.parent / "mission_specs"):
        if (folder / FIRST_MISSION).is_file():
            return folder
    raise BriefgenError("the demo missions are missing from this installation", hint="install briefgen again")


def write_starter(folder: Path) -> Path:
    """Fill a new or empty folder and return its first mission; a folder with anything in it is left alone."""
    files = starter_files()
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


def starter_files() -> dict[str, bytes]:
    """Return the files of the folder by their names: those the first mission is read from, and their schemas."""
    source = packaged_specs()
    kinds = files_of_mission(source / FIRST_MISSION)
    files = {}
    for name, kind in kinds.items():
        up = "../" * (len(PurePosixPath(name).parts) - 1)
        comment = f"# yaml-language-server: $schema={up}{SCHEMAS}/{kind}.schema.json\n" if kind else ""
        files[name] = comment.encode() + (source / name).read_bytes()
    for kind in sorted(set(kinds.values()) - {""}):
        files[f"{SCHEMAS}/{kind}.schema.json"] = schema_text(kind).encode()
    return files


def _require_empty(place: Path, folder: Path) -> None:
    if not place.is_dir():
        raise _refused(folder, "this is a file, not a folder")
    if any(place.iterdir()):
        raise _refused(folder, "this folder is not empty; it is left alone")


def _refused(folder: Path, problem: str) -> UsageError:
    wanted = "a folder that does not exist yet, or is empty"
    return UsageError(problem, where=str(folder), expected=wanted, hint="name another folder")
