"""The documents of every demo mission: links, figures, cards, paper, and the same bytes twice."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from collections import Counter
from collections.abc import Sequence
from datetime import UTC, datetime
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pypdf
import pytest

from briefgen.document import build_site, explain_text, findings_text, fingerprint, plan_json, printed, terminal_text
from briefgen.document.cards.blocks import Card, Chart, Grid
from briefgen.document.cards.contents import all_cards
from briefgen.document.cards.layout import HEIGHT, LONG_HEIGHT, MEASURES, height
from briefgen.document.cards.paper import SHEETS as PAPERS
from briefgen.document.cards.paper import Sheet, page_count, pdf_files
from briefgen.document.cards.shared import SHARED
from briefgen.document.pages.contents import site_pages
from briefgen.document.parts.assemble import source_of
from briefgen.document.parts.blocks import TableBlock
from briefgen.document.parts.measure import width_em
from briefgen.document.site import first_instant, folder_name
from briefgen.document.write import write_site
from briefgen.errors import UsageError
from briefgen.model.mission import Leg
from briefgen.model.plan import POSITIONS, Plan
from briefgen.planning.review.aside import SET_ASIDE
from tests.shared.demo_missions import NAMES, ROOT, T5_INSTEAD, demo_site, plan_edited, plan_of

SHEETS = ROOT / "tests" / "published" / "paper_sizes.csv"
POINT_MM = 25.4 / 72
DEMO = "lrf-0412-cedar-lantern"
# What one can leaf through on a knee: common practice, no published source. Cedar Lantern is a day like others; the longer or
# worse planned ones are held to what they come to, so that no change makes them grow unseen.
MOST_CARDS = {"Cedar Lantern": 7, "Long Tide": 8, "Mudlark": 7, "Paper Kite": 9, "Plumb Line": 15}
TERN_NAMED = (("places/coral-sea.yaml", "name: Tern Bank"),)
LEAST_TYPE_PT = 10.0  # UK CAA CAP 676 chapter 7
ENTRY_BYTES = 400  # of the page of numbers: label, key, figure, method, source and the links there and back


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

    folders = {folder_name(plan) for plan in plans}
    assert compared == sum(name.endswith(".pdf") and name.split("/")[0] in folders for name in site)


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
    """Each entry of each table is printed with its figure somewhere, linked to how it was worked out; the cards' own, on a card."""
    figures = printed(demo)
    shown = "".join(path.read_text(encoding="utf-8") for path in (site / DEMO).glob("*.html"))
    linked = set(re.findall(r'href="numbers\.html#([^"]+)"', shown))
    cells = {
        (name, key)
        for name, table in demo.tables.items()
        for row in table.rows
        for key in row.cells.values()
        if figures[key]
    }
    for_cards = {key for name, key in cells if name.startswith("briefing.")} - linked
    numbers = sorted(key for key in for_cards if not isinstance(demo.ledger[key].value, str))
    cards = " ".join(re.sub(r"<[^>]*>", " ", (site / DEMO / "cards.html").read_text(encoding="utf-8")).split())

    assert {key for _, key in cells} - for_cards <= linked
    assert [key for key in numbers if html.escape(figures[key]) not in cards] == []


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
    """Hours with two passes keep to seven a position; every position aboard carries some, and what all share is apart."""
    for plan in plans:
        found = Counter(card.position for card in decks[plan.mission.name])
        crew = {member.position for member in plan.mission.crew}

        assert {who: n for who, n in found.items() if who in crew and n > MOST_CARDS[plan.mission.name]} == {}
        assert crew <= set(found) <= crew | set(SHARED)


def test_both_pilots_carry_the_same_seven_faces(decks: dict[str, tuple[Card, ...]]) -> None:
    """ "Card 5" means one thing to both, and its tab stands at its own height."""
    for cards in decks.values():
        faces = {
            who: [(card.tab, card.title) for card in cards if card.position == who] for who in ("captain", "co-pilot")
        }
        first = {who: [face for face in found if face[0] <= 7] for who, found in faces.items()}

        assert first["captain"] == first["co-pilot"]
        assert {tab for tab, _ in first["captain"]} == set(range(1, 8))


