"""Tables of the aircraft's answers and of the air along a line, and how they are read for many samples at once.

A node without an answer is not a number, and so is whatever is read from beside it: a sample there is refused, never guessed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import product

import numpy as np

from briefgen.errors import BriefgenError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.performance import Air, PowerSetting
from briefgen.planning.flight.sky import Sky
from briefgen.replay.draws import Array, Draws, Index, plane

MASS_STEP_RATIO = 0.02
DEVIATION_STEP_K = 5.0
FINE_MASS_RATIO, FINE_DEVIATION_K = (
    0.005,
    2.0,
)  # where gauges round: a jump lies where an engine speed passes a step of 25 rpm
WIND_STEP_M_PER_S = 6.0
HEIGHT_MARGIN_M = 40.0
EDGE_RATIO = 1e-3  # of an axis, to which the edge of a jump is found
STRAIGHT_RATIO = 5e-4  # of a figure, by which a straight line between two nodes may miss it half way
LEAST_BEND_RATIO = 0.01  # of an axis: nodes are put no closer
LINE_STEP_M = 20_000.0
TIME_STEP_S = 1800.0


def read(axes: Sequence[Array], values: Array, at: Sequence[Array]) -> Array:
    """Return the values of a table, an array (axes..., quantities), linear on each axis between its nodes; outside it is nan."""
    shape = np.broadcast_shapes(*(one.shape for one in at))
    total = np.zeros((*shape, values.shape[-1]))
    lows, parts = [], []
    outside = np.zeros(shape, dtype=bool)
    for axis, where in zip(axes, at, strict=True):
        index = np.clip(np.searchsorted(axis, where, side="right") - 1, 0, max(0, len(axis) - 2))
        span = axis[np.minimum(index + 1, len(axis) - 1)] - axis[index]
        part = np.where(span > 0.0, (where - axis[index]) / np.where(span > 0.0, span, 1.0), 0.0)
        if len(axis) > 1:
            outside = outside | (part < -1e-9) | (part > 1.0 + 1e-9) | np.isnan(where)
        lows.append(index)
        parts.append(np.clip(part, 0.0, 1.0))
    for corner in product((0, 1), repeat=len(axes)):
        weight = np.ones(shape)
        corners = []
        for axis, low, part, up in zip(axes, lows, parts, corner, strict=True):
            weight = weight * (part if up else 1.0 - part)
            corners.append(np.minimum(low + up, len(axis) - 1))
        found = values[tuple(corners)]
        total += np.where(weight[..., None] > 0.0, weight[..., None] * found, 0.0)
    total[outside] = np.nan
    return total


def nodes(low: float, high: float, step: float) -> Array:
    """Return evenly spaced nodes that cover a range in steps no longer than asked."""
    return np.linspace(low, high, max(2, math.ceil((high - low) / step - 1e-9) + 1)) if high > low else np.array([low])


def refined(axis: Array, words_at: Callable[[float], object]) -> Array:
    """Return an axis with a pair of nodes put where what is said about a setting becomes another, so that nothing is averaged across.

    Levers, shutters and mixture change at once, and speed or flow with them. Where there is no answer on one side, the pair
    stands at the edge of the answers.
    """
    found = [float(axis[0])]
    words = words_at(found[0])
    for high in map(float, axis[1:]):
        low, after = found[-1], words_at(high)
        if after != words:
            end = high
            while end - low > EDGE_RATIO * (axis[-1] - axis[0]):
                middle = 0.5 * (low + end)
                low, end = (middle, end) if words_at(middle) == words else (low, middle)
            found += [one for one in (low, end) if found[-1] < one < high]
        found.append(high)
        words = after
    return np.array(found)


def bent(axis: Array, figures_at: Callable[[float], Sequence[float] | None]) -> Array:
    """Return an axis with nodes put in where a straight line between two misses what lies between them by more than allowed.

    A shutter that opens by degrees bends the rate of climb over a few kelvin: no word changes there, and wide nodes cut the corner.
    """
    found = [float(axis[0])]
    known = {found[0]: figures_at(found[0])}
    for high in map(float, axis[1:]):
        waiting = [high]
        while waiting:
            low, end = found[-1], waiting[-1]
            for one in (end, 0.5 * (low + end)):
                known.setdefault(one, figures_at(one))
            middle = 0.5 * (low + end)
            if end - low > LEAST_BEND_RATIO * (axis[-1] - axis[0]) and _missed(known[low], known[middle], known[end]):
                waiting.append(middle)
            else:
                found.append(waiting.pop())
    return np.array(found)


def _missed(low: Sequence[float] | None, middle: Sequence[float] | None, high: Sequence[float] | None) -> bool:
    if low is None or middle is None or high is None:
        return False
    pairs = zip(low, middle, high, strict=True)
    return any(abs(0.5 * (one + three) - two) > STRAIGHT_RATIO * abs(two) for one, two, three in pairs)


def said(setting: PowerSetting) -> tuple[object, ...]:
    """Return the words of a setting, which do not change by degrees."""
    return (
        setting.mixture, setting.cowl_flaps, setting.filters, setting.blower, setting.intercooler, setting.carburettor_heat
    )  # fmt: skip


# --- the aircraft -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Span:
    """Where the answers of the aircraft are wanted."""

    mass_kg: tuple[float, float]
    deviation_k: tuple[float, float]
    height_m: tuple[float, float]
    head_wind_m_per_s: tuple[float, float] = (0.0, 0.0)

    def axes(self, *, fine: bool = False) -> tuple[Array, Array, Array]:
        """Return the axes of mass, deviation from standard and height."""
        low, high = self.mass_kg
        mass_ratio, deviation_k = (FINE_MASS_RATIO, FINE_DEVIATION_K) if fine else (MASS_STEP_RATIO, DEVIATION_STEP_K)
        return (
            nodes(low, high, mass_ratio * high), nodes(*self.deviation_k, deviation_k),
            np.array([self.height_m[0] - HEIGHT_MARGIN_M, self.height_m[1] + HEIGHT_MARGIN_M]),
        )  # fmt: skip


Answer = Callable[[float, Air], tuple[tuple[float, float, float, float], tuple[object, ...]]]  # figures, words


class HeightTable:
    """A climb or descent through one height: fuel flow [kg/s], true airspeed, rate of pressure altitude and real rate [m/s]."""

    def __init__(
        self,
        answer: Answer,
        height_m: float,
        span: Span,
        *,
        icing: bool,
    ) -> None:
        mass_axis, deviation_axis, _ = span.axes()
        middle_kg, middle_k = float(mass_axis.mean()), float(deviation_axis.mean())

        def words_at(mass_kg: float, deviation_k: float) -> object:
            try:
                return answer(mass_kg, Air(height_m, standard_temperature(height_m) + deviation_k, icing=icing))[1]
            except BriefgenError:
                return None

        def figures_at(mass_kg: float, deviation_k: float) -> tuple[float, float, float, float] | None:
            try:
                return answer(mass_kg, Air(height_m, standard_temperature(height_m) + deviation_k, icing=icing))[0]
            except BriefgenError:
                return None

        mass_axis = refined(mass_axis, lambda mass: words_at(mass, middle_k))
        deviation_axis = refined(deviation_axis, lambda one: words_at(middle_kg, one))
        deviation_axis = bent(deviation_axis, lambda one: figures_at(middle_kg, one))
        self.axes = (mass_axis, deviation_axis)
        self.values = np.full((len(mass_axis), len(deviation_axis), 4), np.nan)
        for i, mass in enumerate(mass_axis):
            for j, deviation in enumerate(deviation_axis):
                with suppress(BriefgenError):
                    air = Air(height_m, standard_temperature(height_m) + float(deviation), icing=icing)
                    self.values[i, j], _ = answer(float(mass), air)

    def at(self, mass_kg: Array, deviation_k: Array) -> tuple[Array, Array, Array, Array]:
        """Return fuel flow, true airspeed, rate of pressure altitude and real rate."""
        found = read(self.axes, self.values, (mass_kg, deviation_k))
        return found[..., 0], found[..., 1], found[..., 2], found[..., 3]


# --- the air --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Aloft:
    """The air where samples are: deviation from standard [K], wind towards east and north [m/s]."""

    deviation_k: Array
    east: Array
    north: Array


class LineAir:
    """The air of the forecast along one line, or over one place, with the errors of each sample added."""

    def __init__(
        self, sky: Sky, where: Callable[[float], tuple[float, float, float]], along_m: tuple[float, float],
        heights_m: Sequence[float], begin: datetime, spans_s: tuple[float, float], centre_deg: tuple[float, float],
    ) -> None:  # fmt: skip
        self.begin = begin
        self._along = nodes(*along_m, LINE_STEP_M)
        self._heights = np.array(sorted(set(heights_m)))
        self._times = nodes(*spans_s, TIME_STEP_S)
        places = [where(float(one)) for one in self._along]
        self._courses = np.unwrap(np.radians([course for _, _, course in places]))
        self._values = np.full((len(self._along), len(self._heights), len(self._times), 3), np.nan)
        for i, (lat, lon, _) in enumerate(places):
            for j, height in enumerate(self._heights):
                for k, time_s in enumerate(self._times):
                    with suppress(BriefgenError):
                        one = sky.air(lat, lon, float(height), begin + timedelta(seconds=float(time_s)))
                        deviation = one.temperature_k - standard_temperature(float(height))
                        self._values[i, j, k] = deviation, one.wind_east_m_per_s, one.wind_north_m_per_s
        lats, lons = (np.array([place[index] for place in places]) for index in (0, 1))
        self._x, self._y = plane(lats, lons, centre_deg)

    def course(self, along_m: Array) -> Array:
        """Return the true course [rad] at distances along the route."""
        return np.interp(along_m, self._along, self._courses)

    def at(self, draws: Draws, samples: Index, along_m: Array, height_m: Array, time_s: Array) -> Aloft:
        """Return the air of some samples at their places, heights [m] and times [s after the beginning]."""
        found = read((self._along, self._heights, self._times), self._values, (along_m, height_m, time_s))
        place = np.stack([np.interp(along_m, self._along, self._x), np.interp(along_m, self._along, self._y), height_m, time_s], axis=-1)  # fmt: skip
        errors = [0.0 if one is None else one.at(samples, place) for one in (draws.warmer, draws.east, draws.north)]
        return Aloft(*(found[..., column] + errors[column] for column in range(3)))
