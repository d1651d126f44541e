"""The cards that change when the rest of a flight is planned anew, each stamped with its fix."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from briefgen.document.cards.blocks import Card, Cell, Col, Face, Grid, Prose, Row, Sentence
from briefgen.document.cards.dealing import dealt
from briefgen.document.cards.front import band_of
from briefgen.document.cards.layout import BOX, head_lines
from briefgen.document.cards.reading import big_row, figure_line, rows_of, unit_of
from briefgen.document.flown.replan_page import stamp, wind_words
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.blocks import Inline, Paragraph
from briefgen.model.record import Figure
from briefgen.model.tables import TableOf
from briefgen.planning.after.rest_figures import (
    EQUALS,
    FIELDS,
    LEAVES,
    LINES,
    EqualFigures,
    Field,
    FixFigures,
    LeaveFigures,
)
from briefgen.planning.after.rest_figures import Line as Ahead

POSITION = "from the fix"


def replan_cards(source: Source) -> tuple[Card, ...]:
    """Return the cards of the rest of a flight.

    Raises:
        RenderError: A text has words that cannot stand on a card.
    """
    at, head = source.printed[FixFigures.time.key], Sentence(stamp(source))
    leaves = _grid(source, LEAVES, (LeaveFigures.field, LeaveFigures.time, LeaveFigures.fuel.volume()))
    route = (head, _least(source), _route(source), leaves)
    wanted: tuple[tuple[TableOf, tuple[Figure[Any, Any], ...]], ...] = (
        (FIELDS, (Field.name, Field.needed.volume(), Field.spare.volume(), Field.until)),
        (EQUALS, (EqualFigures.between, EqualFigures.time, EqualFigures.latitude, EqualFigures.longitude)),
    )
    ways = (*(_grid(source, table, figures) for table, figures in wanted), _wind(source))
    whole = Face(f"From {at}Z", tuple(one for one in (*route, *ways) if one is not None), ident="route")
    if len(cards := dealt(POSITION, [whole], band_of(source), head_lines(source.identity)).cards) == 1:
        return cards
    faces = [
        Face(f"From {at}Z: route and fuel", tuple(one for one in route if one is not None), ident="route"),
        Face(
            f"From {at}Z: ways home",
            tuple(one for one in (head, *ways) if one is not None),
            ident="ways",
        ),
    ]
    return dealt(POSITION, faces, band_of(source), head_lines(source.identity)).cards


def _wind(source: Source) -> Prose:
    return Prose("Wind ahead", (Paragraph((Inline(wind_words(source)),)),))


def _least(source: Source) -> Grid | None:
    return big_row(
        ("Fuel at the fix", figure_line(source, FixFigures.fuel.volume(), "head", bold=True), ""),
        ("Least to go on", figure_line(source, FixFigures.least.volume(), "head", bold=True), ""),
        ("Over it", figure_line(source, FixFigures.over.volume(), "head", bold=True), ""),
    )


def _route(source: Source) -> Grid | None:
    found = rows_of(source, LINES)
    if not found:
        return None
    no, where, time, later, fuel, least = (
        LINES.column(one)
        for one in (Ahead.no, Ahead.where, Ahead.time, Ahead.later, Ahead.fuel.volume(), Ahead.least.volume())
    )
    rows = tuple(
        Row((Cell((row.line(no),)), Cell((row.line(time, bold=True),)), Cell((row.line(where),)), Cell((row.line(later),)),
             Cell((row.line(fuel, bold=True),)), Cell(box=BOX), Cell((row.line(least),))), header=True)
        for row in found
    )  # fmt: skip
    unit = unit_of(source, fuel, found)
    cols = (
        Col(("No",), "right"), Col(("UTC",), "right"), Col(("",), wide=True, wraps=True), Col(("later", "min"), "right"),
        Col(("Fuel", unit), "right"), Col(("Actual",), "centre", part=0.16), Col(("Least", unit), "right"),
    )  # fmt: skip
    return Grid("", "", cols, rows, pad=0.8, name="lines")


def _grid(source: Source, table: TableOf, wanted: Sequence[Figure[Any, Any]]) -> Grid | None:
    found = rows_of(source, table)
    if not found:
        return None
    columns = [one for one in map(table.column, wanted) if any(row.has(one) for row in found)]
    heads = [(one.head, unit_of(source, one, found)) for one in columns]
    cols = [Col((heads[0][0],), wide=True, wraps=True)]
    cols += [Col(tuple(dict.fromkeys(filter(None, head))), "right") for head in heads[1:]]
    rows = tuple(
        Row(tuple(Cell((row.line(one, bold=at == 1),)) for at, one in enumerate(columns)), header=True) for row in found
    )
    return Grid(source.printed.text(table.title), "", tuple(cols), rows, pad=0.8, whole=True, name=table.name)
