"""The folder a new planner starts from: the packaged demo mission, the files it refers to, and their schemas.

Every file but a table of figures begins with the comment by which editors find its schema (an open convention of YAML
language servers), so that keys are offered and explained while the mission is written.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path, PurePosixPath

from briefgen.errors import BriefgenError, UsageError
from briefgen.spec import files_of_mission, schema_text

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
    source = packaged_specs()
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            problem = (
                "this folder is not empty; it is left alone" if folder.is_dir() else "this is a file, not a folder"
            )
            raise _refused(folder, problem)
        _write(folder, files_of_mission(source / FIRST_MISSION), source)
    except OSError as error:
        raise _refused(folder, f"cannot write there: {(error.strerror or '').lower()}") from error
    return folder / FIRST_MISSION


def _write(folder: Path, kinds: dict[str, str], source: Path) -> None:
    for name, kind in kinds.items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        text = (source / name).read_text(encoding="utf-8")
        up = "../" * (len(PurePosixPath(name).parts) - 1)
        comment = f"# yaml-language-server: $schema={up}{SCHEMAS}/{kind}.schema.json\n" if kind else ""
        target.write_text(comment + text, encoding="utf-8")
    (folder / SCHEMAS).mkdir(exist_ok=True)
    for kind in sorted(set(kinds.values()) - {""}):
        (folder / SCHEMAS / f"{kind}.schema.json").write_text(schema_text(kind), encoding="utf-8")


def _refused(folder: Path, problem: str) -> UsageError:
    wanted = "a folder that does not exist yet, or is empty"
    return UsageError(problem, where=str(folder), expected=wanted, hint="name another folder")
