"""The verb `calibrate`: what many logs say of the aircraft file, and a change to it that a person may accept."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from briefgen.commands.desk import Desk
from briefgen.commands.flown import AsJson
from briefgen.errors import UsageError

if TYPE_CHECKING:
    from briefgen.planning.flight.schedule import Flown
    from briefgen.planning.learning.observations import Observation

AircraftFile = Annotated[Path, typer.Argument(metavar="AIRCRAFT", help="An aircraft file.", show_default=False)]
Logs = Annotated[
    list[Path], typer.Argument(metavar="LOGS...", help="Logs of its flights, or folders of logs.", show_default=False)
]
PatchFile = Annotated[
    Path | None,
    typer.Option("--patch", help="Write the proposed change to this file, where none stands yet.", show_default=False),
]


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the verb to the command line."""

    @app.command()
    def calibrate(aircraft: AircraftFile, logs: Logs, patch: PatchFile = None, as_json: AsJson = False) -> None:
        """Learn consumption and speed from many logs, and propose a change to the aircraft file; never make it.

        Example: briefgen calibrate mission_specs/aircraft/t4-freighter.yaml mission_specs/logs/mudlark
        """
        from briefgen.disk import write_new
        from briefgen.document import plan_json
        from briefgen.document.flown.files import learning_text
        from briefgen.planning.learning.figures import enter
        from briefgen.planning.learning.fit import learn
        from briefgen.planning.learning.proposal import propose
        from briefgen.spec.propose import patch_of

        observed, flights = _observed(aircraft, _files(logs))
        learned = learn(observed)
        mission = flights[0].mission
        entered = enter(learned, mission)
        proposal = propose(learned, observed, mission.aircraft, mission.fuel_grade)
        if as_json:
            desk.say(plan_json(entered), nl=False)
        else:
            desk.say(learning_text(entered, proposal.why_not), nl=False)
        if not proposal.changes:
            return
        proposed = patch_of(aircraft, [(change.path, change.ratio, change.why) for change in proposal.changes])
        if patch is None:
            desk.say(f"\nProposed, not made:\n{proposed}", nl=False, to_error=as_json)
            return
        for path in write_new({patch: proposed}):
            desk.say(path, to_error=as_json)


def _files(logs: Sequence[Path]) -> list[Path]:
    """Return the logs named and those in the folders named, each once."""
    found = [file for log in logs for file in (sorted(log.glob("*.yaml")) if log.is_dir() else [log])]
    if not found:
        raise UsageError(
            "there is no log in these folders", expected="files named *.yaml with 'briefgen: log/1' at the head"
        )
    return list(dict.fromkeys(found))


def _observed(aircraft: Path, files: Sequence[Path]) -> tuple[list[Observation], list[Flown]]:
    """Return what every log says, and the flights they were planned as; each mission is planned once."""
    from briefgen.planning.after.blanks import blanks_of
    from briefgen.planning.flight.fly import fly
    from briefgen.planning.learning.observations import observations_of
    from briefgen.spec import read_mission
    from briefgen.spec.read_log import mission_of_log, read_log

    planned: dict[Path, Flown] = {}
    observed: list[Observation] = []
    for file in files:
        spec = mission_of_log(file).resolve()
        if spec not in planned:
            planned[spec] = fly(read_mission(spec))
            named = spec.parent / planned[spec].mission.given["aircraft.file"].text
            if named.resolve() != aircraft.resolve():
                raise UsageError(
                    f"this flight was planned with {named.name}", where=str(file),
                    expected=f"flights planned with {aircraft.name}", hint="calibrate one aircraft at a time",
                )  # fmt: skip
        flown = planned[spec]
        log = read_log(file, flown.mission, blanks_of(flown.mission, flown.phases))
        observed += observations_of(flown, log, file.stem)
    return observed, list(planned.values())
