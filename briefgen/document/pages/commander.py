"""The commander's page: may she go, what to decide first, what fails and its cure, how thin it is, and who answers for it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from briefgen.document.pages.approvals import words_table
from briefgen.document.pages.chosen import Wanted
from briefgen.document.parts.approval import changes_in_lines
from briefgen.document.parts.assemble import Source, findings, key_figures, table, verdict
from briefgen.document.parts.blocks import (
    BlanksBlock,
    Block,
    Cell,
    FindingLine,
    Head,
    NoteBlock,
    TableBlock,
    TableRow,
    VerdictBlock,
)
from briefgen.model.plan import Finding
from briefgen.planning.review.aside import SET_ASIDE
from briefgen.planning.review.margins import MARGINS
from briefgen.planning.sections.balance.moments import FlownWeights
from briefgen.planning.sections.basis.clock import Milestones
from briefgen.planning.sections.basis.fuel import FuelMargin
from briefgen.planning.sections.briefing.opening import Opening
from briefgen.planning.sections.risks import RISKS, RiskFigures

TITLE = "May she go?"
MOST_TOLD = 6  # requirements not met on the one page; the others are counted and stand on the page of the review
ROWS = 7  # of all tables of requirements together
GLANCE: Wanted = (
    (Milestones.take_off, "Take-off"), (Milestones.over_target, "Over target"), (Milestones.landing, "Landing"),
    (FuelMargin.margin, "Fuel over required"), (FlownWeights.take_off, "Take-off weight"),
)  # fmt: skip
SIGNED = ("Approved or not approved, commander", "Condition", "Date", "UTC")
NOT_APPROVED = "Not approved"
NO_APPROVAL = "There is no approved revision to compare with."
CHANGES = "Changed since the approval"
RISKS_LEFT = RISKS.view(
    RiskFigures.what, RiskFigures.level, RiskFigures.mitigation, RiskFigures.level_left, RiskFigures.owner
)
MOST_CHANGES = 4  # lines of what has changed since the approval
DASH = "—"
REQUIREMENTS = "requirements"  # what the style calls these tables
FIGURE = re.compile(r"[-\u2212]?\d|none$|\u2014$")  # what may stand in a column of figures
BRACKETS = re.compile(r" \([^)]*\)")
CLOCK = "UTC"  # in hand is never an hour of the day


def commander_blocks(source: Source) -> list[Block | None]:
    """Return what stands on the commander's one page, in the order in which it is read."""
    fails, cautions = _chosen(source, "fail"), _chosen(source, "caution")
    told = fails[:MOST_TOLD]
    changed, accepted = _changed(source), _accepted(source)
    more = sum(len(one.rows) for one in (*changed, *accepted) if isinstance(one, TableBlock))
    room = max(min(MOST_TOLD, ROWS - _count_aside(source) - more) - len(told), 0)
    approval = source.plan.approval
    stale, holds = approval is not None and not approval.holds, approval is not None and approval.holds
    return [
        _verdict(source),
        key_figures(source, "", GLANCE, local="label"),
        *(changed if stale else ()),
        NoteBlock("One thing to decide first", first_thing(source)),
        _requirements(source, "Not met, and the cure", told, len(fails)),
        _requirements(source, "Cautions, and the cure", cautions[:room], len(cautions)),
        _bare(table(source, MARGINS, title="The thinnest margins, by how much of the limit is in hand")),
        _bare(table(source, RISKS_LEFT, title="Risks")),
        NoteBlock("Rules set aside", f"{_count_aside(source)}, on the page of the review.")
        if stale
        else _aside(source),
        *accepted,
        *(() if stale else changed),
        None if holds else BlanksBlock("Decision", SIGNED, 4),
    ]


def _chosen(source: Source, outcome: str) -> list[Finding]:
    return [one for one in source.plan.findings if one.outcome == outcome]


def _verdict(source: Source) -> VerdictBlock:
    outcome, sign, sentence = verdict(source.plan)
    met = sum(one.outcome == "pass" for one in source.plan.findings)
    aside = _count_aside(source)
    words = f"{met} {'requirement' if met == 1 else 'requirements'} met, {aside or 'none'} set aside. {source.identity.approval_told or NOT_APPROVED}."
    return VerdictBlock("", outcome, sign, sentence, words)


