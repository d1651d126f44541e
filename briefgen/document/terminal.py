"""The plan as plain text for the terminal, from the same printed figures as the pages."""

from __future__ import annotations

import textwrap

from briefgen.document.parts.approval import MOST_REASONS, approval_sentence, changes_in_lines
from briefgen.document.parts.assemble import ACCEPTED, Source, findings, source_of, table, verdict
from briefgen.document.parts.digest import fingerprint
from briefgen.document.plain_tables import WIDTH, table_text
from briefgen.model.plan import Plan
from briefgen.planning.review.aside import SET_ASIDE, AsideFigures
from briefgen.planning.sections.balance.moments import MOMENTS
from briefgen.planning.sections.balance.tanks import CONTENTS
from briefgen.planning.sections.basis.fuel import FUEL_SHEET
from briefgen.planning.sections.basis.navigation import LOG, PHASES
from briefgen.planning.sections.daylight import DAYLIGHT
from briefgen.planning.sections.fields.landing import LANDING
from briefgen.planning.sections.fields.take_off_rows import TAKE_OFF
from briefgen.planning.sections.journey import JOURNEY, SECTOR_FUEL, SECTOR_SUPPLIES, SECTORS
from briefgen.planning.sections.power import POWER
from briefgen.planning.sections.way_home.equal_time import EQUAL_TIMES
from briefgen.planning.sections.way_home.moments import MOMENTS as LAST_MOMENTS
from briefgen.planning.sections.way_home.places import POINTS

JOURNEYS = (SECTORS, SECTOR_FUEL, SECTOR_SUPPLIES, JOURNEY)
SHOWN = (
    LOG, PHASES, POWER, FUEL_SHEET, POINTS, LAST_MOMENTS, EQUAL_TIMES, CONTENTS, MOMENTS, TAKE_OFF, LANDING, DAYLIGHT,
)  # fmt: skip


def terminal_text(plan: Plan) -> str:
    """Return legs, phases, power, fuel, balance and findings as text tables."""
    source = source_of(plan)
    who = source.identity
    parts = [
        f"{who.number} {who.mission}, revision {who.revision}, {who.date}\n"
        f"{who.operator}, {who.aircraft} {who.registration}, plan {who.digest}"
        + (f"\n{who.approval_told}" if who.approval_told else "")
    ]
    parts += [table_text(block) for one in (*JOURNEYS, *SHOWN) if (block := table(source, one))]
    parts.append(_findings_text(source))
    parts += [terminal_text(one).rstrip("\n") for one in plan.sectors]
    return "\n\n".join(parts) + "\n"


def findings_text(plan: Plan) -> str:
    """Return what the review does not pass without a remark, and which rules are set aside, as `check` prints it."""
    source = source_of(plan)
    lines = [*_finding_lines(source, ("fail", "caution")), *_aside_lines(source)]
    for one in plan.sectors:
        lines += [f"{one.mission.name}:", findings_text(one) or "all is met"]
    return "\n".join(lines).replace("\u00a0", " ")


def approval_text(plan: Plan) -> str:
    """Return whether a plan is approved as it stands and, where it is no longer, why, and the gravest of what changed."""
    approval = plan.approval
    if approval is None:
        return f"{'NONE':8}Nobody has approved this plan."
    word = "HOLDS" if approval.holds else "STALE"
    lines = textwrap.wrap(f"{word:8}{approval_sentence(plan)}", WIDTH, subsequent_indent=" " * 8)
    for reason in approval.stale[MOST_REASONS:]:
        lines += textwrap.wrap(reason, WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 8)
    for told in changes_in_lines(approval.changes) if approval.changes is not None else ():
        lines += textwrap.wrap(told, WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 10)
    return "\n".join(lines).replace("\u00a0", " ")


def approval_data(plan: Plan) -> dict[str, object]:
    """Return whether a plan is approved as it stands, as data."""
    approval = plan.approval
    if approval is None:
        return {"holds": False, "by": "", "role": "", "at": "", "stale": [], "accepted": []}
    return {
        "holds": approval.holds, "by": approval.by, "role": approval.role, "at": approval.at,
        "stale": list(approval.stale), "accepted": [one.finding for one in approval.accepted],
    }  # fmt: skip


def check_data(plan: Plan) -> dict[str, object]:
    """Return name, digest, findings by outcome and approval of a plan, and the same of each of its sectors, as data."""
    counts = {outcome: sum(f.outcome == outcome for f in plan.findings) for outcome in ("pass", "caution", "fail")}
    told = {"name": plan.mission.name, "digest": fingerprint(plan), "findings": counts, "approval": approval_data(plan)}
    return told | ({"sectors": [check_data(one) for one in plan.sectors]} if plan.sectors else {})


def _findings_text(source: Source) -> str:
    lines = [f"Review: {verdict(source.plan)[2]}", *_finding_lines(source, ("fail", "caution", "pass"))]
    lines += _aside_lines(source)
    return "\n".join(lines).replace("\u00a0", " ")


def _aside_lines(source: Source) -> list[str]:
    """Return which rules do not hold for this mission, why, and who says so."""
    block = table(source, SET_ASIDE.view(AsideFigures.rule, AsideFigures.reason, AsideFigures.by))
    lines: list[str] = []
    for rule, reason, by in ([cell.text for cell in row.cells] for row in (block.rows if block else ())):
        lines += textwrap.wrap(f"{'ASIDE':8}{rule}: {reason} ({by})", WIDTH, subsequent_indent=" " * 8)
    return lines


def _finding_lines(source: Source, outcomes: tuple[str, ...]) -> list[str]:
    block = findings(source, "Review", outcomes=outcomes)
    lines: list[str] = []
    for item in block.items if block else ():
        lines.append(f"{item.word.upper():8}{item.title} ({item.ident})")
        lines += textwrap.wrap(item.text, WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 8)
        if accepted := dict(item.facts).get(ACCEPTED):
            lines += textwrap.wrap(f"accepted: {accepted}", WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 8)
        if item.cure:
            lines += textwrap.wrap(f"to pass: {item.cure}", WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 8)
    return lines
