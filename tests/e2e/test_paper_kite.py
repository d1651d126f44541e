"""The mission that nobody should fly: planned in full, and refused by the review for the reasons written into it."""

from __future__ import annotations

from pathlib import Path

import pytest

from briefgen.model.plan import Finding, Plan
from tests.shared.demo_missions import plan_edited, plan_of

# Rule by rule, what in paper-kite.yaml breaks it. Limits are those of the aircraft file and of the rule sets.
FAILS = {
    "fuel-on-board": "1,780 US gal for a flight with a long hold and a far alternate",
    "reserve-after-hold": "nothing is left after the hold and the way to Kestrel Landing",
    "ifr-reserve": "nor 45 minutes beyond the alternate",
    "growing-reserve": "nor 30 minutes and 15 % of the way",
    "fuel-grade": "Harrow Point has 91/96, the plan wants 100/130",
    "fuel-grade-destination": "no fuel is named for Old Quarry Strip",
    "ramp-mass": "over 63,700 lb",
    "take-off-mass": "over 63,200 lb",
    "zero-fuel-mass": "over 53,400 lb",
    "envelope": "heavier than the envelope",
    "tailwind": "runway 32 in a south-easterly",
    "accelerate-stop": "too heavy for 5,900 ft",
    "accelerate-go": "too heavy for 5,900 ft",
    "landing-destination": "2,950 ft of soft strip",
    "night-lights": "a strip without lights at night",
    "alternate-minima": "Kestrel Landing in fog",
    "height-over-people": "300 ft over the people below",
    "safe-heights": "5,300 ft where 5,600 ft is safe; below it by night and over cloud, and no procedure named",
    "climb-all-engines": "too heavy to climb over the sea",
    "climb-one-out": "too heavy on three engines",
    "climb-two-out": "nor on two, and no aerodrome within 90 minutes that can be landed on when she would come there",
    "duty": "seven hours between briefing and the engines",
    "crew-complete": "no navigator",
    "risk-high": "a high risk that stays high",
}
CAUTIONS = {
    "cruising-level": "5,300 ft is a level of no system",
    "drop-balance": "a load at the door moves the centre of gravity too far aft",
    "person-mass": "a loadmaster of 150 lb",
    "take-off-50ft": "over 85 % of the runway",
    "destination-weather": "ceiling of 400 ft, minima of 800 ft",
    "risk-serious": "a high risk is above medium too",
}
LIMITS = {  # limits of the aircraft file that no rule of the set judges, by title
    "Weight: Landing, drop pass 1 hung up",
    "Every item in a bay that takes it",
}


def outcomes(outcome: str) -> set[str]:
    """Return the identifiers of the rules of the mission's set that came out so."""
    plan = plan_of("paper-kite")
    rules = {rule.ident for rule in plan.mission.rules.rules}
    return {found.ident for found in plan.findings if found.outcome == outcome} & rules


def test_every_rule_written_to_fail_fails_and_no_other() -> None:
    """The review finds what was put in, and only that."""
    assert outcomes("fail") == set(FAILS)


def test_every_rule_written_to_be_a_caution_is_one() -> None:
    """What the house only warns of stays a caution, however bad the mission."""
    assert outcomes("caution") == set(CAUTIONS)


def test_limits_of_the_aircraft_without_a_rule_are_found_broken_beside_the_rules() -> None:
    """What no rule of the set judges is held against the aircraft file all the same; what one judges is told by it."""
    plan = plan_of("paper-kite")
    rules = {rule.ident for rule in plan.mission.rules.rules}

    assert {found.title for found in plan.findings if found.outcome == "fail" and found.ident not in rules} == LIMITS


def finding(ident: str) -> Finding:
    """Return one finding of the mission."""
    return next(found for found in plan_of("paper-kite").findings if found.ident == ident)


def test_a_rule_tells_what_the_section_found_out_about_the_same_fact() -> None:
    """The weight that must stay behind, and the load that does it, are not lost with the section's finding."""
    to_stop, to_go = finding("accelerate-stop"), finding("accelerate-go")

    assert "Not today, unless {fields.take_off.lx01.left_behind} stays behind." in to_stop.text  # the one that governs
    assert to_stop.cure.startswith("leave {fields.take_off.lx01.left_behind} behind, or find ")
    assert to_go.cure.startswith(
        "take off at no more than {fields.take_off.lx01.accelerate_go.greatest_mass}, or find "
    )
    assert finding("envelope").cure.startswith("leave behind Field kitchen (7,400 lb)")
    assert (
        finding("ramp-mass").cure
        == "leave {balance.ramp.mass_over} behind; see the change of load under 'Centre of gravity'"
    )


