"""Route and power: where next, and what is set now; together they hold every event addressed to their reader."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain
from math import ceil

from briefgen.document.cards.blocks import Block, Cell, Col, Face, Grid, Line, Row
from briefgen.document.cards.events import Told, events_of, joined_words, lines_of, minutes
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.front import room_of
from briefgen.document.cards.layout import GAP, TALL_BOX, height
from briefgen.document.cards.packing import packed
from briefgen.document.cards.power import Look, ground_events, levers, name_room, power_events, power_grid
from briefgen.document.cards.reading import TableRow, instant_at, number_at, rows_of, unit_of
from briefgen.document.parts.assemble import Source
from briefgen.planning.sections.briefing import route, settings

NO_PLACES = (
    "circuit",
    "approach",
)  # on the way down from a place that has its line: the power card and the arrival hold them
FEWEST = 2  # sheets of route and power
LEAST_WORDS = "Fuel under the lower figure: do not go on."


# --- route --------------------------------------------------------------------------------------------------------------


def route_grid(source: Source, told: Sequence[Told], *, tight: bool = False) -> Grid | None:
    """Return the route, two lines a place, with what is done between the places at its minute."""
    found = rows_of(source, route.ROUTE)
    unit = unit_of(source, route.FUEL, found)
    cols = (
        Col(("To", "steer, compass"), wide=True), Col(("Fly ft", "not below"), "right"), Col(("At", "UTC"), "right"),
        Col((unit, "least"), "right"), Col(("At",), "centre"), Col(("Fuel",), "centre"),
    )  # fmt: skip
    timed: list[tuple[datetime, int, Row]] = []
    rest = list(told)
    for row in found:
        if row.row.mark not in NO_PLACES:
            own = [one for one in rest if one.event.kind == "schedule" and one.utc == row.figure(route.OVER)]
            rest = [one for one in rest if one not in own]
            timed.append((instant_at(source, row.key(route.OVER)), -1, _route_row(row, own)))
    for moment in lines_of(rest):
        key = moment[0].event.time_key
        timed.append((instant_at(source, key), 0, _event_row(moment, len(cols))))
    timed.sort(key=lambda item: (item[0], item[1]))
    if not timed:
        return None
    grid = Grid("", "", cols, tuple(row for _, _, row in timed), pad=0.0 if tight else 0.2, name="route")
    return packed(grid) if tight else grid


def _event_row(moment: Sequence[Told], span: int) -> Row:
    line = Line(joined_words(moment), lead=moment[0].utc, key=moment[0].event.time_key)
    return Row((Cell((line,), span=span),), name=moment[0].utc, events=tuple(one.number for one in moment))


def _route_row(row: TableRow, own: Sequence[Told]) -> Row:
    """Return the row of a place; it tells the events of the schedule that are its own hour."""
    steer = row.line(route.STEER, "head", bold=True) if row.has(route.STEER) else Line(row.text(route.SPEED))
    fly = [row.line(route.FLY, bold=True), *([row.line(route.SAFE)] if row.has(route.SAFE) else [])]
    fuel = [row.line(route.FUEL, bold=True), *([row.line(route.LEAST)] if row.has(route.LEAST) else [])]
    name = row.figure(route.TO)
    carry = f"from the card before: {row.text(route.FUEL)} at {row.figure(route.OVER)}"
    return Row(
        (
            Cell((row.line(route.TO, bold=True), steer)), Cell(tuple(fly), bar=len(fly) > 1), Cell((row.line(route.OVER, bold=True),)),
            Cell(tuple(fuel), bar=len(fuel) > 1), Cell(box=TALL_BOX), Cell(box=TALL_BOX),
        ),
        name=name, carry=carry, header=True, events=tuple(one.number for one in own),
    )  # fmt: skip


def low_places(source: Source) -> list[Row]:
    """Return a line for each place whose height lies under its minimum safe altitude."""
    return [
        Row((Cell((Line(f"{row.text(route.FLY)} is under the safe {row.text(route.SAFE)}", lead=f"× {row.figure(route.TO)}:"),)),), "none")
        for row in rows_of(source, route.ROUTE)
        if _low(source, row)
    ]  # fmt: skip


def _low(source: Source, row: TableRow) -> bool:
    fly, safe = number_at(source, row.key(route.FLY)), number_at(source, row.key(route.SAFE))
    return fly is not None and safe is not None and fly < safe


LOOKS = (Look(), Look(flow=False), Look(tight=True), Look(flow=False, tight=True))  # of the power card, fullest first


@dataclass(frozen=True)
class _Pair:
    """The grids of the route card and the power card, and how many sheets they take together."""

    way: Grid | None
    power: Grid | None
    sheets: int


def route_and_power(source: Source, positions: Sequence[str]) -> tuple[Face, Face]:
    """Return the route card and the power card of some positions.

    What is done on the ground or at the minute of a change of power stands on the power card as far as that has room; what comes
    first stands on the route, with all that is done between the places.
    """
    told = events_of(source, positions)
    ground = {one.number for one in ground_events(source, told)}
    pair = _best(source, told)
    low = low_places(source)
    lowest = Grid("", "", (Col(wide=True),), tuple(low), pad=0.5, name="low") if low else None
    way = pair.way
    if way and any(row.has(route.LEAST) for row in rows_of(source, route.ROUTE)):
        told_least = replace(way, note=LEAST_WORDS)
        way = told_least if _high(told_least, lowest) <= room_of(source) else way
    on_route: list[Block | None] = [way, lowest]
    on_power: list[Block | None] = [levers(source), pair.power, _note(source)]
    return _face("route", "Route", on_route, ground), _face("power", "Power", on_power, ground)


def _face(ident: str, what: str, blocks: Sequence[Block | None], ground: set[int]) -> Face:
    """Return a face titled by how far it reaches: with what is done on the ground, or from take-off to landing."""
    kept = tuple(one for one in blocks if one)
    told = {number for one in kept if isinstance(one, Grid) for row in one.rows for number in row.events}
    span = "start to shut-down" if told & ground else "take-off to landing"
    return Face(f"{what}, {span}", kept, ident=ident)


def _best(source: Source, told: Sequence[Told]) -> _Pair:
    """Return the fullest look of route and power that stands on a card each; of those that never do, one of fewest sheets."""
    found: list[_Pair] = []
    for look in LOOKS:
        for late in (True, False) if look.tight else (True,):
            found.append(_pair(source, told, look, late=late))
            if found[-1].sheets <= FEWEST:
                return found[-1]
    return min(found, key=lambda pair: pair.sheets)


def _pair(source: Source, told: Sequence[Told], look: Look, *, late: bool) -> _Pair:
    """Return route and power in one look, with what follows the landing on the power card or on the route.

    Of what may stand on either, as much as the power card has room for stands there: all that comes after some minute.
    """
    owned = {one.number for found in power_events(source, told).values() for one in found}
    loose = [one for one in told if one.number not in owned]
    ground = ground_events(source, loose)
    down = max((instant_at(source, row.key(settings.AT)) for row in rows_of(source, settings.POWER_SET)), default=None)
    after = [one for one in ground if down and one.at > down]
    either = minutes(one for one in loose if (one in ground and one not in after) or _may_stand_by_power(source, one))

    inside = name_room(source, look)

    def power(first: int) -> Grid | None:
        here = [*chain(*either[first:]), *(after if late else ())]
        beside = [one for one in here if one not in ground]
        on_ground = [one for one in here if one in ground]
        grid = power_grid(source, told, look, ground=on_ground, beside=beside, inside=inside)
        return packed(grid) if grid and look.tight else grid

    first = bisect_left(range(len(either)), 1, key=lambda count: _high(power(count)) <= room_of(source))
    there = {one.number for one in chain(*either[first:], after if late else ())}
    way = route_grid(source, [one for one in loose if one.number not in there], tight=look.tight)
    made = power(first)
    return _Pair(way, made, sum(max(1, ceil(_high(one) / room_of(source))) for one in (way, made)))


def _high(*grids: Grid | None) -> float:
    return sum(height(fitted(grid)) for grid in grids if grid) - GAP


def _note(source: Source) -> Grid | None:
    """Return what the settings are rounded to, in words."""
    found = source.plan.tables.get(settings.POWER_SET.name)
    if found is None or not found.note:
        return None
    row = Row((Cell((Line(found.note, "small"),)),), "none")
    return Grid("", "", (Col(wide=True),), (row,), pad=0.0, aside=True, name="power.note")


def _may_stand_by_power(source: Source, one: Told) -> bool:
    """Return whether an event is something done at the minute of a change of power."""
    set_at = {source.printed[row.key(settings.AT)] for row in rows_of(source, settings.POWER_SET)}
    return one.event.kind in ("action", "checklist") and one.utc in set_at
