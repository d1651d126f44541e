"""One figure, one print: pages, cards, terminal and plan.json show an entry alike, and no two entries are one fact."""

from __future__ import annotations

import dataclasses
import json
import re
from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime
from typing import get_args

import pytest

from briefgen.document.cards.contents import all_cards
from briefgen.document.downloads import plan_json
from briefgen.document.pages.contents import site_pages
from briefgen.document.parts.assemble import Source, source_of
from briefgen.document.terminal import terminal_text
from briefgen.model.ledger import Entry
from briefgen.model.plan import PhaseKind
from tests.shared.demo_missions import NAMES, plan_of

NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")
# Rows of a family by themselves: a number, a field, a line of a pattern, a phase by its kind and a point of it.
ROW = re.compile(rf"\d+|lx\d+(?:-\d+)?|at_\d+|[a-z\-]+\d{{2}}(?:-\d+)?|(?:{'|'.join(get_args(PhaseKind))})-.+")
# Two entries with one label, one unit and one value that are two facts, and why.
TWO_FACTS = (
    (r"leg\..*\.distance", r"place\..*\.distance", "how far the author placed a point, and how far it is flown"),
    (r"fields\.landing\..*", r"fields\.take_off\..*", "each use of a runway stands by itself: another may be closed or wet"),
    (r"leg\..*\.height", r"hold\..*\.height", "the height of a leg and that of the hold at its end are written apart"),
    (r"briefing\.off_plan\.", r"(?:briefing\.|power\.)", "a setting off the plan, and one that is flown"),
    (r"fields\..*\.part", r"fields\..*\.part", "the part of the runway is another rule for each distance"),
)  # fmt: skip


def shown(part: object) -> Iterator[tuple[str, str]]:
    """Yield the key and the text of everything in a page or card that shows an entry."""
    if isinstance(part, tuple | list):
        for one in part:
            yield from shown(one)
    elif dataclasses.is_dataclass(part):
        key = getattr(part, "key", "")
        if key:
            yield key, getattr(part, "figure", "") or getattr(part, "text", "") or getattr(part, "utc", "")
        for field in dataclasses.fields(part):
            yield from shown(getattr(part, field.name))


def is_number(entry: Entry) -> bool:
    """Return whether an entry is a figure, and not words."""
    return not isinstance(entry.value, str)


def told(entry: Entry, text: str) -> bool:
    """Return whether a text is what happens at an instant, beside which the instant itself is printed."""
    return isinstance(entry.value, datetime) and not text[:1].isdigit()


def stated(text: str) -> set[str]:
    """Return the numbers in a text, as they are printed."""
    return set(NUMBER.findall(text))


@pytest.mark.parametrize("name", NAMES)
def test_an_entry_is_printed_alike_wherever_it_stands(name: str) -> None:
    """Every cell, line and figure of a page or a card that names an entry holds that entry's one print."""
    source = source_of(plan_of(name))
    places = [(page.name, page.blocks) for page in site_pages(source)] + [
        (card.title, card) for card in all_cards(source)
    ]
    found = [(where, key, text) for where, blocks in places for key, text in shown(blocks)]
    numbers = [(where, key, text) for where, key, text in found if is_number(source.plan.ledger[key])]

    other = [
        f"{where}: {key} is shown as '{text}' and printed as '{source.printed[key]}'"
        for where, key, text in numbers
        if NUMBER.search(text) and source.printed[key] not in text and not told(source.plan.ledger[key], text)
    ]  # fmt: skip

    assert len(numbers) > 500, "pages and cards are full of figures"
    assert not other, "\n".join(other)


@pytest.mark.parametrize("name", NAMES)
def test_the_terminal_and_the_file_print_what_the_pages_print(name: str) -> None:
    plan = plan_of(name)
    source = source_of(plan)
    entries = json.loads(plan_json(plan, source.printed))["entries"]
    every = {number for key in plan.ledger.entries for number in stated(source.printed[key])}
    every |= {number for text in _words(source) for number in stated(text)}

    assert {key: entry["printed"] for key, entry in entries.items()} == {
        key: source.printed[key] for key in plan.ledger.entries
    }
    assert sorted(stated(terminal_text(plan)) - every) == []


def _words(source: Source) -> Iterator[str]:
    """Yield the texts around the figures: labels, findings, events, titles of tables and their rows, names."""
    plan = source.plan
    yield from (source.printed.label(key) for key in plan.ledger.entries)
    yield from (source.printed.text(f"{one.title} {one.text} {one.cure} {one.source}") for one in plan.findings)
    yield from (source.printed.text(one.text) for one in plan.events)
    for table in plan.tables.values():
        yield source.printed.text(f"{table.title} {table.note} {' '.join(row.name for row in table.rows)}")
    yield from (f"{rule.title} {rule.text} {rule.source}" for rule in plan.mission.rules.rules)
    yield from (f"{one.reason} {one.by}" for one in plan.mission.rules.set_aside)
    yield str(source.identity)


@pytest.mark.parametrize("name", NAMES)
def test_no_two_entries_are_one_fact(name: str) -> None:
    """One label, one unit and one value under two names of figures is a fact entered twice, but for the reasons above."""
    source = source_of(plan_of(name))
    places = {place.ident.lower() for place in source.plan.mission.places}
    alike = defaultdict[tuple[object, ...], dict[str, str]](dict)
    for key, entry in source.plan.ledger.entries.items():
        if is_number(entry):
            value = float(f"{entry.value:.9g}") if isinstance(entry.value, float) else entry.value
            alike[source.printed.label(key), entry.unit, value][family(key, places)] = key

    twice = [keys for kinds in alike.values() if len(kinds) > 1 for keys in [tuple(sorted(kinds.values()))]]
    unexplained = [keys for keys in twice if not _two_facts(keys)]

    assert not unexplained, "\n".join(" and ".join(keys) for keys in unexplained)


def family(key: str, places: set[str]) -> str:
    """Return a key without what tells rows of one figure apart, so that they are not taken for two figures."""
    rows = ["*" if ROW.fullmatch(part) or part in places else part for part in key.split(".")]
    return ".".join(part for part, before in zip(rows, ["", *rows], strict=False) if (part, before) != ("*", "*"))


def _two_facts(keys: tuple[str, ...]) -> bool:
    return any(
        any(re.match(one, key) for key in keys) and all(re.match(one, key) or re.match(other, key) for key in keys)
        for one, other, _ in TWO_FACTS
    )
