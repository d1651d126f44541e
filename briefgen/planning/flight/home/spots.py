"""Points of the flight at which a question is asked, and the point between two at which its answer changes."""

from __future__ import annotations

import math
from collections.abc import Callable

from briefgen.frozen import dataclass, replace
from briefgen.kernel.geodesy import normalised_longitude
from briefgen.kernel.interpolate import root
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.fuel_policy import ON_THE_GROUND

CROSSING_TRIALS = 40
CROSSING_S = 1.0


@dataclass(frozen=True)
class Spot:
    """A point of the flight with the speed and height of its phase."""

    phase: Phase
    node: Node
    ias_m_per_s: float
    height_m: float
    flow_kg_per_s: float  # of its phase
    item: int  # index of the route item being served; past the last one over the destination


def spots_of(phases: tuple[Phase, ...], items: int) -> tuple[Spot, ...]:
    """Return every node in the air but those inside climbs and descents, with the speed and height that apply there.

    The first climb is sampled from the ground up, and the start of a phase that begins lighter after a drop is a spot
    of its own: both can open or close a way home.
    """
    spots: list[Spot] = []
    item = 0
    for number, phase in enumerate(phases):
        if phase.of(*ON_THE_GROUND, "take-off", "approach") or not phase.settings:
            continue
        item = items if phase.item is None else phase.item
        level = next((p for p in phases[number:] if p.of("cruise", "hold", "run") and p.setting), phase)
        setting = level.setting or phase.settings[0][1]
        lighter = number > 0 and phases[number - 1].released_kg > 0.0
        nodes = phase.nodes if lighter or not spots else phase.nodes[1:]
        if phase.kind == "descent":
            nodes = phase.nodes[-1:]
        elif phase.kind == "climb":
            nodes = (*phase.nodes[:-1:4], phase.nodes[-1]) if not spots else phase.nodes[-1:]
            nodes = (phase.nodes[0], *nodes) if lighter else nodes
        height_m = max(level.start.pressure_altitude_m, phase.end.pressure_altitude_m)
        flow = setting.fuel_flow_kg_per_s
        spots += [Spot(phase, node, setting.ias_m_per_s, height_m, flow, item) for node in nodes]
    return tuple(spots)


def crossing(value: Callable[[Spot], float], before: Spot, after: Spot, ends: tuple[float, float]) -> Spot:
    """Return the spot between two where a value changes sign, to the second; where it is still as it was before.

    The values at the two are given. One may be infinite where a way cannot be flown: the change is then found by halving.
    """
    span_s = (after.node.instant - before.node.instant).total_seconds()
    if span_s <= CROSSING_S:
        return before
    tolerance = 0.25 * CROSSING_S / span_s
    known = {0.0: ends[0], 1.0: ends[1]}

    def at(share: float) -> float:
        return known[share] if share in known else value(between(before, after, share))

    if not all(map(math.isfinite, ends)):
        return between(before, after, _halved(at, ends[0] >= 0.0, tolerance))
    share = root(at, 0.0, 1.0, tolerance, quantity="fuel or time in hand")
    # the root may lie a fraction of a second past the change; a last moment is told early, never late
    return between(before, after, max(0.0, share - tolerance))


def _halved(value: Callable[[float], float], sign: bool, tolerance: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(CROSSING_TRIALS):
        if high - low < tolerance:
            break
        middle = 0.5 * (low + high)
        if (value(middle) >= 0.0) == sign:
            low = middle
        else:
            high = middle
    return low


def between(before: Spot, after: Spot, share: float) -> Spot:
    """Return the spot a share of the way between two neighbouring ones, everything in proportion."""
    a, b = before.node, after.node
    mass_loss = a.fuel_kg - b.fuel_kg

    def mixed(x: float, y: float) -> float:
        return x + share * (y - x)

    lon = normalised_longitude(a.lon_deg + share * normalised_longitude(b.lon_deg - a.lon_deg))
    node = Node(
        a.instant + share * (b.instant - a.instant), mixed(a.lat_deg, b.lat_deg), lon,
        mixed(a.distance_m, b.distance_m), mixed(a.pressure_altitude_m, b.pressure_altitude_m),
        mixed(a.altitude_m, b.altitude_m), b.mass_kg + (1.0 - share) * mass_loss, mixed(a.fuel_kg, b.fuel_kg),
        b.ground_speed_m_per_s,
    )  # fmt: skip
    return replace(after, node=node)
