"""The documents of every demo mission: links, figures, cards, paper, and the same bytes twice."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from datetime import UTC, datetime
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pypdf
import pytest

from briefgen.document import build_site, explain_text, findings_text, fingerprint, plan_json, printed, terminal_text
from briefgen.document.cards.contents import all_cards
from briefgen.document.cards.layout import HEIGHT, MEASURES, WIDTH, height
from briefgen.document.cards.paper import page_count, pdf_files
from briefgen.document.pages.contents import site_pages
from briefgen.document.parts.assemble import source_of
from briefgen.document.parts.blocks import BlanksBlock, Card, FindingsBlock, NoteBlock, TableBlock, TimelineBlock
from briefgen.document.site import first_instant, folder_name
from briefgen.document.write import write_site
from briefgen.errors import UsageError
from briefgen.model.plan import POSITIONS, Plan
from briefgen.planning.review.aside import SET_ASIDE
from tests.shared.demo_missions import NAMES, ROOT, T5_INSTEAD, demo_site, plan_edited, plan_of

SHEETS = ROOT / "tests" / "published" / "paper_sizes.csv"
POINT_MM = 25.4 / 72
DEMO = "lrf-0412-cedar-lantern"
# What one can leaf through on a knee: common practice, no published source.
MOST_CARDS = {
    "captain": 12, "co-pilot": 10, "flight engineer": 12, "navigator": 11, "radio operator": 6, "loadmaster": 6,
}  # fmt: skip
GOES_ON = re.compile(r" (\d+) of (\d+)$")
NUMBERS_BYTES = 1_250_000


class Markup(HTMLParser):
    """Collects ids, addresses and, card by card, the text outside drawings."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.ids: list[str] = []
        self.addresses: list[str] = []
        self.headings: list[int] = []
        self.cards: list[str] = []
        self.charted: list[bool] = []
        self._drawing = self._card = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.ids += [given["id"]] if given.get("id") else []
        self.addresses += [value for name in ("href", "src") if (value := given.get(name))]
        self.headings += [int(tag[1])] if re.fullmatch(r"h[1-6]", tag) else []
        if tag == "article":
            self._card = 1
            self.cards.append("")
            self.charted.append(False)
        if tag == "svg":
            self._drawing += 1
            self.charted[-1:] = [True]

    def handle_endtag(self, tag: str) -> None:
        self._drawing -= tag == "svg"
        if tag == "article":
            self._card = 0

    def handle_data(self, data: str) -> None:
        if self._card and not self._drawing:
            self.cards[-1] += data


@cache
def parsed(path: Path) -> Markup:
    """Return what a page holds; the site of a run does not change, so each page is read once."""
    markup = Markup()
    markup.feed(path.read_text(encoding="utf-8"))
    return markup


@pytest.fixture(scope="module")
def plans() -> list[Plan]:
    return [plan_of(name) for name in NAMES]


@pytest.fixture(scope="module")
def demo(plans: list[Plan]) -> Plan:
    return next(plan for plan in plans if plan.mission.name == "Cedar Lantern")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("documents") / "site"
    write_site(demo_site(pdf=True), out)
    return out


@pytest.fixture(scope="module")
def decks(plans: list[Plan]) -> dict[str, tuple[Card, ...]]:
    """The cards of each mission by its name."""
    return {plan.mission.name: all_cards(source_of(plan)) for plan in plans}


def test_the_same_cards_are_set_with_the_same_bytes(plans: list[Plan], decks: dict[str, tuple[Card, ...]]) -> None:
    """Nothing of the machine, the clock or the order of a set gets into a PDF; of all else the kept site is the proof."""
    site, compared = demo_site(pdf=True), 0
    for plan in plans:
        cards = decks[plan.mission.name]
        for name, content in pdf_files(source_of(plan).identity, cards, first_instant(plan)).items():
            assert site[f"{folder_name(plan)}/{name}"] == content, (plan.mission.name, name)
            compared += 1

    assert compared == sum(name.endswith(".pdf") for name in site)


