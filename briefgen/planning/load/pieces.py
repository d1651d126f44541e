"""What she is loaded with: every piece with its mass and arm, and the rules of floor, door, order and company.

A piece in a bay has the arm of the middle of the bay, as a loading sheet has it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.kernel.balance import floor_loading, running_load
from briefgen.model.aircraft import Aircraft, Bay, Door
from briefgen.model.mission import Action, LoadItem, Mission, People

LANDING = "landing"
_ROUND_OFF_RATIO = 1e-9


@dataclass(frozen=True)
class Piece:
    """One row of the loading sheet.

    Attributes:
        key: The piece's part of its ledger keys.
        kind: basic, crew, equipment, people or item.
        place: Name of the station or bay, empty for what is built in.
        take_off: Place, arm and lateral arm during take-off and landing, where they differ.
        leaves: The run with which it leaves, empty when it stays aboard.
        spec: Where its mass is written, in the mission's map of given values.
    """

    key: str
    kind: str
    name: str
    place: str
    mass_kg: float
    arm_m: float
    lateral_arm_m: float
    take_off: tuple[str, float, float] | None = None
    leaves: str = ""
    spec: str = ""


def middle_arm_m(bay: Bay) -> float:
    """Return the arm of what stands in a bay."""
    return 0.5 * (bay.from_arm_m + bay.to_arm_m)


def item_place(aircraft: Aircraft, item: LoadItem, place: str) -> tuple[float, float]:
    """Return the arm and lateral arm of an item in a bay or at a station."""
    aside_m = item.lateral_arm_m or 0.0
    for bay in aircraft.balance.bays:
        if bay.name == place:
            return middle_arm_m(bay), bay.lateral_arm_m + aside_m
    for station in aircraft.balance.stations:
        if station.name == place:
            return station.arm_m, station.lateral_arm_m + aside_m
    names = [bay.name for bay in aircraft.balance.bays] + [station.name for station in aircraft.balance.stations]
    raise PlanError(
        f"there is no bay or station '{place}' in the {aircraft.name}",
        where=f"load item {item.name}",
        expected="one of: " + ", ".join(names),
    )


def fixed_pieces(mission: Mission) -> tuple[Piece, ...]:
    """Return what does not depend on where the load is put: the aircraft as weighed, crew and equipment."""
    individual = mission.individual
    basic = Piece(
        "basic", "basic", f"{individual.registration} as weighed", "", individual.basic_mass_kg,
        individual.basic_arm_m, 0.0, spec=_individual_spec(mission),
    )  # fmt: skip
    equipment = [
        Piece(
            f"equipment.{n:02}",
            "equipment",
            e.name,
            "",
            e.mass_kg,
            e.arm_m,
            e.lateral_arm_m,
            spec=f"aircraft:balance.equipment[{n - 1}].mass",
        )
        for n, e in enumerate(mission.aircraft.balance.equipment, 1)
    ]
    return (basic, *_crew_pieces(mission), *equipment, *_people_pieces(mission))


def _individual_spec(mission: Mission) -> str:
    names = [individual.registration for individual in getattr(mission.aircraft, "individuals", ())]
    return f"aircraft:individuals[{names.index(mission.individual.registration)}].basic mass" if names else ""


def _people_pieces(mission: Mission) -> list[Piece]:
    """Return the people who are carried, each group at its station with the mass of all of it."""
    stations = {station.name: station for station in mission.aircraft.balance.stations}
    pieces = []
    for number, one in enumerate(mission.people, 1):
        spec = f"load.people[{number - 1}].mass" if one.mass_kg is not None else "aircraft:people.passenger mass"
        station, mass_kg = stations[one.station], one.number * person_mass_kg(mission.aircraft, one)
        pieces.append(
            Piece(
                f"people.{number:02}", "people", f"{one.who}, {one.number}", one.station, mass_kg, station.arm_m,
                station.lateral_arm_m, spec=spec,
            )
        )  # fmt: skip
    return pieces


def person_mass_kg(aircraft: Aircraft, people: People) -> float:
    """Return the mass of one of a group of people: as written, else what the aircraft file plans with."""
    if people.mass_kg is not None:
        return people.mass_kg
    if aircraft.people is None:
        raise PlanError(
            "no mass is given and the aircraft file has no passenger mass", where=f"load people {people.who}",
            expected="the mass of each of them", hint="write a mass, such as 195 lb",
        )  # fmt: skip
    return aircraft.people.passenger_mass_kg


def _crew_pieces(mission: Mission) -> list[Piece]:
    aircraft = mission.aircraft
    seats = {position.name: position for position in aircraft.crew}
    stations = {station.name: station for station in aircraft.balance.stations}
    pieces = []
    for number, member in enumerate(mission.crew, 1):
        where = f"crew, {member.position}"
        if member.position not in seats:
            raise PlanError(
                f"the {aircraft.name} has no seat for a {member.position}", where=where,
                expected="one of: " + ", ".join(seats),
            )  # fmt: skip
        mass_kg = member.mass_kg if member.mass_kg is not None else aircraft.balance.crew_mass_kg
        if mass_kg is None:
            raise PlanError(
                "no mass is given and the aircraft file has no crew mass", where=where,
                expected="the mass of each crew member", hint="write a mass for this position, such as 190 lb",
            )  # fmt: skip
        seat = seats[member.position]
        station = stations[seat.station]
        moved = stations[seat.take_off_station] if seat.take_off_station else None
        pieces.append(
            Piece(
                f"crew.{number:02}",
                "crew",
                f"{member.position}, {member.name}",
                station.name,
                mass_kg,
                station.arm_m,
                station.lateral_arm_m,
                (moved.name, moved.arm_m, moved.lateral_arm_m) if moved else None,
                spec=f"crew.{member.position}.mass" if member.mass_kg is not None else "aircraft:balance.crew mass",
            )
        )
    return pieces


def item_pieces(mission: Mission, bays: Mapping[str, str]) -> tuple[Piece, ...]:
    """Return the load items in the bays named here; an item not named stands where the mission puts it."""
    known = {LANDING, *run_labels(mission)}
    pieces = []
    for number, item in enumerate(mission.items, 1):
        if item.leaves not in known:
            raise PlanError(
                f"it leaves with '{item.leaves}', which no run of the route carries", where=f"load item {item.name}",
                expected="one of: " + ", ".join(sorted(known)),
            )  # fmt: skip
        place = bays.get(item.name) or item.bay or ""
        arm_m, lateral_m = item_place(mission.aircraft, item, place)
        leaves = "" if item.leaves == LANDING else item.leaves
        pieces.append(
            Piece(
                f"item.{number:02}",
                "item",
                item.name,
                place,
                item.mass_kg,
                arm_m,
                lateral_m,
                leaves=leaves,
                spec=f"load.items[{number - 1}].mass",
            )
        )
    return tuple(pieces)


def zero_fuel_mass_kg(mission: Mission) -> float:
    """Return the mass of everything but the fuel, wherever the load is put."""
    return math.fsum(piece.mass_kg for piece in fixed_pieces(mission)) + math.fsum(i.mass_kg for i in mission.items)


def run_labels(mission: Mission) -> tuple[str, ...]:
    """Return the labels of the runs on which something leaves, in the order they are flown."""
    actions = [item for item in mission.route.items if isinstance(item, Action)]
    return tuple(run.leaves for action in actions for run in action.runs if run.leaves)


def door_of(aircraft: Aircraft, bay: Bay) -> Door | None:
    """Return the door that opens into a bay."""
    return next((door for door in aircraft.balance.doors if door.name == bay.door), None)


def bay_named(aircraft: Aircraft, name: str) -> Bay | None:
    """Return a bay by its name, None when the name is a station's."""
    return next((bay for bay in aircraft.balance.bays if bay.name == name), None)


