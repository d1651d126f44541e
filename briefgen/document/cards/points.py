"""The navigator's points: times to be met, time to be gained and lost, last moments, equal time, and fuel to each field."""

from __future__ import annotations

from dataclasses import replace

from briefgen.document.cards.blocks import Block, Cell, Col, Face, Grid, Line, Row
from briefgen.document.cards.fitting import narrowed
from briefgen.document.cards.reading import TableRow, instant_at, plain_table, rows_of, unit_of
from briefgen.document.cards.where import points_grid
from briefgen.document.parts.assemble import Source
from briefgen.planning.sections.timing.points import LEGS, TIMES
from briefgen.planning.sections.way_home.equal_time import EQUAL_TIMES
from briefgen.planning.sections.way_home.moments import MOMENTS

PLAIN = {  # tables that stand as they are, and the columns a navigator flies by
    TIMES.name: ("asked", "planned", "earliest", "latest"),
    LEGS.name: ("speed", "gain", "loss"),
    MOMENTS.name: ("time", "distance", "fuel_volume"),
}
EQUAL = {column.name: column for column in EQUAL_TIMES.columns}
WIDEST = 6  # columns of fuel to each field


def points_face(source: Source) -> Face:
    """Return the card of equal time, last moments and time to be met."""
    blocks: list[Block | None] = []
    for name, columns in PLAIN.items():
        found = source.plan.tables.get(name)
        grid = plain_table(source, found, size="act", columns=columns) if found else None
        blocks.append(replace(narrowed(grid), note="", pad=0.2) if grid else None)
    blocks += [_equal(source), points_grid(source, WIDEST)]
    return Face("Points and timing", tuple(one for one in blocks if one is not None), ident="points")


def _equal(source: Source) -> Grid | None:
    """Return the points of equal time in order of time, under the two fields they lie between."""
    found = rows_of(source, EQUAL_TIMES)
    by_fields: dict[str, list[TableRow]] = {}
    for row in sorted(found, key=lambda row: instant_at(source, row.key(EQUAL["time"]))):
        by_fields.setdefault(row.figure(EQUAL["between"]), []).append(row)
    rows: list[Row] = []
    for between, points in by_fields.items():
        title = Line(between, bold=True, key=points[0].key(EQUAL["between"]))
        rows.append(Row((Cell((title,), span=5),), "none", with_next=True, name=between))
        rows += [_point(row) for row in points]
    cols = (
        Col(("UTC",)), Col(("Engines",), wide=True), Col(("Either way",), "right"),
        Col(("ft",), "right"), Col((unit_of(source, EQUAL["fuel_volume"], found),), "right"),
    )  # fmt: skip
    return Grid("Equal time", "", cols, tuple(rows), pad=0.0, name=EQUAL_TIMES.name) if rows else None


def _point(row: TableRow) -> Row:
    lines = [
        row.line(EQUAL[name], bold=name == "time") for name in ("time", "engines", "each_way", "height", "fuel_volume")
    ]
    return Row(tuple(Cell((line,)) for line in lines), header=True)
