"""The drift down after engines have stopped, held against the minimum safe altitude, and what has to go overboard to hold it."""

from __future__ import annotations

from briefgen.aircraft.engines_out import DriftDown, drift_down, mass_to_jettison
from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartName, ChartPoint, Series
from briefgen.model.record import Absent, Record, figure, note, rests_on, working
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.engines_out.ceilings import FewerFigures, LegFigures
from briefgen.planning.sections.engines_out.legs import NOT_KNOWN, SERVICE_RATE_M_PER_S, SERVICE_SOURCE, Fewer, LegOut

HOLDS, SINKS, STAYS = "levels off", "still sinking", "holds the planned altitude"
NO_WEIGHT = "no weight is low enough"
MORE_THAN_ABOARD = "more than is aboard"
HELD = "the planned altitude is held"
INTEGRATED = "drift at climb power integrated minute by minute with the fuel burnt"


@dataclass(frozen=True)
class Drift:
    """A drift down on one leg."""

    out: LegOut
    fewer: Fewer
    flown: DriftDown
    ias_m_per_s: float

    @property
    def over_safe_m(self) -> float:
        """Height of its end over the minimum safe altitude, over the sea where the leg names none [m]."""
        safe_m = self.out.setting_offset_m if self.out.safe_m is None else self.out.safe_m
        return self.flown.level_off_m - safe_m


def _floor_m(out: LegOut) -> float:
    """Return where a drift is followed to: the safe altitude, or the sea where she is planned below that."""
    sea_m = out.setting_offset_m
    return sea_m if out.safe_m is None or out.safe_m >= out.node.pressure_altitude_m else out.safe_m


def drift_on(out: LegOut, fewer: Fewer, performance: Performance) -> Drift | None:
    """Return the drift down with so many engines stopped, None where the planned altitude is held.

    Raises:
        BriefgenError: The aircraft file does not say.
    """
    node, absolute_m = out.node, fewer.absolute.pressure_altitude_m
    if absolute_m is not None and absolute_m >= node.pressure_altitude_m:
        return None
    ias = fewer.climb_ias_m_per_s or performance.best_climb_speed(
        node.mass_kg, out.air(node.pressure_altitude_m), engines=fewer.engines.name
    )
    flown = drift_down(
        performance, node.mass_kg, node.pressure_altitude_m, out.air, fewer.engines.name, _floor_m(out), ias_m_per_s=ias
    )
    return Drift(out, fewer, flown, ias)