def test_a_given_time_dates_the_pdf(demo: Plan, tmp_path: Path) -> None:
    """The time of a build is an argument; the default is the plan's own first instant."""
    build_site([demo], tmp_path / "site", built_at=datetime(2027, 1, 2, 3, 4, 5, tzinfo=UTC))
    made = pypdf.PdfReader(tmp_path / "site" / DEMO / "cards-a5.pdf").metadata

    assert made is not None
    assert made.creation_date == datetime(2027, 1, 2, 3, 4, 5, tzinfo=UTC)


def test_every_link_resolves_inside_the_site(site: Path) -> None:
    """Pages, anchors, styles, fonts and files: each address is there, and none leads to another host."""
    pages = {path: parsed(path) for path in site.rglob("*.html")}
    idents = {path: set(markup.ids) for path, markup in pages.items()}
    broken = []
    for path, markup in pages.items():
        for address in markup.addresses:
            if address.startswith("data:"):
                continue
            name, _, anchor = address.partition("#")
            target = (path.parent / name).resolve() if name else path
            if not target.is_file() or (anchor and anchor not in idents[target]):
                broken.append((path.name, address))

    assert broken == []


def test_styles_and_scripts_fetch_nothing_from_elsewhere(site: Path) -> None:
    """No address of another host in any page, style or script; the names of formats are not addresses."""
    names = {"http://www.w3.org/2000/svg"}
    for path in (*site.rglob("*.html"), *site.rglob("*.css"), *site.rglob("*.js")):
        found = set(
            re.findall(
                r"""(?:src|href|url|@import)\s*[=(]?\s*["']?((?:https?:)?//[^"')\s]+)""", path.read_text("utf-8")
            )
        )

        assert found <= names, path


def test_headings_are_in_order_and_ids_occur_once(site: Path) -> None:
    """One first heading a page, no level skipped on the way down."""
    for path in site.rglob("*.html"):
        markup = parsed(path)

        assert markup.headings.count(1) == 1, path
        assert all(b - a <= 1 for a, b in zip([0, *markup.headings], markup.headings, strict=False)), path
        assert [name for name, count in Counter(markup.ids).items() if count > 1] == [], path


def test_every_page_carries_identity_and_caution(demo: Plan, site: Path) -> None:
    """Mission, number, revision, page n of m, digest and the caution stand on every page of a mission."""
    for path in (site / DEMO).glob("*.html"):
        text = path.read_text(encoding="utf-8")
        for part in (
            "LRF-0412",
            "Cedar Lantern",
            "revision 3",
            fingerprint(demo)[:12],
            "Not a substitute for the approved flight manual",
        ):
            assert part in text, (path, part)


def test_no_braces_are_left_over(site: Path) -> None:
    """No text quotes an entry by a key that nobody filled in."""
    for path in (*site.rglob("*.html"), *site.rglob("*.csv")):
        assert not re.search(r"\{[a-z0-9_.\-]+\}", path.read_text(encoding="utf-8")), path


def test_every_table_of_the_plan_stands_on_a_page(demo: Plan, site: Path) -> None:
    """Each entry of each table is printed with its figure somewhere, linked to how it was worked out."""
    figures = printed(demo)
    shown = "".join(path.read_text(encoding="utf-8") for path in (site / DEMO).glob("*.html"))
    linked = set(re.findall(r'href="numbers\.html#([^"]+)"', shown))
    wanted = {key for table in demo.tables.values() for row in table.rows for key in row.cells.values() if figures[key]}

    assert wanted <= linked


def test_the_page_of_numbers_holds_every_entry_once(demo: Plan, site: Path) -> None:
    """How each number was worked out: every entry of the ledger has its row."""
    ids = [name for name in parsed(site / DEMO / "numbers.html").ids if name in demo.ledger]

    assert ids == sorted(ids, key=ids.index)
    assert set(ids) == set(demo.ledger.entries)


# --- cards ------------------------------------------------------------------------------------------------------------


def sheets() -> list[dict[str, str]]:
    with SHEETS.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize("sheet", sheets(), ids=lambda sheet: sheet["sheet"])
def test_paper_has_its_published_size(sheet: dict[str, str], site: Path) -> None:
    """Every page of every PDF has the size of its sheet, to a hundredth of a millimetre."""
    for page in pypdf.PdfReader(site / DEMO / sheet["sheet"]).pages:
        size = (float(page.mediabox.width) * POINT_MM, float(page.mediabox.height) * POINT_MM)

        assert size == pytest.approx((float(sheet["width_mm"]), float(sheet["height_mm"])), abs=0.01)


