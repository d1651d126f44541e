"""Whether a plan may be approved, and the record of it: nothing that fails is passed over, nothing is accepted by the wrong role."""

from __future__ import annotations

import difflib
import hashlib
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime

from briefgen.approval.record import ApprovalRecord
from briefgen.document import fingerprint, plan_json
from briefgen.document.parts.format import NO_BREAK, Figures
from briefgen.errors import BriefgenError, UsageError
from briefgen.frozen import dataclass
from briefgen.model.approval import Acceptance
from briefgen.model.plan import Finding, Plan
from briefgen.model.rules import NOBODY


class ApprovalError(BriefgenError):
    """A plan may not be approved as it was asked to be; nothing was written."""


@dataclass(frozen=True)
class Accept:
    """What an approver says of one finding; ``until`` is the last day on which it holds, None with the approval."""

    finding: str
    because: str
    until: date | None = None


@dataclass(frozen=True)
class Approver:
    """Who approves, in which role, when, and with which public key, if he signs."""

    by: str
    role: str
    at: datetime
    key: str = ""


def bare(plan: Plan) -> Plan:
    """Return a plan without what an earlier approval says of it."""
    return replace(plan, approval=None, findings=tuple(replace(one, accepted="") for one in plan.findings))


def approve(plan: Plan, approver: Approver, accepts: Sequence[Accept], version: str) -> tuple[ApprovalRecord, str]:
    """Return the record of an approval and the text of the approved plan.

    Raises:
        UsageError: A finding named is none of the plan, or needs no accepting.
        ApprovalError: Something that fails is not accepted, may not be accepted by this role, or not until that day.
    """
    plan = bare(plan)
    by_name = {one.ident: one for one in plan.findings}
    figures = Figures(plan)
    accepted = tuple(_acceptance(plan, figures, by_name.get(one.finding), one, approver) for one in accepts)
    _require_each_once(accepts)
    named = {one.finding for one in accepted}
    left = [one for one in plan.findings if one.outcome == "fail" and one.ident not in named]
    if left:
        fails = "1 finding fails and nobody accepts it"
        raise ApprovalError(
            fails if len(left) == 1 else f"{len(left)} findings fail and nobody accepts them",
            where=plan.mission.file,
            expected=f"each mended, or accepted with --accept NAME --because TEXT: {'; '.join(_who_may(one) for one in left)}",
            hint="'briefgen check' says what would mend each of them",
        )
    text = plan_json(plan)
    mission, outcomes = plan.mission, [one.outcome for one in plan.findings]
    record = ApprovalRecord(
        number=mission.number, name=mission.name, revision=mission.revision, by=approver.by, role=approver.role,
        at=f"{approver.at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}", tool=version, digest=fingerprint(plan),
        files={file.name: file.digest for file in mission.files}, figures=hashlib.sha256(text.encode()).hexdigest(),
        outcomes={name: outcomes.count(name) for name in ("pass", "caution", "fail")}, accepted=accepted, key=approver.key,
    )  # fmt: skip
    return record, text


def _who_may(found: Finding) -> str:
    if found.accepted_by == (NOBODY,):
        return f"{found.ident} (never accepted)"
    return f"{found.ident} (by {' or '.join(found.accepted_by)})" if found.accepted_by else found.ident


def _acceptance(plan: Plan, figures: Figures, found: Finding | None, asked: Accept, approver: Approver) -> Acceptance:
    if found is None:
        near = difflib.get_close_matches(asked.finding, [one.ident for one in plan.findings], n=1)
        raise UsageError(
            f"'{asked.finding}' is no finding of this plan", where="--accept",
            expected="a name that 'briefgen check' prints in brackets", hint=f"did you mean {near[0]}?" if near else "",
        )  # fmt: skip
    if found.outcome == "pass":
        raise UsageError(f"'{found.ident}' is met: there is nothing to accept", where="--accept")
    if found.accepted_by == (NOBODY,):
        raise ApprovalError(
            f"'{found.ident}' is never accepted", where=plan.mission.file, expected="that it is mended",
            hint=figures.text(found.cure),
        )  # fmt: skip
    if found.accepted_by and approver.role not in found.accepted_by:
        raise ApprovalError(
            f"'{found.ident}' is accepted by the {' or '.join(found.accepted_by)}, not by the {approver.role}",
            where=plan.mission.file,
        )  # fmt: skip
    until = _until(plan, asked, approver)
    measured, limit = (
        figures.quoted(key).replace(NO_BREAK, " ") if key else "" for key in (found.measured_key, found.limit_key)
    )
    return Acceptance(
        found.ident,
        figures.text(found.title).replace(NO_BREAK, " "),
        found.outcome,
        measured,
        limit,
        asked.because,
        until,
    )


def _until(plan: Plan, asked: Accept, approver: Approver) -> str:
    """Return the last day of an acceptance; it must last from now to the end of the flight."""
    if asked.until is None:
        return ""
    ends = max(phase.end.instant for phase in plan.phases).astimezone(UTC).date()
    least = max(ends, approver.at.astimezone(UTC).date())
    if asked.until < least:
        raise ApprovalError(
            f"'{asked.finding}' would be accepted until {asked.until}, and the flight ends on {ends}",
            where=plan.mission.file, expected=f"{least} or later, or no day",
        )  # fmt: skip
    return asked.until.isoformat()


def _require_each_once(accepts: Sequence[Accept]) -> None:
    names = [one.finding for one in accepts]
    twice = next((name for name in names if names.count(name) > 1), "")
    if twice:
        raise UsageError(f"'{twice}' is accepted twice", where="--accept", expected="each finding once")
