"""The pieces of flight on the demo freighter: the change of mixture is a node, and the step does not decide the answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from briefgen.aircraft.factory import performance_of
from briefgen.errors import PlanError
from briefgen.kernel.constants import LB_KG, NMI_M
from briefgen.model.handling import InstrumentResolution
from briefgen.model.mission import Mission
from briefgen.model.performance import IndicatedAirspeed, LongRange
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight import flying
from briefgen.planning.flight.route import line_between
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.sortie import Departure, fly_sortie
from briefgen.planning.flight.steps import Crew, Level
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS, plan_of

MPH = 0.44704  # m/s, exact
FT = 0.3048  # m, exact
HALF_A_POUND = 0.5 * LB_KG
STEP_RATIO = 1e-3  # issue of the trade: halving the step may change trip fuel by less than 0.1 %
TOP_M = 10_000 * FT


@pytest.fixture(scope="module")
def mission() -> Mission:
    return read_mission(SPECS / "cedar-lantern.yaml")


@pytest.fixture(scope="module")
def crew(mission: Mission) -> Crew:
    return Crew(performance_of(mission.aircraft, mission.fuel_grade), Sky(mission.weather, mission.places))


def state(mission: Mission, mass_lb: float) -> Node:
    """Return the aircraft over the origin at 10,000 ft at a weight, with fuel enough for anything."""
    origin = mission.route.origin
    instant = datetime(2027, 2, 17, 17, 0, tzinfo=UTC)
    return Node(instant, origin.lat_deg, origin.lon_deg, 0.0, TOP_M, TOP_M, mass_lb * LB_KG, 9_000 * LB_KG, 0.0)


def waiting(crew: Crew, mission: Mission, mass_lb: float, hours: float) -> Phase:
    level = Level(TOP_M, True)
    target = IndicatedAirspeed(160 * MPH)
    return flying.hold(
        crew, state(mission, mass_lb), target, level, hours * 3600.0, 0.0, item=None, title="waiting", place="LX01"
    )


def test_the_weight_at_which_lean_is_permitted_is_a_node(mission: Mission, crew: Crew) -> None:
    """At 160 mph and 10,000 ft she goes from rich to lean between 57,000 and 55,500 lb: one node, at the very weight."""
    phase = waiting(crew, mission, 56_800, 2.0)
    changes = [
        (node, before, after)
        for (_, before), (node, after) in zip(phase.settings, phase.settings[1:], strict=False)
        if before.mixture != after.mixture
    ]
    assert [(before.mixture, after.mixture) for _, before, after in changes] == [("rich", "lean")]
    node, before, after = changes[0]
    air = before.air  # of the step that ends at the node
    target = IndicatedAirspeed(160 * MPH)

    assert crew.performance.cruise(node.mass_kg + HALF_A_POUND, air, target).mixture == "rich"
    assert crew.performance.cruise(node.mass_kg - HALF_A_POUND, air, target).mixture == "lean"
    assert before.fuel_flow_kg_per_s / after.fuel_flow_kg_per_s > 1.08


def test_the_flow_is_never_averaged_across_the_change(mission: Mission, crew: Crew) -> None:
    """Waiting two hours in one go burns what waiting in forty pieces burns."""
    whole = waiting(crew, mission, 56_800, 2.0)
    here, level, burnt = state(mission, 56_800), Level(TOP_M, True), 0.0
    for _ in range(40):
        piece = flying.hold(
            crew, here, IndicatedAirspeed(160 * MPH), level, 180.0, 0.0, item=None, title="waiting", place="LX01"
        )
        burnt += piece.fuel_burn_kg
        here = piece.end

    assert whole.fuel_burn_kg == pytest.approx(burnt, rel=STEP_RATIO)


def test_halving_the_steps_changes_trip_fuel_by_less_than_a_thousandth(
    mission: Mission, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The midpoint method has converged at the steps in use.

    Flown with gauges that show a tenth of a turn: on whole steps of real ones the flow is a staircase over the weight, which
    other steps meet elsewhere (0.15 % of the trip), and that is how she is set and not an error of the method.
    """
    fine_gauges = InstrumentResolution(engine_speed_rpm=0.1, manifold_pressure_pa=10.0)
    aircraft = replace(mission.aircraft, instrument_resolution=fine_gauges)
    crew = Crew(performance_of(aircraft, mission.fuel_grade), Sky(mission.weather, mission.places))
    first = plan_of("cedar-lantern").phases[0].start
    departure = Departure(first.instant, first.mass_kg - first.fuel_kg, first.fuel_kg)
    coarse = fly_sortie(mission, crew, departure)
    for name in ("CRUISE_STEP_S", "HOLD_STEP_S", "CLIMB_STEP_M"):
        monkeypatch.setattr(flying, name, getattr(flying, name) / 2.0)
    fine = fly_sortie(mission, crew, departure)

    burnt = [phases[0].start.fuel_kg - phases[-1].end.fuel_kg for phases in (coarse, fine)]
    assert burnt[0] == pytest.approx(burnt[1], rel=STEP_RATIO)