def test_each_card_is_one_page_in_every_edition(site: Path) -> None:
    """As many A5 and half-Letter pages as cards, half as many two-up sheets."""
    for folder in (path for path in site.iterdir() if (path / "cards.html").is_file()):
        cards = len(parsed(folder / "cards.html").cards)
        pages = {name: len(pypdf.PdfReader(folder / name).pages) for name in (sheet["sheet"] for sheet in sheets())}

        assert pages == {
            "cards-a5.pdf": cards, "cards-half-letter.pdf": cards,
            "cards-a4-two-up.pdf": -(-cards // 2), "cards-letter-two-up.pdf": -(-cards // 2),
        }  # fmt: skip


def test_no_position_carries_more_cards_than_can_be_handled(
    plans: list[Plan], decks: dict[str, tuple[Card, ...]]
) -> None:
    """Every demo mission: hours with two passes, ten hours over the sea, thirty short legs of a pattern, 37 findings."""
    for plan in plans:
        found = Counter(card.position for card in decks[plan.mission.name])

        assert {who: n for who, n in found.items() if n > MOST_CARDS[who]} == {}, plan.mission.name
        assert set(found) == {member.position for member in plan.mission.crew}


def test_of_many_legs_those_that_bind_stand_on_the_card(plans: list[Plan], decks: dict[str, tuple[Card, ...]]) -> None:
    """Plumb Line, 24 legs in level flight on one engine: the six of least service ceiling, and the card says so."""
    plan = next(plan for plan in plans if plan.mission.name == "Plumb Line")
    tables = [block for card in decks["Plumb Line"] if card.position == "captain" for block in card.blocks
              if isinstance(block, TableBlock) and block.name == "engines_out"]  # fmt: skip
    rows = plan.tables["engines_out"].rows
    service = sorted(float(plan.ledger[row.cells["service_one"]].value) for row in rows)
    shown = [
        cell.key for block in tables for row in block.rows for cell in row.cells if cell.key.endswith("service_one")
    ]

    assert sorted(float(plan.ledger[key].value) for key in shown) == service[:6]
    assert any("Worst 6 of 24 legs; all on the site." in block.note for block in tables)


def test_a_summary_is_one_card_and_says_what_is_left_out(plans: list[Plan], decks: dict[str, tuple[Card, ...]]) -> None:
    """Paper Kite fails most of its rules: what fails comes first, the rest is counted and stands on the review page."""
    for plan in plans:
        cards = [card for card in decks[plan.mission.name] if card.title.startswith("Summary")]
        assert len(cards) == len({card.position for card in cards})
        for card in cards:
            lines = [item for block in card.blocks if isinstance(block, FindingsBlock) for item in block.items]
            notes = [block.text for block in card.blocks if isinstance(block, NoteBlock)]
            wanting = sum(finding.outcome != "pass" for finding in plan.findings)
            order = [line.outcome for line in lines]

            assert order == sorted(order, key=["fail", "caution"].index)
            if len(lines) < wanting:
                assert f"and {wanting - len(lines)} more, see the review page" in notes


def test_only_those_aboard_carry_cards_and_nothing_is_left_behind(
    plans: list[Plan], decks: dict[str, tuple[Card, ...]]
) -> None:
    """Plumb Line flies with three: fuel is on the co-pilot's cards, the load on the captain's, a log of fuel on the navigator's."""
    plan = next(plan for plan in plans if plan.mission.name == "Plumb Line")
    cards = decks["Plumb Line"]
    steps = [
        deed.steps for card in cards if card.position == "captain" for block in card.blocks
        if isinstance(block, TimelineBlock) for moment in block.moments for deed in moment.deeds if deed.steps
    ]  # fmt: skip

    assert {card.position for card in cards} == {member.position for member in plan.mission.crew}
    for who, name in (("co-pilot", "fuel.required"), ("captain", "balance.load"), ("navigator", "legs")):
        assert any(getattr(b, "name", "") == name for card in cards if card.position == who for b in card.blocks), who
    assert steps


def test_cards_are_full_before_the_next_begins(decks: dict[str, tuple[Card, ...]]) -> None:
    """A card whose last section goes on is at least four fifths full; only the last of a deck may be half empty."""
    cards = decks["Cedar Lantern"]
    goes_on = [card for card in cards if (part := GOES_ON.search(card.title)) and int(part[1]) < int(part[2])]

    assert [(card.position, card.title, round(card.fill, 2)) for card in goes_on if card.fill < 0.8] == []
    within = [card for card, after in pairwise(cards) if card.position == after.position]
    assert [(card.position, card.title, round(card.fill, 2)) for card in within if card.fill < 0.6] == []
    assert sum(card.fill for card in cards) / len(cards) > 0.85


def test_every_card_of_every_mission_fits_its_page(decks: dict[str, tuple[Card, ...]]) -> None:
    """By the measures the cards are dealt with: no card holds more than stands on it."""
    for mission, cards in decks.items():
        for card in cards:
            used = sum(height(block) for block in card.blocks) - MEASURES["gap"]

            assert used <= (WIDTH if card.sideways else HEIGHT), (mission, card.position, card.title)


def test_the_same_flight_on_an_aircraft_of_charts_makes_one_page_a_card(tmp_path: Path) -> None:
    """Cedar Lantern flown on the T5 and her book: other figures, other rows, still a page a card."""
    plan = plan_edited(
        tmp_path,
        "cedar-lantern",
        *T5_INSTEAD,
        ("cedar-lantern.yaml", "      configuration: one third flap\n", ""),  # of which the book has no level flight
    )
    source = source_of(plan)
    cards = all_cards(source)

    assert page_count(pdf_files(source.identity, cards, first_instant(plan))["cards-a5.pdf"]) == len(cards)


def test_a_position_is_given_its_own_levers_and_room_to_write(demo: Plan, decks: dict[str, tuple[Card, ...]]) -> None:
    """Each change of power the flight engineer makes is numbered lever by lever; each moment has a blank 18 mm wide."""
    cards = [card for card in decks["Cedar Lantern"] if card.position == "flight engineer"]
    moments = [m for card in cards for block in card.blocks if isinstance(block, TimelineBlock) for m in block.moments]
    steps = [deed.steps for moment in moments for deed in moment.deeds if deed.steps]
    events = [event for event in demo.events if event.kind == "power" and "flight engineer" in event.positions]

    assert [len(event.steps) for event in events] == [len(step) for step in steps]
    assert MEASURES["actual"] * POINT_MM >= 18.0
    assert any(isinstance(block, BlanksBlock) for card in cards for block in card.blocks)


def test_the_review_page_is_ready_to_be_signed(demo: Plan, site: Path) -> None:
    """Verdict, every finding that is not simply met with figures and rule, assumptions with their lines, lines to sign."""
    text = (site / DEMO / "review.html").read_text(encoding="utf-8")
    markup = parsed(site / DEMO / "review.html")

    assert all(f"rule-{found.ident}" in markup.ids for found in demo.findings if found.outcome != "pass")
    for part in (
        "Verdict",
        fingerprint(demo),
        "Assumptions",
        "Approved by",
    ):
        assert part in text
    contingency = demo.ledger["fuel.contingency_ratio"].given
    assert contingency is not None
    assert f"{contingency.file}, line {contingency.line}" in text


def test_a_rule_set_aside_stands_on_the_review_page_with_reason_and_by_whom() -> None:
    """Mudlark's rule set leaves four rules out: each with why and which set says so, in a table of its own."""
    plan = plan_of("mudlark")
    (review,) = (page for page in site_pages(source_of(plan)) if page.name == "review")
    (block,) = (one for one in review.blocks if isinstance(one, TableBlock) and one.name == SET_ASIDE.name)
    rows = {row.cells[0].text: [cell.text for cell in row.cells[1:3]] for row in block.rows}

    assert len(rows) == 4
    assert rows["Go on after an engine failure"] == [
        "the same; an engine failing before the safe speed means landing straight ahead", "House rules for rough strips",
    ]  # fmt: skip
    assert "ASIDE   Go on after an engine failure" in findings_text(plan)


def test_the_front_page_leads_to_each_finding(demo: Plan, site: Path) -> None:
    """What needs attention stands on the front page in two lines and leads to the whole of it."""
    addresses = parsed(site / DEMO / "index.html").addresses

    for found in demo.findings:
        assert (f"review.html#rule-{found.ident}" in addresses) == (found.outcome != "pass")


def test_the_page_of_numbers_is_lean(site: Path) -> None:
    """Some three thousand entries with their ways there and back, in a file a slow tablet opens."""
    assert (site / DEMO / "numbers.html").stat().st_size < NUMBERS_BYTES


def characters(text: str) -> Counter[str]:
    """Return the characters of a text without regard to spaces and their order on the page."""
    return Counter(re.sub(r"\s", "", text))


def test_page_and_paper_say_the_same(site: Path) -> None:
    """Card by card, the text of the web page and that of the PDF are the same; a drawing only adds to the PDF."""
    for folder in (path for path in site.iterdir() if (path / "cards.html").is_file()):
        markup = parsed(folder / "cards.html")
        pages = pypdf.PdfReader(folder / "cards-a5.pdf").pages
        for number, (card, charted, page) in enumerate(zip(markup.cards, markup.charted, pages, strict=True), 1):
            on_page, on_paper = characters(card), characters(page.extract_text())

            assert on_page - on_paper == Counter(), (folder.name, number)
            assert charted or on_paper - on_page == Counter(), (folder.name, number)


def test_the_pdf_is_tagged_and_its_fonts_are_inside(site: Path) -> None:
    """PDF/UA: tags, language, title; every font embedded."""
    reader = pypdf.PdfReader(site / DEMO / "cards-a5.pdf")
    root = reader.trailer["/Root"]
    fonts = [font.get_object() for page in reader.pages for font in page["/Resources"].get("/Font", {}).values()]
    inner = [part.get_object() for font in fonts for part in font.get("/DescendantFonts", [font])]

    assert root["/MarkInfo"]["/Marked"] is True or str(root["/MarkInfo"]["/Marked"]) == "True"
    assert root["/Lang"] == "en"
    assert "LRF-0412 Cedar Lantern" in str(reader.metadata.title)  # type: ignore[union-attr]
    assert fonts
    assert all("B612" in str(font["/BaseFont"]) for font in inner)
    assert all(
        any(name in font["/FontDescriptor"] for name in ("/FontFile", "/FontFile2", "/FontFile3")) for font in inner
    )


def test_every_position_has_its_deck_in_order(site: Path) -> None:
    """Cards of one position follow each other and are numbered 1 of n to n of n."""
    names = re.findall(
        r'<p class="position">([a-z -]+) (\d+) of (\d+)</p>', (site / DEMO / "cards.html").read_text("utf-8")
    )
    decks = {position: [(int(i), int(n)) for name, i, n in names if name == position] for position in POSITIONS}

    assert [name for i, (name, _, _) in enumerate(names) if i == 0 or names[i - 1][0] != name] == list(POSITIONS)
    assert all(deck == [(i, len(deck)) for i in range(1, len(deck) + 1)] for deck in decks.values())


# --- text -------------------------------------------------------------------------------------------------------------


def test_the_terminal_shows_what_the_pages_show(demo: Plan) -> None:
    """Legs, power, fuel and balance with the figures of plan.json."""
    text, figures = terminal_text(demo), json.loads(plan_json(demo))["entries"]

    for key in ("fuel.required.total", "fuel.margin", "mass.take_off"):
        assert figures[key]["printed"] in text
    for title in ("Fuel required and on board", "Power table", "Navigation log", "Review:"):
        assert title in text


def test_explain_unfolds_down_to_what_was_given(demo: Plan) -> None:
    """The tree under the fuel margin reaches a line of the specification."""
    text = explain_text(demo, "fuel.margin")

    assert text.startswith("Fuel over what is required = ")
    assert "(fuel.required.total)" in text
    assert "cedar-lantern.yaml:" in text


def test_explain_offers_the_nearest_name(demo: Plan) -> None:
    """A misspelt key is answered with the keys like it."""
    with pytest.raises(UsageError) as caught:
        explain_text(demo, "fuel.marginn")

    assert caught.value.text().splitlines()[0] == "the plan has no entry called 'fuel.marginn'"
    assert "fuel.margin" in caught.value.hint
