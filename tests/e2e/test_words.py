"""Words of the trade where a crew reads: an altitude is counted from the sea or on the standard setting, a height from the ground."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from briefgen.model.plan import Plan
from tests.shared.demo_missions import NAMES, plan_of

HEIGHTS = re.compile(
    r"above the (?:field|top|overcast|end|ground)|over the (?:target|end|height|ground|unstick)|passing|obstacle|of the (?:sun|moon)"
    r"|circuit height|reserve height|height needed|(?:least|from) height|band of heights|cold.temperature|height over"
    r"|holds? (?:no )?height|hold(?:s|ing)? (?:her|their|its) height|height (?:cannot|can) be held|height is crossed|: height$"
    r"|in space, height and time|at heights|less the elevation|as high as|at her height|keeps height|drops? height",
    re.IGNORECASE,
)
OF_A_CLEARANCE = ("fields.obstacles",)


def said(plan: Plan) -> Iterator[str]:
    """Yield what the plan prints in words: labels, methods, heads and notes of tables, titles and texts of findings, events."""
    for entry in plan.ledger.entries.values():
        yield entry.label
        yield entry.method
    for table in plan.tables.values():
        if table.name not in OF_A_CLEARANCE:
            yield from (column.head for column in table.columns)
            yield table.note
    for found in plan.findings:
        yield from (found.title, found.text, found.cure)
    for event in plan.events:
        yield event.text


@pytest.mark.parametrize("name", NAMES)
def test_what_is_counted_from_the_sea_is_called_an_altitude(name: str) -> None:
    words = {re.sub(r"\{[^}]*\}", "", text) for text in said(plan_of(name))}
    wrong = sorted(
        text for text in words if re.search(r"\bheights?\b", text, re.IGNORECASE) and not HEIGHTS.search(text)
    )

    assert len(words) > 300
    assert wrong == []


@pytest.mark.parametrize("name", NAMES)
def test_one_word_for_one_thing(name: str) -> None:
    """Decision speed, boost, minimum safe altitude; nothing is left of the words that stood beside them."""
    words = " | ".join(said(plan_of(name)))

    assert not re.search(
        r"critical speed|booster|safe height|turbo not needed|fuel left\b(?! and right)", words, re.IGNORECASE
    )


@pytest.mark.parametrize("name", ["mudlark", "plumb-line"])
def test_the_mixture_is_called_what_the_quadrant_of_the_aircraft_calls_it(name: str) -> None:
    """Auto-lean and auto-rich where the file says so, lean and rich where it says nothing: in figures, limits and levers."""
    plan, auto = plan_of(name), name == "mudlark"

    told = {str(entry.value) for key, entry in plan.ledger.entries.items() if key.endswith(".mixture")}
    limits = " ".join(
        str(entry.value) for key, entry in plan.ledger.entries.items() if re.fullmatch(r"power\.\d+\.limit", key)
    )
    steps = {step for event in plan.events for step in event.steps if step.startswith("Mixture")}

    assert told
    assert told <= ({"auto-lean", "auto-rich"} if auto else {"lean", "rich"})
    assert not auto or steps == {"Mixture auto-lean", "Mixture auto-rich"}
    assert not auto or not re.search(r"(?<!auto-)\b(?:lean|rich) limit", limits)
