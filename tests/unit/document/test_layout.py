"""Blocks are dealt over cards so that each is one page; nothing is lost and nothing is too high."""

from __future__ import annotations

import csv
import struct
from pathlib import Path

import pytest

from briefgen.document.cards.blocks import Card, Cell, Col, Face, Grid, Line, Prose, Row, Sentence
from briefgen.document.cards.contents import all_cards
from briefgen.document.cards.dealing import dealt
from briefgen.document.cards.fitting import fitted, narrowed
from briefgen.document.cards.layout import HEIGHT, LONG_HEIGHT, MEASURES, WIDTH, height, joined
from briefgen.document.cards.paper import FONTS
from briefgen.document.cards.shared import SHARED
from briefgen.document.parts.assemble import source_of
from briefgen.document.parts.blocks import Inline, Paragraph
from briefgen.document.parts.measure import covered, lines, width_em
from briefgen.errors import RenderError
from briefgen.model.plan import POSITIONS
from tests.shared.invented_plan import invented_plan

POINT_MM = 25.4 / 72
PUBLISHED = Path(__file__).parents[2] / "published" / "typography.csv"
SIZES = ("small", "act", "sentence", "head", "big")


def grid(rows: int, *, words: str = "word", aside: bool = False, whole: bool = False) -> Grid:
    cols = (Col(("Name",), wide=True), Col(("lb",), "right"))
    made = tuple(
        Row((Cell((Line(f"{words} {i}"),)), Cell((Line(f"{i:,}"),))), name=f"row {i}", carry=f"{i} lb left")
        for i in range(rows)
    )
    return Grid("Table", "", cols, made, aside=aside, whole=whole, name="table")


def used(card: Card) -> float:
    return sum(height(block) for block in card.blocks) - MEASURES["gap"]


def figures(card: Card) -> list[str]:
    return [
        row.cells[1].lines[0].text for block in card.blocks if isinstance(block, Grid) for row in block.rows if len(row.cells) > 1
    ]  # fmt: skip


def test_a_long_table_runs_over_lettered_cards_with_heads_and_how_things_stood() -> None:
    """Rows keep their order, each card has the heads, the next begins with what the row before came to; one tab for all."""
    cards = dealt("captain", [Face("Long", (grid(100),)), Face("Short", (grid(2),))]).cards
    long = [card for card in cards if card.tab == 1]

    assert [f"{i:,}" for i in range(100)] == [figure for card in long for figure in figures(card)]
    assert [card.part for card in long] == ["a", "b", "c", "d", "e"][: len(long)]
    assert all(block.headed for card in long for block in card.blocks if isinstance(block, Grid))
    assert all(used(card) <= HEIGHT for card in long)
    first, second = (card.blocks[0] for card in long[:2])
    assert isinstance(first, Grid)
    assert isinstance(second, Grid)
    assert second.rows[0].cells[0].lines[0].text == first.rows[-1].carry
    assert long[0].title == f"Long: row 0 to {first.rows[-1].name}"
    assert cards[-1].label == "Captain 2 of 2"


def test_what_may_stand_aside_leaves_a_card_that_is_too_full() -> None:
    """The rest keeps to one card; a card with room for all keeps all."""
    full = dealt("captain", [Face("Full", (grid(20), grid(20, aside=True)))])
    easy = dealt("captain", [Face("Easy", (grid(5), grid(5, aside=True)))])

    assert [len(card.blocks) for card in full.cards] == [1]
    assert len(full.aside) == 1
    assert [len(card.blocks) for card in easy.cards] == [2]
    assert easy.aside == ()


def test_what_must_stay_whole_begins_a_card() -> None:
    """A checklist that does not fit below another stands on the next card, in one piece."""
    cards = dealt("checklists", [Face("Lists", (grid(15), grid(15, whole=True)))]).cards

    assert [len(figures(card)) for card in cards] == [15, 15]


def test_rows_that_belong_together_never_part() -> None:
    """Setting and what stands under it keep to one card wherever the cut falls."""
    pairs = [
        Row((Cell((Line(f"{i}"),)), Cell((Line("x"),))), "none" if i % 2 == 0 else "thin", with_next=i % 2 == 0)
        for i in range(60)
    ]
    cards = dealt("captain", [Face("Pairs", (Grid("", "", (Col(wide=True), Col()), tuple(pairs)),))]).cards

    assert len(cards) > 1
    for card in cards[:-1]:
        block = card.blocks[-1]
        assert isinstance(block, Grid)
        assert not block.rows[-1].with_next


def test_what_cannot_be_parted_and_is_too_high_is_refused() -> None:
    """A card never overflows: the build stops and says which."""
    with pytest.raises(RenderError, match="on the card Long is higher than a page"):
        dealt("captain", [Face("Long", (Sentence("word " * 3000),))])


def test_prose_runs_over_cards_between_paragraphs() -> None:
    """Every paragraph is there once, in order."""
    paragraphs = tuple(Paragraph((Inline(f"p{i} " + "word " * 60),)) for i in range(20))
    cards = dealt("crew brief", [Face("Brief", (Prose("Situation", paragraphs),))]).cards

    assert [
        part for card in cards for block in card.blocks if isinstance(block, Prose) for part in block.paragraphs
    ] == [*paragraphs]
    assert all(used(card) <= HEIGHT for card in cards)


def test_a_failing_mission_keeps_room_for_its_band() -> None:
    """The band stands on every card, and no card is fuller than what it leaves."""
    cards = dealt("captain", [Face("Long", (grid(100),))], band="× Does not pass: 1 requirement not met").cards

    assert all(card.band for card in cards)
    assert all(used(card) <= HEIGHT - MEASURES["band-room"] for card in cards)


