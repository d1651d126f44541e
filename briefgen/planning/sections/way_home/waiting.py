"""A closed destination: how long a hold can be kept up with a field still in reach, and when it must be left."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from briefgen.kernel.constants import FT_M
from briefgen.kernel.turns import race_track
from briefgen.model.mission import Hold, RouteItem
from briefgen.model.performance import IndicatedAirspeed
from briefgen.model.plan import Event, Phase
from briefgen.planning.flight import flying
from briefgen.planning.flight.idents import item_keys
from briefgen.planning.flight.refuges import Refuge, WayHome
from briefgen.planning.flight.spots import Spot, crossing
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.way_home.spots import write_spot

LOW_HOLD_M = 14_000.0 * FT_M
LOW_LEG_S, HIGH_LEG_S = 60.0, 90.0
HOLD_TRIALS = 20
HOLD_TOLERANCE_S = 1.0
LEAVERS = ("captain", "co-pilot", "navigator", "flight engineer", "radio operator")


def write_waiting(home: WayHome, refuges: tuple[Refuge, ...], writer: LedgerWriter, how: str) -> list[Event]:
    """Enter how long each planned hold can be kept up with an alternate still in reach, past its planned end too."""
    events: list[Event] = []
    items = home.mission.route.items
    for phase in home.flown.phases:
        if phase.kind != "hold" or phase.item is None or not isinstance(items[phase.item], Hold):
            continue
        head = item_keys(items)[phase.item]
        _write_pattern(head, phase, items[phase.item], writer)
        for refuge in refuges:
            spot = _leave_by(home, phase, refuge) if refuge.height_m is not None else None
            if spot is None:
                continue
            key = f"{head}.leave_for.{refuge.place.ident.lower()}"
            label = f"Leave the hold for {refuge.place.name} by"
            write_spot(home.mission.fuel.density_kg_per_m3, spot, key, label, how, writer)
            waited = (spot.node.instant - phase.start.instant).total_seconds()
            writer.put(
                f"{key}.longest", f"Longest hold with {refuge.place.name} in reach", waited, "min",
                method="leave-by time less the beginning of the hold",
                inputs=(f"{key}.time", f"{phase_key(phase.ident)}.begin"),
            )  # fmt: skip
            text = f"{label} now: fuel {{{key}.fuel_volume}}, {{{key}.longest}} after the hold began"
            events.append(Event(f"{key}.time", "decision", phase.ident, LEAVERS, text, phase.place))
    return events


def _write_pattern(head: str, phase: Phase, hold: RouteItem, writer: LedgerWriter) -> None:
    """Enter the race-track that the hold is flown in: radius and rate of turn, time of a leg and of a lap, in still air."""
    assert isinstance(hold, Hold)
    low = phase.start.pressure_altitude_m <= LOW_HOLD_M
    track = race_track(phase.tas_m_per_s, hold.bank_deg, LOW_LEG_S if low else HIGH_LEG_S)
    how, inputs = "true airspeed of the hold and its bank, balanced turn in still air", (f"{head}.bank",)
    put = writer.put
    put(
        f"{head}.turn_radius",
        "Radius of turn in the hold",
        track.turn_radius_m,
        "NM",
        decimals=2,
        method=how,
        inputs=inputs,
    )
    put(
        f"{head}.leg_time", "Time on each straight leg", LOW_LEG_S if low else HIGH_LEG_S, "min", decimals=1,
        method="one minute up to 14,000 ft, one and a half above", source="ICAO Doc 8168 Volume I, holding procedures (from memory)",
    )  # fmt: skip
    put(
        f"{head}.lap_time", "One lap of the hold", track.lap_s, "min", decimals=1, method="two legs and a full turn; " + how,
        inputs=(f"{head}.leg_time", *inputs),
    )  # fmt: skip


def _leave_by(home: WayHome, phase: Phase, refuge: Refuge) -> Spot | None:
    """Return the moment at which a hold kept up must be left for a refuge; None when it is never possible to stay."""
    setting = phase.settings[0][1]
    target, level = IndicatedAirspeed(setting.ias_m_per_s), flying.Level(phase.start.altitude_m, False)
    planned = home.mission.route.items[phase.item or 0]
    bank_deg = planned.bank_deg if isinstance(planned, Hold) else 0.0
    here = Spot(
        phase,
        phase.start,
        setting.ias_m_per_s,
        phase.start.pressure_altitude_m,
        setting.fuel_flow_kg_per_s,
        phase.item or 0,
    )
    spare = home.spare(here, refuge)
    if spare < 0.0:
        return None
    for _ in range(HOLD_TRIALS):
        longest_s = max(HOLD_TOLERANCE_S, spare / setting.fuel_flow_kg_per_s)
        piece = flying.hold(
            home.crew, here.node, target, level, longest_s, bank_deg, item=None, title="waiting", place=phase.place
        )
        after = replace(here, node=piece.end)
        before, spare = spare, home.spare(after, refuge)
        if spare < 0.0:
            return crossing(partial(home.spare, refuge=refuge), here, after, (before, spare))
        if spare / setting.fuel_flow_kg_per_s < HOLD_TOLERANCE_S:
            return after
        here = after
    return here
