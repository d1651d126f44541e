"""The documents of a mission of several sectors: the journey first, each sector's pages in its own folder, one deck in order."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from briefgen.document.cards import paper
from briefgen.document.cards.blocks import Card, Chart
from briefgen.document.cards.contents import all_cards
from briefgen.document.cards.layout import head_text
from briefgen.document.pages.contents import site_pages
from briefgen.document.pages.numbers import number_groups
from briefgen.document.parts.assemble import Source, findings, source_of, table, verdict
from briefgen.document.parts.blocks import Block, NoteBlock
from briefgen.document.parts.prose import prose
from briefgen.document.site import (
    CARDS,
    FILES,
    NUMBERS,
    OFFERED,
    PAPERS,
    Files,
    Link,
    card_pages,
    data_files,
    first_instant,
    page_rendered,
)
from briefgen.model.plan import Plan
from briefgen.planning.sections.journey import JOURNEY, SECTOR_FUEL, SECTOR_SUPPLIES, SECTORS

IDENT = re.compile(r'\bid="([^"]+)"')


def journey_files(source: Source, *, pdf: bool, built_at: datetime | None) -> Files:
    """Return the files of a mission of several sectors by their path inside its folder."""
    sectors = [source_of(one) for one in source.plan.sectors]
    cards = one_deck(sectors)
    files: Files = {"plan.json": data_files(source)["plan.json"]}
    if pdf:
        files |= paper.pdf_files(source.identity, cards, built_at or first_instant(source.plan))
    links = [Link("index", "Journey"), *_to_sectors(sectors)]
    links += [
        Link(CARDS, "Cards to print"),
        Link(NUMBERS, "How each number was worked out"),
        Link(FILES, "Files to take away"),
    ]
    frame = {"identity": source.identity, "links": links, "root": "../", "verdict": verdict(source.plan)}
    offered = [("plan.json", "The whole plan with its sectors (JSON)")]
    for number, one in enumerate(sectors, start=1):
        folder = folder_of(number)
        made = data_files(one)
        files |= {f"{folder}/{name}": content for name, content in (made | _sector_pages(one, sectors)).items()}
        offered += [(f"{folder}/{name}", f"Sector {number}: {OFFERED[name]}") for name in made]
    files["index.html"] = page_rendered(
        "page.html", "index", links, frame, blocks=_journey_blocks(source, sectors), front=False
    ).encode()
    files[f"{NUMBERS}.html"] = page_rendered(
        "numbers.html", NUMBERS, links, frame, groups=number_groups(source)
    ).encode()
    files[f"{FILES}.html"] = page_rendered(
        "files.html", FILES, links, frame, offered=offered, papers=PAPERS.items()
    ).encode()
    return files | card_pages(source.identity, cards)


def folder_of(number: int) -> str:
    """Return the folder of a sector, counted from 1, inside that of its mission."""
    return f"sector-{number}"


def _to_sectors(sectors: Sequence[Source], up: str = "") -> list[Link]:
    return [
        Link(f"{up}{folder_of(number)}/index", f"Sector {number}: {_ends(one.plan)}")
        for number, one in enumerate(sectors, start=1)
    ]


def _ends(plan: Plan) -> str:
    return f"{plan.mission.route.origin.name} to {plan.mission.route.destination.name}"


def _journey_blocks(source: Source, sectors: Sequence[Source]) -> list[Block]:
    """Return what stands on the page of the journey: what it comes to, and what the review of each sector found."""
    first = sectors[0]
    words = [("Purpose", first.plan.mission.purpose), *((name.capitalize(), text) for name, text in first.plan.mission.briefing.items())]  # fmt: skip
    blocks: list[Block | None] = [NoteBlock("Verdict", "{1} {2}".format(*verdict(source.plan)))]
    blocks += [table(source, one) for one in (SECTORS, SECTOR_FUEL, JOURNEY, SECTOR_SUPPLIES)]
    blocks += [findings(source, "Sectors and landings")]
    for number, one in enumerate(sectors, start=1):
        blocks.append(findings(one, f"Sector {number}: not met, or met with caution", outcomes=("fail", "caution")))
    blocks += [prose(title, first.printed.text(text)) for title, text in words if text]
    return [block for block in blocks if block is not None]


def _sector_pages(source: Source, sectors: Sequence[Source]) -> Files:
    """Return the pages of one sector, which lead back to the journey and on to the other sectors."""
    pages = site_pages(source)
    others = [link for link, one in zip(_to_sectors(sectors, "../"), sectors, strict=True) if one is not source]
    links = [
        Link("../index", "Journey"),
        *others,
        *(Link(page.name, page.title) for page in pages),
        Link(NUMBERS, "How each number was worked out"),
        Link(f"../{CARDS}", "Cards to print"),
        Link(f"../{FILES}", "Files to take away"),
    ]  # fmt: skip
    frame: dict[str, Any] = {
        "identity": source.identity,
        "links": links,
        "root": "../../",
        "verdict": verdict(source.plan),
    }
    files = {
        f"{page.name}.html": page_rendered(
            "page.html", page.name, links, frame, blocks=page.blocks, front=page.front
        ).encode()
        for page in pages
    }
    files[f"{NUMBERS}.html"] = page_rendered(
        "numbers.html", NUMBERS, links, frame, groups=number_groups(source)
    ).encode()
    return files


def one_deck(sectors: Sequence[Source]) -> tuple[Card, ...]:
    """Return the cards of all sectors as one deck: position by position, each in the order of flying, numbered through.

    What is the same on every sector, such as the crew brief, is there once, with the first.
    """
    decks = [[_of_sector(card, number, one) for card in all_cards(one)] for number, one in enumerate(sectors, start=1)]
    positions = list(dict.fromkeys(card.position for deck in decks for card in deck))
    return tuple(card for position in positions for card in _through(position, decks))


def _through(position: str, decks: Sequence[Sequence[Card]]) -> list[Card]:
    seen: set[tuple[Any, ...]] = set()
    kept: list[tuple[int, Card]] = []
    for number, deck in enumerate(decks):
        for card in deck:
            told = (card.title, tuple(line.text for line in card.texts()), _other_words(card))
            if card.position == position and told not in seen:
                seen.add(told)
                kept.append((number, card))
    faces = list(dict.fromkeys((number, card.tab) for number, card in kept))
    return [replace(card, tab=faces.index((number, card.tab)) + 1, faces=len(faces)) for number, card in kept]


def _other_words(card: Card) -> tuple[str, ...]:
    """Return what a card holds besides its grids, for comparison."""
    return tuple(repr(block) for block in card.blocks if block.kind in ("prose", "sentence", "chart"))


def _of_sector(card: Card, number: int, source: Source) -> Card:
    """Return a card headed by its sector; the names inside its drawings are its own among all the cards of a page."""
    blocks = tuple(_named_anew(block, number) if isinstance(block, Chart) else block for block in card.blocks)
    return replace(card, blocks=blocks, heading=head_text(source.identity))


def _named_anew(chart: Chart, number: int) -> Chart:
    markup = chart.drawing.markup
    names = sorted(IDENT.findall(markup), key=len, reverse=True)
    if not names:
        return chart
    either = re.compile("|".join(map(re.escape, names)))
    return replace(
        chart, drawing=replace(chart.drawing, markup=either.sub(lambda found: f"s{number}-{found[0]}", markup))
    )
