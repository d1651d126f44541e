"""How long a hold can be kept up with a field still in reach."""

from __future__ import annotations

from functools import partial

from briefgen.frozen import replace
from briefgen.model.mission import Hold
from briefgen.model.performance import IndicatedAirspeed
from briefgen.model.plan import Phase
from briefgen.planning.flight import flying
from briefgen.planning.flight.home.refuges import Refuge, WayHome
from briefgen.planning.flight.home.spots import Spot, crossing
from briefgen.planning.flight.steps import Level

HOLD_TRIALS = 20
HOLD_TOLERANCE_S = 1.0


def leave_by(home: WayHome, phase: Phase, refuge: Refuge) -> Spot | None:
    """Return the moment at which a hold kept up must be left for a refuge; None when it is never possible to stay."""
    setting = phase.settings[0][1]
    target, level = IndicatedAirspeed(setting.ias_m_per_s), Level(phase.start.altitude_m, False)
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
