"""All files of a site, as text and bytes in memory: nothing is written here."""

from __future__ import annotations

import base64
import hashlib
import re
import unicodedata
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from briefgen.document import downloads
from briefgen.document.cards import paper
from briefgen.document.cards.blocks import Card
from briefgen.document.cards.contents import all_cards
from briefgen.document.cards.layout import MEASURES, head_text, note_beside
from briefgen.document.pages.contents import site_pages
from briefgen.document.pages.numbers import number_groups
from briefgen.document.parts import templates
from briefgen.document.parts.assemble import Source, source_of, verdict
from briefgen.document.parts.blocks import Identity, Page
from briefgen.errors import RenderError
from briefgen.frozen import dataclass
from briefgen.model.plan import Plan

FONT_FILES = ("B612-Regular.otf", "B612-Bold.otf", "B612-Italic.otf", "OFL.txt")
NUMBERS, CARDS, FILES = "numbers", "cards", "files"
COLUMN = re.compile(r"\bw-([0-9]{5})\b")  # a column of a card: its width in hundredths of a point
LONGEST_FOLDER = 80  # letters; 255 bytes are the common limit, and a path holds more than one name
TAKEN = frozenset({"assets", "con", "prn", "aux", "nul"}) | {
    f"{port}{number}" for port in ("com", "lpt") for number in range(10)
}  # our own, and the devices of Windows (Microsoft, Naming Files, Paths, and Namespaces)

Files = dict[str, bytes]


@dataclass(frozen=True)
class Link:
    """A place in the navigation of a mission."""

    name: str
    title: str


def site_files(plans: Sequence[Plan], *, pdf: bool, built_at: datetime | None) -> Files:
    """Return every file of a site by its path, all missions and the index of them."""
    files: Files = {}
    missions: list[dict[str, Any]] = []
    for plan in plans:
        source = source_of(plan)
        folder = folder_name(plan)
        if any(folder == made["folder"] for made in missions):
            raise RenderError(
                f"two missions are called {plan.mission.number} {plan.mission.name}, or so nearly that both would stand in '{folder}'",
                hint="give each mission its own number",
            )
        for name, content in mission_files(source, pdf=pdf, built_at=built_at).items():
            files[f"{folder}/{name}"] = content
        outcome, sign, sentence = verdict(plan)
        missions.append({
            "folder": folder, "identity": source.identity, "outcome": outcome, "sign": sign, "sentence": sentence,
        })  # fmt: skip
    files |= index_files(missions)
    return files


def index_files(
    missions: Sequence[Mapping[str, Any]], *, failures: Sequence[tuple[str, str]] = (), conflicts: Sequence[str] = ()
) -> Files:
    """Return the index of missions, with what failed and where they get into each other's way, and what every page needs."""
    index = templates.rendered("index.html", missions=missions, failures=failures, conflicts=conflicts, root="")
    return {"index.html": index.encode(), "assets/cards.css": templates.text("cards.css").encode(), **style_files()}


def style_files() -> Files:
    """Return the style, the script and the typefaces that every page needs."""
    files = {
        "assets/style.css": (templates.text("style.css") + "\n" + templates.text("chart.css")).encode(),
        "assets/light.js": templates.text("light.js").encode(),
        "assets/actuals.js": templates.text("actuals.js").encode(),
    }
    return files | {f"assets/fonts/{name}": (paper.FONTS / name).read_bytes() for name in FONT_FILES}


def folder_name(plan: Plan) -> str:
    """Return the folder of a mission: its number and name in plain letters, a name that every system admits.

    Letters that have no plain form, a name too long, or one that is taken (by our own folder or by a system's device)
    are made up for by a fingerprint of the whole name, so that two missions never share a folder.
    """
    name = f"{plan.mission.number} {plan.mission.name}"
    text = unicodedata.normalize("NFKD", name)
    lost = any(not char.isascii() and char.isalnum() for char in text)
    plain = re.sub(r"[^a-z0-9]+", "-", text.encode("ascii", "ignore").decode().lower()).strip("-")
    if plain and not lost and len(plain) <= LONGEST_FOLDER and plain not in TAKEN:
        return plain
    fingerprint = hashlib.sha256(name.encode()).hexdigest()[:8]
    return f"mission-{plain[:LONGEST_FOLDER].strip('-')}-{fingerprint}".replace("--", "-")


