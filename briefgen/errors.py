"""The one exception tree of briefgen.

Every message a user sees has the same three lines: where and what is wrong, what is expected, one thing to do next.
The parts are fields; the text is made here and nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass


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
        lines = [f"{place}: {self.problem}"]
        if self.expected:
            lines.append(f"  expected: {self.expected}")
        if self.hint:
            lines.append(f"  hint: {self.hint}")
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
        lines = [f"{self.where}: {self.problem}" if self.where else self.problem]
        if self.expected:
            lines.append(f"  expected: {self.expected}")
        if self.hint:
            lines.append(f"  hint: {self.hint}")
        return "\n".join(lines)

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


class UsageError(BriefgenError):
    """The command line, or what it names, is wrong: nothing was read, or what was asked for is not there."""

    exit_code = 2


class OutOfRangeError(BriefgenError, ValueError):
    """A value lies outside the range in which a formula, model or chart holds; nothing is extrapolated or clamped."""


class PlanError(BriefgenError):
    """A well-formed mission cannot be flown as specified."""


class RenderError(BriefgenError):
    """A page or card could not be made; nothing was written."""
