"""Planned against actual, stretch by stretch of the way that was flown."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import Action, Hold
from briefgen.model.record import Absent, Record, figure
from briefgen.model.tables import TableOf, column
from briefgen.planning.after.measured import Measured
from briefgen.planning.after.readings import NOT_WRITTEN
from briefgen.planning.after.spans import AGAIN, Told
from briefgen.planning.after.ways import AWAY, IN, LANDING, OUT, TAKE_OFF, Stretch, Way
from briefgen.planning.ledger.writer import LedgerWriter


class StretchFigures(Record):
    """One stretch: how long it took and what it burnt, as planned and as it was."""

    def __init__(self, words: str, planned: Stretch, one: Measured, before_kg: float | None, told: Told) -> None:
        self.at, self.words = f"debrief.stretch.{one.name.replace('-', '_').zfill(2)}", words
        self._planned, self._measured, self._before_kg, self._told = planned, one, before_kg, told

    @figure("Stretch", how="a part of the way that was flown")
    def name(self) -> str:
        return self.words

    @figure("%(words)s: planned time", "h:min", how=AGAIN)
    def planned_time(self) -> float:
        self._told.rest()
        return self._planned.lasts_s

    @figure("%(words)s: time", "h:min", how="from the time logged at its beginning to that at its end")
    def time(self) -> float:
        self._told.rest()
        if self._measured.lasts_s is None:
            raise Absent(NOT_WRITTEN)
        return self._measured.lasts_s

    @figure("%(words)s: longer than planned", "min", how="time less planned time")
    def longer(self) -> float:
        return self.time - self.planned_time

    @figure("%(words)s: planned burn", "lb", how=AGAIN)
    def planned_burn(self) -> float:
        self._told.rest()
        return self._planned.burnt_kg

    @figure("%(words)s: burn", "lb", how="fuel read at its beginning less fuel read at its end")
    def burn(self) -> float:
        self._told.rest()
        if self._before_kg is None or self._measured.fuel is None:
            raise Absent("the tanks were not read at both ends")
        return self._before_kg - self._measured.fuel.total_kg

    @figure("%(words)s: more than planned", "lb", how="burn less planned burn")
    def more(self) -> float:
        return self.burn - self.planned_burn


WAY = TableOf(
    "debrief.way",
    "Planned and flown",
    (
        column(StretchFigures.name, "Stretch"),
        column(StretchFigures.planned_time, "Planned", name="planned_time"),
        column(StretchFigures.time, "Flown", name="time"),
        column(StretchFigures.longer, "Longer"),
        column(StretchFigures.planned_burn, "Planned burn"),
        column(StretchFigures.burn, "Burnt"),
        column(StretchFigures.more, "More"),
    ),
    "Planned is the way that was flown, flown again as planned: where she went elsewhere than planned, the plan for that way.",
)


def write_stretches(
    way: Way, planned: Sequence[Stretch], measured: Sequence[Measured], start_kg: float | None, told: Told,
    writer: LedgerWriter,
) -> None:  # fmt: skip
    """Enter every stretch."""
    before_kg, rows = start_kg, []
    for stretch, one in zip(planned, measured, strict=True):
        figures = StretchFigures(_words(way, one.name), stretch, one, before_kg, told)
        writer.adopt(figures)
        for more, plus, minus in (
            (StretchFigures.longer, StretchFigures.time, StretchFigures.planned_time),
            (StretchFigures.more, StretchFigures.burn, StretchFigures.planned_burn),
        ):
            if more.of(figures).there:
                writer.foot(more.of(figures).key, (plus.of(figures).key,), (minus.of(figures).key,))
        rows.append(WAY.row(figures.at, figures))
        before_kg = one.fuel.total_kg if one.fuel else None
    writer.tabulate(WAY.filled(rows))


def _words(way: Way, name: str) -> str:
    if name.isdigit():
        item = way.flown.mission.route.items[int(name)]
        if isinstance(item, Action):
            return f"{item.kind} at {item.at.name}"
        return f"hold over {item.at.name}" if isinstance(item, Hold) else f"to {item.to.name}"
    down = way.alternate.place.name if way.alternate else way.flown.mission.route.destination.name
    return {
        OUT: "start, taxi, run-up", TAKE_OFF: "take-off", AWAY: f"to {down}, landing", LANDING: f"landing at {down}",
        IN: "taxi in",
    }[name]  # fmt: skip
