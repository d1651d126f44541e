"""A fact that a section and a rule both judge stands in the review once, by the stricter, with what one can do about it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from briefgen.model.plan import Finding
from briefgen.model.rules import RuleSet
from briefgen.planning.ledger import subjects
from briefgen.planning.review.once import Judged, each_once, told_by
from briefgen.planning.review.rules import write_review
from tests.shared.review_cases import good
from tests.shared.review_scene import KT, Change, put, rule


def section(subject: str, outcome: str = "fail", cure: str = "", adds: str = "") -> Finding:
    """Return a finding as a section makes one."""
    return Finding(
        f"section-{subject}-{outcome}", outcome, "Section", "Found so.", "a", "b", "c", "aircraft file", cure, "fields",
        subject, adds,
    )  # fmt: skip


def reviewed(change: Change, ident: str, *told: Finding) -> tuple[Finding, ...]:
    """Return the findings when one rule of the set and some findings of sections stand beside each other."""
    scene = change(good())
    writer = scene.written()
    mission = replace(scene.mission, rules=RuleSet("one rule", scene.mission.rules.fuel, (rule(ident),)))
    return write_review(mission, scene.phases, writer, scene.performance, told, scene.diversions)  # type: ignore[arg-type]


def tail_wind_key() -> str:
    """Return the key of the tail wind at take-off in the constructed scene."""
    (key,) = (key for key in good().entries if key.endswith(".tailwind") and "lx01" in key and "departure" in key)
    return key


def over(left_kg: float) -> Change:
    """Return the change that puts the ramp weight over its limit."""
    limit = good().mission.aircraft.balance.limits.ramp_kg
    assert limit is not None
    return put({"mass.ramp": limit + left_kg})


def test_a_breach_that_a_rule_judges_is_told_by_the_rule_alone() -> None:
    found = reviewed(over(10.0), "ramp-mass", section(subjects.mass("ramp")))

    assert [one.ident for one in found] == ["ramp-mass"]


def test_the_cure_of_the_section_goes_over_to_the_rule() -> None:
    told = section(subjects.mass("ramp"), cure="leave behind Rice (600 lb)", adds="The load is 600 lb too much.")

    (found,) = reviewed(over(10.0), "ramp-mass", told)

    assert found.cure == "leave behind Rice (600 lb)"
    assert " The load is 600 lb too much. The rule: " in found.text


def test_a_cure_without_a_figure_yields_to_that_of_the_rule_with_one() -> None:
    (found,) = reviewed(over(10.0), "ramp-mass", section(subjects.mass("ramp"), cure="load less"))

    assert found.cure == "leave {finding.ramp-mass.cure} behind"


def test_what_the_rule_passes_stays_a_finding_of_the_section() -> None:
    """A section may be stricter than the rule set; then nothing it says is lost."""
    found = reviewed(over(-100.0), "ramp-mass", section(subjects.mass("ramp"), cure="leave 1 lb behind"))

    assert [(one.ident, one.outcome) for one in found] == [("section-mass ramp-fail", "fail"), ("ramp-mass", "pass")]


def test_a_fact_of_another_subject_stays() -> None:
    found = reviewed(over(10.0), "ramp-mass", section("mass hung up"), section(""), section(""))

    assert len(found) == 4


def test_a_breach_at_one_field_does_not_answer_for_another_that_keeps_the_rule() -> None:
    """The rule breaks at the origin; what a section says of the alternate, where the rule is kept, stands."""
    there, here = section(subjects.wind("tailwind", "LX04")), section(subjects.wind("tailwind", "LX01"))

    found = reviewed(put({tail_wind_key(): 50.0 * KT}), "tailwind", there, here)

    assert [one.ident for one in found] == [there.ident, "tailwind"]


def test_the_same_fact_of_three_uses_is_told_once_by_the_worst() -> None:
    mild, severe = section("tailwind LX01", "caution"), section("tailwind LX01", "fail")

    assert each_once((mild, severe, mild)) == (severe,)


@pytest.mark.parametrize(
    ("rule_outcome", "section_outcome", "told"),
    [
        ("fail", "fail", True),
        ("fail", "caution", True),
        ("caution", "caution", True),
        ("pass", "pass", True),
        ("caution", "fail", False),
        ("pass", "caution", False),
    ],
)
def test_only_a_rule_at_least_as_strict_tells_it(rule_outcome: str, section_outcome: str, told: bool) -> None:
    one = section("landing LX02", section_outcome)

    assert bool(told_by([Judged("landing LX02", rule_outcome)], [one])) is told
