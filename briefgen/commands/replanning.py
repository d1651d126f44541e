"""The verb `replan`: the rest of a flight from its last fix."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from briefgen.commands.desk import Desk
from briefgen.commands.flown import AsJson, Pdf, Spec, ToFolder
from briefgen.errors import UsageError

if TYPE_CHECKING:
    from briefgen.model.flight_log import FlightLog
    from briefgen.planning.flight.schedule import Flown

MaybeLog = Annotated[
    Path | None,
    typer.Argument(metavar="[LOG]", help="The log of the flight so far; its last fix is taken.", show_default=False),
]
At = Annotated[
    str,
    typer.Option(
        "--at", help="In place of a log: a place of the route, or the number of a line; of a log: the line to begin at."
    ),
]
Time = Annotated[str, typer.Option("--time", help="Time there, such as 18:20Z.")]
Fuel = Annotated[str, typer.Option("--fuel", help="Fuel aboard there, such as '840 US gal'.")]
Engines = Annotated[
    int | None, typer.Option("--engines", help="How many engines run from here on.", show_default=False)
]
Lost = Annotated[
    list[str] | None,
    typer.Option("--lost", help="A tank whose fuel cannot be had from here on; may be repeated.", show_default=False),
]
To = Annotated[str, typer.Option("--to", help="The alternate, or field on the way, that she turns to from here.")]


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the verb to the command line."""

    @app.command()
    def replan(
        spec: Spec, log: MaybeLog = None, at: At = "", time: Time = "", fuel: Fuel = "", engines: Engines = None,
        lost: Lost = None, to: To = "", out: ToFolder = None, pdf: Pdf = True, as_json: AsJson = False,
    ) -> None:  # fmt: skip
        """Plan the rest of a flight anew from its last fix: estimates, fuel, fields, the hold; what failed counted.

        Example: briefgen replan mission_specs/mudlark.yaml --at 1 --time 02:34Z --fuel "394 US gal" --engines 3
        """
        from briefgen.document import plan_json
        from briefgen.document.flown.replan_text import replan_text
        from briefgen.planning.after.replan import Changed, fly_anew
        from briefgen.planning.after.replan import replan as entered

        inputs = [spec, *([log] if log else [])]
        if out is not None:
            from briefgen.document.flown.files import replan_files
            from briefgen.document.write import ready, write_site

            ready(out, inputs)
        flown, written = _fix(spec, log, (at, time, fuel))
        found = entered(flown, fly_anew(flown, written, Changed(engines, tuple(lost or ()), to)), written)
        desk.say(plan_json(found) if as_json else replan_text(found), nl=False)
        if out is not None:
            for path in write_site(replan_files(found, pdf=pdf, built_at=None), out, inputs):
                desk.say(path, to_error=True)


def _fix(spec: Path, log: Path | None, given: tuple[str, str, str]) -> tuple[Flown, FlightLog]:
    """Return a settled plan, and the log that ends at the fix: a file, or the one fix that was given."""
    if (log is None) is not all(given) or (log is not None and any(given[1:])):
        raise UsageError(
            "a fix is wanted", expected="the log of the flight, or all of --at, --time and --fuel",
            hint="briefgen log SPEC writes an empty log",
        )  # fmt: skip
    from briefgen.planning.after.blanks import blanks_of
    from briefgen.planning.after.fix import up_to
    from briefgen.planning.flight.fly import fly
    from briefgen.spec import read_mission
    from briefgen.spec.read_log import read_fix, read_log

    flown = fly(read_mission(spec))
    blanks = blanks_of(flown.mission, flown.phases)
    if log is None:
        return flown, read_fix(*given, flown.mission, blanks)
    written = read_log(log, flown.mission, blanks)
    return flown, up_to(written, given[0]) if given[0] else written
