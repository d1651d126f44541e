"""What the author wrote, as the first figures of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.model.mission import Leg, Mission
from briefgen.model.places import Place
from briefgen.model.record import Absent, Record, Ref, given
from briefgen.planning.flight.route import item_keys
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.handed_on import (
    DensityMixed,
    HandedOnFigures,
    RampFuelAhead,
    RampFuelHandedOn,
)
from briefgen.planning.sections.basis.written_load import (
    DensityOfTemperature,
    DensityWritten,
    FuelWritten,
    RampFuel,
    RampFuelRequired,
    RampFuelWritten,
    Weights,
)
from briefgen.planning.sections.basis.written_route import (
    AlternateWritten,
    HeightWritten,
    PlaceFromPoint,
    PlaceOfPattern,
    PlaceWritten,
    SafeAltitudeOfTerrain,
    SafeAltitudeWritten,
    item_records,
    pattern_keys,
)


class Allowances(Record):
    """The time the crew is given for what is not flown by weight."""

    at = "times"

    def __init__(self, mission: Mission) -> None:
        self._times = mission.times
        self._handed_on = mission.start is not None and mission.start.handed_on is not None

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

    @given("Take-off asked for", "UTC", spec="times.take-off at")
    def take_off_at(self) -> datetime:
        if self._handed_on:
            raise Absent("the take-off follows from the landing before")
        if self._times.take_off is None:
            raise Absent("the take-off is worked back from the time over a point")
        return self._times.take_off

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


class Written(Record):
    """Everything the author wrote that numbers rest on."""

    def __init__(self, mission: Mission, fuel_kg: float, writer: LedgerWriter) -> None:
        self.allowances = Allowances(mission)
        self.fuel = FuelWritten(mission)
        self.weights = Weights(mission)
        by_temperature = mission.fuel.temperature_k is not None and mission.fuel.density_temperature_k is not None
        handed_on = mission.start.handed_on if mission.start else None
        self.handed_on = HandedOnFigures(mission, handed_on) if handed_on else None
        self.ramp = _ramp(mission, fuel_kg, self.handed_on)
        if self.handed_on is not None:
            self.handed_on.of_ramp(self.ramp)
        lines = {
            item.to.ident: pattern_keys(mission, index)
            for index, item in enumerate(mission.route.items) if isinstance(item, Leg)
        }  # fmt: skip
        self._parts: list[Record] = [
            self.allowances, self.fuel, WeatherWritten(mission), SpeedCard(mission),
            *(_place(one, lines.get(one.ident, ()), writer) for one in mission.places),
            *([self.handed_on, DensityMixed(mission, self.handed_on)] if self.handed_on else
              [DensityOfTemperature(mission, self.fuel) if by_temperature else DensityWritten(mission)]),
            self.ramp,
            self.weights,
        ]  # fmt: skip
        paths = list(mission.route.paths) or [f"route.legs[{n}]" for n in range(len(mission.route.items))]
        for key, item, path in zip(item_keys(mission.route.items), mission.route.items, paths, strict=True):
            self._parts += item_records(mission, key, item, path, writer)
        self._parts += [AlternateWritten(n, alternate, writer) for n, alternate in enumerate(mission.alternates)]

    def parts(self) -> Sequence[Record]:
        return self._parts

    def height(self, head: str) -> Ref:
        """Return the height at which an item of the route is flown, by the head of its keys."""
        return next(
            HeightWritten.height.of(one) for one in self._parts if one.at == head and isinstance(one, HeightWritten)
        )

    def safe_height(self, head: str) -> Ref | None:
        """Return the minimum safe altitude of a leg by the head of its keys, None where none is known."""
        for one in (part for part in self._parts if part.at == head):
            if isinstance(one, SafeAltitudeWritten):
                return SafeAltitudeWritten.safe_height.of(one)
            if isinstance(one, SafeAltitudeOfTerrain):
                return SafeAltitudeOfTerrain.safe_height.of(one)
        return None


def _ramp(mission: Mission, fuel_kg: float, handed_on: HandedOnFigures | None) -> RampFuel:
    """Return the fuel at the ramp, by how it is known."""
    if handed_on is not None:
        return RampFuelHandedOn(mission, fuel_kg, handed_on)
    if mission.start is not None:
        return RampFuelAhead(mission, fuel_kg)
    return (RampFuelRequired if mission.fuel.kind == "as required" else RampFuelWritten)(mission, fuel_kg)


def _place(place: Place, shaped: Sequence[str], writer: LedgerWriter) -> Record:
    """Return a place as figures: by its position, from another point, or as the end of a line of a pattern."""
    if place.offset is None:
        return PlaceWritten(place, writer)
    written = writer.origin(f"points.{place.ident}.bearing") is not None
    return PlaceFromPoint(place) if written or not shaped else PlaceOfPattern(place, shaped)


def write_inputs(mission: Mission, fuel_kg: float, writer: LedgerWriter) -> Written:
    """Enter clock allowances, fuel, weights and the heights as written."""
    written = Written(mission, fuel_kg, writer)
    writer.adopt(written)
    return written
