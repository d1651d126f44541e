"""Each recipe of the contributor guide, followed to the letter: what it promises comes about, with nothing it does not name."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from typer.testing import CliRunner

from briefgen.cli import app
from briefgen.document import explain_text, plan_json, printed
from briefgen.document.cards import contents as cards
from briefgen.document.cards.blocks import Cell, Col, Face, Grid, Line
from briefgen.document.cards.blocks import Row as CardRow
from briefgen.document.pages import contents as pages
from briefgen.document.parts.assemble import Source, source_of
from briefgen.document.parts.blocks import NoteBlock, TableBlock
from briefgen.document.site import site_files
from briefgen.errors import SpecError
from briefgen.model.ledger import Column, Row
from briefgen.model.plan import Plan
from briefgen.model.rule_kinds import RULE_KINDS, RuleKind
from briefgen.planning import assemble
from briefgen.planning.assemble import plan_mission
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review import rules as review
from briefgen.planning.review.checks import crew as crew_checks
from briefgen.planning.review.checks.facts import Measure, amount
from briefgen.planning.sections.crew import CREW
from briefgen.spec import read_mission
from briefgen.spec.build import rules as rules_builder
from briefgen.spec.tree import check, vocabulary
from tests.shared.demo_missions import ROOT, T5_INSTEAD, edited, mission_of, plan_of

MISSION = "mudlark"
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
RECIPES = dict(
    re.findall(r"^\* \*\*(.+?)\.\*\* (.*?)(?=^\* \*\*|^## )", GUIDE.partition("## How to")[2], re.MULTILINE | re.DOTALL)
)
FOLLOWED = {
    "Add an aircraft", "Add a rule", "Add a key of an aircraft file", "Add a chart, axis or column", "Add a page or a block",
    "Add a number",
}  # fmt: skip
POUND = 0.45359237


class Written(yaml.SafeLoader):
    """Reads what stands in a file without making dates of it, as a schema sees it."""


Written.yaml_implicit_resolvers = {
    first: [(tag, form) for tag, form in forms if tag != "tag:yaml.org,2002:timestamp"]
    for first, forms in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


@contextmanager
def fresh_schemas() -> Iterator[None]:
    """Read the schemas anew within, and again after it."""
    kept = (check.expanded_schema, check._validator)
    for one in kept:
        one.cache_clear()
    try:
        yield
    finally:
        for one in kept:
            one.cache_clear()


def told(*words: str) -> str:
    """Return what a command prints; it must leave with 0."""
    answer = CliRunner().invoke(app, list(words))
    assert answer.exit_code == 0, answer.output
    return answer.output


def table_on(blocks: Iterable[object], name: str) -> TableBlock:
    """Return the one table of a name among some blocks."""
    (found,) = (block for block in blocks if isinstance(block, TableBlock) and block.name == name)
    return found


def test_every_recipe_of_the_guide_is_followed_here() -> None:
    """A recipe added to the guide wants a test that follows it."""
    assert set(RECIPES) == FOLLOWED


def test_the_files_a_recipe_names_are_there() -> None:
    """Each path in backticks, from the top or from the package; capitals stand for a name of one's own."""
    named = {
        path for words in RECIPES.values() for path in re.findall(r"`([a-z_]+/[a-z_/*.]*)`", words) if path
    }  # fmt: skip
    missing = [path for path in named if not any(any(folder.glob(path)) for folder in (ROOT, ROOT / "briefgen"))]

    assert len(named) >= 6
    assert missing == []


# --- add an aircraft ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("like", "kind"), [("t4-freighter", "model"), ("t5-freighter", "charts")])
def test_an_aircraft_is_a_file_that_the_schema_describes_and_no_python(like: str, kind: str, tmp_path: Path) -> None:
    """Written under its name in ``aircraft/``, with its tables beside it where it has charts: described, printed, flown."""
    spec = edited(tmp_path, "cedar-lantern", *(T5_INSTEAD if kind == "charts" else ()))
    folder = spec.parent / "aircraft"
    text = (folder / f"{like}.yaml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^name: .*$", "name: M9 moth", text).replace(f"aircraft/{like}/", "aircraft/m9-moth/")
    file = folder / "m9-moth.yaml"
    file.write_text(text.replace("    basic mass: 37,", "    basic mass: 36,"), encoding="utf-8")
    if kind == "charts":
        shutil.copytree(folder / like, folder / "m9-moth")

    schema = json.loads(told("schema", "aircraft"))
    faults = Draft202012Validator(schema).iter_errors(yaml.load(file.read_text(encoding="utf-8"), Written))
    assert [fault.message for fault in faults] == []
    assert "M9 moth" in told("aircraft", str(file))

    mission = spec.read_text(encoding="utf-8").replace(f"aircraft/{like}.yaml", "aircraft/m9-moth.yaml")
    spec.write_text(mission.replace("      configuration: one third flap\n", ""), encoding="utf-8")
    aircraft = read_mission(spec).aircraft
    assert (aircraft.name, aircraft.model is None) == ("M9 moth", kind == "charts")
    (written,) = re.findall(r"(?m)^    basic mass: 37,(\d{3}) lb$", text)
    assert aircraft.individuals[0].basic_mass_kg == pytest.approx((36_000 + int(written)) * POUND)


