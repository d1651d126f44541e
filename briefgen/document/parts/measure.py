"""How wide a text is in the packaged typeface, and on how many lines it will stand.

Cards are split over pages before anything is rendered, and chart labels are kept off each other; both need the width of a text
without a browser or a typesetter. The advance widths are those of the packaged font files.
"""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files

# Used for a character the typeface lacks; the renderer will borrow it from another font, wider than most of ours.
STAND_IN_EM = 1.0
# A line this close to full may be broken by a renderer that rounds its widths.
SLACK_EM = 0.15


@lru_cache(maxsize=1)
def _advances() -> dict[str, dict[str, float]]:
    raw = json.loads(files("briefgen.document").joinpath("fonts/widths.json").read_text(encoding="utf-8"))
    em = raw["units_per_em"]
    return {face: {char: units / em for char, units in raw[face].items()} for face in ("regular", "bold")}


def covered(text: str) -> bool:
    """Return whether the packaged typeface has every character of a text."""
    return all(char in _advances()["regular"] or char in "\n\u00ad" for char in text)


@lru_cache(maxsize=16384)
def width_em(text: str, bold: bool = False) -> float:
    """Return the width of a text on one line, in multiples of the type size."""
    advances = _advances()["bold" if bold else "regular"]
    return sum(advances.get(char, STAND_IN_EM) for char in text)


def lines(text: str, width: float, size: float, bold: bool = False) -> int:
    """Return how many lines a text takes in a column, both measures in one unit; words break only where too long alone."""
    if not text:
        return 1
    count = 0
    for paragraph in text.split("\n"):
        count += _paragraph_lines(paragraph, width / size - SLACK_EM, bold)
    return count


def _paragraph_lines(paragraph: str, room_em: float, bold: bool) -> int:
    space = width_em(" ", bold)
    count, used = 1, 0.0
    for word in paragraph.split(" "):
        need = width_em(word, bold)
        if used and used + space + need > room_em:
            count, used = count + 1, 0.0
        while need > room_em and len(word) > 1:
            count, need = count + 1, need - room_em
        used += need + (space if used else 0.0)
    return count
