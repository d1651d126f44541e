"""The verb `compare`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from briefgen.commands.desk import Desk
from briefgen.errors import UsageError

if TYPE_CHECKING:
    from briefgen.comparison.plan_data import PlanData

What = "a mission file, a folder of missions, a plan.json, or one of them in a revision of git as REV:path."
Old = Annotated[str, typer.Argument(metavar="OLD", help=f"What was: {What}", show_default=False)]
New = Annotated[str, typer.Argument(metavar="NEW", help="What is, likewise.", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="Print for machines.")]


def register(app: typer.Typer, desk: Desk) -> None:
    """Add the verb to the command line."""

    @app.command()
    def compare(old: Old, new: New, as_json: AsJson = False) -> None:
        """Print what two plans were asked differently, and what that did, the gravest first.

        Example: briefgen compare mission_specs/cedar-lantern.yaml mission_specs/mudlark.yaml
        """
        from briefgen.commands.revisions import on_disk
        from briefgen.comparison.compare import compare as compared
        from briefgen.comparison.plan_data import require_plan
        from briefgen.comparison.text import comparison_json, comparison_text
        from briefgen.document import first_figures

        with on_disk(old) as before, on_disk(new) as now:
            pairs, alone = _pairs(_plans(desk, before), _plans(desk, now), (old, new))
        try:
            found = [compared(was, is_now, first_figures()) for was, is_now in pairs]
        except (KeyError, TypeError, ValueError, AttributeError):
            for was, is_now in pairs:
                require_plan(was, old)
                require_plan(is_now, new)
            raise
        if as_json:
            desk.say(comparison_json(found), nl=False)
            return
        desk.say("\n".join([*map(comparison_text, found), *alone]).rstrip("\n"))


def _plans(desk: Desk, path: Path) -> list[PlanData]:
    """Return the plans of a path: one of a file, all of a folder."""
    from briefgen.comparison.plan_data import plan_data
    from briefgen.document import plan_json

    if path.suffix == ".json":
        return [plan_data(path.read_text(encoding="utf-8", errors="replace"), str(path))]
    return [plan_data(plan_json(plan), str(file)) for file, plan in desk.plans(desk.missions([path])).items()]


def _pairs(
    old: list[PlanData], new: list[PlanData], named: tuple[str, str]
) -> tuple[list[tuple[PlanData, PlanData]], list[str]]:
    """Return the plans side by side, those of folders by the number of the mission, and who has no partner in words."""
    if len(old) == len(new) == 1:
        return [(old[0], new[0])], []
    was, is_now = ({plan["mission"]["number"]: plan for plan in plans} for plans in (old, new))
    pairs = [(was[number], is_now[number]) for number in was if number in is_now]
    alone = [f"{number} {plans[number]['mission']['name']} is in {place} alone"
             for plans, others, place in ((was, is_now, named[0]), (is_now, was, named[1])) for number in plans if number not in others]  # fmt: skip
    if not pairs:
        raise UsageError(
            "no mission stands on both sides", where=f"{named[0]}, {named[1]}", expected="the same mission numbers"
        )
    return pairs, alone
