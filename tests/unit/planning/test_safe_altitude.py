"""The minimum safe altitude at every moment of the flight: what is below it, what lets her be, and cold air."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from briefgen.errors import SpecError
from briefgen.kernel.altimetry import cold_temperature_correction
from briefgen.model.mission import Hold, Mission
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.safe_altitude import LowPoint, cold_correction, low_points, low_points_of_way
from briefgen.spec import read_mission
from tests.shared.demo_missions import plan_of
from tests.shared.missions_beyond import plan_beyond
from tests.shared.timed_missions import SPECS

FT_M = 0.3048


def edited(folder: Path, *changes: tuple[str, str]) -> Mission:
    """Return the demo with changes of its text."""
    copy = folder / "specs"
    shutil.copytree(SPECS, copy)
    file = copy / "cedar-lantern.yaml"
    text = file.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    file.write_text(text, encoding="utf-8")
    return read_mission(file)


@pytest.fixture(scope="module")
def mission() -> Mission:
    return read_mission(SPECS / "cedar-lantern.yaml")


def points_of(mission: Mission) -> dict[str, LowPoint]:
    sortie = fly(mission)
    return {point.phase.ident: point for point in low_points(sortie.mission, sortie.phases, sortie.crew.sky)}


def without_procedures(mission: Mission) -> Mission:
    items = tuple(replace(item, procedure="") for item in mission.route.items)
    return replace(mission, route=replace(mission.route, items=items))


def finding_of(plan: Plan) -> tuple[str, str]:
    found = next(one for one in plan.findings if one.title == "Minimum safe altitude")
    return found.outcome, found.text


def test_a_hold_below_the_safe_altitude_of_the_leg_to_it_fails(mission: Mission) -> None:
    """3,100 ft above the overcast where the leg there asks for 6,700 ft: nothing is seen of the ground."""
    hold = points_of(without_procedures(mission))["hold-lx01"]

    assert round(hold.altitude_m / FT_M) == 3100
    assert round(hold.wanted_m / FT_M) == 6700
    assert not hold.kept
    assert "Stratus over Harrow Point" in hold.against


def test_the_review_fails_it_and_passes_by_the_procedures_that_the_mission_names(mission: Mission) -> None:
    outcome, text = finding_of(plan_mission(without_procedures(mission)))
    assert outcome == "fail"
    assert "the ground is not in sight" in text

    outcome, text = finding_of(plan_mission(mission))
    assert outcome == "pass"
    assert "by Harrow hold and approach 14" in text


def test_a_hold_inside_stratus_fails(tmp_path: Path) -> None:
    low = edited(
        tmp_path,
        ("altitude: 500 ft above overcast", 'altitude: "1,500 ft"'),
        ("      procedure: Harrow hold and approach 14\n", ""),
    )

    assert finding_of(plan_mission(low))[0] == "fail"


def test_by_day_with_the_ground_in_sight_she_may_be_below() -> None:
    points = points_of(read_mission(SPECS / "mudlark.yaml"))
    below = [point for point in points.values() if point.altitude_m < point.wanted_m]

    assert {point.phase.kind for point in below} == {"climb", "descent", "approach"}
    assert all(point.because == "in sight of the ground" for point in below)


def test_cold_air_raises_what_is_asked_for(mission: Mission) -> None:
    """ICAO Doc 8168: 5,000 ft above the source at -30 degC at sea level wants 950 ft more (table: 950, formula within 20)."""

    class Cold:
        def air(self, *where: object) -> object:
            return type("Air", (), {"temperature_k": 243.15})()

    node = replace(fly(mission).phases[5].end, pressure_altitude_m=0.0)
    found = cold_correction(node, 5000.0 * FT_M, Cold())  # type: ignore[arg-type]

    assert found == cold_temperature_correction(5000.0 * FT_M, 0.0, 243.15)
    assert found / FT_M == pytest.approx(950.0, abs=20.0)


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('altitude: "8,500 ft"', 'altitude: "100 ft"', "the level '100 ft' is below the ground at LX01"),
        (
            'safe altitude: "3,400 ft"',
            'safe altitude: "100 ft"',
            "the minimum safe altitude '100 ft' is below the ground at LX01",
        ),
    ],
)
def test_a_level_or_a_safe_altitude_below_the_ground_is_refused_at_its_line(
    tmp_path: Path, old: str, new: str, problem: str
) -> None:
    with pytest.raises(SpecError) as raised:
        edited(tmp_path, (old, new))

    (fault,) = raised.value.faults
    line = (tmp_path / "specs" / "cedar-lantern.yaml").read_text(encoding="utf-8").splitlines()[fault.line - 1]
    assert problem in fault.problem
    assert new in line


@pytest.mark.parametrize("zone", ["localtime", "Factory", "posixrules"])
def test_a_zone_that_is_no_place_is_refused(tmp_path: Path, zone: str) -> None:
    with pytest.raises(SpecError, match=f"'{zone}' is not a time zone"):
        edited(tmp_path, ("zone: Pacific/Efate", f"zone: {zone}"))


def test_the_hold_keeps_its_procedure(mission: Mission) -> None:
    hold = next(item for item in mission.route.items if isinstance(item, Hold))

    assert hold.procedure == "Harrow hold and approach 14"


def way_to_the_alternate(name: str, procedure: str = "") -> list[LowPoint]:
    """Return the lowest points of the way to the first alternate of a mission, by a published procedure or without one."""
    plan = plan_of(name) if name == "paper-kite" else plan_beyond(name)
    alternate = replace(plan.mission.alternates[0], procedure=procedure)
    sortie = fly(plan.mission)
    phases = next(one.phases for one in sortie.diversions if one.ident == alternate.place.ident)
    return low_points_of_way(plan.mission, alternate, phases, sortie.crew.sky)


def test_the_descent_and_the_circuit_of_an_alternate_are_held_to_its_safe_altitude() -> None:
    """Kestrel Landing reports less than 5 km: nothing but a published procedure lets her below 6,700 ft there."""
    low = {point.phase.kind: point for point in way_to_the_alternate("paper-kite")}

    assert low["cruise"].kept
    for kind in ("descent", "approach"):
        assert not low[kind].kept
        assert low[kind].altitude_m < 1_200 * FT_M < 6_700 * FT_M <= low[kind].wanted_m
        assert "visibility at LX04" in low[kind].against
    assert all(point.kept for point in way_to_the_alternate("paper-kite", "instrument approach 12"))


def test_the_review_fails_a_descent_to_an_alternate_with_nothing_in_sight() -> None:
    outcome, text = finding_of(plan_of("paper-kite"))

    assert outcome == "fail"
    assert "Descent on the way to the alternate" in text


def test_cold_air_raises_what_the_way_to_an_alternate_asks_for() -> None:
    """At -31 degC the field is 46 degrees colder than standard; Doc 8168's rule of thumb is 4 % for every ten: 18 %."""
    plan = plan_beyond("winter-departure")
    safe_m = plan.mission.alternates[0].safe_height_m
    assert safe_m is not None

    wanted = {point.phase.kind: point.wanted_m for point in way_to_the_alternate("winter-departure")}
    assert wanted["approach"] / safe_m == pytest.approx(1.184, abs=0.02)
    assert wanted["cruise"] > 1.05 * safe_m
