"""Blocks are dealt over cards so that each is one page; nothing is lost and nothing is too high."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from briefgen.document.cards.columns import fitted, in_halves

from briefgen.document.cards.contents import all_cards
from briefgen.document.cards.dealing import Section, dealt
from briefgen.document.cards.layout import HEIGHT, MEASURES, WIDTH, height
from briefgen.document.parts.assemble import source_of
from briefgen.document.parts.blocks import (
    Card,
    Cell,
    Deed,
    Head,
    Moment,
    NoteBlock,
    TableBlock,
    TableRow,
    TimelineBlock,
)
from briefgen.document.parts.measure import covered, lines, width_em
from briefgen.errors import RenderError
from briefgen.model.plan import POSITIONS
from tests.shared.invented_plan import invented_plan

POINT_MM = 25.4 / 72
PUBLISHED = Path(__file__).parents[2] / "published" / "typography.csv"


def table(rows: int, words: str = "word") -> TableBlock:
    heads = (Head("Name"), Head("Figure", "lb", "right"))
    return TableBlock("Table", heads, tuple(TableRow((Cell(f"{words} {i}"), Cell(f"{i:,}"))) for i in range(rows)))


def test_a_long_table_runs_over_numbered_cards_without_losing_a_row() -> None:
    """Rows keep their order over the cards, and each card fits its page."""
    cards = dealt("captain", [Section("Long", (table(100),))])

    assert [row for card in cards for block in card.blocks for row in block.rows] == list(fitted(table(100))[0].rows)
    assert [f"Long {i} of {len(cards)}" for i in range(1, len(cards) + 1)] == [card.title for card in cards]
    assert all(used(card) <= HEIGHT for card in cards)
    assert len(cards) > 1


def used(card: Card) -> float:
    return sum(height(block) for block in card.blocks) - MEASURES["gap"]


def test_sections_share_a_card_and_its_name_says_so() -> None:
    """A short section goes on where the one before ended; one that asks for a card of its own gets it."""
    short = [Section(name, (table(3),)) for name in ("One", "Two")]
    cards = dealt("captain", [*short, Section("Three", (table(3),), alone=True)])

    assert [card.title for card in cards] == ["One, two", "Three"]


def test_a_card_held_sideways_is_as_wide_as_others_are_high() -> None:
    """A wide table gets the long side of the card, and no more rows than stand on the short one."""
    cards = dealt("captain", [Section("Wide", (table(40),), sideways=True)])

    assert all(card.sideways and block.width == HEIGHT for card in cards for block in card.blocks)
    assert all(used(card) <= WIDTH for card in cards)


def test_a_narrow_table_in_halves_keeps_every_row() -> None:
    """The lower half stands beside the upper one; an odd row out leaves a gap at the end."""
    halves = in_halves(table(5))

    assert halves is not None
    left = [row.cells[:2] for row in halves.rows]
    right = [row.cells[2:] for row in halves.rows if row.cells[2].text]
    assert [*left, *right] == [row.cells for row in table(5).rows]


def test_a_timeline_runs_over_cards_between_deeds() -> None:
    """A deed with its steps is never broken; a moment that goes on carries its time again."""
    moments = tuple(
        Moment(f"{i:02d}:00", "", (Deed("phase", "", "Climb"), Deed("power", "ENG", "Set power", steps=("one", "two"))))
        for i in range(24)
    )
    cards = dealt("captain", [Section("Timeline", (TimelineBlock("", moments),))])
    dealt_moments = [moment for card in cards for block in card.blocks for moment in block.moments]

    assert [(m.utc, deed) for m in moments for deed in m.deeds] == [
        (m.utc, deed) for m in dealt_moments for deed in m.deeds
    ]
    assert all(used(card) <= HEIGHT for card in cards)


def test_what_cannot_be_split_and_is_too_high_is_refused() -> None:
    """A card never overflows: the build stops and says which."""
    with pytest.raises(RenderError, match="Notes on the card Long is higher than a page"):
        dealt("captain", [Section("Long", (NoteBlock("Notes", "word " * 3000),))])


def test_a_wide_table_becomes_several_with_its_first_column_repeated() -> None:
    """No column is squeezed below its longest word."""
    heads = tuple(Head(f"Heading {i}", "unit", "right") for i in range(16))
    wide = TableBlock("Wide", (Head("Name"), *heads), (TableRow(tuple(Cell("1,234,567") for _ in range(17))),))
    parts = fitted(wide)

    assert len(parts) > 1
    assert all(part.heads[0].text == "Name" for part in parts)
    assert [head.text for head in heads] == [head.text for part in parts for head in part.heads[1:]]
    assert all(pytest.approx(1.0, abs=1e-3) == sum(head.share for head in part.heads) for part in parts)


def test_every_position_has_cards_and_each_fits() -> None:
    """All six positions carry cards of the invented plan."""
    cards = all_cards(source_of(invented_plan()))

    assert set(POSITIONS) == {card.position for card in cards}
    assert all(used(card) <= (WIDTH if card.sideways else HEIGHT) for card in cards)


def test_long_words_and_paragraphs_are_counted_in_lines() -> None:
    """Words wrap at spaces; one longer than the line breaks; a new line is a new line."""
    em = width_em("word")

    assert lines("word word", 2.0 * em + width_em(" ") + 0.16, 1.0) == 1
    assert lines("word word", 2.0 * em, 1.0) == 2
    assert lines("one\ntwo\nthree", 100.0, 1.0) == 3
    assert lines("x" * 30, width_em("x" * 10) + 0.16, 1.0) == 3


def test_the_typeface_has_the_signs_the_documents_use() -> None:
    """Arrows, comparison signs, Greek, boxes, check marks, minus, prime and degree are all in the packaged font."""
    assert covered("→←↑↓≤≥±−×·°′″ΔΩαβγθσ☐☑✓⚠•“”–—éñ")


def test_figures_are_tabular() -> None:
    """All digits have one width, regular and bold, so columns of figures line up."""
    assert len({round(width_em(digit), 6) for digit in "0123456789"}) == 1
    assert len({round(width_em(digit, bold=True), 6) for digit in "0123456789"}) == 1


def published(item: str) -> float:
    with PUBLISHED.open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return next(float(row["value"]) for row in rows if row["item"] == item)


def test_type_on_the_cards_follows_published_practice() -> None:
    """What is read in flight is no smaller than the least of CAP 676; actions stand at its preferred size."""
    assert MEASURES["cell"] >= published("body text minimum, pt")
    assert MEASURES["act"] >= published("body text preferred, pt")
    assert MEASURES["title"] >= published("headings minimum, pt")


@pytest.mark.parametrize("name", ["text", "act", "cell", "small"])
def test_the_gap_between_lines_follows_published_practice(name: str) -> None:
    """The gap between lines is 25 to 33 percent of the type size (NASA CR-177605)."""
    gap = MEASURES[f"{name}-line"] / MEASURES[name] - 1.0

    assert published("line gap least, ratio") <= round(gap, 2) <= published("line gap most, ratio")


def test_a_blank_is_high_enough_for_a_glove() -> None:
    """Eight millimetres: common practice, no published source."""
    assert MEASURES["write-in"] * POINT_MM >= 8.0


def test_the_content_fits_a5_and_half_letter() -> None:
    """Both sheets keep a margin of at least 6 mm beside the content for thumb and binding."""
    assert (139.7 - WIDTH * POINT_MM) / 2 >= 6.0
    assert 210.0 - (HEIGHT + MEASURES["band"] + MEASURES["foot"]) * POINT_MM >= 13.0
