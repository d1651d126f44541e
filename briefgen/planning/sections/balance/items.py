"""The items of the load: where each goes, what its floor bears and how many straps hold it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from briefgen.kernel.balance import floor_loading, running_load, tie_downs_needed, tie_downs_needed_upward
from briefgen.model.aircraft import Restraint
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, Ref, figure, given, rests_on
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.pieces import LANDING
from briefgen.planning.load.placement import Placement
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups
from briefgen.planning.sections.basis.written_load import ItemWritten

STRAPS = "weight times load factor over the part of a strap's strength in that direction, rounded up"


class ItemFigures(Record):
    """One item of the load; ``carried`` is what a proposed bay was found for: the items, and her fuel and weight in flight."""

    def __init__(
        self, mission: Mission, number: int, written: ItemWritten, placement: Placement, carried: Sequence[Ref]
    ) -> None:
        item = mission.items[number - 1]
        self.at, self.title, self.spec, self.item, self.written = written.at, item.name, written.spec, item, written
        self.proposed, self._placement, self.stands_at = (
            item.name in placement.proposed,
            placement,
            placement.bays[item.name],
        )
        self._size, self._carried = mission.given.get(f"{self.spec}.size"), carried
        self.aircraft, self._hold = mission.aircraft.name, mission.aircraft.balance.restraint
        self.how = _how(placement) if self.proposed else "as written"

    @given("Item of load", how="as written", spec="%(spec)s.name", name="name")
    def what(self) -> str:
        return self.title

    @given("%(title)s: size", spec="%(spec)s.size")
    def size(self) -> str:
        if self._size is None:
            raise Absent("no size is given")
        return self._size.text

    @given(
        "%(title)s: right of the middle of its bay", "in", decimals=1, spec="%(spec)s.lateral arm", name="lateral_arm"
    )
    def aside(self) -> float:
        if self.item.lateral_arm_m is None:
            raise Absent("it stands in the middle of its bay")
        return self.item.lateral_arm_m

    @figure("%(title)s: bay", how="%(how)s")
    def bay(self) -> str:
        if self.proposed:
            rests_on(ItemFigures.size.or_none(self), *(ref.value for ref in self._carried))
            rest_on_groups(BALANCE)
        return self.stands_at

    @figure("%(title)s: leaves", how="as written")
    def leaves(self) -> str:
        return self.item.leaves

    @figure("%(title)s: placed", how="as asked for")
    def placed(self) -> str:
        return "proposed" if self.proposed else "by hand"

    def _length_m(self) -> float:
        rests_on(ItemFigures.size.or_none(self))
        if self.item.length_m is None or self.item.width_m is None:
            raise Absent("no size is given")
        return self.item.length_m

    @figure(
        "%(title)s: load on the floor",
        "lb/sq ft",
        how="weight over the area it stands on",
        source="FAA-H-8083-1A, chapter 8",
    )
    def floor(self) -> float:
        return floor_loading(self.written.mass, self._length_m(), self.item.width_m or 0.0)

    @figure("%(title)s: running load", "lb/ft", how="weight over the length it stands on")
    def running(self) -> float:
        return running_load(self.written.mass, self._length_m())

    def _straps(self, needed: Callable[[float, Restraint], int]) -> float:
        if self._hold is None:
            raise Absent("the aircraft file says nothing of restraint")
        rest_on_groups(BALANCE)
        return float(needed(self.written.mass, self._hold))

    @figure("%(title)s: straps against moving forward", how=STRAPS, source="%(aircraft)s, restraint")
    def straps_forward(self) -> float:
        return self._straps(lambda mass_kg, hold: _along(mass_kg, hold.forward_factor, hold))

    @figure("%(title)s: straps against moving aft", how=STRAPS, source="%(aircraft)s, restraint")
    def straps_aft(self) -> float:
        return self._straps(lambda mass_kg, hold: _along(mass_kg, hold.aft_factor, hold))

    @figure("%(title)s: straps against moving sideways", how=STRAPS, source="%(aircraft)s, restraint")
    def straps_side(self) -> float:
        return self._straps(lambda mass_kg, hold: _along(mass_kg, hold.side_factor, hold))

    @figure("%(title)s: straps against moving up", how=STRAPS, source="%(aircraft)s, restraint")
    def straps_up(self) -> float:
        return self._straps(
            lambda mass_kg, hold: tie_downs_needed_upward(
                mass_kg, hold.up_factor, hold.strap_strength_n, hold.floor_angle_deg
            )
        )


def _along(mass_kg: float, factor: float, hold: Restraint) -> int:
    return tie_downs_needed(mass_kg, factor, hold.strap_strength_n, hold.floor_angle_deg, hold.plan_angle_deg)


def _how(placement: Placement) -> str:
    return (
        f"placed within every limit at {placement.moments} moments of the flight, closest to the preferred centre of "
        "gravity"
    )


class PlacementFigures(Record):
    """How near the preferred centre of gravity the load could be placed."""

    at = "load.placement"

    def __init__(self, mission: Mission, placement: Placement, centres: Sequence[Ref]) -> None:
        self.aircraft, self._placement, self._centres = mission.aircraft.name, placement, centres

    @figure(
        "Greatest distance from the preferred centre of gravity", "in", decimals=1, source="%(aircraft)s",
        how="over every moment of the flight, load at the door and failures apart",
    )  # fmt: skip
    def distance(self) -> float:
        if not self._placement.proposed:
            raise Absent("every item is placed by hand")
        rests_on(*(ref.value for ref in self._centres))
        rest_on_groups(BALANCE)
        return self._placement.distance_m


MASS, ARM = ColumnOf("mass", "Weight", "lb"), ColumnOf("arm", "Arm", "in")
LOAD = TableOf(
    "balance.load",
    "Where the load goes",
    (
        column(ItemFigures.what, "Item", name="item"),
        MASS,
        column(ItemFigures.bay, "Bay"),
        ARM,
        column(ItemFigures.leaves, "Leaves"),
        column(ItemFigures.placed, "Placed"),
        column(ItemFigures.floor, "Floor"),
        column(ItemFigures.running, "Running"),
        column(ItemFigures.straps_forward, "Straps fwd"),
        column(ItemFigures.straps_aft, "aft"),
        column(ItemFigures.straps_side, "each side"),
        column(ItemFigures.straps_up, "up"),
    ),
    "Straps at the angles of the aircraft file, without friction or chocks; count each direction by itself.",
)


def write_items(items: Sequence[ItemFigures], arms: Mapping[str, Ref], writer: LedgerWriter) -> None:
    """Write the table of the load; the arms are those of the loading sheet, by the item's name."""
    rows = [_row(item, arms[item.title]) for item in items]
    writer.tabulate(LOAD.filled(rows))


def _row(item: ItemFigures, arm: Ref) -> Row:
    others = {MASS: ItemWritten.mass.of(item.written), ARM: arm}
    return LOAD.row(item.title, item, "" if item.item.leaves == LANDING else "drop", others)
