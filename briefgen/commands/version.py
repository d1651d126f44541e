"""The option `--version`."""

from __future__ import annotations

from typing import Annotated

import typer

from briefgen import __version__
from briefgen.commands.desk import Desk


def _told(wanted: bool) -> None:
    if wanted:
        typer.echo(f"briefgen {__version__}")
        raise typer.Exit


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the option to the command line."""

    @app.callback()
    def whole(
        version: Annotated[
            bool, typer.Option("--version", help="Print the version.", callback=_told, is_eager=True)
        ] = False,
    ) -> None:
        pass

    whole.__doc__ = app.info.help