class DriftFigures(Record):
    """The drift down on one leg with so many engines stopped, and what must leave to hold the minimum safe altitude."""

    def __init__(self, mission: Mission, fewer: FewerFigures, performance: Performance) -> None:
        self.leg, self.fewer, self.at = fewer.leg, fewer, f"{fewer.at}.drift_{fewer.stopped}"
        self._performance = performance
        self.label = f"Drift down on the leg to {fewer.leg.to}, {fewer.stopped} out"
        self.leave = MustLeave(mission, fewer, performance)
        self.drift, self.problem = None, ""
        try:
            self.drift = drift_on(fewer.leg.out, fewer.fewer, performance)
        except BriefgenError as error:
            self.problem = error.problem
        self.outcome_how = self.problem or (INTEGRATED if self.drift else "absolute ceiling above the planned altitude")

    @property
    def told(self) -> bool:
        """Whether there is anything to say: she drifts, it is not known, or something must leave."""
        return self.drift is not None or bool(self.problem) or self.leave.asked

    @working
    def _flown(self) -> Drift:
        rests_on(self.leg.mass, self.leg.deviation, self.fewer.engines)
        if self.leg.safe is not None:
            rests_on(self.leg.safe.value)
        if self.drift is None:
            raise Absent(self.problem or HELD)
        return self.drift

    @working
    def _way(self) -> Drift:
        rests_on(self.ias)
        return self._flown

    @figure("%(label)s: fly", AIRSPEED, how="speed of the best climb, least sink")
    def ias(self) -> float:
        return self._flown.ias_m_per_s

    @figure("%(label)s: there", how="%(outcome_how)s")
    def outcome(self) -> str:
        rests_on(self.leg.mass, self.leg.deviation, self.fewer.engines)
        if self.leg.safe is not None:
            rests_on(self.leg.safe.value)
        if self.drift is not None:
            return _ending(self._way)
        if self.problem:
            return NOT_KNOWN
        if not self.leave.asked:
            raise Absent(HELD)
        return STAYS

    @figure("%(label)s: from", "ft", how=INTEGRATED, name="from")
    def begins(self) -> float:
        return self._way.out.node.altitude_m

    @figure("%(label)s: down to", "ft", how=INTEGRATED)
    def level_off(self) -> float:
        return self._way.flown.level_off_m - self.leg.out.setting_offset_m

    @figure("%(label)s: time", "h:min", how=INTEGRATED)
    def time(self) -> float:
        return self._way.flown.points[-1].time_s

    @figure("%(label)s: still-air distance", "NM", how=INTEGRATED)
    def distance(self) -> float:
        return self._way.flown.points[-1].distance_m

    @figure("%(label)s: fuel", "lb", how=INTEGRATED)
    def fuel(self) -> float:
        return self._way.out.node.mass_kg - self._way.flown.points[-1].mass_kg

    @figure(
        "%(label)s: at the surface after", "h:min",
        how="the same drift followed to the level of the sea, nothing thrown out",
    )  # fmt: skip
    def to_surface(self) -> float:
        if not self.leave.beyond_fuel:
            raise Absent("the fuel aboard is enough to hold the height without what must leave")
        rests_on(self._way, self.leave.must_leave, self.leg.fuel)
        way = self._to_sea()
        if way.holds:
            raise Absent("she levels off above the sea")
        if way.level_off_m > self.leg.out.setting_offset_m + 1.0:
            raise Absent("she is still above the sea when the time that is followed ends")
        return way.points[-1].time_s

    def _to_sea(self) -> DriftDown:
        drift, out = self._way, self.leg.out
        try:
            return drift_down(
                self._performance, out.node.mass_kg, out.node.pressure_altitude_m, out.air, drift.fewer.engines.name,
                out.setting_offset_m, ias_m_per_s=drift.ias_m_per_s,
            )  # fmt: skip
        except BriefgenError as error:
            raise Absent(error.problem) from error

    @figure("%(label)s: over the minimum safe altitude", "ft", how="where it ends less the minimum safe altitude")
    def over_safe(self) -> float:
        if self.leg.safe is None:
            raise Absent("no safe altitude is known for the leg")
        return self.level_off - float(self.leg.safe.value)


class MustLeave(Record):
    """What must leave where the service ceiling lies under the minimum safe altitude."""

    def __init__(self, mission: Mission, fewer: FewerFigures, performance: Performance) -> None:
        self.at, self.fewer, self.stopped, self._mission = fewer.at, fewer, fewer.stopped, mission
        self.label = f"Must leave to hold the minimum safe altitude on the leg to {fewer.leg.to}, {fewer.stopped} out"
        self.how = "weight less the greatest that climbs 100 ft/min at the minimum safe altitude, at climb power and its best speed"
        self.mass_kg: float | None = None
        if self.asked:
            self._work_out(performance)

    def _work_out(self, performance: Performance) -> None:
        out, engines = self.fewer.leg.out, self.fewer.fewer.engines.name
        try:
            self.mass_kg = mass_to_jettison(
                performance, out.node.mass_kg, out.air(out.safe_m or 0.0), engines, SERVICE_RATE_M_PER_S,
                self._mission.individual.basic_mass_kg,
            )  # fmt: skip
        except BriefgenError as error:
            self.how = error.problem

    @property
    def asked(self) -> bool:
        """Whether the service ceiling is known to lie under the minimum safe altitude."""
        safe_m, service = self.fewer.leg.out.safe_m, self.fewer.fewer.service
        service_m = service.pressure_altitude_m
        return safe_m is not None and service.known and (service_m is None or service_m < safe_m)

    @property
    def beyond_fuel(self) -> bool:
        """Whether throwing all the usable fuel out would not do."""
        return self.asked and (self.mass_kg is None or self.mass_kg > self.fewer.leg.usable_kg)

    @figure("%(label)s", "lb", how="%(how)s", source=SERVICE_SOURCE, name="must_leave_%(stopped)s")
    def must_leave(self) -> float | str:
        leg = self.fewer.leg
        if not self.asked or leg.safe is None:
            raise Absent("the service ceiling is not under the minimum safe altitude")
        rests_on(leg.mass, leg.deviation, self.fewer.engines, leg.safe.value)
        return NO_WEIGHT if self.mass_kg is None else self.mass_kg

    @figure(
        "%(label)s, as fuel", "US gal", how="weight over the density of the fuel", name="must_leave_%(stopped)s_volume"
    )
    def must_leave_volume(self) -> float | str:
        mass_kg = self.must_leave
        if isinstance(mass_kg, str):
            raise Absent(mass_kg)
        if self.beyond_fuel:
            rests_on(self.fewer.leg.fuel)
            return MORE_THAN_ABOARD
        note("fuel.density")
        return mass_kg / self._mission.fuel.density_kg_per_m3


