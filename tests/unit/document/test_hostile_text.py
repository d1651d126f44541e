"""What an author may write never breaks a page, is never read as markup, and is never silently lost on paper."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime

import pypdf
import pytest

from briefgen.document.cards.contents import all_cards
from briefgen.document.cards.paper import pdf_files
from briefgen.document.parts.assemble import source_of
from briefgen.document.site import folder_name, site_files
from briefgen.errors import RenderError
from tests.shared.invented_plan import invented_plan

MADE_AT = datetime(2027, 1, 1, tzinfo=UTC)


def paper_text(**changes: object) -> tuple[int, list[str]]:
    source = source_of(invented_plan(**changes))
    cards = all_cards(source)
    pages = pypdf.PdfReader(io.BytesIO(pdf_files(source.identity, cards, MADE_AT)["cards-a5.pdf"])).pages
    return len(cards), [page.extract_text() for page in pages]


def test_markup_in_a_name_is_shown_as_it_was_written() -> None:
    """Neither the web page nor the typesetter reads it."""
    name = '#panic("x") $y$ *b* <script>alert(1)</script> & "q"'
    files = site_files([invented_plan(name=name)], pdf=False, built_at=None)
    front = next(content for path, content in files.items() if path.endswith("/index.html")).decode()
    _, pages = paper_text(name=name)

    assert "<script>alert" not in front
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in front
    assert re.sub(r"\s", "", name) in re.sub(r"\s", "", pages[0])


def test_a_long_text_runs_over_cards_and_loses_no_word() -> None:
    """Two thousand numbered words of purpose are all on paper, each card one page."""
    words = [f"w{i}" for i in range(2000)]
    text = "\n\n".join(" ".join(words[i : i + 100]) for i in range(0, 2000, 100))
    count, pages = paper_text(purpose=text)

    assert len(pages) == count
    assert set(words) <= set(" ".join(pages).split())


def test_a_word_longer_than_its_column_is_broken_not_clipped() -> None:
    """Each page keeps to one card."""
    count, pages = paper_text(briefing={"situation": "x" * 400})

    assert len(pages) == count
    assert "x" * 400 in "".join(re.sub(r"\s", "", page) for page in pages)


def test_a_character_that_cannot_be_printed_is_refused() -> None:
    """An empty box on a card would pass for a word."""
    with pytest.raises(RenderError) as caught:
        paper_text(operator="Lantern 灯")

    assert caught.value.problem == "the cards' typeface has no character '灯' (U+706F), used in 'Lantern 灯'"


def test_accents_are_printed() -> None:
    """Names of European crews need no change."""
    _, pages = paper_text(operator="Ærø Çà ñ ü ß")

    assert pages


@pytest.mark.parametrize(
    ("number", "name"),
    [("", "assets"), ("", "con"), ("COM1", ""), ("", "."), ("..", ".."), ("灯", "灯"), ("", "Ночь"), ("", "a" * 5000), ("/", "etc")],
)  # fmt: skip
def test_every_mission_has_a_folder_that_every_system_admits(number: str, name: str) -> None:
    """Plain letters, not a device of Windows, not a folder of ours, not the folder itself, not too long."""
    folder = folder_name(invented_plan(name=name, number=number))

    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", folder)
    assert len(folder) <= 100
    assert folder.split("-")[0] not in {"assets", "con", "prn", "aux", "nul", "com1"}


def test_names_in_other_scripts_do_not_share_a_folder() -> None:
    """What has no plain letters is told apart by its fingerprint; what has, keeps its readable name."""
    folders = {folder_name(invented_plan(name=name)) for name in ("灯", "火", "Ночь", "Ночь!", "Cedar Lantern")}

    assert len(folders) == 5
    assert "lrf-0412-cedar-lantern" in folders
