"""The loading sheet: every station with mass, arm and moment, and where each item of the load goes."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.kernel.balance import (
    floor_loading,
    greatest_payload,
    running_load,
    tie_downs_needed,
    tie_downs_needed_upward,
)
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import LoadItem, Mission
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition, Weighed
from briefgen.planning.load.pieces import LANDING, Piece
from briefgen.planning.load.placement import Placement

LEVER = "FAA-H-8083-1, chapter 2"
STATION_COLUMNS = (
    Column("what", "What"),
    Column("place", "Place"),
    Column("mass", "Weight", "lb"),
    Column("arm", "Arm", "in"),
    Column("moment", "Moment", "lb in"),
    Column("lateral", "Lateral arm", "in"),
    Column("cumulative", "Weight so far", "lb"),
    Column("cumulative_cg", "CG so far", "in"),
)
LOAD_COLUMNS = (
    Column("item", "Item"),
    Column("mass", "Weight", "lb"),
    Column("bay", "Bay"),
    Column("arm", "Arm", "in"),
    Column("leaves", "Leaves"),
    Column("placed", "Placed"),
    Column("floor", "Floor", "lb/sq ft"),
    Column("running", "Running", "lb/ft"),
    Column("straps_forward", "Straps fwd"),
    Column("straps_aft", "aft"),
    Column("straps_side", "each side"),
    Column("straps_up", "up"),
)


def write_reference(mission: Mission, writer: LedgerWriter) -> None:
    """Enter the chord the percentages refer to."""
    balance = mission.aircraft.balance
    for name, spec, label, value in (
        ("leading_edge", "chord leading edge arm", "Leading edge of the mean aerodynamic chord",
         balance.chord_leading_edge_arm_m),
        ("chord", "chord", "Mean aerodynamic chord", balance.chord_m),
    ):  # fmt: skip
        writer.given(f"balance.{name}", label, value, "in", decimals=1, spec=f"aircraft:balance.{spec}")


def write_stations(mission: Mission, pieces: Sequence[Piece], writer: LedgerWriter) -> dict[str, str]:
    """Write the stations table; return the mass entry of each piece by the piece's key."""
    masses: dict[str, str] = {}
    rows, arms_so_far = [], 0.0
    kilograms_so_far = 0.0
    for piece in pieces:
        masses[piece.key] = _mass_entry(piece, writer)
        kilograms_so_far += piece.mass_kg
        arms_so_far += piece.mass_kg * piece.arm_m
        rows.append(_station_row(piece, masses, (kilograms_so_far, arms_so_far), writer))
    if "mass.zero_fuel" not in writer:
        writer.put(
            "mass.zero_fuel", "Zero-fuel weight", kilograms_so_far, "lb", method="sum of the stations",
            inputs=tuple(masses.values()),
        )  # fmt: skip
        writer.foot("mass.zero_fuel", tuple(masses.values()))
    moments = tuple(f"station.{piece.key}.moment" for piece in pieces)
    writer.put(
        "balance.zero_fuel.moment", "Loaded, no fuel: moment", arms_so_far, "lb in",
        method="sum of the stations' moments", inputs=moments, source=LEVER,
    )  # fmt: skip
    writer.foot("balance.zero_fuel.moment", moments)
    rows.append(
        Row(
            "total",
            {"what": _total_name(writer), "mass": "mass.zero_fuel", "moment": "balance.zero_fuel.moment"},
            "total",
        )
    )
    note = (
        "Arms aft of the datum, lateral arms right of the centre line. A load has the arm of the middle of its bay. "
        "Crew in their seats for the flight."
    )
    writer.table("balance.stations", "Stations", STATION_COLUMNS, rows, note)
    return masses


def _total_name(writer: LedgerWriter) -> str:
    return writer.put("station.total.name", "Last row", "Zero fuel", method="everything but the fuel")


def _mass_entry(piece: Piece, writer: LedgerWriter) -> str:
    """Return the entry of a piece's mass; what the inputs of the plan already entered is used again."""
    known = {"basic": "mass.basic"}.get(piece.key) or (
        f"load.{piece.key.rpartition('.')[2]}.mass" if piece.kind == "item" else ""
    )
    key = known or f"station.{piece.key}.mass"
    if key in writer:
        return key
    return writer.given(key, piece.name, piece.mass_kg, "lb", spec=piece.spec)


def _station_row(piece: Piece, masses: dict[str, str], so_far: tuple[float, float], writer: LedgerWriter) -> Row:
    key, mass = f"station.{piece.key}", masses[piece.key]
    cells = {"what": writer.put(f"{key}.name", "Station", piece.name, method="as written"), "mass": mass}
    if piece.place:
        cells["place"] = writer.put(f"{key}.place", f"{piece.name}: place", piece.place, method="crew list or loading")
    where = (cells["place"],) if piece.place else ()
    for name, label, value in (("arm", "arm", piece.arm_m), ("lateral", "lateral arm", piece.lateral_arm_m)):
        cells[name] = writer.put(
            f"{key}.{name}", f"{piece.name}: {label}", value, "in", decimals=1,
            method="station of the aircraft file, or middle of the bay", inputs=where, source="aircraft file",
        )  # fmt: skip
    cells["moment"] = writer.put(
        f"{key}.moment", f"{piece.name}: moment", piece.mass_kg * piece.arm_m, "lb in", method="weight times arm",
        inputs=(mass, f"{key}.arm"), source=LEVER,
    )  # fmt: skip
    parts = tuple(masses.values())
    cells["cumulative"] = writer.put(
        f"{key}.cumulative",
        f"Weight with {piece.name}",
        so_far[0],
        "lb",
        method="sum of the rows to here",
        inputs=parts,
    )
    writer.foot(f"{key}.cumulative", parts)
    cells["cumulative_cg"] = writer.put(
        f"{key}.cumulative_cg", f"Centre of gravity with {piece.name}", so_far[1] / so_far[0], "in", decimals=1,
        method="sum of the moments over sum of the weights to here", inputs=(f"{key}.cumulative",), source=LEVER,
    )  # fmt: skip
    return Row(piece.name, cells)


