"""The cards as PDF: one Typst template walks the same blocks as the web page of the cards."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from briefgen.document.cards.blocks import Card, Cell, Chart, Grid
from briefgen.document.cards.layout import MEASURES, head_text, note_beside
from briefgen.document.parts import templates
from briefgen.document.parts.blocks import Identity
from briefgen.document.parts.measure import covered
from briefgen.errors import RenderError
from briefgen.frozen import dataclass

FONTS = Path(__file__).parent.parent / "fonts"
TEMPLATE, DATA, PAGE = "cards.typ", "cards.json", "sheet.typ"
SHORT_CAUTION = "Planning aid; manual, charts and notices prevail."
CONTEXT = 40  # characters on either side of one that cannot be printed
PAGE_OBJECT = re.compile(rb"/Type\s*/Page(?![A-Za-z])")


@dataclass(frozen=True)
class Sheet:
    """A paper size that cards are set on, side by side, each trimmed to its cell."""

    name: str
    width_mm: float
    height_mm: float
    across: int


SINGLE = "cards-a5.pdf"
SHEETS = (
    Sheet(SINGLE, 148.0, 210.0, 1),
    Sheet("cards-a4-two-up.pdf", 297.0, 210.0, 2),
    Sheet("cards-half-letter.pdf", 139.7, 215.9, 1),
    Sheet("cards-letter-two-up.pdf", 279.4, 215.9, 2),
)


def card_data(identity: Identity, cards: Sequence[Card]) -> str:
    """Return everything the paper template needs, as JSON."""
    data = {
        "identity": asdict(identity),
        "heading": head_text(identity),
        "short": SHORT_CAUTION,
        "measures": MEASURES,
        "cards": [_card_data(card) for card in cards],
    }
    return json.dumps(data, ensure_ascii=False)


def _refuse_unknown_characters(data: str) -> None:
    """Refuse a text with a character the packaged typeface lacks: on paper it would be an empty box."""
    unknown = sorted(char for char in set(data) if not covered(char))
    if unknown:
        at = data.index(unknown[0])
        around = data[max(0, at - CONTEXT) : at + CONTEXT].split('"')
        text = next(part for part in around if unknown[0] in part)
        raise RenderError(
            f"the cards' typeface has no character {unknown[0]!r} (U+{ord(unknown[0]):04X}), used in '{text}'",
            expected="letters of western European languages, Greek, figures, arrows and the usual signs",
            hint="write the word without that character",
        )


def pdf_files(identity: Identity, cards: Sequence[Card], made_at: datetime) -> dict[str, bytes]:
    """Return every PDF of the cards by file name, each set and tagged by itself, so that all sizes are read aloud alike.

    The data and the template stay one file each for all sizes, so that the typesetter reads and evaluates them once.
    """
    data = card_data(identity, cards)
    _refuse_unknown_characters(data)
    found = {}
    with tempfile.TemporaryDirectory() as scratch:
        root = Path(scratch)
        (root / TEMPLATE).write_text(templates.text(TEMPLATE), encoding="utf-8")
        (root / DATA).write_text(data, encoding="utf-8")
        for sheet in SHEETS:
            found[sheet.name] = _compiled(root, made_at, sheet)
            wanted = -(-len(cards) // sheet.across)
            if page_count(found[sheet.name]) != wanted:
                _compiled(root, made_at, sheet, measuring=True)  # names the card
                raise RenderError(f"{len(cards)} cards took {page_count(found[sheet.name])} pages of {sheet.name}")
    return found


def _compiled(root: Path, made_at: datetime, sheet: Sheet, *, measuring: bool = False) -> bytes:
    import typst

    asked = f"{sheet.width_mm}mm, {sheet.height_mm}mm, {sheet.across}, measuring: {str(measuring).lower()}"
    (root / PAGE).write_text(f'#import "{TEMPLATE}": sheet\n#sheet({asked})\n', encoding="utf-8")
    try:
        made, warnings = typst.compile_with_warnings(
            str(root / PAGE), root=str(root), font_paths=[str(FONTS)], ignore_system_fonts=True,
            pdf_standards="ua-1", timestamp=int(made_at.timestamp()), format="pdf",
        )  # fmt: skip
    except typst.TypstError as fault:
        raise RenderError(f"the cards could not be set: {fault}", where=f"templates/{TEMPLATE}") from fault
    if warnings:
        raise RenderError(f"the cards were set with a warning: {warnings[0].message}", where=f"templates/{TEMPLATE}")
    return made


def page_count(pdf: bytes) -> int:
    """Return the number of page objects in a PDF as the typesetter writes them."""
    return len(PAGE_OBJECT.findall(pdf))


def _card_data(card: Card) -> dict[str, Any]:
    """Return a card as plain data, drawings with their style written into them."""
    face = {
        "position": card.position, "title": card.title, "label": card.label, "landscape": card.landscape, "tab": card.tab, "digits": card.digits, "count": card.faces,
        "urgent": card.urgent, "heading": card.heading, "head": card.head, "tag": card.tag, "band": card.band, "bookmark": f"{card.label}: {card.title}",
    }  # fmt: skip
    return {"face": face, "blocks": [_block_data(block) for block in card.blocks]}


def _block_data(block: Any) -> dict[str, Any]:
    if isinstance(block, Chart):
        style = f"<style>{templates.chart_style_for_paper()}</style>"
        markup = block.drawing.markup.replace("</desc>", f"</desc>{style}", 1)
        return {"kind": "chart", "title": block.title, "svg": markup, "height": block.drawing.height, "width": block.drawing.width,
                "alt": f"{block.drawing.title}. {block.drawing.description}"}  # fmt: skip
    if isinstance(block, Grid):
        return _grid_data(block)
    return asdict(block)


def _grid_data(grid: Grid) -> dict[str, Any]:
    """Return what the template reads of a grid: it is handed thousands of lines, so no more."""
    return {
        "kind": grid.kind, "title": grid.title, "note": grid.note, "beside": note_beside(grid), "headed": grid.headed, "pad": grid.pad, "frame": grid.frame,
        "cols": [{"heads": col.heads, "align": col.align, "width": col.width, "gutter": col.gutter} for col in grid.cols],
        "rows": [{"rule": row.rule, "framed": row.framed, "cells": [_cell_data(cell) for cell in row.cells]} for row in grid.rows],
    }  # fmt: skip


def _cell_data(cell: Cell) -> dict[str, Any]:
    lines = [
        {"text": one.text, "size": one.size, "bold": one.bold, "lead": one.lead, "limit": one.limit}
        for one in cell.lines
    ]
    return {"lines": lines, "span": cell.span, "rows": cell.rows, "bar": cell.bar, "box": cell.box, "write": cell.write, "joins": cell.joins}  # fmt: skip
