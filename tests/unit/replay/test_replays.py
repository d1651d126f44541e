"""Replays against flights in full, and the parts they are made of against what is known of them."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from briefgen.errors import PlanError, UsageError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.bench import FieldError, Uncertainty
from briefgen.model.performance import Air, BestRange, LongRange, SpeedTarget
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.replay import spread as spreading
from briefgen.replay.draws import alone, drawn
from briefgen.replay.full import flown_in_full
from briefgen.replay.level_tables import Asked, RangeTable, level_table
from briefgen.replay.pieces import Turns
from briefgen.replay.replay import Replay
from briefgen.replay.rounding import Gauges
from briefgen.replay.spread import spread
from briefgen.replay.tables import Span, bent, read, refined
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS

WIND = FieldError(3.0, 300e3, 2000.0, 43_200.0)
SUPPOSED = Uncertainty(WIND, FieldError(2.0, 500e3, 3000.0, 43_200.0), 0.02, 100.0, 600.0, (("wind", "invented"),))


@cache
def mudlark() -> Flown:
    flown = fly(read_mission(SPECS / "mudlark.yaml"))
    return replace(flown, mission=replace(flown.mission, uncertainty=SUPPOSED))


def test_the_error_of_the_wind_has_the_spread_and_the_likeness_that_are_asked_for() -> None:
    """A sum of cosines with normal wave numbers has the correlation exp(-r^2 / 2 L^2): 0.607 at L, 0.135 at 2 L (first principles)."""
    waves = drawn(SUPPOSED, 20_000, 5).east
    assert waves is not None
    samples = np.arange(1, 20_001)
    here, near, far = (waves.at(samples, np.tile([x, 0.0, 2000.0, 0.0], (20_000, 1))) for x in (0.0, 300e3, 600e3))

    assert here.std() == pytest.approx(3.0, rel=0.02)
    assert np.corrcoef(here, near)[0, 1] == pytest.approx(math.exp(-0.5), abs=0.03)
    assert np.corrcoef(here, far)[0, 1] == pytest.approx(math.exp(-2.0), abs=0.03)


def test_the_first_sample_is_the_plan() -> None:
    draws = drawn(SUPPOSED, 3, 1)
    assert draws.east is not None

    assert draws.east.at(np.array([0]), np.array([[1e5, 2e5, 3e3, 4e3]]))[0] == pytest.approx(0.0, abs=1e-12)
    assert (draws.consumption[0], draws.heavier_kg[0], draws.delay_s[0]) == (1.0, 0.0, 0.0)
    assert all(draws.delay_s >= 0.0)


def test_a_cause_alone_leaves_the_others_as_planned() -> None:
    draws = drawn(alone(SUPPOSED, "consumption"), 50, 1)

    assert draws.east is None
    assert not draws.heavier_kg.any()
    assert draws.consumption.std() == pytest.approx(0.02, rel=0.3)


def test_a_table_is_linear_inside_and_says_nothing_outside() -> None:
    axes = (np.array([0.0, 1.0, 3.0]), np.array([10.0, 20.0]))
    values = np.array([[[x + 2.0 * y] for y in axes[1]] for x in axes[0]])
    found = read(axes, values, (np.array([0.5, 2.0, 3.5]), np.array([12.0, 20.0, 15.0])))[:, 0]

    assert found[:2] == pytest.approx([24.5, 42.0])
    assert math.isnan(found[2])


def test_nothing_is_read_across_an_edge_of_the_answers() -> None:
    """A node without an answer spoils what is read from beside it, and nothing else."""
    found = read((np.array([0.0, 1.0, 2.0]),), np.array([[1.0], [2.0], [np.nan]]), (np.array([0.5, 1.0, 1.5]),))[:, 0]

    assert found[:2] == pytest.approx([1.5, 2.0])
    assert math.isnan(found[2])


def test_a_jump_gets_a_pair_of_nodes() -> None:
    axis = refined(np.array([0.0, 10.0]), lambda x: "open" if x > 3.3 else "shut")

    assert len(axis) == 4
    assert axis[1] <= 3.3 < axis[2]
    assert axis[2] - axis[1] <= 0.0101


def test_nodes_are_put_where_a_line_would_cut_a_corner() -> None:
    """A bend at 3.3 between nodes at 0 and 10, by hand: what is read off the nodes put in misses it by no more than allowed."""

    def corner(x: float) -> tuple[float]:
        return (100.0 + max(0.0, x - 3.3),)

    axis = bent(np.array([0.0, 10.0]), corner)
    asked = np.linspace(0.0, 10.0, 401)
    errors = np.interp(asked, axis, [corner(float(one))[0] for one in axis]) - [corner(float(one))[0] for one in asked]

    assert len(axis) > 3
    assert np.abs(errors).max() < 0.1
    assert len(bent(np.array([0.0, 10.0]), lambda x: (100.0 + x,))) == 2


def test_darkness_begins_for_each_sample_at_its_own_moment() -> None:
    turns = Turns(False, np.array([100.0, 250.0]), None)  # type: ignore[arg-type]

    assert turns.at(np.array([99.0, 100.0, 249.0, 251.0, np.nan])).tolist() == [False, True, True, False, False]


@pytest.mark.parametrize("target", [LongRange(), BestRange()])
def test_the_surface_of_range_speeds_gives_the_settings_of_the_aircraft(target: SpeedTarget) -> None:
    """At weights, temperatures, altitudes and winds between its nodes: most of the aircraft's own speeds to 0.1 per cent and all to 0.4
    (the top of best range is flat, and she finds it herself to 0.1), and the fuel flow of her rounded levers but where a setting
    lies within a hair of a step of the gauges, which a few of sixty do."""
    crew, span = mudlark().crew, Span((21_000.0, 24_000.0), (-5.0, 20.0), (2000.0, 2050.0), (-15.0, 15.0))
    resolution = mudlark().mission.aircraft.instrument_resolution
    table = level_table(
        Asked(crew, target, 0.0, False), span, Gauges(resolution.engine_speed_rpm, resolution.manifold_pressure_pa)
    )
    chance = np.random.default_rng(7)
    drawn_at = [
        chance.uniform(*ends, 60) for ends in ((21_000.0, 24_000.0), (-5.0, 20.0), (2000.0, 2050.0), (-12.0, 12.0))
    ]
    tas, flow = table.at(*drawn_at)
    wrong, speeds = [], []
    for index, (mass, deviation, height, wind) in enumerate(zip(*drawn_at, strict=True)):
        air = Air(height, standard_temperature(height) + deviation)
        told = crew.performance.as_set(crew.performance.cruise(mass, air, target, headwind_m_per_s=wind))
        speeds.append(tas[index] / told.tas_m_per_s - 1.0)
        wrong += [flow[index] / told.fuel_flow_kg_per_s - 1.0]

    assert isinstance(table, RangeTable)
    assert np.sum(np.abs(speeds) > 1e-3) <= 15
    assert np.abs(speeds).max() < 4e-3
    assert np.sum(np.abs(wrong) > 4e-3) <= 8
    assert np.abs(wrong).max() < 0.03  # one step of the manifold gauge


def test_the_levers_held_at_another_engine_speed_give_the_same_thrust() -> None:
    """`held_at` at the engine speed of a rounded setting is what that setting was rounded from, flow along a straight line."""
    performance = mudlark().crew.performance
    exact = performance.cruise(22_000.0, Air(2000.0, standard_temperature(2000.0) + 8.0), LongRange())
    rounded = performance.as_set(exact)
    assert rounded.engine_speed_rpm is not None
    assert rounded.manifold_pressure_pa is not None

    pair = performance.held_at(exact, rounded.engine_speed_rpm)

    assert pair is not None
    more_pa = rounded.manifold_pressure_pa - pair.manifold_pressure_pa
    step_pa = mudlark().mission.aircraft.instrument_resolution.manifold_pressure_pa
    assert -1.0 < more_pa < step_pa
    assert pair.fuel_flow_kg_per_s + more_pa * pair.fuel_flow_per_pa == pytest.approx(
        rounded.fuel_flow_kg_per_s, rel=2e-4
    )


def test_replays_are_flights() -> None:
    """At landing the same samples flown in full by the planning program: their time within a hundredth of the spread, their fuel
    within a fortieth (here and there a sample takes the next step of a gauge). The mean and the spread are those of the flights."""
    found = spread(mudlark(), samples=600, seed=3, in_full=25)
    checked = found.checked

    assert checked.count == 25
    assert checked.part_of_time < 0.013
    assert checked.part_of_fuel < spreading.ERROR_LIMIT
    assert checked.means[0][0] == pytest.approx(checked.means[0][1], abs=0.5)
    assert checked.sds[1][0] == pytest.approx(checked.sds[1][1], rel=0.05)
    assert (found.off_s, found.off_kg) < (spreading.OFF_LIMIT_S, spreading.OFF_LIMIT_KG)
    assert abs(sum(time for _, time, _ in found.shares) - 1.0) < 1e-9


def test_consumption_alone_spreads_the_burn_by_its_own_part() -> None:
    """More on every flow is as much more burnt as in flights, a little less than in proportion: she is lighter for it."""
    flown = mudlark()
    draws = drawn(alone(SUPPOSED, "consumption"), 30, 2)
    replay = Replay(flown, SUPPOSED)
    full_kg = np.array(
        [one.phases[-1].end.fuel_kg for one in flown_in_full(flown, draws, range(1, 31), replay.centre_deg)]
    )
    begun_kg = flown.departure.fuel_kg
    slopes = [
        np.polyfit(draws.consumption[1:], begun_kg - left, 1)[0]
        for left in (full_kg, replay.replayed(draws).fuel_kg[-1, 1:])
    ]
    planned_kg = begun_kg - flown.phases[-1].end.fuel_kg

    assert slopes[1] == pytest.approx(slopes[0], rel=0.02)
    assert 0.9 * planned_kg < slopes[1] < planned_kg


def test_the_same_seed_gives_the_same_figures() -> None:
    replay = Replay(mudlark(), SUPPOSED)
    first, again, other = (replay.replayed(drawn(SUPPOSED, 20, seed)).fuel_kg for seed in (4, 4, 5))

    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_nothing_is_supposed_where_the_mission_says_nothing() -> None:
    flown = mudlark()
    with pytest.raises(UsageError, match="does not say what is uncertain"):
        spread(replace(flown, mission=replace(flown.mission, uncertainty=None)))


def test_replays_too_far_from_flights_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spreading, "ERROR_LIMIT", 1e-6)
    with pytest.raises(PlanError, match="of the spread in time"):
        spread(mudlark(), samples=100, seed=3, in_full=10)


def test_samples_the_aircraft_cannot_fly_are_counted_by_reason() -> None:
    """A hundred times the spread of the weight takes her beyond what she climbs with: refused by name, and in no figure."""
    flown = mudlark()
    heavy = replace(SUPPOSED, weight_sd_kg=8000.0)
    found = Replay(flown, SUPPOSED).replayed(drawn(heavy, 200, 2))

    assert (found.refused > 0).sum() > 20
    assert all(": " in reason for reason in found.reasons)
    assert np.isnan(found.fuel_kg[-1][found.refused > 0]).all()
    assert not np.isnan(found.fuel_kg[-1][found.refused == 0]).any()
