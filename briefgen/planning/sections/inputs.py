"""What the author wrote, as the first entries of the ledger, and the weight the sortie starts with."""

from __future__ import annotations

from briefgen.model.mission import Action, FuelLoad, Height, Hold, Leg, Mission
from briefgen.model.places import Place, Terrain
from briefgen.planning.flight.idents import alternate_key, item_keys
from briefgen.planning.ledger.keys import place_key
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.load.pieces import fixed_pieces, zero_fuel_mass_kg
from briefgen.planning.load.tanks import measured_density_kg_per_m3

HEIGHT_REFERENCES = {
    "altitude": "on the altimeter setting in force",
    "pressure": "on the standard setting",
    "above field": "above the field",
    "above overcast": "above the top of the overcast",
}


def write_inputs(mission: Mission, fuel_kg: float, writer: LedgerWriter) -> None:
    """Enter clock allowances, fuel, weights and the heights as written."""
    times = mission.times
    for name, label, value, spec in (
        ("start", "Start engines", times.start_s, "start"),
        ("taxi_out", "Taxi out", times.taxi_out_s, "taxi out"),
        ("run_up", "Run-up", times.run_up_s, "run-up"),
        ("take_off", "Take-off to first power reduction", times.take_off_lasts_s, "take-off lasts"),
        ("approach", "Approach and landing", times.approach_s, "approach"),
        ("taxi_in", "Taxi in", times.taxi_in_s, "taxi in"),
        ("shutdown", "Shutdown", times.shutdown_s, "shutdown"),
        ("briefing", "Briefing before stations", times.briefing_before_stations_s, "briefing before stations"),
        ("stations", "Stations before start", times.stations_before_start_s, "stations before start"),
    ):
        writer.given(f"times.{name}", label, value, "min", spec=f"times.{spec}")
    _write_words(mission, writer)
    writer.given(
        "times.first_reduction_height", "First power reduction, above the field", times.first_reduction_height_m, "ft",
        spec="times.first reduction",
    )  # fmt: skip
    _write_weights(mission, fuel_kg, writer)
    for key, item, path in zip(item_keys(mission.route.items), mission.route.items, _item_paths(mission), strict=True):
        _write_height(f"{key}.height", item.height, f"{path}.height", writer)
        if isinstance(item, Leg):
            _write_leg(key, item, path, writer, mission.terrain)
            _write_word(f"{key}.cruise", f"Cruise to {item.to.name}", f"{path}.cruise", writer)
        elif isinstance(item, Hold):
            writer.given(f"{key}.time", "Planned hold", item.duration_s, "min", spec=f"{path}.for")
            writer.given(f"{key}.bank", "Bank in the hold", item.bank_deg, "deg", spec=f"{path}.bank")
            _write_word(f"{key}.cruise", f"Speed of the hold over {item.at.name}", f"{path}.speed", writer)
        elif isinstance(item, Action):
            writer.given(f"{key}.ias", "Speed of the passes", item.ias_m_per_s, AIRSPEED, spec=f"{path}.speed")
    for number, alternate in enumerate(mission.alternates):
        key, path = alternate_key(alternate.place.ident), f"alternates[{number}]"
        _write_height(f"{key}.height", alternate.height, f"{path}.height", writer)
        _write_word(f"{key}.cruise", f"Cruise to {alternate.place.name}", f"{path}.cruise", writer)
        if alternate.safe_height_m is not None:
            writer.given(
                f"{key}.safe_height", "Minimum safe altitude", alternate.safe_height_m, "ft", spec=f"{path}.safe height"
            )


def _write_word(key: str, label: str, spec: str, writer: LedgerWriter) -> None:
    """Enter a choice as it was written."""
    origin = writer.origin(spec)
    writer.given(key, label, origin.text if origin else "", spec=spec)


