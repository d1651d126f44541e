"""Route and power: where next, and what is set now; together they hold every event addressed to their reader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from briefgen.document.cards.blocks import Block, Cell, Col, Grid, Line, Row
from briefgen.document.cards.events import Told, events_of, joined_words, lines_of
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.layout import BOX, row_height
from briefgen.document.cards.reading import NO_FIGURE, TableRow, instant_at, number_at, rows_of, unit_of
from briefgen.document.parts.assemble import Source
from briefgen.planning.sections.briefing import route, settings

ON_THE_GROUND = ("start", "taxi", "run-up", "taxi-in", "shutdown")
NO_PLACES = (
    "circuit",
    "approach",
)  # on the way down from a place that has its line: the power card and the arrival hold them
SIGNS = {settings.MORE: "↑", settings.LESS: "↓"}
POWER_LEVERS = ("Manifold pressure", "Engine speed", "Mixture")
LEAST_WORDS = "Fuel under the lower figure: do not go on."


# --- power --------------------------------------------------------------------------------------------------------------


def power_events(source: Source, told: Sequence[Told], *, attach: bool = False) -> dict[str, list[Told]]:
    """Return, by the row of the power table, the events it stands for: the setting, and the phase or level-off it begins.

    What else falls in its minute stands with a setting that has a limit of time, and with every setting where ``attach`` says so.
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
            and (with_all or (one.event.kind == "power" and one.event.time_key == key) or one.event.kind == "phase")
        ]  # fmt: skip
        taken |= {one.number for one in own}
        found[row.row.name] = own
    return found


def ground_events(told: Sequence[Told]) -> list[Told]:
    """Return the events on the ground, before the take-off and after the landing."""
    return [one for one in told if _on_ground(one)]


def _on_ground(one: Told) -> bool:
    phase = one.event.phase.partition("-")[2]
    return (one.event.kind == "schedule" and not one.event.phase) or phase in ON_THE_GROUND


def levers(source: Source) -> Grid | None:
    """Return the order of the levers: for more power, and for less."""
    order = source.plan.mission.aircraft.lever_order
    words = (("↑ more", order.increasing), ("↓ less", order.reducing))
    rows = tuple(Row((Cell((Line(", ".join(names), lead=f"{sign}:"),)),), "none") for sign, names in words if names)
    return Grid("", "", (Col(wide=True),), rows, pad=0.0, aside=True, name="levers") if rows else None


def power_grid(
    source: Source, told: Sequence[Told], *, ground: Sequence[Told] = (), flow: bool = True, more: bool = False
) -> Grid | None:
    """Return the power table as it is set, with what is done on the ground before and after it."""
    found = rows_of(source, settings.POWER_SET)
    if not found and not ground:
        return None
    owned = power_events(source, told, attach=more)
    speed, fuel = unit_of(source, settings.IAS, found), unit_of(source, settings.FLOW, found)
    cols = [Col(("UTC",)), Col(("",), wide=True), Col(("",)), Col(("inHg",), "right"), Col(("rpm",), "right"), Col(("Mixture",)),
            Col((speed,), "right")]  # fmt: skip
    cols += [Col((fuel.replace("US ", ""),), "right")] if flow else []
    first = instant_at(source, found[0].key(settings.AT)) if found else None
    before = [one for one in ground if first is None or instant_at(source, one.event.time_key) < first]
    after = [one for one in ground if one not in before]
    rows = [*_ground_rows(before, len(cols))]
    for row in found:
        rows += _power_rows(row, owned.get(row.row.name, []), flow=flow, span=len(cols), more=more)
    rows += _ground_rows(after, len(cols))
    return Grid("", "", tuple(cols), tuple(rows), pad=0.4, name="power")


def _ground_rows(told: Sequence[Told], span: int) -> list[Row]:
    return [
        Row(
            (Cell((Line(moment[0].utc, bold=True, key=moment[0].event.time_key),)), Cell((Line(joined_words(moment)),), span=span - 1)),
            name=moment[0].utc, events=tuple(one.number for one in moment), header=True,
        )
        for moment in lines_of(told)
    ]  # fmt: skip


