"""What the command line lends to every verb: missions planned, texts said, the time of the run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from briefgen.model.plan import Plan


class Say(Protocol):
    """Prints a text."""

    def __call__(self, text: object, *, nl: bool = True, to_error: bool = False) -> None:
        """Print a text, to the error stream when asked."""


@dataclass(frozen=True)
class Desk:
    """The tools of one run."""

    missions: Callable[[list[Path]], list[Path]]
    plans: Callable[[list[Path]], dict[Path, Plan]]
    now: Callable[[], datetime]
    say: Say

    def plan_of_one(self, spec: Path) -> Plan:
        """Return the plan of a mission of one sector, or of the sector named.

        Raises:
            UsageError: The mission has several sectors, and none is named.
        """
        from briefgen.spec.choose import one_sector

        (plan,) = self.plans([spec]).values()
        if plan.sectors:
            one_sector(spec, [one.mission for one in plan.sectors])
        return plan