def test_every_event_is_carried_by_those_it_is_addressed_to(
    plans: list[Plan], decks: dict[str, tuple[Card, ...]]
) -> None:
    """Each event stands, at its minute, on a card of every position it is addressed to; of the pilots on route and power."""
    for plan in plans:
        figures = source_of(plan).printed
        for member in plan.mission.crew:
            cards = [card for card in decks[plan.mission.name] if card.position == member.position]
            if member.position in ("captain", "co-pilot"):
                cards = [card for card in cards if card.tab in (3, 4)]
            rows = [row for card in cards for block in card.blocks if isinstance(block, Grid) for row in block.rows]
            shown = {
                n: "".join(f"{line.lead} {line.text} " for cell in row.cells for line in cell.lines)
                for row in rows
                for n in row.events
            }
            wanted = {
                n: figures[event.time_key]
                for n, event in enumerate(plan.events)
                if not event.positions or member.position in event.positions
            }
            missing = [
                (plan.events[n].kind, time, plan.events[n].text)
                for n, time in wanted.items()
                if time not in shown.get(n, "") and not _log_begins(plan, n, shown)
            ]

            assert missing == [], (plan.mission.name, member.position)


def _log_begins(plan: Plan, number: int, shown: dict[int, str]) -> bool:
    """Return whether a phase is told by the row of the navigation log that ends it: it begins where the row before ends."""
    return number in shown and plan.events[number].kind == "phase"


def test_a_figure_on_a_card_is_the_entry_it_names(plans: list[Plan], decks: dict[str, tuple[Card, ...]]) -> None:
    """What a line shows of an entry is the entry as printed, alone or within the words about it."""
    for plan in plans:
        figures, compared = source_of(plan).printed, 0
        for card in decks[plan.mission.name]:
            for line in card.texts():
                if line.key and any(char.isdigit() for char in line.text) and figures[line.key][:1].isdigit():
                    assert figures[line.key] in f"{line.lead} {line.text}", (card.title, line)
                    compared += 1

        assert compared > 300


def test_a_mission_that_does_not_pass_says_so_on_every_card(
    plans: list[Plan], decks: dict[str, tuple[Card, ...]]
) -> None:
    """With how many requirements are not met; one that passes has no band."""
    for plan in plans:
        count = sum(finding.outcome == "fail" for finding in plan.findings)
        bands = {card.band for card in decks[plan.mission.name]}

        assert len(bands) == 1
        assert (f"Does not pass: {count} requirement" in next(iter(bands))) == (count > 0)


def test_the_front_is_one_card_and_says_what_is_left_out(plans: list[Plan], decks: dict[str, tuple[Card, ...]]) -> None:
    """Paper Kite fails most of its rules: what fails comes first, the rest is counted and stands on the review page."""
    for plan in plans:
        (front,) = (card for card in decks[plan.mission.name] if card.position == "captain" and card.tab == 1)
        text = " ".join(f"{line.lead} {line.text}" for line in front.texts())
        titles = [source_of(plan).printed.text(finding.title) for finding in plan.findings if finding.outcome != "pass"]
        told = sum(f"{title}:" in text for title in titles)
        counted = sum(int(number) for number in re.findall(r"(\d+) (?:more|cautions), see the review page", text))

        assert told + counted >= len(titles)


def test_every_card_of_every_mission_fits_its_page(decks: dict[str, tuple[Card, ...]]) -> None:
    """By the measures the cards are dealt with: no card holds more than stands on it."""
    for mission, cards in decks.items():
        for card in cards:
            used = sum(height(block) for block in card.blocks) - MEASURES["gap"]
            room = (LONG_HEIGHT if card.landscape else HEIGHT) - (MEASURES["band-room"] if card.band else 0.0)

            assert used <= room + 1e-6, (mission, card.position, card.title)


