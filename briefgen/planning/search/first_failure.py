"""The push at which the first requirement fails, found in a few flights: by proportion, then held from both sides."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from briefgen.frozen import dataclass
from briefgen.planning.search.judged import Judgement, Standing

TRIES = 4  # flights for one push, at most
REFUSED = "It can no longer be planned"


@dataclass(frozen=True)
class Reach:
    """How far something is pushed: the first trial, the step that is told apart, and the most that is asked [SI]."""

    first: float
    step: float
    most: float


@dataclass(frozen=True)
class FirstFailure:
    """What fails first when one thing is pushed; ``fails_at`` is None where nothing fails up to the most that was tried."""

    holds_at: float  # nothing fails there that did not fail before
    fails_at: float | None
    ident: str = ""
    title: str = ""
    why: str = ""  # of a mission that is refused
    tries: int = 0


def first_failure(base: Mapping[str, Standing], judge: Callable[[float], Judgement], reach: Reach) -> FirstFailure:
    """Return the least push found at which a requirement fails that did not.

    The next trial is where the margins of the trials so far, taken in proportion, run out; requirements without a margin
    in figures are met or not. What is found is bracketed by a flight in which nothing fails and one in which it does.
    """
    low, high = (0.0, base), None
    why, push, tries = "", reach.first, 0
    while tries < TRIES:
        tries += 1
        found = judge(push)
        if found.refused or _broken(base, found.standings):
            high, why = (push, found.standings), found.refused
        else:
            low = (push, found.standings)
        wanted = _next(base, low, high, reach)
        if wanted is None:
            break
        push = wanted
    if high is None:
        return FirstFailure(low[0], None, tries=tries)
    if why:
        return FirstFailure(low[0], high[0], title=REFUSED, why=why, tries=tries)
    ident = min(_broken(base, high[1]), key=lambda name: _runs_out(name, low, high))
    return FirstFailure(low[0], high[0], ident, base[ident].title, tries=tries)


Trial = tuple[float, Mapping[str, Standing]]


def _broken(base: Mapping[str, Standing], now: Mapping[str, Standing]) -> list[str]:
    """Return what fails now and did not before; what the plan did not judge says nothing."""
    return [name for name, one in now.items() if name in base and one.outcome == "fail" != base[name].outcome]


def _next(base: Mapping[str, Standing], low: Trial, high: Trial | None, reach: Reach) -> float | None:
    """Return the next trial, None where a step separates what holds from what fails, or nothing more may be pushed."""
    if high is None:
        if low[0] >= reach.most:
            return None
        estimate = min(_crossings(base, (0.0, base), low), default=reach.most)
        return min(
            max(_stepped(estimate, reach), low[0] + reach.first), reach.most
        )  # a curve may bend away from the estimate
    if high[0] - low[0] <= reach.step * (1.0 + 1e-9):
        return None
    estimate = min(_crossings(base, low, high), default=0.5 * (low[0] + high[0]))
    return min(max(_stepped(estimate, reach), low[0] + reach.step), high[0] - reach.step)


def _stepped(push: float, reach: Reach) -> float:
    return math.ceil(push / reach.step - 1e-9) * reach.step


def _crossings(base: Mapping[str, Standing], one: Trial, other: Trial) -> Iterator[float]:
    """Yield where the margins of two trials run out, taken in proportion, of what did not fail before."""
    for name in other[1]:
        if name in base and base[name].outcome != "fail" and math.isfinite(place := _runs_out(name, one, other)):
            yield place


def _runs_out(name: str, one: Trial, other: Trial) -> float:
    """Return the push at which a margin is gone, infinity where it has none in figures or does not shrink."""
    near, far = (trial[1][name].margin if name in trial[1] else None for trial in (one, other))
    if near is None or far is None or far >= near:
        return math.inf
    return one[0] + (other[0] - one[0]) * near / (near - far)
