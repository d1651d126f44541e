"""Replays against flights in full, and the parts they are made of against what is known of them."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from briefgen.errors import PlanError, UsageError
from briefgen.model.bench import FieldError, Uncertainty
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.replay import spread as spreading
from briefgen.replay.draws import alone, drawn
from briefgen.replay.full import flown_in_full
from briefgen.replay.replay import Replay
from briefgen.replay.spread import spread
from briefgen.replay.tables import read, refined
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


def test_replays_are_flights() -> None:
    """At landing the same samples flown in full by the planning program: their time within a hundredth of the spread, their fuel
    within a twentieth (the gauges' steps are followed to a few pounds). The mean and the spread are those of the flights."""
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
