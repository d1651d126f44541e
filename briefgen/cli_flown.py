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
