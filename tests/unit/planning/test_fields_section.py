"""Runways in the plan: what Mudlark may carry, what a long runway says, and the figures that must agree with one another."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from briefgen.aircraft.factory import fields_for, performance_of
from briefgen.errors import PlanError
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, Finding, Phase
from briefgen.planning.flight.flying import Crew
from briefgen.planning.flight.schedule import settled
from briefgen.planning.flight.sky import Sky
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.fields.runway_use import runway_of, runway_use, write_runway_use
from briefgen.planning.sections.fields.section import write_fields
from briefgen.planning.sections.fields.take_off import engine_failure_words, write_take_off
from briefgen.planning.sections.fields.take_off_advice import write_advice
from briefgen.planning.sections.fields.take_off_limits import TakeOffLimits
from briefgen.spec.read import read_mission
from briefgen.weather.surface import Ground
from tests.shared.demo_missions import SPECS

LB_KG = 0.45359237
KT_M_PER_S = 1852.0 / 3600.0
HUNDRED_LB_KG = 100.0 * LB_KG
STRIP = "fields.take_off.lx02"


@pytest.fixture(scope="module")
def mudlark() -> tuple[Mission, tuple[Phase, ...]]:
    mission = read_mission(SPECS / "mudlark.yaml")
    crew = Crew(performance_of(mission.aircraft, mission.fuel_grade), Sky(mission.weather))
    return mission, settled(mission, crew).phases


def written(
    mission: Mission, phases: tuple[Phase, ...]
) -> tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]]:
    writer = LedgerWriter({})
    performance = performance_of(mission.aircraft, mission.fuel_grade)
    _, findings, charts = write_fields(mission, phases, writer, performance)
    return writer, findings, charts


@pytest.fixture(scope="module")
def answer(
    mudlark: tuple[Mission, tuple[Phase, ...]],
) -> tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]]:
    return written(*mudlark)


def limits_of(mission: Mission, phases: tuple[Phase, ...], mass_kg: float) -> TakeOffLimits:
    state = next(phase for phase in phases if phase.kind == "take-off").start
    place = mission.route.origin
    runway = runway_of(place, mission.route.origin_runway)
    use = runway_use(STRIP, place, runway, state, mass_kg, (), Ground(mission.weather))
    return TakeOffLimits(mission, use, fields_for(mission.aircraft, mission.fuel_grade))


def test_mudlark_is_not_today_unless_something_stays_behind(
    answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]],
) -> None:
    """The finding fails, quotes the weight to leave behind, and the cure names the same entry."""
    _, findings, _ = answer
    (finding,) = (one for one in findings if one.ident == "field-take-off")

    assert finding.outcome == "fail"
    assert f"not today, unless {{{STRIP}.left_behind}} stays behind" in finding.text
    assert finding.cure.startswith(f"leave {{{STRIP}.left_behind}} behind")


def test_the_weight_left_behind_is_rounded_to_the_safe_side(
    mudlark: tuple[Mission, tuple[Phase, ...]], answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]]
) -> None:
    """What is left fits, rounded to hundreds of pounds; a few hundred pounds more does not."""
    writer, _, _ = answer
    mass_kg = writer.number(f"{STRIP}.mass")
    left_kg = writer.number(f"{STRIP}.left_behind")
    lighter_kg = mass_kg - left_kg

    assert left_kg / HUNDRED_LB_KG == pytest.approx(round(left_kg / HUNDRED_LB_KG), abs=1e-9)
    assert lighter_kg <= writer.number(f"{STRIP}.greatest_mass") + 1e-6
    assert limits_of(*mudlark, lighter_kg).worst_ratio(limits_of(*mudlark, lighter_kg).use.strip) <= 1.0
    heavier = limits_of(*mudlark, lighter_kg + 2.5 * HUNDRED_LB_KG)
    assert heavier.worst_ratio(heavier.use.strip) > 1.0


def test_a_lighter_mudlark_goes(mudlark: tuple[Mission, tuple[Phase, ...]]) -> None:
    """With that weight left behind the same strip gives no failure."""
    mission, phases = mudlark
    writer, _, _ = written(mission, phases)
    left_kg = writer.number(f"{STRIP}.left_behind")
    lighter = tuple(
        replace(phase, nodes=tuple(replace(node, mass_kg=node.mass_kg - left_kg) for node in phase.nodes))
        for phase in phases
    )

    _, findings, _ = written(mission, lighter)
    (finding,) = (one for one in findings if one.ident == "field-take-off")
    assert finding.outcome == "caution"  # it fits with next to nothing in hand


def test_the_cooler_day_and_the_wind_that_would_do_are_enough(
    mudlark: tuple[Mission, tuple[Phase, ...]], answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]]
) -> None:
    """At the temperature, or with the wind, that the cure names the weight of the plan fits."""
    writer, _, _ = answer
    limits = limits_of(*mudlark, writer.number(f"{STRIP}.mass"))
    strip = limits.use.strip
    if f"{STRIP}.cool_enough" in writer:
        cooler = replace(strip, air=replace(strip.air, temperature_k=writer.number(f"{STRIP}.cool_enough")))
        assert limits.worst_ratio(cooler) <= 1.0 + 1e-3
    windier = replace(strip, headwind_m_per_s=0.5 * writer.number(f"{STRIP}.headwind_enough"))
    assert limits.worst_ratio(windier) <= 1.0 + 1e-3


def test_the_house_share_of_the_runway_is_the_factor(
    answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]],
) -> None:
    """85 % of the runway is a factor of 1 / 0.85 on the distance, and the margin is what is left of the runway."""
    writer, _, _ = answer
    distance_m = writer.number(f"{STRIP}.distance_50ft")

    assert writer.number(f"{STRIP}.factor.distance_50ft") == pytest.approx(1.0 / 0.85)
    assert writer.number(f"{STRIP}.factored.distance_50ft") == pytest.approx(distance_m / 0.85)
    assert writer.number(f"{STRIP}.margin.distance_50ft") == pytest.approx(
        writer.number(f"{STRIP}.available") - distance_m / 0.85
    )


def test_only_half_of_a_head_wind_is_counted_on(
    answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]],
) -> None:
    """14 CFR 121.177(b): half of a head wind; the full one stands beside it."""
    writer, _, _ = answer

    assert writer.number(f"{STRIP}.headwind") > 0.0
    assert writer.number(f"{STRIP}.headwind_used") == pytest.approx(0.5 * writer.number(f"{STRIP}.headwind"))


def test_a_little_more_of_anything_makes_it_longer(
    answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]],
) -> None:
    """5 % of weight, 5 degC and 5 kt each lengthen the run; near the edge weight costs more than in proportion."""
    writer, _, _ = answer
    run_m = writer.number(f"{STRIP}.ground_run")

    for name in ("weight", "temperature", "wind"):
        assert writer.number(f"{STRIP}.change.{name}.ground_run") > 0.0
        assert writer.number(f"{STRIP}.change.{name}.distance") > 0.0
    assert writer.number(f"{STRIP}.change.weight.ground_run") > 0.05 * run_m


def test_the_trees_are_cleared_by_the_height_the_chart_draws(
    answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]],
) -> None:
    """The height entered over the trees lies on the drawn path, above the end of the runway."""
    writer, _, charts = answer
    path = next(series for series in charts["runway"].curves if series.name == "all engines").points
    end_m = next(series for series in charts["runway"].curves if series.name == "runway").points[-1]
    at_m = end_m[0] + writer.number(f"{STRIP}.obstacle.01.distance")
    before, after = next(pair for pair in pairwise(path) if pair[0][0] <= at_m <= pair[1][0])
    share = (at_m - before[0]) / (after[0] - before[0])
    drawn_m = before[1] + share * (after[1] - before[1]) - end_m[1]

    assert writer.number(f"{STRIP}.obstacle.01.over") == pytest.approx(drawn_m, abs=0.5)  # the path is drawn in chords


def test_every_landing_and_the_way_straight_back_are_in_the_plan(
    answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]],
) -> None:
    """Destination, alternate and the strip just left each have a landing row."""
    writer, _, _ = answer

    assert [row.cells["place"] for row in writer.tables["fields.landing"].rows] == [
        "fields.landing.lx01.place",
        "fields.landing.lx05.place",
        "fields.landing.lx02.place",
    ]


def test_deep_mud_is_said_not_to_be_possible(mudlark: tuple[Mission, tuple[Phase, ...]]) -> None:
    """Where she does not leave the ground the entries say so in words, and what would fit is still found."""
    mission, phases = mudlark
    origin = mission.route.origin
    muddy = tuple(replace(runway, surface="mud", slope_ratio=0.07) for runway in origin.runways)
    heavy = tuple(
        replace(phase, nodes=tuple(replace(node, mass_kg=29000.0) for node in phase.nodes)) for phase in phases
    )
    place = replace(origin, runways=muddy)

    writer, findings, charts = written(replace(mission, route=replace(mission.route, origin=place)), heavy)

    assert writer[f"{STRIP}.ground_run"].value == "not possible"
    (finding,) = (one for one in findings if one.ident == "field-take-off")
    assert finding.outcome == "fail"
    assert [series.name for series in charts["runway"].curves] == ["runway"]


def test_a_wind_across_over_the_limit_fails(mudlark: tuple[Mission, tuple[Phase, ...]]) -> None:
    """A gale across the strip is a failure with the limit of the aircraft file beside it."""
    mission, phases = mudlark
    gale = tuple(
        replace(point, wind=replace(point.wind, east_m_per_s=0.0, north_m_per_s=30.0 * KT_M_PER_S))
        if point.ident == "LX02" and point.wind is not None
        else point
        for point in mission.weather.surface
    )

    writer, findings, _ = written(replace(mission, weather=replace(mission.weather, surface=gale)), phases)

    (finding,) = (one for one in findings if one.ident == "field-crosswind-take_off-lx02")
    assert finding.outcome == "fail"
    assert writer.number(finding.margin_key) < 0.0


def test_a_runway_that_is_not_there_is_named(mudlark: tuple[Mission, tuple[Phase, ...]]) -> None:
    """The message lists the runways of the place."""
    mission, _ = mudlark

    with pytest.raises(PlanError, match="LX02 has no runway 33"):
        runway_of(mission.route.origin, "33")


def test_margins_are_feet_of_the_printed_figures(
    answer: tuple[LedgerWriter, tuple[Finding, ...], dict[str, ChartData]],
) -> None:
    """Every margin that prints is promised to be the printed length less the printed distance."""
    writer, _, _ = answer
    promised = {foot.result for foot in writer.sealed().feet}
    margins = {key for key in writer.keys("fields.") if ".margin" in key and math.isfinite(writer.number(key))}

    assert margins
    assert margins <= promised


def test_rain_makes_the_landing_a_caution_with_the_speed_at_which_the_wheels_ride(
    mudlark: tuple[Mission, tuple[Phase, ...]],
) -> None:
    """Rain at the destination wets its paved runway, lengthens the landing and names the hydroplaning speed."""
    mission, phases = mudlark
    rain = tuple(
        replace(point, weather=("RA",)) if point.ident == "LX01" else point for point in mission.weather.surface
    )
    dry, _, _ = written(mission, phases)

    wet, findings, _ = written(replace(mission, weather=replace(mission.weather, surface=rain)), phases)

    assert wet["fields.landing.lx01.surface"].value == "paved wet"
    assert wet.number("fields.landing.lx01.distance") > dry.number("fields.landing.lx01.distance")
    (finding,) = (one for one in findings if one.ident == "field-water-landing-lx01")
    assert finding.outcome == "caution"
    assert wet.number(finding.measured_key) / KT_M_PER_S == pytest.approx(9.0 * math.sqrt(65.0), rel=1e-6)  # 65 psi


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


def test_the_calls_of_the_run_are_an_event_with_the_stop_that_fits(mudlark: tuple[Mission, tuple[Phase, ...]]) -> None:
    """Captain and co-pilot have the speeds of the run on the timeline; the stop from the one named fits the strip."""
    mission, phases = mudlark
    leaving = next(phase for phase in phases if phase.kind == "take-off")
    limits = limits_of(mission, phases, leaving.start.mass_kg)
    writer = LedgerWriter({})
    begins = writer.put("phase.begin", "Take-off", leaving.start.instant, "UTC", method="for this test")
    write_runway_use(limits.use, limits.fields, writer)
    write_take_off(limits, writer)

    (event,) = write_advice(limits, begins, leaving.ident, writer)

    assert f"a stop fits the runway up to {{{STRIP}.stop_fits_ias}}" in event.text
    assert writer.number(f"{STRIP}.stop_fits_ias") < writer.number(f"{STRIP}.unstick_ias")


def test_a_landing_without_weather_is_a_failure_that_says_so(mudlark: tuple[Mission, tuple[Phase, ...]]) -> None:
    """Where the weather gives nothing for the alternate the plan still stands, and its landing fails as not known."""
    mission, phases = mudlark
    elsewhere = tuple(point for point in mission.weather.surface if point.ident != "LX05")

    writer, findings, _ = written(replace(mission, weather=replace(mission.weather, surface=elsewhere)), phases)

    (finding,) = (one for one in findings if one.ident == "field-landing-lx05")
    assert finding.outcome == "fail"
    assert "the weather gives nothing for the ground at LX05" in finding.text
    assert writer["fields.landing.lx05.distance"].value == "not known"
