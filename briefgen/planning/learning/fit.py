"""Two factors fitted to what many flights say: how large, how sure, whether they differ from one, and what speaks against them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.kernel.statistics.least_squares import Fit, least_squares
from briefgen.kernel.statistics.student import student_quantile
from briefgen.planning.learning.observations import Observation, State

LEAST_FLIGHTS = 5  # fewer say too little to change a file; assumption, no published source
LEVEL = 0.95  # of every interval and every verdict
CONSUMPTION, SPEED = "consumption", "speed"
FACTORS = (CONSUMPTION, SPEED)


@dataclass(frozen=True)
class Factor:
    """One factor: its value and the interval that holds the truth at the level stated."""

    name: str
    value: float
    low: float
    high: float

    @property
    def differs(self) -> bool:
        """Whether it differs from one at that level."""
        return not self.low <= 1.0 <= self.high


@dataclass(frozen=True)
class Trend:
    """How the residuals run with a quantity of the state: by how much over a span of it, and whether that is more than scatter."""

    over: str
    change: float  # of the logarithm over the span read
    error: float
    shows: bool


@dataclass(frozen=True)
class Learned:
    """What many flights say together."""

    flights: tuple[str, ...]
    by_flight: tuple[Observation, ...]  # one a flight and kind
    fit: Fit
    fitted: tuple[str, ...]  # names of the factors fitted, in the order of the fit
    factors: tuple[Factor, ...]
    correlation: float | None
    trends: tuple[Trend, ...]

    def residual(self, flight: str) -> float:
        """Return the mean residual of a flight, weighted as in the fit."""
        pairs = [
            (one, residual)
            for one, residual in zip(self.by_flight, self.fit.residuals, strict=True)
            if one.flight == flight
        ]
        weights = [1.0 / one.error**2 for one, _ in pairs]
        return math.fsum(w * residual for w, (_, residual) in zip(weights, pairs, strict=True)) / math.fsum(weights)


def learn(observations: Sequence[Observation]) -> Learned:
    """Return the factors that many observations say.

    Each flight counts once for each kind of reading: what is wrong on one day with one gauge is wrong on all lines of that day.

    Raises:
        OutOfRangeError: There are too few flights, or nothing was read that says either factor.
    """
    flights = tuple(dict.fromkeys(one.flight for one in observations))
    if len(flights) < LEAST_FLIGHTS:
        raise OutOfRangeError(
            f"{len(flights)} flights say something of consumption or speed",
            expected=f"at least {LEAST_FLIGHTS}: one is never enough",
        )
    means = tuple(_mean([one for one in observations if (one.flight, one.kind) == key]) for key in _kinds(observations))
    fitted, fit = _fit(means)
    quantile = student_quantile(0.5 + 0.5 * LEVEL, fit.freedom)
    factors = tuple(
        Factor(
            name, math.exp(fit.values[index]), math.exp(fit.values[index] - quantile * fit.error(index)),
            math.exp(fit.values[index] + quantile * fit.error(index)),
        )
        for index, name in enumerate(fitted)
    )  # fmt: skip
    correlation = fit.correlation(0, 1) if len(fitted) > 1 else None
    return Learned(flights, means, fit, fitted, factors, correlation, _trends(observations, fitted, fit))


def _kinds(observations: Sequence[Observation]) -> tuple[tuple[str, str], ...]:
    return tuple(dict.fromkeys((one.flight, one.kind) for one in observations))


def _mean(same: Sequence[Observation]) -> Observation:
    """Return the mean of the observations of one flight and kind; its error is that of one, for the gauge is the same."""
    first, count = same[0], len(same)
    row = tuple(math.fsum(one.row[index] for one in same) / count for index in (0, 1))
    ratio = math.fsum(one.log_ratio for one in same) / count
    return Observation(first.flight, first.kind, (row[0], row[1]), ratio, first.error, None)


def _fit(means: Sequence[Observation]) -> tuple[tuple[str, ...], Fit]:
    """Return the factors that can be told, and their fit: both; or one alone where nothing was read of the other.

    Flows at airspeeds alone hold both, and cannot part them: consumption is then that at the airspeeds that were flown.
    """
    observed, errors = [one.log_ratio for one in means], [one.error for one in means]
    speeds = [one for one in means if not one.row[0]]
    if len(speeds) == len(means):
        return (SPEED,), least_squares([(one.row[1],) for one in means], observed, errors)
    if speeds:
        return FACTORS, least_squares([one.row for one in means], observed, errors)
    return (CONSUMPTION,), least_squares([(1.0,) for _ in means], observed, errors)


# --- what speaks against a factor --------------------------------------------------------------------------------------


def _trends(observations: Sequence[Observation], fitted: Sequence[str], fit: Fit) -> tuple[Trend, ...]:
    """Return how the residuals of single readings run with weight and altitude, and differ by mixture."""
    read = [
        (one.state, one.log_ratio - _said(one, fitted, fit), one.error) for one in observations if one.state is not None
    ]
    asked: tuple[tuple[str, Callable[[State], float]], ...] = (
        ("weight", lambda state: state.mass_kg),
        ("altitude", lambda state: state.air.pressure_altitude_m),
        ("mixture", lambda state: float(state.mixture == "rich")),
    )
    found = (_trend(name, [(of(state), residual, error) for state, residual, error in read]) for name, of in asked)
    return tuple(trend for trend in found if trend is not None)


def _said(one: Observation, fitted: Sequence[str], fit: Fit) -> float:
    if len(fitted) == 1:
        return fit.values[0]
    return math.fsum(value * part for value, part in zip(fit.values, one.row, strict=True))


def _trend(over: str, read: Sequence[tuple[float, float, float]]) -> Trend | None:
    """Return how residuals run with a quantity; None where it was the same on all readings, or there are too few."""
    if not read:
        return None
    low, high = min(x for x, _, _ in read), max(x for x, _, _ in read)
    if high - low <= 1e-6 * max(abs(high), 1.0):
        return None
    middle = math.fsum(x for x, _, _ in read) / len(read)
    rows = [(1.0, (x - middle) / (high - low)) for x, _, _ in read]
    try:
        fit = least_squares(rows, [y for _, y, _ in read], [error for _, _, error in read])
    except OutOfRangeError:
        return None
    quantile = student_quantile(0.5 + 0.5 * LEVEL, fit.freedom)
    return Trend(over, fit.values[1], fit.error(1), abs(fit.values[1]) > quantile * fit.error(1))
