"""How likely: the page of the bands at each point, the one card of them, and the same for the terminal."""

from __future__ import annotations

from typing import Any

from briefgen.document.cards.blocks import Card, Cell, Chart, Col, Face, Grid, Row, Sentence
from briefgen.document.cards.dealing import dealt
from briefgen.document.cards.layout import MEASURES, WIDTH, head_lines
from briefgen.document.cards.reading import rows_of, unit_of
from briefgen.document.pages.contents import TYPE_SIZE, WIDE, chart_block
from briefgen.document.parts.assemble import Source, key_figures, source_of, table
from briefgen.document.parts.blocks import Block, NoteBlock, Page
from briefgen.document.plain_tables import table_text
from briefgen.model.plan import Plan
from briefgen.model.record import Figure
from briefgen.planning.likely.figures import Chances, FieldWritten, PointBand, Supposed, Trust
from briefgen.planning.likely.section import CAUSES_OF_SPREAD, CHART, LOWEST_FUEL, POINTS, REFUSED

POSITION = "how likely"
Wanted = tuple[tuple[Figure[Any, Any], str], ...]
FIRST: Wanted = (
    (Chances.under_reserve, "Land under the final reserve"),
    (Chances.leave_hold, "Have to leave the hold"),
    (Chances.flights, "Flights"),
    (Chances.refused, "Could not be flown"),
)
TRUST: Wanted = (
    (Trust.count, "Flown in full"),
    (Trust.time, "Off in time, of its spread"),
    (Trust.fuel, "Off in fuel, of its spread"),
    (Trust.limit, "Most they may be off"),
    (Trust.fuel_flown, "Mean fuel at landing, in full"),
    (Trust.fuel_replayed, "Replayed"),
    (Trust.agree, "Refused alike by both"),
)
SUPPOSED = ((Supposed.consumption, "Consumption"), (Supposed.weight, "Weight without fuel"), (Supposed.delay, "Delay"))
FIELDS = (
    (FieldWritten.sd, "standard deviation"), (FieldWritten.over, "alike over"), (FieldWritten.in_height, "in height"),
    (FieldWritten.in_time, "in time"),
)  # fmt: skip


def likely_page(source: Source) -> Page:
    """Return the page of what thousands of flights come to."""
    stated = [(figure.under(Supposed.at), words) for figure, words in SUPPOSED]
    stated += [
        (figure.under(f"likely.{field}"), f"{field.capitalize()}: {words}")
        for field in ("wind", "temperature")
        for figure, words in FIELDS
    ]
    blocks: list[Block | None] = [
        key_figures(source, "Of all flights", FIRST),
        chart_block(source, CHART, WIDE, TYPE_SIZE, 0.5),
        table(source, POINTS),
        table(source, CAUSES_OF_SPREAD),
        key_figures(source, "What is uncertain, one standard deviation", stated),
        table(source, REFUSED),
        key_figures(source, "The replays against the same flights in full", TRUST),
        table(source, LOWEST_FUEL),
        NoteBlock("What this is", WORDS),
    ]
    return Page("index", "How likely", tuple(block for block in blocks if block is not None))


WORDS = (
    "Each flight has its own wind, temperature, weight, consumption and delay, drawn as the mission states them, and is flown as planned: "
    "no crew turns back or waits for better weather. What nobody stated is not varied."
)


def likely_text(plan: Plan) -> str:
    """Return the same as plain text tables for the terminal."""
    source = source_of(plan)
    who, label, quoted = source.identity, source.printed.label, source.printed.quoted
    parts = [f"{who.number} {who.mission}, revision {who.revision}: how likely\n{who.caution}"]
    first = table(source, POINTS)
    parts += [table_text(first)] if first else []
    parts.append(_lines(source, (*FIRST, (Chances.seed, "")), label, quoted))
    parts += [table_text(block) for one in (CAUSES_OF_SPREAD, REFUSED) if (block := table(source, one))]
    parts.append(_lines(source, TRUST, label, quoted))
    lowest = table(source, LOWEST_FUEL)
    parts += [table_text(lowest)] if lowest else []
    return "\n\n".join([*parts, WORDS]).replace("\u00a0", " ").strip() + "\n"


def _lines(source: Source, wanted: Wanted, label: Any, quoted: Any) -> str:
    keys = [figure.key for figure, _ in wanted if figure.key in source.printed]
    return "\n".join(f"{label(key)}: {quoted(key)}" for key in keys)


def likely_cards(source: Source) -> tuple[Card, ...]:
    """Return the card of the bands, to be held beside the fuel log.

    Raises:
        RenderError: A text has words that cannot stand on a card.
    """
    quoted = source.printed.quoted
    said = f"{quoted(Chances.under_reserve.key)} of the flights land under the final reserve."
    drawing = chart_block(source, CHART, WIDTH, MEASURES["small"], 0.62, "card")
    blocks = (Sentence(said), _grid(source), Chart(drawing.title, drawing.drawing) if drawing else None)
    face = Face("How likely: fuel and time", tuple(one for one in blocks if one is not None), ident="likely")
    return dealt(POSITION, [face], "", head_lines(source.identity)).cards


def _grid(source: Source) -> Grid | None:
    found = rows_of(source, POINTS)
    if not found:
        return None
    where, planned, low, high, fuel, least, most = (
        POINTS.column(one)
        for one in (
            PointBand.place, PointBand.planned, PointBand.later_low, PointBand.later_high, PointBand.fuel.volume(),
            PointBand.fuel_low.volume(), PointBand.fuel_high.volume(),
        )
    )  # fmt: skip
    rows = tuple(
        Row(tuple(Cell((row.line(one, bold=one in (planned, least)),)) for one in (where, planned, low, high, fuel, least, most)), header=True)
        for row in found
    )  # fmt: skip
    unit = unit_of(source, fuel, found)
    cols = (
        Col(("",), wide=True, wraps=True), Col(("UTC",), "right"), Col(("5 %", "min"), "right"), Col(("95 %", "min"), "right"),
        Col(("Fuel", unit), "right"), Col(("5 %", unit), "right"), Col(("95 %", unit), "right"),
    )  # fmt: skip
    return Grid("", "", cols, rows, pad=0.5, name=POINTS.name)
