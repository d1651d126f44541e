"""Best range, long range and best endurance, searched for along the speed (or the power) with which flight is entered."""

from __future__ import annotations

import math
from collections.abc import Callable

from briefgen.errors import BriefgenError, PlanError
from briefgen.kernel.interpolate import root
from briefgen.model.performance import Mixture

LONG_RANGE_RATIO = 0.99  # of the best specific range, on the fast side: common practice of the trade
_COARSE_STEPS = 10
_USUAL_STEP = 3  # of the coarse scan, where best range usually lies
_TOP_TOLERANCE = 1e-3  # of the range searched; the top is flat, so its merit is found far closer
_MERIT_TOLERANCE = (
    5e-3  # the same where only the merit of the top is wanted: half a mile an hour off it costs 1e-5 of it
)
_EDGE_TOLERANCE = 1e-4  # of the range searched
_STRIDE = 1.08  # from the best towards the fast side, until the merit is below what is wanted
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0

# speed or power ratio -> true airspeed [m/s], fuel flow [kg/s] and mixture; raises where it cannot be flown
FlownAt = Callable[[float], tuple[float, float, Mixture | None]]
Merit = Callable[[float, float], float]  # of a true airspeed and a fuel flow; the greater the better


def ground_range_merit(headwind_m_per_s: float) -> Merit:
    """Return the merit for range: distance over the ground per mass of fuel [m/kg]."""
    return lambda tas_m_per_s, fuel_flow_kg_per_s: (tas_m_per_s - headwind_m_per_s) / fuel_flow_kg_per_s


def endurance_merit(_tas_m_per_s: float, fuel_flow_kg_per_s: float) -> float:
    """Return the merit for endurance: time per mass of fuel [s/kg]."""
    return 1.0 / fuel_flow_kg_per_s


class SpeedSearch:
    """One search along speed or power, here called speed; what cannot be flown counts as worthless."""

    def __init__(self, flown_at: FlownAt, merit: Merit, slowest: float, fastest: float) -> None:
        self._flown_at = flown_at
        self._merit = merit
        self._slowest = slowest
        self._fastest = fastest
        self._refusal: BriefgenError | None = None
        self._values: dict[float, float] = {}  # bracket ends and tops are asked for again
        self._lean: set[float] = set()

    def _value(self, speed: float) -> float:
        value = self._values.get(speed)
        if value is None:
            try:
                tas_m_per_s, fuel_flow_kg_per_s, mixture = self._flown_at(speed)
                value = self._merit(tas_m_per_s, fuel_flow_kg_per_s)
                if mixture == "lean":
                    self._lean.add(speed)
            except BriefgenError as refusal:
                self._refusal = refusal
                value = -math.inf
            self._values[speed] = value
        return value

    def best_speed(self, tolerance: float = _TOP_TOLERANCE) -> float:
        """Return the speed of the greatest merit, to within a part of the range searched.

        A coarse scan finds the hill (the change of mixture can make two), golden section its top.
        """
        width = (self._fastest - self._slowest) / _COARSE_STEPS
        speeds = [self._slowest + width * step for step in range(_COARSE_STEPS + 1)]
        peak = self._hill(speeds)
        if self._value(speeds[peak]) == -math.inf:
            reason = self._refusal.problem if self._refusal else "no speed can be flown"
            raise PlanError(f"level flight is not possible at any speed: {reason}", hint="go lower or lighter")
        low, high = speeds[max(0, peak - 1)], speeds[min(len(speeds) - 1, peak + 1)]
        return self._golden(low, high, speeds[peak], self._value(speeds[peak]), tolerance)

    def _hill(self, speeds: list[float]) -> int:
        """Return which of the coarse speeds has the greatest merit.

        A climb from where it usually is asks for three or four of them. Its top is the highest where it and both speeds beside
        it are flown lean: rich burns more at any speed and comes with the faster ones. Otherwise all are looked at.
        """
        top, last = _USUAL_STEP, len(speeds) - 1
        while 0 < top < last:
            around = (top - 1, top, top + 1)
            higher = max(around, key=lambda step: self._value(speeds[step]))
            if higher == top:
                if self._lean.issuperset(speeds[step] for step in around):
                    return top
                break
            top = higher
        return max(range(len(speeds)), key=lambda step: self._value(speeds[step]))

    def _golden(self, low: float, high: float, best: float, best_value: float, tolerance: float) -> float:
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        value_left, value_right = self._value(left), self._value(right)
        while high - low > tolerance * (self._fastest - self._slowest):
            for speed, value in ((left, value_left), (right, value_right)):
                if value > best_value:
                    best, best_value = speed, value
            if value_left > value_right or (value_left == value_right and best <= left):
                high, right, value_right = right, left, value_left
                left = high - _GOLDEN * (high - low)
                value_left = self._value(left)
            else:
                low, left, value_left = left, right, value_right
                right = low + _GOLDEN * (high - low)
                value_right = self._value(right)
        return best

    def fast_side_speed(self, ratio: float) -> float:
        """Return the fastest speed near the best that still has a given part of the best merit.

        Where the merit falls at once at the change of mixture, that is the last speed before the change.
        """
        best = self.best_speed(_MERIT_TOLERANCE)
        wanted = ratio * self._value(best)
        slow, fast = best, min(self._fastest, best * _STRIDE)
        while self._value(fast) >= wanted:
            if fast >= self._fastest:
                return fast
            slow, fast = fast, min(self._fastest, fast * _STRIDE)
        tolerance = _EDGE_TOLERANCE * (self._fastest - self._slowest)
        edge = root(
            lambda speed: max(self._value(speed), 0.0) - wanted, slow, fast, tolerance, quantity="merit in hand"
        )
        while edge > slow and self._value(edge) < wanted:
            edge = max(slow, edge - tolerance)  # the root may lie just beyond the fall
        return edge
