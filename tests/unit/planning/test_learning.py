"""Learning from many logs: known factors found again within the stated uncertainty, what cannot be told, what is proposed."""

from __future__ import annotations

import math
import random
import subprocess
from functools import cache
from pathlib import Path

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.model.performance import Air, GivenSetting
from briefgen.planning.after.blanks import blanks_of
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.learning.figures import enter
from briefgen.planning.learning.fit import LEAST_FLIGHTS, learn
from briefgen.planning.learning.observations import (
    BURN,
    FLOW_AT_SETTING,
    FLOW_AT_SPEED,
    SPEED_AT_SETTING,
    Observation,
    State,
    observations_of,
)
from briefgen.planning.learning.proposal import LEAN_CONSUMPTION, ZERO_LIFT_DRAG, propose
from briefgen.spec.propose import patch_of
from briefgen.spec.read_log import read_log
from tests.shared.demo_missions import SPECS, mission_of

TRIALS, FLIGHTS = 400, 30
# Of 400 trials 95 in a hundred are 380; the binomial law lets 2.6 standard deviations, 11, miss in one run of a hundred.
FEWEST_HELD = 380 - 12
CONSUMPTION, SPEED, SLOPE = 1.03, 0.99, 2.2
FLOW_ERROR, SPEED_ERROR, BURN_ERROR = 0.02, 0.01, 0.015


def drawn(chance: random.Random, *, kinds: tuple[str, ...], flights: int = FLIGHTS) -> list[Observation]:
    """Return what flights of known factors would say, read with errors that are twice too small by half of the gauges."""
    logs = math.log(CONSUMPTION), math.log(SPEED)
    shapes = {
        FLOW_AT_SETTING: ((1.0, 0.0), FLOW_ERROR), SPEED_AT_SETTING: ((0.0, 1.0), SPEED_ERROR),
        FLOW_AT_SPEED: ((1.0, -SLOPE), FLOW_ERROR), BURN: ((1.0, -SLOPE), BURN_ERROR),
    }  # fmt: skip
    found = []
    for flight in range(flights):
        for kind in kinds:
            row, error = shapes[kind]
            true = row[0] * logs[0] + row[1] * logs[1]
            found.append(Observation(f"{flight:02d}", kind, row, true + chance.gauss(0.0, error), error))
    return found


@pytest.mark.parametrize("kinds", [(FLOW_AT_SETTING, SPEED_AT_SETTING), (FLOW_AT_SPEED, SPEED_AT_SETTING, BURN)])
def test_known_factors_lie_within_the_stated_interval_in_95_trials_of_a_hundred(kinds: tuple[str, ...]) -> None:
    """Four hundred times thirty flights: each interval holds its truth as often as it says."""
    chance, held = random.Random(16), {"consumption": 0, "speed": 0}
    for _ in range(TRIALS):
        for factor in learn(drawn(chance, kinds=kinds)).factors:
            held[factor.name] += factor.low <= {"consumption": CONSUMPTION, "speed": SPEED}[factor.name] <= factor.high

    assert all(FEWEST_HELD <= count <= TRIALS for count in held.values()), held
    assert all(count < TRIALS for count in held.values())  # an interval that always holds is too wide


def test_flows_at_airspeeds_cannot_part_consumption_from_speed() -> None:
    """What is then found is the flow at the airspeeds flown: the one over the other to the slope, by hand."""
    learned = learn(drawn(random.Random(2), kinds=(FLOW_AT_SPEED,)))

    (factor,) = learned.factors
    assert factor.low <= CONSUMPTION * SPEED**-SLOPE <= factor.high
    assert learned.fitted == ("consumption",)
    words = enter(learned, mission_of("mudlark")).ledger["learning.consumption.meaning"].value
    assert "cannot be told apart" in str(words)


def test_few_flights_say_nothing() -> None:
    """One is never enough, and neither are four."""
    with pytest.raises(OutOfRangeError, match=f"{LEAST_FLIGHTS - 1} flights say something"):
        learn(drawn(random.Random(1), kinds=(FLOW_AT_SETTING,), flights=LEAST_FLIGHTS - 1))


def test_a_factor_that_hangs_on_weight_is_no_factor() -> None:
    """Flows four per cent high when heavy and right when light: the table is wrong, and nothing is proposed."""
    chance, air, found = random.Random(5), Air(2500.0, 280.0), []
    for flight in range(FLIGHTS):
        mass_kg = 17_000.0 + 150.0 * flight
        ratio = 0.04 * flight / FLIGHTS + chance.gauss(0.0, 0.005)
        state = State(mass_kg, air, GivenSetting(1700.0, 95_000.0, "lean"), "lean")
        found.append(Observation(f"{flight:02d}", FLOW_AT_SETTING, (1.0, 0.0), ratio, 0.005, state))
    aircraft = mission_of("mudlark").aircraft

    learned = learn(found)

    assert {trend.over: trend.shows for trend in learned.trends} == {"weight": True}
    assert propose(learned, found, aircraft, "100/130").why_not.startswith("the residuals hang on weight")


@cache
def mudlark() -> Flown:
    return fly(mission_of("mudlark"))


@cache
def observed(count: int) -> tuple[Observation, ...]:
    flown, found = mudlark(), []
    for file in sorted((SPECS / "logs" / "mudlark").glob("*.yaml"))[:count]:
        log = read_log(file, flown.mission, blanks_of(flown.mission, flown.phases))
        found += observations_of(flown, log, file.stem)
    return tuple(found)


def test_logs_of_an_aircraft_that_burns_more_and_flies_slower_say_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Eight of the thirty invented flights: both factors, their proposal as a patch that applies, and the file left alone."""
    flown, kinds = mudlark(), {one.kind for one in observed(8)}
    file = SPECS / "aircraft" / "t4-freighter.yaml"
    before = file.read_text(encoding="utf-8")

    learned = learn(observed(8))
    proposal = propose(learned, list(observed(8)), flown.mission.aircraft, flown.mission.fuel_grade)
    changes = {change.path: change.ratio for change in proposal.changes}
    monkeypatch.chdir(tmp_path)
    Path("t4.yaml").write_text(before, encoding="utf-8")
    patch = patch_of(Path("t4.yaml"), [(change.path, change.ratio, change.why) for change in proposal.changes])
    Path("change.patch").write_text(patch, encoding="utf-8")
    alone = Path("t4.yaml").read_text(encoding="utf-8")
    subprocess.run(["git", "apply", "change.patch"], check=True)

    assert kinds == {FLOW_AT_SETTING, SPEED_AT_SETTING, BURN}
    by_name = {factor.name: factor for factor in learned.factors}
    assert by_name["consumption"].low <= CONSUMPTION <= by_name["consumption"].high
    assert by_name["speed"].low <= SPEED <= by_name["speed"].high
    assert changes[LEAN_CONSUMPTION] == by_name["consumption"].value
    assert ZERO_LIFT_DRAG not in changes or changes[ZERO_LIFT_DRAG] > 1.0
    assert file.read_text(encoding="utf-8") == alone == before
    lean = f"lean: {0.403 * by_name['consumption'].value:.4f} lb/(hp h)"
    assert lean in Path("t4.yaml").read_text(encoding="utf-8")
