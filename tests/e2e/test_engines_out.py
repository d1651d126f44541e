"""With engines stopped: every figure of the section held against the aircraft itself, and the cases with no answer."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest

from briefgen.aircraft.engines_out import DriftDown, drift_down
from briefgen.aircraft.factory import performance_of
from briefgen.aircraft.interface import Performance
from briefgen.errors import OutOfRangeError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.performance import Air, IndicatedAirspeed
from briefgen.model.plan import Finding, Plan
from briefgen.planning.flight.route import item_keys
from briefgen.planning.flight.sky import Sky
from tests.shared.demo_aircraft import aircraft
from tests.shared.demo_missions import T5_INSTEAD, plan_edited, plan_of

FT = 0.3048
MISSION = "cedar-lantern"
FILE = f"{MISSION}.yaml"


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float), f"{key} is {value!r}"
    return value


def crew(plan: Plan) -> Performance:
    return performance_of(plan.mission.aircraft, plan.mission.fuel_grade)


def offset_m(plan: Plan, leg: int) -> float:
    """Pressure altitude over altitude as the level flight of a leg begins."""
    start = next(phase for phase in plan.phases if phase.kind == "cruise" and phase.item == leg).start
    return start.pressure_altitude_m - start.altitude_m


def ices(plan: Plan, leg: int, pressure_altitude_m: float, temperature_k: float) -> bool:
    """Whether ice in the carburettors is likely at a pressure altitude anywhere on the level flight of a leg."""
    sky = Sky(plan.mission.weather, plan.mission.places)
    nodes = [node for phase in plan.phases if phase.kind == "cruise" and phase.item == leg for node in phase.nodes]
    return any(sky.icing(one.lat_deg, one.lon_deg, pressure_altitude_m, one.instant, temperature_k) for one in nodes)


def finding(plan: Plan, ident: str) -> Finding:
    return next(found for found in plan.findings if found.ident == ident)


def test_at_the_service_ceiling_100_feet_a_minute_are_left() -> None:
    plan, key = plan_of(MISSION), "engines_out.leg.marlin"
    height_m = number(plan, f"{key}.service_one") + offset_m(plan, 0)
    air = Air(height_m, standard_temperature(height_m) + number(plan, f"{key}.deviation"))
    engines = str(plan.ledger[f"{key}.engines_one"].value)

    climb = crew(plan).climb(
        number(plan, f"{key}.mass"), air, engines=engines, ias_m_per_s=number(plan, f"{key}.climb_ias_one")
    )

    assert climb.rate_m_per_s * 60.0 / FT == pytest.approx(100.0, abs=1.0)


def test_absolute_ceilings_lie_over_service_ceilings_and_rise_as_she_gets_lighter() -> None:
    """On the heavy flight, where both lie below the top of what her file covers."""
    plan = plan_of("paper-kite")
    legs = ("leg.marlin", "leg.saddle", "leg.lx02")

    for leg in legs:
        assert number(plan, f"engines_out.{leg}.ceiling_one") > number(plan, f"engines_out.{leg}.service_one")
    masses, ceilings = ([number(plan, f"engines_out.{leg}.{what}") for leg in legs] for what in ("mass", "ceiling_one"))
    assert masses == sorted(masses, reverse=True)
    assert ceilings == sorted(ceilings)
    light = plan_of(MISSION)
    assert number(light, "engines_out.leg.lx01.ceiling_two") > number(light, "engines_out.leg.tern.ceiling_two")


def test_a_ceiling_above_what_her_file_covers_is_said_as_at_least() -> None:
    """Lighter, on three engines she outclimbs the model, which ends at 27,000 ft of pressure altitude."""
    found = plan_of(MISSION).ledger["engines_out.leg.lx01.ceiling_one"].value

    assert isinstance(found, str)
    assert found.startswith("at least 26,")


def test_the_engines_named_are_those_that_climb_least() -> None:
    """Asymmetry costs: one outer stopped is worse than one inner, one side worse than both outers."""
    plan = plan_of(MISSION)

    for leg in ("leg.marlin", "leg.saddle", "leg.tern", "leg.lx01"):
        assert plan.ledger[f"engines_out.{leg}.engines_one"].value == "three, one outer feathered"
        assert plan.ledger[f"engines_out.{leg}.engines_two"].value == "two, one side feathered"


@pytest.mark.parametrize("leg", ["marlin", "saddle", "tern", "lx01"])
def test_range_on_three_lies_between_that_of_her_weight_now_and_of_her_weight_when_dry(leg: str) -> None:
    plan, key = plan_of(MISSION), f"engines_out.leg.{leg}"
    fuel_kg = number(plan, f"{key}.fuel") * plan.mission.fuel.density_kg_per_m3
    mass_kg = number(plan, f"{key}.mass")
    height_m = number(plan, f"{key}.height_held") + offset_m(plan, item_of(plan, key))
    air = Air(height_m, standard_temperature(height_m) + number(plan, f"{key}.deviation"))
    speed = IndicatedAirspeed(number(plan, f"{key}.ias"))

    now, dry = (
        crew(plan).cruise(mass, air, speed, engines="three, one outer feathered").specific_range_m_per_kg * fuel_kg
        for mass in (mass_kg, mass_kg - fuel_kg)
    )

    assert now < number(plan, f"{key}.range") < dry
    assert number(plan, f"{key}.range") == pytest.approx(
        number(plan, f"{key}.tas") * number(plan, f"{key}.endurance"), rel=1e-6
    )


def test_what_must_leave_is_just_enough_to_climb_100_feet_a_minute_at_the_safe_height() -> None:
    plan, key = plan_of(MISSION), "engines_out.leg.saddle"
    height_m = number(plan, "leg.saddle.safe_height") + offset_m(plan, 1)
    air = Air(height_m, standard_temperature(height_m) + number(plan, f"{key}.deviation"))
    engines = str(plan.ledger[f"{key}.engines_two"].value)
    mass_kg = number(plan, f"{key}.mass") - number(plan, f"{key}.must_leave_two")
    speed = crew(plan).best_climb_speed(mass_kg, air, engines=engines)

    rate = crew(plan).climb(mass_kg, air, engines=engines, ias_m_per_s=speed).rate_m_per_s

    assert rate * 60.0 / FT == pytest.approx(100.0, abs=1.0)


def test_the_drift_down_sinks_all_the_way_at_a_rate_she_has() -> None:
    plan, key = plan_of(MISSION), "engines_out.leg.marlin.drift_two"
    lost_m = number(plan, f"{key}.from") - number(plan, f"{key}.level_off")
    engines = str(plan.ledger["engines_out.leg.marlin.engines_two"].value)

    rates = []
    for height_m in (number(plan, f"{key}.from"), number(plan, f"{key}.level_off")):
        pressure_m = height_m + offset_m(plan, 0)
        air = Air(pressure_m, standard_temperature(pressure_m) + number(plan, "engines_out.leg.marlin.deviation"))
        for burnt_kg in (0.0, number(plan, f"{key}.fuel")):
            mass_kg = number(plan, "engines_out.leg.marlin.mass") - burnt_kg
            climb = crew(plan).climb(mass_kg, air, engines=engines, ias_m_per_s=number(plan, f"{key}.ias"))
            rates.append(-climb.pressure_altitude_rate_m_per_s)

    assert plan.ledger[f"{key}.outcome"].value == "still sinking"
    assert min(rates) < lost_m / number(plan, f"{key}.time") < max(rates)


def test_the_chart_draws_what_the_table_says() -> None:
    plan = plan_of(MISSION)
    curve = plan.charts["drift_down"].curves[0]

    assert curve.points[0][1] == pytest.approx(number(plan, "engines_out.leg.marlin.drift_two.from"))
    assert curve.points[-1] == pytest.approx(
        (
            number(plan, "engines_out.leg.marlin.drift_two.distance"),
            number(plan, "engines_out.leg.marlin.drift_two.level_off"),
        )
    )
    assert all(before[1] > after[1] for before, after in pairwise(curve.points))


def test_waiting_on_two_engines_burns_more_than_on_all_four() -> None:
    """TF-26: common practice, no published source. Which two matters, and so does the mixture."""
    plan = plan_of(MISSION)
    rows = {row.name: row.cells for row in plan.tables["engines_out.waiting"].rows}
    every, outers, side = (
        number(plan, rows[name]["flow"]) for name in ("four", "two, both outers feathered", "two, one side feathered")
    )

    assert every < outers < side
    assert number(plan, rows["two, both outers feathered"]["more"]) == pytest.approx(outers / every - 1.0)
    endurances = [number(plan, cells["endurance"]) for cells in rows.values()]
    assert max(endurances) == number(plan, rows["four"]["endurance"])


def test_the_wait_is_compared_at_the_first_setting_of_the_planned_hold() -> None:
    plan = plan_of(MISSION)
    hold = next(phase for phase in plan.phases if phase.kind == "hold")
    setting = hold.setting
    assert setting is not None

    assert number(plan, "engines_out.waiting.ias") == setting.ias_m_per_s
    flow = setting.fuel_flow_kg_per_s / plan.mission.fuel.density_kg_per_m3
    # The plan's setting is solved in the middle of its first step, 7.5 minutes and some 80 lb later.
    assert number(plan, "engines_out.waiting.01.flow") == pytest.approx(flow, rel=0.005)


def test_a_safe_height_over_the_service_ceiling_is_a_caution_with_what_must_leave(tmp_path: Path) -> None:
    plan = plan_edited(
        tmp_path,
        MISSION,
        (
            FILE,
            'cruise: 150 mph indicated, safe altitude: "2,900 ft"',
            'cruise: 150 mph indicated, safe altitude: "9,900 ft"',
        ),
    )
    two = finding(plan, "engines-out-two")

    assert two.outcome == "caution"
    assert plan.ledger[two.margin_key].value == "none"
    assert "{engines_out.leg.saddle.must_leave_two}" in two.cure
    assert finding(plan, "engines-out-one").outcome == "pass"


def test_a_heavy_start_on_three_engines_is_a_caution() -> None:
    """The flight over her greatest weight: on three engines she does not hold the safe altitude of the first leg."""
    plan = plan_of("paper-kite")
    one = finding(plan, "engines-out-one")

    assert one.outcome == "caution"
    assert number(plan, "engines_out.leg.marlin.height_held") < number(plan, "leg.marlin.safe_height")
    assert "must_leave_one" in one.cure
    assert number(plan, "engines_out.leg.marlin.must_leave_one") > 0.0


def test_what_the_charts_do_not_give_is_said_and_not_guessed(tmp_path: Path) -> None:
    plan = plan_edited(
        tmp_path,
        MISSION,
        *T5_INSTEAD,
        (FILE, "      configuration: one third flap\n", ""),  # the book has no level flight with flaps
    )
    ledger = plan.ledger

    assert isinstance(ledger["engines_out.leg.marlin.service_one"].value, float)
    assert ledger["engines_out.leg.marlin.flow"].value == "not known"
    assert ledger["engines_out.leg.marlin.drift_two.outcome"].value == "not known"
    assert "charts give no climb" in ledger["engines_out.leg.marlin.drift_two.outcome"].method


@pytest.mark.parametrize("mission", ["cedar-lantern", "long-tide", "mudlark", "paper-kite", "plumb-line"])
def test_a_drift_that_levels_off_ends_at_her_absolute_ceiling_of_that_weight(mission: str) -> None:
    """A sink too small to read is still a sink: level means a rate of climb of zero."""
    plan = plan_of(mission)
    levelled = [
        key.removesuffix(".outcome")
        for key, entry in plan.ledger.entries.items()
        if key.startswith("engines_out.") and entry.value == "levels off"
    ]
    for drift in levelled:
        leg, stopped = drift.rsplit(".drift_", 1)
        mass_kg = number(plan, f"{leg}.mass") - number(plan, f"{drift}.fuel")
        height_m = number(plan, f"{drift}.level_off")
        above_and_below = []
        for moved_m in (-60.0, 60.0):
            item = item_of(plan, leg)
            pressure_m = height_m + moved_m + offset_m(plan, item)
            temperature_k = standard_temperature(pressure_m) + number(plan, f"{leg}.deviation")
            air = Air(pressure_m, temperature_k, icing=ices(plan, item, pressure_m, temperature_k))
            engines = str(plan.ledger[f"{leg}.engines_{stopped}"].value)
            climb = crew(plan).climb(mass_kg, air, engines=engines, ias_m_per_s=number(plan, f"{drift}.ias"))
            above_and_below.append(climb.rate_m_per_s)
        assert above_and_below[0] > 0.0 > above_and_below[1], drift


def to_the_sea(plan: Plan, leg: str, stopped: str) -> DriftDown:
    """The drift with nothing thrown out, followed down to the sea."""
    item = item_of(plan, leg)
    sea_m = offset_m(plan, item)

    def air(pressure_m: float) -> Air:
        temperature_k = standard_temperature(pressure_m) + number(plan, f"{leg}.deviation")
        return Air(pressure_m, temperature_k, icing=ices(plan, item, pressure_m, temperature_k))

    return drift_down(
        crew(plan), number(plan, f"{leg}.mass"), number(plan, f"{leg}.drift_{stopped}.from") + sea_m, air,
        str(plan.ledger[f"{leg}.engines_{stopped}"].value), sea_m,
        ias_m_per_s=number(plan, f"{leg}.drift_{stopped}.ias"),
    )  # fmt: skip


def item_of(plan: Plan, leg: str) -> int:
    """Return the index of the item of the route whose engines-out figures have a head."""
    return item_keys(plan.mission.route.items).index(leg.removeprefix("engines_out."))


@pytest.mark.parametrize("mission", ["cedar-lantern", "long-tide", "mudlark", "paper-kite", "plumb-line"])
def test_no_ceiling_is_printed_below_the_sea(mission: str) -> None:
    """Four feet below the sea is no height: the word is none, and the entry says why."""
    entries = plan_of(mission).ledger.entries
    for key, entry in entries.items():
        if key.startswith("engines_out.") and any(part in key for part in (".service_", ".ceiling_", ".height_held")):
            assert isinstance(entry.value, str) or entry.value >= 0.0, key  # type: ignore[operator]


@pytest.mark.parametrize("mission", ["cedar-lantern", "long-tide", "mudlark", "paper-kite", "plumb-line"])
def test_more_fuel_to_throw_out_than_is_aboard_is_said_with_the_time_to_the_surface(mission: str) -> None:
    plan = plan_of(mission)
    entries = plan.ledger.entries
    for key, entry in entries.items():
        if ".must_leave_" not in key or key.endswith("_volume"):
            continue
        leg, stopped = key.rsplit(".must_leave_", 1)
        aboard_kg = number(plan, f"{leg}.fuel") * plan.mission.fuel.density_kg_per_m3
        told = entries.get(f"{key}_volume")
        if not isinstance(entry.value, float) or entry.value > aboard_kg:
            assert told is None or told.value == "more than is aboard"
            drift = f"{leg}.drift_{stopped}"
            if entries[f"{drift}.outcome"].value == "still sinking" and plan.mission.aircraft.model is not None:
                way = to_the_sea(plan, leg, stopped)
                told_s = entries[f"{drift}.to_surface"].value if f"{drift}.to_surface" in entries else None
                assert told_s == (None if way.holds else pytest.approx(way.points[-1].time_s))
        else:
            assert told is not None
            assert told.value == pytest.approx(entry.value / plan.mission.fuel.density_kg_per_m3)


@pytest.mark.parametrize("mission", ["cedar-lantern", "long-tide"])
def test_the_rule_of_one_engine_out_is_judged_at_the_speed_the_table_beside_it_gives(mission: str) -> None:
    """At the height up to which the rule is met her best speed gives the climb it asks for, and the file's speed less."""
    plan = plan_of(mission)
    rule, performance = finding(plan, "climb-one-out"), crew(plan)
    height_m = number(plan, rule.measured_key) + offset_m(plan, 0)
    first = f"engines_out.{item_keys(plan.mission.route.items)[0]}"
    air = Air(height_m, standard_temperature(height_m) + number(plan, f"{first}.deviation"))
    mass_kg, engines = number(plan, f"{first}.mass"), "three, one outer feathered"
    best = performance.best_climb_speed(mass_kg, air, engines=engines)
    asked = next(one for one in plan.mission.rules.rules if one.ident == "climb-one-out").parameters
    # 14 CFR 121.181(a): (0.079 - 0.106/N) Vs0 squared, knots and feet per minute.
    model = plan.mission.aircraft.model
    assert model is not None
    stall = performance.stall_ias_m_per_s(mass_kg, model.field.landing_configuration)
    table = plan.mission.aircraft.instruments.calibrated_by_indicated
    stall_kt = interp(stall, table.x, table.y) * 3600.0 / 1852.0
    wanted = (float(asked["square"]) - float(asked["square per engine"]) / 4.0) * stall_kt**2 * FT / 60.0

    at_best, at_file = (
        performance.climb(mass_kg, air, engines=engines, ias_m_per_s=speed).rate_m_per_s for speed in (best, None)
    )
    assert at_best == pytest.approx(wanted, abs=2.0 * FT / 60.0)
    assert at_file < at_best


