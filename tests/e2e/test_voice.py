"""What the plan says to people: sentences without keys of the file, unfilled figures or slips, and a way out of every breach."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from briefgen.document.parts.format import Figures
from briefgen.model.plan import Plan
from tests.shared.demo_missions import SPECS, plan_of

MISSIONS = sorted(path.stem for path in SPECS.glob("*.yaml"))
KEPT_AS_WRITTEN = (".ident", ".issued", ".text")  # names of rules, reports and forecasts as issued
SLIPS = {
    "a key with an underscore": re.compile(r"\w_\w"),
    "a dotted key": re.compile(r"\b[a-z]+\.(?:\d\d|[a-z]{2,}\d*)\.[a-z]"),
    "an empty value": re.compile(r"\b(?:None|nan|inf)\b"),
    "two spaces": re.compile(r"\S  +\S"),
    "a brace": re.compile(r"[{}]"),
    "a stop too many": re.compile(r"(?<!\.)\.\.(?!\.)|[:;,]\.|\s[.,;]"),
    "a unit in the words of the file": re.compile(r"\bdeg[CFTM]\b"),
}


def filled(text: str, figures: Figures) -> str:
    """Return a text with the printed figures and units in place of what it quotes, as the document room sets it."""
    return figures.text(text).replace("\u00a0", " ")


def said(plan: Plan) -> Iterator[tuple[str, str]]:
    """Yield everything a plan says in words, each with where it says it."""
    figures = Figures(plan)
    for found in plan.findings:
        for part in ("title", "text", "cure"):
            yield f"{part} of finding {found.ident}", filled(getattr(found, part), figures)
    for entry in plan.ledger.entries.values():
        yield f"label of {entry.key}", filled(entry.label, figures)
        yield f"method of {entry.key}", filled(entry.method, figures)
        if isinstance(entry.value, str) and not entry.key.endswith(KEPT_AS_WRITTEN):
            yield f"words of {entry.key}", figures.quoted(entry.key).replace("\u00a0", " ")
    for table in plan.tables.values():
        yield f"title of table {table.name}", table.title
        yield f"note of table {table.name}", filled(table.note, figures)
        for column in table.columns:
            yield f"head of {column.name} in table {table.name}", column.head
    for event in plan.events:
        for line in (event.text, *event.steps):
            yield f"event at {event.time_key}", filled(line, figures)


@pytest.mark.parametrize("mission", MISSIONS)
def test_nothing_a_crew_reads_shows_how_the_plan_is_made(mission: str) -> None:
    """No key, no empty value, no brace and no slip of the pen in any finding, label, head, note or line of the timeline."""
    slips = [
        f"{where}: {name}: {text}"
        for where, text in said(plan_of(mission))
        for name, pattern in SLIPS.items()
        if pattern.search(text)
    ]

    assert slips == []


@pytest.mark.parametrize("mission", MISSIONS)
def test_a_finding_is_a_sentence(mission: str) -> None:
    """Its title and text begin with a capital or a figure, and the text ends with a stop."""
    plan = plan_of(mission)
    figures = Figures(plan)
    wrong = []
    for found in plan.findings:
        text, title = filled(found.text, figures), filled(found.title, figures)
        if text[0].islower() or title[0].islower() or not text.endswith("."):
            wrong.append(f"{found.ident}: {title}: {text}")

    assert wrong == []


@pytest.mark.parametrize("mission", MISSIONS)
def test_what_is_not_met_says_what_would_meet_it(mission: str) -> None:
    """Every failure and caution has a cure, and only those: what passes asks nothing."""
    findings = plan_of(mission).findings

    assert [found.ident for found in findings if bool(found.cure) != (found.outcome != "pass")] == []


@pytest.mark.parametrize("mission", MISSIONS)
def test_no_two_findings_of_a_mission_say_the_same(mission: str) -> None:
    """A commander reads each fact once."""
    plan = plan_of(mission)
    figures = Figures(plan)
    told = [filled(found.text, figures) for found in plan.findings if found.outcome != "pass"]
    subjects = [found.subject for found in plan.findings if found.subject]

    assert len(told) == len(set(told))
    assert len(subjects) == len(set(subjects))


@pytest.mark.parametrize("mission", MISSIONS)
def test_a_place_is_named_once_in_a_sentence(mission: str) -> None:
    """The name, then the identifier in brackets: never the identifier before the name."""
    plan = plan_of(mission)
    figures = Figures(plan)
    places = {(place.ident, place.name) for place in plan.mission.places if place.name and place.ident != place.name}
    wrong = [
        found.ident
        for found in plan.findings
        for ident, name in places
        if f"{ident} {name}" in filled(found.text, figures)
    ]

    assert wrong == []
