"""The review itself: its findings, the entries of each, its tables, and the vocabulary it shares with the rule files."""

from __future__ import annotations

from dataclasses import replace

import pytest

from briefgen.errors import PlanError
from briefgen.model.rule_kinds import PARAMETERS, RULE_KINDS
from briefgen.model.rules import RuleSet
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.rules import CHECKS, _evaluation, write_review
from tests.shared.review_cases import no_alternate
from tests.shared.review_scene import FT, LB, demo, good, mission_with, put, rule, without

US_GAL = 231.0 * 0.0254**3


def test_a_breach_names_measure_limit_margin_and_what_would_mend_it() -> None:
    short = put({"fuel.ramp": 1700.0})(good())

    finding, writer = short.judged(rule("fuel-on-board"))

    assert finding is not None
    assert finding.outcome == "fail"
    assert finding.text == (
        "The fuel at the ramp is {fuel.ramp}; at least {fuel.required.total} required: "
        "{finding.fuel-on-board.short} short. The rule: Fuel at the ramp covers every line of the fuel required, the unusable fuel included."
    )
    assert finding.cure == "carry {finding.fuel-on-board.cure} more, or shorten the flight"
    assert finding.source == "house policy, after ICAO Annex 6 Part I 4.3.6.3 (house)"
    assert writer.number(finding.measured_key) == 1700.0
    assert writer.number(finding.limit_key) == 1790.0
    assert writer.number(finding.margin_key) == pytest.approx(-90.0)
    assert writer.number("finding.fuel-on-board.short") == pytest.approx(90.0)


def test_the_printed_amount_of_a_cure_is_enough() -> None:
    """90 kg at 720 kg/m3 are 33.02 US gal: 34 are printed."""
    finding, writer = put({"fuel.ramp": 1700.0})(good()).judged(rule("fuel-on-board"))

    assert finding is not None
    assert writer["finding.fuel-on-board.cure"].unit == "US gal"
    assert writer.number("finding.fuel-on-board.cure") / US_GAL == pytest.approx(34.0)


def test_a_cure_with_two_ways_out_gives_both_amounts() -> None:
    """10 kg short at 300 kg in 45 min are 90 s of holding: 2 min are printed."""
    finding, writer = put({"phase.05-cruise.fuel_remaining": 610.0})(good()).judged(rule("reserve-after-hold"))

    assert finding is not None
    assert finding.cure == (
        "carry {finding.reserve-after-hold.cure} more, or leave the hold {finding.reserve-after-hold.cure_time} earlier"
    )
    assert writer.number("finding.reserve-after-hold.cure_time") == pytest.approx(120.0)


def test_what_is_missing_is_named_in_full() -> None:
    blind = without("fuel.ramp", "fuel.required.total")(good())

    finding, writer = blind.judged(rule("fuel-on-board"))

    assert finding is not None
    assert finding.outcome == "fail"
    assert finding.text.startswith("Not known: fuel at the ramp, total fuel required. ")
    assert finding.cure == "supply fuel at the ramp, total fuel required"
    assert writer[finding.measured_key].value == "not known"


def test_the_margin_is_the_difference_and_promises_no_printed_sum() -> None:
    """It prints down: a sum of printed parts would now and then say one more than is in hand."""
    finding, writer = good().judged(rule("take-off-mass"))

    assert finding is not None
    limit, measured = writer.number(finding.limit_key), writer.number(finding.measured_key)
    assert writer.number(finding.margin_key) == pytest.approx(limit - measured)
    assert finding.margin_key not in {foot.result for foot in writer.sealed().feet}


def test_weather_below_minima_is_a_caution_where_an_alternate_answers_it() -> None:
    low = put({"weather.field.lx01.ceiling": 100.0 * FT})(good())

    with_alternate, _ = low.judged(rule("destination-weather"))
    alone, _ = no_alternate(low).judged(rule("destination-weather"))

    assert with_alternate is not None
    assert alone is not None
    assert (with_alternate.outcome, alone.outcome) == ("caution", "fail")
    assert "The alternate listed is Kestrel Landing (LX04)." in with_alternate.text


def test_the_worst_of_several_places_is_reported() -> None:
    gusty = put({"weather.field.lx04.crosswind": 50.0, "weather.field.lx01.crosswind": 40.0})(good())

    finding, writer = gusty.judged(rule("crosswind"))

    assert finding is not None
    assert finding.text.startswith("Kestrel Landing (LX04), runway 12: crosswind {finding.crosswind.measured}; ")
    assert "Also Harrow Point (LX01), runway 14: crosswind {finding.crosswind.also_01_measured}" in finding.text
    assert writer.number("finding.crosswind.also_01_measured") == 40.0


def test_findings_stand_in_the_order_a_commander_reads_them_and_in_a_table() -> None:
    scene = put({"fuel.ramp": 1700.0, "weather.field.lx01.ceiling": 100.0 * FT})(good())
    writer = scene.written()

    findings = write_review(scene.mission, scene.phases, writer, scene.performance, (), scene.diversions)  # type: ignore[arg-type]

    order = [finding.outcome for finding in findings]
    assert order == sorted(order, key=("fail", "caution", "pass").index)
    assert {"fail", "caution", "pass"} == set(order)
    assert [row.name for row in writer.tables["review"].rows] == [finding.ident for finding in findings]
    idle = [row.name for row in writer.tables["review_not_applicable"].rows]
    assert {"vfr-reserve-night", "alternate-needed", "island-reserve"} <= set(idle)
    assert len(findings) + len(idle) == len(scene.mission.rules.rules)


def test_a_check_nobody_knows_is_refused() -> None:
    unknown = replace(rule("duty"), check="moon phase")
    mission = mission_with(rules=RuleSet("odd", demo().rules.fuel, (unknown,)))(good()).mission

    with pytest.raises(PlanError, match="rule duty asks for the check 'moon phase'"):
        write_review(mission, (), LedgerWriter({}))


def test_every_kind_of_the_registry_is_evaluated_and_held_by_the_demo_rules() -> None:
    assert {one.check for one in demo().rules.rules} == set(CHECKS) == {kind.name for kind in RULE_KINDS}


def test_a_kind_without_a_function_is_named() -> None:
    """Registering a kind and forgetting its function is told with the name the function must have."""
    with pytest.raises(LookupError, match="wants one function moon_phase"):
        _evaluation("moon phase")


def test_every_parameter_of_the_registry_is_taken_by_a_kind() -> None:
    assert {name for kind in RULE_KINDS for name in kind.takes} == set(PARAMETERS)


def test_a_pass_close_to_its_limit_is_a_caution_that_asks_for_margin() -> None:
    limit = demo().aircraft.balance.limits.take_off_kg

    finding, writer = put({"mass.take_off": limit - 1.0 * LB})(good()).judged(rule("take-off-mass"))

    assert finding is not None
    assert finding.outcome == "caution"
    assert finding.cure == "leave {finding.take-off-mass.cure} behind: then {finding.take-off-mass.wanted} is in hand"
    assert writer.number("finding.take-off-mass.cure") / LB == pytest.approx(315.0)  # 0.5 % of 63,200 lb less the pound
    assert -1e-6 <= writer.number("finding.take-off-mass.wanted") - 0.005 * limit < LB
