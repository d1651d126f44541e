"""The pieces of a flight for many samples at once: same order, same steps and same midpoints as one flight is flown by."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.planning.flight.descents import PLACING_SHIFT_M
from briefgen.planning.flight.flying import CRUISE_STEP_S, HOLD_STEP_S, LAST_STEP_RATIO
from briefgen.replay.draws import Array, Draws, Index
from briefgen.replay.level_tables import LevelTable, RangeTable
from briefgen.replay.tables import HeightTable, LineAir

MOST_STEPS = 200
PLACINGS = 6
HALF_A_CLIMB_STEP_S = 30.0  # how far back the weight of a step of a climb lies, as one flight takes it
NO_FLIGHT = "the aircraft or the weather file gives no answer"
TOO_SHORT = "the leg is too short to descend in"
NO_FUEL = "the fuel is gone"


@dataclass
class State:
    """All samples at one moment; what is refused is not a number from there on."""

    draws: Draws
    time_s: Array  # since the planned first start of an engine
    along_m: Array  # along the route
    mass_kg: Array
    fuel_kg: Array
    speed: Array  # over the ground [m/s]
    refused: Index  # 0, or one more than the place of the reason in ``reasons``
    reasons: list[str] = field(default_factory=list)

    def copy(self) -> State:
        """Return a state to try something with."""
        arrays = {
            name: getattr(self, name).copy() for name in ("time_s", "along_m", "mass_kg", "fuel_kg", "speed", "refused")
        }
        return replace(self, **arrays)

    def burn(self, flow: Array, duration_s: Array, at: Index) -> None:
        """Let time pass and fuel burn, at flows [kg/s] before the factor of each sample."""
        burnt = self.draws.consumption[at] * flow * duration_s
        self.mass_kg[at] -= burnt
        self.fuel_kg[at] -= burnt
        self.time_s[at] += duration_s

    def refuse(self, which: npt.NDArray[np.bool_], reason: str, where: str) -> None:
        """Refuse the samples of a mask that are not refused yet, and make nothing of what they are."""
        fresh = which & (self.refused == 0)
        if fresh.any():
            told = f"{where}: {reason}"
            if told not in self.reasons:
                self.reasons.append(told)
            self.refused[fresh] = self.reasons.index(told) + 1
        for array in (self.time_s, self.along_m, self.mass_kg, self.fuel_kg, self.speed):
            array[which] = np.nan

    def settle(self, where: str) -> None:
        """Refuse what found no answer, and what has no fuel left."""
        self.refuse(self.fuel_kg <= 0.0, NO_FUEL, where)
        self.refuse(np.isnan(self.time_s + self.mass_kg + self.along_m), NO_FLIGHT, where)


@dataclass
class Over:
    """Where a piece is flown, and in which air."""

    air: LineAir
    moving: bool  # along a line; else over one place
    more_head_wind: float

    def speed(
        self, state: State, at: Index, along_m: Array, height_m: Array, time_s: Array
    ) -> tuple[Array, Array, Array]:
        """Return deviation [K], head wind and wind across [m/s] of some samples somewhere."""
        aloft = self.air.at(state.draws, at, along_m, height_m, time_s)
        course = self.air.course(along_m)
        head = -(aloft.east * np.sin(course) + aloft.north * np.cos(course)) + self.more_head_wind
        return aloft.deviation_k, head, aloft.east * np.cos(course) - aloft.north * np.sin(course)


def _ground(tas: Array, head: Array, across: Array) -> Array:
    return np.asarray(np.sqrt(np.maximum(tas**2 - across**2, 0.0)) - head)


@dataclass
class Fixed:
    """What a clock fixes, with settings that do not change: the ground and the take-off; fuel by the factor of each sample."""

    title: str
    duration_s: float
    burn_kg: float

    def fly(self, state: State) -> None:
        """Fly all samples through it."""
        burnt = state.draws.consumption * self.burn_kg
        state.mass_kg -= burnt
        state.fuel_kg -= burnt
        state.time_s += self.duration_s
        state.settle(self.title)


@dataclass
class Turns:
    """When a place is in cloud or darkness: whether it is at first, the times [s] at which that changes, and the answers then."""

    first: bool
    changes_s: Array
    table: HeightTable

    def at(self, time_s: Array) -> npt.NDArray[np.bool_]:
        """Return whether it is at some times."""
        passed = np.searchsorted(self.changes_s, np.where(np.isnan(time_s), -np.inf, time_s), side="right")
        return np.asarray((passed % 2 == 1) != self.first)


@dataclass
class HeightStep:
    """One step of a climb or descent: the middle of its height [m], how far up or down it goes [m], and the answers there."""

    middle_m: float
    change_m: float
    table: HeightTable
    turns: Turns | None = None  # a climb that is flown at another speed in cloud or darkness

    def at(self, mass_kg: Array, deviation_k: Array, time_s: Array) -> tuple[Array, Array, Array, Array]:
        """Return fuel flow, true airspeed, rate of pressure altitude and real rate."""
        usual = self.table.at(mass_kg, deviation_k)
        if self.turns is None:
            return usual
        other, on_instruments = self.turns.table.at(mass_kg, deviation_k), self.turns.at(time_s)
        flow, tas, rate, real = (np.where(on_instruments, two, one) for one, two in zip(usual, other, strict=True))
        return flow, tas, rate, real


@dataclass
class LevelOff:
    """From climbing to cruising speed at the top."""

    height_m: float
    top: HeightTable
    level: LevelTable | RangeTable


@dataclass
class Height:
    """A climb or a descent."""

    title: str
    over: Over
    steps: list[HeightStep]
    one_step: HeightStep
    end_m: float | None  # along the route, where it was placed to end
    level_off: LevelOff | None = None

    def fly(self, state: State) -> None:
        """Fly all samples through it."""
        every = np.arange(state.draws.count)
        self._through(state, self.steps, every)
        if self.level_off is not None:
            self._settle(state, self.level_off, every)
        if self.end_m is not None:
            state.along_m[:] = np.where(np.isnan(state.along_m), np.nan, self.end_m)
        state.settle(self.title)

    def _through(self, state: State, steps: list[HeightStep], every: Index) -> None:
        before = np.zeros(len(every))
        for step in steps:
            height = np.full(len(every), step.middle_m)
            deviation, head, across = self.over.speed(state, every, state.along_m, height, state.time_s)
            flow, tas, rate, _ = step.at(state.mass_kg - HALF_A_CLIMB_STEP_S * before, deviation, state.time_s)
            duration = np.where(rate > 0.0, step.change_m / np.where(rate > 0.0, rate, 1.0), np.nan)
            self._move(state, tas, head, across, duration, every)
            state.burn(flow, duration, every)
            before = flow * state.draws.consumption

    def _move(self, state: State, tas: Array, head: Array, across: Array, duration: Array, every: Index) -> None:
        speed = _ground(tas, head, across) if self.over.moving else tas
        if self.over.moving:
            state.along_m += speed * duration
        state.speed[:] = speed

    def _settle(self, state: State, off: LevelOff, every: Index) -> None:
        height = np.full(len(every), off.height_m)
        deviation, head, across = self.over.speed(state, every, state.along_m, height, state.time_s)
        flow, climb_tas, _, rate = off.top.at(state.mass_kg, deviation)
        cruise_tas, _ = off.level.at(state.mass_kg, deviation, height, head)
        gained = np.maximum(0.0, cruise_tas**2 - climb_tas**2)
        duration = gained / (2.0 * STANDARD_GRAVITY_M_PER_S2 * rate)
        tas = np.where(gained > 0.0, 0.5 * (cruise_tas + climb_tas), climb_tas)
        self._move(state, tas, head, across, duration, every)
        state.burn(flow, duration, every)

    def placed(self, state: State, flow: Array) -> Array:
        """Return where along the route [m] each sample leaves its level so as to end this descent at its point."""
        assert self.end_m is not None
        trial = state.copy()
        begun = trial.along_m.copy()
        self._through(trial, [self.one_step], np.arange(state.draws.count))
        start = self.end_m - (trial.along_m - begun)
        found = np.full_like(start, np.nan)
        for _ in range(PLACINGS):
            start = np.clip(start, state.along_m, self.end_m)
            trial = state.copy()
            cruise_s = (start - state.along_m) / state.speed
            trial.burn(flow, cruise_s, np.arange(state.draws.count))
            trial.along_m = start.copy()
            self._through(trial, self.steps, np.arange(state.draws.count))
            beyond = trial.along_m - self.end_m
            good = np.isnan(found) & (np.abs(beyond) <= PLACING_SHIFT_M) & (start - beyond >= state.along_m)
            found = np.where(good, start - beyond, found)
            start = start - beyond
        state.refuse(np.isnan(found) & ~np.isnan(start), TOO_SHORT, self.title)
        return found


@dataclass
class Level:
    """Level flight along a line, to a distance or to where the descent after it begins."""

    title: str
    over: Over
    table: LevelTable | RangeTable
    heights: tuple[Array, Array]  # distance along the route and pressure altitude [m], as planned
    end_m: float
    line_end_m: float
    descent: Height | None = None

    def fly(self, state: State) -> None:
        """Fly all samples through it."""
        every = np.arange(state.draws.count)
        tas, flow = self._about(state, every)
        still = np.isnan(state.speed) | (state.speed > 0.0)
        state.speed[:] = np.where(still, state.speed, tas)
        end = np.full(len(every), self.end_m) if self.descent is None else self.descent.placed(state, flow)
        before = flow * state.draws.consumption
        under_way = every[(end - state.along_m > 1.0) & (state.refused == 0)]
        for _ in range(MOST_STEPS):
            if not len(under_way):
                break
            before[under_way] = self._step(state, under_way, end[under_way], before[under_way])
            under_way = under_way[end[under_way] - state.along_m[under_way] > 1e-6]
        state.settle(self.title)

    def _about(self, state: State, every: Index) -> tuple[Array, Array]:
        height = np.interp(state.along_m, *self.heights)
        deviation, _, _ = self.over.speed(state, every, state.along_m, height, state.time_s)
        return self.table.at(state.mass_kg, deviation, height, np.zeros(len(every)))

    def _step(self, state: State, at: Index, end: Array, before: Array) -> Array:
        """Fly one step of some samples and return their flows."""
        along, left = state.along_m[at], end - state.along_m[at]
        duration = np.minimum(CRUISE_STEP_S, left / state.speed[at])
        middle = np.minimum(along + 0.5 * state.speed[at] * duration, self.line_end_m)
        height = np.interp(along, *self.heights)
        deviation, head, across = self.over.speed(state, at, middle, height, state.time_s[at] + 0.5 * duration)
        tas, flow = self.table.at(state.mass_kg[at] - 0.5 * before * duration, deviation, height, head)
        speed = _ground(tas, head, across)
        last = speed * duration > (1.0 - LAST_STEP_RATIO) * left
        duration = np.where(last, left / speed, duration)
        state.along_m[at] = np.where(last, end, along + speed * duration)
        state.along_m[at] = np.where(np.isnan(speed), np.nan, state.along_m[at])
        state.speed[at] = speed
        state.burn(flow, duration, at)
        return np.asarray(flow * state.draws.consumption[at])


@dataclass
class Wait:
    """Level flight over one place for a time; what leaves at its end is gone after it."""

    title: str
    over: Over
    table: LevelTable | RangeTable
    height_m: float
    duration_s: float
    released_kg: float = 0.0

    def fly(self, state: State) -> None:
        """Fly all samples through it."""
        every, left_s = np.arange(state.draws.count), self.duration_s
        height, calm = np.full(len(every), self.height_m), np.zeros(len(every))
        before = None
        while left_s > 1e-6:
            step_s = min(HOLD_STEP_S, left_s)
            deviation, _, _ = self.over.speed(state, every, state.along_m, height, state.time_s + 0.5 * step_s)
            if before is None:
                before = self.table.at(state.mass_kg, deviation, height, calm)[1] * state.draws.consumption
            tas, flow = self.table.at(state.mass_kg - 0.5 * before * step_s, deviation, height, calm)
            state.burn(flow, np.full(len(every), step_s), every)
            state.speed[:] = tas
            before = flow * state.draws.consumption
            left_s -= step_s
        state.mass_kg -= self.released_kg
        state.settle(self.title)


@dataclass
class Approach:
    """The pattern, then the final in the air half way down it, each for its planned time."""

    title: str
    pattern: Wait
    final: HeightTable
    middle_m: float
    final_s: float

    def fly(self, state: State) -> None:
        """Fly all samples through it."""
        self.pattern.fly(state)
        every = np.arange(state.draws.count)
        height = np.full(len(every), self.middle_m)
        deviation, _, _ = self.pattern.over.speed(state, every, state.along_m, height, state.time_s)
        flow, _, _, _ = self.final.at(state.mass_kg, deviation)
        state.burn(flow, np.full(len(every), self.final_s), every)
        state.settle(self.title)


Piece = Fixed | Height | Level | Wait | Approach
