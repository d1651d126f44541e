"""Weather, daylight and oxygen of a small invented flight: a climb through a sheet of cloud, a cruise, and a landing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.model.aircraft import Fluid
from briefgen.model.curves import Curve
from briefgen.model.handling import AgainstCarburettorIce
from briefgen.model.mission import Leg
from briefgen.model.performance import Air, LongRange
from briefgen.model.places import Minima, Place, Runway
from briefgen.model.plan import Node, Phase
from briefgen.model.record import Record, figure
from briefgen.model.rules import Rule
from briefgen.model.weather import (
    AerodromeForecast,
    CloudLayer,
    CloudSheet,
    ForecastGroup,
    Sounding,
    SurfacePoint,
    TemperatureLevel,
    Weather,
    Wind,
    WindLevel,
    wind_vector,
)
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.field_uses import FieldUse
from briefgen.planning.sections.basis.phases import Chain, PhaseFigures, Roots
from briefgen.planning.sections.daylight import write_daylight
from briefgen.planning.sections.oxygen import write_oxygen
from briefgen.planning.sections.weather.section import write_weather

FT = 0.3048
KT = 1852.0 / 3600.0
TAKE_OFF = datetime(2027, 2, 17, 18, 0, tzinfo=UTC)
HOME = Place(
    "LX01", "Harrow Point", "aerodrome", -15.55, 167.2, 56.0,
    runways=(Runway("14", 140.0, 1800.0, 36.0, "paved", 0.0, 55.0, "none"),
             Runway("32", 320.0, 1800.0, 36.0, "paved", 0.0, 55.0, "none")),
    minima=Minima(180.0, 3000.0), circuit_height_m=300.0,
)  # fmt: skip
AWAY = replace(HOME, ident="LX04", name="Kestrel Landing", lat_deg=-22.1, lon_deg=166.333333)
ONE_SECOND = 1.0  # what two ephemerides with one definition of sunrise leave


def after(hours: float) -> datetime:
    return TAKE_OFF + timedelta(hours=hours)


def node(hours: float, part: float, altitude_ft: float) -> Node:
    """A node on the straight line from home to away, on the standard setting."""
    lat, lon = (a + (b - a) * part for a, b in ((HOME.lat_deg, AWAY.lat_deg), (HOME.lon_deg, AWAY.lon_deg)))
    height_m = altitude_ft * FT
    return Node(after(hours), lat, lon, part * 725_000.0, height_m, height_m, 20_000.0, 3_000.0, 80.0)


def phase(ident: str, kind: str, *nodes: Node) -> Phase:
    setting: Any = SimpleNamespace(
        ias_m_per_s=80.0, fuel_flow_kg_per_s=0.1, source="made by hand", air=Air(0.0, 270.0, icing=True), phase="climb",
        intercooler="hot", carburettor_heat=None, filters="on",
    )  # fmt: skip
    return Phase(ident, kind, kind.title(), 0, nodes, settings=((nodes[0], setting),))


PHASES = (
    phase("01-climb", "climb", node(0.0, 0.0, 200.0), node(0.5, 0.1, 11_000.0)),
    phase("02-cruise", "cruise", node(0.5, 0.1, 11_000.0), node(2.0, 0.9, 11_000.0)),
    phase("03-descent", "descent", node(2.0, 0.9, 11_000.0), node(2.5, 1.0, 500.0)),
)


def sounding(place: Place) -> Sounding:
    east, north = wind_vector(100.0, 20.0 * KT)
    heights = (0.0, 2000.0, 6000.0)
    return Sounding(
        place.ident, place.lat_deg, place.lon_deg, TAKE_OFF, after(-2), after(8),
        tuple(WindLevel(height, east, north) for height in heights),
        tuple(TemperatureLevel(height, 288.15 - 0.0065 * height + 10.0) for height in heights),
    )  # fmt: skip


def ground(place: Place, wind: Wind) -> SurfacePoint:
    return SurfacePoint(
        place.ident, place.lat_deg, place.lon_deg, TAKE_OFF, after(-3), after(8), 100_600.0, wind, 298.15, 294.15, 9000.0,
        (CloudLayer("scattered", 600.0),), source="weather.yaml:9",
    )  # fmt: skip


SHEET = CloudSheet("Stratus", HOME.lat_deg, HOME.lon_deg, 60_000.0, "overcast", 150.0, 900.0, after(-1), after(3))
BASE = ForecastGroup("base", after(-6), after(18), None, 10_000.0, (CloudLayer("overcast", 210.0),), text="base")
TEMPORARY = ForecastGroup("temporary", after(2), after(4), None, 1500.0, text="temporary")
FORECAST = AerodromeForecast("LX04", after(-7), after(-6), after(18), (BASE, TEMPORARY), "TAF LX04", "weather.yaml:5")
WEATHER = Weather(
    "Invented night", after(-7), after(-6), after(18), 100_000.0, (sounding(HOME), sounding(AWAY)),
    (ground(HOME, Wind(*wind_vector(120.0, 10.0 * KT), gust_m_per_s=20.0 * KT)), ground(AWAY, Wind(0.0, 0.0))),
    (FORECAST,), (SHEET,), file="weather.yaml",
)  # fmt: skip
RULES = (
    Rule("high", "oxygen", "Oxygen above 10,000 ft", "", "fail", "14 CFR 135.89(a)", "seen", {"above": 10_000 * FT, "allowed": 1800.0}),
    Rule("higher", "oxygen", "Oxygen above 12,000 ft", "", "fail", "14 CFR 135.89(a)", "seen", {"above": 12_000 * FT, "allowed": 0.0}),
)  # fmt: skip


class Began(Record):
    """Where a chain of phases begins, for phases that are made by hand."""

    def __init__(self, at: str, start: Node) -> None:
        self.at, self._start = at, start

    @figure("From", "UTC", how="made by hand")
    def instant(self) -> datetime:
        return self._start.instant

    @figure("Distance", "NM", how="made by hand")
    def distance(self) -> float:
        return self._start.distance_m

    @figure("Fuel", "lb", how="made by hand")
    def fuel(self) -> float:
        return self._start.fuel_kg

    @figure("Weight", "lb", how="made by hand")
    def mass(self) -> float:
        return self._start.mass_kg

    def chain(self) -> Chain:
        one = Began
        return Chain(one.instant.of(self), one.distance.of(self), one.fuel.of(self), one.mass.of(self))


class At(Record):
    """When a field is used, made by hand."""

    def __init__(self, at: str, instant: datetime) -> None:
        self.at, self._instant = at, instant

    @figure("At", "UTC", how="made by hand")
    def instant(self) -> datetime:
        return self._instant


def uses(*more: FieldUse) -> tuple[FieldUse, ...]:
    return (
        FieldUse("departure.lx01", "departure", HOME, HOME.runways[0], At.instant.of(At("time.take_off", TAKE_OFF))),
        FieldUse("lx04", "destination", AWAY, AWAY.runways[1], At.instant.of(At("time.landing", after(2.5)))),
        *more,
    )


def figures_of(asked: Any) -> tuple[PhaseFigures, ...]:
    nothing = Roots((), (), (), (), ())
    return tuple(PhaseFigures(asked, one, nothing, Began(f"began.{one.ident}", one.start).chain()) for one in PHASES)


def mission(**changes: Any) -> Any:
    leg = Leg(AWAY, SimpleNamespace(value_m=3000.0), LongRange(), 1000.0)  # type: ignore[arg-type]
    route = SimpleNamespace(origin=HOME, origin_runway="14", destination=AWAY, destination_runway="32", items=(leg,))
    aircraft = SimpleNamespace(
        name="Invented freighter",
        lever_order=SimpleNamespace(increasing=("filters", "intercooler")),
        carburettor_ice=AgainstCarburettorIce(("climb", "cruise", "descent"), "hot", None, None, None),
        model=None,
        fluids=(Fluid("oxygen", 9600.0, "L", 480.0, ""),),
    )
    given = {
        "weather": WEATHER,
        "route": route,
        "alternates": (),
        "aircraft": aircraft,
        "places": (HOME, AWAY),
        "fuel": SimpleNamespace(density_kg_per_m3=720.0),
        "people": (),
        "start": None,
        "rules": SimpleNamespace(rules=RULES),
    }
    return SimpleNamespace(**(given | changes))


def started_writer(*used: FieldUse) -> LedgerWriter:
    writer = LedgerWriter({})
    for one in used or uses():
        writer.adopt(one.time.record)
    for flown in figures_of(mission()):
        writer.adopt(flown)
    return writer


def written(**changes: Any) -> tuple[LedgerWriter, Any]:
    writer = started_writer()
    asked = mission(**changes)
    return writer, write_weather(asked, figures_of(asked), uses(), writer)


def cell(writer: LedgerWriter, table: str, row: int, column: str) -> Any:
    found: Mapping[str, str] = writer.tables[table].rows[row].cells
    return writer[found[column]].value


def test_a_climb_through_a_sheet_is_told_with_its_ice() -> None:
    """From 200 ft to 11,000 ft through cloud between 150 and 900 m in air of about 20 degC: carburettor ice is likely."""
    writer, weather = written()

    assert cell(writer, "weather.legs", 0, "cloud") == "through Stratus"
    assert cell(writer, "weather.legs", 0, "carburettor_ice") == "likely"
    assert cell(writer, "weather.legs", 0, "airframe_ice") == "cloud, but warmer"
    assert [event.phase for event in weather.events] == ["01-climb"]


def test_clear_of_cloud_no_airframe_ice_is_expected() -> None:
    """Cruise away from the sheet: clear, and only humid air could ice a carburettor."""
    writer, _ = written(weather=replace(WEATHER, sheets=()))

    assert cell(writer, "weather.legs", 1, "cloud") == "clear"
    assert cell(writer, "weather.legs", 1, "airframe_ice") == "no cloud forecast"
    assert cell(writer, "weather.legs", 1, "carburettor_ice") == "possible if humid"


def test_the_freezing_level_and_the_deviation_stand_beside_each_phase() -> None:
    """Ten kelvin warmer than standard: 0 degC at 25 / 6.5 km (U.S. Standard Atmosphere, 1976)."""
    writer, _ = written()

    assert cell(writer, "weather.legs", 1, "deviation") == pytest.approx(10.0, abs=1e-9)
    assert cell(writer, "weather.legs", 1, "freezing_level") == pytest.approx(25_000.0 / 6.5, abs=1e-6)
    assert cell(writer, "weather.legs", 1, "below_freezing_level") == pytest.approx(
        25_000.0 / 6.5 - 11_000.0 * FT, abs=1e-6
    )


def test_the_profile_gets_the_sheet_the_freezing_level_and_the_safe_altitude() -> None:
    """The sheet's box runs from the take-off to where the flight leaves it, 60 km out."""
    _, weather = written()
    charts = weather.charts

    (box,) = charts["profile"].areas
    assert min(x for x, _ in box.points) == 0.0
    assert 40_000.0 < max(x for x, _ in box.points) <= 60_500.0
    assert {curve.name for curve in charts["profile"].curves} == {"freezing level", "safe altitude"}


