"""When each field of the plan is used: take-off at the origin, landing at the destination and at every alternate."""

from __future__ import annotations

from datetime import datetime

from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.model.mission import Mission
from briefgen.model.places import Place, Runway
from briefgen.model.record import Ref
from briefgen.planning.ledger.keys import departure_name
from briefgen.planning.sections.basis.clock import Clock, Milestones
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures


@dataclass(frozen=True)
class FieldUse:
    """One use of one field, at the instant of a figure; ``name`` is its part of the ledger keys."""

    name: str
    role: str  # departure | destination | alternate | return
    place: Place
    runway: Runway
    time: Ref

    @property
    def title(self) -> str:
        """The field as labels name it."""
        return f"{self.place.name} ({self.role})"

    @property
    def instant(self) -> datetime:
        """When it is used, noted as read."""
        found: datetime = self.time.value
        return found


def field_uses(mission: Mission, log: Navigation, clock: Clock) -> tuple[FieldUse, ...]:
    """Return the uses in order: departure, destination, and every alternate to which a way is flown.

    Raises:
        PlanError: A runway is not among those of its place.
    """
    route, times = mission.route, clock.milestones
    origin, destination = route.origin, route.destination
    uses = [
        _use(departure_name(origin.ident), "departure", origin, route.origin_runway, Milestones.take_off.of(times)),
        _use(
            destination.ident.lower(),
            "destination",
            destination,
            route.destination_runway,
            Milestones.landing.of(times),
        ),
    ]
    for alternate in mission.alternates:
        ident = alternate.place.ident
        if ident in log.ways:
            reached = PhaseFigures.end.of(log.ways[ident][-1])
            uses.append(_use(ident.lower(), "alternate", alternate.place, alternate.runway, reached))
    return tuple(uses)


def _use(name: str, role: str, place: Place, runway: str, time: Ref) -> FieldUse:
    return FieldUse(name, role, place, runway_of(place, runway), time)


def runway_of(place: Place, name: str) -> Runway:
    """Return a runway of a place by name.

    Raises:
        PlanError: The place has none of that name; the message lists those it has.
    """
    for runway in place.runways:
        if runway.name == name:
            return runway
    raise PlanError(
        f"{place.ident} has no runway {name}",
        expected=f"one of: {', '.join(one.name for one in place.runways) or 'none written'}",
    )
