"""How likely: a mission flown thousands of times under the uncertainties it states."""

from __future__ import annotations

from pathlib import Path

from briefgen.model.plan import Plan
from briefgen.planning.flight.fly import fly
from briefgen.planning.likely.figures import Likely
from briefgen.planning.likely.section import likely_plan
from briefgen.replay.spread import spread
from briefgen.spec import read_mission


def likely(path: Path, *, samples: int, seed: int, in_full: int) -> Plan:
    """Return what a mission file comes to under the uncertainties it states, as a ledger of its own.

    Raises:
        UsageError, PlanError: As `spread` does.
    """
    flown = fly(read_mission(path))
    return likely_plan(Likely(flown, spread(flown, samples=samples, seed=seed, in_full=in_full)))
