"""Always a way home: fuel to return and to each alternate along the flight, the last moments to decide, equal time."""

from __future__ import annotations

from dataclasses import dataclass, replace

from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Hold, Mission
from briefgen.model.performance import IndicatedAirspeed
from briefgen.model.places import Place
from briefgen.model.plan import ChartData, Event, Phase, Series
from briefgen.planning import flying
from briefgen.planning.direct import Way, straight_way
from briefgen.planning.equal_time import write_equal_time
from briefgen.planning.flying import Crew
from briefgen.planning.keys import alternate_key, item_keys, phase_key
from briefgen.planning.schedule import Flown
from briefgen.planning.sortie import level_of
from briefgen.planning.spots import Spot, crossing, spots_of, write_spot
from briefgen.planning.writer import LedgerWriter

HOLD_TRIALS = 20
HOLD_TOLERANCE_S = 1.0
HOW_LEVEL = (
    "level to overhead at the height and indicated speed of the phase, forecast winds on the way, falling weight; "
    "approach fuel added, descent not credited"
)

HOW_SOLVED = "where fuel left equals fuel needed, solved along the flight with the falling weight; " + HOW_LEVEL


@dataclass(frozen=True)
class Refuge:
    """A field that can be flown to from anywhere: the field of departure or an alternate."""

    key: str
    place: Place
    height_m: float | None  # the alternate's own pressure altitude; None is the height she is at
    what: str


@dataclass(frozen=True)
class WayHome:
    """What the section needs at every point."""

    mission: Mission
    crew: Crew
    flown: Flown
    held_back_kg: float  # final reserve and unusable fuel: never planned to be used
    approach_kg: float

    def needed(self, spot: Spot, refuge: Refuge) -> float:
        """Return the fuel [kg] to reach a refuge from a spot and land there with reserve and unusable fuel left."""
        return self.way(spot, refuge).fuel_kg + self.approach_kg + self.held_back_kg

    def way(self, spot: Spot, refuge: Refuge) -> Way:
        """Return the straight way from a spot to a refuge."""
        height_m = max(spot.height_m, spot.node.pressure_altitude_m) if refuge.height_m is None else refuge.height_m
        if refuge.height_m is not None and spot.node.pressure_altitude_m > refuge.height_m:
            height_m = spot.node.pressure_altitude_m
        return straight_way(self.crew, spot.node, refuge.place, height_m, spot.ias_m_per_s)

    def spare(self, spot: Spot, refuge: Refuge) -> float:
        """Return fuel on board less fuel needed for a refuge [kg]."""
        return spot.node.fuel_kg - self.needed(spot, refuge)


def write_way_home(
    mission: Mission, crew: Crew, flown: Flown, writer: LedgerWriter
) -> tuple[list[Event], dict[str, ChartData]]:
    """Enter the ways home at every place, every last moment to decide and the equal-time points."""
    unusable = writer.number("fuel.required.unusable")
    landing = next(phase for phase in reversed(flown.phases) if phase.kind == "approach")
    home = WayHome(mission, crew, flown, flown.reserve.fuel_kg + unusable, landing.fuel_burn_kg)
    spots = spots_of(flown.phases)
    refuges = _refuges(mission, crew, spots)
    writer.put(
        "way_home.held_back", "Final reserve and unusable fuel", home.held_back_kg, "lb", method="never planned to be used",
        inputs=("fuel.required.final_reserve", "fuel.required.unusable"),
    )  # fmt: skip
    needed = {refuge.key: [home.needed(spot, refuge) for spot in spots] for refuge in refuges}
    _write_places(home, spots, refuges, needed, writer)
    events: list[Event] = []
    for refuge in refuges:
        events += _write_crossings(home, spots, refuge, needed[refuge.key], writer)
    events += _write_hold(home, refuges, writer)
    events += write_equal_time(mission, crew, spots, writer)
    return events, {"way_home": _chart(home, spots, refuges, needed)}


