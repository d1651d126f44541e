"""The replays themselves: pieces built once, then as many samples as wanted flown through them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from briefgen.model.bench import Uncertainty
from briefgen.planning.flight.schedule import Flown
from briefgen.replay.build import Builder, Marked
from briefgen.replay.draws import Array, Draws, Index
from briefgen.replay.pieces import State


@dataclass(frozen=True)
class Replayed:
    """Time [s after the planned first start] and fuel [kg] at the end of every phase, (phases, samples), about the plan.

    They are the plan's own figures and the difference of each sample's replay from the replay of the plan; what was refused
    is not a number from its refusal on.
    """

    time_s: Array
    fuel_kg: Array
    refused: Index
    reasons: tuple[str, ...]
    off_time_s: float  # by how much the replay of the plan was off at most
    off_fuel_kg: float


class Replay:
    """One sortie, ready to be flown many times."""

    def __init__(self, flown: Flown, uncertainty: Uncertainty) -> None:
        builder = Builder(flown, uncertainty)
        self.flown, self.centre_deg = flown, builder.centre
        self.marked: list[Marked] = builder.pieces()

    def replayed(self, draws: Draws) -> Replayed:
        """Return all samples flown."""
        departure, count = self.flown.departure, draws.count
        state = State(
            draws, draws.delay_s.copy(), np.zeros(count),
            departure.zero_fuel_mass_kg + departure.fuel_kg + draws.heavier_kg, np.full(count, departure.fuel_kg),
            np.zeros(count), np.zeros(count, dtype=np.int_),
        )  # fmt: skip
        times, fuels = [], []
        for one in self.marked:
            one.piece.fly(state)
            if one.phase.kind == "take-off":
                state.speed[:] = one.phase.end.ground_speed_m_per_s
            times.append(state.time_s.copy())
            fuels.append(state.fuel_kg.copy())
        ends = [one.phase.end for one in self.marked]
        planned_s = np.array([(end.instant - departure.off_blocks).total_seconds() for end in ends])
        planned_kg = np.array([end.fuel_kg for end in ends])
        time_s, fuel_kg = np.array(times), np.array(fuels)
        off_s, off_kg = time_s[:, 0] - planned_s, fuel_kg[:, 0] - planned_kg
        return Replayed(
            time_s - off_s[:, None], fuel_kg - off_kg[:, None], state.refused, tuple(state.reasons),
            float(np.abs(off_s).max()), float(np.abs(off_kg).max()),
        )  # fmt: skip
