"""What a commander calls the figures that a rule may find missing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from briefgen.model.record import Figure
from briefgen.planning.sections.balance.moments import FlownWeights
from briefgen.planning.sections.basis.clock import Durations, Milestones
from briefgen.planning.sections.basis.fuel import FuelRequired
from briefgen.planning.sections.basis.navigation import RampWeight
from briefgen.planning.sections.basis.written_load import RampFuel, Weights
from briefgen.planning.sections.oxygen import OxygenFigures
from briefgen.planning.sections.way_home.engine_out import WorstWayOut

WORDS: Mapping[Figure[Any, Any], str] = {
    RampFuel.ramp: "fuel at the ramp",
    FuelRequired.taxi: "fuel for the taxi",
    FuelRequired.trip: "fuel for the trip",
    FuelRequired.contingency: "contingency fuel",
    FuelRequired.alternate: "fuel to the alternate",
    FuelRequired.final_reserve: "final reserve",
    FuelRequired.hold: "fuel for the hold",
    FuelRequired.island: "island reserve",
    FuelRequired.unusable: "unusable fuel",
    FuelRequired.total: "total fuel required",
    Milestones.take_off: "time of take-off",
    Milestones.landing: "time of landing",
    Milestones.over_target: "time over the target",
    Durations.duty: "length of the duty",
    OxygenFigures.required: "oxygen required",
    OxygenFigures.available: "oxygen carried",
    WorstWayOut.left: "fuel remaining after the way out with an engine stopped",
    WorstWayOut.phase: "worst moment for an engine to stop",
    RampWeight.ramp: "weight at the ramp",
    FlownWeights.take_off: "take-off weight",
    FlownWeights.landing: "landing weight",
    Weights.zero_fuel: "zero-fuel weight",
}
HEADS = {
    "fields.take_off.": "take-off from {0}: {1}",
    "fields.landing.": "landing at {0}: {1}",
    "weather.field.": "weather at {0}: {1}",
    "balance.": "balance, {0}: {1}",
    "phase.": "phase {0}: {1}",
    "alternate.": "way to alternate {0}: {1}",
}

OF_PLACES = ("fields.take_off.", "fields.landing.", "weather.field.", "alternate.")  # heads that a place follows


def spoken(figure: Figure[Any, Any], at: str = "") -> str:
    """Return a figure in words, for a text that says it is missing; ``at`` is the place of its record."""
    if figure in WORDS:
        return WORDS[figure]
    key = f"{at}.{figure.name}" if at else figure.name
    for head, words in HEADS.items():
        if key.startswith(head):
            where, _, what = key.removeprefix(head).partition(".")
            return words.format(_plain(where).upper() if head in OF_PLACES else _plain(where), _plain(what))
    return _plain(key)


def _plain(text: str) -> str:
    return text.replace("_", " ").replace(".", " ")
