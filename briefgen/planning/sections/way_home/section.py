"""Always a way home: fuel to return and to each field along the flight, the last moments to decide, equal time."""

from __future__ import annotations

from briefgen.errors import BriefgenError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartPoint, Event, Finding, Series
from briefgen.planning.flight.flying import Crew
from briefgen.planning.flight.fuel_policy import ON_THE_GROUND
from briefgen.planning.flight.refuges import OUT_OF_USE, Refuge, TurningPoint, WayHome, refuges_of
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.spots import Spot, spots_of
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.way_home.equal_time import write_equal_time
from briefgen.planning.sections.way_home.spots import SPOT_COLUMNS, write_spot
from briefgen.planning.sections.way_home.waiting import write_waiting

DECIDERS = ("captain", "co-pilot", "navigator", "flight engineer")
HOW_LEVEL = (
    "level to overhead, no lower than she is, at the indicated speed of the phase or the alternate's own (that of climb where it "
    "is not to be had), forecast winds on the way, falling weight; approach fuel added, descent not credited"
)
HOW_SOLVED = "where fuel left equals fuel needed, solved along the flight with the falling weight; " + HOW_LEVEL
KEPT = "; final reserve and unusable fuel kept"
NOTE = (
    "Reserve and unusable fuel are kept in every figure but 'to go on'. Each way is level to overhead with the forecast winds, "
    "approach fuel added and the descent not credited, so it errs to the safe side."
)


def write_way_home(
    mission: Mission, crew: Crew, flown: Flown, writer: LedgerWriter
) -> tuple[list[Event], list[Finding], dict[str, ChartData]]:
    """Enter the ways home at every place, every last moment to decide and the equal-time points."""
    landing = next(phase for phase in reversed(flown.phases) if phase.kind == "approach")
    home = WayHome(
        mission, crew, flown, flown.reserve.fuel_kg + writer.number("fuel.required.unusable"), landing.fuel_burn_kg,
        writer.number("fuel.required.island") if "fuel.required.island" in writer else 0.0,
    )  # fmt: skip
    spots = spots_of(flown.phases, len(mission.route.items))
    refuges = refuges_of(mission, crew, flown, spots)
    writer.put(
        "way_home.held_back", "Final reserve and unusable fuel", home.held_back_kg, "lb", method="never planned to be used",
        inputs=("fuel.required.final_reserve", "fuel.required.unusable"),
    )  # fmt: skip
    needed = {refuge.key: [home.needed_or_none(spot, refuge) for spot in spots] for refuge in refuges}
    _write_places(home, spots, refuges, needed, writer)
    events: list[Event] = []
    rows: list[Row] = []
    marks: list[ChartPoint] = []
    for refuge in refuges:
        _write_crossings(home, spots, refuge, needed[refuge.key], writer, events, rows, marks)
    if rows:
        writer.table("way_home.moments", "Last moments to decide", SPOT_COLUMNS, rows, HOW_SOLVED + KEPT + ".")
    events += write_waiting(home, refuges, writer, HOW_SOLVED)
    more_events, findings = write_equal_time(mission, crew, spots, writer)
    chart = _chart(home, spots, refuges, needed, tuple(marks))
    return events + more_events, findings, {"way_home": chart}


# --- at every place -------------------------------------------------------------------------------------------------


def _write_places(
    home: WayHome, spots: tuple[Spot, ...], refuges: tuple[Refuge, ...], needed: dict[str, list[float | None]],
    writer: LedgerWriter,
) -> None:  # fmt: skip
    """Enter fuel left, fuel to go on and fuel to every refuge at each place of the flight."""
    columns = [
        Column("left", "Fuel left", "US gal"),
        Column("onward", "To go on", "US gal"),
        Column("least", "Least to continue", "US gal"),
    ]
    columns += [Column(refuge.key, f"To {refuge.what} {refuge.place.name}", "US gal") for refuge in refuges]
    places = {place.ident: place.name for place in home.mission.places}
    rows = []
    for index, spot in enumerate(spots):
        if not spot.phase.place or spot.node is not spot.phase.end or spot.phase.kind == "climb":
            continue
        cells = _write_onward(home, spot, writer)
        for refuge in refuges:
            cells[refuge.key] = _write_needed(home, spot, refuge, needed[refuge.key][index], writer)
        rows.append(Row(f"{spot.phase.title}: {places.get(spot.phase.place, '')}", cells))
    writer.table("way_home.points", "Way home from each place", tuple(columns), rows, NOTE)


def _write_onward(home: WayHome, spot: Spot, writer: LedgerWriter) -> dict[str, str]:
    """Enter the fuel to go on to landing, and the least with which to go on at all."""
    phase, key, density = phase_key(spot.phase.ident), _at(spot), home.mission.fuel.density_kg_per_m3
    landed = next(p for p in reversed(home.flown.phases) if p.kind == "approach")
    away_kg = max((diversion.fuel_kg for diversion in home.flown.diversions), default=home.instead_of_alternate_kg)
    onward_kg = spot.node.fuel_kg - landed.end.fuel_kg
    onward = writer.put(
        f"{key}.onward", f"{spot.phase.title}: fuel to go on to landing", onward_kg / density, "US gal",
        method="fuel left here less fuel left after landing, as planned", inputs=(f"{phase}.fuel_remaining_volume",),
    )  # fmt: skip
    away = "fuel.required.alternate" if home.flown.diversions else "fuel.required.island"
    least = writer.put(
        f"{key}.least", f"{spot.phase.title}: least fuel to continue",
        (onward_kg + away_kg + home.held_back_kg) / density, "US gal",
        method="to go on, then the alternate or the island reserve, final reserve and unusable fuel; no contingency",
        inputs=(onward, *((away,) if away in writer else ()), "way_home.held_back"),
    )  # fmt: skip
    return {"left": f"{phase}.fuel_remaining_volume", "onward": onward, "least": least}


