"""From the plan's tables, events and findings to blocks of printed text."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any, Literal

from briefgen.document.parts.approval import approval_sentence, approval_tag, not_accepted
from briefgen.document.parts.blocks import (
    Align,
    Cell,
    Check,
    ChecklistBlock,
    Figure,
    Figures,
    FindingLine,
    FindingsBlock,
    Head,
    Identity,
    TableBlock,
    TableRow,
)
from briefgen.document.parts.digest import fingerprint
from briefgen.document.parts.format import Figures as Printed
from briefgen.document.parts.format import is_direction, unit_mark, with_unit
from briefgen.frozen import dataclass
from briefgen.model.ledger import Column, Entry, Row, Table
from briefgen.model.plan import POSITIONS, Finding, FindingPage, Plan
from briefgen.model.reading import SHE_HAS_NONE
from briefgen.model.record import Figure as FigureOf
from briefgen.model.record import Placed
from briefgen.model.rules import NOBODY
from briefgen.model.tables import TableOf, View, asked_of, declared

LocalTwin = Literal["", "unit", "label"]

DIGEST_LENGTH = 12
ROW_HEAD = "What"
FIGURES = ("measured", "limit", "margin")
BRIEF_FINDING = 56  # characters on a line of a card
ACCEPTED = "accepted"  # names the fact of a finding that says by whom
MARKS = frozenset({"total", "decision", "adverse", "fail", "caution"})  # rows that are set apart
CAUTION = (
    "Planning aid. Not a substitute for the approved flight manual, current charts, notices and weather. "
    "The captain decides. Local regulations and licensed practice prevail."
)
OUTCOMES = {"fail": ("fails", "×"), "caution": ("caution", "⚠"), "pass": ("meets", "✓")}
INITIALS = {
    "captain": "CAP", "co-pilot": "COP", "flight engineer": "ENG", "navigator": "NAV", "radio operator": "RAD",
    "loadmaster": "LDM",
}  # fmt: skip


@dataclass(frozen=True)
class Source:
    """What blocks are made from: a plan with its printed figures."""

    plan: Plan
    printed: Printed
    identity: Identity
    digest: str  # the fingerprint of the plan, whole; the identity carries its beginning


def source_of(plan: Plan) -> Source:
    """Return a plan with its printed figures and the identity that every page carries."""
    mission = plan.mission
    figures = Printed(plan)
    digest = fingerprint(plan, figures)
    identity = Identity(
        mission=figures.text(mission.name),
        number=figures.text(mission.number),
        revision=str(mission.revision),
        operator=figures.text(mission.operator),
        aircraft=mission.aircraft.name,
        registration=mission.individual.registration,
        digest=digest[:DIGEST_LENGTH],
        date=f"{figures.clock.utc_day:%Y-%m-%d}",
        caution=CAUTION,
        approval=approval_tag(plan),
        approval_told=approval_sentence(plan),
    )
    return Source(plan, figures, identity, digest)


def aboard(plan: Plan) -> tuple[str, ...]:
    """Return the positions somebody fills, in the order of the cards."""
    crew = {member.position for member in plan.mission.crew}
    return tuple(position for position in POSITIONS if position in crew)


# --- tables -----------------------------------------------------------------------------------------------------------


def table(
    source: Source, of: TableOf | View | Table, columns: Sequence[str] = (), *, title: str | None = None,
    rows: Callable[[Row], bool] | None = None, reasons: bool = False,
) -> TableBlock | None:  # fmt: skip
    """Return a declared table of the plan, whole or in the columns and rows asked for; None where the plan does not fill it.

    Columns in which no row has an entry are left out; with ``reasons`` the note says why, where there is one reason. Where the first column is of figures, the rows' names stand before it.
    """
    if isinstance(of, View):
        columns = [one.name for one in of.columns]
    found = of if isinstance(of, Table) else source.plan.tables.get(declared(of).name)
    if found is not None and rows is not None:
        found = replace(found, rows=tuple(row for row in found.rows if rows(row)))
    if found is None or not found.rows:
        return None
    shown = [column for column in found.columns if not columns or column.name in asked_of(columns)]
    note = " ".join(filter(None, (found.note, _left_out(found, shown) if reasons else "")))
    if columns:
        shown.sort(key=lambda column: columns.index(column.name))
    shown = [column for column in shown if any(row.cells.get(column.name) for row in found.rows)]
    if not shown:
        return None
    shown.sort(key=lambda column: not _names_rows(source, found, column))
    units = {column.name: _column_unit(source, found, column) for column in shown}
    heads = [_head(source, found, column, units[column.name]) for column in shown]
    named = heads[0].align == "left"
    if not named:
        heads.insert(0, Head(ROW_HEAD))
    lines = []
    for row in found.rows:
        cells = [] if named else [Cell(source.printed.text(row.name))]
        cells += [_cell(source, row.cells.get(column.name, ""), units[column.name]) for column in shown]
        lines.append(TableRow(tuple(cells), row.mark if row.mark in MARKS else ""))
    titled = source.printed.text(found.title) if title is None else title
    return TableBlock(titled, tuple(heads), tuple(lines), source.printed.text(note), found.name)


def _left_out(found: Table, columns: Sequence[Column]) -> str:
    """Say which columns are left out because no row has them, where it is for one reason; empty for none."""
    why: dict[str, list[str]] = {}
    for column in columns:
        reasons = {row.absent.get(column.name, "") for row in found.rows}
        if len(reasons) == 1 and not any(row.cells.get(column.name) for row in found.rows):
            why.setdefault(reasons.pop(), []).append(column.head)
    told = [
        f"{', '.join(dict.fromkeys(heads))} ({reason})"
        for reason, heads in why.items()
        if reason not in ("", SHE_HAS_NONE)
    ]
    return f"Not shown: {'; '.join(told)}." if told else ""


def tables_of(source: Source, family: TableOf | View) -> list[TableBlock]:
    """Return every table of a family that the plan fills, in the order in which it fills them."""
    view = family if isinstance(family, View) else family.view(*family.columns)
    filled = [one for one in source.plan.tables.values() if one.family == view.table.name]
    found = [table(source, each, [one.name for one in view.columns], reasons=True) for each in filled]
    return [block for block in found if block is not None]


def _names_rows(source: Source, found: Table, column: Column) -> bool:
    """Return whether a column holds nothing but the rows' own names."""
    printed = source.printed
    return all(
        printed.text(row.name) == printed[row.cells[column.name]] for row in found.rows if column.name in row.cells
    )


