"""The last moments to decide: where each field goes out of reach along the flight or comes back into reach."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.plan import ChartPoint, Event
from briefgen.model.record import Record, figure, rests_on
from briefgen.model.tables import TableOf
from briefgen.planning.flight.home.refuges import OUT_OF_USE, Refuge, TurningPoint, WayHome
from briefgen.planning.flight.home.spots import Spot
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.way_home.places import HOW_LEVEL, KEPT, HeldBack
from briefgen.planning.sections.way_home.spots import FUEL_THERE, SPOT_COLUMNS, SpotFigures

HOW_SOLVED = "where fuel remaining equals fuel needed, solved along the flight with the falling weight; " + HOW_LEVEL
DECIDERS = ("captain", "co-pilot", "navigator", "flight engineer")
MOMENTS = TableOf("way_home.moments", "Last moments to decide", SPOT_COLUMNS, HOW_SOLVED + KEPT + ".")


class Moment(SpotFigures):
    """A point where a field goes out of reach or comes back into reach."""

    def __init__(self, number: int, refuge: Refuge, point: TurningPoint, kept: HeldBack, log: Navigation) -> None:
        key = f"{refuge.key}.crossing.{number:02d}"
        super().__init__(key, _word(point, refuge, number), HOW_SOLVED + KEPT, point.spot, log)
        self._kept = kept

    def _solved(self) -> None:
        super()._solved()
        rests_on(self._kept.ways)

    def event(self) -> Event:
        """Return it as a decision of the timeline."""
        phase, place = self.spot.phase, f"{Moment.latitude.of(self)} {Moment.longitude.of(self)}"
        text = f"{self.label}: {Moment.distance.of(self)} run, {place}, fuel {FUEL_THERE.of(self)}"
        return Event(Moment.time.of(self).key, "decision", phase.ident, DECIDERS, text, phase.place)

    def mark(self) -> ChartPoint:
        """Return it as a point of the picture."""
        node = self.spot.node
        volume_m3 = node.fuel_kg / self.fuel_density()
        return ChartPoint(self.label, node.distance_m, volume_m3, Moment.time.of(self).key)


class LeastSpare(Record):
    """The least fuel in hand to a field over the whole flight."""

    def __init__(self, refuge: Refuge, least_kg: float, kept: HeldBack) -> None:
        self.at, self.to, self._least_kg, self._kept = refuge.key, f"{refuge.what} {refuge.place.name}", least_kg, kept

    @figure(
        "Least fuel in hand to %(to)s",
        "lb",
        how=f"least over the whole flight of fuel remaining less fuel needed; {HOW_LEVEL}",
    )
    def least_spare(self) -> float:
        rests_on(self._kept.ways)
        return self._least_kg


def _word(point: TurningPoint, refuge: Refuge, number: int) -> str:
    name = refuge.place.name
    if point.as_listed:
        return f"{name} serves no further" if point.closing else f"{name} serves from here"
    if point.closing:
        return f"Last moment to {refuge.what} {name}"
    return f"{name} is within reach" + ("" if number == 1 else " again")


def write_moments(
    home: WayHome, spots: tuple[Spot, ...], needed: dict[Refuge, list[float | None]], kept: HeldBack, log: Navigation,
    writer: LedgerWriter,
) -> Sequence[Moment]:  # fmt: skip
    """Enter every point where a refuge goes out of reach or comes back into reach, and the least in hand to each."""
    moments: list[Moment] = []
    for refuge, fuel in needed.items():
        values = [
            OUT_OF_USE if need is None else spot.node.fuel_kg - need for spot, need in zip(spots, fuel, strict=True)
        ]
        points = home.turning_points(spots, refuge, values)
        moments += [Moment(number, refuge, point, kept, log) for number, point in enumerate(points, start=1)]
        usable = [value for value in values if value > OUT_OF_USE]
        if usable:
            writer.adopt(LeastSpare(refuge, min(usable), kept))
    for moment in moments:
        writer.adopt(moment)
    if moments:
        writer.tabulate(MOMENTS.filled([MOMENTS.row(moment.label, moment) for moment in moments]))
    return moments