# --- add a rule -----------------------------------------------------------------------------------------------------------

RULE = """
  {ident}:
    check: {check}
    title: Somebody to look out
    text: At least this many are aboard to look out.
    severity: caution
    source: house policy
    provenance: house
"""


def with_rule(folder: Path, check: str, parameters: str = "") -> Path:
    """Return the mission of a copy whose set of rules has one more."""
    spec = edited(folder, MISSION)
    (file,) = (path for path in (spec.parent / "rules").glob("house-cargo.yaml"))
    text = file.read_text(encoding="utf-8").rstrip("\n") + "\n" + RULE.format(ident="look-out", check=check)
    file.write_text(text + (f"    parameters: {parameters}\n" if parameters else ""), encoding="utf-8")
    return spec


def test_a_rule_of_a_known_kind_is_a_paragraph_in_its_set(tmp_path: Path) -> None:
    """It is judged, with its own words, source and severity, and stands among the findings."""
    plan = plan_mission(read_mission(with_rule(tmp_path, "person mass", "{ standard: 230 lb }")))
    (found,) = (finding for finding in plan.findings if finding.ident == "look-out")

    assert (found.outcome, found.title, found.page) == ("caution", "Somebody to look out", "balance")
    assert "At least this many are aboard to look out." in found.text
    assert plan.ledger[found.limit_key].value == pytest.approx(230 * POUND)


def test_a_new_kind_of_rule_is_one_row_and_one_function_of_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From that row the schema, the check of parameters and the review all know it."""

    def eyes_aboard(facts: Any, rule: Any) -> Measure:
        return Measure(
            float(len(facts.mission.crew)), amount(rule, "least engines"), "", 0, "at least", method="crew counted"
        )

    eyes_aboard.__module__ = crew_checks.__name__
    kind = RuleKind("eyes aboard", "communications", ("least engines",))
    monkeypatch.setattr(crew_checks, "eyes_aboard", eyes_aboard, raising=False)
    for module in (vocabulary, rules_builder):
        monkeypatch.setattr(module, "RULE_KINDS", (*RULE_KINDS, kind))
    monkeypatch.setitem(review.CHECKS, kind.name, review.Check(review._evaluation(kind.name), kind.page))
    with fresh_schemas():
        with pytest.raises(SpecError, match="parameter 'least engines' is missing"):
            read_mission(with_rule(tmp_path / "short", kind.name))
        plan = plan_mission(read_mission(with_rule(tmp_path / "whole", kind.name, "{ least engines: 99 }")))
    (found,) = (finding for finding in plan.findings if finding.ident == "look-out")

    assert (found.outcome, found.page) == ("caution", "communications")
    assert plan.ledger[found.measured_key].value == float(len(plan.mission.crew))


# --- add a key, a chart, an axis, a column -----------------------------------------------------------------------------------


def test_a_key_that_the_schema_of_aircraft_has_is_wanted_with_its_line(tmp_path: Path) -> None:
    """One more required key in the schema and nothing else: every file without it is refused by that name."""
    spec = edited(tmp_path, MISSION)
    with fresh_schemas():
        schema = check.expanded_schema("aircraft")
        schema["properties"]["colour"] = {"type": "string", "description": "Printed on the page.", "examples": ["red"]}
        schema["required"] = [*schema["required"], "colour"]
        with pytest.raises(SpecError, match=r"t4-freighter\.yaml:\d+:\d+: .*'?colour"):
            read_mission(spec)


@pytest.mark.parametrize(("part", "registry"), [("axes", "CHART_AXES"), ("columns", "CHART_COLUMNS")])
def test_an_axis_or_a_column_is_one_row_where_their_names_are_listed(
    part: str, registry: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From that row an editor offers the name."""
    listed = getattr(vocabulary, registry)
    monkeypatch.setattr(vocabulary, registry, {**listed, "dew point": ("degC",)})
    schema = json.loads(told("schema", "aircraft"))
    chart = schema["properties"]["charts"]["properties"]["charts"]["additionalProperties"]

    assert chart["properties"][part]["propertyNames"]["enum"] == [*listed, "dew point"]


