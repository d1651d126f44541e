"""Two plans side by side, as frozen data: what was asked differently, and what that did."""

from __future__ import annotations

from briefgen.frozen import dataclass


@dataclass(frozen=True)
class Side:
    """One of the two plans, named."""

    number: str
    name: str
    revision: int
    digest: str


@dataclass(frozen=True)
class Asked:
    """A written value that differs; an empty text where it stands on one side alone."""

    where: str  # file and line, of the later plan where it stands there
    what: str  # its path in the file
    before: str
    now: str
    others: int = 0  # further places that take the value from the same line


@dataclass(frozen=True)
class Judged:
    """A requirement whose outcome or margin differs; an empty outcome where one of the plans does not hold it."""

    ident: str
    title: str
    before: str  # pass | caution | fail, or empty
    now: str
    measured: tuple[str, str] = ("", "")  # printed, before and now
    limit: tuple[str, str] = ("", "")
    margin: tuple[str, str] = ("", "")
    eaten_ratio: float | None = (
        None  # of the margin there was, or of the limit where there was none; less than 0: it grew
    )

    @property
    def turned(self) -> bool:
        """Whether the outcome is another one."""
        return self.before != self.now


@dataclass(frozen=True)
class Decision:
    """A moment of decision that moved, came or went; an empty text where one of the plans does not have it."""

    before_at: str
    now_at: str
    before: str
    now: str


@dataclass(frozen=True)
class FigurePair:
    """A figure that is printed otherwise by more than rounding; empty where one of the plans does not have it."""

    key: str
    label: str
    before: str
    now: str


@dataclass(frozen=True)
class Comparison:
    """Everything that differs between two plans, the earlier one first."""

    before: Side
    now: Side
    files: tuple[str, ...]  # whose bytes differ, or that one side alone was read from
    asked: tuple[Asked, ...]
    judged: tuple[Judged, ...]  # other outcomes first, then by the part of the margin that is gone
    decisions: tuple[Decision, ...]
    first: tuple[FigurePair, ...]  # of the figures a crew reads first
    figures: tuple[FigurePair, ...]  # every figure
    words: tuple[FigurePair, ...]  # every entry in words

    @property
    def nothing(self) -> bool:
        """Whether the two plans print the same and were asked the same."""
        return not (self.files or self.asked or self.judged or self.decisions or self.figures or self.words)
