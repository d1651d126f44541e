"""With engines stopped: ceilings on fewer engines leg by leg, the setting at the height held, the drift down, the waiting."""

from __future__ import annotations

from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartName, Event, Finding, FindingPage
from briefgen.model.record import Record, Ref, figure, rests_on
from briefgen.planning.flight.steps import Crew
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.fuel import FuelRequired, FuelSheet
from briefgen.planning.sections.basis.inputs import Written
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.engines_out.ceilings import CEILINGS, SAFE, FewerFigures, LegFigures
from briefgen.planning.sections.engines_out.drift import DriftFigures, MustLeave, drift_chart, write_drifts
from briefgen.planning.sections.engines_out.legs import NONE, SERVICE_SOURCE, legs_out
from briefgen.planning.sections.engines_out.setting import write_settings
from briefgen.planning.sections.engines_out.waiting import write_waiting

PAGE: FindingPage = "diversions"
ENGINES = {"one": "One engine stopped", "two": "Two engines stopped"}


def write_engines_out(
    mission: Mission,
    log: Navigation,
    written: Written,
    sheet: FuelSheet,
    writer: LedgerWriter,
    crew: Crew,
) -> tuple[tuple[Event, ...], tuple[Finding, ...], dict[ChartName, ChartData]]:
    """Enter what is left with engines stopped; return what the heights held say about the plan, and the drift down."""
    unusable, performance = FuelRequired.unusable.of(sheet.required), crew.performance
    legs = [
        LegFigures(
            out, log.of_phase(out.phase), written.height(out.leg_key), written.safe_height(out.leg_key), unusable,
            mission.fuel.density_kg_per_m3,
        )
        for out in legs_out(mission, [one.phase for one in log.phases], crew)
    ]  # fmt: skip
    rows = []
    for leg in legs:
        writer.adopt(leg)
        rows.append(CEILINGS.row(leg.to, leg, others={SAFE: leg.safe} if leg.safe else None))
    if rows:
        writer.tabulate(CEILINGS.filled(rows, note=CEILINGS.note + _note_of_ice(legs)))
    write_settings(mission, legs, performance, writer)
    drifts = write_drifts(mission, legs, performance, writer)
    write_waiting(mission, log, unusable, crew, writer)
    return (), _findings(drifts, writer), drift_chart(drifts)


def _note_of_ice(legs: list[LegFigures]) -> str:
    """Return on which legs the levers against ice count in what is left; empty for none."""
    iced = [one.to for one in legs if one.out.iced]
    return f" In icing cloud, the levers set against it: leg to {', '.join(iced)}." if iced else ""


# --- what it says about the plan ------------------------------------------------------------------------------------


class InHand(Record):
    """Service ceiling over the minimum safe altitude, of the leg that has least."""

    def __init__(self, drift: DriftFigures, safe: Ref) -> None:
        self.at, self.stopped, self.drift, self.fewer, self.safe = (
            drift.leg.at,
            drift.fewer.stopped,
            drift,
            drift.fewer,
            safe,
        )
        self.engines = ENGINES[self.stopped]
        self.how = self.fewer.fewer.service.problem or "service ceiling less the minimum safe altitude"

    @property
    def in_hand_m(self) -> float:
        """Service ceiling over the minimum safe altitude [m]; where there is none, how far below it the sea is."""
        return (self.fewer.fewer.service.pressure_altitude_m or 0.0) - (self.fewer.leg.out.safe_m or 0.0)

    @figure(
        "%(engines)s: service ceiling over the minimum safe altitude", "ft", how="%(how)s", name="over_safe_%(stopped)s"
    )
    def over_safe(self) -> float | str:
        rests_on(self.fewer.service, self.safe.value)
        return NONE if self.fewer.fewer.service.best is None else self.in_hand_m

    def finding(self) -> Finding:
        """Return what the height held says about the plan."""
        leg, service = self.fewer.leg, FewerFigures.service.of(self.fewer)
        title = f"{self.engines}: service ceiling over the minimum safe altitude"
        text = (
            f"{self.engines} on the leg to {leg.to} at {LegFigures.mass.of(leg)} "
            f"(running: {FewerFigures.engines.of(self.fewer)}): "
        )
        if self.fewer.fewer.service.best is None:
            text += f"no altitude at which 100 ft/min is left; the minimum safe altitude is {self.safe}."
        else:
            text += f"service ceiling {service}, the minimum safe altitude is {self.safe}."
        passed = self.fewer.fewer.service.best is not None and self.in_hand_m >= 0.0
        return Finding(
            f"engines-out-{self.stopped}", "pass" if passed else "caution", title, text, service.key, self.safe.key,
            InHand.over_safe.of(self).key, SERVICE_SOURCE, "" if passed else self._cure(), PAGE,
        )  # fmt: skip

    def _cure(self) -> str:
        leave, leg = MustLeave.must_leave.of(self.drift.leave), self.fewer.leg
        if self.drift.leave.beyond_fuel:
            surface = DriftFigures.to_surface.of(self.drift)
            after = f"; she is at the surface {surface} after the failure" if surface.there else ""
            needed = f"{leave} must leave" if self.drift.leave.mass_kg is not None else f"{leave}"
            return (
                f"start the leg lighter, or route where the minimum safe altitude is lower: height cannot be held by throwing fuel out, "
                f"{needed} and {LegFigures.fuel.of(leg)} of fuel is aboard{after}"
            )
        return f"start the leg lighter, or have {leave} ready to go overboard"


def _findings(drifts: list[DriftFigures], writer: LedgerWriter) -> tuple[Finding, ...]:
    """Return one finding for each number of engines stopped, for the leg with least in hand over its safe altitude."""
    found = []
    for stopped in ENGINES:
        judged = [
            InHand(one, one.leg.safe)
            for one in drifts
            if one.fewer.stopped == stopped and one.leg.safe is not None and one.fewer.fewer.service.known
        ]
        if judged:
            least = min(judged, key=lambda one: one.in_hand_m)
            writer.adopt(least)
            found.append(least.finding())
    return tuple(found)
