"""Every rule of the house set at, just below and just above its limit, and without what it needs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.shared.review_cases import CASES, Case, no_alternate, outcome_of, table
from tests.shared.review_scene import demo, good, rule

RULES = [one.ident for one in demo().rules.rules]
FROM_THE_MISSION_ALONE = {
    # these hold what the author wrote against what the files say, and look nothing up
    "fuel-grade", "fuel-grade-destination", "person-mass", "crew-complete", "height-over-people", "risk-serious", "risk-high",
}  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.rule}: {case.told}")
def test_a_rule_decides_at_its_limit(case: Case) -> None:
    assert case.outcome == outcome_of(case)


@pytest.mark.parametrize("ident", RULES)
def test_every_rule_has_a_case_that_keeps_it_and_one_that_breaks_it(ident: str) -> None:
    outcomes = {case.outcome for case in CASES if case.rule == ident}

    assert outcomes & {"pass"}
    assert outcomes & {"caution", "fail"}


def test_the_flight_the_cases_start_from_keeps_every_rule() -> None:
    outcomes = {ident: finding.outcome for ident in RULES if (finding := good().judged(rule(ident))[0])}

    assert {"pass"} == set(outcomes.values()), outcomes


@pytest.mark.parametrize("ident", RULES)
def test_nothing_passes_because_figures_are_missing(ident: str) -> None:
    empty = replace(good(), entries={}, phases=(), performance=None)

    finding, _ = empty.judged(rule(ident))
    if finding is None:  # a rule for missions without an alternate
        finding, _ = no_alternate(empty).judged(rule(ident))

    assert finding is not None
    if ident in FROM_THE_MISSION_ALONE:
        assert finding.outcome == "pass"
    else:
        assert finding.outcome == "fail"
        assert finding.text.startswith("Not known: ")
        assert finding.cure.startswith("supply ")


def test_the_table_of_rules_and_cases_is_fresh() -> None:
    """Printed anew by: python tests/unit/planning/review_cases.py > tests/unit/planning/review_cases.md"""
    written = Path(__file__).with_name("review_cases.md").read_text(encoding="utf-8")

    assert table() == written
