"""The door for logs: a file, and the mission it was flown by, to what happened."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

from briefgen.errors import Fault, SpecError
from briefgen.model.flight_log import Blanks, FlightLog
from briefgen.model.ledger import Given
from briefgen.model.mission import Mission
from briefgen.spec.build.flight_log import LogFrame, build_log
from briefgen.spec.meaning.flight_log import log_faults
from briefgen.spec.tree.check import check
from briefgen.spec.tree.load import Document, load_bytes, load_file
from briefgen.spec.tree.reader import Reader
from briefgen.spec.tree.shape import path_text

LOG = "log"
FOLDERS_UP = 4  # logs stand in folders of their own, by mission or by aircraft
FIX = "the fix given by --at, --time and --fuel"


def read_log(path: Path, mission: Mission, blanks: Blanks) -> FlightLog:
    """Return the log a file gives, read against the lines of its mission's fuel log.

    Raises:
        SpecError: All faults of the file together, in the order of its lines.
    """
    document = load_file(path, f"{path.absolute().parent.name}/{path.name}")
    log, faults = _read(document, mission, blanks)
    if log is None:
        raise SpecError(tuple(replace(fault, file=str(path)) for fault in faults))
    return log


def read_fix(at: str, time: str, fuel: str, mission: Mission, blanks: Blanks) -> FlightLog:
    """Return the log that one fix makes: a place of the route or the number of a line, a time, and the fuel aboard.

    Raises:
        SpecError: One of the three says nothing that a log could say.
    """
    head = {"briefgen": f"{LOG}/1", "mission": mission.file, "number": mission.number, "revision": mission.revision}
    line: dict[str, object] = {"no": int(at)} if at.isdigit() else {"at": at}
    written = head | {"reading error": "1 US gal", "lines": [line | {"time": time, "fuel": fuel}]}
    document = load_bytes(json.dumps(written, ensure_ascii=False).encode(), Path(FIX), FIX)
    log, faults = _read(document, mission, blanks)
    if log is None:
        raise SpecError(tuple(replace(fault, file=FIX, line=0, column=0) for fault in faults))
    return log


def _read(document: Document, mission: Mission, blanks: Blanks) -> tuple[FlightLog | None, list[Fault]]:
    """Return the log of a document, or its faults."""
    checked = check(document, LOG)
    frame = LogFrame(blanks, mission.times.zone, mission.fuel.density_kg_per_m3)
    faults = [*checked.faults]
    if isinstance(document.data, dict) and document.data.get("briefgen") == f"{LOG}/1":
        faults += log_faults(checked, mission, frame)
    if faults:
        return None, faults
    return build_log(Reader(checked), frame, _given(document), document.digest), []


def mission_of_log(path: Path) -> Path:
    """Return the mission file that a log names: beside it, or in one of the folders above it.

    Raises:
        SpecError: The file is no log, or there is no such mission.
    """
    document = load_file(path, path.name)
    checked = check(document, LOG)
    if checked.faults:
        raise SpecError(tuple(replace(fault, file=str(path)) for fault in checked.faults))
    name = document.texts[("mission",)]
    folders = list(path.absolute().parents)[:FOLDERS_UP]
    if not Path(name).is_absolute() and ".." not in Path(name).parts:
        for folder in folders:
            if (folder / name).is_file():
                return folder / name
    mark = document.mark(("mission",))
    problem, wanted = (
        f"mission: '{name}': there is no such file",
        "a mission file beside the log, or in one of the folders above it",
    )
    raise SpecError((Fault(str(path), mark.line, mark.column, problem, wanted),))


def _given(document: Document) -> dict[str, Given]:
    """Return every written value by its path."""
    found = {}
    for path, text in document.texts.items():
        mark = document.values[path]
        found[f"{LOG}:{path_text(path)}"] = Given(document.file, mark.line, mark.column, text)
    return found
