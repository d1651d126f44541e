"""What moving any one item to any other bay does, entered where there are few enough moves to be read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition
from briefgen.planning.load.moves import FINE, moves

SHOWN = 150  # a longer table is read by nobody
COLUMNS = (
    Column("item", "Item"),
    Column("to", "To bay"),
    Column("change", "CG at take-off", "in"),
    Column("room", "Least margin", "in"),
    Column("verdict", "What stands against it"),
)


def write_moves(mission: Mission, moments: Sequence[Condition], bays: Mapping[str, str], writer: LedgerWriter) -> None:
    """Write the table of moves, where there are few enough of them to be read."""
    if not mission.items or len(mission.aircraft.balance.bays) * len(mission.items) > SHOWN:
        return
    numbers = {item.name: number for number, item in enumerate(mission.items, 1)}
    order = {bay.name: index for index, bay in enumerate(mission.aircraft.balance.bays, 1)}
    rows = []
    for move in moves(mission, moments, bays):
        load = f"load.{numbers[move.item]:02}"
        key = f"{load}.move.{order[move.bay]:02}"
        label = f"{move.item} moved to bay {move.bay}"
        cells = {
            "item": f"{load}.name",
            "to": writer.put(f"{key}.bay", f"{label}: bay", move.bay, method="one item moved, the others as they stand"),
            "change": writer.put(
                f"{key}.change", f"{label}: change of centre of gravity at take-off", move.change_m, "in", decimals=1,
                method="weight times distance moved over take-off weight, aft positive",
                inputs=("balance.take_off.cg", f"{load}.mass"), source="FAA-H-8083-25, weight shifting",
            ),
            "verdict": writer.put(f"{key}.verdict", f"{label}: verdict", move.verdict, method="every limit at every moment"),
        }  # fmt: skip
        if move.room_m is not None:
            cells["room"] = writer.put(
                f"{key}.room", f"{label}: least distance to a limit", move.room_m, "in", decimals=1,
                method="least of all moments of the flight", inputs=("balance.take_off.cg",),
            )  # fmt: skip
        rows.append(Row(f"{move.item} to {move.bay}", cells, "" if move.verdict == FINE else "refused"))
    writer.table("balance.moves", "What moving one item does", COLUMNS, rows)
