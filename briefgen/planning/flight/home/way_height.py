"""How high a way home is flown: never below the minimum safe altitudes between here and there, where that can be held."""

from __future__ import annotations

from briefgen.model.mission import Leg, Mission
from briefgen.model.places import Place
from briefgen.model.plan import Node
from briefgen.planning.flight.steps import Crew, Level


def safe_level(mission: Mission, crew: Crew, node: Node, item: int, place: Place) -> float:
    """Return the pressure altitude [m] of the safe altitude of a way from a node, served by a route item, to a field.

    Back to the field of departure it is the greatest of the legs flown so far, on to the destination that of the legs to
    come, elsewhere that of the leg she is on and of the alternate. Minus infinity where none of them is known.
    """
    known = [safe_m for safe_m in _safe_altitudes(mission, item, place) if safe_m is not None]
    return Level(max(known), False).of(crew.sky, node) if known else float("-inf")


def _safe_altitudes(mission: Mission, item: int, place: Place) -> list[float | None]:
    items = mission.route.items
    flown = [one.safe_height_m for one in items[: item + 1] if isinstance(one, Leg)]
    to_come = [one.safe_height_m for one in items[item:] if isinstance(one, Leg)]
    listed = [one for one in (*mission.alternates, *mission.en_route) if one.place.ident == place.ident]
    if listed:
        return [*flown[-1:], *(one.safe_height_m for one in listed)]
    return flown if place.ident == mission.route.origin.ident else [*flown[-1:], *to_come]