def mission_files(source: Source, *, pdf: bool, built_at: datetime | None) -> Files:
    """Return the files of one mission by their path inside its folder."""
    if source.plan.sectors:
        from briefgen.document.journey import journey_files

        return journey_files(source, pdf=pdf, built_at=built_at)
    cards = all_cards(source)
    files = data_files(source)
    if pdf:
        files |= paper.pdf_files(source.identity, cards, built_at or first_instant(source.plan))
    return files | _mission_pages(source, cards, tuple(files))


def data_files(source: Source) -> Files:
    """Return a plan for other programs: as JSON, and its route and log where it has them."""
    plan = source.plan
    files = {
        "plan.json": downloads.plan_json(plan, source.printed).encode(),
        "route.gpx": downloads.route_gpx(plan, source.printed).encode(),
        "route.geojson": downloads.route_geojson(plan, source.printed).encode(),
    }
    if log := downloads.navigation_log_csv(plan, source.printed):
        files["navlog.csv"] = log.encode()
    return files


def _mission_pages(source: Source, cards: Sequence[Card], offered: Sequence[str]) -> Files:
    pages = site_pages(source)
    links = [Link(page.name, page.title) for page in pages]
    links += [
        Link(CARDS, "Cards to print"),
        Link(NUMBERS, "How each number was worked out"),
        Link(FILES, "Files to take away"),
    ]
    frame = {"identity": source.identity, "links": links, "root": "../", "verdict": verdict(source.plan)}
    files = {f"{page.name}.html": _page(page, links, frame) for page in pages}
    files[f"{NUMBERS}.html"] = page_rendered(
        "numbers.html", NUMBERS, links, frame, groups=number_groups(source)
    ).encode()
    listed = [(name, what) for name, what in OFFERED.items() if name in offered]
    files[f"{FILES}.html"] = page_rendered(
        "files.html", FILES, links, frame, offered=listed, papers=PAPERS.items()
    ).encode()
    return files | card_pages(source.identity, cards)


def first_instant(plan: Plan) -> datetime:
    """Return the plan's own first instant: a build without a given time is dated by what it shows."""
    instants = [entry.value for entry in plan.ledger.entries.values() if isinstance(entry.value, datetime)]
    if not instants:
        raise RenderError("the plan holds no time at all")
    return min(instants)


def page_rendered(template: str, name: str, links: Sequence[Link], frame: dict[str, Any], **names: Any) -> str:
    """Return one page of a mission, with its place among the others."""
    place = next(i for i, link in enumerate(links, 1) if link.name == name)
    title = links[place - 1].title
    return templates.rendered(template, name=name, title=title, place=place, places=len(links), **frame, **names)


def _page(page: Page, links: Sequence[Link], frame: dict[str, Any]) -> bytes:
    return page_rendered("page.html", page.name, links, frame, blocks=page.blocks, front=page.front).encode()


def card_pages(identity: Identity, cards: Sequence[Card]) -> Files:
    """Return the cards as pages to print, one to an A5 page and two to an A4 sheet; the cards are rendered once."""
    deck = templates.rendered(
        "deck.html",
        identity=identity,
        cards=cards,
        short=paper.SHORT_CAUTION,
        heading=head_text(identity),
        beside=note_beside,
    )
    style = _deck_style(deck)
    names = {"identity": identity, "deck": deck, "style": style, "style_hash": _hash(style), "root": "../"}
    return {
        f"{CARDS}.html": templates.rendered("cards.html", sheet="a5", **names).encode(),
        "cards-two-up.html": templates.rendered("cards.html", sheet="two-up", **names).encode(),
    }


def _deck_style(deck: str) -> str:
    """Return the measures of the cards and the widths of their columns: the one style that stands in a page itself."""
    measures = "".join(f"--{name}:{points}pt;" for name, points in MEASURES.items())
    widths = sorted(set(COLUMN.findall(deck)))
    return f".deck{{{measures}}}" + "".join(f".w-{width}{{width:{int(width) / 100:.2f}pt}}" for width in widths)


def _hash(style: str) -> str:
    """Return what a content security policy names an inline style by (W3C CSP level 3, hash-source)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()


PAPERS = {
    "cards-a5.pdf": "Cards, A5, one to a page (all four sizes are tagged for reading aloud)",
    "cards-a4-two-up.pdf": "Cards, two to an A4 sheet, with cut marks",
    "cards-half-letter.pdf": "Cards, half Letter, one to a page",
    "cards-letter-two-up.pdf": "Cards, two to a Letter sheet, with cut marks",
}
OFFERED = {
    "plan.json": "The whole plan (JSON)",
    "route.gpx": "The route and the planned track (GPX 1.1)",
    "route.geojson": "The route on a map (GeoJSON)",
    "navlog.csv": "The navigation log (CSV)",
}
