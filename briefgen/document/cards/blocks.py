"""What a card is made of: lines of printed text in the cells of grids, sentences, prose and drawings.

One kind of grid serves every table, list, checklist and frame, so the two templates walk few things and cannot differ.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from briefgen.document.parts.blocks import Paragraph
from briefgen.document.parts.svg import Drawing

Align = Literal["left", "right", "centre"]
Size = Literal["small", "act", "head", "big"]  # of type: see layout.MEASURES
Rule = Literal["none", "thin", "thick"]


@dataclass(frozen=True)
class Line:
    """One run of text in a cell, on one line or wrapped over several."""

    text: str
    size: Size = "act"
    bold: bool = False
    key: str = ""  # of the entry it shows
    lead: str = ""  # stands bold in front of the text
    limit: bool = False  # framed: what must not be passed, alone


@dataclass(frozen=True)
class Cell:
    """Lines one under the other; or an empty box or line to write in."""

    lines: tuple[Line, ...] = ()
    span: int = 1
    bar: bool = False  # a bar under the first line: what stands below must not be passed
    box: float = 0.0  # height of a box to write in, in points; 0 is none
    write: bool = False  # a line to write on, under the lines
    joins: str = ""  # cells of one column with the same word, one after the other, stand as one
    rows: int = 1  # over how many rows it stands, once joined


@dataclass(frozen=True)
class Col:
    """A column: its head over one or two lines, and its width once fitted."""

    heads: tuple[str, ...] = ()
    align: Align = "left"
    width: float = 0.0  # in points
    gutter: float = 0.0  # room to the left, once fitted
    part: float = 0.0  # of the whole width, asked for; 0 is as wide as it needs
    wide: bool = False  # takes what is left over
    wraps: bool = False  # keeps to its part: what is longer goes over several lines

    @property
    def style(self) -> str:
        """The class that gives the column its width: hundredths of a point."""
        return f"w-{round(self.width * 100):05d}"


@dataclass(frozen=True)
class Row:
    """One row; ``events`` are the numbers of the events of the timeline it stands for."""

    cells: tuple[Cell, ...]
    rule: Rule = "thin"
    framed: bool = False
    with_next: bool = False  # never parted from the row after it
    name: str = ""  # what a continued card is titled by
    carry: str = ""  # how things stand after this row, for the head of the next card
    events: tuple[int, ...] = ()
    header: bool = False  # its first cell names the row


@dataclass(frozen=True)
class Grid:
    """Rows in columns under a title."""

    title: str = ""
    note: str = ""
    cols: tuple[Col, ...] = ()
    rows: tuple[Row, ...] = ()
    pad: float = 2.0  # above and below what stands in a row
    whole: bool = False  # never parted, if a card can hold it
    frame: bool = False  # a frame around all of it
    aside: bool = False  # goes to the reference pack where its card has no room for it
    name: str = ""
    kind: str = "grid"

    @property
    def headed(self) -> bool:
        """Whether any column has a head."""
        return any(col.heads for col in self.cols)

    @property
    def pad_class(self) -> str:
        """The class of style that gives its rows this padding."""
        return f"pad-{round(self.pad * 10)}"


@dataclass(frozen=True)
class Sentence:
    """The bold sentence that a card opens with."""

    text: str
    aside: bool = False
    kind: str = "sentence"


@dataclass(frozen=True)
class Prose:
    """The author's own words, paragraph by paragraph."""

    title: str
    paragraphs: tuple[Paragraph, ...]
    aside: bool = False
    kind: str = "prose"


@dataclass(frozen=True)
class Chart:
    """A drawing with its text alternative."""

    title: str
    drawing: Drawing
    aside: bool = False
    kind: str = "chart"


Block = Grid | Sentence | Prose | Chart


@dataclass(frozen=True)
class Face:
    """What one card is about; it runs over several only where one cannot hold it."""

    title: str
    blocks: tuple[Block, ...]
    urgent: bool = False  # the card with the bar down its edge
    landscape: bool = False
    ident: str = ""


@dataclass(frozen=True)
class Card:
    """One printed card: exactly one page."""

    position: str
    title: str
    blocks: tuple[Block, ...]
    tab: int  # number of its face: the place of its thumb tab
    part: str = ""  # a, b … where a face runs over several cards
    faces: int = 0  # of the position
    band: str = ""  # on every card of a mission that does not pass
    tag: str = ""  # whether the plan is approved; none where the band says that it does not pass
    head: int = 1  # lines of mission, revision and day at its head
    urgent: bool = False
    landscape: bool = False
    fill: float = 0.0  # part of its height that is used
    heading: str = (
        ""  # of a deck of several sectors: mission, sector, revision and day; empty where that of the deck stands
    )

    @property
    def label(self) -> str:
        """Whose card it is, and which."""
        position = self.position[:1].upper() + self.position[1:]
        return f"{position} {self.tab}{self.part} of {self.faces}" if self.faces > 1 or self.part else position

    def texts(self) -> Iterator[Line]:
        """Yield every line of its grids."""
        for block in self.blocks:
            if isinstance(block, Grid):
                for row in block.rows:
                    for cell in row.cells:
                        yield from cell.lines

    @property
    def digits(self) -> tuple[str, ...]:
        """The numeral of its thumb tab, a digit under the other: two beside each other are wider than the tab."""
        return tuple(str(self.tab))

    @property
    def tab_place(self) -> int:
        """Which of the seven heights its thumb tab stands at."""
        return (self.tab - 1) % 7 + 1


@dataclass(frozen=True)
class Deck:
    """The faces of one position, or of what all share."""

    position: str
    faces: tuple[Face, ...] = field(default=())
