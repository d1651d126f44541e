"""Each fact once: what a section found is told by the rule that judges the same fact at least as strictly."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.frozen import dataclass
from briefgen.model.plan import Finding

STRICTNESS = ("pass", "caution", "fail")


@dataclass(frozen=True)
class Judged:
    """A fact and how a rule judged it."""

    subject: str
    outcome: str


def each_once(told: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings of the sections with one of each subject: the most severe, the earlier of two alike."""
    kept: dict[str, Finding] = {}
    for number, one in enumerate(told):
        name = one.subject or f"{number}"
        if name not in kept or STRICTNESS.index(one.outcome) > STRICTNESS.index(kept[name].outcome):
            kept[name] = one
    return tuple(kept.values())


def told_by(judged: Sequence[Judged], told: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings of the sections that a rule makes superfluous: same subject, judged at least as strictly."""
    strictest: dict[str, int] = {}
    for one in judged:
        strictest[one.subject] = max(strictest.get(one.subject, -1), STRICTNESS.index(one.outcome))
    return tuple(one for one in told if one.subject and STRICTNESS.index(one.outcome) <= strictest.get(one.subject, -1))
