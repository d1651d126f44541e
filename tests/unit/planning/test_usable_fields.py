"""Whether a field can be landed on at a time: lights by night, weather against its minima, a runway that holds her landing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from briefgen.aircraft.factory import fields_for
from briefgen.aircraft.fields import Strip
from briefgen.model.mission import Mission
from briefgen.model.performance import Air
from briefgen.model.places import Minima, Place
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.usable import UsableFields
from tests.shared.demo_missions import mission_of

NIGHT = datetime(2027, 2, 17, 17, 0, tzinfo=UTC)  # 04:00 at the field
BEFORE_THE_STRATUS = datetime(2027, 2, 17, 19, 0, tzinfo=UTC)
IN_THE_STRATUS = datetime(2027, 2, 17, 21, 0, tzinfo=UTC)
MASS_KG = 20_500.0


@pytest.fixture(scope="module")
def mission() -> Mission:
    return mission_of("cedar-lantern")


@pytest.fixture(scope="module")
def usable(mission: Mission) -> UsableFields:
    return UsableFields(mission, Sky(mission.weather, mission.places))


def field(mission: Mission, *, lights: str | None = None, length_m: float | None = None) -> Place:
    """Return the destination, lit or long otherwise; another length makes it another place, so that no answer is kept."""
    place = mission.route.destination
    runways = tuple(
        replace(one, lights=one.lights if lights is None else lights, length_m=length_m or one.length_m)
        for one in place.runways
    )
    return replace(place, runways=runways)


def test_a_lit_field_serves_at_night_and_an_unlit_one_does_not(mission: Mission, usable: UsableFields) -> None:
    assert usable.why_not(field(mission), NIGHT, MASS_KG) == ""
    assert usable.why_not(field(mission, lights="none"), NIGHT, MASS_KG) == "it has no lights at night"


def test_a_runway_serves_that_holds_the_landing_over_six_tenths_and_no_shorter_one(mission: Mission) -> None:
    """The landing is worked out here by itself, in still air of the hour, in which showers are forecast: the field's wind is a head wind one way at least."""
    sky = Sky(mission.weather, mission.places)
    place = mission.route.destination
    air = sky.air(place.lat_deg, place.lon_deg, 30.0, NIGHT)
    fields = fields_for(mission.aircraft, mission.fuel_grade)
    needed_m = [
        fields.landing(MASS_KG, Strip(runway, Air(60.0, air.temperature_k), 0.0, wet=True)).distance_m / 0.6
        for runway in place.runways
    ]

    long_enough = field(mission, length_m=1.03 * max(needed_m))
    too_short = field(mission, length_m=0.85 * min(needed_m))
    assert UsableFields(mission, sky).why_not(long_enough, NIGHT, MASS_KG) == ""
    assert "too short to land on" in UsableFields(mission, sky).why_not(too_short, NIGHT, MASS_KG)


def test_a_heavier_aircraft_wants_a_longer_runway(mission: Mission) -> None:
    sky = Sky(mission.weather, mission.places)
    lengths = [
        length_m
        for length_m in range(600, 2600, 50)
        if not UsableFields(mission, sky).why_not(field(mission, length_m=float(length_m)), NIGHT, 18_000.0)
    ]
    shortest = min(lengths)

    assert UsableFields(mission, sky).why_not(field(mission, length_m=float(shortest)), NIGHT, 28_000.0)


def test_a_field_is_shut_by_the_stratus_only_while_it_lies_there(mission: Mission, usable: UsableFields) -> None:
    place = replace(field(mission), minima=Minima(150.0, 800.0))

    assert usable.why_not(place, BEFORE_THE_STRATUS, MASS_KG) == ""
    assert "under its minima" in usable.why_not(place, IN_THE_STRATUS, MASS_KG)


def test_a_field_of_which_no_weather_is_known_does_not_serve(mission: Mission, usable: UsableFields) -> None:
    strange = replace(field(mission), ident="XX99", lat_deg=-40.0)

    assert usable.why_not(strange, NIGHT, MASS_KG) == "no weather is known there"


def test_charts_without_a_landing_do_not_call_a_field_long_enough() -> None:
    """What the charts do not give is not guessed from the length of another runway."""
    charted = mission_of("plumb-line")
    book = charted.aircraft.charts
    assert book is not None
    silent = replace(book, charts={name: chart for name, chart in book.charts.items() if name != "landing"})
    sky = Sky(charted.weather, charted.places)
    instant = charted.weather.surface[0].instant
    place = charted.route.origin
    mute = replace(charted, aircraft=replace(charted.aircraft, charts=silent))

    assert UsableFields(mute, sky).why_not(place, instant, 2_500.0) == "no landing distance is known there"


def test_rain_that_is_forecast_wants_the_runway_of_a_wet_one(mission: Mission) -> None:
    """Showers are forecast there until 18:00: a runway just long enough when dry does not serve within an hour of them."""
    fair = replace(
        mission.weather,
        forecasts=tuple(
            replace(told, groups=tuple(replace(one, weather=None) for one in told.groups))
            for told in mission.weather.forecasts
        ),
    )
    dry, wet = Sky(fair, mission.places), Sky(mission.weather, mission.places)
    lengths = [float(length_m) for length_m in range(600, 2600, 25)]
    shortest = min(
        one for one in lengths if not UsableFields(mission, dry).why_not(field(mission, length_m=one), NIGHT, MASS_KG)
    )

    just = field(mission, length_m=shortest + 25.0)
    assert "too short to land on" in UsableFields(mission, wet).why_not(just, NIGHT, MASS_KG)
    assert UsableFields(mission, wet).why_not(just, BEFORE_THE_STRATUS, MASS_KG) == ""
