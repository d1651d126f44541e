"""A grid of ground heights in the open ESRI ASCII form: six lines of head, then rows from north to south."""

from __future__ import annotations

from briefgen.model.places import Terrain
from briefgen.spec.tree.reader import Reader
from briefgen.spec.tree.survey import Survey

_HEAD = ("ncols", "nrows", "xllcorner", "yllcorner", "cellsize")
_EXPECTED = (
    "an ESRI ASCII grid: ncols, nrows, xllcorner, yllcorner, cellsize, NODATA_value, then nrows lines of ncols metres"
)
Grid = tuple[dict[str, float], list[list[float]]]


def terrain_faults(survey: Survey, text: str | None) -> None:
    """Note a leg that asks for a terrain file where none is given, and a grid that cannot be read."""
    asked = [leg for leg in survey.groups("route", "legs") if survey.text(*leg, "safe altitude") == "from terrain"]
    if survey.data(("terrain",)) is None:
        for leg in asked:
            survey.fault(
                (*leg, "safe altitude"), "the mission names no terrain file", "a height, or 'terrain' with its file"
            )
    elif text is not None and (problem := _problem(text)):
        survey.fault(("terrain", "file"), problem, _EXPECTED)


def build_terrain(reader: Reader, text: str) -> Terrain:
    """Return the terrain of a mission without faults."""
    head, rows = _read(text)
    empty = head.get("nodata_value")
    return Terrain(
        head["xllcorner"], head["yllcorner"], head["cellsize"],
        tuple(tuple(None if value == empty else value for value in row) for row in rows),
        reader.si("corridor"), reader.si("clearance"), reader.text("source"),
    )  # fmt: skip


def _read(text: str) -> Grid:
    head: dict[str, float] = {}
    lines = [line.split() for line in text.splitlines() if line.strip()]
    while lines and lines[0][0][0].isalpha():
        name, value = lines.pop(0)
        head[name.lower()] = float(value)
    return head, [[float(value) for value in line] for line in lines]


def _problem(text: str) -> str:
    try:
        head, rows = _read(text)
    except ValueError:
        return "the grid holds something that is no number"
    missing = [name for name in _HEAD if name not in head]
    if missing:
        return f"the head of the grid lacks {', '.join(missing)}"
    if head["cellsize"] <= 0.0:
        return "the cells of the grid have no size"
    if len(rows) != head["nrows"] or any(len(row) != head["ncols"] for row in rows):
        return "the grid has not the rows and columns that its head says"
    return ""
