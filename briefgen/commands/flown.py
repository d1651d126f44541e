"""The verbs `log` and `debrief`: what a crew fills in, and what came of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from briefgen.commands.desk import Desk

if TYPE_CHECKING:
    from briefgen.model.plan import Plan

Spec = Annotated[Path, typer.Argument(metavar="SPEC", help="A mission file.", show_default=False)]
LogFile = Annotated[Path, typer.Argument(metavar="LOG", help="The log of the flight.", show_default=False)]
ToFile = Annotated[
    Path | None, typer.Option("--out", help="Write it to this file, where none stands yet.", show_default=False)
]
ToFolder = Annotated[
    Path | None,
    typer.Option("--out", help="Also write page and cards into this folder; replaced whole.", show_default=False),
]
Pdf = Annotated[bool, typer.Option("--pdf/--no-pdf", help="Also print the cards to PDF.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print for machines.")]


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the verbs to the command line."""

    @app.command()
    def log(spec: Spec, out: ToFile = None) -> None:
        """Print an empty log for a mission, its lines numbered as on the card of the fuel log.

        Example: briefgen log mission_specs/mudlark.yaml
        """
        plan = desk.plan_of_one(spec)
        from briefgen.disk import write_new
        from briefgen.planning.after.blanks import blanks_of
        from briefgen.spec.write_log import empty_log

        text = empty_log(plan.mission, spec.name, blanks_of(plan.mission, plan.phases))
        if out is None:
            desk.say(text, nl=False)
        else:
            (written,) = write_new({out: text})
            desk.say(written)

    @app.command()
    def debrief(spec: Spec, log: LogFile, out: ToFolder = None, pdf: Pdf = True, as_json: AsJson = False) -> None:
        """Hold a flight against its plan: what was left, where the difference came from, what goes into the book.

        Example: briefgen debrief mission_specs/mudlark.yaml mission_specs/logs/mudlark/01.yaml
        """
        from briefgen.document import plan_json
        from briefgen.document.flown.files import debrief_files, debrief_text
        from briefgen.document.write import ready, write_site

        if out is not None:
            ready(out, [spec, log])
        debriefed = _debriefed(desk, spec, log)
        desk.say(plan_json(debriefed) if as_json else debrief_text(debriefed), nl=False)
        if out is not None:
            files = debrief_files(debriefed, pdf=pdf, built_at=None)
            for path in write_site(files, out, [spec, log]):
                desk.say(path, to_error=True)


def _debriefed(desk: Desk, spec: Path, log: Path) -> Plan:
    """Return a plan debriefed by the log of its flight."""
    plan = desk.plan_of_one(spec)
    from briefgen.planning.after.blanks import blanks_of
    from briefgen.planning.after.debrief import debrief, join
    from briefgen.planning.flight.fly import fly
    from briefgen.spec import read_mission
    from briefgen.spec.read_log import read_log

    written = read_log(log, plan.mission, blanks_of(plan.mission, plan.phases))
    return debrief(plan, join(fly(read_mission(spec)), written), written)