THREE_LEGS = (
    "cedar-lantern",
    (
        "cedar-lantern.yaml",
        '    - to: MARLIN\n      altitude: "8,500 ft"\n      cruise: long range\n      safe altitude: "3,400 ft"\n      procedure: night departure Harrow 14    # by night only a procedure lets her be below the safe altitude\n',
        "",
    ),
    ("cedar-lantern.yaml", "  - { at: MARLIN, position: radio operator, says: Position report to Lantern base }\n", ""),
)
FORTY_LEGS = (
    "plumb-line",
    ("plumb-line.yaml", "      length: 16 NM\n", "      length: 4 NM\n"),
    ("plumb-line.yaml", "      lines: 6\n", "      lines: 14\n"),
)


def printed_within(made: bytes, paper: Sheet) -> list[Counter[str]]:
    """Return the characters of each page of a PDF, after every text on it was found within the card it stands on."""
    wide_pt = paper.width_mm / paper.across / POINT_MM
    outside: list[tuple[int, str]] = []
    found = []
    for number, page in enumerate(pypdf.PdfReader(io.BytesIO(made)).pages, 1):

        def noted(
            text: str, cm: list[float], tm: list[float], _font: object, size: float, number: int = number
        ) -> None:
            left, up = cm[0] * tm[4] + cm[2] * tm[5] + cm[4], cm[1] * tm[4] + cm[3] * tm[5] + cm[5]
            reach = width_em(text.strip()) * size * cm[0] * tm[0]  # nothing of a text that is turned
            if text.strip() and not (
                left % wide_pt > 0.0 and left % wide_pt + reach < wide_pt and 0.0 < up < paper.height_mm / POINT_MM
            ):
                outside.append((number, text))

        found.append(characters(page.extract_text(visitor_text=noted)))
    assert outside == [], paper.name
    return found


def assert_every_sheet_holds(plan: Plan, cards: Sequence[Card]) -> None:
    """On every size of sheet each card is a page of its own, holds every line of its entries, and nothing leaves it."""
    lines = [characters("".join(f"{line.lead}{line.text}" for line in card.texts())) for card in cards]
    files = pdf_files(source_of(plan).identity, cards, first_instant(plan))
    for paper in PAPERS:
        pages = printed_within(files[paper.name], paper)
        wanted = [sum(lines[i : i + paper.across], Counter()) for i in range(0, len(lines), paper.across)]

        assert len(pages) == len(wanted), paper.name
        assert [number for number, (page, want) in enumerate(zip(pages, wanted, strict=True), 1) if want - page] == []


@pytest.mark.parametrize(("edit", "legs"), [(THREE_LEGS, 3), (FORTY_LEGS, 40)], ids=["three legs", "forty legs"])
def test_a_mission_of_three_legs_and_one_of_forty_make_one_page_a_card(
    tmp_path: Path, edit: tuple[str, *tuple[tuple[str, str, str], ...]], legs: int
) -> None:
    """What runs over has heads, tells how things stood, and has a letter of its own."""
    plan = plan_edited(tmp_path, *edit)
    cards = [card for card in all_cards(source_of(plan)) if card.position in ("captain", "navigator")]
    route = [card for card in cards if card.position == "captain" and card.tab == 3]

    assert sum(isinstance(item, Leg) for item in plan.mission.route.items) >= legs
    assert_every_sheet_holds(plan, cards)
    assert [card.part for card in route] == (list("abcdefgh"[: len(route)]) if len(route) > 1 else [""])


def test_very_long_names_make_one_page_a_card(tmp_path: Path) -> None:
    """A name is broken over lines, never cut."""
    name = "Saint Bartholomew of the Outer Reef and the Four Winds"
    plan = plan_edited(
        tmp_path,
        "cedar-lantern",
        ("cedar-lantern.yaml", "name: Cedar Lantern", f"name: {name}"),
        *((file, old, old.replace("Tern Bank", name)) for file, old in TERN_NAMED),
    )
    cards = [card for card in all_cards(source_of(plan)) if card.position in ("captain", "navigator", "radio operator")]
    shown = [line.text for card in cards for line in card.texts()]

    assert_every_sheet_holds(plan, cards)
    assert any(name in text for text in shown)
    assert not any("…" in text for text in shown)


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


