"""The lines a crew fills in: those of the fuel log as it stands on the card, counted from one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.model.flight_log import GROUND_EVENTS, Blank, Blanks
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.planning.sections.briefing.fuel_log import log_moments


def blanks_of(mission: Mission, phases: Sequence[Phase]) -> Blanks:
    """Return the lines of the fuel log of a flight as planned, and the planned time of each event on the ground."""
    lines = [
        Blank(number, one.instant, one.words, one.phase.place if one.words else "", one.phase.ident, bool(one.words))
        for number, one in enumerate(log_moments(mission, phases), 1)
    ]
    return Blanks(tuple(lines), events_of(phases))


def events_of(phases: Sequence[Phase]) -> dict[str, datetime]:
    """Return the planned time of each event on the ground: she rolls for take-off as the brakes are released."""
    take_off = next(phase for phase in phases if phase.kind == "take-off")
    landing = [phase for phase in phases if phase.kind == "approach"][-1]
    times = (phases[0].start, take_off.start, landing.end, phases[-1].end)
    return {name: node.instant for name, node in zip(GROUND_EVENTS, times, strict=True)}
