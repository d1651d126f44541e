"""The one exception tree of briefgen.

Every message a user sees has the same three lines: where and what is wrong, what is expected, one thing to do next.
The parts are fields; the text is made here and nowhere else.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

LONGEST_PROBLEM, KEPT_HEAD, KEPT_TAIL = 400, 200, 120  # letters of a sentence; the value it quotes may be a whole file
LONGEST_ADVICE = 2_000
# What steers a terminal or reorders a line instead of being seen: controls, format and bidirectional characters, separators.
UNSEEN_CATEGORIES = ("Cc", "Cf", "Cs", "Zl", "Zp")
_ALLOWED_UNSEEN = "\n\t"


def unseen(text: str) -> list[int]:
    """Return the positions of characters that steer or reorder a text instead of being seen; line ends and tabs may stand."""
    if text.isprintable():
        return []
    return [
        index
        for index, sign in enumerate(text)
        if sign not in _ALLOWED_UNSEEN and not sign.isprintable() and unicodedata.category(sign) in UNSEEN_CATEGORIES
    ]


def visible(text: str, *, one_line: bool = False) -> str:
    """Return a text in which every such character is written out as its code, for terminals and logs."""
    found = set(unseen(text))
    if not found and not one_line:
        return text
    shown = "".join(_code(sign) if index in found else sign for index, sign in enumerate(text))
    return shown.replace("\n", "\\n").replace("\t", "\\t") if one_line else shown


def _code(sign: str) -> str:
    number = ord(sign)
    return f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"


def shortened(text: str, longest: int = LONGEST_PROBLEM) -> str:
    """Return a text with its middle left out where it is too long to be read; its two ends say what it is about."""
    if len(text) <= longest:
        return text
    head, tail = text[: longest * KEPT_HEAD // LONGEST_PROBLEM], text[-longest * KEPT_TAIL // LONGEST_PROBLEM :]
    return f"{head} [... {len(text) - len(head) - len(tail):,} letters ...] {tail}"


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong with a file, at the place where its author can mend it.

    Lines and columns count from 1; 0 means the fault belongs to the file as a whole.
    """

    file: str
    line: int
    column: int
    problem: str
    expected: str = ""
    hint: str = ""

    def text(self) -> str:
        """Return the fault as the lines a person reads."""
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return _message(place, visible(self.problem, one_line=True), self.expected, self.hint)


def _message(where: str, problem: str, expected: str, hint: str) -> str:
    """Return the three lines of a message, nothing in them longer than can be read or able to steer a terminal."""
    place = f"{shortened(visible(where, one_line=True))}: " if where else ""
    lines = [f"{place}{shortened(problem)}"]
    if expected:
        lines.append(f"  expected: {shortened(visible(expected, one_line=True), LONGEST_ADVICE)}")
    if hint:
        lines.append(f"  hint: {shortened(visible(hint, one_line=True), LONGEST_ADVICE)}")
    return "\n".join(lines)


class BriefgenError(Exception):
    """Base of everything briefgen raises on purpose; an exception outside this tree is a bug."""

    exit_code = 1

    def __init__(self, problem: str, *, where: str = "", expected: str = "", hint: str = "") -> None:
        super().__init__(problem)
        self.problem = problem
        self.where = where
        self.expected = expected
        self.hint = hint

    def text(self) -> str:
        """Return the message as the lines a person reads."""
        return _message(self.where, visible(self.problem), self.expected, self.hint)

    def __str__(self) -> str:
        return self.text()

    def at(self, where: str) -> BriefgenError:
        """Return the same error with the place it concerns put in front; an inner place already known is kept."""
        place = f"{where}: {self.where}" if self.where else where
        return type(self)(self.problem, where=place, expected=self.expected, hint=self.hint)


class SpecError(BriefgenError):
    """The files given do not say a mission: all faults of the run together, in file order."""

    exit_code = 2

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = tuple(sorted(set(faults)))
        super().__init__("\n".join(fault.text() for fault in self.faults))

    def at(self, where: str) -> BriefgenError:
        """Return the same faults: each names its own place."""
        return self

    def text(self) -> str:
        """Return every fault, each in its three lines."""
        return "\n".join(fault.text() for fault in self.faults)


class UsageError(BriefgenError):
    """The command line, or what it names, is wrong: nothing was read, or what was asked for is not there."""

    exit_code = 2


class OutOfRangeError(BriefgenError, ValueError):
    """A value lies outside the range in which a formula, model or chart holds; nothing is extrapolated or clamped."""


class PlanError(BriefgenError):
    """A well-formed mission cannot be flown as specified."""


class OutOfFuelError(PlanError):
    """The fuel on board is gone before the end of the flight."""


class RenderError(BriefgenError):
    """A page or card could not be made; nothing was written."""


class InternalError(BriefgenError):
    """The program contradicts itself: nothing it made may be used; the message ends with a report to send."""

    exit_code = 3

    def __init__(
        self, problem: str, *, where: str = "", expected: str = "", hint: str = "", report: tuple[str, ...] = ()
    ) -> None:
        super().__init__(problem, where=where, expected=expected, hint=hint)
        self.report = report

    def at(self, where: str) -> InternalError:
        """Return the same error with the place it concerns put in front."""
        place = f"{where}: {self.where}" if self.where else where
        return InternalError(self.problem, where=place, expected=self.expected, hint=self.hint, report=self.report)

    def text(self) -> str:
        """Return the message and below it the report."""
        return "\n".join([super().text(), "--- report", *(visible(line) for line in self.report), "--- end of report"])
