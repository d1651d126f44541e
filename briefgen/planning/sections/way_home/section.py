"""Always a way home: fuel to return and to each field along the flight, the last moments to decide, equal time."""

from __future__ import annotations

from briefgen.model.plan import ChartData, ChartName, ChartPoint, Event, Finding, Series
from briefgen.planning.flight.fuel_policy import ON_THE_GROUND
from briefgen.planning.flight.home.refuges import Refuge, WayHome, refuges_of
from briefgen.planning.flight.home.spots import Spot, spots_of
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.fuel import FuelRequired, FuelSheet
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.way_home.equal_time import write_equal_time
from briefgen.planning.sections.way_home.moments import HOW_SOLVED, write_moments
from briefgen.planning.sections.way_home.places import HeldBack, write_places
from briefgen.planning.sections.way_home.waiting import write_waiting


def write_way_home(
    flown: Flown, log: Navigation, sheet: FuelSheet, writer: LedgerWriter
) -> tuple[list[Event], list[Finding], dict[ChartName, ChartData]]:
    """Enter the ways home at every place, every last moment to decide and the equal-time points."""
    mission, crew, required = flown.mission, flown.crew, sheet.required
    landing = next(phase for phase in reversed(flown.phases) if phase.kind == "approach")
    kept = HeldBack(required, _written_of_ways(writer))
    instead_kg = FuelRequired.island.or_none(required) or 0.0
    home = WayHome(mission, crew, flown, kept.held_back, landing.fuel_burn_kg, instead_kg)
    spots = spots_of(flown.phases, len(mission.route.items))
    refuges = refuges_of(mission, crew, flown, spots)
    writer.adopt(kept)
    needed = {refuge: [home.needed_or_none(spot, refuge) for spot in spots] for refuge in refuges}
    write_places(home, spots, needed, log, required, kept, writer)
    moments = write_moments(home, spots, needed, kept, log, writer)
    events = [moment.event() for moment in moments] + write_waiting(home, refuges, kept, log, HOW_SOLVED, writer)
    more_events, findings = write_equal_time(mission, crew, spots, kept, log, writer)
    chart = _chart(home, spots, needed, tuple(moment.mark() for moment in moments))
    return events + more_events, findings, {"way_home": chart}


def _written_of_ways(writer: LedgerWriter) -> tuple[str, ...]:
    """Return the keys of the heights and speeds that were written for the ways to fields, and the safe altitudes of the legs."""
    ends = (".height", ".cruise", ".safe_height")
    alternates = [key for key in writer.keys("alternate.") if key.count(".") == 2 and key.endswith(ends)]
    return (*alternates, *(key for key in writer.keys("leg.") if key.endswith(".safe_height")))


# --- the picture ----------------------------------------------------------------------------------------------------


def _chart(
    home: WayHome, spots: tuple[Spot, ...], needed: dict[Refuge, list[float | None]], marks: tuple[ChartPoint, ...]
) -> ChartData:
    density = home.mission.fuel.density_kg_per_m3

    def series(name: str, label: str, fuel_kg: list[float | None]) -> Series:
        points = tuple(
            (spot.node.distance_m, fuel / density)
            for spot, fuel in zip(spots, fuel_kg, strict=True)
            if fuel is not None
        )
        return Series(name, label, "NM", "US gal", points)

    curves = [series("left", "Fuel remaining", [spot.node.fuel_kg for spot in spots])]
    landed = next(phase for phase in reversed(home.flown.phases) if phase.kind not in ON_THE_GROUND).end.fuel_kg
    away_kg = max((diversion.fuel_kg for diversion in home.flown.diversions), default=home.instead_of_alternate_kg)
    kept_kg = away_kg + home.held_back_kg - landed
    curves.append(series("least", "Least to continue", [spot.node.fuel_kg + kept_kg for spot in spots]))
    for refuge, fuel in needed.items():
        if any(one is not None for one in fuel):
            curves.append(series(refuge.key, f"Needed to {refuge.what} {refuge.place.name}", fuel))
    return ChartData(
        "way_home",
        "Fuel remaining and fuel needed",
        "Distance run",
        "NM",
        "Fuel",
        "US gal",
        tuple(curves),
        points=marks,
    )
