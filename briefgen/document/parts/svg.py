"""A small builder of SVG drawings: shapes, text, scales, round tick values and labels that keep off each other.

Drawings carry classes and no colours. On the site the style sheet colours them, so they follow a change of theme; for paper
the same style sheet is put inside the drawing with its variables written out.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from html import escape
from itertools import pairwise

from briefgen.document.parts.measure import width_em
from briefgen.frozen import dataclass, replace

Point = tuple[float, float]

ASCENT_EM = 0.80  # room a line of text takes above and below its base line
DESCENT_EM = 0.25
LEADER_ROOM_EM = 0.1
SQUARE = 32.0
LEADER_REACH = 1.2  # from here on a label is tied to its point
IDENTS = re.compile(r"([a-z][\w-]*)-(title|desc)(?=[\" ])")  # of the text alternatives, where they are named
ANCHORS = {"start": "", "middle": "m", "end": "e"}  # and the class of style of each


@dataclass(frozen=True)
class Frame:
    """The size of a drawing in its own units and the size of its lettering; ``ident`` keeps the ids of a page apart."""

    width: float
    height: float
    type_size: float
    ident: str


@dataclass(frozen=True)
class Box:
    """A rectangle that is taken."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box) -> bool:
        """Return whether two rectangles share any area."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def within(self, frame: Frame) -> bool:
        """Return whether the rectangle lies inside a drawing."""
        return self.left >= 0 and self.top >= 0 and self.right <= frame.width and self.bottom <= frame.height


@dataclass(frozen=True)
class Drawing:
    """A finished drawing: its markup, its text alternative, its size and where its texts stand."""

    markup: str
    title: str
    description: str
    width: float
    height: float
    texts: tuple[tuple[str, Box], ...]

    def of(self, owner: str) -> Drawing:
        """Return the drawing with the idents of its title and description told apart by an owner."""
        mark = owner.replace(" ", "-")
        return replace(self, markup=IDENTS.sub(rf"\1-{mark}-\2", self.markup))


@dataclass(frozen=True)
class Scale:
    """A straight map from values to positions."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def round_ticks(low: float, high: float, about: int) -> tuple[float, ...]:
    """Return round values that cover a range with about as many steps as asked: steps of 1, 2, 2.5 or 5 times ten."""
    span = high - low
    if span <= 0:
        raise ValueError(f"no range from {low} to {high}")
    raw = span / max(1, about)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(factor * power for factor in (1, 2, 2.5, 5, 10) if factor * power >= raw * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(round(i * step, 10) for i in range(first, last + 1))


def tick_text(value: float) -> str:
    """Return a tick value as it is written on an axis."""
    text = f"{value:,.10f}".rstrip("0").rstrip(".")
    return text.replace("-", "\u2212") if text not in ("-0", "") else "0"


def number(value: float) -> str:
    """Return a coordinate to a tenth, short: finer than any screen or printer shows of these drawings."""
    return _tenths(round(value * 10))


def _tenths(value: int) -> str:
    """Return a whole number of tenths as it is written shortest."""
    whole, rest = divmod(abs(value), 10)
    text = f"{whole or ''}.{rest}" if rest else f"{whole}"
    return f"-{text}" if value < 0 else text


def steps(points: Sequence[Point], *, closed: bool = False) -> str:
    """Return a broken line as path data: each point as a step from the one before, rounded so that no error adds up."""
    places = [(round(x * 10), round(y * 10)) for x, y in points]
    moves = [(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise(places)]
    return f"M{_tenths(places[0][0])}{_spaced(places[0][1])}{_moved(moves)}{'z' if closed else ''}"


def _moved(moves: Sequence[tuple[int, int]]) -> str:
    """Return steps in tenths as path data; a single one along an axis is written by that axis."""
    real = [(dx, dy) for dx, dy in moves if dx or dy]
    if len(real) == 1 and 0 in real[0]:
        return f"v{_tenths(real[0][1])}" if real[0][0] == 0 else f"h{_tenths(real[0][0])}"
    found = "".join(f"{_spaced(dx)}{_spaced(dy)}" for dx, dy in real).lstrip()
    return f"l{found}" if found else ""


def _spaced(value: int) -> str:
    """Return a number that may stand behind another: a minus parts them by itself."""
    text = _tenths(value)
    return text if text[0] == "-" else f" {text}"


class Canvas:
    """Collects the shapes of one drawing."""

    def __init__(self, frame: Frame) -> None:
        self.frame = frame
        self._parts: list[str] = []
        self._straight = ""  # class of the lines that the last part is made of
        self._texts: list[tuple[str, Box]] = []
        self._taken: dict[tuple[int, int], list[Box]] = defaultdict(list)  # by the square of the paper they touch

    def line(self, start: Point, end: Point, cls: str) -> None:
        """Draw a straight line; several of one kind in a row are one shape."""
        self.marks([(start, end)], cls)

    def marks(self, shapes: Iterable[Sequence[Point]], cls: str, *, closed: bool = False) -> None:
        """Draw many small shapes of one kind as one; each once, where several stand on the same spot."""
        data = "".join(dict.fromkeys(steps(shape, closed=closed) for shape in shapes if shape))
        head = f'<path class="{cls}" d="'
        if data and not closed and self._parts and self._parts[-1].startswith(head) and self._straight == cls:
            self._parts[-1] = f'{self._parts[-1][:-3]}{data}"/>'
        elif data:
            self._parts.append(f'{head}{data}"/>')
        self._straight = "" if closed else cls

    def path(self, points: Sequence[Point], cls: str, *, closed: bool = False, clip: str = "") -> None:
        """Draw a broken line, or an area when closed."""
        if len(points) < 2:
            return
        self._straight = ""
        clipping = f' clip-path="url(#{clip})"' if clip else ""
        self._parts.append(f'<path class="{cls}" d="{steps(points, closed=closed)}"{clipping}/>')

    def outlines(self, rings: Iterable[Sequence[Point]], cls: str, clip: str = "") -> None:
        """Draw many closed outlines as one shape; a ring inside a ring is a hole."""
        data = "".join(steps(ring, closed=True) for ring in rings if ring)
        clipping = f' clip-path="url(#{clip})"' if clip else ""
        if data:
            self._straight = ""
            self._parts.append(f'<path class="{cls}" fill-rule="evenodd" d="{data}"{clipping}/>')

    def rect(self, box: Box, cls: str) -> None:
        """Draw a rectangle."""
        self._parts.append(
            f'<rect class="{cls}" x="{number(box.left)}" y="{number(box.top)}" '
            f'width="{number(box.right - box.left)}" height="{number(box.bottom - box.top)}"/>'
        )

    def clip(self, ident: str, box: Box) -> None:
        """Name a rectangle that later shapes can be cut to."""
        self._parts.append(
            f'<clipPath id="{ident}"><rect x="{number(box.left)}" y="{number(box.top)}" '
            f'width="{number(box.right - box.left)}" height="{number(box.bottom - box.top)}"/></clipPath>'
        )

    def dot(self, centre: Point, radius: float, cls: str) -> None:
        """Draw a round mark and keep labels off it."""
        x, y = centre
        self._parts.append(f'<circle class="{cls}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>')
        self.keep_clear(Box(x - radius, y - radius, x + radius, y + radius))

    def keep_clear(self, box: Box) -> None:
        """Take a rectangle so that no placed label falls on it."""
        for square in _squares(box):
            self._taken[square].append(box)

    def keep_clear_of_line(self, points: Sequence[Point], reach: float) -> None:
        """Take the ground along a broken line, so that labels stand beside it and not on it."""
        for (x1, y1), (x2, y2) in pairwise(points):
            steps = max(1, int(math.hypot(x2 - x1, y2 - y1) / (2 * reach)))
            for i in range(steps + 1):
                x, y = x1 + (x2 - x1) * i / steps, y1 + (y2 - y1) * i / steps
                self.keep_clear(Box(x - reach, y - reach, x + reach, y + reach))

    def text_box(
        self, at: Point, text: str, *, anchor: str = "start", size: float | None = None, bold: bool = False
    ) -> Box:
        """Return the rectangle a text takes with its base line starting, centred or ending at a point."""
        size = size or self.frame.type_size
        width = width_em(text, bold) * size
        left = at[0] - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        return Box(left, at[1] - ASCENT_EM * size, left + width, at[1] + DESCENT_EM * size)

    def text(self, at: Point, text: str, cls: str = "label", *, anchor: str = "start", bold: bool = False) -> Box:
        """Write a text at a point whatever stands there, and take its place."""
        box = self.text_box(at, text, anchor=anchor, bold=bold)
        kind = " ".join(filter(None, (cls, ANCHORS[anchor], "b" if bold else "")))
        self._parts.append(f'<text class="{kind}" x="{number(at[0])}" y="{number(at[1])}">{escape(text)}</text>')
        self.keep_clear(box)
        self._texts.append((text, box))
        return box

    def turned_text(self, at: Point, text: str, cls: str = "label") -> None:
        """Write a text upwards, centred on a point: the title of a vertical axis."""
        x, y = at
        half = width_em(text) * self.frame.type_size / 2
        size = self.frame.type_size
        box = Box(x - ASCENT_EM * size, y - half, x + DESCENT_EM * size, y + half)
        self._parts.append(
            f'<text class="{cls} m" transform="translate({number(x)} {number(y)}) rotate(-90)">{escape(text)}</text>'
        )
        self.keep_clear(box)
        self._texts.append((text, box))

    def place(
        self, at: Point, text: str, cls: str = "label", *, gap: float = 5.0, bold: bool = False,
        reaches: Sequence[float] = (0.0, 0.7, 1.5, 2.6, 4.0),
    ) -> bool:  # fmt: skip
        """Write a text near a point where nothing stands yet; return False when there is no room for it.

        The distances tried are ``reaches``, in type sizes over the gap; from afar a thin line leads back to the point.
        """
        size = self.frame.type_size
        for reach in reaches:
            for at_text, anchor in _around(at, gap + reach * size, size):
                box = self.text_box(at_text, text, anchor=anchor, bold=bold)
                if box.within(self.frame) and self.is_free(box):
                    if reach > LEADER_REACH:
                        leader = (at, _nearest(box, at))
                        self.line(*leader, "leader")
                        self.keep_clear_of_line(leader, LEADER_ROOM_EM * size)
                    self.text(at_text, text, cls, anchor=anchor, bold=bold)
                    return True
        return False

    def is_free(self, box: Box) -> bool:
        """Return whether nothing that labels keep off stands in a rectangle."""
        left, top, right, bottom = box.left, box.top, box.right, box.bottom
        for square in _squares(box):
            for taken in self._taken.get(square, ()):  # written out: thousands of comparisons a chart
                if left < taken.right and taken.left < right and top < taken.bottom and taken.top < bottom:
                    return False
        return True

    def finish(self, title: str, description: str) -> Drawing:
        """Return the drawing with its title and description for those who cannot see it."""
        frame = self.frame
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="chart" role="img" viewBox="0 0 {number(frame.width)} '
            f'{number(frame.height)}" font-size="{number(frame.type_size)}" aria-labelledby="{frame.ident}-title {frame.ident}-desc">'
            f'<title id="{frame.ident}-title">{escape(title)}</title>'
            f'<desc id="{frame.ident}-desc">{escape(description)}</desc>'
        )
        markup = head + "".join(self._parts) + "</svg>"
        return Drawing(markup, title, description, frame.width, frame.height, tuple(self._texts))


def _squares(box: Box) -> Iterator[tuple[int, int]]:
    """Yield the squares of the paper that a rectangle touches: a label is compared with what stands near it alone."""
    for column in range(math.floor(box.left / SQUARE), math.floor(box.right / SQUARE) + 1):
        for row in range(math.floor(box.top / SQUARE), math.floor(box.bottom / SQUARE) + 1):
            yield column, row


def _around(at: Point, gap: float, size: float) -> tuple[tuple[Point, str], ...]:
    """Return the base points to try for a label, the best first: right, left, above, below, then the corners."""
    x, y = at
    half = 0.3 * size
    above, below = y - gap - DESCENT_EM * size, y + gap + ASCENT_EM * size
    return (
        ((x + gap, y + half), "start"),
        ((x - gap, y + half), "end"),
        ((x, above), "middle"),
        ((x, below), "middle"),
        ((x + gap, above), "start"),
        ((x + gap, below), "start"),
        ((x - gap, above), "end"),
        ((x - gap, below), "end"),
    )


def _nearest(box: Box, at: Point) -> Point:
    return min(max(at[0], box.left), box.right), min(max(at[1], box.top), box.bottom)