def test_a_limit_broken_at_two_fields_is_told_once_and_names_both() -> None:
    """Runways 32 and 27 in a south-easterly: one finding, not one for each use."""
    winds = [found for found in plan_of("paper-kite").findings if "ail wind" in found.text]

    assert [found.ident for found in winds if found.outcome == "fail"] == ["tailwind"]
    assert "Harrow Point (LX01), runway 32" in winds[0].text
    assert "Old Quarry Strip (LX02), runway 27" in winds[0].text


def test_every_failure_says_what_would_make_it_pass_and_where_it_stands() -> None:
    """A reader of the review page is never left with a bare no."""
    failed = [found for found in plan_of("paper-kite").findings if found.outcome == "fail"]

    assert [found.ident for found in failed if not (found.cure and found.source and found.text and found.page)] == []


@pytest.mark.parametrize(
    ("ident", "file", "old", "new"),
    [
        ("fuel-grade", "places/coral-sea.yaml", "fuel: [91/96]", "fuel: [91/96, 100/130]"),
        ("alternate-minima", "weather/paper-kite.yaml", "      BECMG 1010/1012 0400 FG OVC001\n", ""),
        ("height-over-people", "paper-kite.yaml", "altitude: 300 ft ", "altitude: 600 ft "),
        ("duty", "paper-kite.yaml", "before stations: 5 h 30 min", "before stations: 1 h 15 min"),
        ("risk-high", "paper-kite.yaml", "residual: occasional", "residual: improbable"),
        ("crew-complete", "paper-kite.yaml", "  radio operator: Pell", "  radio operator: Pell\n  navigator: Brede"),
    ],
)
def test_putting_one_thing_right_leaves_the_others(tmp_path: Path, ident: str, file: str, old: str, new: str) -> None:
    """Each failure hangs on its own line of its file."""
    plan = plan_edited(tmp_path, "paper-kite", (file, old, new))

    assert failures(plan) == set(FAILS) - {ident}


def test_a_safe_height_below_her_and_procedures_to_be_lower_by_put_the_heights_right(tmp_path: Path) -> None:
    """The cruise takes the height; what she flies low by night and over cloud takes a procedure at each end of it."""
    heights = ("paper-kite.yaml", 'safe altitude: "5,600 ft"', 'safe altitude: "5,200 ft"')
    places = (
        ('safe altitude: "3,400 ft" }', 'safe altitude: "3,400 ft", procedure: Harrow departure 32 }'),
        (
            "      altitude: 300 ft              # over people",
            "      altitude: 300 ft\n      procedure: Saddle low circuit",
        ),
        ("      bank: 10 deg\n", "      bank: 10 deg\n      procedure: Quarry hold and approach 27\n"),
        ("    because: the only other one", "    procedure: Kestrel approach 12\n    because: the only other one"),
    )
    named = [("paper-kite.yaml", old, new) for old, new in places]

    assert "safe-heights" in failures(plan_edited(tmp_path / "named", "paper-kite", *named))
    assert failures(plan_edited(tmp_path / "both", "paper-kite", heights, *named)) == set(FAILS) - {"safe-heights"}


def failures(plan: Plan) -> set[str]:
    """Return the identifiers of the rules of these tests that fail."""
    return {found.ident for found in plan.findings if found.outcome == "fail"} & set(FAILS)


@pytest.mark.parametrize("ident", ["climb-all-engines", "climb-one-out"])
def test_starting_that_much_lighter_meets_the_rate_of_climb(tmp_path: Path, ident: str) -> None:
    """The weight the cure names is enough on every leg, and a tenth less is not: two thirds kitchen, one third water.

    A lighter aircraft burns less on the way up, so at the ramp a little more must go than as the cruise begins: 3 %.
    """
    pounds = plan_of("paper-kite").ledger[f"finding.{ident}.cure"].value
    assert isinstance(pounds, float)

    def outcome_with(less_lb: float, folder: str) -> str:
        changes = [
            ("paper-kite.yaml", f'mass: "{whole_lb:,} lb"', f'mass: "{whole_lb - share * less_lb:.0f} lb"')
            for whole_lb, share in ((7_400, 2.0 / 3.0), (3_700, 1.0 / 3.0))
        ]
        plan = plan_edited(tmp_path / folder, "paper-kite", *changes)
        return next(found.outcome for found in plan.findings if found.ident == ident)

    in_full = pounds / 0.45359237

    assert outcome_with(1.03 * in_full, "enough") == "pass"
    assert outcome_with(0.9 * in_full, "less") == "fail"