def test_an_emergency_is_never_parted(plans: list[Plan], decks: dict[str, tuple[Card, ...]]) -> None:
    """Each stands whole on one of the cards that all share, under its name."""
    for plan in plans:
        cards = [card for card in decks[plan.mission.name] if card.position == "emergencies"]
        grids = [block for card in cards for block in card.blocks if isinstance(block, Grid)]
        names = [grid.rows[0].name.lower() for grid in grids]

        assert names == [one.name.lower() for one in plan.mission.aircraft.emergencies]


def test_the_take_off_card_says_who_calls_what_at_which_speed(demo: Plan, decks: dict[str, tuple[Card, ...]]) -> None:
    """Each call of the aircraft file beside the plan's speed it belongs to; the drawing marks the place of the decision."""
    card = next(card for card in decks["Cedar Lantern"] if card.position == "captain" and card.tab == 2)
    speeds = next(block for block in card.blocks if isinstance(block, Grid) and block.name == "speeds")
    told = {
        (row.cells[0].lines[0].text if row.cells[0].lines else "", line.lead, line.text)
        for row in speeds.rows if len(row.cells) == 3 for line in row.cells[2].lines
    }  # fmt: skip
    figures = source_of(demo).printed
    fails, unstick, safe = (
        figures[key]
        for key in ("fields.take_off.lx01.critical_ias", "take_off.unstick_ias", "fields.take_off.lx01.safe_ias")
    )
    drawing = next(block.drawing for block in card.blocks if isinstance(block, Chart))

    assert {
        ("", "ENG", "“power set”"),
        (fails, "COP", "“going”"),
        (unstick, "COP", "“unstick”"),
        (safe, "CAP", "“gear up”"),
    } <= told
    assert f"{figures['fields.take_off.lx01.critical_run']} decide" in drawing.description
    assert "eights to scale" in drawing.description or "times too large" in drawing.description


def test_the_map_draws_how_far_from_an_alternate_she_may_be(plans: list[Plan]) -> None:
    """A ring around each alternate: an hour, or the longest way that a rule of the set allows."""
    for plan in plans:
        allowed = [rule.parameters["within"] for rule in plan.mission.rules.rules if "within" in rule.parameters]
        cruises = [
            entry.value for key, entry in plan.ledger.entries.items() if re.fullmatch(r"phase\.cruise-[^.]+\.tas", key)
        ]

        assert plan.ledger["briefing.reach.time"].value == (allowed[0] if allowed else 3600.0)
        assert plan.ledger["briefing.reach.radius"].value == pytest.approx(
            min(cruises) * plan.ledger["briefing.reach.time"].value
        )


def test_the_engineer_is_given_every_lever_of_a_change(demo: Plan, decks: dict[str, tuple[Card, ...]]) -> None:
    """Beside manifold pressure, engine speed and mixture each lever that moves with a setting is named under it."""
    rows = [
        row for card in decks["Cedar Lantern"] if card.position == "flight engineer"
        for block in card.blocks if isinstance(block, Grid) for row in block.rows
    ]  # fmt: skip
    figures = source_of(demo).printed
    for number, event in enumerate(demo.events):
        if event.kind != "power" or "flight engineer" not in event.positions:
            continue
        at = next(i for i, row in enumerate(rows) if number in row.events)
        text = " ".join(line.text for row in rows[at : at + 2] for cell in row.cells for line in cell.lines).lower()
        others = [step for step in event.steps if not step.startswith(("Manifold", "Engine speed", "Mixture"))]

        assert all(figures.text(step).lower() in text for step in others), event


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
    """Some four thousand entries with their ways there and back, in a file a slow tablet opens: few bytes for each."""
    entries = json.loads((site / DEMO / "plan.json").read_text(encoding="utf-8"))["entries"]

    assert (site / DEMO / "numbers.html").stat().st_size < ENTRY_BYTES * len(entries)


