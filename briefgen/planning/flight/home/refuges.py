"""Fields that can be turned to from any point of the flight, and the fuel that the way to each of them takes."""

from __future__ import annotations

import math
from functools import partial

from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.model.mission import Alternate, Mission
from briefgen.model.performance import IndicatedAirspeed
from briefgen.model.places import Place
from briefgen.planning.flight.direct import Way, along, held_height, straight_lines
from briefgen.planning.flight.fuel_policy import Diversion
from briefgen.planning.flight.home.spots import Spot, crossing
from briefgen.planning.flight.home.way_height import safe_level
from briefgen.planning.flight.route import alternate_key
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.steps import Crew
from briefgen.planning.flight.written_levels import level_of

OUT_OF_USE = -math.inf


@dataclass(frozen=True)
class Refuge:
    """A field that can be flown to: the field of departure, an alternate, or one that serves a part of the route."""

    key: str
    place: Place
    height_m: float | None  # the alternate's own pressure altitude; None is the height she is at
    what: str
    ias_m_per_s: float | None = None  # the alternate's own speed; None is that of the phase
    least_ias_m_per_s: float = 0.0  # that of its diversion where the speed goes with the weight: never slower
    via: tuple[Place, ...] = ()
    from_m: float = -math.inf  # distances run between which it serves
    until_m: float = math.inf

    def serves(self, spot: Spot) -> bool:
        """Return whether the mission lets it be used from a spot."""
        return self.from_m - 1.0 <= spot.node.distance_m <= self.until_m + 1.0


@dataclass(frozen=True)
class TurningPoint:
    """Where a refuge goes out of use or comes into use."""

    spot: Spot
    closing: bool
    as_listed: bool  # because the mission lists it for a part of the route, not because of the fuel


@dataclass(frozen=True)
class WayHome:
    """What is asked at every point of a flight."""

    mission: Mission
    crew: Crew
    flown: Flown
    held_back_kg: float  # final reserve and unusable fuel: never planned to be used
    approach_kg: float
    instead_of_alternate_kg: float  # island reserve where there is no alternate

    def needed(self, spot: Spot, refuge: Refuge) -> float:
        """Return the fuel [kg] to reach a refuge from a spot and land there with reserve and unusable fuel remaining.

        Raises:
            BriefgenError: The way cannot be flown, or the weather does not reach so far.
        """
        return self.way(spot, refuge).fuel_kg + self.approach_kg + self.held_back_kg

    def needed_or_none(self, spot: Spot, refuge: Refuge) -> float | None:
        """Return the fuel [kg] needed, None where the refuge does not serve or its way cannot be flown."""
        if not refuge.serves(spot):
            return None
        try:
            return self.needed(spot, refuge)
        except BriefgenError:
            return None

    def way(self, spot: Spot, refuge: Refuge) -> Way:
        """Return the way from a spot to a refuge: no lower than she is or is safe, at the refuge's own speed or that of the phase."""
        own_m = spot.height_m if refuge.height_m is None else refuge.height_m
        safe_m = safe_level(self.mission, self.crew, spot.node, spot.item, refuge.place)
        height_m = max(own_m, spot.node.pressure_altitude_m, safe_m)
        ias = refuge.ias_m_per_s or max(refuge.least_ias_m_per_s, spot.ias_m_per_s)
        lines = straight_lines(spot.node, refuge.place, refuge.via)
        try:
            return along(self.crew, spot.node, lines, height_m, ias, spot.flow_kg_per_s)
        except (
            BriefgenError
        ):  # the speed is not to be had at this weight or height: at that of climb, as high as is held
            held_m, ias = held_height(self.crew, spot.node, height_m)
            return along(self.crew, spot.node, lines, held_m, ias, spot.flow_kg_per_s)

    def spare(self, spot: Spot, refuge: Refuge) -> float:
        """Return fuel on board less fuel needed for a refuge [kg]; minus infinity where it cannot be used."""
        needed = self.needed_or_none(spot, refuge)
        return OUT_OF_USE if needed is None else spot.node.fuel_kg - needed

    def turning_points(self, spots: tuple[Spot, ...], refuge: Refuge, values: list[float]) -> list[TurningPoint]:
        """Return every point where a refuge goes out of reach or comes back into reach."""
        found = []
        for number in range(1, len(spots)):
            ends = values[number - 1], values[number]
            if (ends[0] >= 0.0) != (ends[1] >= 0.0):
                spot = crossing(partial(self.spare, refuge=refuge), spots[number - 1], spots[number], ends)
                bound = refuge.serves(spots[number - 1]) != refuge.serves(spots[number])
                found.append(TurningPoint(spot, ends[0] >= 0.0, bound))
        return found


def refuges_of(mission: Mission, crew: Crew, flown: Flown, spots: tuple[Spot, ...]) -> tuple[Refuge, ...]:
    """Return the departure field, the alternates, and the fields that serve on the way, in this order."""
    found = [Refuge("way_home.return", mission.route.origin, None, "return to")]
    flown_to = {diversion.ident: diversion for diversion in flown.diversions}
    for alternate in mission.alternates:
        found.append(_refuge(crew, alternate, spots, flown_to.get(alternate.place.ident)))
    for alternate in mission.en_route:
        found.append(_refuge(crew, alternate, spots, None))
    return tuple(found)


def _refuge(crew: Crew, alternate: Alternate, spots: tuple[Spot, ...], diversion: Diversion | None) -> Refuge:
    node = spots[-1].node
    height_m = level_of(crew, alternate.height, alternate.place, node.instant).of(crew.sky, node)
    key = f"way_home.{alternate_key(alternate.place.ident)}"
    begin = distance_at(spots, alternate.usable_from) if alternate.usable_from else -math.inf
    end = distance_at(spots, alternate.usable_until) if alternate.usable_until else math.inf
    ias = alternate.cruise.ias_m_per_s if isinstance(alternate.cruise, IndicatedAirspeed) else None
    least = _diversion_speed(diversion) if diversion and ias is None else 0.0
    return Refuge(key, alternate.place, height_m, "reach", ias, least, alternate.via, begin, end)


def _diversion_speed(diversion: Diversion) -> float:
    """Return the indicated airspeed of the longest cruise of a diversion, 0 where it has none."""
    cruises = [phase for phase in diversion.phases if phase.kind == "cruise" and phase.setting]
    longest = max(cruises, key=lambda phase: phase.duration_s, default=None)
    return longest.setting.ias_m_per_s if longest and longest.setting else 0.0


def distance_at(spots: tuple[Spot, ...], ident: str) -> float:
    """Return the distance run when a place of the route is first passed [m]; 0 for the field of departure."""
    return next(
        (spot.node.distance_m for spot in spots if spot.phase.place == ident and spot.node is spot.phase.end), 0.0
    )