def test_wind_on_the_runway_in_use_counts_gusts() -> None:
    """120 degrees 10 kt gusting 20 on runway 140: half of 20 kt times sin 20 degrees more than the mean."""
    writer, _ = written()

    assert writer.number("weather.field.departure.lx01.crosswind") / KT == pytest.approx(6.84, abs=0.005)
    assert cell(writer, "weather.runways", 0, "crosswind") / KT == pytest.approx(3.42, abs=0.005)
    assert cell(writer, "weather.runways", 0, "side") == "left"
    assert cell(writer, "weather.runways", 1, "headwind") == pytest.approx(
        -cell(writer, "weather.runways", 0, "headwind")
    )


def test_minima_are_judged_with_and_without_the_temporary_changes() -> None:
    """A ceiling of 210 m and 10 km meets 180 m and 3 km; 1,500 m at times does not."""
    writer, _ = written()

    head = "weather.field.lx04"
    assert writer[f"{head}.minima"].value == "met, but not in temporary changes"
    assert (writer.number(f"{head}.ceiling"), writer.number(f"{head}.visibility")) == (210.0, 1500.0)


def test_entries_for_the_ground_stand_in_for_a_forecast() -> None:
    """No aerodrome forecast for home: scattered cloud is no ceiling, and 9 km meets the minima."""
    writer, _ = written()

    head = "weather.field.departure.lx01"
    assert (writer[f"{head}.ceiling"].value, writer[f"{head}.minima"].value) == ("none", "met")


