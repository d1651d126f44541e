"""Points of the flight at which a question is asked, and the point between two at which its answer changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from briefgen.model.plan import Node, Phase
from briefgen.planning.fuel import ON_THE_GROUND
from briefgen.planning.keys import phase_key
from briefgen.planning.writer import LedgerWriter

CROSSING_TRIALS = 40
CROSSING_S = 1.0


@dataclass(frozen=True)
class Spot:
    """A point of the flight with the speed and height of its phase."""

    phase: Phase
    node: Node
    ias_m_per_s: float
    height_m: float


def spots_of(phases: tuple[Phase, ...]) -> tuple[Spot, ...]:
    """Return every node in the air from the first cruise height on, with the speed and height that apply there."""
    spots: list[Spot] = []
    for number, phase in enumerate(phases):
        if phase.kind in (*ON_THE_GROUND, "take-off", "approach") or not phase.settings:
            continue
        level = next((p for p in phases[number:] if p.kind in ("cruise", "hold", "run") and p.setting), phase)
        setting = level.setting or phase.settings[0][1]
        lighter = number > 0 and phases[number - 1].released_kg > 0.0  # a drop can reopen the way home
        nodes = phase.nodes if lighter or not spots else phase.nodes[1:]
        if phase.kind == "descent":
            nodes = phase.nodes[-1:]
        elif phase.kind == "climb":
            nodes = phase.nodes[::4] if not spots else phase.nodes[-1:]
            nodes = (phase.nodes[0], *nodes) if lighter else nodes
        height_m = max(level.start.pressure_altitude_m, phase.end.pressure_altitude_m)
        spots += [Spot(phase, node, setting.ias_m_per_s, height_m) for node in nodes]
    return tuple(spots)


def crossing(value: Callable[[Spot], float], before: Spot, after: Spot) -> Spot:
    """Return the spot between two at which a value changes sign, to the second, by bisection along the flight."""
    low, high = 0.0, 1.0
    span_s = (after.node.instant - before.node.instant).total_seconds()
    sign = value(before) >= 0.0
    for _ in range(CROSSING_TRIALS):
        if (high - low) * span_s < CROSSING_S:
            break
        middle = 0.5 * (low + high)
        if (value(_between(before, after, middle)) >= 0.0) == sign:
            low = middle
        else:
            high = middle
    return _between(before, after, low)


def _between(before: Spot, after: Spot, share: float) -> Spot:
    """Return the spot a share of the way between two neighbouring ones, everything in proportion."""
    a, b = before.node, after.node
    mass_loss = a.fuel_kg - b.fuel_kg

    def mixed(x: float, y: float) -> float:
        return x + share * (y - x)

    node = Node(
        a.instant + share * (b.instant - a.instant), mixed(a.lat_deg, b.lat_deg), mixed(a.lon_deg, b.lon_deg),
        mixed(a.distance_m, b.distance_m), mixed(a.pressure_altitude_m, b.pressure_altitude_m),
        mixed(a.altitude_m, b.altitude_m), b.mass_kg + (1.0 - share) * mass_loss, mixed(a.fuel_kg, b.fuel_kg),
        b.ground_speed_m_per_s,
    )  # fmt: skip
    return replace(after, node=node)


def write_spot(density_kg_per_m3: float, spot: Spot, key: str, label: str, how: str, writer: LedgerWriter) -> None:
    """Enter when and where a spot is, and the fuel there."""
    node, phase = spot.node, phase_key(spot.phase.ident)
    wanted = (f"{phase}.begin", f"{phase}.end", f"{phase}.fuel_remaining", "way_home.held_back")
    inputs = tuple(name for name in wanted if name in writer)
    writer.put(f"{key}.time", label, node.instant, "UTC", method=how, inputs=inputs)
    writer.put(
        f"{key}.time_local",
        f"{label}, local",
        node.instant,
        "local",
        method="the same in the mission's zone",
        inputs=(f"{key}.time",),
    )
    writer.put(f"{key}.distance", f"{label}: distance run", node.distance_m, "NM", method=how, inputs=inputs)
    writer.put(f"{key}.latitude", f"{label}: latitude", node.lat_deg, "latitude", method=how, inputs=inputs)
    writer.put(f"{key}.longitude", f"{label}: longitude", node.lon_deg, "longitude", method=how, inputs=inputs)
    writer.put(f"{key}.fuel", f"{label}: fuel left", node.fuel_kg, "lb", method=how, inputs=inputs)
    writer.put(
        f"{key}.fuel_volume", f"{label}: fuel left", node.fuel_kg / density_kg_per_m3, "US gal", method="mass over density",
        inputs=(f"{key}.fuel", "fuel.density"),
    )  # fmt: skip
