"""Fuel by tank through the flight: what each phase feeds from, and which transfers run when, from the start of the engines on.

Between two moments of the log every tank changes at a constant rate, so a straight line between them is exact.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from briefgen.errors import OutOfFuelError
from briefgen.model.aircraft import Tank
from briefgen.model.handling import Transfer
from briefgen.model.mission import Mission
from briefgen.model.plan import Node, Phase, PhaseKind
from briefgen.planning.load.tanks import groups

NAMES: dict[PhaseKind, str] = {
    "run": "drop",
    "approach": "pattern",
    "taxi-in": "after landing",
}  # a phase of the plan to one of the aircraft file
_ROUND_OFF_M3 = 1e-9
_ROUND_OFF_S = 1e-6
_MOST_CHANGES = 10_000


@dataclass(frozen=True)
class TankChange:
    """A moment at which something is done with the tanks, or one of them is used up.

    Attributes:
        kind: "used up", "feed", "transfer" or "transfer ends".
        tanks: Those used up, fed on, or the one that is transferred from.
        onward: Those that are fed on from here on, or transferred into.
    """

    kind: str
    instant: datetime
    phase: str
    fuel_kg: float
    tanks: tuple[str, ...]
    onward: tuple[str, ...]


@dataclass(frozen=True)
class TankLog:
    """The contents of every tank at every moment of change, and the changes."""

    instants: tuple[datetime, ...]
    contents_m3: tuple[Mapping[str, float], ...]
    changes: tuple[TankChange, ...]

    def at(self, instant: datetime) -> dict[str, float]:
        """Return what stands in each tank [m3] at an instant of the flight."""
        after = min(max(bisect_right(self.instants, instant), 1), len(self.instants) - 1)
        begin, end = self.instants[after - 1], self.instants[after]
        span_s = (end - begin).total_seconds()
        part = min(1.0, max(0.0, (instant - begin).total_seconds() / span_s)) if span_s else 1.0
        first, last = self.contents_m3[after - 1], self.contents_m3[after]
        return {name: first[name] + part * (last[name] - first[name]) for name in first}


def tank_log(
    mission: Mission, phases: Sequence[Phase], start_m3: Mapping[str, float], *, failed: frozenset[str] = frozenset()
) -> TankLog:
    """Return the fuel by tank through the flight; a failed tank keeps what it has.

    Raises:
        PlanError: The tanks that have not failed cannot give what is burnt.
    """
    flow = _Flow(mission, start_m3, failed)
    flow.keep(phases[0].start.instant)
    flow.fly(phases)
    return TankLog(tuple(flow.instants), tuple(flow.kept), tuple(flow.changes))


def log_until_dry(
    mission: Mission, phases: Sequence[Phase], start_m3: Mapping[str, float], failed: frozenset[str]
) -> tuple[TankLog, datetime | None]:
    """Return the fuel by tank with tanks failed, and the instant at which the others run dry, None where they last."""
    flow = _Flow(mission, start_m3, failed)
    flow.keep(phases[0].start.instant)
    dry = None
    try:
        flow.fly(phases)
    except _DryError:
        dry = flow.now
    return TankLog(tuple(flow.instants), tuple(flow.kept), tuple(flow.changes)), dry


class _DryError(OutOfFuelError):
    """The tanks the engines feed from run dry."""


class _Flow:
    """Walks the flight from change to change."""

    def __init__(self, mission: Mission, start_m3: Mapping[str, float], failed: frozenset[str]) -> None:
        aircraft = mission.aircraft
        self.density = mission.fuel.density_kg_per_m3
        self.mission, self.failed, self.contents = mission, failed, dict(start_m3)
        self.tanks = {tank.name: tank for tank in aircraft.balance.tanks}
        self.groups = groups(aircraft)
        self.fuel_from: dict[str, tuple[str, ...]] = {one.phase: one.fuel_from for one in aircraft.phases}
        self.rules = aircraft.fuel_transfer
        moved = self.rules.transfers if self.rules else ()
        self.transfers = sorted(
            (one for one in moved if one.tank not in failed), key=lambda t: self.tanks[t.tank].order
        )
        self.given_from = {one.tank for one in moved}  # they reach the engines by transfer only
        self.running: dict[str, set[str]] = {}  # by the tank given from, the tanks that are full since it began
        self.fed: tuple[str, ...] = ()
        self.instants: list[datetime] = []
        self.kept: list[dict[str, float]] = []
        self.changes: list[TankChange] = []
        self.phase, self.may_transfer, self.now, self.fuel_kg = "", False, datetime.min, 0.0

    def keep(self, instant: datetime) -> None:
        self.now = instant
        self.instants.append(instant)
        self.kept.append(dict(self.contents))

    def fly(self, phases: Sequence[Phase]) -> None:
        for phase in phases:
            for before, after in pairwise(phase.nodes):
                self.run(phase, before, after)

    def run(self, phase: Phase, before: Node, after: Node) -> None:
        """Burn what is burnt between two nodes, with whatever changes on the way."""
        left_s = (after.instant - before.instant).total_seconds()
        burn_m3 = max(0.0, before.fuel_kg - after.fuel_kg) / self.density
        self.phase, self.fuel_kg = phase.ident, before.fuel_kg
        name = NAMES.get(phase.kind, phase.kind)
        self.may_transfer = self._allowed(name, min(before.altitude_m, after.altitude_m))
        burn_m3_per_s = burn_m3 / left_s if left_s else 0.0
        for _ in range(_MOST_CHANGES):
            if left_s <= _ROUND_OFF_S:
                return
            self._switch()
            rates = self._rates(self._feeding(name, burn_m3_per_s), burn_m3_per_s)
            step_s = min([left_s, *(s for s in self._times_to_a_change(rates) if s > _ROUND_OFF_S)])
            for tank, rate in rates.items():
                self.contents[tank] += rate * step_s
            left_s -= step_s
            self.fuel_kg -= burn_m3_per_s * step_s * self.density
            self.keep(after.instant if left_s <= _ROUND_OFF_S else self.now + timedelta(seconds=step_s))
        raise ArithmeticError(f"the tanks change without end in {phase.ident}")

    def _allowed(self, name: str, altitude_m: float) -> bool:
        if self.rules is None or name in self.rules.not_in:
            return False
        field_m = self.mission.route.origin.elevation_m or 0.0  # a sortie begins at an aerodrome: it has one
        return altitude_m >= field_m + self.rules.not_below_m

    def usable_m3(self, tank: str) -> float:
        """Return what a tank can still give; one that has failed gives nothing."""
        return 0.0 if tank in self.failed else max(0.0, self.contents[tank] - self.tanks[tank].unusable_m3)

    def _room_m3(self, tank: str) -> float:
        return self.tanks[tank].capacity_m3 - self.contents[tank]

    # --- transfers ----------------------------------------------------------------------------------------------------

    def _switch(self) -> None:
        """Stop the transfers that have nothing to give, nowhere to go, or may not go on; begin those whose time has come."""
        for one in self.transfers:
            given = self.usable_m3(one.tank) <= _ROUND_OFF_M3
            full = self.running.get(one.tank)
            if full is not None:
                full |= {tank for tank in one.into if self._room_m3(tank) <= _ROUND_OFF_M3}
                if given or not self.may_transfer or full == set(one.into):
                    del self.running[one.tank]
                    self._note("transfer ends", (one.tank,), one.into)
            elif self.may_transfer and not given and self._its_turn(one) and self._has_room(one):
                self.running[one.tank] = set()
                self._note("transfer", (one.tank,), one.into)

    def _its_turn(self, one: Transfer) -> bool:
        """Return whether the tanks that are used before it have given all they have."""
        order = self.tanks[one.tank].order
        return all(
            self.usable_m3(other.tank) <= _ROUND_OFF_M3
            for other in self.transfers
            if self.tanks[other.tank].order < order
        )

    def _has_room(self, one: Transfer) -> bool:
        return all(self._room_m3(tank) >= one.begin_at_room_m3 - _ROUND_OFF_M3 for tank in one.into)

    # --- feeding ------------------------------------------------------------------------------------------------------

    def _feeding(self, name: str, burn_m3_per_s: float) -> tuple[str, ...]:
        """Return the tanks the engines feed from now: those of the phase while they last, else by the burn order."""
        found = tuple(tank for tank in self.fuel_from.get(name, ()) if self.usable_m3(tank) > _ROUND_OFF_M3)
        found = found or next((full for group in self.groups if (full := self._full(group))), ())
        if burn_m3_per_s <= 0.0:
            return found
        if not found:
            stuck = [one.tank for one in self.transfers if self.usable_m3(one.tank) > _ROUND_OFF_M3]
            raise _DryError(
                "the tanks the engines feed from run dry" + (f"; what is in {', '.join(stuck)} is not transferred in time" if stuck else ""),
                where=f"fuel, phase {self.phase}", expected="usable fuel in a tank that feeds an engine, in every phase",
                hint="load more fuel into the tanks that feed the engines, or fly where fuel may be transferred",
            )  # fmt: skip
        self._tell_feed(found)
        return found

    def _full(self, group: Sequence[Tank]) -> tuple[str, ...]:
        """Return the tanks of a group that feed an engine and have something to give."""
        return tuple(
            tank.name
            for tank in group
            if tank.name not in self.given_from and self.usable_m3(tank.name) > _ROUND_OFF_M3
        )

    def _tell_feed(self, found: tuple[str, ...]) -> None:
        if self.fed and found != self.fed:
            emptied = tuple(tank for tank in self.fed if self.usable_m3(tank) <= _ROUND_OFF_M3)
            self._note("used up" if emptied else "feed", emptied or found, found)
        self.fed = found

    def _note(self, kind: str, tanks: tuple[str, ...], onward: tuple[str, ...]) -> None:
        """Keep a change; what is done at one instant with several tanks is one thing to do."""
        last = self.changes[-1] if self.changes else None
        if last is not None and (last.kind, last.instant) == (kind, self.now):
            tanks, onward = (*last.tanks, *tanks), tuple(dict.fromkeys((*last.onward, *onward)))
            self.changes.pop()
        self.changes.append(TankChange(kind, self.now, self.phase, self.fuel_kg, tanks, onward))

    # --- rates --------------------------------------------------------------------------------------------------------

    def _rates(self, feeding: Sequence[str], burn_m3_per_s: float) -> dict[str, float]:
        rates = dict.fromkeys(self.contents, 0.0)
        for tank in feeding:
            rates[tank] -= burn_m3_per_s / len(feeding)
        for one in self.transfers:
            if one.tank in self.running:
                into = [tank for tank in one.into if tank not in self.running[one.tank]]
                rates[one.tank] -= one.rate_m3_per_s
                for tank in into:
                    rates[tank] += one.rate_m3_per_s / len(into)
        return rates

    def _times_to_a_change(self, rates: Mapping[str, float]) -> list[float]:
        """Return the times after which a tank is used up or full, or has room enough for a transfer to begin."""
        found = [self.usable_m3(tank) / -rate for tank, rate in rates.items() if rate < 0.0]
        for one in self.transfers:
            if one.tank in self.running:
                found += [self._room_m3(tank) / rates[tank] for tank in one.into if rates[tank] > 0.0]
            else:
                short = [one.begin_at_room_m3 - self._room_m3(tank) for tank in one.into]
                found += [room / -rates[tank] for tank, room in zip(one.into, short, strict=True) if rates[tank] < 0.0]
        return [seconds for seconds in found if math.isfinite(seconds)]