def _at(spot: Spot) -> str:
    return f"way_home.at.{spot.phase.ident}"


def _write_needed(home: WayHome, spot: Spot, refuge: Refuge, needed_kg: float | None, writer: LedgerWriter) -> str:
    """Enter the fuel to a refuge, or in words why it cannot be had from here."""
    key = f"{_at(spot)}.{refuge.key.removeprefix('way_home.')}"
    label = f"{spot.phase.title}: fuel to {refuge.what} {refuge.place.name}, reserve kept"
    inputs = (f"{phase_key(spot.phase.ident)}.mass", "way_home.held_back")
    if needed_kg is not None:
        volume = needed_kg / home.mission.fuel.density_kg_per_m3
        return writer.put(key, label, volume, "US gal", method=HOW_LEVEL + KEPT, inputs=inputs)
    if not refuge.serves(spot):
        return writer.put(key, label, "not from here", method="outside the part of the route it is listed for")
    try:
        home.needed(spot, refuge)
    except BriefgenError as error:
        return writer.put(key, label, f"none: {error.problem}", method=HOW_LEVEL, inputs=inputs)
    raise AssertionError("a way that could not be flown was flown")


# --- last moments ---------------------------------------------------------------------------------------------------


def _write_crossings(
    home: WayHome, spots: tuple[Spot, ...], refuge: Refuge, needed: list[float | None], writer: LedgerWriter,
    events: list[Event], rows: list[Row], marks: list[ChartPoint],
) -> None:  # fmt: skip
    """Enter every point where a refuge goes out of reach or comes back into reach."""
    values = [
        OUT_OF_USE if need is None else spot.node.fuel_kg - need for spot, need in zip(spots, needed, strict=True)
    ]
    density, name = home.mission.fuel.density_kg_per_m3, refuge.place.name
    for number, point in enumerate(home.turning_points(spots, refuge, values), start=1):
        key, spot = f"{refuge.key}.crossing.{number:02d}", point.spot
        word = _word(point, refuge, number)
        write_spot(density, spot, key, word, HOW_SOLVED + KEPT, writer)
        rows.append(Row(word, {column.name: f"{key}.{column.name}" for column in SPOT_COLUMNS}))
        marks.append(ChartPoint(word, spot.node.distance_m, spot.node.fuel_kg / density, f"{key}.time"))
        text = f"{word}: {{{key}.distance}} run, {{{key}.latitude}} {{{key}.longitude}}, fuel {{{key}.fuel_volume}}"
        events.append(Event(f"{key}.time", "decision", spot.phase.ident, DECIDERS, text, spot.phase.place))
    usable = [value for value in values if value > OUT_OF_USE]
    if usable:
        writer.put(
            f"{refuge.key}.least_spare", f"Least fuel in hand to {refuge.what} {name}", min(usable), "lb",
            method="least over the whole flight of fuel left less fuel needed; " + HOW_LEVEL, inputs=("way_home.held_back",),
        )  # fmt: skip


def _word(point: TurningPoint, refuge: Refuge, number: int) -> str:
    name = refuge.place.name
    if point.as_listed:
        return f"{name} serves no further" if point.closing else f"{name} serves from here"
    if point.closing:
        return f"Last moment to {refuge.what} {name}"
    return f"{name} is within reach" + ("" if number == 1 else " again")


# --- the picture ----------------------------------------------------------------------------------------------------


def _chart(
    home: WayHome, spots: tuple[Spot, ...], refuges: tuple[Refuge, ...], needed: dict[str, list[float | None]],
    marks: tuple[ChartPoint, ...],
) -> ChartData:  # fmt: skip
    density = home.mission.fuel.density_kg_per_m3

    def series(name: str, label: str, fuel_kg: list[float | None]) -> Series:
        points = tuple(
            (spot.node.distance_m, fuel / density)
            for spot, fuel in zip(spots, fuel_kg, strict=True)
            if fuel is not None
        )
        return Series(name, label, "NM", "US gal", points)

    curves = [series("left", "Fuel left", [spot.node.fuel_kg for spot in spots])]
    landed = next(phase for phase in reversed(home.flown.phases) if phase.kind not in ON_THE_GROUND).end.fuel_kg
    away_kg = max((diversion.fuel_kg for diversion in home.flown.diversions), default=home.instead_of_alternate_kg)
    kept_kg = away_kg + home.held_back_kg - landed
    curves.append(series("least", "Least to continue", [spot.node.fuel_kg + kept_kg for spot in spots]))
    for refuge in refuges:
        if any(fuel is not None for fuel in needed[refuge.key]):
            curves.append(series(refuge.key, f"Needed to {refuge.what} {refuge.place.name}", needed[refuge.key]))
    return ChartData(
        "way_home", "Fuel left and fuel needed", "Distance run", "NM", "Fuel", "US gal", tuple(curves), points=marks
    )
