"""Every table that a section declares has a place: a page, or the list of those that only cards and plan.json have."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator

import briefgen.planning
from briefgen.document.pages import contents
from briefgen.model.tables import TableOf, View, declared

# Tables that no page asks for, each with its reason; they stand where what no page takes lands.
CARDS = "made for the cards: the pages have the same figures in tables of their own"
ELSEWHERE = dict.fromkeys(
    (
        "briefing.fields",
        "briefing.fuel_log",
        "briefing.gauges",
        "briefing.ladder.*",
        "briefing.lean",
        "briefing.off_plan.*",
        "briefing.one_out",
        "briefing.passed",
        "briefing.passes",
        "briefing.power",
        "briefing.ratings",
        "briefing.route",
        "briefing.script",
        "briefing.speed_limits",
    ),
    CARDS,
) | {"review": "the page tells each finding once, by its margin"}
AFTER = frozenset(
    {"debrief", "replan", "learning", "likely", "journey", "sectors"}
)  # of a file beside the plan: the debrief, the cards that change, what is learnt, what thousands of flights come to, a journey


def of_the_flight_flown(name: str) -> bool:
    """Return whether a table belongs to a flight under way or flown."""
    return name.partition(".")[0] in AFTER


def declared_tables() -> Iterator[TableOf]:
    """Yield every table that is declared in the planning rooms."""
    for module in pkgutil.walk_packages(briefgen.planning.__path__, "briefgen.planning."):
        for value in vars(importlib.import_module(module.name)).values():
            if isinstance(value, TableOf):
                yield value


def shown_on_pages() -> set[str]:
    """Return the names of the tables that the specifications of the pages hold, looked up in what their makers keep."""
    found = set()
    for spec in contents.SITE:
        for maker in spec.makers:
            kept = [cell.cell_contents for cell in maker.__closure__ or ()]
            found |= {declared(one).name for value in kept if isinstance(value, tuple) for one in value
                      if isinstance(one, TableOf | View)}  # fmt: skip
    return found


def test_every_declared_table_is_on_a_page_or_says_where_it_is() -> None:
    names = {table.name for table in declared_tables()}

    assert len(names) > 40
    flown = {name for name in names if of_the_flight_flown(name)}
    assert sorted(names - flown - shown_on_pages() - set(ELSEWHERE)) == []
    assert sorted(set(ELSEWHERE) - names) == []


def test_two_tables_of_one_name_are_one_table_with_more_columns() -> None:
    """A name stands for one table; the two of the obstacles differ by the column that only some rules ask for."""
    tables = {id(table): table for table in declared_tables()}.values()
    names = [table.name for table in tables]

    assert sorted({name for name in names if names.count(name) > 1}) == ["fields.obstacles"]


def test_each_table_has_a_home_and_no_home_waits_for_nothing() -> None:
    """The first part of a table's name is taken by one page, and a page takes no word with which no table begins."""
    elsewhere = AFTER | {"review_not_applicable", "briefing"}
    first = {table.name.partition(".")[0] for table in declared_tables()} - elsewhere
    taken = [word for spec in contents.SITE for word in spec.takes]

    assert sorted(taken) == sorted(first)
