"""Tables of level flight: true airspeed and fuel flow by weight, deviation from standard, height, and head wind for range speeds."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from statistics import fmean

import numpy as np

from briefgen.errors import BriefgenError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.performance import (
    Air,
    BestRange,
    GivenSetting,
    IndicatedAirspeed,
    LongRange,
    PowerSetting,
    SpeedTarget,
)
from briefgen.planning.flight.steps import Crew
from briefgen.replay.draws import Array
from briefgen.replay.rounding import FLOW, SIZE, TAS, Gauges
from briefgen.replay.tables import Span, bent, nodes, read, refined, said

WIND_STEP_M_PER_S = 6.0
SPEEDS = 21  # at each node, from below the slowest range speed asked for to above the fastest
SLOWER, FASTER = 0.97, 1.02
SPEED_TOLERANCE_M_PER_S = 0.01
LONG_RANGE_RATIO = 0.99  # of the best specific range, as the aircraft is asked


@dataclass(frozen=True)
class Asked:
    """What is asked of the aircraft for level flight."""

    crew: Crew
    target: SpeedTarget
    bank_deg: float
    icing: bool

    def at(self, mass_kg: float, deviation_k: float, height_m: float, head_wind_m_per_s: float) -> PowerSetting:
        """Return the answer, not yet rounded."""
        crew, air = self.crew, Air(height_m, standard_temperature(height_m) + deviation_k, icing=self.icing)
        return crew.performance.cruise(
            mass_kg, air, self.target, engines=crew.engines, bank_deg=self.bank_deg, headwind_m_per_s=head_wind_m_per_s,
            configuration=crew.configuration, mixture=crew.mixture, phase=crew.phase,
        )  # fmt: skip

    def kept(self, exact: PowerSetting, gauges: Gauges | None) -> tuple[float, ...]:
        """Return what a table keeps of an answer: what its neighbours are rounded by, or speed and flow as they are set."""
        if gauges is not None:
            return gauges.node(self.crew.performance, exact)
        as_set = exact if isinstance(self.target, GivenSetting) else self.crew.performance.as_set(exact)
        return as_set.tas_m_per_s, as_set.fuel_flow_kg_per_s

    def rounds(self, span: Span) -> bool:
        """Return whether a setting in the middle of a span is rounded to what the gauges show."""
        if isinstance(self.target, GivenSetting):
            return False
        try:
            exact = self.at(fmean(span.mass_kg), fmean(span.deviation_k), fmean(span.height_m), 0.0)
        except BriefgenError:
            return True
        return self.crew.performance.as_set(exact) != exact


class LevelTable:
    """Level flight at a speed, a power or a setting; of charts, at a range speed as well: true airspeed [m/s] and fuel flow [kg/s]."""

    def __init__(self, asked: Asked, span: Span, gauges: Gauges) -> None:
        self._gauges, self._winded = gauges, isinstance(asked.target, LongRange | BestRange)
        winds = nodes(*span.head_wind_m_per_s, WIND_STEP_M_PER_S) if self._winded else np.array([0.0])
        mass_axis, deviation_axis, height_axis = span.axes(fine=asked.rounds(span))
        middle_kg, middle_k, middle_m = (float(axis.mean()) for axis in (mass_axis, deviation_axis, height_axis))

        def words_at(mass_kg: float, deviation_k: float) -> object:
            try:
                return said(asked.at(mass_kg, deviation_k, middle_m, float(winds.mean())))
            except BriefgenError:
                return None

        self.axes = (
            refined(mass_axis, lambda mass: words_at(mass, middle_k)), refined(deviation_axis, lambda one: words_at(middle_kg, one)),
            height_axis, winds,
        )  # fmt: skip
        self.rounds = asked.rounds(span)
        self.values = np.full((*(len(axis) for axis in self.axes), SIZE if self.rounds else 2), np.nan)
        for index in np.ndindex(self.values.shape[:-1]):
            with suppress(BriefgenError):
                exact = asked.at(*(float(axis[i]) for axis, i in zip(self.axes, index, strict=True)))
                self.values[index] = asked.kept(exact, gauges if self.rounds else None)

    def at(self, mass_kg: Array, deviation_k: Array, height_m: Array, head_wind_m_per_s: Array) -> tuple[Array, Array]:
        """Return true airspeed and fuel flow."""
        wind = head_wind_m_per_s if self._winded else np.zeros_like(mass_kg)
        found = read(self.axes, self.values, (mass_kg, deviation_k, height_m, wind))
        return found[..., TAS], self._gauges.flow(found) if self.rounds else found[..., FLOW]


class RangeTable:
    """Level flight at long or best range of an aircraft that is modelled: a surface over speed, on which each sample finds its own.

    A table of the answers would bend wherever a shutter, the least engine speed or the edge of lean bends them; the surface does
    not, and head wind needs no axis. At each node the speeds run to the last that is flown lean, if that comes first.
    """

    def __init__(self, asked: Asked, span: Span, gauges: Gauges) -> None:
        self._gauges, self._best = gauges, isinstance(asked.target, BestRange)
        mass_axis, deviation_axis, height_axis = span.axes()
        middle_kg, middle_k, middle_m = (float(axis.mean()) for axis in (mass_axis, deviation_axis, height_axis))
        about = asked.at(middle_kg, middle_k, middle_m, fmean(span.head_wind_m_per_s))
        there = replace(asked, target=IndicatedAirspeed(about.ias_m_per_s))

        def figures_at(deviation_k: float) -> tuple[float, float] | None:
            try:
                exact = there.at(middle_kg, deviation_k, middle_m, 0.0)
            except BriefgenError:
                return None
            return exact.tas_m_per_s, exact.fuel_flow_kg_per_s

        self._axes = (mass_axis, bent(deviation_axis, figures_at), height_axis)
        self._along = np.linspace(0.0, 1.0, SPEEDS)
        shape = tuple(len(axis) for axis in self._axes)
        self._values = np.full((*shape, SPEEDS, SIZE), np.nan)
        for index in np.ndindex(shape):
            mass, deviation, height = (float(axis[i]) for axis, i in zip(self._axes, index, strict=True))
            with suppress(BriefgenError):
                low, high = _speeds(asked, (mass, deviation, height), span.head_wind_m_per_s)
                for number, part in enumerate(self._along):
                    at_speed = replace(asked, target=IndicatedAirspeed(low + float(part) * (high - low)))
                    exact = at_speed.at(mass, deviation, height, 0.0)
                    self._values[(*index, number)] = gauges.node(asked.crew.performance, exact)
        two = np.ascontiguousarray(self._values[..., : FLOW + 1])
        self._merits = two.reshape(*shape, 2 * SPEEDS)

    def at(self, mass_kg: Array, deviation_k: Array, height_m: Array, head_wind_m_per_s: Array) -> tuple[Array, Array]:
        """Return true airspeed and fuel flow."""
        where = (mass_kg, deviation_k, height_m)
        two = read(self._axes, self._merits, where).reshape(*mass_kg.shape, SPEEDS, 2)
        merit = (two[..., TAS] - head_wind_m_per_s[..., None]) / two[..., FLOW]
        found = read((*self._axes, self._along), self._values, (*where, _chosen(merit, self._along, best=self._best)))
        return found[..., TAS], self._gauges.flow(found)


def level_table(asked: Asked, span: Span, gauges: Gauges) -> LevelTable | RangeTable:
    """Return the table for what is asked."""
    ranged = isinstance(asked.target, LongRange | BestRange)
    return RangeTable(asked, span, gauges) if ranged and asked.rounds(span) else LevelTable(asked, span, gauges)


def _speeds(asked: Asked, node: tuple[float, float, float], winds: tuple[float, float]) -> tuple[float, float]:
    """Return the slowest and the fastest indicated airspeed of a node: all range speeds between two winds, none of them rich."""
    tail, head = winds
    slow = replace(asked, target=BestRange()).at(*node, tail)
    fast = replace(asked, target=LongRange()).at(*node, head)
    low, high = SLOWER * slow.ias_m_per_s, FASTER * fast.ias_m_per_s
    if fast.mixture != "lean":
        return low, high

    def lean(ias_m_per_s: float) -> bool:
        try:
            return replace(asked, target=IndicatedAirspeed(ias_m_per_s)).at(*node, 0.0).mixture == "lean"
        except BriefgenError:
            return False

    if lean(high):
        return low, high
    last = fast.ias_m_per_s
    while high - last > SPEED_TOLERANCE_M_PER_S:
        middle = 0.5 * (last + high)
        last, high = (middle, high) if lean(middle) else (last, middle)
    return low, last


def _chosen(merit: Array, along: Array, *, best: bool) -> Array:
    """Return where along the speeds each sample flies: at the top of its merit, or on the fast side where 0.99 of it is left."""
    count, step = merit.shape[-1], along[1] - along[0]
    rows = np.arange(len(merit))
    top = np.clip(np.argmax(np.where(np.isnan(merit), -np.inf, merit), axis=-1), 1, count - 2)
    before, at_top, after = (merit[rows, top + shift] for shift in (-1, 0, 1))
    bend = before - 2.0 * at_top + after
    shift = np.where(bend < 0.0, np.clip(0.5 * (before - after) / np.where(bend < 0.0, bend, -1.0), -1.0, 1.0), 0.0)
    where = along[top] + shift * step
    if best:
        return np.asarray(where)
    wanted = LONG_RANGE_RATIO * np.maximum(at_top - 0.25 * (before - after) * shift, merit.max(axis=-1))
    below = (merit < wanted[:, None]) & (np.arange(count) > top[:, None])
    first = np.where(below.any(axis=-1), np.argmax(below, axis=-1), count - 1)
    middle = np.clip(first, 1, count - 2)  # a parabola through three nodes, the last of which is the first below
    one, two, three = (merit[rows, middle + turn] for turn in (-1, 0, 1))
    curve, slope, rest = 0.5 * (one + three) - two, 0.5 * (three - one), two - wanted
    root = np.sqrt(np.maximum(slope**2 - 4.0 * curve * rest, 0.0))
    falling = np.where(np.abs(slope) + root > 0.0, 2.0 * rest / (-slope + root), 0.0)
    found = along[middle] + np.clip(falling, -1.0, 1.0) * step
    return np.asarray(np.where(below.any(axis=-1), found, along[-1]))
