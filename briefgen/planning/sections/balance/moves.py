"""What moving any one item to any other bay does, entered where there are few enough moves to be read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, figure, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition
from briefgen.planning.load.moves import FINE, Move, moves
from briefgen.planning.sections.balance.items import ItemFigures
from briefgen.planning.sections.balance.moments import MomentFigures
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups

SHOWN = 150  # a longer table is read by nobody


class MoveFigures(Record):
    """One item moved to one other bay, the others as they stand."""

    def __init__(self, move: Move, bay: int, item: ItemFigures, moments: Mapping[str, MomentFigures]) -> None:
        self.at, self.move, self.item = f"{item.at}.move.{bay:02}", move, item
        self.label = f"{move.item} moved to bay {move.bay}"
        self._moments = moments

    @figure("%(label)s: bay", how="one item moved, the others as they stand")
    def bay(self) -> str:
        return self.move.bay

    def _moved(self, *moments: str) -> None:
        rests_on(self.item.written.mass, self.item.bay, *(self._moments[name].cg for name in moments))
        rest_on_groups(BALANCE)

    @figure(
        "%(label)s: change of centre of gravity at take-off", "in", decimals=1, source="FAA-H-8083-25, weight shifting",
        how="weight times distance moved over take-off weight, aft positive",
    )  # fmt: skip
    def change(self) -> float:
        self._moved("take_off")
        return self.move.change_m

    @figure("%(label)s: verdict", how="every limit at every moment")
    def verdict(self) -> str:
        rests_on(ItemFigures.size.or_none(self.item), self.item.leaves)
        self._moved("take_off", "landing")
        return self.move.verdict

    @figure("%(label)s: least distance to a limit", "in", decimals=1, how="least of all moments of the flight")
    def room(self) -> float:
        if self.move.room_m is None:
            raise Absent("the weight is outside the envelope at some moment")
        self._moved("take_off", "landing")
        return self.move.room_m


MOVES = TableOf(
    "balance.moves",
    "What moving one item does",
    (
        column(ItemFigures.what, "Item", name="item", through="item"),
        column(MoveFigures.bay, "To bay", name="to"),
        column(MoveFigures.change, "CG at take-off"),
        column(MoveFigures.room, "Least margin"),
        column(MoveFigures.verdict, "What stands against it"),
    ),
)


def write_moves(
    mission: Mission, flown: Sequence[Condition], items: Sequence[ItemFigures], moments: Sequence[MomentFigures],
    writer: LedgerWriter,
) -> None:  # fmt: skip
    """Write the table of moves, where there are few enough of them to be read."""
    if not items or len(mission.aircraft.balance.bays) * len(items) > SHOWN:
        return
    by_name, by_key = {item.title: item for item in items}, {one.moment_of.key: one for one in moments}
    order = {bay.name: index for index, bay in enumerate(mission.aircraft.balance.bays, 1)}
    bays = {item.title: item.stands_at for item in items}
    found = [MoveFigures(one, order[one.bay], by_name[one.item], by_key) for one in moves(mission, flown, bays)]
    for one in found:
        writer.adopt(one)
    rows = [
        MOVES.row(f"{one.move.item} to {one.move.bay}", one, "" if one.move.verdict == FINE else "refused")
        for one in found
    ]
    writer.tabulate(MOVES.filled(rows))
