"""The drift down after engines have stopped, held against the safe height, and what has to go overboard to hold it."""

from __future__ import annotations

from dataclasses import dataclass

from briefgen.aircraft.engines_out import DriftDown, drift_down, mass_to_jettison
from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartPoint, Series
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.engines_out.legs import NOT_KNOWN, SERVICE_RATE_M_PER_S, SERVICE_SOURCE, Fewer, LegOut

HOLDS, SINKS, STAYS = "levels off", "still sinking", "holds the planned height"
NO_WEIGHT = "no weight is low enough"

COLUMNS = (
    Column("leg", "Leg"),
    Column("running", "Running"),
    Column("ias", "Fly", AIRSPEED),
    Column("from", "From", "ft"),
    Column("level_off", "Down to", "ft"),
    Column("outcome", "There"),
    Column("time", "Time", "h:min"),
    Column("distance", "Still-air distance", "NM"),
    Column("fuel", "Fuel", "lb"),
    Column("over_safe", "Over safe height", "ft"),
    Column("must_leave", "Must leave", "lb"),
    Column("must_leave_volume", "as fuel", "US gal"),
)
NOTE = (
    "At climb power and one speed from the planned height until she levels off or reaches the safe height of the leg, in still "
    "air. Must leave: load or fuel, so that 100 ft/min are in hand at the safe height."
)


@dataclass(frozen=True)
class Drift:
    """A drift down on one leg."""

    out: LegOut
    fewer: Fewer
    flown: DriftDown

    @property
    def over_safe_m(self) -> float:
        """Height of its end over the safe height, over the sea where the leg names none [m]."""
        safe_m = self.out.setting_offset_m if self.out.safe_m is None else self.out.safe_m
        return self.flown.level_off_m - safe_m


def write_drifts(
    mission: Mission, legs: tuple[LegOut, ...], performance: Performance, writer: LedgerWriter
) -> tuple[Drift, ...]:
    """Enter the drift down of every leg whose planned height is not held, and what must leave; return those flown."""
    rows, drifts = [], []
    for out in legs:
        for fewer in out.fewer:
            found = _write_drift(out, fewer, performance, writer)
            if found:
                drifts.append(found)
            _write_must_leave(mission, out, fewer, performance, writer)
            head = f"{out.key}.drift_{fewer.stopped}"
            cells = {column.name: f"{head}.{column.name}" for column in COLUMNS}
            cells["leg"], cells["running"] = f"{out.key}.leg", f"{out.key}.engines_{fewer.stopped}"
            cells["must_leave"] = f"{out.key}.must_leave_{fewer.stopped}"
            cells["must_leave_volume"] = f"{out.key}.must_leave_{fewer.stopped}_volume"
            present = {name: key for name, key in cells.items() if key in writer}
            if len(present) > len(("leg", "running")):
                rows.append(Row(out.leg.to.name, present))
    if rows:
        writer.table("engines_out.drift_down", "Drift down with engines stopped", COLUMNS, rows, NOTE)
    return tuple(drifts)


def _floor_m(out: LegOut) -> float:
    """Return where a drift is followed to: the safe height, or the sea where she is planned below that."""
    sea_m = out.setting_offset_m
    return sea_m if out.safe_m is None or out.safe_m >= out.node.pressure_altitude_m else out.safe_m


def _write_drift(out: LegOut, fewer: Fewer, performance: Performance, writer: LedgerWriter) -> Drift | None:
    node, key = out.node, f"{out.key}.drift_{fewer.stopped}"
    absolute_m = fewer.absolute.pressure_altitude_m
    if absolute_m is not None and absolute_m >= node.pressure_altitude_m:
        return None
    label = f"Drift down on the leg to {out.leg.to.name}, {fewer.stopped} out"
    inputs = (*out.inputs, f"{out.key}.engines_{fewer.stopped}")
    try:
        ias = fewer.climb_ias_m_per_s or performance.best_climb_speed(
            node.mass_kg, out.air(node.pressure_altitude_m), engines=fewer.engines.name
        )
        flown = drift_down(
            performance,
            node.mass_kg,
            node.pressure_altitude_m,
            out.air,
            fewer.engines.name,
            _floor_m(out),
            ias_m_per_s=ias,
        )
    except BriefgenError as error:
        writer.put(f"{key}.outcome", label, NOT_KNOWN, method=error.problem, inputs=inputs)
        return None
    drift, last = Drift(out, fewer, flown), flown.points[-1]
    method = "drift at climb power integrated minute by minute with the fuel burnt"
    writer.put(
        f"{key}.ias", f"{label}: fly", ias, AIRSPEED, method="speed of the best climb, least sink", inputs=inputs
    )
    inputs = (*inputs, f"{key}.ias")
    level_off_m = flown.level_off_m - out.setting_offset_m
    writer.put(f"{key}.outcome", f"{label}: there", _ending(drift), method=method, inputs=inputs)
    numbers = (
        ("from", "from", node.altitude_m, "ft"),
        ("level_off", "down to", level_off_m, "ft"),
        ("time", "time", last.time_s, "h:min"),
        ("distance", "still-air distance", last.distance_m, "NM"),
        ("fuel", "fuel", node.mass_kg - last.mass_kg, "lb"),
    )
    for name, what, value, unit in numbers:
        writer.put(f"{key}.{name}", f"{label}: {what}", value, unit, method=method, inputs=inputs)
    if out.safe_m is not None:
        writer.put(
            f"{key}.over_safe", f"{label}: over the safe height", drift.over_safe_m, "ft",
            method="where it ends less the minimum safe altitude", inputs=(f"{key}.level_off", f"{out.leg_key}.safe_height"),
        )  # fmt: skip
    return drift


