"""The loading sheet: every station with mass, arm and moment, and what the load comes to."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from briefgen.kernel.balance import greatest_payload
from briefgen.model.aircraft import MassAndBalance
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, Ref, Sum, figure, given, rests_on, spare, total
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.pieces import Piece
from briefgen.planning.sections.balance.items import ItemFigures
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups
from briefgen.planning.sections.basis.written_load import ItemWritten, Weights

LEVER = "FAA-H-8083-1, chapter 2"


class Chord(Record):
    """The chord the percentages refer to."""

    at = "balance"

    def __init__(self, balance: MassAndBalance) -> None:
        self._balance = balance

    @given(
        "Leading edge of the mean aerodynamic chord", "in", decimals=1, spec="aircraft:balance.chord leading edge arm"
    )
    def leading_edge(self) -> float:
        return self._balance.chord_leading_edge_arm_m

    @given("Mean aerodynamic chord", "in", decimals=1, spec="aircraft:balance.chord")
    def chord(self) -> float:
        return self._balance.chord_m


class PieceFigures(Record):
    """One row of the loading sheet; an item of the load has its name and place where the load is listed."""

    def __init__(self, piece: Piece, mass: Ref, item: ItemFigures | None, before: PieceFigures | None) -> None:
        self.at, self.title, self.piece, self.mass = f"station.{piece.key}", piece.name, piece, mass
        self.item, self._before = item, before

    def rows_to_here(self) -> list[PieceFigures]:
        """Return the rows of the sheet down to this one."""
        return [*(self._before.rows_to_here() if self._before else []), self]

    @figure("Station", how="as written", name="name")
    def what(self) -> str:
        if self.item is not None:
            raise Absent("the load is listed by its own names")
        return self.title

    @figure("%(title)s: place", how="crew list or loading")
    def place(self) -> str:
        if self.item is not None or not self.piece.place:
            raise Absent("it has no seat")
        return self.piece.place

    @property
    def name_and_place(self) -> tuple[Ref, Ref]:
        """What it is and where it stands, where that is entered."""
        if self.item is not None:
            return ItemFigures.what.of(self.item), ItemFigures.bay.of(self.item)
        return PieceFigures.what.of(self), PieceFigures.place.of(self)

    def _stands(self) -> None:
        place = self.name_and_place[1]
        if place.there:
            rests_on(place.value)
        rest_on_groups(BALANCE)

    @figure(
        "%(title)s: arm",
        "in",
        decimals=1,
        how="station of the aircraft file, or middle of the bay",
        source="aircraft file",
    )
    def arm(self) -> float:
        self._stands()
        return self.piece.arm_m

    @figure(
        "%(title)s: lateral arm", "in", decimals=1, how="station of the aircraft file, or middle of the bay",
        source="aircraft file",
    )  # fmt: skip
    def lateral(self) -> float:
        self._stands()
        if self.item is not None:
            rests_on(ItemFigures.aside.or_none(self.item))
        return self.piece.lateral_arm_m

    @figure("%(title)s: moment", "lb in", how="weight times arm", source=LEVER)
    def moment(self) -> float:
        return float(self.mass.value) * self.arm

    @total("Weight with %(title)s", "lb", how="sum of the rows to here")
    def cumulative(self) -> Sum:
        return Sum([row.mass for row in self.rows_to_here()])

    @figure(
        "Centre of gravity with %(title)s", "in", decimals=1, source=LEVER,
        how="sum of the moments over sum of the weights to here",
    )  # fmt: skip
    def cumulative_cg(self) -> float:
        return math.fsum(row.moment for row in self.rows_to_here()) / self.cumulative


class LastRow(Record):
    """The name of the sheet's last row."""

    at = "station.total"

    @figure("Last row", how="everything but the fuel", name="name")
    def what(self) -> str:
        return "Zero fuel"


WHAT, PLACE, MASS = ColumnOf("what", "What"), ColumnOf("place", "Place"), ColumnOf("mass", "Weight", "lb")
MOMENT = column(PieceFigures.moment, "Moment")
STATIONS = TableOf(
    "balance.stations",
    "Stations",
    (
        WHAT,
        PLACE,
        MASS,
        column(PieceFigures.arm, "Arm"),
        MOMENT,
        column(PieceFigures.lateral, "Lateral arm"),
        column(PieceFigures.cumulative, "Weight so far"),
        column(PieceFigures.cumulative_cg, "CG so far"),
    ),
    "Arms aft of the datum, lateral arms right of the centre line. A load has the arm of the middle of its bay. "
    "Crew in their seats for the flight.",
)


class Sheet(Record):
    """Every row of the loading sheet."""

    def __init__(self, pieces: Sequence[Piece], weights: Weights, items: Mapping[str, ItemFigures]) -> None:
        self.weights, self.rows = weights, list[PieceFigures]()
        self.last = LastRow()
        for piece in pieces:
            before = self.rows[-1] if self.rows else None
            item = items[piece.name] if piece.kind == "item" else None
            self.rows.append(PieceFigures(piece, weights.mass_of(piece), item, before))

    def parts(self) -> Sequence[Record]:
        return [*self.rows, self.last]

    def table_rows(self, zero_fuel_moment: Ref) -> list[Row]:
        """Return the rows of the stations table, the last with the sums."""
        found = []
        for row in self.rows:
            what, place = row.name_and_place
            others = {WHAT: what, MASS: row.mass} | ({PLACE: place} if place.there else {})
            found.append(STATIONS.row(row.title, row, others=others))
        sums = {WHAT: LastRow.what.of(self.last), MASS: Weights.zero_fuel.of(self.weights), MOMENT: zero_fuel_moment}
        return [*found, STATIONS.row_of("total", sums, "total")]


class Payload(Record):
    """The load carried, the greatest that fuel and mass limits leave even if nothing can be dropped, and the rest."""

    at = "mass"

    def __init__(self, mission: Mission, weights: Weights, masses: Mapping[str, Ref], fuels: Mapping[str, Ref]) -> None:
        self._limits, self._weights, self._masses, self._fuels = mission.aircraft.balance.limits, weights, masses, fuels

    @total("Load carried", "lb", how="sum of the items and of the people carried")
    def payload(self) -> Sum:
        people = Weights.carried.of(self._weights)
        return Sum([ItemWritten.mass.of(item) for item in self._weights.items] + ([people] if people.there else []))

    @figure(
        "Greatest load with this fuel", "lb", source="FAA-H-8083-1B, chapter 9",
        how="tightest of zero-fuel, take-off and landing limit, landing with all of it aboard",
    )  # fmt: skip
    def payload_greatest(self) -> float:
        rest_on_groups(BALANCE)
        limits, fuel_kg = self._limits, float(self._fuels["take_off"].value)
        return greatest_payload(
            float(self._masses["operating"].value), limits.zero_fuel_kg, limits.take_off_kg, limits.landing_kg,
            fuel_kg, fuel_kg - float(self._fuels["landing"].value),
        )  # fmt: skip

    @spare("Load to spare", "lb", how="greatest less carried")
    def payload_spare(self) -> Sum:
        return Sum([Payload.payload_greatest.of(self)], [Payload.payload.of(self)])


def write_sheet(sheet: Sheet, zero_fuel_moment: Ref, writer: LedgerWriter) -> None:
    """Write the stations table once the moment without fuel stands."""
    writer.tabulate(STATIONS.filled(sheet.table_rows(zero_fuel_moment)))
