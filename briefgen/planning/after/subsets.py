"""The fuel burnt with every set of causes at work: one flight for each set."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import chain, combinations

from briefgen.frozen import dataclass
from briefgen.kernel.statistics.attribution import Share, shares_of
from briefgen.planning.after.ways import NOTHING, Met, On, Pilot, Stretch, Way


@dataclass(frozen=True)
class Flights:
    """The way as planned, as met, and what every set of causes burns in each stretch of it [kg]."""

    causes: tuple[str, ...]
    planned: tuple[Stretch, ...]
    as_met: tuple[Stretch, ...]
    burnt_kg: Mapping[On, tuple[float, ...]]

    def shares(self, begin: int, end: int) -> dict[str, Share]:
        """Return the share of every cause in what the stretches from one up to another burn otherwise than planned [kg]."""
        values = {on: math.fsum(burnt[begin:end]) for on, burnt in self.burnt_kg.items()}
        return shares_of(values, self.causes)


def fly_all(way: Way, met: Met) -> Flights:
    """Fly the way with every set of the causes that were met: 64 flights for six of them.

    Raises:
        PlanError: It cannot be flown with some set of them; the message says which.
    """
    burnt: dict[On, tuple[float, ...]] = {}
    kept: dict[On, tuple[Stretch, ...]] = {}
    every = frozenset(met.causes)
    for on in sets_of(met.causes):
        flown = Pilot(way, met, on).whole()
        burnt[on] = tuple(stretch.burnt_kg for stretch in flown)
        if on in (NOTHING, every):
            kept[on] = flown
    return Flights(met.causes, kept[NOTHING], kept[every], burnt)


def sets_of(causes: Sequence[str]) -> list[On]:
    """Return every set of some causes, the empty one first and all of them last."""
    sizes = range(len(causes) + 1)
    return [frozenset(chosen) for chosen in chain.from_iterable(combinations(causes, size) for size in sizes)]