def _write_words(mission: Mission, writer: LedgerWriter) -> None:
    """Enter what numbers rest on without being numbers: fuel grade, weather file, speed card, places."""
    writer.given("fuel.grade", "Fuel grade", mission.fuel_grade, spec="aircraft.fuel grade")
    writer.given("weather.file", "Weather", mission.weather.name, spec="weather.file")
    speeds = mission.aircraft.speeds
    for name in ("climb", "descent", "approach"):
        value = getattr(speeds, f"{name}_m_per_s")
        writer.given(f"speed.{name}", f"Speed in the {name}", value, AIRSPEED, spec=f"aircraft:speeds.{name}")
    for place in mission.places:
        key = place_key(place.ident)
        if place.offset is not None:
            _write_offset(key, place, writer)
            continue
        for name, unit, value in (("latitude", "latitude", place.lat_deg), ("longitude", "longitude", place.lon_deg)):
            spec = f"places:{place.ident}.position"
            spec = spec if writer.origin(spec) else f"points.{place.ident}.position"
            writer.given(f"{key}.{name}", f"{place.name}: {name}", value, unit, spec=spec)


def _write_offset(key: str, place: Place, writer: LedgerWriter) -> None:
    """Enter a point that lies at a bearing and a distance from another, which stands before it."""
    offset = place.offset
    assert offset is not None
    start, spec, unit = place_key(offset.from_ident), f"points.{place.ident}", "degM" if offset.magnetic else "degT"
    bearing = writer.given(f"{key}.bearing", f"{place.name}: bearing", offset.bearing_deg, unit, spec=f"{spec}.bearing")
    distance = writer.given(
        f"{key}.distance", f"{place.name}: distance", offset.distance_m, "NM", decimals=1, spec=f"{spec}.distance"
    )
    how = "bearing and distance along the shortest line from the point before; magnetic with the variation there"
    for name, value in (("latitude", place.lat_deg), ("longitude", place.lon_deg)):
        inputs = (f"{start}.{name}", bearing, distance)
        writer.put(f"{key}.{name}", f"{place.name}: {name}", value, name, method=how, inputs=inputs)


def _item_paths(mission: Mission) -> list[str]:
    return list(mission.route.paths) or [f"route.legs[{number}]" for number in range(len(mission.route.items))]


def _write_height(key: str, height: Height, spec: str, writer: LedgerWriter) -> None:
    writer.given(key, f"Height, {HEIGHT_REFERENCES[height.reference]}", height.value_m, "ft", spec=spec)


def _write_leg(key: str, leg: Leg, path: str, writer: LedgerWriter, terrain: Terrain | None) -> None:
    if leg.run_out_m:
        writer.put(
            f"{key}.run_out", f"Run-in and run-out on the line to {leg.to.name}", leg.run_out_m, "NM", decimals=2,
            method="half of what the turn onto the next line is longer than the step across, at each end that has a turn; "
            "radius from true airspeed and bank, still air",
            source="L. E. Dubins, American Journal of Mathematics 79 (1957) 497-516",
        )  # fmt: skip
    if leg.safe_height_m is not None and leg.safe_from_terrain and terrain is not None:
        _write_terrain(key, leg, terrain, writer)
    elif leg.safe_height_m is not None:
        writer.given(
            f"{key}.safe_height",
            f"Minimum safe altitude to {leg.to.name}",
            leg.safe_height_m,
            "ft",
            spec=f"{path}.safe height",
        )
    for number, change in enumerate(leg.changes, start=1):
        step = f"{key}.step.{number:02d}"
        _write_height(f"{step}.height", change.height, f"{path}.steps[{number - 1}].height", writer)
        writer.given(
            f"{step}.after", "Step begins after", change.after_m, "NM", spec=f"{path}.steps[{number - 1}].after"
        )


