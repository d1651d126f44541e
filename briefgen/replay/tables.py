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
from statistics import fmean

import numpy as np

from briefgen.errors import BriefgenError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.performance import Air, BestRange, GivenSetting, LongRange, PowerSetting, SpeedTarget
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.steps import Crew
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
LOWER_RATIO = 0.95  # of a manifold pressure, for a second point of its line
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


@dataclass(frozen=True)
class Gauges:
    """Steps a setting is rounded up to: engine speed [rpm] and manifold pressure [Pa]."""

    step_rpm: float
    step_pa: float


TAS, FLOW, POWER, RPM, PER_POWER, PRESSURE = range(6)  # what a node of level flight holds


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

    def rounds(self, span: Span) -> bool:
        """Return whether a setting in the middle of a span is rounded to what the gauges show."""
        if isinstance(self.target, GivenSetting):
            return False
        try:
            exact = self.at(fmean(span.mass_kg), fmean(span.deviation_k), fmean(span.height_m), 0.0)
        except BriefgenError:
            return True
        return self.crew.performance.as_set(exact) != exact


Answer = Callable[[float, Air], tuple[tuple[float, float, float, float], tuple[object, ...]]]  # figures, words


class LevelTable:
    """Level flight: true airspeed [m/s] and fuel flow [kg/s] by mass, deviation, height and, for range speeds, head wind.

    What gauges round is tabled unrounded and rounded for each sample by itself, because a rounded flow jumps where a smooth
    one does not: engine speed up to its step, then manifold pressure up to the step that gives no less than the power.
    Power goes with engine speed, and at one engine speed along a straight line over manifold pressure.
    """

    def __init__(
        self, crew: Crew, target: SpeedTarget, span: Span, gauges: Gauges, *, bank_deg: float = 0.0, icing: bool = False
    ) -> None:
        self._gauges, self._winded = gauges, isinstance(target, LongRange | BestRange)
        winds = nodes(*span.head_wind_m_per_s, WIND_STEP_M_PER_S) if self._winded else np.array([0.0])
        asked = Asked(crew, target, bank_deg, icing)
        mass_axis, deviation_axis, height_axis = span.axes(fine=not self._winded and asked.rounds(span))
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
        shape = tuple(len(axis) for axis in self.axes)
        settings: dict[tuple[int, ...], tuple[PowerSetting, PowerSetting]] = {}
        for index in np.ndindex(*shape):
            mass, deviation, height, wind = (float(axis[i]) for axis, i in zip(self.axes, index, strict=True))
            with suppress(BriefgenError):
                exact = asked.at(mass, deviation, height, wind)
                settings[index] = exact, exact if isinstance(target, GivenSetting) else crew.performance.as_set(exact)
        self.foot_pa = _foot(crew, list(settings.values()))
        self._rounds = self.foot_pa is not None
        self.values = np.full((*shape, 6), np.nan)
        for index, (exact, rounded) in settings.items():
            self.values[index] = _node(exact, rounded, self.foot_pa if self._rounds else None)

    def at(self, mass_kg: Array, deviation_k: Array, height_m: Array, head_wind_m_per_s: Array) -> tuple[Array, Array]:
        """Return true airspeed and fuel flow."""
        wind = head_wind_m_per_s if self._winded else np.zeros_like(mass_kg)
        found = read(self.axes, self.values, (mass_kg, deviation_k, height_m, wind))
        if not self._rounds or self.foot_pa is None:
            return found[..., TAS], found[..., FLOW]
        up_rpm = np.ceil(found[..., RPM] / self._gauges.step_rpm - 1e-4) * self._gauges.step_rpm
        exact_pa = self.foot_pa + (found[..., PRESSURE] - self.foot_pa) * found[..., RPM] / up_rpm
        up_pa = np.ceil(exact_pa / self._gauges.step_pa - 1e-4) * self._gauges.step_pa
        more = (up_pa - self.foot_pa) / (exact_pa - self.foot_pa)
        return found[..., TAS], found[..., PER_POWER] * found[..., POWER] * more


def _foot(crew: Crew, settings: Sequence[tuple[PowerSetting, PowerSetting]]) -> float | None:
    """Return the manifold pressure [Pa] at which power would be nought, on a line through two settings of one engine speed.

    None where nothing is rounded, or the aircraft is not asked by engine speed and manifold pressure.
    """
    rounds = [(exact, rounded) for exact, rounded in settings if exact != rounded]
    if not rounds:
        return None
    _, one = rounds[len(rounds) // 2]
    if one.engine_speed_rpm is None or one.manifold_pressure_pa is None:
        return None
    torques = []
    for pressure in (one.manifold_pressure_pa, LOWER_RATIO * one.manifold_pressure_pa):
        with suppress(BriefgenError):
            found = crew.performance.cruise(
                one.mass_kg, one.air, GivenSetting(one.engine_speed_rpm, pressure, one.mixture), engines=crew.engines,
                configuration=crew.configuration, phase=crew.phase,
            )  # fmt: skip
            torques.append(((found.power_w or 0.0) / one.engine_speed_rpm, pressure))
    if len(torques) < 2 or torques[0][0] == torques[1][0]:
        return None
    (high, high_pa), (low, low_pa) = torques
    return high_pa - high * (high_pa - low_pa) / (high - low)


def _node(exact: PowerSetting, rounded: PowerSetting, foot_pa: float | None) -> tuple[float, ...]:
    if foot_pa is None:
        return rounded.tas_m_per_s, rounded.fuel_flow_kg_per_s, 0.0, 0.0, 0.0, 0.0
    assert exact.power_w is not None
    assert exact.engine_speed_rpm is not None
    assert rounded.power_w is not None
    assert exact.manifold_pressure_pa is not None
    per_power = rounded.fuel_flow_kg_per_s / rounded.power_w
    return (
        rounded.tas_m_per_s, rounded.fuel_flow_kg_per_s, exact.power_w, exact.engine_speed_rpm, per_power, exact.manifold_pressure_pa
    )  # fmt: skip


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

        mass_axis = refined(mass_axis, lambda mass: words_at(mass, middle_k))
        deviation_axis = refined(deviation_axis, lambda one: words_at(middle_kg, one))
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
