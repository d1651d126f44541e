"""The verb `approve`."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from briefgen.commands.desk import Desk
from briefgen.errors import UsageError

if TYPE_CHECKING:
    from briefgen.approval.approve import Accept

Spec = Annotated[Path, typer.Argument(metavar="SPEC", help="A mission file.", show_default=False)]
By = Annotated[str, typer.Option("--by", metavar="NAME", help="Who approves.", show_default=False)]
Role = Annotated[
    str, typer.Option("--role", metavar="ROLE", help="In which role, such as commander.", show_default=False)
]
Accepted = Annotated[
    list[str] | None,
    typer.Option("--accept", metavar="FINDING", help="A finding that is accepted, by the name 'check' prints; again for each.", show_default=False),
]  # fmt: skip
Because = Annotated[
    list[str] | None,
    typer.Option("--because", metavar="TEXT", help="Why it is accepted: one for each --accept, in their order.", show_default=False),
]  # fmt: skip
Until = Annotated[
    list[str] | None,
    typer.Option("--until", metavar="[FINDING=]DATE", help="The last day on which an acceptance holds: of one finding, or of all.", show_default=False),
]  # fmt: skip
Key = Annotated[
    Path | None,
    typer.Option("--sign-with", metavar="FILE", help="An Ed25519 private key in PEM: sign the record.", show_default=False),
]  # fmt: skip


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the verb to the command line."""

    @app.command()
    def approve(
        spec: Spec, by: By, role: Role, accept: Accepted = None, because: Because = None, until: Until = None,
        sign_with: Key = None,
    ) -> None:  # fmt: skip
        """Approve the plan of a mission as it stands, and what is accepted of it: a record beside the mission file.

        Any later change of a file, a printed figure or the record itself makes the approval stale.

        Example: briefgen approve mission_specs/cedar-lantern.yaml --by Orlan --role commander
        """
        accepts = _accepts(accept or [], because or [], until or [])
        from briefgen.approval.approve import Approver
        from briefgen.approval.approve import approve as approved
        from briefgen.approval.keep import keep, tool
        from briefgen.approval.signing import private_key, public_text
        from briefgen.spec import require_whole

        require_whole([spec], "approved")

        for name, text in (("--by", by), ("--role", role)):
            if not text.strip():
                raise typer.BadParameter("nobody is named" if name == "--by" else "no role is named", param_hint=name)
        key = private_key(sign_with) if sign_with is not None else None
        (plan,) = desk.plans([spec]).values()
        who = Approver(by.strip(), role.strip(), desk.now(), public_text(key) if key else "")
        record, figures = approved(plan, who, accepts, tool())
        for path in keep(spec, record, figures, key):
            desk.say(path)
        signed = f", signed; public key {record.key}" if record.key else ""
        desk.say(
            f"{plan.mission.name} is approved by {record.by}, {record.role}: plan {record.digest[:12]}, "
            f"{len(record.accepted)} accepted of {record.outcomes['fail']} that fail and {record.outcomes['caution']} cautions{signed}"
        )


def _accepts(names: list[str], reasons: list[str], untils: list[str]) -> list[Accept]:
    """Return what is accepted, each with its reason and its last day."""
    from briefgen.approval.approve import Accept as One

    if len(names) != len(reasons) or not all(reason.strip() for reason in reasons):
        raise UsageError(
            f"{len(names)} findings are accepted and {sum(bool(r.strip()) for r in reasons)} reasons given", where="--because",
            expected="a reason for each --accept, in their order",
        )  # fmt: skip
    days: dict[str, date] = {}
    for text in untils:
        name, _, day = text.rpartition("=")
        if name and name not in names:
            raise UsageError(f"'{name}' is given a last day and is not accepted", where="--until")
        if name in days:
            raise UsageError(f"two last days for {name or 'all'}", where="--until")
        days[name] = _day(day)
    every = days.get("")
    return [One(name, reason.strip(), days.get(name, every)) for name, reason in zip(names, reasons, strict=True)]


def _day(text: str) -> date:
    try:
        if len(text) != len("2027-03-31"):
            raise ValueError(text)
        return date.fromisoformat(text)
    except ValueError as error:
        raise UsageError(f"'{text}' is no day", where="--until", expected="a day such as 2027-03-31") from error
