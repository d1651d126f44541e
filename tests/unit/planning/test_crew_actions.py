"""What the crew does in each phase is what the aircraft file says: levers, gear and flaps, in fuel flow, table and timeline."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from briefgen.aircraft.factory import performance_of
from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.errors import PlanError
from briefgen.kernel.sun import light_condition
from briefgen.model.handling import PhaseSetting
from briefgen.model.performance import IndicatedAirspeed, LongRange, PowerSetting
from briefgen.model.plan import Node, Phase, Plan
from briefgen.planning.flight.flying import height_step
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.steps import Crew
from tests.shared.demo_aircraft import INHG, LB, MPH, air, aircraft, performance
from tests.shared.demo_missions import NAMES, plan_edited, plan_of

MODELLED = ("cedar-lantern", "mudlark")
PATTERN_IAS = 138.0 * MPH
MASS_KG = 48000.0 * LB
AIR = air(1500.0)


def said(plan: Plan, name: str) -> PhaseSetting:
    return next(one for one in plan.mission.aircraft.phases if one.phase == name)


def approach_of(plan: Plan) -> Phase:
    return next(phase for phase in plan.phases if phase.kind == "approach")


def flown(plan: Plan) -> list[tuple[Phase, PowerSetting]]:
    return [(phase, setting) for phase in plan.phases for _, setting in phase.settings]


@pytest.mark.parametrize("name", MODELLED)
def test_no_engine_turns_slower_than_the_phase_lets_it(name: str) -> None:
    plan = plan_of(name)
    for phase, setting in flown(plan):
        least = said(plan, setting.phase).least_engine_speed_rpm
        assert setting.engine_speed_rpm is not None
        assert setting.engine_speed_rpm >= least - 1e-6, (phase.title, setting.phase)


@pytest.mark.parametrize("name", NAMES)
def test_an_approach_is_a_pattern_and_a_final_with_the_levers_of_the_file(name: str) -> None:
    plan = plan_of(name)
    settings = [setting for _, setting in approach_of(plan).settings]

    assert [setting.phase for setting in settings] == ["pattern", "final"]
    for setting in settings:
        want = said(plan, setting.phase)
        assert setting.boost_pumps == want.boost_pumps == "on"
        assert setting.mixture == want.mixture == "rich"
        if want.engine_speed_rpm is not None:
            assert setting.engine_speed_rpm == pytest.approx(want.engine_speed_rpm, abs=1e-6)


def test_gear_and_flaps_cost_fuel_in_the_pattern() -> None:
    """Half as much again as clean: gear and a third of flap are some 25 square feet on an aeroplane of about 40."""
    t4 = performance("t4-freighter", "100/130")
    clean = t4.cruise(MASS_KG, AIR, IndicatedAirspeed(PATTERN_IAS))
    pattern = t4.cruise(MASS_KG, AIR, IndicatedAirspeed(PATTERN_IAS), phase="pattern")

    assert pattern.power_w is not None
    assert clean.power_w is not None
    assert pattern.power_w > 1.2 * clean.power_w
    assert pattern.fuel_flow_kg_per_s > 1.2 * clean.fuel_flow_kg_per_s


def test_a_greater_least_engine_speed_is_flown_and_burns_more() -> None:
    """Friction grows with engine speed: the same power at more revolutions costs fuel."""
    t4 = aircraft("t4-freighter")
    faster = replace(
        t4,
        phases=tuple(
            replace(one, least_engine_speed_rpm=2000.0) if one.phase == "cruise" else one for one in t4.phases
        ),
    )
    slow = performance_of(t4, "100/130").cruise(MASS_KG, AIR, IndicatedAirspeed(PATTERN_IAS))
    fast = performance_of(faster, "100/130").cruise(MASS_KG, AIR, IndicatedAirspeed(PATTERN_IAS))

    assert slow.engine_speed_rpm is not None
    assert slow.engine_speed_rpm < 2000.0
    assert fast.engine_speed_rpm == pytest.approx(2000.0)
    assert fast.fuel_flow_kg_per_s > slow.fuel_flow_kg_per_s


def test_boost_pumps_go_on_at_the_height_of_the_file() -> None:
    t4 = performance("t4-freighter", "100/130")
    target = IndicatedAirspeed(150.0 * MPH)

    assert t4.cruise(MASS_KG, air(19900.0), target).boost_pumps == "off"
    assert t4.cruise(MASS_KG, air(20100.0), target).boost_pumps == "on"


def test_filters_follow_the_phase() -> None:
    """In the pattern they are in at every height, in cruise out above 7,000 ft."""
    t4 = performance("t4-freighter", "100/130")
    target = IndicatedAirspeed(PATTERN_IAS)

    assert t4.cruise(MASS_KG, air(8000.0), target, phase="pattern").filters == "on"
    assert t4.cruise(MASS_KG, air(8000.0), target).filters == "off"


@pytest.mark.parametrize("name", NAMES)
def test_gear_and_flaps_move_at_the_moments_of_the_file(name: str) -> None:
    plan = plan_of(name)
    moved = [
        event for event in plan.events if event.kind == "action" and ("Gear " in event.text or "lap" in event.text)
    ]
    pattern, final = said(plan, "pattern"), said(plan, "final")
    times = {event.text: plan.ledger[event.time_key].value for event in moved}
    approach = approach_of(plan)

    assert moved[0].text.startswith("Gear up")
    assert times[f"Gear down, {pattern.flaps}"] == approach.settings[0][0].instant
    assert times[final.flaps.capitalize()] == approach.settings[1][0].instant
    assert approach.start.instant < approach.settings[1][0].instant < approach.end.instant


@pytest.mark.parametrize("name", NAMES)
def test_the_final_comes_down_three_degrees_from_the_circuit(name: str) -> None:
    """A path of 3 degrees is common practice, no published source; the last node is the runway."""
    plan = plan_of(name)
    approach = approach_of(plan)
    begin, end = approach.nodes[-2], approach.nodes[-1]
    field = plan.mission.route.destination
    final_s = (end.instant - begin.instant).total_seconds()

    assert end.altitude_m == pytest.approx(field.elevation_m or 0.0, abs=0.01)
    drop_m = begin.altitude_m - end.altitude_m
    assert drop_m / (final_s * plan.mission.aircraft.speeds.final_m_per_s) == pytest.approx(0.0524, rel=0.01)


# --- the go-around --------------------------------------------------------------------------------------------------------


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


@pytest.mark.parametrize("name", MODELLED)
def test_a_go_around_stands_beside_the_power_table_on_all_engines_and_with_the_worst_one_out(name: str) -> None:
    plan = plan_of(name)
    grade = next(one for one in plan.mission.aircraft.model.fuel_grades if one.name == plan.mission.fuel_grade)  # type: ignore[union-attr]
    every, failed = plan.tables["power.go_around"].rows

    assert failed.name == "three, one outer feathered"
    for row in (every, failed):
        assert number(plan, row.cells["ias"]) == said(plan, "go-around").airspeed_m_per_s
        assert number(plan, row.cells["rpm"]) == grade.take_off.engine_speed_rpm
        assert number(plan, row.cells["manifold_pressure"]) <= grade.take_off.manifold_pressure_pa
        assert number(plan, row.cells["time_limit"]) == grade.take_off.time_limit_s
    # A quarter of the thrust gone and a fin to be held over: the excess falls by more than a quarter.
    assert 0.0 < number(plan, failed.cells["gradient"]) < 0.75 * number(plan, every.cells["gradient"])


def test_a_go_around_slower_than_minimum_control_is_refused() -> None:
    t4 = aircraft("t4-freighter")
    slow = replace(
        t4,
        phases=tuple(
            replace(one, airspeed_m_per_s=70.0 * MPH) if one.phase == "go-around" else one for one in t4.phases
        ),
    )
    with pytest.raises(PlanError, match="below minimum control"):
        performance_of(slow, "100/130").go_around(MASS_KG, AIR, engines="three, one outer feathered")


def test_charts_without_a_go_around_say_so() -> None:
    plan = plan_of("plumb-line")
    row = plan.tables["power.go_around"].rows[0]

    assert "rate" not in row.cells
    assert plan.ledger[row.cells["answer"]].value == "the charts give no climb of a go-around"


def test_fuel_for_one_go_around_is_carried_where_the_rules_ask(tmp_path: Path) -> None:
    """Six minutes at something between pattern and take-off flow, in the sheet and in the sum; without the line, none."""
    plain = plan_of("cedar-lantern")
    asked = plan_edited(
        tmp_path,
        "cedar-lantern",
        ("rules/house-cargo.yaml", "  final reserve: 45 min", "  go-around: 6 min\n  final reserve: 45 min"),
    )
    pattern = approach_of(asked).settings[0][1].fuel_flow_kg_per_s
    rated = asked.phases[3].settings[0][1].fuel_flow_kg_per_s
    fuel_kg = number(asked, "fuel.required.go_around")

    assert "fuel.required.go_around" not in plain.ledger
    assert 360.0 * pattern < fuel_kg < 360.0 * rated
    rows = [row.cells["mass"] for row in asked.tables["fuel.required"].rows]
    above = rows[: rows.index("fuel.required.total")]
    assert "fuel.required.go_around" in above
    assert number(asked, "fuel.required.total") == pytest.approx(sum(number(asked, key) for key in above))


# --- settings as the instruments show them --------------------------------------------------------------------------------


def on_step(value: float | None, step: float) -> bool:
    assert value is not None
    return abs(value / step - round(value / step)) < 1e-3


@pytest.mark.parametrize("name", MODELLED)
def test_level_and_descending_flight_is_on_whole_steps_of_the_gauges(name: str) -> None:
    """25 rpm and 0.5 inHg, as her file says; a rating at its stop shows what it shows."""
    plan = plan_of(name)
    for phase, setting in flown(plan):
        if phase.kind in ("take-off", "climb"):
            continue
        assert on_step(setting.engine_speed_rpm, 25.0), phase.title
        assert on_step(setting.manifold_pressure_pa, 0.5 * INHG), phase.title


@pytest.mark.parametrize("mph", [125, 140, 150, 160, 165, 168])
@pytest.mark.parametrize("height_ft", [2000.0, 8000.0, 14000.0])
def test_a_rounded_pair_holds_height_and_stays_under_its_line(mph: float, height_ft: float) -> None:
    """No less thrust than level flight takes, no more than a step of each gauge above it, and never over the lean or rich line."""
    t4 = performance("t4-freighter", "100/130")
    assert isinstance(t4, ModelPerformance)
    exact = t4.cruise(MASS_KG, air(height_ft), IndicatedAirspeed(mph * MPH))
    pair = t4.as_set(exact)
    assert exact.mixture is not None
    assert pair.mixture == exact.mixture
    assert pair.engine_speed_rpm is not None
    assert pair.manifold_pressure_pa is not None
    assert pair.power_w is not None
    assert exact.power_w is not None
    point = t4.parts.point(pair.air, pair.ias_m_per_s)
    line = t4.parts.plant.permitted(t4.parts.breath(point), pair.engine_speed_rpm, exact.mixture)
    wanted_n = (exact.propeller_efficiency or 0.0) * exact.power_w / exact.tas_m_per_s
    given_n = t4.parts.propeller.thrust(pair.power_w, point, pair.engine_speed_rpm)

    assert pair.manifold_pressure_pa <= line.manifold_pressure_pa * 1.0001
    assert wanted_n * 0.999 <= given_n <= wanted_n * 1.04
    assert pair.ias_m_per_s == exact.ias_m_per_s
    # The fuel is that of the pair: engine speed, power and mixture as rounded.
    each = t4.parts.plant.fuel_flow(pair.engine_speed_rpm, pair.power_w, exact.mixture)
    assert pair.fuel_flow_kg_per_s == pytest.approx(4.0 * each)
    assert t4.as_set(pair).manifold_pressure_pa == pytest.approx(pair.manifold_pressure_pa)


def test_charts_keep_their_own_steps() -> None:
    s2 = performance("s2-survey", aircraft("s2-survey").charts.fuel_grades[0].name)  # type: ignore[union-attr]
    setting = s2.cruise(aircraft("s2-survey").balance.limits.landing_kg, air(8000.0), LongRange())

    assert s2.as_set(setting) == setting


# --- climbing on instruments, oxygen --------------------------------------------------------------------------------------


def climbs(plan: Plan) -> list[tuple[Phase, PowerSetting]]:
    return [(phase, setting) for phase, setting in flown(plan) if phase.kind == "climb"]


class Dark(Sky):
    """The same sky by night."""

    def on_instruments(self, node: Node, altitude_m: float, wanted: Collection[str]) -> bool:
        return "darkness" in wanted


def climbing(name: str) -> tuple[Plan, PowerSetting]:
    """One step of the first climb of a demo, by night."""
    plan = plan_of(name)
    mission = plan.mission
    crew = Crew(performance_of(mission.aircraft, mission.fuel_grade), Dark(mission.weather, mission.places))
    first = climbs(plan)[0][0].start
    return plan, height_step(crew, first, None, first.pressure_altitude_m + 300.0, True, None).setting


def test_the_climb_by_night_is_flown_at_the_speed_for_instruments() -> None:
    plan, setting = climbing("mudlark")

    assert setting.ias_m_per_s == plan.mission.aircraft.speeds.climb_on_instruments_m_per_s
    assert climbs(plan)[0][1].ias_m_per_s == plan.mission.aircraft.speeds.climb_m_per_s


def test_charts_of_one_climb_speed_say_that_they_have_no_other_for_instruments() -> None:
    plan, setting = climbing("plumb-line")

    assert setting.ias_m_per_s == plan.mission.aircraft.speeds.climb_m_per_s
    assert "on instruments: the charts give no climb at" in setting.governing_limit


def test_darkness_is_night_by_the_sun_and_cloud_is_a_broken_or_overcast_sheet() -> None:
    plan = plan_of("cedar-lantern")
    sky, start = Sky(plan.mission.weather, plan.mission.places), climbs(plan)[0][0].start
    night = replace(start, instant=datetime(2027, 2, 17, 12, 0, tzinfo=UTC))  # near midnight on that meridian

    assert light_condition(night.instant, night.lat_deg, night.lon_deg) == "night"
    assert sky.on_instruments(night, night.altitude_m, ("darkness",))
    assert not sky.on_instruments(night, night.altitude_m, ())


def test_each_step_of_a_climb_is_flown_by_sight_or_by_instruments_as_the_sky_is() -> None:
    for name in MODELLED:
        plan = plan_of(name)
        card, sky = plan.mission.aircraft.speeds, Sky(plan.mission.weather, plan.mission.places)
        for phase in (one for one in plan.phases if one.kind == "climb"):
            for (node, setting), after in zip(phase.settings, phase.nodes[1:], strict=False):
                middle_m = 0.5 * (node.altitude_m + after.altitude_m)
                blind = sky.on_instruments(node, middle_m, ("cloud", "darkness"))
                want = card.climb_on_instruments_m_per_s if blind else card.climb_m_per_s
                if after.instant > node.instant and setting.phase == "climb" and node.altitude_m != after.altitude_m:
                    assert setting.ias_m_per_s == want, (phase.title, middle_m)


def test_oxygen_is_carried_to_the_least_for_flight_and_not_to_the_last_litre() -> None:
    plan = plan_of("plumb-line")
    supply = next(fluid for fluid in plan.mission.aircraft.fluids if fluid.name == "oxygen")
    assert supply.use_per_hour is not None
    assert supply.least_for_flight > 0.0

    hours = (supply.capacity - supply.least_for_flight) / supply.use_per_hour
    assert number(plan, "oxygen.available") == pytest.approx(3600.0 * hours)
