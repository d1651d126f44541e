"""An approval as it holds today: who approved, what he accepted, and why it no longer holds, if it does not."""

from __future__ import annotations

from briefgen.frozen import dataclass
from briefgen.model.comparison import Comparison

RECORD, FIGURES, SIGNATURE = (
    ".approval.json",
    ".approved.json",
    ".approval.sig",
)  # end the names beside the mission file


@dataclass(frozen=True)
class Acceptance:
    """A finding that somebody accepted, as it was then."""

    finding: str  # its stable name
    title: str
    outcome: str  # fail | caution
    measured: str  # printed, empty where the plan did not know it
    limit: str
    because: str
    until: str = ""  # the last day on which it holds, ISO 8601; empty where it ends with the approval


@dataclass(frozen=True)
class Approval:
    """The record beside a specification, held against the plan of today."""

    by: str
    role: str
    at: str  # ISO 8601, UTC
    tool: str
    digest: str  # of the plan that was approved
    accepted: tuple[Acceptance, ...]
    signed: str = ""  # with what key, and how that is known; empty where it is not signed
    stale: tuple[str, ...] = ()  # why it does not hold, one sentence each; none where it holds
    changes: Comparison | None = None  # since then, where the approved figures are at hand

    @property
    def holds(self) -> bool:
        """Whether it is still the approval of this very plan."""
        return not self.stale