def test_what_is_not_forecast_is_said_and_does_not_pass() -> None:
    """The forecast ends before the hour after the landing: nothing is assumed."""
    short = replace(FORECAST, valid_to=after(3))
    bare = tuple(replace(point, use_to=after(3)) for point in WEATHER.surface)
    writer, _ = written(weather=replace(WEATHER, forecasts=(short,), surface=bare))

    head = "weather.field.lx04"
    assert (writer[f"{head}.ceiling"].value, writer[f"{head}.minima"].value) == ("not forecast", "not forecast")


def test_density_altitude_counts_the_moisture() -> None:
    """Moist air is lighter: with the dew point the density altitude is higher than dry (FAA-H-8083-25, density altitude)."""
    moist, _ = written()
    dry_ground = tuple(replace(point, dew_point_k=None) for point in WEATHER.surface)
    dry, _ = written(weather=replace(WEATHER, surface=dry_ground))

    key = "weather.field.departure.lx01.density_altitude"
    assert moist.number(key) > dry.number(key) > moist.number("weather.field.departure.lx01.pressure_altitude")


def test_a_field_without_weather_stops_the_plan() -> None:
    """The message names the field and its use."""
    with pytest.raises(
        OutOfRangeError, match=r"Kestrel Landing \(destination\): the weather gives nothing for the ground"
    ):
        written(weather=replace(WEATHER, surface=WEATHER.surface[:1]))


