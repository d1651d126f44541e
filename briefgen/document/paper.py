"""The cards as PDF: one Typst template walks the same blocks as the web page of the cards."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from briefgen.document import templates
from briefgen.document.blocks import Card, ChartBlock, Identity
from briefgen.document.layout import HEIGHT, WIDTH
from briefgen.errors import RenderError

FONTS = Path(__file__).parent / "fonts"
PAGE_OBJECT = re.compile(rb"/Type\s*/Page(?![A-Za-z])")


@dataclass(frozen=True)
class Sheet:
    """A paper size. Setting pages of another PDF, as two-up sheets do, is not possible under PDF/UA."""

    name: str
    width: str
    height: str
    standard: str | None = "ua-1"


CARD_SHEETS = (Sheet("cards-a5", "148mm", "210mm"), Sheet("cards-half-letter", "139.7mm", "215.9mm"))
TWO_UP_SHEETS = {
    "cards-a5": Sheet("cards-a4-two-up", "297mm", "210mm", None),
    "cards-half-letter": Sheet("cards-letter-two-up", "279.4mm", "215.9mm", None),
}


def pdf_files(identity: Identity, cards: Sequence[Card], made_at: datetime) -> dict[str, bytes]:
    """Return every PDF of the cards by file name."""
    data = json.dumps({"identity": asdict(identity), "cards": _card_data(cards)}, ensure_ascii=False)
    found: dict[str, bytes] = {}
    with tempfile.TemporaryDirectory() as scratch:
        root = Path(scratch)
        for name in ("cards.typ", "two-up.typ"):
            (root / name).write_text(templates.text(name), encoding="utf-8")
        for sheet in CARD_SHEETS:
            single = _compiled(root, "cards.typ", sheet, made_at, data=data)
            _one_page_a_card(single, len(cards), sheet)
            (root / "cards.pdf").write_bytes(single)
            two_up = TWO_UP_SHEETS[sheet.name]
            found[f"{sheet.name}.pdf"] = single
            titles = json.dumps([f"{card.position}: {card.title}" for card in cards], ensure_ascii=False)
            found[f"{two_up.name}.pdf"] = _compiled(
                root, "two-up.typ", two_up, made_at, titles=titles, mission=identity.mission,
                card_width=sheet.width, card_height=sheet.height,
            )  # fmt: skip
    return found


def _compiled(root: Path, template: str, sheet: Sheet, made_at: datetime, **inputs: str) -> bytes:
    import typst

    given = {
        "width": sheet.width, "height": sheet.height, "content_width": f"{WIDTH}pt", "content_height": f"{HEIGHT}pt", **inputs,
    }  # fmt: skip
    try:
        made, warnings = typst.compile_with_warnings(
            str(root / template), root=str(root), font_paths=[str(FONTS)], ignore_system_fonts=True, sys_inputs=given,
            pdf_standards=sheet.standard or [], timestamp=int(made_at.timestamp()), format="pdf",
        )  # fmt: skip
    except typst.TypstError as fault:
        raise RenderError(f"the cards could not be set: {fault}", where=f"templates/{template}") from fault
    if warnings:
        raise RenderError(f"the cards were set with a warning: {warnings[0].message}", where=f"templates/{template}")
    if not isinstance(made, bytes):
        raise RenderError("the cards were set as something other than one PDF", where=f"templates/{template}")
    return made


def _one_page_a_card(pdf: bytes, cards: int, sheet: Sheet) -> None:
    """Refuse a PDF in which a card ran over its page."""
    pages = page_count(pdf)
    if pages != cards:
        raise RenderError(
            f"{cards} cards took {pages} pages of {sheet.name}",
            hint="a text is longer than the layout expects; shorten the longest free text of the specification",
        )


def page_count(pdf: bytes) -> int:
    """Return the number of page objects in a PDF as the typesetter writes them."""
    return len(PAGE_OBJECT.findall(pdf))


def _card_data(cards: Sequence[Card]) -> list[dict[str, Any]]:
    """Return the cards as plain data, drawings with their style written into them."""
    found = []
    totals = {
        position: sum(card.position == position for card in cards) for position in {card.position for card in cards}
    }
    places: dict[str, int] = {}
    for card in cards:
        places[card.position] = places.get(card.position, 0) + 1
        blocks = [_block_data(block) for block in card.blocks]
        found.append({
            "position": card.position, "title": card.title, "part": card.part, "parts": card.parts,
            "number": places[card.position], "count": totals[card.position], "blocks": blocks,
        })  # fmt: skip
    return found


def _block_data(block: Any) -> dict[str, Any]:
    if isinstance(block, ChartBlock):
        style = f"<style>{templates.chart_style_for_paper()}</style>"
        markup = block.drawing.markup.replace("</desc>", f"</desc>{style}", 1)
        return {"kind": "chart", "title": block.title, "svg": markup,
                "alt": f"{block.drawing.title}. {block.drawing.description}"}  # fmt: skip
    data = asdict(block)
    data.pop("html", None)
    return data
