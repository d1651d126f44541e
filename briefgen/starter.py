"""The folder a new planner starts from: the packaged demo mission and the files it refers to."""

from __future__ import annotations

import shutil
from importlib.resources import files
from pathlib import Path

from briefgen.errors import BriefgenError, UsageError

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
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            problem = (
                "this folder is not empty; it is left alone" if folder.is_dir() else "this is a file, not a folder"
            )
            raise _refused(folder, problem)
        for name in FOLDERS:
            shutil.copytree(source / name, folder / name)
        shutil.copyfile(source / FIRST_MISSION, folder / FIRST_MISSION)
    except shutil.Error as error:  # what copytree could not copy, one tuple a file
        raise _refused(folder, "cannot write there") from error
    except OSError as error:
        raise _refused(folder, f"cannot write there: {(error.strerror or '').lower()}") from error
    return folder / FIRST_MISSION


def _refused(folder: Path, problem: str) -> UsageError:
    wanted = "a folder that does not exist yet, or is empty"
    return UsageError(problem, where=str(folder), expected=wanted, hint="name another folder")