# --- add a number, a table, a page, a block ---------------------------------------------------------------------------------


def plan_with_numbers(monkeypatch: pytest.MonkeyPatch) -> Plan:
    """Return a plan in which one section enters two numbers more, their printed sum, and a table of them."""
    section = assemble.write_risks

    def wrote_more(mission: Any, writer: LedgerWriter) -> Any:
        parts = [
            writer.put(
                f"fuel.spare.{name}", f"Spare fuel, {name}", pounds * POUND, "lb", method="counted", source="house"
            )
            for name, pounds in (("drums", 10.4), ("cans", 20.4))
        ]
        total = writer.put("fuel.spare.total", "Spare fuel", 30.8 * POUND, "lb", method="sum", inputs=tuple(parts))
        writer.foot(total, tuple(parts))
        rows = [Row(key, {"fuel": key}) for key in (*parts, total)]
        writer.table("fuel.spare", "Spare fuel", (Column("fuel", "Fuel", "lb"),), rows)
        return section(mission, writer)

    monkeypatch.setattr(assemble, "write_risks", wrote_more)
    return plan_mission(mission_of(MISSION))


def test_a_number_is_entered_once_and_stands_wherever_numbers_are_looked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """In plan.json, under ``explain`` with its inputs, and printed as the sum of its printed parts where a foot says so."""
    plan = plan_with_numbers(monkeypatch)
    entry = json.loads(plan_json(plan))["entries"]["fuel.spare.total"]
    explained = explain_text(plan, "fuel.spare.total")

    assert (entry["printed"], entry["label"], entry["method"]) == ("30", "Spare fuel", "sum")
    assert [printed(plan)[f"fuel.spare.{name}"] for name in ("drums", "cans")] == ["10", "20"]
    assert explained.startswith("Spare fuel = 30 lb (fuel.spare.total): sum\n")
    assert "(fuel.spare.cans): counted [house]" in explained


def test_a_new_table_lands_on_the_page_of_its_name_without_further_code(monkeypatch: pytest.MonkeyPatch) -> None:
    """``fuel.spare`` is placed on the page of fuel, each figure linked to how it was worked out."""
    plan = plan_with_numbers(monkeypatch)
    (fuel,) = (page for page in pages.site_pages(source_of(plan)) if page.name == "fuel")

    assert [row.cells[-1].key for row in table_on(fuel.blocks, "fuel.spare").rows] == [
        "fuel.spare.drums", "fuel.spare.cans", "fuel.spare.total",
    ]  # fmt: skip


def test_a_page_is_a_list_of_blocks_in_the_list_of_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    """One more specification of a page: it is built, carries its blocks, and every page of the mission leads to it."""
    extra = pages.PageSpec("spares", "Spares", (pages.tables(CREW), lambda source: [NoteBlock("Note", "Keep dry.")]))
    monkeypatch.setattr(pages, "SITE", (*pages.SITE, extra))
    files = site_files([plan_of(MISSION)], pdf=False, built_at=None)
    (name,) = (name for name in files if name.endswith("/spares.html"))
    folder = name.rpartition("/")[0]

    assert "Keep dry." in files[name].decode()
    assert all('href="spares.html"' in files[f"{folder}/{page.name}.html"].decode() for page in pages.SITE[:2])


def test_a_block_of_a_card_is_one_more_face_of_its_deck(monkeypatch: pytest.MonkeyPatch) -> None:
    """Dealt over cards like the others, with a tab of its own; what has no room on its card goes to the reference pack."""
    faces = cards._faces

    def with_more(source: Source, position: str) -> list[Face]:
        row = CardRow((Cell((Line("Star", "small"),), write=True),), "none")
        stars = Face("Stars shot", (Grid("Stars", "", (Col(wide=True),), (row,), name="stars"),), ident="stars")
        return [*faces(source, position), *([stars] if position == "navigator" else [])]

    monkeypatch.setattr(cards, "_faces", with_more)
    mine = [card for card in cards.all_cards(source_of(plan_of("cedar-lantern"))) if card.position == "navigator"]

    assert mine[-1].title == "Stars shot"
    assert mine[-1].tab == mine[-1].faces
