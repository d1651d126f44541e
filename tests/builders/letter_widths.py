"""Build ``briefgen/document/fonts/widths.json``, the advance widths by which texts are laid out before anything is rendered.

Run when the packaged font files change (fontTools is in the test extra)::

    python tests/builders/letter_widths.py

A test makes the same text from the packaged fonts and compares, so that what is measured is what is set.
"""

from __future__ import annotations

import json
from pathlib import Path

from fontTools.ttLib import TTFont

FONTS = Path(__file__).parents[2] / "briefgen" / "document" / "fonts"
WIDTHS = FONTS / "widths.json"
FACES = {"regular": "B612-Regular.otf", "bold": "B612-Bold.otf"}
# Code points that are no letters: the soft hyphen shows only where a word is broken, the null is a filler of the format.
NOT_SET = {"\x00", "\xad"}


def advances(file: Path) -> dict[str, int]:
    """Return the advance width of every letter of a font file, in its own units."""
    font = TTFont(file)
    letters = {chr(code): glyph for code, glyph in font.getBestCmap().items() if chr(code) not in NOT_SET}
    return {letter: font["hmtx"][glyph][0] for letter, glyph in letters.items()}


def widths_text() -> str:
    """Return the text of the table of widths: letter by letter for each face, and the units that make one em."""
    faces = {face: advances(FONTS / file) for face, file in FACES.items()}
    (units_per_em,) = {TTFont(FONTS / file)["head"].unitsPerEm for file in FACES.values()}
    return json.dumps(
        {**faces, "units_per_em": units_per_em}, ensure_ascii=False, separators=(",", ":"), sort_keys=True
    )


if __name__ == "__main__":
    WIDTHS.write_text(widths_text(), encoding="utf-8")
