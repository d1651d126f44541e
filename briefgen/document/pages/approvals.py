"""What the review page says of an approval: its state, everything accepted, and what has changed since."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from briefgen.document.parts.approval import NOT_THERE, turn, when
from briefgen.document.parts.assemble import Source, table
from briefgen.document.parts.blocks import BlanksBlock, Block, Cell, Head, NoteBlock, TableBlock, TableRow
from briefgen.model.approval import Approval
from briefgen.model.comparison import Comparison, FigurePair, Judged
from briefgen.planning.review.aside import SET_ASIDE, AsideFigures
from briefgen.planning.sections.risks import RISKS, RiskFigures

SIGNATURES = ("Planned by", "Date and time", "Checked by", "Date and time", "Approved by, commander", "Date and time")
CHANGES = "Changes since approval"
MOST_FIGURES = 60  # rows of figures that differ; 'briefgen compare' has all of them


def approval(source: Source) -> list[Block | None]:
    """Place what is approved and by whom; lines to sign on where nobody has yet, or no longer."""
    number, found = source.plan.mission.number, source.plan.approval
    blocks: list[Block | None] = [
        NoteBlock("Plan", f"{number}, revision {source.identity.revision}, digest {source.digest}")
    ]
    if found is not None:
        blocks.append(NoteBlock("Approval", f"{source.identity.approval_told}."))
        if len(found.stale) > 1:
            blocks.append(words_table("Why the approval does not hold", ("Reason",), [(one,) for one in found.stale]))
    if found is None or not found.holds:
        blocks.append(BlanksBlock("To sign" if found is not None else "Approval", SIGNATURES))
    return blocks


def accepted(source: Source) -> list[Block | None]:
    """Place everything that somebody took upon himself: findings, rules set aside, risks; each with reason, who and until when."""
    rows = [*_findings(source.plan.approval), *_asides(source), *_risks(source)]
    return [words_table("Accepted", ("What", "Sort", "Why", "By", "Until"), rows)]


def _findings(found: Approval | None) -> Iterator[tuple[str, ...]]:
    for one in found.accepted if found is not None else ():
        sort = "finding" if found is not None and found.holds else "finding, acceptance ended"
        what = f"{one.title}: {one.measured}, limit {one.limit}" if one.measured and one.limit else one.title
        by = f"{found.by}, {found.role}" if found is not None else ""
        yield what, sort, one.because, by, one.until or "as long as the approval"


def _asides(source: Source) -> Iterator[tuple[str, ...]]:
    block = table(source, SET_ASIDE.view(AsideFigures.rule, AsideFigures.reason, AsideFigures.by))
    for row in block.rows if block is not None else ():
        rule, reason, by = (cell.text for cell in row.cells)
        yield rule, "rule set aside", reason, by, ""


def _risks(source: Source) -> Iterator[tuple[str, ...]]:
    shown = (RiskFigures.what, RiskFigures.level_left, RiskFigures.mitigation, RiskFigures.accepted_by)
    found = source.plan.tables.get(RISKS.name)
    for row in found.rows if found is not None else ():
        keys = [RISKS.cell(row, one) for one in shown]
        if all(keys):
            what, level, mitigation, by = (source.printed[key] for key in keys)
            yield what, f"risk, {level} left", mitigation, by, ""


def changes(source: Source) -> list[Block | None]:
    """Place what has changed since the approval: what was asked, then what that did, the gravest first."""
    found = source.plan.approval.changes if source.plan.approval is not None else None
    if found is None:
        return []
    return [
        NoteBlock(CHANGES, _in_short(found)),
        words_table("Asked differently", ("Where", "What", "Approved", "Now"), [
            (one.where, f"{one.what}{f', and {one.others} more places' if one.others else ''}", one.before or NOT_THERE, one.now or NOT_THERE)
            for one in found.asked
        ]),
        judged_table("Findings with another outcome", [one for one in found.judged if one.turned]),
        judged_table("Margins, the largest part gone first", [one for one in found.judged if not one.turned]),
        words_table("Decisions that moved", ("When", "Now", "Approved"), [(when(one), one.now, one.before) for one in found.decisions]),
        words_table(
            "Figures that differ", ("Figure", "Approved", "Now"),
            [(one.label, one.before or NOT_THERE, one.now or NOT_THERE) for one in (*found.first, *_others(found))][:MOST_FIGURES],
        ),
    ]  # fmt: skip


def _in_short(found: Comparison) -> str:
    return (
        f"Between plan {found.before.digest[:12]} and plan {found.now.digest[:12]} {_count(len(found.asked), 'written value')}, "
        f"{_count(len(found.judged), 'finding')}, {_count(len(found.decisions), 'decision')} and "
        f"{_count(len(found.figures), 'printed figure')} differ; rounding is no difference."
    )


def _count(number: int, what: str) -> str:
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def _others(found: Comparison) -> Iterator[FigurePair]:
    keys = {one.key for one in found.first}
    return (one for one in found.figures if one.key not in keys)


def judged_table(title: str, judged: Sequence[Judged]) -> TableBlock | None:
    """Return findings that differ with their figures before and now, None where there are none."""
    rows = [
        (one.title, turn(one), *(f"{was or NOT_THERE} → {now or NOT_THERE}" if was != now else now
                                 for was, now in (one.measured, one.limit, one.margin)))
        for one in judged
    ]  # fmt: skip
    return words_table(title, ("Requirement", "Outcome", "Measured", "Limit", "Margin"), rows)


def words_table(title: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> TableBlock | None:
    """Return a table of words, None where it has no rows; columns in which no row has a word are left out."""
    shown = [index for index in range(len(heads)) if any(row[index] for row in rows)]
    lines = tuple(TableRow(tuple(Cell(row[index]) for index in shown)) for row in rows)
    return TableBlock(title, tuple(Head(heads[index]) for index in shown), lines) if rows else None
