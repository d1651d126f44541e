"""The moments of the flight at which she has to be in balance, and how she weighs at each of them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from briefgen.errors import PlanError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.envelope import EnvelopeMargins, envelope_margins, limits_at_mass
from briefgen.model.aircraft import Aircraft, Envelope
from briefgen.model.mission import Action, Mission
from briefgen.model.plan import Node, Phase, PhaseKind
from briefgen.planning.load.pieces import Piece, bay_named, door_of, run_labels
from briefgen.planning.load.tank_log import TankChange, tank_log
from briefgen.planning.load.tanks import changeovers, start_contents, tank_contents

FLIGHT = "flight"
ON_RUNWAY = "take-off and landing"
SAME_MASS_KG = 0.5
AIRBORNE: frozenset[PhaseKind] = frozenset({"climb", "cruise", "descent", "run", "hold", "approach"})


@dataclass(frozen=True)
class Condition:
    """One moment of the flight, without the load's places.

    Attributes:
        key: Its part of the ledger keys.
        kind: ground (not flown), flight, door (load standing at the door), failure (something did not leave), reserve
            (landing with less fuel than planned).
        tanks_m3: What stands in each tank.
        gone: Labels of the runs whose load has left.
        at_door: Label of the run whose load stands at its door, empty for none.
        aboard: Kinds of pieces that count: the basic aircraft alone, with crew and equipment, or everything.
        envelope: Name of the envelope that holds, empty where none does.
        limit_kg: Greatest mass of the aircraft file at that moment.
        elapsed_s: Time from the start of the first phase, None for moments that are never flown.
        logged_at: Ident of the phase at whose end the log of the flight has this fuel; empty where it has none.
        mass_logged: Whether the log has this mass too.
        load_left: Whether it is the mass after the load of that phase has left.
    """

    key: str
    title: str
    kind: str
    tanks_m3: Mapping[str, float]
    gone: tuple[str, ...] = ()
    at_door: str = ""
    aboard: frozenset[str] = frozenset({"basic", "crew", "equipment", "people", "item"})
    take_off_seats: bool = False
    envelope: str = FLIGHT
    limit_kg: float | None = None
    elapsed_s: float | None = None
    logged_at: str = ""
    mass_logged: bool = True
    load_left: bool = False


@dataclass(frozen=True)
class Weighed:
    """Mass and moments of a condition."""

    mass_kg: float
    fuel_kg: float
    moment_kg_m: float
    lateral_moment_kg_m: float
    margins: EnvelopeMargins | None

    @property
    def arm_m(self) -> float:
        """Arm of the centre of gravity."""
        return self.moment_kg_m / self.mass_kg

    @property
    def lateral_arm_m(self) -> float:
        """Lateral arm of the centre of gravity."""
        return self.lateral_moment_kg_m / self.mass_kg


def envelope_for(aircraft: Aircraft, name: str) -> Envelope:
    """Return an envelope by name; the runway falls back on the flight envelope where the file has only that."""
    by_name = {envelope.name: envelope for envelope in aircraft.balance.envelopes}
    found = by_name.get(name) or by_name.get(FLIGHT)
    if found is None:
        raise PlanError(
            f"the {aircraft.name} has no envelope '{FLIGHT}'", where="balance", expected="an envelope of that name"
        )
    return found


def position(aircraft: Aircraft, piece: Piece, condition: Condition) -> tuple[float, float] | None:
    """Return where a piece stands in a condition, None when it is not aboard."""
    if piece.kind not in condition.aboard or (piece.leaves and piece.leaves in condition.gone):
        return None
    if piece.leaves and piece.leaves == condition.at_door:
        return door_arms(aircraft, piece.place)
    if piece.take_off and condition.take_off_seats:
        return piece.take_off[1], piece.take_off[2]
    return piece.arm_m, piece.lateral_arm_m


def door_arms(aircraft: Aircraft, place: str) -> tuple[float, float]:
    """Return the arm and lateral arm of a load from a bay standing at its door, just inside the skin."""
    bay = bay_named(aircraft, place)
    door = door_of(aircraft, bay) if bay else None
    if bay is None or door is None:
        raise PlanError(
            f"a load is to leave in flight from {place}, which has no door", where="balance", expected="a bay with one"
        )
    half_m = 0.5 * bay.width_m
    return door.arm_m, bay.lateral_arm_m + {"left": -half_m, "right": half_m}.get(door.side, 0.0)


def fuel_moments(aircraft: Aircraft, tanks_m3: Mapping[str, float], density: float) -> tuple[float, float, float]:
    """Return mass, moment and lateral moment of the fuel."""
    masses = [(tank, tanks_m3[tank.name] * density) for tank in aircraft.balance.tanks]
    return (
        math.fsum(mass for _, mass in masses),
        math.fsum(mass * tank.arm_m for tank, mass in masses),
        math.fsum(mass * tank.lateral_arm_m for tank, mass in masses),
    )


def weigh(mission: Mission, pieces: Sequence[Piece], condition: Condition) -> Weighed:
    """Return mass, moments and margins of a condition with the pieces where they stand."""
    aircraft = mission.aircraft
    placed = [(piece.mass_kg, position(aircraft, piece, condition)) for piece in pieces]
    aboard = [(mass, where) for mass, where in placed if where is not None]
    fuel_kg, fuel_moment, fuel_lateral = fuel_moments(aircraft, condition.tanks_m3, mission.fuel.density_kg_per_m3)
    mass_kg = math.fsum(mass for mass, _ in aboard) + fuel_kg
    moment = math.fsum(mass * where[0] for mass, where in aboard) + fuel_moment
    lateral = math.fsum(mass * where[1] for mass, where in aboard) + fuel_lateral
    margins = None
    if condition.envelope:
        envelope = envelope_for(aircraft, condition.envelope)
        margins = envelope_margins(envelope.arm_m, envelope.mass_kg, moment / mass_kg, mass_kg)
    return Weighed(mass_kg, fuel_kg, moment, lateral, margins)


def most_adverse(weighed: Sequence[Weighed]) -> int:
    """Return the moment with the least distance to a limit; one whose mass is outside the envelope is the worst."""

    def room_m(index: int) -> float:
        margins = weighed[index].margins
        if margins is None:
            return math.inf
        if margins.forward_m is None or margins.aft_m is None:
            return -math.inf
        return min(margins.forward_m, margins.aft_m)

    return min(range(len(weighed)), key=room_m)


def limits_at(mission: Mission, condition: Condition, mass_kg: float) -> tuple[float, float] | None:
    """Return the forward and aft limit of a condition at a mass, None outside its envelope; of two stretches the wider."""
    envelope = envelope_for(mission.aircraft, condition.envelope)
    stretches = limits_at_mass(envelope.arm_m, envelope.mass_kg, mass_kg)
    return max(stretches, key=lambda limits: limits[1] - limits[0]) if stretches else None


def conditions(mission: Mission, phases: Sequence[Phase]) -> tuple[Condition, ...]:
    """Return every moment to be held against the limits, in the order of the flight; failures come last."""
    return _Moments(mission, phases).all()


class _Moments:
    """Walks the phases and knows at each instant which fuel stands where and which load is gone."""

    def __init__(self, mission: Mission, phases: Sequence[Phase]) -> None:
        self.mission, self.phases = mission, phases
        self.aircraft = mission.aircraft
        self.limits = mission.aircraft.balance.limits
        self.density = mission.fuel.density_kg_per_m3
        first = phases[0].nodes[0]
        self.ramp_kg, self.began = first.fuel_kg, first.instant
        self.start_m3 = start_contents(self.aircraft, mission.fuel, self.ramp_kg / self.density)
        self.log = tank_log(mission, phases, self.start_m3)
        self.empty_m3 = {tank.name: 0.0 for tank in self.aircraft.balance.tanks}
        loaded = {item.leaves for item in mission.items}
        self.loaded_runs = [label for label in run_labels(mission) if label in loaded]

    def tanks(self, node: Node) -> dict[str, float]:
        return self.log.at(node.instant)

    def all(self) -> tuple[Condition, ...]:
        return (*self.ground(), *self.flown(), *self.failures())

    def ground(self) -> list[Condition]:
        basic, operating = frozenset({"basic"}), frozenset({"basic", "crew", "equipment"})
        return [
            Condition("basic", "As weighed", "ground", self.empty_m3, aboard=basic, envelope=""),
            Condition("operating", "Operating, no load, no fuel", "ground", self.empty_m3, aboard=operating,
                      envelope=""),
            Condition("zero_fuel", "Loaded, no fuel", "flight", self.empty_m3, limit_kg=self.limits.zero_fuel_kg),
            Condition(
                "ramp", "Ramp", "flight", self.start_m3, take_off_seats=True, envelope=ON_RUNWAY,
                limit_kg=self.limits.ramp_kg, elapsed_s=0.0,
            ),
        ]  # fmt: skip

    def flown(self) -> list[Condition]:
        found: list[Condition] = []
        gone: list[str] = []
        runs = iter(run_labels_by_pass(self.mission))
        landing = self.landing_phase()
        before = ""
        for phase in self.phases:
            if phase.kind == "take-off":
                found.append(self.take_off(phase, before))
            before = phase.ident
            if phase.kind not in AIRBORNE:
                continue
            found.extend(self.tank_changes(phase, tuple(gone)))
            label = next(runs, "") if phase.kind == "run" else ""
            if label in self.loaded_runs:
                found.extend(self.drop(phase, label, tuple(gone)))
                gone.append(label)
            elif phase is landing:
                found.append(self.landing(phase, tuple(gone)))
            else:
                found.append(self.phase_end(phase, tuple(gone)))
        return found + self.below_landing_fuel(landing, tuple(gone))

    def below_landing_fuel(self, landing: Phase, gone: tuple[str, ...]) -> list[Condition]:
        """Return landings with less fuel than planned, after a wait or at an alternate: each tank used up, and none left."""
        planned_m3 = self.tanks(landing.end)
        states = [
            (f"low_fuel.{index:02}", f"Landing later, used up: {', '.join(change.emptied)}",
             tank_contents(self.aircraft, planned_m3, change.burned_m3))
            for index, change in enumerate(changeovers(self.aircraft, planned_m3), 1)
        ]  # fmt: skip
        states.append(("zero_fuel_landing", "Landing later, no fuel", self.empty_m3))
        return [
            Condition(key, title, "reserve", tanks, gone, take_off_seats=True, envelope=ON_RUNWAY)
            for key, title, tanks in states
        ]

    def landing_phase(self) -> Phase:
        approaches = [phase for phase in self.phases if phase.kind == "approach"]
        return approaches[-1] if approaches else [p for p in self.phases if p.kind in AIRBORNE][-1]

    def elapsed(self, phase: Phase, *, at_end: bool = True) -> float:
        node = phase.nodes[-1] if at_end else phase.nodes[0]
        return (node.instant - self.began).total_seconds()

    def take_off(self, phase: Phase, before: str) -> Condition:
        return Condition(
            "take_off", "Take-off", "flight", self.tanks(phase.start), take_off_seats=True,
            envelope=ON_RUNWAY, limit_kg=self.limits.take_off_kg, elapsed_s=self.elapsed(phase, at_end=False),
            logged_at=before,
        )  # fmt: skip

    def phase_end(self, phase: Phase, gone: tuple[str, ...]) -> Condition:
        tanks = self.tanks(phase.end)
        return Condition(
            phase.ident, f"{phase.title}, end", "flight", tanks, gone, elapsed_s=self.elapsed(phase),
            logged_at=phase.ident,
        )  # fmt: skip

    def landing(self, phase: Phase, gone: tuple[str, ...]) -> Condition:
        return Condition(
            "landing", "Landing", "flight", self.tanks(phase.end), gone, take_off_seats=True,
            envelope=ON_RUNWAY, limit_kg=self.limits.landing_kg, elapsed_s=self.elapsed(phase),
            logged_at=phase.ident,
        )  # fmt: skip

    def tank_changes(self, phase: Phase, gone: tuple[str, ...]) -> list[Condition]:
        return [
            Condition(f"tank_change.{index:02}", change_title(change), "flight", self.log.at(change.instant), gone,
                      elapsed_s=(change.instant - self.began).total_seconds())
            for index, change in enumerate(self.log.changes, 1)
            if change.phase == phase.ident and phase.start.instant < change.instant < phase.end.instant
        ]  # fmt: skip

    def drop(self, phase: Phase, label: str, gone: tuple[str, ...]) -> list[Condition]:
        number = self.loaded_runs.index(label) + 1
        tanks, elapsed = self.tanks(phase.end), self.elapsed(phase)
        key = f"run.{number:02}"
        standing = Condition("", "", "", tanks, elapsed_s=elapsed, logged_at=phase.ident)
        return [
            replace(standing, key=f"{key}.before", title=f"Before {label}", kind="flight", gone=gone),
            replace(
                standing, key=f"{key}.door", title=f"{label[:1].upper()}{label[1:]}, load at the door", kind="door", gone=gone, at_door=label
            ),
            replace(
                standing, key=f"{key}.after", title=f"After {label}", kind="flight", gone=(*gone, label),
                load_left=True,
            ),
        ]  # fmt: skip

    def failures(self) -> list[Condition]:
        tanks = self.tanks(self.landing_phase().end)
        found = []
        for number, label in enumerate(self.loaded_runs, 1):
            gone = tuple(other for other in self.loaded_runs if other != label)
            found.append(self.hung(f"hang_up.{number:02}", f"Landing, {label} hung up", tanks, gone))
        if len(self.loaded_runs) > 1:
            found.append(self.hung("hang_up.all", "Landing, nothing dropped", tanks, ()))
        return found

    def hung(self, key: str, title: str, tanks: Mapping[str, float], gone: tuple[str, ...]) -> Condition:
        return Condition(
            key, title, "failure", tanks, gone, take_off_seats=True, envelope=ON_RUNWAY,
            limit_kg=self.limits.landing_kg, logged_at=self.landing_phase().ident, mass_logged=False,
        )  # fmt: skip


def change_title(change: TankChange) -> str:
    """Return what is done with the tanks, as a crew says it."""
    tanks, onward = ", ".join(change.tanks), ", ".join(change.onward)
    return {
        "used up": f"Used up: {tanks}",
        "feed": f"Feed on {tanks}",
        "transfer": f"Transfer from {tanks} into {onward}",
        "transfer ends": f"End of transfer from {tanks}",
    }[change.kind]


def run_labels_by_pass(mission: Mission) -> list[str]:
    """Return the label of every pass in the order flown, empty where nothing leaves."""
    actions = [item for item in mission.route.items if isinstance(item, Action)]
    return [run.leaves or "" for action in actions for run in action.runs]


def require_same_mass(mission: Mission, phases: Sequence[Phase], zero_fuel_kg: float) -> None:
    """Raise unless the flight started with the mass of this loading: one computation, not two."""
    first = phases[0].nodes[0]
    if abs(first.mass_kg - first.fuel_kg - zero_fuel_kg) > SAME_MASS_KG:
        raise PlanError(
            f"the flight was planned at {first.mass_kg - first.fuel_kg:,.0f} kg without fuel, the loading sheet adds "
            f"up to {zero_fuel_kg:,.0f} kg",
            where=mission.name,
            expected="one mass for flight and loading",
        )