def test_daylight_at_the_fields_agrees_with_an_independent_library() -> None:
    """Sunrise at both fields against ephem 4.2, upper limb, 34 minutes of refraction (class L); to a second."""
    import ephem

    writer = started_writer()
    write_daylight(mission(), figures_of(mission()), uses(), writer)

    for row, place in ((0, HOME), (1, AWAY)):
        observer = ephem.Observer()
        observer.lat, observer.lon = str(place.lat_deg), str(place.lon_deg)
        observer.pressure, observer.horizon = 0, "-0:34"
        observer.date = ephem.Date(after(-6).replace(tzinfo=None))
        sunrise = observer.next_rising(ephem.Sun()).datetime().replace(tzinfo=UTC)
        found = cell(writer, "daylight", row, "sunrise")
        assert abs((found - sunrise).total_seconds()) < ONE_SECOND
    assert writer["daylight.departure.lx01.light"].value == "night"
    assert writer["daylight.lx04.light"].value == "day"


def test_an_alternate_stands_behind_the_fields_of_the_route_at_its_own_time() -> None:
    """Every use has its own light, at the instant of its own figure."""
    third = replace(AWAY, ident="LX05", name="Third")
    reached = At.instant.of(At("alternate.lx05.01-cruise.end", after(4.0)))
    used = uses(FieldUse("lx05", "alternate", third, third.runways[0], reached))
    writer = started_writer(*used)

    write_daylight(mission(), figures_of(mission()), used, writer)

    assert cell(writer, "daylight", 2, "time") == after(4.0)


def test_oxygen_is_asked_for_all_the_time_above_the_lowest_height_that_asks() -> None:
    """11,000 ft for an hour and a half and a little of climb and descent: above 10,000 ft for 1 h 35 min; carried 20 h."""
    writer = started_writer()
    write_oxygen(mission(), PHASES, writer)

    climb_s = 1800.0 * 1000.0 / 10_800.0
    descent_s = 1800.0 * 1000.0 / 10_500.0
    assert writer.number("oxygen.required") == pytest.approx(5400.0 + climb_s + descent_s, abs=1e-6)
    assert writer.number("oxygen.available") == pytest.approx(20.0 * 3600.0, abs=1e-6)
    assert [row.mark for row in writer.tables["oxygen"].rows] == ["needed", ""]


