"""What pages, cards and the terminal say of an approval: one tag, one sentence, one list of what was accepted."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.approval import Approval
from briefgen.model.comparison import Comparison, Decision, Judged
from briefgen.model.plan import Plan

MOST_REASONS = 3  # told in the sentence; the review page has all of them
MOST_LINES = 4  # of one kind of change, on the terminal
NOT_THERE = "(not there)"
OUTCOME_WORDS = {"fail": "fails", "caution": "caution", "pass": "meets", "": "no finding"}
STALE, APPROVED = "approval stale", "approved"


def approval_tag(plan: Plan) -> str:
    """Return the words that every page and card carries beside the revision; empty where nobody has approved the plan."""
    if plan.approval is None:
        return ""
    return APPROVED if plan.approval.holds else STALE


def approval_sentence(plan: Plan) -> str:
    """Return who approved the plan and whether that holds; empty where nobody has."""
    approval = plan.approval
    if approval is None:
        return ""
    if approval.holds:
        count = len(approval.accepted)
        accepted = f"; {count} {'finding' if count == 1 else 'findings'} accepted" if count else ""
        signed = f"; {approval.signed}" if approval.signed else ""
        return f"Approved by {_who(approval)}{accepted}{signed}"
    reasons = [*approval.stale[:MOST_REASONS]]
    more = len(approval.stale) - len(reasons)
    told = "; ".join([*reasons, *([f"and {more} more"] if more else [])])
    was = f" (it was by {_who(approval)})" if approval.by else ""
    return f"Approval stale{was}: {told}"


def _who(approval: Approval) -> str:
    return f"{approval.by}, {approval.role}, {approval.at[:10]} {approval.at[11:16]} UTC"


def not_accepted(plan: Plan) -> Sequence[str]:
    """Return the names of findings that fail and that no approval in force accepts."""
    holds = plan.approval is not None and plan.approval.holds
    return [one.ident for one in plan.findings if one.outcome == "fail" and not (holds and one.accepted)]


def changes_in_lines(changes: Comparison) -> list[str]:
    """Return the gravest of what changed since an approval: what was asked, findings with another outcome, the margins most eaten."""
    asked = [f"{one.where} {one.what}: {one.before or NOT_THERE} -> {one.now or NOT_THERE}" for one in changes.asked]
    turned = [f"{turn(one)}: {one.title} ({one.ident}){_margin(one)}" for one in changes.judged if one.turned]
    less = [one for one in changes.judged if not one.turned and (one.eaten_ratio or 0.0) > 0.0]
    eaten = [f"less in hand: {one.title} ({one.ident}){_margin(one)}" for one in less]
    moved = [f"decision {when(one)}: {one.now or one.before}" for one in changes.decisions]
    lines: list[str] = []
    for kind in (asked, turned, eaten, moved):
        lines += kind[:MOST_LINES]
        if len(kind) > MOST_LINES:
            lines.append(f"and {len(kind) - MOST_LINES} more like this")
    return lines


def _margin(one: Judged) -> str:
    was, now = one.margin
    return f", margin {was or NOT_THERE} -> {now or NOT_THERE}" if was != now else ""


def turn(one: Judged) -> str:
    """Return what became of a finding in words."""
    return (
        f"{OUTCOME_WORDS[one.before]} -> {OUTCOME_WORDS[one.now]}" if one.turned else f"still {OUTCOME_WORDS[one.now]}"
    )


def when(one: Decision) -> str:
    """Return when a decision was and is to be taken."""
    if not one.before:
        return f"new, at {one.now_at}"
    if not one.now:
        return f"no longer, was at {one.before_at}"
    return f"at {one.before_at} -> {one.now_at}" if one.before_at != one.now_at else f"at {one.now_at}"
