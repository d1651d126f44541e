"""What the author wrote, as the first figures of the plan, and the weight the sortie starts with."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import Action, Alternate, Height, HeightChange, Hold, Leg, LoadItem, Mission, RouteItem
from briefgen.model.places import Place, Terrain
from briefgen.model.record import Absent, Record, Sum, figure, given, note, rests_on, total
from briefgen.planning.keys import alternate_key, item_keys, place_key
from briefgen.planning.loading import fixed_pieces
from briefgen.planning.tanks import measured_density_kg_per_m3
from briefgen.planning.writer import AIRSPEED, LedgerWriter

HEIGHT_REFERENCES = {
    "altitude": "on the altimeter setting in force",
    "pressure": "on the standard setting",
    "above field": "above the field",
    "above overcast": "above the top of the overcast",
}
NOT_WRITTEN = "not written in the mission"


class Allowances(Record):
    """The time the crew is given for what is not flown by weight."""

    at = "times"

    def __init__(self, mission: Mission) -> None:
        self._times = mission.times

    @given("Start engines", "min", spec="times.start")
    def start(self) -> float:
        return self._times.start_s

    @given("Taxi out", "min", spec="times.taxi out")
    def taxi_out(self) -> float:
        return self._times.taxi_out_s

    @given("Run-up", "min", spec="times.run-up")
    def run_up(self) -> float:
        return self._times.run_up_s

    @given("Take-off to first power reduction", "min", spec="times.take-off lasts")
    def take_off(self) -> float:
        return self._times.take_off_lasts_s

    @given("Approach and landing", "min", spec="times.approach")
    def approach(self) -> float:
        return self._times.approach_s

    @given("Taxi in", "min", spec="times.taxi in")
    def taxi_in(self) -> float:
        return self._times.taxi_in_s

    @given("Shutdown", "min", spec="times.shutdown")
    def shutdown(self) -> float:
        return self._times.shutdown_s

    @given("Briefing before stations", "min", spec="times.briefing before stations")
    def briefing(self) -> float:
        return self._times.briefing_before_stations_s

    @given("Stations before start", "min", spec="times.stations before start")
    def stations(self) -> float:
        return self._times.stations_before_start_s

    @given("First power reduction, above the field", "ft", spec="times.first reduction")
    def first_reduction_height(self) -> float:
        return self._times.first_reduction_height_m


class WeatherWritten(Record):
    """The weather file that every wind and temperature rests on."""

    at = "weather"

    def __init__(self, mission: Mission) -> None:
        self._mission = mission

    @given("Weather", spec="weather.file")
    def file(self) -> str:
        return self._mission.weather.name


class SpeedCard(Record):
    """The indicated airspeeds that the aircraft file gives for whole phases."""

    at = "speed"

    def __init__(self, mission: Mission) -> None:
        self._speeds = mission.aircraft.speeds

    @given("Speed in the climb", AIRSPEED, spec="aircraft:speeds.climb")
    def climb(self) -> float:
        return self._speeds.climb_m_per_s

    @given("Speed in the descent", AIRSPEED, spec="aircraft:speeds.descent")
    def descent(self) -> float:
        return self._speeds.descent_m_per_s

    @given("Speed in the approach", AIRSPEED, spec="aircraft:speeds.approach")
    def approach(self) -> float:
        return self._speeds.approach_m_per_s


class PlaceWritten(Record):
    """A place by its position."""

    def __init__(self, place: Place, writer: LedgerWriter) -> None:
        self.at, self.name, self._place = place_key(place.ident), place.name, place
        named = f"places:{place.ident}.position"
        self.spec = named if writer.origin(named) else f"points.{place.ident}.position"

    @given("%(name)s: latitude", "latitude", spec="%(spec)s")
    def latitude(self) -> float:
        return self._place.lat_deg

    @given("%(name)s: longitude", "longitude", spec="%(spec)s")
    def longitude(self) -> float:
        return self._place.lon_deg


class PlaceFromPoint(Record):
    """A point that lies at a bearing and a distance from another, which stands before it."""

    HOW = "bearing and distance along the shortest line from the point before; magnetic with the variation there"

    def __init__(self, place: Place) -> None:
        assert place.offset is not None
        self.at, self.name, self._place, self._offset = place_key(place.ident), place.name, place, place.offset
        self.spec = f"points.{place.ident}"
        self.unit = "degM" if self._offset.magnetic else "degT"
        self._start = place_key(self._offset.from_ident)

    @given("%(name)s: bearing", "%(unit)s", spec="%(spec)s.bearing")
    def bearing(self) -> float:
        return self._offset.bearing_deg

    @given("%(name)s: distance", "NM", decimals=1, spec="%(spec)s.distance")
    def distance(self) -> float:
        return self._offset.distance_m

    def _rests(self, name: str) -> None:
        note(f"{self._start}.{name}")
        rests_on(self.bearing, self.distance)

    @figure("%(name)s: latitude", "latitude", how=HOW)
    def latitude(self) -> float:
        self._rests("latitude")
        return self._place.lat_deg

    @figure("%(name)s: longitude", "longitude", how=HOW)
    def longitude(self) -> float:
        self._rests("longitude")
        return self._place.lon_deg


class HeightWritten(Record):
    """What every item of the route has: the height it is flown at."""

    _height: Height
    path: str

    @property
    def height_label(self) -> str:
        """How the height is measured."""
        return f"Height, {HEIGHT_REFERENCES[self._height.reference]}"

    @given("%(height_label)s", "ft", spec="%(path)s.height")
    def height(self) -> float:
        return self._height.value_m


class StepWritten(HeightWritten):
    """A change of height on a leg."""

    def __init__(self, leg: str, number: int, change: HeightChange, path: str) -> None:
        self.at, self.path = f"{leg}.step.{number:02d}", f"{path}.steps[{number - 1}]"
        self._height, self._change = change.height, change

    @given("Step begins after", "NM", spec="%(path)s.after")
    def after(self) -> float:
        return self._change.after_m


class LegWritten(HeightWritten):
    """A leg as the author wrote it, with its safe altitude."""

    def __init__(self, key: str, leg: Leg, path: str, writer: LedgerWriter) -> None:
        self.at, self.path, self.to = key, path, leg.to.name
        self._height, self._leg = leg.height, leg
        self._cruise = _as_written(writer, f"{path}.cruise")

    @given("Cruise to %(to)s", spec="%(path)s.cruise")
    def cruise(self) -> str:
        return self._cruise

    @figure(
        "Run-in and run-out on the line to %(to)s", "NM", decimals=2,
        how="half of what the turn onto the next line is longer than the step across, at each end that has a turn; "
        "radius from true airspeed and bank, still air",
        source="L. E. Dubins, American Journal of Mathematics 79 (1957) 497-516",
    )  # fmt: skip
    def run_out(self) -> float:
        if not self._leg.run_out_m:
            raise Absent("no line of a survey")
        return self._leg.run_out_m

    def parts(self) -> Sequence[Record]:
        return [StepWritten(self.at, n, change, self.path) for n, change in enumerate(self._leg.changes, start=1)]


class SafeAltitudeWritten(Record):
    """The minimum safe altitude of a leg or of the way to an alternate, as the author wrote it."""

    def __init__(self, key: str, safe_m: float, path: str, to: str = "") -> None:
        self.at, self._safe_m, self.path = key, safe_m, path
        self.label = f"Minimum safe altitude to {to}" if to else "Minimum safe altitude"

    @given("%(label)s", "ft", spec="%(path)s.safe height")
    def safe_height(self) -> float:
        return self._safe_m


class SafeAltitudeOfTerrain(Record):
    """The minimum safe altitude of a leg, worked out from ground heights, and on what it rests."""

    def __init__(self, key: str, leg: Leg, terrain: Terrain) -> None:
        self.at, self._leg, self._terrain = key, leg, terrain
        self.to, self.origin = leg.to.name, f"terrain file of the mission: {terrain.source}"

    @given("Clearance over the terrain", "ft", spec="terrain.clearance")
    def terrain_clearance(self) -> float:
        return self._terrain.clearance_m

    @given("Corridor to either side", "NM", decimals=1, spec="terrain.corridor")
    def terrain_corridor(self) -> float:
        return self._terrain.corridor_m

    @figure(
        "Minimum safe altitude to %(to)s", "ft", source="%(origin)s",
        how="highest cell of the terrain file within the corridor and the clearance, rounded up to 100 ft; not from a chart",
    )  # fmt: skip
    def safe_height(self) -> float:
        rests_on(self.terrain_clearance, self.terrain_corridor)
        if self._leg.safe_height_m is None:
            raise Absent("the terrain file does not reach the leg")
        return self._leg.safe_height_m


class HoldWritten(HeightWritten):
    """A hold as the author wrote it."""

    def __init__(self, key: str, hold: Hold, path: str, writer: LedgerWriter) -> None:
        self.at, self.path, self.over = key, path, hold.at.name
        self._height, self._hold = hold.height, hold
        self._cruise = _as_written(writer, f"{path}.speed")

    @given("Planned hold", "min", spec="%(path)s.for")
    def time(self) -> float:
        return self._hold.duration_s

    @given("Bank in the hold", "deg", spec="%(path)s.bank")
    def bank(self) -> float:
        return self._hold.bank_deg

    @given("Speed of the hold over %(over)s", spec="%(path)s.speed")
    def cruise(self) -> str:
        return self._cruise


class ActionWritten(HeightWritten):
    """Passes over a place as the author wrote them."""

    def __init__(self, key: str, action: Action, path: str) -> None:
        self.at, self.path, self._height, self._action = key, path, action.height, action

    @given("Speed of the passes", AIRSPEED, spec="%(path)s.speed")
    def ias(self) -> float:
        return self._action.ias_m_per_s


class AlternateWritten(HeightWritten):
    """The way to an alternate as the author wrote it."""

    def __init__(self, number: int, alternate: Alternate, writer: LedgerWriter) -> None:
        self.at, self.path = alternate_key(alternate.place.ident), f"alternates[{number}]"
        self.to, self._height, self._alternate = alternate.place.name, alternate.height, alternate
        self._cruise = _as_written(writer, f"{self.path}.cruise")

    @given("Cruise to %(to)s", spec="%(path)s.cruise")
    def cruise(self) -> str:
        return self._cruise

    def parts(self) -> Sequence[Record]:
        safe_m = self._alternate.safe_height_m
        return [] if safe_m is None else [SafeAltitudeWritten(self.at, safe_m, self.path)]


class FuelWritten(Record):
    """The fuel as the author wrote it: grade, density, and how much."""

    at = "fuel"

    def __init__(self, mission: Mission) -> None:
        self._grade, self._fuel = mission.fuel_grade, mission.fuel
        self._by_temperature = mission.fuel.temperature_k is not None and mission.fuel.density_temperature_k is not None

    @given("Fuel grade", spec="aircraft.fuel grade")
    def grade(self) -> str:
        return self._grade

    def _only_by_temperature(self) -> None:
        if not self._by_temperature:
            raise Absent("the density is written as it is at the ramp")

    @given("Fuel density as measured", "lb/US gal", decimals=2, spec="load.fuel.density")
    def density_measured(self) -> float:
        self._only_by_temperature()
        return measured_density_kg_per_m3(self._fuel)

    @given("Temperature of that measurement", "degC", spec="load.fuel.density at")
    def density_temperature(self) -> float:
        self._only_by_temperature()
        return self._fuel.density_temperature_k or 0.0

    @given("Temperature of the fuel", "degC", spec="load.fuel.temperature")
    def temperature(self) -> float:
        self._only_by_temperature()
        return self._fuel.temperature_k or 0.0


class DensityWritten(Record):
    """The density of the fuel as it is at the ramp, written so."""

    at = "fuel"

    def __init__(self, mission: Mission) -> None:
        self._fuel = mission.fuel

    @given("Fuel density", "lb/US gal", decimals=2, spec="load.fuel.density")
    def density(self) -> float:
        return self._fuel.density_kg_per_m3


class DensityOfTemperature(Record):
    """The density of the fuel, taken from where it was measured to its own temperature."""

    at = "fuel"

    def __init__(self, mission: Mission, written: FuelWritten) -> None:
        self._fuel, self._written = mission.fuel, written

    @figure(
        "Fuel density", "lb/US gal", decimals=2, source="ASTM D1250-80, table 54B (coefficients from memory)",
        how="density as measured, taken to the temperature of the fuel by the volume factor for gasolines",
    )  # fmt: skip
    def density(self) -> float:
        rests_on(self._written.density_measured, self._written.density_temperature, self._written.temperature)
        return self._fuel.density_kg_per_m3


class RampFuel(Record):
    """Fuel at the ramp: a volume, and its weight."""

    at = "fuel"

    def __init__(self, mission: Mission, fuel_kg: float) -> None:
        self._mission, self._fuel_kg = mission, fuel_kg

    @figure("Fuel at the ramp", "lb", how="volume times density", volume="ramp_volume")
    def ramp(self) -> float:
        note(f"{self.at}.ramp_volume")
        note(DensityWritten.density.key)
        return self._fuel_kg


class RampFuelWritten(RampFuel):
    """Fuel at the ramp, written as a volume."""

    @given("Fuel at the ramp", "US gal", spec="load.fuel.at ramp")
    def ramp_volume(self) -> float:
        return self._fuel_kg / self._mission.fuel.density_kg_per_m3


class RampFuelRequired(RampFuel):
    """Fuel at the ramp, asked for as what is required and something more."""

    @given("Fuel over what is required", "US gal", spec="load.fuel.as required plus")
    def extra_volume(self) -> float:
        return self._mission.fuel.extra_m3

    @figure("Fuel at the ramp", "US gal", how="fuel required and the extra, settled with the weight it adds")
    def ramp_volume(self) -> float:
        rests_on(self.extra_volume)
        note(DensityWritten.density.key)
        return self._fuel_kg / self._mission.fuel.density_kg_per_m3


class ItemWritten(Record):
    """One item of the load."""

    def __init__(self, number: int, item: LoadItem) -> None:
        self.at, self.name, self.spec = f"load.{number:02d}", item.name, f"load.items[{number - 1}]"
        self._item = item

    @given("%(name)s", "lb", spec="%(spec)s.mass")
    def mass(self) -> float:
        return self._item.mass_kg


class Weights(Record):
    """What she weighs before a drop of fuel is in her."""

    at = "mass"

    def __init__(self, mission: Mission) -> None:
        self._mission = mission
        self.registration, self.people = mission.individual.registration, len(mission.crew)
        self._items = [ItemWritten(number, item) for number, item in enumerate(mission.items, start=1)]

    def parts(self) -> Sequence[Record]:
        return self._items

    @given("Basic weight of %(registration)s", "lb", spec="aircraft.individual")
    def basic(self) -> float:
        return self._mission.individual.basic_mass_kg

    @given("Removable equipment", "lb", spec="aircraft:balance.equipment[0].mass")
    def equipment(self) -> float:
        aboard = self._mission.aircraft.balance.equipment
        if not aboard:
            raise Absent("she has no removable equipment")
        return sum(piece.mass_kg for piece in aboard)

    @given("Crew of %(people)s", "lb", spec="aircraft:balance.crew mass")
    def crew(self) -> float:
        return sum(piece.mass_kg for piece in fixed_pieces(self._mission) if piece.kind == "crew")

    @total("Zero-fuel weight", "lb", how="basic weight, equipment, crew and load")
    def zero_fuel(self) -> Sum:
        own = [Weights.basic.of(self), Weights.equipment.of(self), Weights.crew.of(self)]
        return Sum([ref for ref in own if ref.there] + [ItemWritten.mass.of(item) for item in self._items])


def _as_written(writer: LedgerWriter, spec: str) -> str:
    origin = writer.origin(spec)
    return origin.text if origin else ""


class Written(Record):
    """Everything the author wrote that numbers rest on."""

    def __init__(self, mission: Mission, fuel_kg: float, writer: LedgerWriter) -> None:
        self.allowances = Allowances(mission)
        self.fuel = FuelWritten(mission)
        self.weights = Weights(mission)
        by_temperature = mission.fuel.temperature_k is not None and mission.fuel.density_temperature_k is not None
        required = mission.fuel.kind == "as required"
        self.ramp: RampFuel = (RampFuelRequired if required else RampFuelWritten)(mission, fuel_kg)
        self._parts: list[Record] = [
            self.allowances, self.fuel, WeatherWritten(mission), SpeedCard(mission),
            *(PlaceWritten(one, writer) if one.offset is None else PlaceFromPoint(one) for one in mission.places),
            DensityOfTemperature(mission, self.fuel) if by_temperature else DensityWritten(mission),
            self.ramp,
            self.weights,
        ]  # fmt: skip
        paths = list(mission.route.paths) or [f"route.legs[{n}]" for n in range(len(mission.route.items))]
        for key, item, path in zip(item_keys(mission.route.items), mission.route.items, paths, strict=True):
            self._parts += _item_records(mission, key, item, path, writer)
        self._parts += [AlternateWritten(n, alternate, writer) for n, alternate in enumerate(mission.alternates)]

    def parts(self) -> Sequence[Record]:
        return self._parts


def _item_records(mission: Mission, key: str, item: RouteItem, path: str, writer: LedgerWriter) -> list[Record]:
    """Return the records of one item of the route."""
    if isinstance(item, Hold):
        return [HoldWritten(key, item, path, writer)]
    if isinstance(item, Action):
        return [ActionWritten(key, item, path)]
    records: list[Record] = [LegWritten(key, item, path, writer)]
    if item.safe_height_m is not None and item.safe_from_terrain and mission.terrain is not None:
        records.append(SafeAltitudeOfTerrain(key, item, mission.terrain))
    elif item.safe_height_m is not None:
        records.append(SafeAltitudeWritten(key, item.safe_height_m, path, item.to.name))
    return records


def write_inputs(mission: Mission, fuel_kg: float, writer: LedgerWriter) -> Written:
    """Enter clock allowances, fuel, weights and the heights as written."""
    written = Written(mission, fuel_kg, writer)
    writer.adopt(written)
    return written