def _write_terrain(key: str, leg: Leg, terrain: Terrain, writer: LedgerWriter) -> None:
    """Enter a safe height worked out from ground heights, and on what it rests."""
    clearance = writer.given(
        f"{key}.terrain_clearance", "Clearance over the terrain", terrain.clearance_m, "ft", spec="terrain.clearance"
    )
    corridor = writer.given(
        f"{key}.terrain_corridor",
        "Corridor to either side",
        terrain.corridor_m,
        "NM",
        decimals=1,
        spec="terrain.corridor",
    )
    writer.put(
        f"{key}.safe_height", f"Minimum safe altitude to {leg.to.name}", leg.safe_height_m or 0.0, "ft",
        method="highest cell of the terrain file within the corridor and the clearance, rounded up to 100 ft; not from a chart",
        inputs=(clearance, corridor), source=f"terrain file of the mission: {terrain.source}",
    )  # fmt: skip


def _write_density(fuel: FuelLoad, writer: LedgerWriter) -> None:
    """Enter the density of the fuel as written or, where its temperature is given, taken to that temperature."""
    spec, unit = "load.fuel.density", "lb/US gal"
    if fuel.temperature_k is None or fuel.density_temperature_k is None:
        writer.given("fuel.density", "Fuel density", fuel.density_kg_per_m3, unit, decimals=2, spec=spec)
        return
    inputs = (
        writer.given("fuel.density_measured", "Fuel density as measured", measured_density_kg_per_m3(fuel), unit,
                     decimals=2, spec=spec),
        writer.given("fuel.density_temperature", "Temperature of that measurement", fuel.density_temperature_k, "degC",
                     spec="load.fuel.density at"),
        writer.given("fuel.temperature", "Temperature of the fuel", fuel.temperature_k, "degC",
                     spec="load.fuel.temperature"),
    )  # fmt: skip
    writer.put(
        "fuel.density", "Fuel density", fuel.density_kg_per_m3, unit, decimals=2,
        method="density as measured, taken to the temperature of the fuel by the volume factor for gasolines",
        inputs=inputs, source="ASTM D1250-80, table 54B (coefficients from memory)",
    )  # fmt: skip


def _write_weights(mission: Mission, fuel_kg: float, writer: LedgerWriter) -> None:
    density = mission.fuel.density_kg_per_m3
    _write_density(mission.fuel, writer)
    if mission.fuel.kind == "as required":
        extra = writer.given(
            "fuel.extra_volume",
            "Fuel over what is required",
            mission.fuel.extra_m3,
            "US gal",
            spec="load.fuel.as required plus",
        )
        writer.put(
            "fuel.ramp_volume", "Fuel at the ramp", fuel_kg / density, "US gal",
            method="fuel required and the extra, settled with the weight it adds", inputs=(extra, "fuel.density"),
        )  # fmt: skip
    else:
        writer.given("fuel.ramp_volume", "Fuel at the ramp", fuel_kg / density, "US gal", spec="load.fuel.at ramp")
    parts = [
        writer.given(
            "mass.basic",
            f"Basic weight of {mission.individual.registration}",
            mission.individual.basic_mass_kg,
            "lb",
            spec="aircraft.individual",
        )
    ]
    aboard = mission.aircraft.balance.equipment
    if aboard:
        parts.append(
            writer.given(
                "mass.equipment",
                "Removable equipment",
                sum(piece.mass_kg for piece in aboard),
                "lb",
                spec="aircraft:balance.equipment[0].mass",
            )
        )
    people = sum(piece.mass_kg for piece in fixed_pieces(mission) if piece.kind == "crew")
    parts.append(
        writer.given("mass.crew", f"Crew of {len(mission.crew)}", people, "lb", spec="aircraft:balance.crew mass")
    )
    for number, item in enumerate(mission.items, start=1):
        parts.append(
            writer.given(
                f"load.{number:02d}.mass", item.name, item.mass_kg, "lb", spec=f"load.items[{number - 1}].mass"
            )
        )
    writer.put(
        "mass.zero_fuel",
        "Zero-fuel weight",
        zero_fuel_mass_kg(mission),
        "lb",
        method="basic weight, equipment, crew and load",
        inputs=tuple(parts),
    )
    writer.foot("mass.zero_fuel", tuple(parts))
