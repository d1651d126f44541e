"""Who may approve what, and for how long it holds: by rule, by role, by day, by key, by every byte of what was kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from briefgen.approval.approve import Accept, ApprovalError, Approver, approve
from briefgen.approval.hold import held
from briefgen.approval.keep import keep
from briefgen.commands.approving import _accepts
from briefgen.errors import BriefgenError, RenderError, UsageError
from briefgen.model.approval import Approval
from briefgen.model.plan import Plan
from tests.shared.demo_missions import plan_of

VERSION = "briefgen 7"
NOW, TODAY = datetime(2027, 2, 20, 12, tzinfo=UTC), date(2027, 2, 20)
TREES, STRIP = "obstacles-all-engines", "take-off-50ft"
FELLED, PACED = "the trees were felled", "the strip was paced again"
BOTH = (Accept(TREES, FELLED), Accept(STRIP, PACED))
COMMANDER = Approver("Orlan", "commander", NOW)


def mudlark(*, keys: dict[str, str] | None = None) -> Plan:
    """Return the plan of Mudlark, in whose rules anybody may accept what fails, and whose roles have keys."""
    plan = plan_of("mudlark")
    mission = replace(plan.mission, rules=replace(plan.mission.rules, approval_keys=keys or {}))
    free = tuple(replace(one, accepted_by=()) if one.ident == STRIP else one for one in plan.findings)
    return replace(plan, mission=mission, findings=free)


def kept(folder: Path, plan: Plan, accepts: tuple[Accept, ...] = BOTH, key: Any = None, public: str = "") -> Path:
    """Approve a plan, keep it beside a mission file that need not be there, and return the name of that."""
    record, figures = approve(plan, replace(COMMANDER, key=public), accepts, VERSION)
    keep(folder / "mudlark.yaml", record, figures, key)
    return folder / "mudlark.yaml"


def found(plan: Plan, file: Path, today: date = TODAY, version: str = VERSION) -> Approval:
    """Return the approval of a plan as it holds on a day."""
    approval = held(plan, file, today, version).approval
    assert approval is not None
    return approval


@pytest.mark.parametrize(
    ("accepts", "approver", "told"),
    [
        ((Accept(STRIP, PACED),), COMMANDER, "'take-off-50ft' is never accepted"),
        ((Accept(TREES, FELLED),), COMMANDER, r"1 finding fails.*\n.*take-off-50ft \(never accepted\)"),
        ((Accept("obstacle-all-engines", FELLED),), COMMANDER, "did you mean obstacles-all-engines?"),
        ((Accept("crosswind", FELLED),), COMMANDER, "'crosswind' is met: there is nothing to accept"),
        ((Accept(TREES, FELLED), Accept(TREES, PACED)), COMMANDER, "is accepted twice"),
        ((Accept(TREES, FELLED, date(2027, 2, 22)),), COMMANDER, "the flight ends on 2027-02-23"),
        ((Accept(TREES, FELLED),), replace(COMMANDER, role="dispatcher"), "accepted by the commander, not by the dispatcher"),
    ],
)  # fmt: skip
def test_what_may_not_be_accepted_is_refused(accepts: tuple[Accept, ...], approver: Approver, told: str) -> None:
    """By rule, by role, by day; a misspelt finding; one that is met; one that is passed over."""
    with pytest.raises(BriefgenError, match=told):
        approve(plan_of("mudlark"), approver, accepts, VERSION)


@pytest.mark.parametrize(
    ("names", "reasons", "untils", "told"),
    [
        ([TREES], [], [], "1 findings are accepted and 0 reasons given"),
        ([TREES], [" "], [], "1 findings are accepted and 0 reasons given"),
        ([TREES], [FELLED], ["tomorrow"], "'tomorrow' is no day"),
        ([TREES], [FELLED], ["2027-02-30"], "'2027-02-30' is no day"),
        ([TREES], [FELLED], ["duty=2027-03-01"], "'duty' is given a last day and is not accepted"),
        ([TREES], [FELLED], ["2027-03-01", "2027-03-02"], "two last days for all"),
    ],
)
def test_what_is_asked_for_by_halves_is_refused(
    names: list[str], reasons: list[str], untils: list[str], told: str
) -> None:
    """A reason for each, a day that is one, and of something that is accepted."""
    with pytest.raises(UsageError, match=told):
        _accepts(names, reasons, untils)


def test_a_day_is_that_of_one_finding_or_of_all() -> None:
    """Each reason stands with its finding in the order given."""
    asked = _accepts([TREES, STRIP], [FELLED, PACED], ["2027-03-01", f"{STRIP}=2027-04-01"])

    assert asked == [Accept(TREES, FELLED, date(2027, 3, 1)), Accept(STRIP, PACED, date(2027, 4, 1))]


def test_an_approval_of_the_same_plan_holds_and_says_who_accepted_what(tmp_path: Path) -> None:
    """Nothing changed: nothing to say but who, when and why, at the finding itself."""
    plan = mudlark()
    file = kept(tmp_path, plan)
    approval, findings = found(plan, file), {one.ident: one for one in held(plan, file, TODAY, VERSION).findings}

    assert (approval.holds, approval.changes, approval.by, approval.at) == (True, None, "Orlan", "2027-02-20T12:00:00Z")
    assert findings[TREES].accepted == f"by Orlan (commander): {FELLED}"
    assert {one.finding: (one.measured, one.limit) for one in approval.accepted}[TREES] == ("38 ft", "50 ft")


@pytest.mark.parametrize(("today", "holds"), [(date(2027, 2, 23), True), (date(2027, 2, 24), False)])
def test_an_acceptance_ends_with_its_day(today: date, holds: bool, tmp_path: Path) -> None:
    """On its last day it holds, on the next the whole approval is stale."""
    file = kept(tmp_path, mudlark(), (Accept(TREES, FELLED, date(2027, 2, 23)), Accept(STRIP, PACED)))
    approval = found(mudlark(), file, today)

    ended = ("the acceptance of 'Obstacles after take-off, all engines' ended on 2027-02-23",)
    assert approval.stale == (() if holds else ended)


def test_another_version_of_the_program_ends_it(tmp_path: Path) -> None:
    """What it would print now is not what was approved, until somebody has looked."""
    file = kept(tmp_path, mudlark())

    assert found(mudlark(), file, version="briefgen 8").stale == ("it was planned with briefgen 7, this is briefgen 8",)


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


def _bend(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[len(content) // 3] ^= 0x01
    path.write_bytes(bytes(content))


@pytest.mark.parametrize("harm", [_cut, _bend, Path.unlink])
def test_the_approved_figures_are_those_that_were_approved(harm: Callable[[Path], None], tmp_path: Path) -> None:
    """Cut short, bent or gone, they end the approval, and no comparison is made with them."""
    file = kept(tmp_path, mudlark())
    harm(tmp_path / "mudlark.approved.json")
    approval = found(mudlark(), file)

    assert approval.changes is None
    assert "the approved figures" in approval.stale[0]


def test_a_record_that_cannot_be_trusted_accepts_nothing(tmp_path: Path) -> None:
    """No name, no acceptance is taken from it; that it was altered is all it says."""
    file = kept(tmp_path, mudlark())
    _bend(tmp_path / "mudlark.approval.json")
    plan = held(mudlark(), file, TODAY, VERSION)

    assert plan.approval is not None
    assert plan.approval.stale == ("the record was altered after it was written: its seal does not fit",)
    assert (plan.approval.by, plan.approval.accepted) == ("", ())
    assert {one.accepted for one in plan.findings} == {""}


def test_a_signed_approval_is_verified_and_its_key_is_the_rule_sets(tmp_path: Path) -> None:
    """Signed it holds; with another's signature, unsigned or by another's key it does not, once the rule set names the key."""
    ed25519 = pytest.importorskip("cryptography.hazmat.primitives.asymmetric.ed25519")
    from briefgen.approval.signing import public_text

    own, other = (ed25519.Ed25519PrivateKey.from_private_bytes(bytes([number] * 32)) for number in (1, 2))
    plan = mudlark(keys={"commander": public_text(own)})
    file = kept(tmp_path, plan, key=own, public=public_text(own))
    signature = tmp_path / "mudlark.approval.sig"
    assert found(plan, file).stale == ()
    assert found(plan, file).signed == f"signed with the key {public_text(own)[:8]}, the commander's in the rule set"
    assert "which no rule set names" in found(mudlark(), file).signed

    signature.write_bytes(signature.read_bytes().swapcase())
    assert found(plan, file).stale == ("its signature is not that of this record",)
    signature.unlink()
    assert found(plan, file).stale == ("its signature is missing: mudlark.approval.sig",)
    kept(tmp_path, plan, key=other, public=public_text(other))
    assert "the commander of the rule set has the key" in found(plan, file).stale[0]
    kept(tmp_path, plan)
    assert "it is not signed; the rule set wants the key" in found(plan, file).stale[0]
    assert not signature.exists()


def test_what_is_no_record_of_ours_is_left_alone(tmp_path: Path) -> None:
    """A file that happens to bear the name is not overwritten, and nothing else is written then."""
    (tmp_path / "mudlark.approved.json").write_text("my own notes", encoding="utf-8")

    with pytest.raises(RenderError, match="is none of an approval; it is left alone"):
        kept(tmp_path, mudlark())
    assert [path.name for path in tmp_path.iterdir()] == ["mudlark.approved.json"]


def test_a_refusal_is_no_fault_of_the_command_line() -> None:
    """What cannot be approved leaves with 1, what was asked wrongly with 2."""
    assert (ApprovalError("").exit_code, UsageError("").exit_code) == (1, 2)