def _refuges(mission: Mission, crew: Crew, spots: tuple[Spot, ...]) -> tuple[Refuge, ...]:
    origin, destination = mission.route.origin, mission.route.destination
    found = (
        []
        if origin.ident == destination.ident and not spots
        else [Refuge("way_home.return", origin, None, "return to")]
    )
    for alternate in mission.alternates:
        node = spots[-1].node
        height_m = level_of(crew, alternate.height, alternate.place, node.instant).of(crew.sky, node)
        found.append(Refuge(f"way_home.{alternate_key(alternate.place.ident)}", alternate.place, height_m, "reach"))
    return tuple(found)


# --- at every place -------------------------------------------------------------------------------------------------


def _write_places(
    home: WayHome, spots: tuple[Spot, ...], refuges: tuple[Refuge, ...], needed: dict[str, list[float]],
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
    landed_kg = next(p for p in reversed(home.flown.phases) if p.kind == "approach").end.fuel_kg
    away_kg = max((diversion.fuel_kg for diversion in home.flown.diversions), default=0.0)
    rows = []
    for index, spot in enumerate(spots):
        if not spot.phase.place or spot.node is not spot.phase.end or spot.phase.kind == "climb":
            continue
        phase = phase_key(spot.phase.ident)
        key = f"way_home.at.{spot.phase.ident}"
        density = home.mission.fuel.density_kg_per_m3
        onward = spot.node.fuel_kg - landed_kg
        cells = {"left": f"{phase}.fuel_remaining_volume"}
        cells["onward"] = writer.put(
            f"{key}.onward", f"{spot.phase.title}: fuel to go on to landing", onward / density, "US gal",
            method="fuel left here less fuel left after landing, as planned", inputs=(f"{phase}.fuel_remaining_volume",),
        )  # fmt: skip
        cells["least"] = writer.put(
            f"{key}.least", f"{spot.phase.title}: least fuel to continue", (onward + away_kg + home.held_back_kg) / density,
            "US gal", method="to go on, then the alternate, reserve and unusable fuel", inputs=(f"{key}.onward", "way_home.held_back"),
        )  # fmt: skip
        for refuge in refuges:
            label = f"{spot.phase.title}: fuel to {refuge.what} {refuge.place.name}, reserve kept"
            cells[refuge.key] = writer.put(
                f"{key}.{refuge.key.removeprefix('way_home.')}", label, needed[refuge.key][index] / density, "US gal",
                method=HOW_LEVEL + "; final reserve and unusable fuel kept", inputs=(f"{phase}.mass", "way_home.held_back"),
            )  # fmt: skip
        rows.append(Row(f"{spot.phase.title}: {places.get(spot.phase.place, '')}", cells))
    writer.table(
        "way_home.points",
        "Way home from each place",
        tuple(columns),
        rows,
        "Reserve and unusable fuel are kept in every figure but 'to go on'.",
    )


# --- last moments ---------------------------------------------------------------------------------------------------


def _write_crossings(
    home: WayHome, spots: tuple[Spot, ...], refuge: Refuge, needed: list[float], writer: LedgerWriter
) -> list[Event]:
    """Enter every point where a refuge goes out of reach or comes back into reach."""
    events: list[Event] = []
    values = [spot.node.fuel_kg - need for spot, need in zip(spots, needed, strict=True)]
    place = refuge.place
    for number in range(1, len(spots)):
        before, after = values[number - 1], values[number]
        if (before >= 0.0) == (after >= 0.0):
            continue
        spot = crossing(lambda s: home.spare(s, refuge), spots[number - 1], spots[number])
        closing = before >= 0.0
        key = f"{refuge.key}.crossing.{len(events) + 1:02d}"
        word = f"Last moment to {refuge.what} {place.name}" if closing else f"{place.name} is within reach again"
        write_spot(home.mission.fuel.density_kg_per_m3, spot, key, word, HOW_SOLVED, writer)
        events.append(
            Event(
                f"{key}.time",
                "decision",
                spot.phase.ident,
                ("captain", "co-pilot", "navigator", "flight engineer"),
                f"{word}: {{{key}.distance}} run, fuel {{{key}.fuel_volume}}",
                spot.phase.place,
            )
        )
    least = min(range(len(spots)), key=lambda index: values[index])
    writer.put(
        f"{refuge.key}.least_spare", f"Least fuel in hand to {refuge.what} {place.name}", values[least], "lb",
        method="least over the whole flight of fuel left less fuel needed; " + HOW_LEVEL, inputs=("way_home.held_back",),
    )  # fmt: skip
    return events


# --- a closed destination -------------------------------------------------------------------------------------------


def _write_hold(home: WayHome, refuges: tuple[Refuge, ...], writer: LedgerWriter) -> list[Event]:
    """Enter how long each planned hold can be kept up with an alternate still in reach, past its planned end too."""
    events: list[Event] = []
    items = home.mission.route.items
    for phase in home.flown.phases:
        if phase.kind != "hold" or phase.item is None or not isinstance(items[phase.item], Hold):
            continue
        head = item_keys(items)[phase.item]
        for refuge in refuges:
            if refuge.height_m is None:
                continue
            spot = _leave_by(home, phase, refuge)
            key = f"{head}.leave_for.{refuge.place.ident.lower()}"
            if spot is None:
                continue
            label = f"Leave the hold for {refuge.place.name} by"
            write_spot(home.mission.fuel.density_kg_per_m3, spot, key, label, HOW_SOLVED, writer)
            waited = (spot.node.instant - phase.start.instant).total_seconds()
            writer.put(
                f"{key}.longest",
                f"Longest hold with {refuge.place.name} in reach",
                waited,
                "min",
                method="leave-by time less the beginning of the hold",
                inputs=(f"{key}.time", f"{phase_key(phase.ident)}.begin"),
            )
            events.append(
                Event(
                    f"{key}.time",
                    "decision",
                    phase.ident,
                    ("captain", "co-pilot", "navigator", "flight engineer", "radio operator"),
                    f"{label} now: fuel {{{key}.fuel_volume}}, {{{key}.longest}} after the hold began",
                    phase.place,
                )
            )
    return events


def _leave_by(home: WayHome, phase: Phase, refuge: Refuge) -> Spot | None:
    """Return the moment at which a hold kept up must be left for a refuge; None when it is never possible to stay."""
    setting = phase.settings[0][1]
    target, level = IndicatedAirspeed(setting.ias_m_per_s), flying.Level(phase.start.altitude_m, False)
    planned = home.mission.route.items[phase.item or 0]
    bank_deg = planned.bank_deg if isinstance(planned, Hold) else 0.0
    here = Spot(phase, phase.start, setting.ias_m_per_s, phase.start.pressure_altitude_m)
    if home.spare(here, refuge) < 0.0:
        return None
    spare = home.spare(here, refuge)
    for _ in range(HOLD_TRIALS):
        longest_s = max(HOLD_TOLERANCE_S, spare / setting.fuel_flow_kg_per_s)
        piece = flying.hold(
            home.crew, here.node, target, level, longest_s, bank_deg, item=None, title="waiting", place=phase.place
        )
        after = replace(here, node=piece.end)
        spare = home.spare(after, refuge)
        if spare < 0.0:
            return crossing(lambda s: home.spare(s, refuge), here, after)
        if spare / setting.fuel_flow_kg_per_s < HOLD_TOLERANCE_S:
            return after
        here = after
    return here


# --- the picture ----------------------------------------------------------------------------------------------------


def _chart(
    home: WayHome, spots: tuple[Spot, ...], refuges: tuple[Refuge, ...], needed: dict[str, list[float]]
) -> ChartData:
    density = home.mission.fuel.density_kg_per_m3

    def series(name: str, label: str, fuel_kg: list[float]) -> Series:
        points = tuple((spot.node.distance_m, fuel / density) for spot, fuel in zip(spots, fuel_kg, strict=True))
        return Series(name, label, "NM", "US gal", points)

    curves = [series("left", "Fuel left", [spot.node.fuel_kg for spot in spots])]
    for refuge in refuges:
        curves.append(series(refuge.key, f"Needed to {refuge.what} {refuge.place.name}", needed[refuge.key]))
    return ChartData("way_home", "Fuel left and fuel needed", "Distance run", "NM", "Fuel", "US gal", tuple(curves))
