"""Where every value somebody typed stands: what `briefgen explain` ends at."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.model.ledger import Given
from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.files import SpecFiles
from briefgen.spec.tree.load import Document, KeyPath
from briefgen.spec.tree.shape import path_text


def given_values(files: SpecFiles, mission: Document, places: Iterable[Checked]) -> dict[str, Given]:
    """Return every written value by its path; of a sector of a mission, by its path in the sector.

    A mission's paths stand alone (``route.legs[2].height``); others carry their kind: ``aircraft:``, ``rules:``,
    ``weather:``, and ``places:`` with the identifier at once (``places:LX01.elevation``).
    """
    prefixes = {mission.file: ""} | {one.document.file: "places:" for one in places}
    given: dict[str, Given] = {}
    for document in (files.documents | {mission.file: mission}).values():
        prefix = prefixes.get(document.file)
        if prefix is None:
            prefix = _kind(document) + ":"
        for path, text in document.texts.items():
            key = prefix + path_text(_shown(path, prefix))
            mark = document.values[path]
            given.setdefault(key, Given(document.file, mark.line, mark.column, text))
    return given


def _kind(document: Document) -> str:
    return document.texts[("briefgen",)].partition("/")[0]


def _shown(path: KeyPath, prefix: str) -> KeyPath:
    return path[1:] if prefix == "places:" and path[0] == "places" and len(path) > 1 else path