def test_a_page_is_light(site: Path) -> None:
    """Every page of a day like Cedar Lantern but the list of numbers and the printed cards: at most 60 kB."""
    heavy = ("numbers.html", "cards.html", "cards-two-up.html")
    sizes = {path.name: path.stat().st_size for path in (site / DEMO).glob("*.html") if path.name not in heavy}

    assert len(sizes) > 15
    assert {name: size for name, size in sizes.items() if size > 60 * 1024} == {}


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


def test_every_paper_says_the_same(site: Path) -> None:
    """Half Letter card by card, two-up sheets pair by pair."""
    single = [characters(page.extract_text()) for page in pypdf.PdfReader(site / DEMO / "cards-a5.pdf").pages]
    for paper in PAPERS[1:]:
        pages = [characters(page.extract_text()) for page in pypdf.PdfReader(site / DEMO / paper.name).pages]
        pairs = [sum(single[i : i + paper.across], Counter()) for i in range(0, len(single), paper.across)]

        assert pages == pairs, paper.name


def test_nothing_on_paper_is_smaller_than_the_least(site: Path) -> None:
    """Every letter of every card, drawings too, as the PDF sets it."""
    sizes: set[float] = set()

    def noted(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            scale = max(abs(cm[0] * tm[0] + cm[2] * tm[1]), abs(cm[1] * tm[0] + cm[3] * tm[1]))
            sizes.add(round(size * scale, 2))

    for page in pypdf.PdfReader(site / DEMO / "cards-a5.pdf").pages:
        page.extract_text(visitor_text=noted)

    assert min(sizes) >= LEAST_TYPE_PT - 0.01
    assert MEASURES["act"] in {round(size, 1) for size in sizes}


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_the_pdf_is_tagged_and_its_fonts_are_inside(site: Path, paper: Sheet) -> None:
    """Every size alike is PDF/UA: tags, language, title with number and revision, a bookmark a card; every font embedded."""
    reader = pypdf.PdfReader(site / DEMO / paper.name)
    root = reader.trailer["/Root"]
    fonts = [font.get_object() for page in reader.pages for font in page["/Resources"].get("/Font", {}).values()]
    inner = [part.get_object() for font in fonts for part in font.get("/DescendantFonts", [font])]

    assert root["/MarkInfo"]["/Marked"] is True or str(root["/MarkInfo"]["/Marked"]) == "True"
    assert root["/Lang"] == "en"
    assert "LRF-0412 Cedar Lantern, revision 3" in str(reader.metadata.title)  # type: ignore[union-attr]
    marks = [str(mark["/Title"]) for mark in reader.outline if isinstance(mark, dict)]
    assert marks[0] == "Captain 1 of 7: Front: go or not, times, fuel"
    assert len(marks) == len(parsed(site / DEMO / "cards.html").cards)
    assert fonts
    assert all("B612" in str(font["/BaseFont"]) for font in inner)
    assert all(
        any(name in font["/FontDescriptor"] for name in ("/FontFile", "/FontFile2", "/FontFile3")) for font in inner
    )


def test_every_position_has_its_deck_in_order(site: Path) -> None:
    """Cards of one position follow each other in the order of the positions, then what all share; faces are numbered 1 of n on."""
    labels = re.findall(r'<p class="position">([^<]+)</p>', (site / DEMO / "cards.html").read_text("utf-8"))
    found = [re.fullmatch(r"([A-Z][a-z -]+?)(?: (\d+)([a-z]?) of (\d+))?", label) for label in labels]
    names = [match[1].lower() for match in found if match]
    numbers = {name: [int(match[2] or 1) for match in found if match and match[1].lower() == name] for name in names}

    assert len(names) == len(labels)
    assert list(dict.fromkeys(names)) == [*POSITIONS, *SHARED]
    assert all(sorted(deck) == deck and set(deck) == set(range(1, max(deck) + 1)) for deck in numbers.values())


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
