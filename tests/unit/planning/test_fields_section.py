"""Runways in the plan: what Mudlark may carry, what a long runway says, and the figures that must agree with one another."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from briefgen.aircraft.factory import fields_for, performance_of
from briefgen.errors import PlanError
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding
from briefgen.model.record import Record, figure
from briefgen.model.weather import ForecastGroup, Wind, wind_vector
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.clock import write_clock
from briefgen.planning.sections.basis.field_uses import FieldUse, field_uses, runway_of
from briefgen.planning.sections.basis.inputs import write_inputs
from briefgen.planning.sections.basis.navigation import write_navigation
from briefgen.planning.sections.fields.landing import LandingShare
from briefgen.planning.sections.fields.runway_use import runway_use
from briefgen.planning.sections.fields.section import Fields, write_fields
from briefgen.planning.sections.fields.take_off import engine_failure_words
from briefgen.planning.sections.fields.take_off_limits import TakeOffLimits
from briefgen.planning.sections.fields.take_off_rows import DistanceFigures
from briefgen.planning.sections.weather.field_states import field_weather
from briefgen.planning.sections.weather.section import write_weather
from briefgen.spec.read import read_mission
from briefgen.weather.surface import Ground
from tests.shared.demo_missions import SPECS, plan_edited, plan_of

LB_KG = 0.45359237
KT_M_PER_S = 1852.0 / 3600.0
MPH_M_PER_S = 0.44704
HUNDRED_LB_KG = 100.0 * LB_KG
STRIP = "fields.take_off.lx02"


@dataclass(frozen=True)
class Planned:
    """Mudlark as it is flown, and what the sections before the runways say of it."""

    mission: Mission
    flown: Flown


@dataclass(frozen=True)
class Answer:
    """What the runways come to."""

    writer: LedgerWriter
    fields: Fields

    def number(self, key: str) -> float:
        return self.writer.number(key)

    def finding(self, ident: str) -> Finding:
        (found,) = (one for one in self.fields.findings if one.ident == ident)
        return found


@pytest.fixture(scope="module")
def mudlark() -> Planned:
    flown = fly(read_mission(SPECS / "mudlark.yaml"))
    return Planned(flown.mission, flown)


def written(planned: Planned, mission: Mission | None = None) -> Answer:
    """Write the sections up to the runways, of the mission as it is flown or of one like it."""
    mission, flown = mission or planned.mission, planned.flown
    writer = LedgerWriter({})
    before = write_inputs(mission, flown.departure.fuel_kg, writer)
    log = write_navigation(mission, flown, before, writer)
    clock = write_clock(mission, log, before, writer)
    weather = write_weather(mission, log.phases, field_uses(mission, log, clock), writer)
    performance = performance_of(mission.aircraft, mission.fuel_grade)
    return Answer(writer, write_fields(mission, log, weather.fields, performance, writer))


@pytest.fixture(scope="module")
def answer(mudlark: Planned) -> Answer:
    return written(mudlark)


def lighter(mission: Mission, by_kg: float) -> Mission:
    """Return the mission with a lighter aircraft: what a flight weighs follows."""
    individual = mission.individual
    return replace(mission, individual=replace(individual, basic_mass_kg=individual.basic_mass_kg - by_kg))


def blowing(mission: Mission, ident: str, wind: Wind) -> Mission:
    """Return the mission with another wind at the ground of one place."""
    surface = tuple(replace(point, wind=wind) if point.ident == ident else point for point in mission.weather.surface)
    return replace(mission, weather=replace(mission.weather, surface=surface))


class At(Record):
    """A time and a weight, made by hand."""

    at = "made"

    def __init__(self, instant: datetime, mass_kg: float) -> None:
        self._instant, self._mass_kg = instant, mass_kg

    @figure("At", "UTC", how="made by hand")
    def instant(self) -> datetime:
        return self._instant

    @figure("Weight", "lb", how="made by hand")
    def mass(self) -> float:
        return self._mass_kg


def limits_of(planned: Planned, mass_kg: float) -> TakeOffLimits:
    mission = planned.mission
    leaving = next(phase for phase in planned.flown.phases if phase.kind == "take-off").start
    place = mission.route.origin
    made = At(leaving.instant, mass_kg)
    field = FieldUse(
        "departure.lx02", "departure", place, runway_of(place, mission.route.origin_runway), At.instant.of(made)
    )
    use = runway_use(STRIP, field_weather(mission, Ground(mission.weather), field), At.mass.of(made))
    return TakeOffLimits(mission, use, fields_for(mission.aircraft, mission.fuel_grade))


def test_mudlark_is_not_today_unless_something_stays_behind(
    answer: Answer,
) -> None:
    """The finding fails, quotes the weight to leave behind, and the cure names the same entry."""
    finding = answer.finding("field-take-off")

    assert finding.outcome == "fail"
    assert f"not today, unless {{{STRIP}.left_behind}} stays behind" in finding.text
    assert finding.cure.startswith(f"leave {{{STRIP}.left_behind}} behind")


def test_the_weight_left_behind_is_rounded_to_the_safe_side(mudlark: Planned, answer: Answer) -> None:
    """What is left fits, rounded to hundreds of pounds; a few hundred pounds more does not."""
    writer = answer.writer
    mass_kg = answer.fields.take_off.limits.use.mass_kg
    left_kg = writer.number(f"{STRIP}.left_behind")
    lighter_kg = mass_kg - left_kg

    assert left_kg / HUNDRED_LB_KG == pytest.approx(round(left_kg / HUNDRED_LB_KG), abs=1e-9)
    assert lighter_kg <= writer.number(f"{STRIP}.greatest_mass") + 1e-6
    assert limits_of(mudlark, lighter_kg).worst_ratio(limits_of(mudlark, lighter_kg).use.strip) <= 1.0
    heavier = limits_of(mudlark, lighter_kg + 2.5 * HUNDRED_LB_KG)
    assert heavier.worst_ratio(heavier.use.strip) > 1.0


def test_a_lighter_mudlark_goes(mudlark: Planned) -> None:
    """With that weight left behind the same strip gives no failure."""
    left_kg = written(mudlark).number(f"{STRIP}.left_behind")

    found = written(mudlark, lighter(mudlark.mission, left_kg))

    assert found.finding("field-take-off").outcome == "caution"  # it fits with next to nothing in hand


def test_leaving_that_weight_of_the_load_behind_cures_every_failure_of_mudlark(tmp_path: Path) -> None:
    """'Not today, unless 3,000 lb stays behind': less of the pump, nothing else changed, no rule of the set fails."""
    whole = plan_of("mudlark")
    left_lb = whole.ledger["fields.take_off.lx02.left_behind"].value / LB_KG  # type: ignore[operator]
    pump = '    - { name: Pump, mass: "2,600 lb", bay: place it, leaves: landing, size: 44 x 60 x 54 in }\n'
    pipe = ('mass: "2,200 lb"', f'mass: "{2_200 + 2_600 - left_lb:.0f} lb"')
    lighter_plan = plan_edited(tmp_path, "mudlark", ("mudlark.yaml", pump, ""), ("mudlark.yaml", *pipe))

    failed = [{found.ident for found in plan.findings if found.outcome == "fail"} for plan in (whole, lighter_plan)]
    assert failed == [{"take-off-50ft", "obstacles-all-engines"}, set()]


def test_the_cooler_day_and_the_wind_that_would_do_are_enough(mudlark: Planned, answer: Answer) -> None:
    """At the temperature, or with the wind, that the cure names the weight of the plan fits."""
    writer = answer.writer
    limits = limits_of(mudlark, answer.fields.take_off.limits.use.mass_kg)
    strip = limits.use.strip
    if f"{STRIP}.cool_enough" in writer:
        cooler = replace(strip, air=replace(strip.air, temperature_k=writer.number(f"{STRIP}.cool_enough")))
        assert limits.worst_ratio(cooler) <= 1.0 + 1e-3
    windier = replace(strip, headwind_m_per_s=0.5 * writer.number(f"{STRIP}.headwind_enough"))
    assert limits.worst_ratio(windier) <= 1.0 + 1e-3


def test_the_runway_needed_is_the_distance_over_the_house_share(
    answer: Answer,
) -> None:
    """85 % of the runway may be used: the distance over 0.85 is needed, and the margin is what is left of the runway."""
    writer = answer.writer
    distance_m = writer.number(f"{STRIP}.distance_50ft.distance")

    assert writer.number(f"{STRIP}.distance_50ft.part") == pytest.approx(0.85)
    assert writer.number(f"{STRIP}.distance_50ft.factored") == pytest.approx(distance_m / 0.85)
    assert writer.number(f"{STRIP}.distance_50ft.margin") == pytest.approx(
        writer.number(f"{STRIP}.available") - distance_m / 0.85
    )


def test_only_half_of_a_head_wind_is_counted_on(
    answer: Answer,
) -> None:
    """14 CFR 121.177(b): half of a head wind; the full one stands beside it."""
    writer = answer.writer

    assert writer.number(f"{STRIP}.headwind") > 0.0
    assert writer.number(f"{STRIP}.headwind_used") == pytest.approx(0.5 * writer.number(f"{STRIP}.headwind"))


def test_a_little_more_of_anything_makes_it_longer(
    answer: Answer,
) -> None:
    """5 % of weight, 5 degC and 5 kt each lengthen the run; near the edge weight costs more than in proportion."""
    writer = answer.writer
    run_m = writer.number(f"{STRIP}.ground_run.distance")

    for name in ("weight", "temperature", "wind"):
        assert writer.number(f"{STRIP}.change.{name}.ground_run") > 0.0
        assert writer.number(f"{STRIP}.change.{name}.distance") > 0.0
    assert writer.number(f"{STRIP}.change.weight.ground_run") > 0.05 * run_m


def test_the_trees_are_cleared_by_the_height_the_chart_draws(
    answer: Answer,
) -> None:
    """The height entered over the trees lies on the drawn path, above the end of the runway."""
    writer, charts = answer.writer, answer.fields.charts
    path = next(series for series in charts["runway"].curves if series.name == "all engines").points
    end_m = next(series for series in charts["runway"].curves if series.name == "runway").points[-1]
    at_m = end_m[0] + writer.number(f"{STRIP}.obstacle.01.distance")
    before, after = next(pair for pair in pairwise(path) if pair[0][0] <= at_m <= pair[1][0])
    share = (at_m - before[0]) / (after[0] - before[0])
    drawn_m = before[1] + share * (after[1] - before[1]) - end_m[1]

    assert writer.number(f"{STRIP}.obstacle.01.over") == pytest.approx(drawn_m, abs=0.5)  # the path is drawn in chords


def test_every_landing_and_the_way_straight_back_are_in_the_plan(
    answer: Answer,
) -> None:
    """Destination, alternate and the strip just left each have a landing row."""
    writer = answer.writer

    assert [row.cells["place"] for row in writer.tables["fields.landing"].rows] == [
        "fields.landing.lx01.place",
        "fields.landing.lx05.place",
        "fields.landing.lx02.place",
    ]


def test_deep_mud_is_said_not_to_be_possible(mudlark: Planned) -> None:
    """Where she does not leave the ground the entries say so in words, and what would fit is still found."""
    mission = mudlark.mission
    origin = mission.route.origin
    muddy = tuple(replace(runway, surface="mud", slope_ratio=0.07) for runway in origin.runways)
    route = replace(mission.route, origin=replace(origin, runways=muddy))
    heavy = lighter(mission, written(mudlark).fields.take_off.limits.use.mass_kg - 29_000.0)

    found = written(mudlark, replace(heavy, route=route))

    assert found.writer[f"{STRIP}.ground_run.distance"].value == "not possible"
    assert found.finding("field-take-off").outcome == "fail"
    assert [series.name for series in found.fields.charts["runway"].curves] == ["runway"]


def test_a_wind_across_over_the_limit_fails(mudlark: Planned) -> None:
    """A gale across the strip is a failure with the limit of the aircraft file beside it."""
    mission = mudlark.mission
    gale = blowing(mission, "LX02", Wind(0.0, 30.0 * KT_M_PER_S))

    found = written(mudlark, gale)

    finding = found.finding("field-crosswind-take_off-lx02")
    assert finding.outcome == "fail"
    assert found.number(finding.margin_key) < 0.0


def test_a_runway_that_is_not_there_is_named(mudlark: Planned) -> None:
    """The message lists the runways of the place."""
    with pytest.raises(PlanError, match="LX02 has no runway 33"):
        runway_of(mudlark.mission.route.origin, "33")


def test_margins_of_runways_are_the_length_less_the_distance_and_promise_no_printed_sum(answer: Answer) -> None:
    """They print down, so that the parts as printed may come to one more: a printed sum would be broken or round the unsafe way."""
    fields = answer.fields
    required = [one for one in fields.take_off.distances if one.requirement.required]
    shares = [one.share for one in fields.landings if one.share is not None]
    feet = [DistanceFigures.margin.foot(one) for one in required] + [LandingShare.margin.foot(one) for one in shares]

    assert len(required) > 0
    for one in required:
        margin = DistanceFigures.margin.of(one).key
        needed = answer.number(margin.replace(".margin", ".factored"))
        there = answer.number(f"{margin.rsplit('.', 2)[0]}.available")
        assert answer.number(margin) == pytest.approx(there - needed)
    assert feet == [None] * (len(required) + 3)


def test_rain_makes_the_landing_a_caution_with_the_speed_at_which_the_wheels_ride(
    mudlark: Planned,
) -> None:
    """Rain at the destination wets its paved runway, lengthens the landing and names the hydroplaning speed."""
    settled = tuple(replace(one, groups=one.groups[:1]) for one in mudlark.mission.weather.forecasts)
    mission = replace(mudlark.mission, weather=replace(mudlark.mission.weather, forecasts=settled))
    rain = tuple(
        replace(point, weather=("RA",)) if point.ident == "LX01" else point for point in mission.weather.surface
    )
    dry = written(mudlark, mission)

    wet = written(mudlark, replace(mission, weather=replace(mission.weather, surface=rain)))

    assert wet.writer["fields.landing.lx01.surface"].value == "paved wet"
    assert wet.number("fields.landing.lx01.distance") > dry.number("fields.landing.lx01.distance")
    finding = wet.finding("field-water-landing-lx01")
    assert finding.outcome == "caution"
    assert wet.number(finding.measured_key) / KT_M_PER_S == pytest.approx(9.0 * math.sqrt(72.0), rel=1e-6)  # 72 psi


@pytest.mark.parametrize(
    ("stop_m", "go_m", "begins"),
    [
        (900.0, 900.0, "below the speed stop"),
        (900.0, 1100.0, "stop at any speed on the ground"),
        (1100.0, 900.0, "from the speed go on"),
        (1100.0, math.inf, "stop at once"),
    ],
)
def test_an_engine_failing_is_said_in_words(stop_m: float, go_m: float, begins: str) -> None:
    """What fits a runway of 1,000 m decides what the captain is told."""
    assert engine_failure_words(stop_m, go_m, 1000.0).startswith(begins)


def test_the_calls_of_the_run_are_an_event_with_the_stop_that_fits(answer: Answer) -> None:
    """Captain and co-pilot have the speeds of the run on the timeline; the stop from the one named fits the strip."""
    (event,) = answer.fields.events

    assert f"a stop fits the runway up to {{{STRIP}.stop_fits_ias}}" in event.text
    assert answer.number(f"{STRIP}.stop_fits_ias") < answer.number("take_off.unstick_ias")


def test_a_landing_without_weather_is_a_failure_that_says_so(mudlark: Planned) -> None:
    """Where the weather gives too little for the alternate the plan still stands, and its landing fails as not known."""
    mission = mudlark.mission
    bare = tuple(
        replace(point, altimeter_setting_pa=None) if point.ident == "LX05" else point
        for point in mission.weather.surface
    )

    found = written(mudlark, replace(mission, weather=replace(mission.weather, surface=bare)))

    finding = found.finding("field-landing-lx05")
    assert finding.outcome == "fail"
    assert "the weather gives no altimeter setting at LX05" in finding.text
    assert found.writer["fields.landing.lx05.distance"].value == "not known"


def test_a_wind_without_direction_is_taken_from_behind_and_across_with_its_gusts(mudlark: Planned) -> None:
    """Variable 5 kt gusting 18: 18 kt from behind in the distances, counted one and a half times (14 CFR 121.177(b)), and
    18 kt across in the finding: one answer for one wind."""
    variable = Wind(0.0, 0.0, gust_m_per_s=18.0 * KT_M_PER_S, variable_m_per_s=5.0 * KT_M_PER_S)

    found = written(mudlark, blowing(mudlark.mission, "LX02", variable))

    assert found.number(f"{STRIP}.headwind") / KT_M_PER_S == pytest.approx(-18.0)
    assert found.number(f"{STRIP}.headwind_used") / KT_M_PER_S == pytest.approx(-27.0)
    assert found.finding("field-tailwind-take_off-lx02").measured_key == "weather.field.departure.lx02.tailwind"
    assert found.number("weather.field.departure.lx02.tailwind") / KT_M_PER_S == pytest.approx(18.0)
    assert found.number("weather.field.departure.lx02.crosswind") / KT_M_PER_S == pytest.approx(18.0)


def test_the_distances_take_the_worst_wind_forecast_for_the_period_of_use(mudlark: Planned) -> None:
    """A temporary change that brings 10 kt from behind about the landing lengthens it, though calm is observed."""
    mission = mudlark.mission
    landing = mudlark.flown.phases[-1].start.instant
    behind = Wind(*wind_vector(mission.route.destination.runways[0].heading_true_deg + 180.0, 10.0 * KT_M_PER_S))
    (forecast,) = (one for one in mission.weather.forecasts if one.ident == "LX01")
    shift = ForecastGroup("temporary", landing - timedelta(hours=1), landing + timedelta(hours=1), behind)
    changed = replace(forecast, groups=(*forecast.groups, shift))
    others = tuple(changed if one is forecast else one for one in mission.weather.forecasts)

    found = written(mudlark, replace(mission, weather=replace(mission.weather, forecasts=others)))

    assert found.number("fields.landing.lx01.headwind") / KT_M_PER_S == pytest.approx(-10.0)
    assert found.number("fields.landing.lx01.distance") > written(mudlark).number("fields.landing.lx01.distance")


def test_an_observation_that_is_held_gives_way_to_a_forecast_of_the_hour(mudlark: Planned) -> None:
    """Eleven hours before the landing 30 kt down the runway were observed; 8 kt from behind are forecast: those count."""
    mission = mudlark.mission
    landing = mudlark.flown.phases[-1].start.instant
    heading = mission.route.destination.runways[0].heading_true_deg
    ahead = Wind(*wind_vector(heading, 30.0 * KT_M_PER_S))
    behind = Wind(*wind_vector(heading + 180.0, 8.0 * KT_M_PER_S))
    old = landing - timedelta(hours=11)
    surface = tuple(
        replace(point, instant=old, use_from=old, use_to=old, wind=ahead, observed=True)
        if point.ident == "LX01"
        else point
        for point in mission.weather.surface
        if point.ident != "LX01" or point.raw
    )
    (forecast,) = (one for one in mission.weather.forecasts if one.ident == "LX01")
    base = replace(forecast, groups=(replace(forecast.groups[0], wind=behind),))
    forecasts = tuple(base if one is forecast else one for one in mission.weather.forecasts)
    held = replace(mission.weather, surface=surface, forecasts=forecasts, outside_time="hold", valid_from=old)

    found = written(mudlark, replace(mission, weather=held))

    assert found.number("fields.landing.lx01.headwind") / KT_M_PER_S == pytest.approx(-8.0)
    assert found.number("weather.field.lx01.wind_speed") / KT_M_PER_S == pytest.approx(8.0)


def test_rain_that_is_only_forecast_wets_the_runway(mudlark: Planned) -> None:
    """Showers expected at times about the landing count for the stop as rain that falls does."""
    mission = mudlark.mission
    landing = mudlark.flown.phases[-1].start.instant
    (forecast,) = (one for one in mission.weather.forecasts if one.ident == "LX01")
    showers = ForecastGroup("temporary", landing, landing + timedelta(hours=1), weather=("SHRA",))
    dry = replace(forecast, groups=forecast.groups[:1])
    rainy = replace(dry, groups=(*dry.groups, showers))

    surfaces = []
    for one in (dry, rainy):
        forecasts = tuple(one if other is forecast else other for other in mission.weather.forecasts)
        found = written(mudlark, replace(mission, weather=replace(mission.weather, forecasts=forecasts)))
        surfaces.append(found.writer["fields.landing.lx01.surface"].value)

    assert surfaces == ["paved dry", "paved wet"]


def test_no_speed_of_the_runway_is_below_minimum_control(mudlark: Planned, answer: Answer) -> None:
    """With an engine's loss held only from 110 mph she unsticks, decides and crosses the threshold no slower (CAR 4b.114 and
    14 CFR 25.125, from memory), and both the run and the landing are longer for it."""
    mission, control = mudlark.mission, 110.0 * MPH_M_PER_S
    rows = tuple(replace(row, at_take_off_power_m_per_s=control) for row in mission.aircraft.minimum_control)
    stiff = replace(mission, aircraft=replace(mission.aircraft, minimum_control=rows))

    found = written(mudlark, stiff)

    for key in ("take_off.unstick_ias", f"{STRIP}.critical_ias", "fields.landing.lx01.threshold_ias"):
        assert found.number(key) >= control - 1e-6
        assert answer.number(key) < control
    for key in (f"{STRIP}.ground_run.distance", "fields.landing.lx01.distance"):
        assert found.number(key) > answer.number(key)


def test_the_threshold_speed_of_the_file_counts_where_it_is_the_greater(mudlark: Planned, answer: Answer) -> None:
    """115 mph in the file: 115 mph over the threshold, and the landing is longer for it; none of it changes the touchdown."""
    mission = mudlark.mission
    speeds = replace(mission.aircraft.speeds, threshold_m_per_s=115.0 * MPH_M_PER_S)
    fast = replace(mission, aircraft=replace(mission.aircraft, speeds=speeds, speeds_by_mass=()))

    found = written(mudlark, fast)

    assert found.number("fields.landing.lx01.threshold_ias") == pytest.approx(115.0 * MPH_M_PER_S)
    assert found.number("fields.landing.lx01.distance") > answer.number("fields.landing.lx01.distance")
    assert found.number("fields.landing.lx01.touchdown_ias") == answer.number("fields.landing.lx01.touchdown_ias")


def test_take_off_power_for_longer_than_its_limit_fails(mudlark: Planned, answer: Answer) -> None:
    """Nine minutes of take-off power where the aircraft file allows five: a failure with four minutes missing."""
    take_off = next(one for one in mudlark.flown.phases if one.kind == "take-off")
    first, last = take_off.nodes[0], take_off.nodes[-1]
    late = replace(last, instant=first.instant + timedelta(minutes=9))
    longer = tuple(
        replace(one, nodes=(*one.nodes[:-1], late)) if one is take_off else one for one in mudlark.flown.phases
    )

    found = written(Planned(mudlark.mission, replace(mudlark.flown, phases=longer)))

    finding = found.finding(f"power-time-{take_off.ident}")
    assert finding.outcome == "fail"
    assert found.number(finding.limit_key) == pytest.approx(300.0)
    assert found.number(finding.margin_key) == pytest.approx(-240.0)
    assert not [one for one in answer.fields.findings if one.ident.startswith("power-time")]


def test_an_approach_faster_than_its_flap_allows_fails(mudlark: Planned, answer: Answer) -> None:
    """The file sets a third of flap in the pattern: with that flap good to 100 mph the approach is too fast for it."""
    mission = mudlark.mission
    speeds = mission.aircraft.limits.speeds
    low = tuple(replace(one, greatest_m_per_s=100.0 * MPH_M_PER_S) for one in speeds.flaps)
    limits = replace(mission.aircraft.limits, speeds=replace(speeds, flaps=low))

    found = written(mudlark, replace(mission, aircraft=replace(mission.aircraft, limits=limits)))

    approach = next(one for one in mudlark.flown.phases if one.kind == "approach")
    finding = found.finding(f"flap-speed-{approach.ident}")
    assert finding.outcome == "fail"
    assert found.number(finding.margin_key) < 0.0
    assert not [one for one in answer.fields.findings if one.ident.startswith("flap-speed")]


def test_the_limit_that_binds_stands_with_its_margin(answer: Answer) -> None:
    """The row names what sets the greatest weight and quotes what is in hand to it, negative where there is none."""
    (row,) = answer.writer.tables["fields.binding"].rows

    assert answer.writer[row.cells["limit"]].value == "to 50 ft, all engines"
    assert row.cells["margin"] == f"{STRIP}.distance_50ft.margin"
    assert answer.number(row.cells["margin"]) < 0.0


def test_every_distance_and_obstacle_has_a_margin_whether_a_rule_asks_or_not(answer: Answer) -> None:
    """A distance that is only shown is held against the whole runway; an obstacle against the height needed over it."""
    for name in ("ground_run", "accelerate_stop", "accelerate_go"):
        distance = answer.number(f"{STRIP}.{name}.distance")
        assert answer.number(f"{STRIP}.{name}.margin") == pytest.approx(answer.number(f"{STRIP}.available") - distance)
    over, needed = (answer.number(f"{STRIP}.obstacle.01.{name}") for name in ("over", "needed"))
    assert answer.number(f"{STRIP}.obstacle.01.margin") == pytest.approx(over - needed)


def test_a_landing_given_up_has_its_gradient_on_all_engines_and_one_out(answer: Answer) -> None:
    """At landing weight, in the air of the landing; with an engine failed she climbs less, and both are entered."""
    every, failed = (
        answer.number(f"fields.landing.lx01.{name}") for name in ("go_around_gradient", "go_around_failed_gradient")
    )

    assert every > failed > 0.0
