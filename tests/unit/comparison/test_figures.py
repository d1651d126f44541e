"""What a difference did: the gravest first, rounding no difference, decisions by what they say."""

from __future__ import annotations

import json
from typing import Any

import pytest

from briefgen.comparison.compare import compare
from briefgen.comparison.plan_data import plan_data
from briefgen.comparison.text import comparison_json, comparison_text
from briefgen.errors import UsageError

POUND = 0.45359237


def entry(value: float | str, unit: str, printed: str, decimals: int = 0) -> dict[str, Any]:
    """Return an entry of a plan."""
    return {
        "label": "A figure",
        "value": value,
        "unit": unit,
        "decimals": decimals,
        "printed": printed,
        "method": "given",
    }


def pounds(value: float) -> dict[str, Any]:
    """Return a mass of so many pounds."""
    return entry(value * POUND, "lb", f"{round(value):,}")


def finding(ident: str, outcome: str, margin: str = "", title: str = "") -> dict[str, Any]:
    """Return a finding of a plan."""
    return {
        "ident": ident, "outcome": outcome, "title": title or ident.capitalize(), "text": "", "measured": "", "limit": "",
        "margin": margin, "source": "", "cure": "", "page": "fuel",
    }  # fmt: skip


def plan(
    entries: dict[str, Any], findings: list[dict[str, Any]] | None = None, events: list[Any] | None = None, **more: Any
) -> Any:
    """Return the data of a plan."""
    mission = {"number": "X-1", "name": "Trial", "revision": 1}
    return {
        "briefgen": "plan/1", "digest": "a" * 64, "mission": mission, "entries": entries, "findings": findings or [],
        "events": events or [], "files": {}, "written": {}, **more,
    }  # fmt: skip


def decision(at: str, text: str) -> dict[str, Any]:
    """Return a moment of decision."""
    return {"time": at, "kind": "decision", "text": text, "where": ""}


@pytest.mark.parametrize(
    ("before", "now", "differs"),
    [
        (pounds(663.51), pounds(664.49), False),  # 664 both
        (pounds(664.4), pounds(664.6), False),  # 664 and 665, a fifth of a pound apart
        (pounds(664.4), pounds(665.39), False),  # just under a whole pound
        (pounds(664.4), pounds(665.6), True),
        (entry("2027-02-17T16:29:31Z", "UTC", "16:30"), entry("2027-02-17T16:29:28Z", "UTC", "16:29"), False),
        (entry("2027-02-17T16:29:31Z", "UTC", "16:30"), entry("2027-02-17T16:28:20Z", "UTC", "16:28"), True),
        (entry(3599.0, "h:min", "1:00"), entry(3629.0, "h:min", "1:00"), False),
        (entry(3599.0, "h:min", "1:00"), entry(3689.0, "h:min", "1:01"), True),
        (entry(288.15, "degC", "15"), entry(287.6, "degC", "14"), False),
        (entry(288.15, "degC", "15"), entry(286.9, "degC", "14"), True),
        (pounds(664), entry(664 * POUND, "kg", "301"), True),  # printed in another unit
    ],
)
def test_rounding_is_no_difference(before: Any, now: Any, differs: bool) -> None:
    """A figure differs when its value moved by a whole step of its print, not when it was rounded to the other side."""
    found = compare(plan({"a.b": before}), plan({"a.b": now}))

    assert [one.key for one in found.figures] == (["a.b"] if differs else [])


def test_a_text_differs_by_its_words_and_not_by_the_figures_it_quotes() -> None:
    """The figures are compared as figures."""
    words = [entry(text, "", text) for text in ("broken at 400 ft", "broken at 300 ft", "overcast at 300 ft")]

    assert compare(plan({"a.b": words[0]}), plan({"a.b": words[1]})).words == ()
    assert len(compare(plan({"a.b": words[1]}), plan({"a.b": words[2]})).words) == 1


def test_findings_stand_in_the_order_of_their_gravity() -> None:
    """First those that now fail, then cautions, then what turned for the better; then the largest part of a margin gone."""
    margins = {"m.big": (1000, 900), "m.small": (100, 20), "m.grown": (100, 200)}
    before = {key: pounds(was) for key, (was, _) in margins.items()}
    now = {key: pounds(is_now) for key, (_, is_now) in margins.items()}
    still = [finding(key[2:], "pass", key) for key in margins]
    old = [
        *still,
        finding("broke", "pass"),
        finding("warns", "pass"),
        finding("mended", "fail"),
        finding("gone", "fail"),
    ]
    new = [
        *still,
        finding("broke", "fail"),
        finding("warns", "caution"),
        finding("mended", "pass"),
        finding("new", "fail"),
    ]

    found = compare(plan(before, old), plan(now, new))

    assert [one.ident for one in found.judged] == ["broke", "new", "warns", "mended", "gone", "small", "big", "grown"]
    assert [one.eaten_ratio for one in found.judged[-3:]] == pytest.approx([0.8, 0.1, -1.0])


def test_a_rule_more_that_is_met_is_no_consequence() -> None:
    """Nobody has to act on it."""
    assert compare(plan({}, []), plan({}, [finding("new", "pass")])).judged == ()


def test_a_decision_is_found_again_by_what_it_says() -> None:
    """It moved by two minutes; another by one, which is rounding; one came and one went."""
    entries = {"t": entry("2027-02-17T15:00:00Z", "UTC", "15:00")}
    before = ["Leave the hold by 15:09 UTC: 529 US gal", "Equal time: 1:19 h", "Turn back by 14:00 UTC"]
    now = ["Leave the hold by 15:07 UTC: 516 US gal", "Equal time: 1:20 h", "Last take-off 13:00 UTC"]

    found = compare(*(plan(entries, events=[decision("t", text) for text in texts]) for texts in (before, now)))

    assert [(one.before, one.now) for one in found.decisions] == [
        (before[0], now[0]),
        ("", now[2]),
        (before[2], ""),
    ]


def test_two_equal_plans_differ_in_nothing() -> None:
    """And the text says so in one line."""
    one = plan({"a.b": pounds(1)}, [finding("met", "pass", "a.b")])
    found = compare(one, one)

    assert found.nothing
    assert comparison_text(found).splitlines()[1] == "Nothing differs: the same files, the same figures."


def test_a_comparison_is_told_to_programs_whole() -> None:
    """Every figure that differs, also those that the terminal only counts."""
    found = compare(plan({"a.b": pounds(1), "a.c": pounds(1)}), plan({"a.b": pounds(9), "a.c": pounds(8)}))
    (told,) = json.loads(comparison_json([found]))["comparisons"]

    assert [(one["key"], one["before"], one["now"]) for one in told["figures"]] == [
        ("a.b", "1 lb", "9 lb"),
        ("a.c", "1 lb", "8 lb"),
    ]
    assert "In all 2 figures differ" in comparison_text(found)


@pytest.mark.parametrize(("text", "told"), [("{", "not JSON"), ("[]", "not a plan"), ('{"briefgen": "plan/2"}', "not a plan"), ('{"briefgen": "plan/1"}', "does not hold digest")])  # fmt: skip
def test_what_is_no_plan_is_refused(text: str, told: str) -> None:
    """The message names the file."""
    with pytest.raises(UsageError, match=told) as caught:
        plan_data(text, "old.json")

    assert caught.value.where == "old.json"
