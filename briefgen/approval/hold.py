"""An approval held against the plan of today: it holds for this very plan, or it is stale and says why."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from briefgen.approval.record import ApprovalRecord, RecordError, read_record
from briefgen.approval.signing import CannotVerifyError, is_signed, named
from briefgen.comparison.compare import compare
from briefgen.comparison.plan_data import PlanData, plan_data
from briefgen.document import fingerprint, first_figures, plan_json
from briefgen.errors import UsageError
from briefgen.model.approval import FIGURES, RECORD, SIGNATURE, Approval
from briefgen.model.comparison import Comparison
from briefgen.model.plan import Plan

NOT_SIGNED = "not signed"


def beside(mission_file: Path, ending: str) -> Path:
    """Return the file of an approval that stands beside a mission file."""
    return mission_file.with_name(mission_file.stem + ending)


def held(plan: Plan, mission_file: Path, today: date, version: str) -> Plan:
    """Return a plan with the approval that stands beside its mission file, held against it; as it is where there is none."""
    path = beside(mission_file, RECORD)
    if not path.is_file():
        return plan
    content = path.read_bytes()
    try:
        record = read_record(content)
    except RecordError as error:
        return replace(plan, approval=Approval("", "", "", "", "", (), stale=(error.problem,)))
    signed, unsigned = _signature(record, content, mission_file, plan.mission.rules.approval_keys)
    approved, missing = _approved_figures(record, mission_file)
    digest, changes = fingerprint(plan), None
    if approved is not None and (record.digest != digest or dict(record.files) != _files(plan)):
        changes = compare(approved, plan_data(plan_json(plan), str(mission_file)), first_figures())
    stale = (*unsigned, *missing, *_ended(record, today, version), *_changed(record, plan, digest, changes))
    approval = Approval(
        record.by, record.role, record.at, record.tool, record.digest, record.accepted, signed, stale, changes
    )
    return with_acceptances(replace(plan, approval=approval))


def with_acceptances(plan: Plan) -> Plan:
    """Return a plan whose findings say by whom they are accepted; an acceptance of a stale approval is said to have ended."""
    approval = plan.approval
    if approval is None:
        return plan
    accepted = {one.finding: one for one in approval.accepted}
    findings = []
    for one in plan.findings:
        found = accepted.get(one.ident)
        if found is not None and one.outcome != "pass":
            until = f", until {found.until}" if found.until else ""
            words = f"by {approval.by} ({approval.role}): {found.because}{until}"
            one = replace(one, accepted=words if approval.holds else f"no longer; it was, {words}")
        findings.append(one)
    sectors = tuple(
        replace(one, approval=approval) for one in plan.sectors
    )  # approved with the whole, and no other way
    return replace(plan, findings=tuple(findings), sectors=sectors)


def _files(plan: Plan) -> dict[str, str]:
    return {file.name: file.digest for file in plan.mission.files}


def _signature(
    record: ApprovalRecord, content: bytes, mission_file: Path, keys: Mapping[str, str]
) -> tuple[str, tuple[str, ...]]:
    """Return how a record is signed in words, and what is wrong with that."""
    wanted = keys.get(record.role, "")
    if not record.key:
        return "", (
            (f"it is {NOT_SIGNED}; the rule set wants the {named(wanted)} of the {record.role}",) if wanted else ()
        )
    try:
        signature = beside(mission_file, SIGNATURE).read_bytes()
    except OSError:
        return "", (f"its signature is missing: {beside(mission_file, SIGNATURE).name}",)
    try:
        sound = is_signed(record.key, signature, content)
    except CannotVerifyError as error:
        return "", (f"its signature cannot be verified without the library cryptography: {error}",)
    if not sound:
        return "", ("its signature is not that of this record",)
    if wanted and record.key != wanted:
        return "", (
            f"it is signed with the {named(record.key)}; the {record.role} of the rule set has the {named(wanted)}",
        )
    known = f"the {record.role}'s in the rule set" if wanted else "which no rule set names"
    return f"signed with the {named(record.key)}, {known}", ()


def _approved_figures(record: ApprovalRecord, mission_file: Path) -> tuple[PlanData | None, tuple[str, ...]]:
    """Return the approved plan kept beside a record, None with the reason where it is not the one that was approved."""
    path = beside(mission_file, FIGURES)
    try:
        content = path.read_bytes()
    except OSError:
        return None, (f"the approved figures are missing: {path.name}",)
    if hashlib.sha256(content).hexdigest() != record.figures:
        return None, (f"the approved figures were altered: {path.name}",)
    try:
        return plan_data(content.decode(), path.name), ()
    except (UnicodeDecodeError, UsageError):
        return None, (f"the approved figures cannot be read: {path.name}",)


def _ended(record: ApprovalRecord, today: date, version: str) -> Iterator[str]:
    """Yield which acceptances have passed their day, and that another version of the program planned it."""
    if record.tool != version:
        yield f"it was planned with {record.tool}, this is {version}"
    for one in record.accepted:
        if one.until and date.fromisoformat(one.until) < today:
            yield f"the acceptance of '{one.title}' ended on {one.until}"


def _changed(record: ApprovalRecord, plan: Plan, digest: str, changes: Comparison | None) -> Iterator[str]:
    """Yield which files changed, and how many printed figures with them."""
    now = _files(plan)
    for name in sorted({*record.files, *now}):
        if name not in now:
            yield f"{name} is no longer read"
        elif name not in record.files:
            yield f"{name} was not read then"
        elif record.files[name] != now[name]:
            yield f"{name} has changed"
    if record.digest != digest:
        count = len(changes.figures) + len(changes.words) if changes is not None else 0
        yield f"{count:,} printed figures and words differ" if count else "the digest of the plan differs"
