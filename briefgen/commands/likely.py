"""The verb `spread`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from briefgen.commands.desk import Desk
from briefgen.commands.flown import AsJson, Pdf, ToFolder

Spec = Annotated[
    Path, typer.Argument(metavar="SPEC", help="A mission file that says what is uncertain.", show_default=False)
]
Samples = Annotated[int, typer.Option("--samples", min=100, max=100_000, help="How many flights.")]
Seed = Annotated[
    int, typer.Option("--seed", min=0, help="Where the drawing begins; the same seed gives the same figures.")
]
Full = Annotated[
    int, typer.Option("--in-full", min=10, max=5_000, help="How many of them are flown in full to check the others.")
]


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the verb to the command line."""

    @app.command()
    def spread(
        spec: Spec, samples: Samples = 10_000, seed: Seed = 1, in_full: Full = 50, out: ToFolder = None, pdf: Pdf = True,
        as_json: AsJson = False,
    ) -> None:  # fmt: skip
        """Tell how likely it is: bands of time and fuel at each point under the uncertainties the mission states.

        Example: briefgen spread mission_specs/plumb-line.yaml --seed 1
        """
        from briefgen.bench.likely import likely
        from briefgen.document import plan_json
        from briefgen.document.flown.likely_page import likely_text

        if out is not None:
            from briefgen.document.flown.files import likely_files
            from briefgen.document.write import ready, write_site

            ready(out, [spec])
        found = likely(spec, samples=samples, seed=seed, in_full=in_full)
        desk.say(plan_json(found) if as_json else likely_text(found), nl=False)
        if out is not None:
            for path in write_site(likely_files(found, pdf=pdf, built_at=None), out, [spec]):
                desk.say(path, to_error=True)
