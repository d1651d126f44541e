"""Whether a field can be landed on at a time: lights by night, weather against its minima, a runway long enough."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from briefgen.model.mission import Mission
from briefgen.model.places import Minima, Place
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.usable import unusable
from briefgen.spec import read_mission
from tests.shared.timed_missions import SPECS

NIGHT = datetime(2027, 2, 17, 17, 0, tzinfo=UTC)  # 04:00 at the field
BEFORE_THE_STRATUS = datetime(2027, 2, 17, 19, 0, tzinfo=UTC)
IN_THE_STRATUS = datetime(2027, 2, 17, 21, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def mission() -> Mission:
    return read_mission(SPECS / "cedar-lantern.yaml")


def field(mission: Mission, *, lights: str | None = None, length_m: float | None = None) -> Place:
    """Return the destination, lit or long otherwise."""
    place = mission.route.destination
    runways = tuple(
        replace(one, lights=one.lights if lights is None else lights, length_m=length_m or one.length_m)
        for one in place.runways
    )
    return replace(place, runways=runways)


def test_a_lit_field_serves_at_night_and_an_unlit_one_does_not(mission: Mission) -> None:
    sky = Sky(mission.weather, mission.places)

    assert unusable(mission, field(mission), NIGHT, sky) == ""
    assert unusable(mission, field(mission, lights="none"), NIGHT, sky) == "it has no lights at night"


def test_a_runway_shorter_than_any_landed_on_does_not_serve(mission: Mission) -> None:
    assert "shorter" in unusable(mission, field(mission, length_m=400.0), NIGHT, Sky(mission.weather, mission.places))


def test_a_field_is_shut_by_the_stratus_only_while_it_lies_there(mission: Mission) -> None:
    sky, place = Sky(mission.weather, mission.places), replace(field(mission), minima=Minima(150.0, 800.0))

    assert unusable(mission, place, BEFORE_THE_STRATUS, sky) == ""
    assert "under its minima" in unusable(mission, place, IN_THE_STRATUS, sky)


def test_a_field_of_which_no_weather_is_known_does_not_serve(mission: Mission) -> None:
    strange = replace(field(mission), ident="XX99", lat_deg=-40.0)

    assert unusable(mission, strange, NIGHT, Sky(mission.weather, mission.places)) == "no weather is known there"
