"""A point of the flight, entered: when and where it is, and the fuel there."""

from __future__ import annotations

from datetime import datetime

from briefgen.model.record import Figure, Record, figure, rests_on
from briefgen.model.tables import ColumnOf, column
from briefgen.planning.flight.home.spots import Spot
from briefgen.planning.sections.basis.groups import FLOWN_BY, PLACES, RULES, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation

IN_ZONE = "the same in the mission's zone"


class SpotFigures(Record):
    """A point of the flight that was solved for."""

    def __init__(self, at: str, label: str, how: str, spot: Spot, log: Navigation) -> None:
        self.at, self.label, self.how, self.spot = at, label, how, spot
        self.during = log.of_phase(spot.phase)

    def fuel_density(self) -> float:
        return self.during.fuel_density()

    def _solved(self) -> None:
        """Read what the point was solved with."""
        rests_on(self.during.begin, self.during.end, self.during.fuel_remaining)
        rest_on_groups(*FLOWN_BY, PLACES, RULES)

    @figure("%(label)s", "UTC", how="%(how)s")
    def time(self) -> datetime:
        self._solved()
        return self.spot.node.instant

    @figure("%(label)s, local", "local", how=IN_ZONE)
    def time_local(self) -> datetime:
        return self.time

    @figure("%(label)s: distance run", "NM", how="%(how)s")
    def distance(self) -> float:
        self._solved()
        return self.spot.node.distance_m

    @figure("%(label)s: latitude", "latitude", how="%(how)s")
    def latitude(self) -> float:
        self._solved()
        return self.spot.node.lat_deg

    @figure("%(label)s: longitude", "longitude", how="%(how)s")
    def longitude(self) -> float:
        self._solved()
        return self.spot.node.lon_deg

    @figure("%(label)s: fuel remaining", "lb", how="%(how)s", volume=True)
    def fuel(self) -> float:
        self._solved()
        return self.spot.node.fuel_kg


FUEL_THERE: Figure[SpotFigures, float] = SpotFigures.fuel.volume()
SPOT_COLUMNS: tuple[ColumnOf, ...] = (
    column(SpotFigures.time, "At"),
    column(SpotFigures.time_local, "At"),
    column(SpotFigures.distance, "Distance run"),
    column(SpotFigures.latitude, "Latitude"),
    column(SpotFigures.longitude, "Longitude"),
    column(FUEL_THERE, "Fuel there"),
)
