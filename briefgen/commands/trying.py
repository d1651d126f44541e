"""The verb `whatif`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from briefgen.commands.desk import Desk
from briefgen.errors import UsageError

if TYPE_CHECKING:
    from briefgen.model.bench import Change, Variation
    from briefgen.model.plan import Plan

Spec = Annotated[Path, typer.Argument(metavar="SPEC", help="A mission file.", show_default=False)]
Sets = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="PATH=VALUE", help="A written value changed; together with the others given, one variation.", show_default=False),
]  # fmt: skip
Sweeps = Annotated[
    list[str] | None,
    typer.Option("--sweep", metavar="PATH=FROM:TO:STEP", help="A figure over a range of a value; of two, given twice.", show_default=False),
]  # fmt: skip
Of = Annotated[str, typer.Option("--of", metavar="KEY", help="The figure that is swept; 'explain --list' names them.")]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="FILE", help="Also draw the sweep, as SVG.", show_default=False)
]
Most = Annotated[
    str | None, typer.Option("--most", metavar="PATH", help="Search the most of a quantity that passes; also head wind, warmer, late.", show_default=False)
]  # fmt: skip
Least = Annotated[
    str | None, typer.Option("--least", metavar="PATH", help="Search the least of it.", show_default=False)
]
AsJson = Annotated[bool, typer.Option("--json", help="Print for machines.")]


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the verb to the command line."""

    @app.command()
    def whatif(
        spec: Spec,
        sets: Sets = None,
        sweep: Sweeps = None,
        of: Of = "fuel.margin",
        out: Out = None,
        most: Most = None,
        least: Least = None,
        as_json: AsJson = False,
    ) -> None:
        """Print what the plan comes to if something is otherwise: values set here, and the variations the mission names.

        Example: briefgen whatif mission_specs/mudlark.yaml --set "route.legs[0].altitude=4,500 ft"
        """
        if most or least:
            _search(desk, spec, most, least, as_json=as_json)
            return
        if sweep:
            _sweep(desk, spec, sweep, of, out, as_json=as_json)
            return
        from briefgen.bench.text import whatif_json, whatif_text
        from briefgen.bench.vary import vary

        plan = _planned(desk, spec)
        variations = (*_set_here(sets), *plan.mission.variations)
        if not variations:
            raise UsageError(
                "there is nothing to try", where=str(spec),
                expected="--set PATH=VALUE, or 'variations' in the mission file",
                hint="such as --set \"route.legs[0].altitude=4,500 ft\", or variations: [head wind +20 kt, +10 degC]",
            )  # fmt: skip
        found = vary(spec, plan, variations)
        desk.say(whatif_json(found) if as_json else whatif_text(found), nl=False)


def _sweep(desk: Desk, spec: Path, texts: list[str], of: str, out: Path | None, *, as_json: bool) -> None:
    from briefgen.bench.sweep import read_range, sweep_json, sweep_svg, sweep_text, swept
    from briefgen.disk import write_new

    ranges = [read_range(text) for text in texts]
    found = swept(spec, _planned(desk, spec), ranges, of)
    desk.say(sweep_json(found) if as_json else sweep_text(found), nl=False)
    if out is not None:
        for path in write_new({out: sweep_svg(found)}):
            desk.say(path, to_error=as_json)


def _search(desk: Desk, spec: Path, most: str | None, least: str | None, *, as_json: bool) -> None:
    from briefgen.bench.search import search, search_json, search_text

    plan = _planned(desk, spec)
    found = [search(spec, plan, one, most=up) for one, up in ((most, True), (least, False)) if one]
    desk.say(search_json(found) if as_json else "\n".join(map(search_text, found)), nl=False)


def _planned(desk: Desk, spec: Path) -> Plan:
    return desk.plan_of_one(spec)


def _set_here(sets: list[str] | None) -> tuple[Variation, ...]:
    """Return what is set on the command line as one variation."""
    from briefgen.model.bench import Variation

    changes = tuple(map(_change, sets or ()))
    return (Variation("; ".join(f"{one.path} = {one.text}" for one in changes), changes),) if changes else ()


def _change(text: str) -> Change:
    from briefgen.spec.words.variations import setting
    from briefgen.units import QuantityError

    try:
        return setting(text)
    except QuantityError as error:
        raise UsageError(error.problem, where="--set", expected=error.expected) from error
