"""Two plans compared: the door of this room."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.comparison.asked import asked_differently
from briefgen.comparison.figures import chosen, decisions_moved, figures_changed, judged_differently
from briefgen.comparison.plan_data import PlanData, written
from briefgen.model.comparison import Comparison, Side


def compare(before: PlanData, now: PlanData, first: Iterable[str] = ()) -> Comparison:
    """Return everything that differs between two plans; ``first`` are the keys of the figures a crew reads first."""
    figures = figures_changed(before, now, words=False)
    old, new = before["files"], now["files"]
    return Comparison(
        before=_side(before),
        now=_side(now),
        files=tuple(sorted(name for name in {*old, *new} if old.get(name) != new.get(name))),
        asked=asked_differently(written(before), written(now)),
        judged=judged_differently(before, now),
        decisions=decisions_moved(before, now),
        first=chosen(figures, first),
        figures=figures,
        words=figures_changed(before, now, words=True),
    )


def _side(data: PlanData) -> Side:
    mission = data["mission"]
    return Side(mission["number"], mission["name"], mission["revision"], data["digest"])
