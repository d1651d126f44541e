"""A difference shared out among its causes so that the shares add up exactly and no order of the causes is privileged."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from itertools import combinations
from typing import TypeVar

from briefgen.frozen import dataclass

C = TypeVar("C", bound=Hashable)


@dataclass(frozen=True)
class Share:
    """What one cause adds: its mean over all orders, and the least and the most it adds in any of them."""

    mean: float
    least: float
    most: float


def shares_of(values: Mapping[frozenset[C], float], causes: Sequence[C]) -> dict[C, Share]:
    """Return the share of every cause in the difference between all causes at work and none.

    Args:
        values: What comes out with each set of causes at work, for every set of them, in the caller's unit [-].
        causes: The causes, each once.

    Returns:
        The shares, in the same unit [-]; their sum is the value of all causes less that of none.

    Raises:
        KeyError: A set of causes has no value.

    Source:
        L. S. Shapley, A value for n-person games, in Contributions to the Theory of Games II, Annals of Mathematics Studies 28
        (Princeton, 1953), 307-317 (from memory): the mean marginal effect over all orders is the one rule that adds up, treats
        like causes alike, gives nothing to a cause without effect, and is additive.

    Departs from the source:
        The least and the most marginal effect are told beside the mean: they say how far the share depends on the order.
    """
    found = {}
    for cause in causes:
        others = [other for other in causes if other != cause]
        effects: list[tuple[float, float]] = []
        for size in range(len(others) + 1):
            weight = _weight(size, len(causes))
            for chosen in combinations(others, size):
                at_work = frozenset(chosen)
                effects.append((weight, values[at_work | {cause}] - values[at_work]))
        only = [effect for _, effect in effects]
        found[cause] = Share(math.fsum(weight * effect for weight, effect in effects), min(only), max(only))
    return found


def _weight(size: int, count: int) -> float:
    """Return in which part of all orders exactly a given set of so many causes stands before one more."""
    return math.factorial(size) * math.factorial(count - size - 1) / math.factorial(count)