def _write_must_leave(
    mission: Mission, out: LegOut, fewer: Fewer, performance: Performance, writer: LedgerWriter
) -> None:
    """Enter what must leave where the service ceiling lies under the safe height."""
    service_m = fewer.service.pressure_altitude_m
    if out.safe_m is None or not fewer.service.known or (service_m is not None and service_m >= out.safe_m):
        return
    key = f"{out.key}.must_leave_{fewer.stopped}"
    label = f"Must leave to hold the safe height on the leg to {out.leg.to.name}, {fewer.stopped} out"
    method = "weight less the greatest that climbs 100 ft/min at the safe height, at climb power and its best speed"
    inputs = (*out.inputs, f"{out.key}.engines_{fewer.stopped}", f"{out.leg_key}.safe_height")
    drift_key = f"{out.key}.drift_{fewer.stopped}.outcome"
    if drift_key not in writer:
        writer.put(
            drift_key, f"{label}: there", STAYS, method="absolute ceiling above the planned height", inputs=inputs
        )
    try:
        mass_kg = mass_to_jettison(
            performance, out.node.mass_kg, out.air(out.safe_m), fewer.engines.name, SERVICE_RATE_M_PER_S,
            mission.individual.basic_mass_kg,
        )  # fmt: skip
    except BriefgenError as error:
        writer.put(key, label, NO_WEIGHT, method=error.problem, inputs=inputs)
        return
    writer.put(key, label, mass_kg, "lb", method=method, inputs=inputs, source=SERVICE_SOURCE)
    writer.put(
        f"{key}_volume", f"{label}, as fuel", mass_kg / mission.fuel.density_kg_per_m3, "US gal",
        method="weight over the density of the fuel", inputs=(key, "fuel.density"),
    )  # fmt: skip


def drift_chart(drifts: tuple[Drift, ...]) -> dict[str, ChartData]:
    """Return the chart of the leg on which the drift ends lowest over the safe height, and first; none where every height is held."""
    if not drifts:
        return {}
    out = min(drifts, key=lambda drift: (drift.over_safe_m, drift.flown.points[-1].time_s)).out
    curves, points = [], []
    for drift in (one for one in drifts if one.out is out and len(one.flown.points) > 1):
        way = tuple((p.distance_m, p.pressure_altitude_m - out.setting_offset_m) for p in drift.flown.points)
        curves.append(Series(drift.fewer.stopped, drift.fewer.engines.name, "NM", "ft", way))
        end = f"{out.key}.drift_{drift.fewer.stopped}.level_off"
        points.append(ChartPoint(_ending(drift), *way[-1], end))
    if not curves:
        return {}
    if out.leg.safe_height_m is not None:
        far_m = max(x for curve in curves for x, _ in curve.points)
        safe = ((0.0, out.leg.safe_height_m), (far_m, out.leg.safe_height_m))
        curves.append(Series("safe", "safe height", "NM", "ft", safe))
    title = f"Drift down on the leg to {out.leg.to.name}"
    return {
        "drift_down": ChartData(
            "drift_down",
            title,
            "Still-air distance from the failure",
            "NM",
            "Altitude",
            "ft",
            tuple(curves),
            (),
            tuple(points),
        )
    }


def _ending(drift: Drift) -> str:
    """Return how a drift ends, for its mark on the chart."""
    if drift.flown.reached_floor:
        return SINKS
    return HOLDS if len(drift.flown.points) > 1 else STAYS