def test_figures_are_never_broken_and_words_are_broken_last() -> None:
    """A column of figures is as wide as its widest; a table that cannot stand is refused, for reference it gives up columns."""
    made = fitted(grid(3))
    heads = tuple(Col((f"Head {i}",), "right") for i in range(12))
    wide = Grid(
        "Wide", "", (Col(("Name",)), *heads), (Row((Cell((Line("n"),)), *(Cell((Line("1,234,567"),)) for _ in heads))),)
    )

    assert sum(col.width for col in made.cols) == pytest.approx(WIDTH)
    with pytest.raises(RenderError, match="Wide does not fit on a card"):
        fitted(wide)
    less = narrowed(wide)
    assert 1 < len(less.cols) < len(wide.cols)
    assert less.note == "More columns on the site."
    fitted(less)


def test_a_figure_set_right_keeps_its_gutter_from_a_word_set_left() -> None:
    """Twelve points: the width of a wide letter, so that 102 and Climb are read as two."""
    row = Row((Cell((Line("102"),)), Cell((Line("Climb"),))))
    made = fitted(Grid("", "", (Col(align="right"), Col(wide=True)), (row,)))

    assert made.cols[1].gutter + 2 * MEASURES["side"] == pytest.approx(MEASURES["gutter"])
    assert MEASURES["gutter"] >= 12.0


def test_cells_that_join_stand_once_over_their_rows() -> None:
    """A forecast stands beside all the rows it covers, and needs no more height than they have."""
    rows = tuple(
        Row((Cell((Line(f"{i}"),)), Cell((Line("shut until one"),), joins="shut" if i < 4 else "open")))
        for i in range(6)
    )
    made = joined(fitted(Grid("", "", (Col(), Col(wide=True)), rows)))

    assert [len(row.cells) for row in made.rows] == [2, 1, 1, 1, 2, 1]
    assert [row.cells[1].rows for row in made.rows if len(row.cells) == 2] == [4, 2]
    assert height(made) == pytest.approx(height(fitted(Grid("", "", (Col(), Col(wide=True)), rows))))


def test_every_position_has_cards_and_each_fits() -> None:
    """All six positions carry cards of the invented plan, which has few of the tables a real one has."""
    cards = all_cards(source_of(invented_plan()))

    assert set(POSITIONS) <= {card.position for card in cards} <= {*POSITIONS, *SHARED}
    assert all(used(card) <= (LONG_HEIGHT if card.landscape else HEIGHT) for card in cards)


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


def x_height_em() -> float:
    """Return the height of a small x of the packaged typeface as its file gives it (OpenType, tables OS/2 and head)."""
    raw = (FONTS / "B612-Regular.otf").read_bytes()
    count = struct.unpack(">H", raw[4:6])[0]
    records = [struct.unpack(">4sIII", raw[12 + 16 * i : 28 + 16 * i]) for i in range(count)]
    at = {name: offset for name, _, offset, _ in records}
    (height_units,) = struct.unpack(">h", raw[at[b"OS/2"] + 86 : at[b"OS/2"] + 88])
    (em_units,) = struct.unpack(">H", raw[at[b"head"] + 18 : at[b"head"] + 20])
    return float(height_units / em_units)


def test_type_on_the_cards_follows_published_practice() -> None:
    """Nothing is under the least of CAP 676; what is read and done in flight has the x-height of CR-177605."""
    assert min(MEASURES[name] for name in SIZES) >= published("body text minimum, pt")
    assert round(MEASURES["act"] * x_height_em() / 72.0, 2) >= published("x-height minimum, in")
    assert MEASURES["act"] >= published("body text preferred, pt")
    assert MEASURES["title"] >= published("headings minimum, pt")


@pytest.mark.parametrize("name", SIZES)
def test_the_gap_between_lines_follows_published_practice(name: str) -> None:
    """The gap between lines is 25 to 33 percent of the type size (NASA CR-177605)."""
    gap = MEASURES[f"{name}-line"] / MEASURES[name] - 1.0

    assert published("line gap least, ratio") <= round(gap, 2) <= published("line gap most, ratio")


def test_a_box_is_high_enough_to_write_in() -> None:
    """Seven millimetres, six where rows are many: common practice, no published source."""
    assert MEASURES["box"] * POINT_MM >= 7.0


def test_the_content_fits_a5_and_half_letter() -> None:
    """Both sheets keep a margin of at least 4 mm on the left and the tab's width on the right."""
    assert (139.7 - WIDTH * POINT_MM) / 2 >= 4.4
    full = sum(MEASURES[name] for name in ("top", "identity", "title-line", "below-title", "height", "foot", "bottom"))
    assert full * POINT_MM <= 210.0


@pytest.mark.parametrize("words", ["word " * 2000, "x" * 5000, "word " + "x" * 5000], ids=["words", "one word", "both"])
def test_a_paragraph_higher_than_a_card_runs_over_it(words: str) -> None:
    """Whatever an author writes is dealt out whole, in order, in its styles, and no card is too high."""
    half = len(words) // 2
    runs = (Inline(words[:half].lstrip(), "strong"), Inline(words[half:].rstrip()))
    cards = dealt("crew brief", [Face("Brief", (Prose("Purpose", (Paragraph(runs),)),))]).cards
    shown = [
        run
        for card in cards
        for block in card.blocks
        if isinstance(block, Prose)
        for part in block.paragraphs
        for run in part.runs
    ]

    assert len(cards) > 1
    assert "".join(run.text for run in shown).replace(" ", "") == words.replace(" ", "")
    assert {run.style for run in shown} == {runs[0].style, runs[1].style}
    assert all(used(card) <= HEIGHT for card in cards)
