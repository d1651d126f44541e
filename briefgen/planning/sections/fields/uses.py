"""When each field of the plan is used: take-off at the origin, landing at the destination and at every alternate."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from briefgen.errors import PlanError
from briefgen.model.mission import Mission
from briefgen.model.places import Place, Runway
from briefgen.planning.flight.idents import alternate_key
from briefgen.planning.ledger.keys import departure_name
from briefgen.planning.ledger.writer import LedgerWriter


@dataclass(frozen=True)
class FieldUse:
    """One use of one field, at the instant of a ledger entry; ``name`` is its part of the ledger keys."""

    name: str
    role: str  # departure | destination | alternate
    place: Place
    runway: Runway
    time_key: str
    instant: datetime

    @property
    def title(self) -> str:
        """The field as labels name it."""
        return f"{self.place.name} ({self.role})"


def field_uses(mission: Mission, writer: LedgerWriter) -> tuple[FieldUse, ...]:
    """Return the uses in order: departure, destination, and every alternate whose way is in the ledger."""
    route = mission.route
    origin, destination = route.origin, route.destination
    uses = [
        _use(writer, departure_name(origin.ident), "departure", origin, route.origin_runway, "time.take_off"),
        _use(writer, destination.ident.lower(), "destination", destination, route.destination_runway, "time.landing"),
    ]
    for alternate in mission.alternates:
        place = alternate.place
        way = writer.tables.get(f"{alternate_key(place.ident)}.legs")
        if way is not None:
            uses.append(
                _use(writer, place.ident.lower(), "alternate", place, alternate.runway, way.rows[-1].cells["end"])
            )
    return tuple(uses)


def _use(writer: LedgerWriter, name: str, role: str, place: Place, runway_name: str, time_key: str) -> FieldUse:
    runway = next((runway for runway in place.runways if runway.name == runway_name), None)
    if runway is None:
        names = ", ".join(runway.name for runway in place.runways) or "none"
        raise PlanError(f"{place.ident} has no runway {runway_name}", expected=f"one of {names}")
    return FieldUse(name, role, place, runway, time_key, writer.instant(time_key))
