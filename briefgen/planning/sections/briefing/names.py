"""Names short enough for a card: what a phase is called beside its time, and where it ends."""

from __future__ import annotations

from briefgen.model.mission import Mission
from briefgen.model.plan import PhaseKind
from briefgen.planning.sections.basis.phases import PhaseFigures

KINDS: dict[PhaseKind, str] = {
    "start": "start engines",
    "taxi": "taxi",
    "run-up": "run-up",
    "take-off": "take-off",
    "climb": "climb",
    "descent": "descend",
    "hold": "hold",
    "approach": "circuit",
    "taxi-in": "taxi in",
    "shutdown": "shut down",
}
AT_PLACES: tuple[PhaseKind, ...] = ("cruise", "descent", "run", "hold", "approach")


def phase_words(flown: PhaseFigures, number: int = 0) -> str:
    """Return what a phase is called on a card; a pass by its number, level flight by its height."""
    phase = flown.phase
    if phase.kind == "cruise":
        return f"{PhaseFigures.altitude.of(flown)}"
    if phase.kind == "run":
        return f"pass {number}"
    return KINDS.get(phase.kind, phase.kind)


def pass_numbers(phases: tuple[PhaseFigures, ...]) -> dict[str, int]:
    """Return the number of each pass over a place by the name of its phase, counted anew at each place."""
    found: dict[str, int] = {}
    counted: dict[str, int] = {}
    for one in phases:
        if one.phase.kind == "run":
            counted[one.phase.place] = counted.get(one.phase.place, 0) + 1
            found[one.phase.ident] = counted[one.phase.place]
    return found


def place_name(mission: Mission, ident: str) -> str:
    """Return the name of a place of the mission, its ident where it has none."""
    route = mission.route
    every = (route.origin, route.destination, *mission.places)
    return next((place.name for place in every if place.ident == ident), ident)
