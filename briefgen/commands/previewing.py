"""The verb `preview`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from briefgen.commands.desk import Desk

Spec = Annotated[Path, typer.Argument(metavar="SPEC", help="A mission file.", show_default=False)]
Port = Annotated[
    int, typer.Option("--port", min=0, max=65_535, help="Where to serve it on this machine; 0: any port that is free.")
]


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the verb to the command line."""

    @app.command()
    def preview(spec: Spec, port: Port = 0) -> None:
        """Serve the briefing of a mission to this machine alone, and build it again whenever one of its files is saved.

        Example: briefgen preview mission_specs/mudlark.yaml
        """
        from briefgen.preview.serve import serve

        desk.missions([spec])
        with serve(spec, port) as at:
            desk.say(f"{at.address}: the briefing of {spec}; it follows what is saved, until Ctrl-C")
            at.follow(lambda text: desk.say(text))
