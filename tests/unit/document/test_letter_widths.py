"""The packaged letter widths are those of the packaged fonts, and what is measured with them is what the typesetter sets."""

from __future__ import annotations

import json

import pytest
import typst
from fontTools.ttLib import TTFont

from briefgen.document.parts.measure import width_em
from tests.builders import letter_widths

LINE = "Maximum 1,475 US gal → LX04 (±3 °C)"


def test_the_packaged_table_is_what_its_builder_makes_of_the_packaged_fonts() -> None:
    """Run ``python tests/builders/letter_widths.py`` when the fonts change."""
    assert letter_widths.WIDTHS.read_text(encoding="utf-8") == letter_widths.widths_text()


@pytest.mark.parametrize(("face", "bold"), [("regular", False), ("bold", True)])
def test_a_letter_is_measured_with_the_width_in_its_font_file(face: str, bold: bool) -> None:
    """Letter by letter, in multiples of the type size, by another reader of the OpenType tables cmap, hmtx and head."""
    font = TTFont(letter_widths.FONTS / letter_widths.FACES[face])
    em, glyphs = font["head"].unitsPerEm, font.getBestCmap()
    wrong = [letter for letter in LINE if width_em(letter, bold) != font["hmtx"][glyphs[ord(letter)]][0] / em]

    assert wrong == []


@pytest.mark.parametrize("bold", [False, True])
def test_a_line_is_as_wide_as_the_typesetter_sets_it(bold: bool) -> None:
    """Typst measures the same line in the same font at 100 pt, its pairs not drawn together, as the table knows no pairs."""
    weight = "bold" if bold else "regular"
    measured = f'text(font: "B612", size: 100pt, weight: "{weight}", kerning: false, ligatures: false, "{LINE}")'
    source = f"#context [#metadata(measure({measured}).width.pt()) <width>]"

    (set_pt,) = json.loads(
        typst.query(source.encode(), "<width>", field="value", font_paths=[str(letter_widths.FONTS)])
    )

    assert width_em(LINE, bold) * 100.0 == pytest.approx(set_pt, abs=0.01)