def test_oxygen_goes_by_the_altitude_where_the_file_says_so() -> None:
    """The planned use at 10,000 ft, twice that at 12,000: an hour level at 11,000 ft counts as 1.5, at 11,500 as 1.75."""
    table = Curve("pressure altitude", "use per hour", (10_000.0 * FT, 12_000.0 * FT), (480.0, 960.0))
    aircraft = mission().aircraft
    aircraft.fluids = (replace(aircraft.fluids[0], use_per_hour_by_pressure_altitude_m=table),)
    for altitude_ft, hours in ((11_000.0, 1.5), (11_500.0, 1.75)):
        level = phase("01-cruise", "cruise", node(0.0, 0.0, altitude_ft), node(1.0, 0.5, altitude_ft))
        writer = started_writer()
        write_oxygen(mission(aircraft=aircraft), (level,), writer)

        assert writer.number("oxygen.required") == pytest.approx(hours * 3600.0)


def test_oxygen_above_the_table_of_use_is_refused() -> None:
    table = Curve("pressure altitude", "use per hour", (8_000.0 * FT, 10_500.0 * FT), (240.0, 480.0))
    aircraft = mission().aircraft
    aircraft.fluids = (replace(aircraft.fluids[0], use_per_hour_by_pressure_altitude_m=table),)
    writer = started_writer()

    with pytest.raises(OutOfRangeError, match="above the table of oxygen flow"):
        write_oxygen(mission(aircraft=aircraft), PHASES, writer)


def test_an_aircraft_without_a_supply_carries_none() -> None:
    """No oxygen among its fluids: the answer is zero, not unknown."""
    writer = started_writer()
    write_oxygen(mission(aircraft=SimpleNamespace(name="Bare", fluids=())), PHASES, writer)

    assert writer.number("oxygen.available") == 0.0


def test_cloud_that_is_only_forecast_counts_within_eight_kilometres_of_its_aerodrome() -> None:
    """Overcast at 210 m over the destination and no sheet written there: the descent goes through it, and is told so."""
    writer, _ = written(weather=replace(WEATHER, sheets=()))

    assert cell(writer, "weather.legs", 2, "cloud") == (
        "through overcast cloud forecast at Kestrel Landing, top not forecast"
    )
    assert cell(writer, "weather.legs", 2, "carburettor_ice") == "possible"
    assert cell(writer, "weather.legs", 2, "airframe_ice") == "cloud, but warmer"
    assert cell(writer, "weather.legs", 1, "cloud") == "clear"


def test_ice_is_told_at_the_minute_she_enters_the_cloud_with_the_lever_she_has() -> None:
    """From 200 ft at 10,800 ft in half an hour the base of 150 m (492 ft) is met 49 s after the climb begins."""
    writer, weather = written()

    climb = weather.events[0]
    entered = writer.instant(climb.time_key)
    assert (entered - TAKE_OFF).total_seconds() == pytest.approx((150.0 / FT - 200.0) / 10_800.0 * 1800.0, abs=0.01)
    assert "intercooler hot" in climb.text
    (finding,) = (one for one in weather.findings if one.ident == "carburettor-ice")
    assert finding.outcome == "caution"
    assert finding.margin_key == climb.time_key


def test_a_hold_inside_cloud_is_a_caution() -> None:
    """Half an hour at 1,500 ft inside stratus between 150 and 900 m is said, and no hold above it."""
    for altitude_ft, cautions in ((1_500.0, 1), (5_000.0, 0)):
        waiting = phase("01-hold", "hold", node(0.0, 0.0, altitude_ft), node(0.5, 0.0, altitude_ft))
        flown = PhaseFigures(mission(), waiting, Roots((), (), (), (), ()), Began("began", waiting.start).chain())
        writer = started_writer()
        writer.adopt(flown)

        weather = write_weather(mission(), (flown,), uses(), writer)

        assert len([one for one in weather.findings if one.ident.startswith("hold-in-cloud")]) == cautions
