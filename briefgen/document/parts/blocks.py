"""The kinds of block a page or card is made of: printed text in order, no number left to compute.

Pages and cards are built of the same blocks. The web templates and the one paper template only walk them, so what the two show
cannot differ in a figure.
"""

from __future__ import annotations

from dataclasses import field
from typing import Literal

from briefgen.document.parts.svg import Drawing
from briefgen.frozen import dataclass

Align = Literal["left", "right", "centre"]


@dataclass(frozen=True)
class Figure:
    """One figure with its name and unit, in large type."""

    label: str
    figure: str
    unit: str
    key: str = ""
    wide: bool = False  # a word or phrase rather than a number


@dataclass(frozen=True)
class Figures:
    """The few figures that matter most."""

    title: str
    items: tuple[Figure, ...]
    kind: str = "figures"


@dataclass(frozen=True)
class Head:
    """A column head: what, and in which unit; ``share`` is its part of the width on a card."""

    text: str
    unit: str = ""
    align: Align = "left"
    share: float = 1.0
    blank: bool = False  # to be written in by hand

    @property
    def width_class(self) -> str:
        """The class that gives the column its width on a card: its share in thousandths of a per cent."""
        return f"share-{round(self.share * 100_000):06d}"


@dataclass(frozen=True)
class Cell:
    """One printed cell and the entry it shows."""

    text: str
    key: str = ""


@dataclass(frozen=True)
class TableRow:
    """One row; ``mark`` is total, decision or empty."""

    cells: tuple[Cell, ...]
    mark: str = ""


@dataclass(frozen=True)
class TableBlock:
    """A table of printed figures."""

    title: str
    heads: tuple[Head, ...]
    rows: tuple[TableRow, ...]
    note: str = ""
    name: str = ""
    width: float = 0.0  # in points, once fitted to a card
    kind: str = "table"


@dataclass(frozen=True)
class Deed:
    """One thing that happens at a moment: what, who acts, and the steps in their order."""

    sort: str  # the kind of event, in one word
    who: str
    text: str
    where: str = ""
    steps: tuple[str, ...] = ()


@dataclass(frozen=True)
class Moment:
    """Everything that happens at one printed minute."""

    utc: str
    local: str
    deeds: tuple[Deed, ...]
    key: str = ""
    decides: bool = False
    minute: int = 0  # whole minutes since 1970-01-01 00:00 UTC


@dataclass(frozen=True)
class TimelineBlock:
    """Moments in order, with room to write what really happened."""

    title: str
    moments: tuple[Moment, ...]
    kind: str = "timeline"


@dataclass(frozen=True)
class Check:
    """One line of a checklist: what is looked at, the state it must be in, who answers."""

    challenge: str
    response: str
    who: str = ""
    note: str = ""


@dataclass(frozen=True)
class ChecklistBlock:
    """A checklist with its own completion call."""

    title: str
    items: tuple[Check, ...]
    kind: str = "checklist"


@dataclass(frozen=True)
class FindingLine:
    """One requirement, whether it is met, and by how much."""

    outcome: str  # pass | caution | fail
    word: str
    sign: str
    title: str
    text: str
    facts: tuple[tuple[str, str], ...]  # name and figure: measured, limit, margin, rule, source
    cure: str
    ident: str = ""  # of its rule
    keys: tuple[tuple[str, str], ...] = ()  # of its entries, by the name of the fact

    @property
    def linked(self) -> dict[str, str]:
        """The keys of its entries by the name of the fact, empty where a fact has none."""
        return dict.fromkeys(("outcome", "title", *(name for name, _ in self.facts)), "") | dict(self.keys)


@dataclass(frozen=True)
class FindingsBlock:
    """Findings, the most serious first."""

    title: str
    items: tuple[FindingLine, ...]
    brief: bool = False  # what leads to the whole of it on the review page
    kind: str = "findings"


@dataclass(frozen=True)
class Inline:
    """A run of text in a paragraph of the author's prose: plain, strong, emphasis or code."""

    text: str
    style: str = ""


@dataclass(frozen=True)
class Paragraph:
    """A paragraph, list item or heading of the author's prose."""

    runs: tuple[Inline, ...]
    role: str = "p"  # p | li | h
    bullet: str = ""  # a dash or a number, for a list item
    depth: int = 0


@dataclass(frozen=True)
class ProseBlock:
    """The author's own words: sanitised markup for the site, paragraphs for paper."""

    title: str
    html: str
    paragraphs: tuple[Paragraph, ...]
    name: str = ""
    kind: str = "prose"


@dataclass(frozen=True)
class NoteBlock:
    """One sentence of the program's own."""

    title: str
    text: str
    kind: str = "note"


@dataclass(frozen=True)
class BlanksBlock:
    """Lines to be filled in by hand."""

    title: str
    labels: tuple[str, ...]
    columns: int = 2
    kind: str = "blanks"


@dataclass(frozen=True)
class ChartBlock:
    """A drawing with its text alternative, and its twin for a narrow screen where it has one."""

    title: str
    drawing: Drawing
    name: str = ""
    narrow: Drawing | None = None
    kind: str = "chart"


@dataclass(frozen=True)
class VerdictBlock:
    """The answer of the whole review, in a frame."""

    title: str
    outcome: str
    sign: str
    sentence: str
    words: str
    kind: str = "verdict"


@dataclass(frozen=True)
class LinksBlock:
    """Places to go on to."""

    title: str
    items: tuple[tuple[str, str, str], ...]  # address, name, what stands there
    kind: str = "links"


Block = (
    Figures
    | TableBlock
    | TimelineBlock
    | ChecklistBlock
    | FindingsBlock
    | ProseBlock
    | NoteBlock
    | BlanksBlock
    | ChartBlock
    | LinksBlock
    | VerdictBlock
)


@dataclass(frozen=True)
class Page:
    """One page of the site."""

    name: str  # file name without its ending
    title: str
    blocks: tuple[Block, ...]
    front: bool = False  # laid out side by side, to be taken in at one look


@dataclass(frozen=True)
class Card:
    """One printed card: exactly one page."""

    position: str
    title: str
    blocks: tuple[Block, ...]
    sideways: bool = False  # read with the card turned, its left edge towards the reader
    fill: float = 0.0  # part of its height that is used


@dataclass(frozen=True)
class Identity:
    """What every page and card carries."""

    mission: str
    number: str
    revision: str
    operator: str
    aircraft: str
    registration: str
    digest: str  # short form
    date: str
    caution: str = field(default="")
    approval: str = ""  # in two words, beside the revision; empty where nobody has approved the plan
    approval_told: str = ""  # in a sentence
