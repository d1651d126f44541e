"""Route and power: where next, and what is set now; together they hold every event addressed to their reader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from briefgen.document.cards.blocks import Block, Cell, Col, Grid, Line, Row
from briefgen.document.cards.events import Told, events_of, joined_words, lines_of, minutes
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.front import room_of
from briefgen.document.cards.layout import BOX, GAP, MEASURES, SIDE, height, row_height
from briefgen.document.cards.reading import NO_FIGURE, TableRow, instant_at, number_at, rows_of, unit_of
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.measure import width_em
from briefgen.planning.sections.basis.clock import Milestones
from briefgen.planning.sections.briefing import route, settings

ON_THE_GROUND = ("start", "taxi", "run-up", "taxi-in", "shutdown")
NO_PLACES = (
    "circuit",
    "approach",
)  # on the way down from a place that has its line: the power card and the arrival hold them
SIGNS = {settings.MORE: "↑", settings.LESS: "↓"}
POWER_LEVERS = ("Manifold pressure", "Engine speed", "Mixture")
LIMIT_SPAN = 3  # columns that hold a limit of time
LEAST_WORDS = "Fuel under the lower figure: do not go on."


# --- power --------------------------------------------------------------------------------------------------------------


def power_events(
    source: Source, told: Sequence[Told], *, attach: bool = False, beside: Sequence[Told] = ()
) -> dict[str, list[Told]]:
    """Return, by the row of the power table, the events it stands for: the setting, and the phase or level-off it begins.

    What else falls in its minute stands with a setting that has a limit of time, with every setting where ``attach`` says so,
    and where it is one of those ``beside``.
    """
    found: dict[str, list[Told]] = {}
    taken: set[int] = set()
    for row in rows_of(source, settings.POWER_SET):
        key = row.key(settings.AT)
        at = source.printed[key]
        with_all = attach or row.has(settings.TIME_LIMIT)
        own = [
            one for one in told
            if one.utc == at and one.number not in taken
            and (with_all or (one.event.kind == "power" and one.event.time_key == key) or one.event.kind == "phase" or one in beside)
        ]  # fmt: skip
        taken |= {one.number for one in own}
        found[row.row.name] = own
    return found


def ground_events(source: Source, told: Sequence[Told]) -> list[Told]:
    """Return the events on the ground, before the take-off and after the landing."""
    return [one for one in told if _on_ground(source, one)]


def _on_ground(source: Source, one: Told) -> bool:
    if one.event.phase:
        return one.event.phase.partition("-")[2] in ON_THE_GROUND
    off = Milestones.take_off.key
    early = off in source.printed and instant_at(source, one.event.time_key) < instant_at(source, off)
    return one.event.kind == "schedule" or (early and one.event.kind == "decision")


def levers(source: Source) -> Grid | None:
    """Return the order of the levers: for more power, and for less."""
    order = source.plan.mission.aircraft.lever_order
    words = (("↑ more", order.increasing), ("↓ less", order.reducing))
    rows = tuple(Row((Cell((Line(", ".join(names), lead=f"{sign}:"),)),), "none") for sign, names in words if names)
    return Grid("", "", (Col(wide=True),), rows, pad=0.0, aside=True, name="levers") if rows else None


def power_grid(
    source: Source,
    told: Sequence[Told],
    *,
    ground: Sequence[Told] = (),
    beside: Sequence[Told] = (),
    flow: bool = True,
    more: bool = False,
) -> Grid | None:
    """Return the power table as it is set, with what is done on the ground before and after it."""
    found = rows_of(source, settings.POWER_SET)
    if not found and not ground:
        return None
    owned = power_events(source, told, attach=more, beside=beside)
    speed, fuel = unit_of(source, settings.IAS, found), unit_of(source, settings.FLOW, found)
    cols = [Col(("UTC",)), Col(("",), wide=True), Col(("",)), Col(("inHg",), "right"), Col(("rpm",), "right"), Col(("Mixture",)),
            Col((speed,), "right")]  # fmt: skip
    cols += [Col((fuel.replace("US ", ""),), "right")] if flow else []
    first = instant_at(source, found[0].key(settings.AT)) if found else None
    inside = (
        0.0 if more else fitted(Grid("", "", tuple(cols), tuple(_settings(found, flow=flow)))).cols[1].width - 2 * SIDE
    )
    before = [one for one in ground if first is None or instant_at(source, one.event.time_key) < first]
    after = [one for one in ground if one not in before]
    rows = [*_ground_rows(before, len(cols))]
    for row in found:
        rows += _power_rows(row, owned.get(row.row.name, []), flow=flow, span=len(cols), more=more, inside=inside)
    rows += _ground_rows(after, len(cols))
    return Grid("", "", tuple(cols), tuple(rows), pad=0.2, name="power")


def _ground_rows(told: Sequence[Told], span: int) -> list[Row]:
    return [
        Row(
            (Cell((Line(moment[0].utc, bold=True, key=moment[0].event.time_key),)), Cell((Line(joined_words(moment)),), span=span - 1)),
            name=moment[0].utc, events=tuple(one.number for one in moment), header=True,
        )
        for moment in lines_of(told)
    ]  # fmt: skip


def _settings(found: Sequence[TableRow], *, flow: bool) -> list[Row]:
    """Return the settings alone, a line each."""
    return [Row(_setting(row, row.line(settings.WHAT), flow=flow)) for row in found]


def _setting(row: TableRow, what: Line, *, flow: bool) -> tuple[Cell, ...]:
    move = row.figure(settings.MOVE) if row.has(settings.MOVE) else ""
    cells = (
        Cell((row.line(settings.AT, bold=True),)),
        Cell((what,)),
        Cell((Line(SIGNS.get(move, ""), bold=True, key=row.key(settings.MOVE)),)),
        Cell((row.line(settings.PRESSURE, bold=True, missing=NO_FIGURE),)),
        Cell((row.line(settings.RPM, bold=True, missing=NO_FIGURE),)),
        Cell((row.line(settings.MIXTURE),)),
        Cell((row.line(settings.IAS, bold=True),)),
    )
    return (*cells, Cell((row.line(settings.FLOW),))) if flow else cells


def _power_rows(row: TableRow, told: Sequence[Told], *, flow: bool, span: int, more: bool, inside: float) -> list[Row]:
    """Return a setting and, under it where it does not stand beside its name, what else is done at its minute."""
    what, words = row.line(settings.WHAT), _beside(row, told, more=more)
    limit = (
        Line(
            f"{'max' if more else 'at most'} {row.text(settings.TIME_LIMIT)}",
            key=row.key(settings.TIME_LIMIT),
            limit=True,
        )
        if row.has(settings.TIME_LIMIT)
        else None
    )
    both = "; ".join(filter(None, (what.text, words)))
    if words and width_em(both) * MEASURES["act"] <= inside:
        what, words = replace(what, text=both), ""
    second = bool(limit or words)
    main = Row(
        _setting(row, what, flow=flow), "none" if second else "thin", with_next=second, name=row.figure(settings.AT),
        events=tuple(one.number for one in told), header=True,
    )  # fmt: skip
    if not second:
        return [main]
    side = (LIMIT_SPAN - more) if limit and words else 0
    under = [Cell(), Cell((Line(words, bold=more),) if words else (limit,) if limit else (), span=span - 1 - side)]
    if limit and words:
        under.append(Cell((limit,), span=side))
    return [main, Row(tuple(under))]


def _beside(row: TableRow, told: Sequence[Told], *, more: bool) -> str:
    """Return what is done with a setting beside its three levers: others moved with it, lists, actions."""
    words = [joined_words([one for one in told if one.event.kind not in ("phase", "power")])]
    if more:
        steps = [row.source.printed.text(step) for one in told if one.event.kind == "power" for step in one.event.steps]
        words += [step[:1].lower() + step[1:] for step in steps if not step.startswith(POWER_LEVERS)]
    return "; ".join(dict.fromkeys(filter(None, words)))


# --- route --------------------------------------------------------------------------------------------------------------


def route_grid(source: Source, told: Sequence[Told]) -> Grid | None:
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
    return Grid("", "", cols, tuple(row for _, _, row in timed), pad=0.2, name="route") if timed else None


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
            Cell(tuple(fuel), bar=len(fuel) > 1), Cell(box=BOX), Cell(box=BOX),
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


def route_and_power(source: Source, positions: Sequence[str]) -> tuple[list[Block], list[Block]]:
    """Return the blocks of the route card and of the power card of some positions.

    What is done at the minute of a change of power stands with it as far as the power card has room; the rest stands on the
    route, between the places.
    """
    told = events_of(source, positions)
    owned = {one.number for found in power_events(source, told).values() for one in found}
    ground = [one for one in told if one.number not in owned and _on_ground(source, one)]
    loose = [one for one in told if one.number not in owned and one not in ground]
    power, beside = _power_with(source, told, ground, [one for one in loose if _may_stand_by_power(source, one)])
    way = route_grid(source, [one for one in loose if one not in beside])
    low = low_places(source)
    lowest = Grid("", "", (Col(wide=True),), tuple(low), pad=0.5, name="low") if low else None
    if way and any(row.has(route.LEAST) for row in rows_of(source, route.ROUTE)):
        told_least = replace(way, note=LEAST_WORDS)
        way = told_least if height(fitted(told_least)) - GAP <= room_of(source) else way
    on_route: list[Block | None] = [way, lowest]
    on_power: list[Block | None] = [levers(source), power, _note(source)]
    return [one for one in on_route if one], [one for one in on_power if one]


def _note(source: Source) -> Grid | None:
    """Return what the settings are rounded to, in words."""
    found = source.plan.tables.get(settings.POWER_SET.name)
    if found is None or not found.note:
        return None
    return Grid(
        "",
        "",
        (Col(wide=True),),
        (Row((Cell((Line(found.note, "small"),)),), "none"),),
        pad=0.0,
        aside=True,
        name="power.note",
    )


def _may_stand_by_power(source: Source, one: Told) -> bool:
    """Return whether an event is something done at the minute of a change of power."""
    set_at = {source.printed[row.key(settings.AT)] for row in rows_of(source, settings.POWER_SET)}
    return one.event.kind in ("action", "checklist") and one.utc in set_at


def _power_with(
    source: Source, told: Sequence[Told], ground: Sequence[Told], loose: Sequence[Told]
) -> tuple[Grid | None, list[Told]]:
    """Return the power table with as many of some events beside its settings as stand on one card, and those events."""
    room = room_of(source)

    def made(beside: Sequence[Told], *, flow: bool = False) -> Grid | None:
        return power_grid(source, told, ground=ground, beside=beside, flow=flow)

    def fits(grid: Grid | None) -> bool:
        return grid is None or height(fitted(grid)) - GAP <= room

    if fits(made(loose, flow=True)) or not fits(made(())):
        return made(loose, flow=True), list(loose)
    taken: list[Told] = []
    for moment in minutes(loose):
        if fits(made([*taken, *moment])):
            taken += moment
    return made(taken), taken


def halves(grid: Grid) -> tuple[Grid, Grid]:
    """Return a power table in two parts of about the same height, parted between settings."""
    sized = fitted(grid)
    heights = [row_height(sized, row) for row in sized.rows]
    between = [index for index in range(1, len(grid.rows)) if not grid.rows[index - 1].with_next]
    half = min(between, key=lambda index: abs(sum(heights[:index]) - sum(heights[index:])), default=len(grid.rows))
    return replace(grid, rows=grid.rows[:half]), replace(grid, rows=grid.rows[half:])