def _power_rows(row: TableRow, told: Sequence[Told], *, flow: bool, span: int, more: bool) -> list[Row]:
    move = row.figure(settings.MOVE) if row.has(settings.MOVE) else ""
    cells = [
        Cell((row.line(settings.AT, bold=True),)),
        Cell((row.line(settings.WHAT),)),
        Cell((Line(SIGNS.get(move, ""), bold=True, key=row.key(settings.MOVE)),)),
        Cell((row.line(settings.PRESSURE, bold=True, missing=NO_FIGURE),)),
        Cell((row.line(settings.RPM, bold=True, missing=NO_FIGURE),)),
        Cell((row.line(settings.MIXTURE),)),
        Cell((row.line(settings.IAS, bold=True),)),
    ]
    if flow:
        cells.append(Cell((row.line(settings.FLOW),)))
    name = row.figure(settings.AT)
    limit = (
        Line(f"at most {row.text(settings.TIME_LIMIT)}", key=row.key(settings.TIME_LIMIT), limit=True)
        if row.has(settings.TIME_LIMIT)
        else None
    )
    words = _beside(row, told, more=more)
    second = bool(limit or words)
    main = Row(
        tuple(cells),
        "none" if second else "thin",
        with_next=second,
        name=name,
        events=tuple(one.number for one in told),
        header=True,
    )
    if not second:
        return [main]
    half = 4 if limit and words else span - 1
    under = [Cell(), Cell((Line(words, bold=more),) if words else (limit,) if limit else (), span=half)]
    if limit and words:
        under.append(Cell((limit,), span=span - 1 - half))
    return [main, Row(tuple(under))]


def _beside(row: TableRow, told: Sequence[Told], *, more: bool) -> str:
    """Return what is done with a setting beside its three levers: others moved with it, lists, actions."""
    words = []
    for one in told:
        if one.event.kind == "power":
            if more:
                words += [
                    step[:1].lower() + step[1:]
                    for step in map(row.source.printed.text, one.event.steps)
                    if not step.startswith(POWER_LEVERS)
                ]
        elif one.event.kind != "phase":
            words.append(one.words)
    return "; ".join(dict.fromkeys(words))


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
    for moment in lines_of(told):
        key = moment[0].event.time_key
        timed.append((instant_at(source, key), 0, _event_row(moment, len(cols))))
    for row in found:
        if row.row.mark not in NO_PLACES:
            timed.append((instant_at(source, row.key(route.OVER)), -1, _route_row(row, unit)))
    timed.sort(key=lambda item: (item[0], item[1]))
    return Grid("", "", cols, tuple(row for _, _, row in timed), pad=0.5, name="route") if timed else None


def _event_row(moment: Sequence[Told], span: int) -> Row:
    line = Line(joined_words(moment), lead=moment[0].utc, key=moment[0].event.time_key)
    return Row((Cell((line,), span=span),), name=moment[0].utc, events=tuple(one.number for one in moment))


def _route_row(row: TableRow, unit: str) -> Row:
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
        name=name, carry=carry, header=True,
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
    """Return the blocks of the route card and of the power card of some positions."""
    told = events_of(source, positions)
    owned = {one.number for found in power_events(source, told).values() for one in found}
    ground = [one for one in ground_events(told) if one.number not in owned]
    between = [one for one in told if one.number not in owned and one not in ground]
    power = power_grid(source, told, ground=ground)
    way = route_grid(source, between)
    low = low_places(source)
    lowest = Grid("", "", (Col(wide=True),), tuple(low), pad=0.5, name="low") if low else None
    if way and any(row.has(route.LEAST) for row in rows_of(source, route.ROUTE)):
        way = replace(way, note=LEAST_WORDS)
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


def halves(grid: Grid) -> tuple[Grid, Grid]:
    """Return a power table in two parts of about the same height, parted between settings."""
    sized = fitted(grid)
    heights = [row_height(sized, row) for row in sized.rows]
    between = [index for index in range(1, len(grid.rows)) if not grid.rows[index - 1].with_next]
    half = min(between, key=lambda index: abs(sum(heights[:index]) - sum(heights[index:])), default=len(grid.rows))
    return replace(grid, rows=grid.rows[:half]), replace(grid, rows=grid.rows[half:])