def write_load(mission: Mission, pieces: Sequence[Piece], placement: Placement, writer: LedgerWriter) -> None:
    """Write where each item goes, what its floor bears and how many straps hold it."""
    by_name = {piece.name: piece for piece in pieces if piece.kind == "item"}
    rows = []
    for number, item in enumerate(mission.items, 1):
        key, piece = f"load.{number:02}", by_name[item.name]
        proposed = item.name in placement.proposed
        cells = {
            "item": writer.put(f"{key}.name", "Item of load", item.name, method="as written"),
            "mass": f"{key}.mass",
            "bay": writer.put(
                f"{key}.bay", f"{item.name}: bay", piece.place, method=_how(placement) if proposed else "as written"
            ),
            "arm": f"station.{piece.key}.arm",
            "leaves": writer.put(f"{key}.leaves", f"{item.name}: leaves", item.leaves, method="as written"),
            "placed": writer.put(
                f"{key}.placed", f"{item.name}: placed", "proposed" if proposed else "by hand", method="as asked for"
            ),
        }  # fmt: skip
        cells |= _write_floor(key, item, writer) | _write_straps(mission, key, item, writer)
        rows.append(Row(item.name, cells, "" if item.leaves == LANDING else "drop"))
    if placement.proposed:
        writer.put(
            "load.placement.distance", "Greatest distance from the preferred centre of gravity", placement.distance_m,
            "in", decimals=1, method="over every moment of the flight, load at the door and failures apart",
            inputs=tuple(cells["bay"] for cells in (row.cells for row in rows)), source=mission.aircraft.name,
        )  # fmt: skip
    note = "Straps at the angles of the aircraft file, without friction or chocks; count each direction by itself."
    writer.table("balance.load", "Where the load goes", LOAD_COLUMNS, rows, note)


def _how(placement: Placement) -> str:
    return (
        f"placed within every limit at {placement.moments} moments of the flight, closest to the preferred centre of "
        "gravity"
    )


def _write_floor(key: str, item: LoadItem, writer: LedgerWriter) -> dict[str, str]:
    if item.length_m is None or item.width_m is None:
        return {}
    return {
        "floor": writer.put(
            f"{key}.floor", f"{item.name}: load on the floor", floor_loading(item.mass_kg, item.length_m, item.width_m),
            "lb/sq ft", method="weight over the area it stands on", inputs=(f"{key}.mass",),
            source="FAA-H-8083-1A, chapter 8",
        ),
        "running": writer.put(
            f"{key}.running", f"{item.name}: running load", running_load(item.mass_kg, item.length_m), "lb/ft",
            method="weight over the length it stands on", inputs=(f"{key}.mass",),
        ),
    }  # fmt: skip


def _write_straps(mission: Mission, key: str, item: LoadItem, writer: LedgerWriter) -> dict[str, str]:
    hold = mission.aircraft.balance.restraint
    if hold is None:
        return {}
    along = {"forward": hold.forward_factor, "aft": hold.aft_factor, "side": hold.side_factor}
    counts = {
        name: tie_downs_needed(item.mass_kg, factor, hold.strap_strength_n, hold.floor_angle_deg, hold.plan_angle_deg)
        for name, factor in along.items()
    }
    counts["up"] = tie_downs_needed_upward(item.mass_kg, hold.up_factor, hold.strap_strength_n, hold.floor_angle_deg)
    return {
        f"straps_{name}": writer.put(
            f"{key}.straps_{name}", f"{item.name}: straps against moving {'sideways' if name == 'side' else name}", float(count),
            method="weight times load factor over the part of a strap's strength in that direction, rounded up",
            inputs=(f"{key}.mass",), source=f"{mission.aircraft.name}, restraint",
        )
        for name, count in counts.items()
    }  # fmt: skip


def write_payload(
    mission: Mission, moments: Sequence[Condition], weighed: Sequence[Weighed], writer: LedgerWriter
) -> None:
    """Enter the load carried, the greatest that fuel and mass limits leave even if nothing can be dropped, and the rest."""
    state = dict(zip([moment.key for moment in moments], weighed, strict=True))
    limits = mission.aircraft.balance.limits
    carried_kg = sum(item.mass_kg for item in mission.items)
    greatest_kg = greatest_payload(
        state["operating"].mass_kg, limits.zero_fuel_kg, limits.take_off_kg, limits.landing_kg,
        state["take_off"].fuel_kg, state["take_off"].fuel_kg - state["landing"].fuel_kg,
    )  # fmt: skip
    items = tuple(f"load.{number:02}.mass" for number in range(1, len(mission.items) + 1))
    carried = writer.put("mass.payload", "Load carried", carried_kg, "lb", method="sum of the items", inputs=items)
    if items:
        writer.foot(carried, items)
    greatest = writer.put(
        "mass.payload_greatest", "Greatest load with this fuel", greatest_kg, "lb",
        method="tightest of zero-fuel, take-off and landing limit, landing with all of it aboard",
        inputs=("mass.take_off", "mass.landing"), source="FAA-H-8083-1B, chapter 9",
    )  # fmt: skip
    spare = writer.put(
        "mass.payload_spare", "Load to spare", greatest_kg - carried_kg, "lb", method="greatest less carried",
        inputs=(greatest, carried),
    )  # fmt: skip
    writer.foot(spare, (greatest,), (carried,))