def test_a_heavier_aircraft_climbs_longer_and_burns_more(mission: Mission, crew: Crew) -> None:
    """Common practice, no published source: time and fuel to height rise with weight."""
    to = next(place for place in mission.places if place.ident == "MARLIN")
    climbs = []
    for mass_lb in (44_000, 50_000, 56_000):
        low = replace(state(mission, mass_lb), pressure_altitude_m=300.0, altitude_m=300.0)
        line = line_between("LX01", low.lat_deg, low.lon_deg, to, 0.0).extended()
        climbs.append(flying.change_height(crew, low, line, Level(TOP_M, True), item=None, title="climb"))

    assert climbs[0].duration_s < climbs[1].duration_s < climbs[2].duration_s
    assert climbs[0].fuel_burn_kg < climbs[1].fuel_burn_kg < climbs[2].fuel_burn_kg


def test_a_descent_is_placed_back_so_that_it_ends_at_its_point(mission: Mission, crew: Crew) -> None:
    """The last phase of the leg to the target ends over it, at the height of the passes."""
    plan = plan_of("cedar-lantern")
    down = next(phase for phase in plan.phases if phase.kind == "descent" and phase.place == "SADDLE")
    target = next(place for place in mission.places if place.ident == "SADDLE")

    assert (down.end.lat_deg, down.end.lon_deg) == pytest.approx((target.lat_deg, target.lon_deg), abs=1e-7)
    assert down.end.altitude_m == pytest.approx(900 * FT, abs=0.1)


def test_a_leg_too_short_to_climb_in_is_refused(mission: Mission, crew: Crew) -> None:
    """30 NM do not take her from the field to 10,000 ft: the message says how far the climb goes."""
    from briefgen.planning.flight.sortie import fly_leg

    leg = next(item for item in mission.route.items if hasattr(item, "to"))
    high = replace(leg, height=replace(leg.height, value_m=16_000 * FT))
    low = replace(state(mission, 56_000), pressure_altitude_m=100.0, altitude_m=100.0)
    line = replace(line_between("LX01", low.lat_deg, low.lon_deg, leg.to, 0.0), length_m=30 * NMI_M)

    with pytest.raises(PlanError, match=r"too short to climb in: it is 30 NM long"):
        fly_leg(crew, low, line, high, 0, "leg.01", None)


def test_an_empty_tank_ends_the_plan(mission: Mission, crew: Crew) -> None:
    """Fuel that runs out on the way is an error that names the phase, not a negative figure."""
    dry = replace(state(mission, 46_000), fuel_kg=100.0)
    with pytest.raises(PlanError, match="the fuel is gone before the end of: waiting"):
        flying.hold(crew, dry, LongRange(), Level(TOP_M, True), 7200.0, 0.0, item=None, title="waiting", place="LX01")