def why_not(aircraft: Aircraft, item: LoadItem, bay: Bay) -> str:
    """Return why an item may not stand in a bay whatever else is in it, empty when it may."""
    door = door_of(aircraft, bay)
    if item.mass_kg > bay.mass_limit_kg:
        return "heavier than the bay may carry"
    if item.leaves != LANDING and (door is None or not door.opens_in_flight):
        return "no door of the bay opens in flight"
    if item.length_m is None or item.width_m is None:
        over = running_load(item.mass_kg, bay.to_arm_m - bay.from_arm_m) > bay.running_limit_kg_per_m
        return "too heavy for the length of the bay" if over else ""
    if too_large := _too_large(item, bay):
        return too_large
    if door is not None and not _passes(item, door):
        return f"does not pass the {door.name}"
    if floor_loading(item.mass_kg, item.length_m, item.width_m) > bay.floor_limit_kg_per_m2 * (1 + _ROUND_OFF_RATIO):
        return "too heavy for the floor it stands on"
    if running_load(item.mass_kg, item.length_m) > bay.running_limit_kg_per_m * (1 + _ROUND_OFF_RATIO):
        return "too heavy for the length it stands on"
    return ""


def _too_large(item: LoadItem, bay: Bay) -> str:
    sides = (
        ("long", item.length_m, bay.to_arm_m - bay.from_arm_m),
        ("wide", item.width_m, bay.width_m),
        ("high", item.height_m, bay.height_m),
    )
    return next((f"too {word} for the bay" for word, size, room in sides if not _within(size, room)), "")


