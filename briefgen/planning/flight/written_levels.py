"""Heights as the author wrote them, as the levels they mean over a place."""

from __future__ import annotations

from datetime import datetime

from briefgen.errors import PlanError
from briefgen.model.mission import Height
from briefgen.model.places import Place
from briefgen.model.plan import Node
from briefgen.planning.flight.steps import Crew, Level

SETTLING_M = 45.0  # 150 ft: what resetting the altimeter moves her by is not a climb or a descent


def level_of(crew: Crew, height: Height, place: Place, instant: datetime) -> Level:
    """Return the level that a written height means at a place.

    Raises:
        PlanError: A height above an overcast is asked for where none is forecast, or above a field without elevation.
    """
    if height.reference == "pressure":
        return Level(height.value_m, True)
    if height.reference == "altitude":
        return Level(height.value_m, False)
    if height.reference == "above field":
        return Level(elevation_of(place) + height.value_m, False)
    top_m = crew.sky.overcast_top(place.lat_deg, place.lon_deg, instant)
    if top_m is None:
        raise PlanError(
            f"no overcast is forecast over {place.ident} to wait above",
            expected="a broken or overcast sheet with a top in the weather file, there and then",
            hint="give the height of the hold as an altitude",
        )
    return Level(top_m + height.value_m, False)


def elevation_of(place: Place) -> float:
    if place.elevation_m is None:
        raise PlanError(f"{place.ident} has no elevation", expected="the elevation of every place used as a field")
    return place.elevation_m


def circuit_level(place: Place) -> Level:
    """Return the level of the circuit over a field."""
    if place.circuit_height_m is None:
        raise PlanError(f"{place.ident} has no circuit height", expected="the circuit height of every landing field")
    return Level(elevation_of(place) + place.circuit_height_m, False)


def far(crew: Crew, state: Node, level: Level) -> bool:
    """Return whether a level is worth a climb or descent, or is only a turn of the altimeter's knob away."""
    return abs(level.of(crew.sky, state) - state.pressure_altitude_m) >= SETTLING_M
