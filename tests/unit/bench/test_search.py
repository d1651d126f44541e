"""How far a value may go: the search itself by hand-made tests, and one limit of a demo mission by its two whole plans."""

from __future__ import annotations

import pytest

from briefgen.bench.search import Found, first_failing, last_passing, search, search_text
from briefgen.bench.vary import planned
from briefgen.errors import UsageError
from briefgen.model.bench import Change
from tests.shared.demo_missions import SPECS, plan_of

MUDLARK = SPECS / "mudlark.yaml"


@pytest.mark.parametrize("limit", [0, 1, 2, 3, 7, 8, 9, 1000, 4095])
def test_halving_ends_at_the_last_that_passes(limit: int) -> None:
    """A test that fails beyond a limit is found to the step, in about twice the logarithm of it."""
    asked: list[int] = []

    def fails(steps: int) -> str:
        asked.append(steps)
        return "too much" if steps > limit else ""

    beyond = first_failing(fails, 1, 65_536)
    assert beyond is not None
    assert last_passing(fails, beyond // 2, beyond) == limit
    assert len(asked) <= 2 * max(1, limit).bit_length() + 3


def test_what_never_fails_has_no_limit() -> None:
    assert first_failing(lambda steps: "", 1, 64) is None


def test_the_least_fuel_passes_and_a_gallon_less_does_not() -> None:
    """Mudlark carries 430 US gal. The search must land on a gallon at which nothing new fails, one below at which something does."""
    plan = plan_of("mudlark")
    found = search(MUDLARK, plan, "load.fuel.at ramp", most=False)
    failing = {finding.ident for finding in plan.findings if finding.outcome == "fail"}

    def new_failures(fuel: str) -> set[str]:
        return {
            one.ident for one in planned(MUDLARK, [Change("load.fuel.at ramp", fuel)]).findings if one.outcome == "fail"
        } - failing

    assert float(found.last.split()[0]) - float(found.next.split()[0]) == 1.0
    assert not new_failures(found.last)
    assert new_failures(found.next) == {"growing-reserve"}
    assert found.stopped_by.startswith("Reserve growing with the flight")


def test_a_path_without_a_quantity_is_refused() -> None:
    with pytest.raises(UsageError, match="is no number with a unit"):
        search(MUDLARK, plan_of("mudlark"), "name", most=True)
    with pytest.raises(UsageError, match=r"nothing is written at 'load\.fuel\.at rmp'"):
        search(MUDLARK, plan_of("mudlark"), "load.fuel.at rmp", most=True)


def test_the_sentences_say_what_was_not_counted() -> None:
    found = Found("Mudlark", "most", "head wind", "0 kt", "4 kt", "5 kt", "Fuel: short", ("Obstacles",), 10, 7)
    text = search_text(found)

    assert "the most that still passes: 4 kt" in text
    assert "failing as written already, and not counted: Obstacles" in text