def _passes(item: LoadItem, door: Door) -> bool:
    """Return whether an item goes through a door on its way in and out, turned about its upright axis if need be.

    Through a side door its narrow side and its height have to pass, through a belly door its length and its width.
    """
    narrow_m, long_m = sorted(side for side in (item.length_m, item.width_m) if side is not None)
    if door.side == "belly":
        short_m, wide_m = sorted((door.width_m, door.height_m))
        return _within(narrow_m, short_m) and _within(long_m, wide_m)
    return _within(narrow_m, door.width_m) and _within(item.height_m, door.height_m)


def _within(size_m: float | None, room_m: float) -> bool:
    return size_m is None or size_m <= room_m * (1.0 + _ROUND_OFF_RATIO)


def bay_capacity_kg(bay: Bay) -> float:
    """Return what a bay may carry in all: its own limit or that of its running length, the smaller."""
    return min(bay.mass_limit_kg, bay.running_limit_kg_per_m * (bay.to_arm_m - bay.from_arm_m))


def bay_area_m2(bay: Bay) -> float:
    """Return the floor area of a bay."""
    return (bay.to_arm_m - bay.from_arm_m) * bay.width_m


def footprint_m2(item: LoadItem) -> float:
    """Return the floor an item covers; nothing is known of one without a size."""
    return item.length_m * item.width_m if item.length_m is not None and item.width_m is not None else 0.0


def neighbours(aircraft: Aircraft, bay: Bay) -> frozenset[str]:
    """Return a bay and the next ones fore and aft of it, by name."""
    ordered = sorted(aircraft.balance.bays, key=middle_arm_m)
    place = ordered.index(bay)
    return frozenset(other.name for other in ordered[max(0, place - 1) : place + 2])


def in_the_way(aircraft: Aircraft, bay: Bay) -> frozenset[str]:
    """Return the bays, by name, that stand between a bay and the door its load leaves by."""
    door = door_of(aircraft, bay)
    if door is None:
        return frozenset()
    away_m = middle_arm_m(bay) - door.arm_m
    return frozenset(
        other.name
        for other in aircraft.balance.bays
        if (middle_arm_m(other) - door.arm_m) * away_m >= 0.0 and abs(middle_arm_m(other) - door.arm_m) < abs(away_m)
        and other is not bay
    )  # fmt: skip


def leaving_rank(item: LoadItem, labels: Sequence[str]) -> int:
    """Return in which order an item leaves; what stays until landing comes last."""
    return labels.index(item.leaves) if item.leaves in labels else len(labels)


def conflicts(mission: Mission, bays: Mapping[str, str]) -> list[tuple[str, str, str]]:
    """Return the pairs of items that may not stand as they do, each with the reason."""
    aircraft, labels = mission.aircraft, run_labels(mission)
    found = []
    placed = [(item, bay) for item in mission.items if (bay := bay_named(aircraft, bays[item.name])) is not None]
    for item, bay in placed:
        blocked = in_the_way(aircraft, bay) if item.leaves != LANDING else frozenset()
        for other, other_bay in placed:
            if other_bay.name in blocked and leaving_rank(other, labels) > leaving_rank(item, labels):
                found.append((item.name, other.name, "stands behind a load that leaves later"))
    for number, (item, bay) in enumerate(placed):
        close = neighbours(aircraft, bay)
        for other, other_bay in placed[number + 1 :]:
            if apart(item, other) and other_bay.name in close:
                found.append((item.name, other.name, "different dangerous classes in the same or the next bay"))
    return found


def apart(item: LoadItem, other: LoadItem) -> bool:
    """Return whether two items carry different dangerous classes (house rule: a bay between them)."""
    return bool(item.dangerous and other.dangerous and item.dangerous != other.dangerous)


def bay_mass_kg(items: Iterable[LoadItem], bays: Mapping[str, str], bay: Bay) -> float:
    """Return the mass of all items in a bay."""
    return math.fsum(item.mass_kg for item in items if bays[item.name] == bay.name)
