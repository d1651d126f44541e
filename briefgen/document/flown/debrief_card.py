"""The card of the debrief: what a crew takes away from the flight on one page, and the lines of its log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from briefgen.document.cards.blocks import Card, Cell, Col, Face, Grid, Line, Row, Sentence
from briefgen.document.cards.dealing import dealt
from briefgen.document.cards.layout import head_lines
from briefgen.document.cards.reading import TableRow, big_row, figure_line, plain_table, rows_of, unit_of
from briefgen.document.parts.assemble import OUTCOMES, Source
from briefgen.model.record import Figure
from briefgen.model.tables import ColumnOf, TableOf
from briefgen.planning.after.book import DEFECTS, ENGINES, REMARKS, EngineFigures, FlightTimes
from briefgen.planning.after.held import Left, TakeOffPower
from briefgen.planning.after.readings import ACTUAL_FUEL, ACTUAL_TIME, LINES, Reading
from briefgen.planning.after.spans import CAUSES_TABLE, LEAST_SHARE, MOST_SHARE, SHARE, WORD, Whole

POSITION, IN_ALL = "debrief", "More than planned"


def debrief_cards(source: Source) -> tuple[Card, ...]:
    """Return the cards of a plan that has been debriefed.

    Raises:
        RenderError: A text has words that cannot stand on a card.
    """
    first = (_sentence(source), _first(source), _causes(source), _limits(source))
    book = (_book(source), _engines(source), _words(source, DEFECTS), _words(source, REMARKS))
    made = (("Debrief", first), ("For the book", book), ("Line by line", (_lines(source),)))
    faces = [
        Face(title, tuple(one for one in blocks if one is not None), ident=title.lower()) for title, blocks in made
    ]
    return dealt(POSITION, faces, "", head_lines(source.identity)).cards


def _sentence(source: Source) -> Sentence | None:
    if Whole.more.key not in source.printed:
        return None
    quoted = source.printed.quoted
    less = Whole.less.key in source.printed
    other = f"{quoted(Whole.less.key)} less" if less else f"{quoted(Whole.more.key)} more"
    return Sentence(f"Burnt {quoted(Whole.burnt.key)}: {other} than planned for the way flown.")


def _first(source: Source) -> Grid | None:
    return big_row(
        ("Fuel on landing", figure_line(source, Left.landed.volume(), "head", bold=True), ""),
        ("Over final reserve", figure_line(source, Left.over_reserve.volume(), "head", bold=True), ""),
        ("Time left", figure_line(source, Left.time, "head", bold=True), ""),
    )


def _causes(source: Source) -> Grid | None:
    found = rows_of(source, CAUSES_TABLE)
    if not found:
        return None
    rows = []
    for row in found:
        last = row.row.mark == "total"
        spread = [row.line(LEAST_SHARE), row.line(MOST_SHARE)]
        cells = [Cell((Line(IN_ALL if last else row.row.name, bold=last),)), Cell((row.line(SHARE, bold=True),))]
        cells += [Cell((line,)) for line in spread] + [Cell((row.line(WORD, "small"),))]
        rows.append(Row(tuple(cells), "thick" if last else "thin", header=True))
    unit = unit_of(source, SHARE, found)
    cols = (Col(("",), wide=True), Col((unit,), "right"), Col(("least",), "right"), Col(("most",), "right"), Col(("",)))
    return Grid("Where it came from", "mean over all orders", cols, tuple(rows), pad=0.4, whole=True, name="causes")


def _limits(source: Source) -> Grid | None:
    if not source.plan.findings:
        return None
    rows, quoted = [], source.printed.quoted
    for one in source.plan.findings:
        sign = OUTCOMES[one.outcome][1]
        cells = (
            Cell((Line(f"{sign} {source.printed.text(one.title)}", bold=one.outcome == "fail"),)),
            Cell((Line(quoted(one.measured_key), bold=True, key=one.measured_key),)),
            Cell((Line(quoted(one.limit_key), key=one.limit_key),)),
        )
        rows.append(Row(cells, header=True))
    cols = (Col(("",), wide=True, wraps=True), Col(("flown",), "right"), Col(("limit",), "right"))
    return Grid("Limits and reserves", "", cols, tuple(rows), pad=0.4, whole=True, name="limits")


def _book(source: Source) -> Grid | None:
    return big_row(
        ("Engines running", figure_line(source, FlightTimes.block, bold=True), ""),
        ("In the air", figure_line(source, FlightTimes.air, bold=True), ""),
        ("Of it by night", figure_line(source, FlightTimes.night, bold=True), ""),
        ("At take-off power", figure_line(source, TakeOffPower.time, bold=True), ""),
    )


def _engines(source: Source) -> Grid | None:
    wanted = (EngineFigures.after, EngineFigures.oil_used, EngineFigures.oil_rate)
    return _grid(source, ENGINES, (EngineFigures.name, *wanted), ("Engine", "Hours after", "Oil used", "Oil an hour"))


def _words(source: Source, table: TableOf) -> Grid | None:
    found = source.plan.tables.get(table.name)
    grid = plain_table(source, found, size="act") if found else None
    if grid is None:
        return None
    cols = tuple(replace(col, wide=index == 0, wraps=index == 0) for index, col in enumerate(grid.cols))
    return replace(grid, cols=cols)


def _grid(source: Source, table: TableOf, wanted: Sequence[Figure[Any, Any]], heads: Sequence[str]) -> Grid | None:
    found = rows_of(source, table)
    if not found:
        return None
    columns = [table.column(one) for one in wanted]
    cols = [Col((heads[0],)), *(Col((head, unit_of(source, c, found)), "right") for head, c in zip(heads[1:], columns[1:], strict=True))]  # fmt: skip
    rows = tuple(Row(tuple(Cell((row.line(c),)) for c in columns), header=True) for row in found)
    return Grid("", "", tuple(cols), rows, pad=0.3, name=table.name)


def _lines(source: Source) -> Grid | None:
    found = rows_of(source, LINES)
    if not found:
        return None
    wanted: tuple[ColumnOf, ...] = (
        ACTUAL_TIME, LINES.column(Reading.late), ACTUAL_FUEL, LINES.column(Reading.fuel_more), LINES.column(Reading.over_least),
    )  # fmt: skip
    rows = tuple(_line(row, wanted) for row in found)
    cols = (
        Col(("No",), "right"), Col(("",), wide=True, wraps=True), Col(("UTC",), "right"), Col(("late", "min"), "right"),
        *(Col((head, unit_of(source, ACTUAL_FUEL, found)), "right") for head in ("Fuel", "More", "Over least")),
    )  # fmt: skip
    return Grid("", "", cols, rows, pad=0.5, name="lines")


def _line(row: TableRow, wanted: Sequence[ColumnOf]) -> Row:
    number, where = LINES.column(Reading.no), LINES.column(Reading.where)
    cells = [Cell((row.line(number),)), Cell((row.line(where),)), *(Cell((row.line(one),)) for one in wanted)]
    return Row(tuple(cells), header=True)