def interp(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """Straight lines between the points of a table."""
    place = next(i for i in range(len(xs) - 1) if xs[i] <= x <= xs[i + 1])
    return ys[place] + (ys[place + 1] - ys[place]) * (x - xs[place]) / (xs[place + 1] - xs[place])


def test_in_icing_cloud_what_is_left_is_what_the_levers_against_ice_leave() -> None:
    """The last leg of the heavy flight comes down through cloud: its ceilings are lower than the aircraft's in dry air."""
    plan, key = plan_of("paper-kite"), "engines_out.leg.lx02"
    engines, ias = str(plan.ledger[f"{key}.engines_one"].value), number(plan, f"{key}.climb_ias_one")
    mass_kg, warmer_k = number(plan, f"{key}.mass"), number(plan, f"{key}.deviation")
    service_m = number(plan, f"{key}.service_one") + offset_m(plan, item_of(plan, key))
    temperature_k = standard_temperature(service_m) + warmer_k

    assert ices(plan, item_of(plan, key), service_m, temperature_k)
    iced = crew(plan).climb(mass_kg, Air(service_m, temperature_k, icing=True), engines=engines, ias_m_per_s=ias)
    dry = crew(plan).climb(mass_kg, Air(service_m, temperature_k), engines=engines, ias_m_per_s=ias)

    assert iced.rate_m_per_s * 60.0 / FT == pytest.approx(100.0, abs=1.0)
    assert dry.rate_m_per_s * 60.0 / FT > 120.0
    assert "the levers set against the ice" in plan.ledger[f"{key}.service_one"].method
    assert "leg to Old Quarry Strip" in plan.tables["engines_out"].note


def test_charts_made_without_warm_air_tell_no_ceiling_in_icing_cloud() -> None:
    """Her charts have the shutters cold: what is left in such cloud is not known, and is not taken from them."""
    book = performance_of(aircraft("t5-freighter"), "91/96")
    with pytest.raises(OutOfRangeError, match="without warm air"):
        book.ceiling(25000.0, 0.0, icing=True)
