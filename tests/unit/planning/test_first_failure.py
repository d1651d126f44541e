"""The push at which the first requirement fails: found between a flight that holds and one that does not, in a few flights."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from briefgen.planning.search.first_failure import REFUSED, TRIES, FirstFailure, Reach, first_failure
from briefgen.planning.search.judged import Judgement, Standing

REACH = Reach(first=10.0, step=1.0, most=60.0)
Margin = Callable[[float], float]


def stood(margins: Mapping[str, Margin], push: float) -> dict[str, Standing]:
    """Return how requirements stand whose margins are functions of the push."""
    return {
        name: Standing(name.capitalize(), "pass" if margin(push) >= 0.0 else "fail", margin(push))
        for name, margin in margins.items()
    }


def found(margins: Mapping[str, Margin], reach: Reach = REACH) -> tuple[FirstFailure, list[float]]:
    """Return what is found and the pushes that were tried."""
    tried: list[float] = []

    def judge(push: float) -> Judgement:
        tried.append(push)
        return Judgement(stood(margins, push))

    return first_failure(stood(margins, 0.0), judge, reach), tried


def test_a_margin_that_shrinks_in_proportion_is_found_in_two_flights_more() -> None:
    """It holds at 23 and fails at 24; the estimate from the first flight is right."""
    first, tried = found({"fuel": lambda push: 23.5 - push, "time": lambda push: 50.0 - push})

    assert (first.holds_at, first.fails_at, first.ident) == (23.0, 24.0, "fuel")
    assert len(tried) <= TRIES


@pytest.mark.parametrize("power", [0.5, 1.0, 2.0, 3.0])
@pytest.mark.parametrize("place", [0.4, 3.0, 9.9, 31.2, 59.5])
def test_what_holds_and_what_fails_are_told_apart_however_the_margin_bends(power: float, place: float) -> None:
    """The answer is a bracket that was flown: nothing fails at its lower end, the requirement fails at its upper."""
    margin: Margin = lambda push: place**power - push**power  # noqa: E731
    first, tried = found({"fuel": margin})

    assert (
        first.fails_at is None or first.holds_at <= place < first.fails_at or first.holds_at < place <= first.fails_at
    )
    assert first.holds_at <= place
    assert first.fails_at is not None or first.holds_at in tried
    assert len(tried) == first.tries <= TRIES


def test_of_two_that_fail_the_one_whose_margin_runs_out_first_is_named() -> None:
    """Both are broken at the first trial."""
    first, _ = found({"late": lambda push: 4.2 - push, "early": lambda push: 2.2 - push})

    assert (first.ident, first.holds_at, first.fails_at) == ("early", 2.0, 3.0)


def test_what_failed_before_is_no_first_failure_and_what_grows_never_fails() -> None:
    """Nothing fails up to the most that is asked."""
    first, tried = found({"broken": lambda push: -1.0 - push, "grows": lambda push: 1.0 + push})

    assert (first.fails_at, first.holds_at, tried) == (None, 60.0, [10.0, 60.0])


def test_a_requirement_without_figures_is_halved_down_to() -> None:
    """It is met or not; the bracket is what the flights allow."""
    base = {"lights": Standing("Runway lights", "pass")}

    def judge(push: float) -> Judgement:
        return Judgement({"lights": Standing("Runway lights", "fail" if push > 6.0 else "pass")})

    first = first_failure(base, judge, REACH)

    assert (first.holds_at, first.fails_at, first.title) == (5.0, 7.0, "Runway lights")


def test_a_mission_that_can_no_longer_be_planned_says_why() -> None:
    """A refusal ends the search from above like a failure."""
    base = stood({"fuel": lambda push: 100.0 - push}, 0.0)

    def judge(push: float) -> Judgement:
        holds = Judgement(stood({"fuel": lambda more: 100.0 - more}, push))
        return Judgement(refused="the fuel is gone") if push > 12.0 else holds

    first = first_failure(base, judge, REACH)

    assert (first.title, first.why) == (REFUSED, "the fuel is gone")
    assert first.fails_at is not None
    assert first.holds_at <= 12.0 < first.fails_at


def test_a_requirement_that_the_plan_did_not_judge_says_nothing() -> None:
    """What is new in the pushed flight cannot be what fails first."""
    first = first_failure({}, lambda push: Judgement({"new": Standing("New", "fail", -1.0)}), REACH)

    assert first.fails_at is None