def first_thing(source: Source) -> str:
    """Return the one thing to decide first: what fails, a destination that does not open in time, or the thinnest margin."""
    text = source.printed.text
    fails = _chosen(source, "fail")
    if fails:
        one = fails[0]
        cure = f" To pass: {text(one.cure)}." if one.cure else ""
        return f"{text(one.title)}: {_plain(text(one.text))}{cure}"
    if Opening.open_then.key in source.printed and source.printed[Opening.open_then.key] == "no":
        return source.printed[Opening.sentence.key]
    cautions = _chosen(source, "caution")
    if cautions:
        return f"{text(cautions[0].title)}: {_plain(text(cautions[0].text))}"
    return "Nothing: every requirement is met without caution."


def _plain(text: str) -> str:
    """Return what a finding says without the words of its rule, which stand on the page of the review."""
    return text.partition(" The rule: ")[0]


def _requirements(source: Source, title: str, shown: Sequence[Finding], every: int) -> Block | None:
    """Return requirements with what is planned, the limit, what is in hand, and what would cure them."""
    if not every:
        return None
    if not shown:
        return NoteBlock(title, f"{every}, on the page of the review.")
    lines = {item.ident: item for item in _lines(source)}
    rows = [_requirement(source, one, lines[one.ident]) for one in shown]
    left = every - len(shown)
    note = f"{left} more on the page of the review." if left else ""
    heads = (
        Head("Requirement"), Head("Planned", align="right"), Head("Limit", align="right"), Head("In hand", align="right"), Head("Cure"),
    )  # fmt: skip
    return TableBlock(title, heads, tuple(rows), note, name=REQUIREMENTS)


def _lines(source: Source) -> Sequence[FindingLine]:
    block = findings(source, "", outcomes=("fail", "caution"))
    return block.items if block else ()


def _requirement(source: Source, found: Finding, line: FindingLine) -> TableRow:
    def cell(key: str) -> Cell:
        return Cell(source.printed.quoted(key), key) if key else Cell(DASH)

    keys = (found.measured_key, found.limit_key, found.margin_key)
    title, figures = f"{line.sign} {line.title}", [cell(key) for key in keys]
    if not all(FIGURE.match(one.text) for one in figures) or CLOCK in figures[-1].text:  # told in words, not as figures
        words = BRACKETS.sub("", _plain(line.text)).partition(";")[0]
        title, figures = f"{title}: {words}", [Cell(DASH)] * len(keys)
    return TableRow((Cell(title), *figures, Cell(line.cure or _plain(line.text))), found.outcome)


def _count_aside(source: Source) -> int:
    found = source.plan.tables.get(SET_ASIDE.name)
    return len(found.rows) if found else 0


def _bare(block: TableBlock | None) -> TableBlock | None:
    """Return a table without its note, which stands on the page of the review."""
    return replace(block, note="") if block else None


def _aside(source: Source) -> Block:
    made = table(source, SET_ASIDE, ("rule", "reason", "by"))
    return made if made is not None else NoteBlock("Rules set aside", "No rule is set aside.")


def _accepted(source: Source) -> list[Block | None]:
    """Return what an approval accepts; what a stale one accepted stands on the page of the review."""
    found = source.plan.approval
    if found is None or not found.accepted or not found.holds:
        return []
    by = f"{found.by}, {found.role}"
    rows = [(one.title, one.because, by, one.until or "as long as the approval") for one in found.accepted]
    return [words_table("Accepted", ("Finding", "Why", "By", "Until"), rows)]


def _changed(source: Source) -> list[Block | None]:
    """Return what has changed since the approval in the order of its gravity; the page of the review has all of it."""
    found = source.plan.approval
    if found is None:
        return [NoteBlock(CHANGES, NO_APPROVAL)]
    if found.holds:
        return []
    if found.changes is None:
        return [NoteBlock(CHANGES, f"{'; '.join(found.stale)}.")]
    return [
        words_table(
            CHANGES,
            ("The gravest first; the page of the review has all",),
            [(line,) for line in changes_in_lines(found.changes)[:MOST_CHANGES]],
        )
    ]
