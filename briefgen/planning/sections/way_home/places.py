"""The way home from each place of the flight: fuel remaining, to go on, and to every field that can be turned to."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.errors import BriefgenError
from briefgen.frozen import replace
from briefgen.model.ledger import Row
from briefgen.model.record import Record, Ref, figure, note, rests_on, working
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.flight.home.refuges import Refuge, WayHome
from briefgen.planning.flight.home.spots import Spot
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.fuel import FuelRequired
from briefgen.planning.sections.basis.groups import FLOWN_BY, PLACES, rest_on_groups
from briefgen.planning.sections.basis.navigation import LEFT_VOLUME, Navigation

HOW_LEVEL = (
    "level to overhead, no lower than she is or the safe altitude of the way (its climb counted), at the indicated speed of the phase or the alternate's own (that of climb where it "
    "is not to be had), forecast winds on the way, falling weight; approach fuel added, descent not credited"
)
KEPT = "; final reserve and unusable fuel kept"
NOTE = (
    "Reserve and unusable fuel are kept in every figure but 'to go on'. Each way is level to overhead with the forecast winds, "
    "approach fuel added and the descent not credited, so it errs to the safe side."
)


class HeldBack(Record):
    """The fuel that is never planned to be used."""

    at = "way_home"

    def __init__(self, required: FuelRequired, written: tuple[str, ...]) -> None:
        self._required, self._written = required, written

    @figure("Final reserve and unusable fuel", "lb", how="never planned to be used")
    def held_back(self) -> float:
        return self._required.final_reserve + self._required.unusable

    @working
    def ways(self) -> None:
        """Read what every way home is flown with: fuel held back, heights and speeds as written, aircraft, places, weather."""
        rests_on(self.held_back)
        for key in self._written:
            note(key)
        rest_on_groups(*FLOWN_BY, PLACES)


class OnTheWay(Record):
    """A place of the flight: the fuel to go on from it, and the least with which to go on at all."""

    def __init__(self, spot: Spot, log: Navigation, required: FuelRequired, kept: HeldBack) -> None:
        self.at, self.title, self.spot = f"way_home.at.{spot.phase.ident}", spot.phase.title, spot
        self.ended = log.of_phase(spot.phase)
        self._landed = next(one for one in reversed(log.phases) if one.phase.kind == "approach")
        self._required, self._kept = required, kept

    def fuel_density(self) -> float:
        return self.ended.fuel_density()

    @figure(
        "%(title)s: fuel to go on to landing",
        "US gal",
        how="fuel remaining here less fuel remaining after landing, as planned",
    )
    def onward(self) -> float:
        return (self.ended.fuel_remaining - self._landed.fuel_remaining) / self.fuel_density()

    @figure(
        "%(title)s: least fuel to continue", "US gal",
        how="to go on, then the alternate or the island reserve, final reserve and unusable fuel; no contingency",
    )  # fmt: skip
    def least(self) -> float:
        away = FuelRequired.alternate.or_none(self._required) or FuelRequired.island.or_none(self._required) or 0.0
        return self.onward + (away + self._kept.held_back) / self.fuel_density()


class Needed(Record):
    """The fuel from a place of the flight to a field, reserve kept."""

    def __init__(self, way: OnTheWay, refuge: Refuge, needed_kg: float, kept: HeldBack) -> None:
        self.at = f"{way.at}.{refuge.key.removeprefix('way_home.')}"
        self.label = f"{way.title}: fuel to {refuge.what} {refuge.place.name}, reserve kept"
        self._way, self._needed_kg, self._kept = way, needed_kg, kept

    @figure("%(label)s", "US gal", how=HOW_LEVEL + KEPT)
    def needed(self) -> float:
        rests_on(self._way.ended.mass, self._way.ended.end, self._kept.ways)
        return self._needed_kg / self._way.fuel_density()


class OutOfReach(Record):
    """Why a field cannot be had from a place of the flight."""

    def __init__(self, way: OnTheWay, refuge: Refuge, words: str, how: str) -> None:
        self.at = f"{way.at}.{refuge.key.removeprefix('way_home.')}"
        self.label = f"{way.title}: fuel to {refuge.what} {refuge.place.name}, reserve kept"
        self.how, self._words, self._way = how, words, way

    @figure("%(label)s", how="%(how)s")
    def needed(self) -> str:
        rests_on(self._way.ended.mass, self._way.ended.end)
        rest_on_groups(*FLOWN_BY, PLACES)
        return self._words


_LEFT = column(LEFT_VOLUME, "Fuel remaining", name="left", through="ended")
_ONWARD, _LEAST = column(OnTheWay.onward, "To go on"), column(OnTheWay.least, "Least to continue")


# What every such table begins with; a column for each field that can be turned to follows.
POINTS = TableOf("way_home.points", "Way home from each place", (_LEFT, _ONWARD, _LEAST), NOTE)


def points_table(refuges: Sequence[Refuge]) -> TableOf:
    """Return the table of the ways home: a column for each field that can be turned to."""
    fields = [ColumnOf(one.key, f"To {one.what} {one.place.name}", "US gal") for one in refuges]
    return replace(POINTS, columns=(*POINTS.columns, *fields))


def write_places(
    home: WayHome, spots: Sequence[Spot], needed: dict[Refuge, list[float | None]], log: Navigation,
    required: FuelRequired, kept: HeldBack, writer: LedgerWriter,
) -> None:  # fmt: skip
    """Enter fuel remaining, fuel to go on and fuel to every refuge at each place of the flight."""
    table = points_table(tuple(needed))
    places = {place.ident: place.name for place in home.mission.places}
    rows: list[Row] = []
    for index, spot in enumerate(spots):
        if not spot.phase.place or spot.node is not spot.phase.end or spot.phase.kind == "climb":
            continue
        way = OnTheWay(spot, log, required, kept)
        writer.adopt(way)
        cells: dict[ColumnOf, Ref] = {}
        for field, (refuge, fuel) in zip(table.columns[3:], needed.items(), strict=True):
            cells[field] = _needed(home, way, refuge, fuel[index], kept, writer)
        rows.append(table.row(f"{spot.phase.title}: {places.get(spot.phase.place, '')}", way, others=cells))
    writer.tabulate(table.filled(rows))


def _needed(
    home: WayHome, way: OnTheWay, refuge: Refuge, needed_kg: float | None, kept: HeldBack, writer: LedgerWriter
) -> Ref:
    """Enter the fuel to a refuge, or in words why it cannot be had from here."""
    if needed_kg is not None:
        reached = Needed(way, refuge, needed_kg, kept)
        writer.adopt(reached)
        return Needed.needed.of(reached)
    words, how = _why_not(home, way.spot, refuge)
    out = OutOfReach(way, refuge, words, how)
    writer.adopt(out)
    return OutOfReach.needed.of(out)


def _why_not(home: WayHome, spot: Spot, refuge: Refuge) -> tuple[str, str]:
    if not refuge.serves(spot):
        return "not from here", "outside the part of the route it is listed for"
    try:
        home.needed(spot, refuge)
    except BriefgenError as error:
        return f"none: {error.problem}", HOW_LEVEL
    raise AssertionError("a way that could not be flown was flown")