DRIFT_DOWN = TableOf(
    "engines_out.drift_down",
    "Drift down with engines stopped",
    (
        column(LegFigures.leg, "Leg", through="leg"),
        column(FewerFigures.engines, "Running", name="running", through="fewer"),
        column(DriftFigures.ias, "Fly"),
        column(DriftFigures.begins, "From"),
        column(DriftFigures.level_off, "Down to"),
        column(DriftFigures.outcome, "There"),
        column(DriftFigures.time, "Time"),
        column(DriftFigures.distance, "Still-air distance"),
        column(DriftFigures.fuel, "Fuel"),
        column(DriftFigures.over_safe, "Over the minimum safe altitude"),
        column(DriftFigures.to_surface, "At the surface after"),
        column(MustLeave.must_leave, "Must leave", name="must_leave", through="leave"),
        column(MustLeave.must_leave_volume, "as fuel", name="must_leave_volume", through="leave"),
    ),
    note="At climb power and one speed from the planned altitude until she levels off or reaches the minimum safe altitude of the leg, in "
    "still air. Must leave: load or fuel, so that 100 ft/min are in hand at the minimum safe altitude. Where that is more fuel than is aboard, height cannot be held by throwing "
    "fuel out, and the time to the surface is given.",
)


def write_drifts(
    mission: Mission, legs: list[LegFigures], performance: Performance, writer: LedgerWriter
) -> list[DriftFigures]:
    """Enter the drift down of every leg whose planned altitude is not held, and what must leave; return them all."""
    drifts = [DriftFigures(mission, fewer, performance) for leg in legs for fewer in leg.fewer]
    for one in drifts:
        writer.adopt(one)
        writer.adopt(one.leave)
    if told := [one for one in drifts if one.told]:
        writer.tabulate(DRIFT_DOWN.filled([DRIFT_DOWN.row(one.leg.to, one) for one in told]))
    return drifts


def drift_chart(written: list[DriftFigures]) -> dict[ChartName, ChartData]:
    """Return the chart of the leg on which the drift ends lowest over the minimum safe altitude, and first; none where every height is held."""
    drifts = [(one, one.drift) for one in written if one.drift is not None]
    if not drifts:
        return {}
    out = min((drift for _, drift in drifts), key=lambda drift: (drift.over_safe_m, drift.flown.points[-1].time_s)).out
    curves, points = [], []
    for figures, drift in ((one, drift) for one, drift in drifts if drift.out is out and len(drift.flown.points) > 1):
        way = tuple((p.distance_m, p.pressure_altitude_m - out.setting_offset_m) for p in drift.flown.points)
        curves.append(Series(drift.fewer.stopped, drift.fewer.engines.name, "NM", "ft", way))
        points.append(ChartPoint(_ending(drift), *way[-1], DriftFigures.level_off.of(figures).key))
    if not curves:
        return {}
    if out.leg.safe_height_m is not None:
        far_m = max(x for curve in curves for x, _ in curve.points)
        safe = ((0.0, out.leg.safe_height_m), (far_m, out.leg.safe_height_m))
        curves.append(Series("safe", "minimum safe altitude", "NM", "ft", safe))
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
    if not drift.flown.holds:
        return SINKS
    return HOLDS if len(drift.flown.points) > 1 else STAYS
