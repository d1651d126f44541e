"""What the figure being worked out at this moment has read, what a figure came to, and the state of one that has no value."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from briefgen.frozen import dataclass

V = TypeVar("V")

SHE_HAS_NONE = "she has none"  # why a lever she lacks is absent: nothing was left out, and no page speaks of it


class Absent(LookupError):  # noqa: N818  it is a state of a figure that is told, not a fault
    """A figure has no value, and why: "the chart is silent", "not asked", "no such phase"."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


# The keys read by each figure that is being worked out, the innermost last.
READING: list[dict[str, None]] = []


def note(key: str) -> None:
    """Note that the figure being worked out rests on an entry; nothing happens when none is."""
    if READING:
        READING[-1][key] = None


def reads_of(function: Callable[[], V]) -> tuple[V, tuple[str, ...]]:
    """Return what a function returns, and the keys it read; they are not noted for whoever asks.

    Raises:
        Absent: What it read has no value.
    """
    reads: dict[str, None] = {}
    READING.append(reads)
    try:
        return function(), tuple(reads)
    finally:
        READING.pop()


def rests_on(*values: object) -> None:
    """Read figures for their sake as origins only: the value comes from the flight, which was flown with them.

    This is the one claim about origins that is made by hand, so it is the one that the perturbation test holds to account.
    """


class _Attributes:
    """The attributes of a record by name, for the words of a declaration."""

    def __init__(self, record: object) -> None:
        self._record = record

    def __getitem__(self, name: str) -> object:
        return getattr(self._record, name)


def said(text: str, record: object) -> str:
    """Return words of a declaration with the attributes of a record in them."""
    return text % _Attributes(record) if "%(" in text else text


@dataclass(frozen=True)
class Kept:
    """What a figure came to, or why it is absent, and what was read for it."""

    value: object
    reads: tuple[str, ...]
    absent: str | None = None
    foot: tuple[tuple[str, ...], tuple[str, ...]] | None = None


def work_out(function: Callable[[Any], object], record: object) -> Kept:
    reads: dict[str, None] = {}
    READING.append(reads)
    try:
        value, absent = function(record), None
    except Absent as why:
        value, absent = None, why.reason
    finally:
        READING.pop()
    return Kept(value, tuple(reads), absent)


@dataclass(frozen=True)
class Declared:
    """What is said of a figure where it is declared; ``%(name)s`` stands for an attribute of its record."""

    label: str
    unit: str
    decimals: int | str = 0  # a name is that of an attribute of the record
    how: str = ""
    source: str = ""
    spec: str = ""  # the path at which somebody wrote it
    name: str = ""  # the end of its key, where that is not the method's name
    rounding: str = "nearest"  # up: a total of fuel required; down: what is in hand
