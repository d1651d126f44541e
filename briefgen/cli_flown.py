"""The verbs for a flight under way or flown: an empty log, the rest planned anew, the debrief, learning from many logs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Protocol

import typer

if TYPE_CHECKING:
    from briefgen.model.plan import Plan

Spec = Annotated[Path, typer.Argument(metavar="SPEC", help="A mission file.", show_default=False)]
LogFile = Annotated[Path, typer.Argument(metavar="LOG", help="The log of the flight.", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="Print for machines.")]


class Say(Protocol):
    """Prints a text on the terminal."""

    def __call__(self, text: object, *, nl: bool = True, to_error: bool = False) -> None: ...


class FlownVerbs:
    """The verbs, with what they share with every other: how a mission is planned and how something is said."""

    def __init__(self, plan_of: Callable[[Path], Plan], say: Say) -> None:
        self._plan_of, self._say = plan_of, say

    def add_to(self, app: typer.Typer) -> None:
        """Add the verbs to the command line."""
        app.command("log")(self.log)
        app.command("debrief")(self.debrief)

    def log(
        self,
        spec: Spec,
        out: Annotated[
            Path | None, typer.Option("--out", help="Write it to this file, where none stands yet.", show_default=False)
        ] = None,
    ) -> None:
        """Print an empty log for a mission, its lines numbered as on the card of the fuel log.

        Example: briefgen log mission_specs/cedar-lantern.yaml
        """
        plan = self._plan_of(spec)
        from briefgen.disk import write_new
        from briefgen.planning.after.blanks import blanks_of
        from briefgen.spec.write_log import empty_log

        text = empty_log(plan.mission, spec.name, blanks_of(plan))
        if out is None:
            self._say(text, nl=False)
        else:
            (written,) = write_new({out: text})
            self._say(written)

    def debrief(
        self,
        spec: Spec,
        log: LogFile,
        out: Annotated[
            Path | None,
            typer.Option("--out", help="Also write its page and its cards into this folder; replaced whole."),
        ] = None,
        pdf: Annotated[bool, typer.Option("--pdf/--no-pdf", help="Also print the cards to PDF.")] = True,
        as_json: AsJson = False,
    ) -> None:
        """Hold a flight against its plan: what was left, where the difference came from, what goes into the book.

        Example: briefgen debrief mission_specs/cedar-lantern.yaml mission_specs/logs/cedar-lantern.yaml
        """
        from briefgen.document import plan_json
        from briefgen.document.flown.files import debrief_files, debrief_text
        from briefgen.document.write import ready, write_site

        if out is not None:
            ready(out, [spec, log])
        debriefed = self._debriefed(spec, log)
        self._say(plan_json(debriefed) if as_json else debrief_text(debriefed), nl=False)
        if out is not None:
            files = debrief_files(debriefed, pdf=pdf, built_at=None)
            for path in write_site(files, out, [spec, log]):
                self._say(path, to_error=True)

    def _debriefed(self, spec: Path, log: Path) -> Plan:
        from briefgen.planning.after.blanks import blanks_of
        from briefgen.planning.after.debrief import debrief, join
        from briefgen.planning.flight.fly import fly
        from briefgen.spec import read_mission
        from briefgen.spec.read_log import read_log

        plan, flown = self._plan_of(spec), fly(read_mission(spec))
        written = read_log(log, plan.mission, blanks_of(plan))
        return debrief(plan, join(flown, written), written)
