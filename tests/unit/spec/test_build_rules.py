"""Rule sets that extend one another: what holds, what is refused, and the exact words of the refusal."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from briefgen.model.rules import RuleSet
from briefgen.spec.build.rules import build_rules
from briefgen.spec.tree.files import SpecFiles

FUEL = """
fuel: {contingency: 5 %, final reserve: 45 min, final reserve height: "1,500 ft", island reserve: 2 h, source: the book}
"""
DUTY = """
rules:
  duty:
    check: duty length
    title: Duty
    text: Not too long.
    severity: fail
    source: the book
    provenance: house
    parameters: {time limit: 14 h}
"""


def texts(folder: Path, **files: str) -> tuple[RuleSet | None, list[str]]:
    """Return the set of child.yaml among files given as text, and the text of every fault."""
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(f"briefgen: rules/1\nname: {name}\n{text}", encoding="utf-8")
    spec = SpecFiles(folder)
    checked = spec.open("child.yaml", "rules")
    assert checked is not None
    built = build_rules(checked, partial(spec.refer, kind="rules"))
    return built, [fault.text() for fault in sorted(set(spec.all_faults()))]


def test_a_set_has_its_own_rules_and_those_it_extends(tmp_path: Path) -> None:
    night = DUTY.replace("duty:", "night:")

    built, faults = texts(tmp_path, parent=FUEL + DUTY, child=f"extends: [parent.yaml]\n{night}")

    assert faults == []
    assert built is not None
    assert [rule.ident for rule in built.rules] == ["duty", "night"]
    assert built.rules[0].parameters == {"time limit": 14 * 3600.0}
    assert built.rules[0].given == "parent.yaml:7"
    assert built.name == "child"


def test_of_the_fuel_policies_the_larger_number_of_each_line_holds(tmp_path: Path) -> None:
    other = FUEL.replace("5 %", "3 %").replace("45 min", "50 min").replace("the book", "another")

    built, _ = texts(tmp_path, parent=FUEL, child=f"extends: [parent.yaml]\n{other}")

    assert built is not None
    assert (built.fuel.contingency_ratio, built.fuel.final_reserve_s) == (0.05, 50 * 60.0)
    assert built.fuel.source == "the book; another"


def test_a_set_that_forbids_flying_without_an_alternate_is_the_strictest(tmp_path: Path) -> None:
    built, _ = texts(tmp_path, parent=FUEL.replace("2 h", "none"), child=f"extends: [parent.yaml]\n{FUEL}")

    assert built is not None
    assert built.fuel.island_reserve_s is None


def test_an_override_that_does_not_say_so_is_refused(tmp_path: Path) -> None:
    built, faults = texts(tmp_path, parent=FUEL + DUTY, child=f"extends: [parent.yaml]\n{DUTY}")

    assert built is None
    assert faults == [
        "child.yaml:6:3: 'duty' is already a rule of a set this one extends, from parent.yaml:7\n"
        "  expected: 'override: stricter' or 'override: replace'\n"
        "  hint: rename it, or say which it is"
    ]


def test_a_stricter_override_is_held_to_it(tmp_path: Path) -> None:
    laxer = DUTY.replace("14 h", "15 h") + "    override: stricter\n"

    built, faults = texts(tmp_path, parent=FUEL + DUTY, child=f"extends: [parent.yaml]\n{laxer}")

    assert built is None
    assert faults == [
        "child.yaml:13:18: 'time limit' is not as strict as in parent.yaml:7\n"
        "  expected: the same or smaller\n"
        "  hint: say 'override: replace' and why, if that is meant"
    ]


def test_a_stricter_override_holds(tmp_path: Path) -> None:
    stricter = DUTY.replace("14 h", "12 h") + "    override: stricter\n"

    built, faults = texts(tmp_path, parent=FUEL + DUTY, child=f"extends: [parent.yaml]\n{stricter}")

    assert faults == []
    assert built is not None
    assert [rule.parameters for rule in built.rules] == [{"time limit": 12 * 3600.0}]


def test_a_replacement_may_be_laxer_and_says_why(tmp_path: Path) -> None:
    laxer = DUTY.replace("14 h", "15 h") + "    override: replace\n"

    silent, faults = texts(tmp_path, parent=FUEL + DUTY, child=f"extends: [parent.yaml]\n{laxer}")
    spoken, _ = texts(tmp_path, child=f"extends: [parent.yaml]\n{laxer}    because: relief crew aboard\n")

    assert silent is None
    assert faults == [
        "child.yaml:14:5: rules.duty: it replaces a rule and does not say why\n  expected: because: the reason"
    ]
    assert spoken is not None
    assert spoken.rules[0].parameters == {"time limit": 15 * 3600.0}


def test_a_rule_can_be_left_out_with_its_reason(tmp_path: Path) -> None:
    built, _ = texts(
        tmp_path, parent=FUEL + DUTY, child="extends: [parent.yaml]\nwithout: {duty: flown by volunteers}\n"
    )
    unknown, faults = texts(tmp_path, child="extends: [parent.yaml]\nwithout: {dutty: flown by volunteers}\n")

    assert built is not None
    assert built.rules == ()
    assert unknown is None
    assert faults == [
        "child.yaml:4:11: there is no rule 'dutty' in the sets this one extends\n"
        "  expected: a rule of theirs\n"
        "  hint: did you mean 'duty'?"
    ]


@pytest.mark.parametrize(
    ("parameters", "text"),
    [
        (
            "{}",
            "child.yaml:6:3: rules.duty: parameter 'time limit' is missing\n"
            "  expected: the check 'duty length' with time limit",
        ),
        (
            "{time limit: 14 h, reserve: 45 min}",
            "child.yaml:13:36: rules.duty: 'reserve' is no parameter of the check 'duty length'\n"
            "  expected: one of time limit",
        ),
    ],
)
def test_a_check_is_given_its_parameters_and_no_others(tmp_path: Path, parameters: str, text: str) -> None:
    built, faults = texts(
        tmp_path, child="about: test\n" + FUEL.strip() + DUTY.replace("{time limit: 14 h}", parameters)
    )

    assert built is None
    assert faults == [text]


def test_sets_that_extend_one_another_in_a_ring_are_refused(tmp_path: Path) -> None:
    built, faults = texts(tmp_path, parent="extends: [child.yaml]\n", child=f"extends: [parent.yaml]\n{FUEL}")

    assert built is None
    assert faults == [
        "parent.yaml:3:11: 'child.yaml' extends itself by way of child.yaml and parent.yaml\n"
        "  expected: sets that extend one another in one direction only"
    ]


def test_two_sets_that_disagree_cannot_both_be_extended(tmp_path: Path) -> None:
    built, faults = texts(
        tmp_path, one=FUEL + DUTY, two=DUTY.replace("14 h", "13 h"), child="extends: [one.yaml, two.yaml]\n"
    )

    assert built is None
    assert faults == [
        "child.yaml:3:21: 'duty' stands in 'two.yaml' and differently in another set extended here\n"
        "  expected: sets that agree on a rule\n"
        "  hint: rename one of the two rules"
    ]


def test_a_set_needs_a_whole_fuel_policy_in_the_end(tmp_path: Path) -> None:
    built, faults = texts(tmp_path, child="fuel: {contingency: 5 %, source: the book}\n")

    assert built is None
    assert faults == [
        "child.yaml:3:1: fuel: final reserve, final reserve height, island reserve not given here nor in a set it extends\n"
        "  expected: a whole fuel policy"
    ]


def test_a_fault_of_an_extended_file_is_told_at_its_place(tmp_path: Path) -> None:
    built, faults = texts(tmp_path, parent=FUEL + DUTY.replace("14 h", "14"), child="extends: [parent.yaml]\n")

    assert built is None
    assert len(faults) == 1
    assert faults[0].startswith("parent.yaml:14:30: ")


@pytest.mark.parametrize(
    ("parent", "child", "holds"),
    [
        ("", "[commander]", True),
        ("[commander, chief pilot]", "[commander]", True),
        ("[commander]", "[nobody]", True),
        ("[commander]", "", False),
        ("[commander]", "[commander, dispatcher]", False),
        ("[nobody]", "[commander]", False),
        ("[nobody]", "", False),
    ],
)
def test_a_stricter_override_lets_nobody_more_accept_a_breach(
    parent: str, child: str, holds: bool, tmp_path: Path
) -> None:
    """Who may accept a breach may be fewer; no word about it means anybody."""

    def accepted(by: str) -> str:
        return DUTY + (f"    accepted by: {by}\n" if by else "")

    built, faults = texts(
        tmp_path,
        parent=FUEL + accepted(parent),
        child=f"extends: [parent.yaml]\n{accepted(child)}    override: stricter\n",
    )

    assert (built is not None) is holds
    assert [fault.split("\n")[0].split(": ", 1)[1] for fault in faults] == (
        [] if holds else ["more may accept a breach of 'duty' than in parent.yaml:7"]
    )


def test_nobody_is_nobody_else(tmp_path: Path) -> None:
    """A breach that nobody accepts is not accepted by a role as well."""
    _, faults = texts(tmp_path, child=FUEL + DUTY + "    accepted by: [nobody, commander]\n")

    assert faults == [
        "child.yaml:15:5: rules.duty: a breach is accepted by nobody and by commander\n  expected: [nobody] alone, or roles"
    ]


def test_a_role_has_one_key_in_all_sets(tmp_path: Path) -> None:
    """A set cannot put its own key in the place of another's."""
    one, other = ("A" * 43 + "=", "B" * 43 + "=")
    built, faults = texts(
        tmp_path, parent=f"{FUEL}approval keys: {{ commander: {one} }}\n{DUTY}", child="extends: [parent.yaml]\n"
    )
    assert faults == []
    assert built is not None
    assert built.approval_keys == {"commander": one}

    _, faults = texts(tmp_path, child=f"extends: [parent.yaml]\napproval keys: {{ commander: {other} }}\n")
    assert faults == [f"child.yaml:4:18: the commander has another key in a set this one extends\n  expected: {one}"]