def _entries(source: Source, found: Table, column: Column) -> list[Entry]:
    keys = (row.cells.get(column.name) for row in found.rows)
    return [source.plan.ledger[key] for key in keys if key]


def _column_unit(source: Source, found: Table, column: Column) -> str:
    """Return the unit a column is headed with: its own, or the one all its figures share."""
    units = {entry.unit for entry in _entries(source, found, column) if not isinstance(entry.value, str)}
    if column.unit in units or not units:
        return column.unit
    return units.pop() if len(units) == 1 else column.unit


def _head(source: Source, found: Table, column: Column, unit: str) -> Head:
    entries = _entries(source, found, column)
    words = any(isinstance(entry.value, str) for entry in entries)
    align: Align = "left" if words else "right"
    mark = unit_mark(unit)
    return Head(column.head, "" if mark.lower() == column.head.lower() else mark, align)


def _cell(source: Source, key: str, unit: str) -> Cell:
    if not key:
        return Cell("")
    entry, figure = source.plan.ledger[key], source.printed[key]
    if isinstance(entry.value, str):
        return Cell(figure, key)
    return Cell(figure if entry.unit == unit or is_direction(entry) else with_unit(entry, figure), key)


# --- key figures ------------------------------------------------------------------------------------------------------


def key_figures(
    source: Source,
    title: str,
    wanted: Iterable[tuple[FigureOf[Any, Any] | Placed | str, str]],
    *,
    local: LocalTwin = "",
) -> Figures | None:
    """Return the figures that the plan has, under the short labels given.

    The local twin of a time may stand behind its unit, where there is room, or in its label.
    """
    items = []
    for of, label in wanted:
        key = of if isinstance(of, str) else of.key
        if key not in source.printed:
            continue
        entry = source.plan.ledger[key]
        words = isinstance(entry.value, str)
        unit = "" if words or entry.unit == "UTC date" else unit_mark(entry.unit)
        twin = f"{key}.local"
        if local == "unit" and twin in source.printed:
            unit = f"{unit}, {source.printed.quoted(twin)}"
        elif local == "label" and twin in source.printed:
            label = f"{label}, {source.printed.quoted(twin)}"
        items.append(Figure(label, source.printed[key], unit, key, wide=words))
    return Figures(title, tuple(items)) if items else None


# --- findings ---------------------------------------------------------------------------------------------------------


def findings(
    source: Source, title: str, *, outcomes: Sequence[str] = tuple(OUTCOMES), pages: Sequence[FindingPage] = ()
) -> FindingsBlock | None:
    """Return findings, the most serious first, of some outcomes and, when asked, of some pages."""
    order = list(OUTCOMES)
    chosen = [f for f in source.plan.findings if f.outcome in outcomes and (not pages or f.page in pages)]
    chosen.sort(key=lambda finding: order.index(finding.outcome))
    return FindingsBlock(title, tuple(_finding(source, finding) for finding in chosen)) if chosen else None


