"""The files of a debrief: its page, its cards on screen and paper, how each number was worked out, and all of it as data."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.document import downloads
from briefgen.document.cards import paper
from briefgen.document.cards.blocks import Card
from briefgen.document.flown.debrief_card import debrief_cards
from briefgen.document.flown.debrief_page import debrief_page
from briefgen.document.flown.likely_page import likely_cards, likely_page
from briefgen.document.flown.replan_card import replan_cards
from briefgen.document.flown.replan_page import replan_page
from briefgen.document.pages.numbers import number_groups
from briefgen.document.parts.assemble import Source, source_of, table, verdict
from briefgen.document.parts.blocks import Page
from briefgen.document.plain_tables import table_text, with_findings
from briefgen.document.site import (
    CARDS,
    NUMBERS,
    Files,
    Link,
    card_pages,
    first_instant,
    folder_name,
    index_files,
    page_rendered,
)
from briefgen.model.plan import Plan
from briefgen.planning.after.readings import LINES
from briefgen.planning.after.spans import CAUSES_TABLE
from briefgen.planning.after.stretches import WAY
from briefgen.planning.learning.figures import FACTORS, FLIGHTS, TRENDS

SHOWN = (CAUSES_TABLE, WAY, LINES)


def debrief_files(plan: Plan, *, pdf: bool, built_at: datetime | None) -> Files:
    """Return every file of the debrief of one flight, by its path."""
    source = source_of(plan)
    return flown_files(source, debrief_page(source), debrief_cards(source), "debrief.json", pdf=pdf, built_at=built_at)


def replan_files(plan: Plan, *, pdf: bool, built_at: datetime | None) -> Files:
    """Return every file of the rest of a flight planned anew, by its path."""
    source = source_of(plan)
    return flown_files(source, replan_page(source), replan_cards(source), "replan.json", pdf=pdf, built_at=built_at)


def likely_files(plan: Plan, *, pdf: bool, built_at: datetime | None) -> Files:
    """Return every file of what thousands of flights come to, by its path."""
    source = source_of(plan)
    return flown_files(source, likely_page(source), likely_cards(source), "likely.json", pdf=pdf, built_at=built_at)


def learning_text(plan: Plan, why_not: str) -> str:
    """Return what was learned as plain text tables, and why no change is proposed where none is."""
    source = source_of(plan)
    parts = [f"{source.identity.aircraft}: learned from her logs\n{source.identity.caution}"]
    parts += [table_text(block) for one in (FACTORS, FLIGHTS, TRENDS) if (block := table(source, one))]
    said = f"Not proposed: {source.printed.text(why_not)}." if why_not else ""
    return with_findings(source, [*parts, said])


def flown_files(
    source: Source, page: Page, cards: Sequence[Card], data: str, *, pdf: bool, built_at: datetime | None
) -> Files:
    """Return the files of one page with its cards: the index above it, and beside it its numbers and its data."""
    folder, plan = folder_name(source.plan), source.plan
    links = [
        Link(page.name, page.title),
        Link(CARDS, "Cards to print"),
        Link(NUMBERS, "How each number was worked out"),
    ]
    judged = verdict(plan) if plan.findings else ("", "", page.title)
    frame = {"identity": source.identity, "links": links, "root": "../", "verdict": judged}
    files = {data: downloads.plan_json(plan, source.printed).encode()}
    if pdf:
        files |= paper.pdf_files(source.identity, cards, built_at or first_instant(plan))
    files["index.html"] = page_rendered("page.html", page.name, links, frame, blocks=page.blocks, front=False).encode()
    files[f"{NUMBERS}.html"] = page_rendered(
        "numbers.html", NUMBERS, links, frame, groups=number_groups(source)
    ).encode()
    files |= card_pages(source.identity, cards)
    outcome, sign, sentence = judged
    missions = [{"folder": folder, "identity": source.identity, "outcome": outcome, "sign": sign, "sentence": sentence}]
    found = {f"{folder}/{name}": content for name, content in files.items()}
    return found | index_files(missions)


def debrief_text(plan: Plan) -> str:
    """Return the debrief as plain text tables for the terminal."""
    source = source_of(plan)
    who = source.identity
    parts = [f"{who.number} {who.mission}, revision {who.revision}: debrief\n{who.caution}"]
    parts += [table_text(block) for one in SHOWN if (block := table(source, one))]
    return with_findings(source, parts)
