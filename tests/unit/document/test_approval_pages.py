"""What pages and cards say of an approval: on every one of them, in one wording, and the review page tells what has changed."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from html import unescape

import pytest

from briefgen.approval.hold import with_acceptances
from briefgen.document import plan_json
from briefgen.document.cards.front import band_of
from briefgen.document.pages.approvals import accepted, approval, changes
from briefgen.document.pages.commander import commander_blocks
from briefgen.document.parts.approval import approval_sentence, changes_in_lines
from briefgen.document.parts.assemble import source_of, verdict
from briefgen.document.parts.blocks import BlanksBlock, TableBlock
from briefgen.document.site import site_files
from briefgen.model.approval import Acceptance, Approval
from briefgen.model.comparison import Asked, Comparison, Decision, FigurePair, Judged, Side
from briefgen.model.plan import Plan
from briefgen.spec import schema_text
from tests.shared.demo_missions import plan_of

TREES = "obstacles-all-engines"
ACCEPTED = (
    Acceptance(TREES, "Obstacles after take-off, all engines", "fail", "38 ft", "50 ft", "felled", "2027-03-01"),
    Acceptance("take-off-50ft", "Take-off to 50 ft", "fail", "3,009 ft", "2,508 ft", "paced again"),
)
CHANGES = Comparison(
    Side("LRF-0419", "Mudlark", 1, "a" * 64), Side("LRF-0419", "Mudlark", 1, "b" * 64), ("weather/mudlark.yaml",),
    (Asked("weather/mudlark.yaml:25", "surface[1].wind", "150T/6 kt", "270T/9 kt", 2),),
    (
        Judged("tailwind", "Tail wind", "pass", "caution", ("−2 kt", "7 kt"), ("9 kt", "9 kt"), ("11 kt", "2 kt"), 0.87),
        Judged(TREES, "Obstacles", "fail", "fail", ("38 ft", "−24 ft"), ("50 ft", "50 ft"), ("−12 ft", "−74 ft"), 4.97),
    ),
    (Decision("15:09", "15:07", "Leave by 15:09", "Leave by 15:07"),), (), (FigurePair("a.b", "A figure", "1 lb", "9 lb"),), (),
)  # fmt: skip


def approved(*stale: str, changed: Comparison | None = None) -> Plan:
    """Return Mudlark with both its failures accepted by an approval that holds, or not for the reasons given."""
    approval = Approval(
        "Orlan", "commander", "2027-02-20T12:00:00Z", "briefgen 7", "a" * 64, ACCEPTED, "", stale, changed
    )
    return with_acceptances(replace(plan_of("mudlark"), approval=approval))


def cells(block: object) -> list[tuple[str, ...]]:
    """Return the texts of a table."""
    assert isinstance(block, TableBlock)
    return [tuple(cell.text for cell in row.cells) for row in block.rows]


def test_every_page_and_every_card_of_a_stale_approval_says_so() -> None:
    """The sentence on each page, the band on each card, the tag in the head of each card, the tag in the index."""
    plan = approved("weather/mudlark.yaml has changed", changed=CHANGES)
    files = {name: content.decode() for name, content in site_files([plan], pdf=False, built_at=None).items() if name.endswith(".html")}  # fmt: skip
    sentence = approval_sentence(plan)
    decks = [text for name, text in files.items() if "/cards" in name]
    pages = {name: text for name, text in files.items() if "/" in name and "/cards" not in name}

    assert len(pages) > 10
    assert [name for name, text in pages.items() if sentence not in unescape(text)] == []
    for deck in decks:
        cards = deck.split("<article")[1:]
        assert len(cards) > 10
        assert all('class="band">× Approval stale' in card for card in cards)
        assert all(re.search(r'class="identity">[^<]*· approval stale', card) for card in cards)
    assert "; approval stale</td>" in files["index.html"]


def test_an_approval_that_holds_is_told_with_what_it_accepts() -> None:
    """The verdict counts what is accepted; the band of the cards does, too; nothing is left to sign."""
    plan = approved()
    source = source_of(plan)

    assert verdict(plan)[2] == "Does not pass: 2 requirements not met, all accepted, 5 cautions"
    assert band_of(source) == "× 2 requirements not met, accepted"
    assert source.identity.approval_told == "Approved by Orlan, commander, 2027-02-20 12:00 UTC; 2 findings accepted"
    assert not any(isinstance(block, BlanksBlock) for block in (*approval(source), *commander_blocks(source)))
    assert changes(source) == []


def test_what_is_accepted_stands_in_one_table_with_rules_set_aside_and_risks() -> None:
    """Each with its sort, reason, who and until when; a risk is there once somebody has written that he accepts it."""
    (block,) = accepted(source_of(approved()))
    rows = cells(block)

    assert rows[0] == (
        "Obstacles after take-off, all engines: 38 ft, limit 50 ft", "finding", "felled", "Orlan, commander", "2027-03-01",
    )  # fmt: skip
    assert rows[1][-1] == "as long as the approval"
    assert {row[1] for row in rows[2:]} == {"rule set aside"}
    assert len(rows) == 2 + len(plan_of("mudlark").mission.rules.set_aside)


def test_the_review_page_tells_what_has_changed_in_the_order_of_its_gravity() -> None:
    """What was asked, findings with another outcome, margins, decisions, figures."""
    shown = changes(source_of(approved("weather/mudlark.yaml has changed", changed=CHANGES)))
    titles = [block.title for block in shown if block is not None]

    assert titles == [
        "Changes since approval", "Asked differently", "Findings with another outcome", "Margins, the largest part gone first",
        "Decisions that moved", "Figures that differ",
    ]  # fmt: skip
    assert cells(shown[1]) == [
        ("weather/mudlark.yaml:25", "surface[1].wind, and 2 more places", "150T/6 kt", "270T/9 kt")
    ]
    assert cells(shown[2])[0][:2] == ("Tail wind", "meets -> caution")
    assert cells(shown[5]) == [("A figure", "1 lb", "9 lb")]


def test_nobody_has_approved_and_nothing_says_so_but_the_lines_to_sign() -> None:
    """No tag, no sentence, no table of changes."""
    source = source_of(plan_of("mudlark"))

    assert (source.identity.approval, source.identity.approval_told) == ("", "")
    assert any(isinstance(block, BlanksBlock) for block in approval(source))
    assert changes(source) == []


@pytest.mark.parametrize("count", [1, 3, 5])
def test_the_sentence_tells_three_reasons_and_counts_the_others(count: int) -> None:
    """A long list stands on the review page."""
    sentence = approval_sentence(approved(*(f"file {number} has changed" for number in range(count))))

    assert sentence.count("has changed") == min(count, 3)
    assert ("and 2 more" in sentence) is (count == 5)


def test_the_plan_for_other_programs_says_who_accepted_what() -> None:
    """At the finding itself, in the form of the schema."""
    schema = json.loads(schema_text("plan"))["$defs"]["finding"]
    findings = {one["ident"]: one for one in json.loads(plan_json(approved()))["findings"]}
    bare = json.loads(plan_json(plan_of("mudlark")))["findings"]

    assert findings[TREES]["accepted"] == "by Orlan (commander): felled, until 2027-03-01"
    assert set(findings[TREES]) <= set(schema["properties"])
    assert not any("accepted" in one for one in bare)


def test_the_lines_of_what_changed_are_in_the_order_of_their_gravity() -> None:
    """As the terminal and the commander's page print them."""
    assert changes_in_lines(CHANGES) == [
        "weather/mudlark.yaml:25 surface[1].wind: 150T/6 kt -> 270T/9 kt",
        "meets -> caution: Tail wind (tailwind), margin 11 kt -> 2 kt",
        f"less in hand: Obstacles ({TREES}), margin −12 ft -> −74 ft",
        "decision at 15:09 -> 15:07: Leave by 15:07",
    ]