def findings_in_brief(source: Source, title: str = "") -> FindingsBlock | None:
    """Return what is not met or met with caution in a line each: what was found and its limit, where they fit on the line."""
    whole = findings(source, title, outcomes=("fail", "caution"))
    if whole is None:
        return None
    items = []
    for item in whole.items:
        facts = dict(item.facts)
        figures = [facts.get("measured", ""), f"limit {facts['limit']}" if "limit" in facts else ""]
        head = ": ".join(filter(None, (item.title, ", ".join(filter(None, figures)))))
        head = head if len(head) <= BRIEF_FINDING else item.title
        items.append(replace(item, word="", title=head, text="", facts=(), cure=""))
    return replace(whole, items=tuple(items), brief=True)


def findings_in_two_lines(source: Source, title: str = "") -> FindingsBlock | None:
    """Return what is not met or met with caution, each with its figures in one line; the review page has the rest."""
    whole = findings(source, title, outcomes=("fail", "caution"))
    if whole is None:
        return None
    items = (
        replace(item, text="", cure="", facts=tuple(f for f in item.facts if f[0] in (*FIGURES, ACCEPTED)))
        for item in whole.items
    )
    return replace(whole, items=tuple(items), brief=True)


def _finding(source: Source, found: Finding) -> FindingLine:
    word, sign = OUTCOMES[found.outcome]
    text = source.printed.text
    keys = zip(FIGURES, (found.measured_key, found.limit_key, found.margin_key), strict=True)
    facts = [(name, source.printed.quoted(key)) for name, key in keys if key]
    facts += [(ACCEPTED, text(found.accepted))] if found.accepted else []
    facts += (
        [("may be accepted", may_accept(found.accepted_by))] if found.accepted_by and found.outcome != "pass" else []
    )
    facts += [("rule", found.ident), ("source", found.source)] if found.source else [("rule", found.ident)]
    line = FindingLine(found.outcome, word, sign, text(found.title), text(found.text), tuple(facts), text(found.cure))
    own = {"outcome": "outcome", "title": "title", "rule": "ident"}
    words = [(name, f"finding.{found.ident}.{last}") for name, last in own.items()]
    figures = zip(FIGURES, (found.measured_key, found.limit_key, found.margin_key), strict=True)
    linked = [(name, key) for name, key in (*words, *figures) if key and key in source.printed]
    return replace(line, ident=found.ident, keys=tuple(linked))


def may_accept(roles: Sequence[str]) -> str:
    """Return who may accept a finding, in words."""
    return "never" if tuple(roles) == (NOBODY,) else f"by the {' or '.join(roles)}"


def verdict(plan: Plan) -> tuple[str, str, str]:
    """Return outcome, sign and sentence of the whole review."""
    fails = sum(finding.outcome == "fail" for finding in plan.findings)
    cautions = sum(finding.outcome == "caution" for finding in plan.findings)
    if not plan.findings:
        return "caution", "⚠", "Not reviewed: the plan holds no findings"
    warned = f"{cautions} {'caution' if cautions == 1 else 'cautions'}"
    if fails:
        noun = "requirement" if fails == 1 else "requirements"
        left = len(not_accepted(plan))
        accepted = "" if left == fails else ", all accepted" if not left else f", {fails - left} accepted"
        return "fail", "×", f"Does not pass: {fails} {noun} not met{accepted}, {warned if cautions else 'no caution'}"
    if cautions:
        return "caution", "⚠", f"Passes with {warned}"
    every = "the one requirement" if len(plan.findings) == 1 else f"all {len(plan.findings)} requirements"
    return "pass", "✓", f"Passes: {every} met"


# --- checklists -------------------------------------------------------------------------------------------------------


def checklists(source: Source, phases: Sequence[str] = (), positions: Sequence[str] = ()) -> list[ChecklistBlock]:
    """Return the aircraft's checklists with the plan's own figures in them; of some positions when asked."""
    found = []
    for checklist in source.plan.mission.aircraft.checklists:
        if phases and checklist.phase not in phases:
            continue
        items = tuple(
            Check(source.printed.text(i.challenge), source.printed.text(i.response), INITIALS.get(i.position, i.position),
                  source.printed.text(i.note))
            for i in checklist.items
            if not positions or i.position in positions
        )  # fmt: skip
        if items:
            found.append(ChecklistBlock(checklist.title, items))
    return found
