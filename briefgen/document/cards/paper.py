"""The cards as PDF: one Typst template walks the same blocks as the web page of the cards."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from briefgen.document.cards.layout import MEASURES
from briefgen.document.parts import templates
from briefgen.document.parts.blocks import Card, ChartBlock, Identity
from briefgen.document.parts.measure import covered
from briefgen.errors import RenderError
from briefgen.frozen import dataclass

FONTS = Path(__file__).parent.parent / "fonts"
CONTEXT = 40  # characters on either side of one that cannot be printed
PAGE_OBJECT = re.compile(rb"/Type\s*/Page(?![A-Za-z])")


@dataclass(frozen=True)
class Sheet:
    """A paper size that set cards are placed on, side by side, each trimmed to its cell."""

    name: str
    width: str
    height: str
    across: int


CARD_WIDTH, CARD_HEIGHT = "148mm", "210mm"
SINGLE = "cards-a5.pdf"
SHEETS = (
    Sheet("cards-a4-two-up.pdf", "297mm", "210mm", 2),
    Sheet("cards-half-letter.pdf", "139.7mm", "215.9mm", 1),
    Sheet("cards-letter-two-up.pdf", "279.4mm", "215.9mm", 2),
)


def card_data(identity: Identity, cards: Sequence[Card]) -> str:
    """Return everything the paper template needs, as JSON."""
    data = {"identity": asdict(identity), "measures": MEASURES, "cards": _card_data(cards)}
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
    """Return every PDF of the cards by file name: set once on A5, tagged, then placed on the other papers."""
    titles = json.dumps([f"{card.position}: {card.title}" for card in cards], ensure_ascii=False)
    with tempfile.TemporaryDirectory() as scratch:
        root = Path(scratch)
        for name in ("cards.typ", "sheets.typ"):
            (root / name).write_text(templates.text(name), encoding="utf-8")
        size = {"card_width": CARD_WIDTH, "card_height": CARD_HEIGHT}
        data = card_data(identity, cards)
        _refuse_unknown_characters(data)
        single = _compiled(root, "cards.typ", "ua-1", made_at, data=data, measure="no", **size)
        if page_count(single) != len(cards):
            _compiled(root, "cards.typ", "ua-1", made_at, data=data, measure="yes", **size)  # names the card
            raise RenderError(f"{len(cards)} cards took {page_count(single)} pages")
        (root / "cards.pdf").write_bytes(single)
        found = {SINGLE: single}
        for sheet in SHEETS:
            paper = {"width": sheet.width, "height": sheet.height, "across": str(sheet.across)}
            # PDF/UA does not admit pages of another PDF; the sheets are tagged with one description a card.
            found[sheet.name] = _compiled(
                root, "sheets.typ", None, made_at, titles=titles, mission=identity.mission, **paper, **size
            )
    return found


def _compiled(root: Path, template: str, standard: Literal["ua-1"] | None, made_at: datetime, **inputs: str) -> bytes:
    import typst

    try:
        made, warnings = typst.compile_with_warnings(
            str(root / template), root=str(root), font_paths=[str(FONTS)], ignore_system_fonts=True, sys_inputs=inputs,
            pdf_standards=standard, timestamp=int(made_at.timestamp()), format="pdf",
        )  # fmt: skip
    except typst.TypstError as fault:
        raise RenderError(f"the cards could not be set: {fault}", where=f"templates/{template}") from fault
    if warnings:
        raise RenderError(f"the cards were set with a warning: {warnings[0].message}", where=f"templates/{template}")
    return made


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
            "position": card.position, "title": card.title, "sideways": card.sideways,
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
