"""The flight engineer's cards: limits and start, power with all that moves, off the plan, fuel log and tanks, the graph."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from briefgen.document.cards.blocks import Block, Cell, Chart, Col, Face, Grid, Line, Row
from briefgen.document.cards.events import Told, by_the_clock, events_of, lines_of, phase_kind
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.front import room_of
from briefgen.document.cards.fuel_graph import fuel_graph
from briefgen.document.cards.layout import BOX, GAP, HEIGHT, LONG_HEIGHT, LONG_WIDTH, LOW_BOX, height
from briefgen.document.cards.packing import packed, told_row
from briefgen.document.cards.power import Look, ground_events, halves, levers, power_events, power_grid
from briefgen.document.cards.reading import families, instant_at, plain_table, rows_of, table_rows, unit_of
from briefgen.document.parts.assemble import Source
from briefgen.model.ledger import Table
from briefgen.planning.sections.balance import tanks, transfers
from briefgen.planning.sections.briefing import fuel_log, gauges, off_plan, settings
from briefgen.planning.sections.engines_out.waiting import WAITING

TANK_ORDER, TRANSFERS = tanks.TANK_ORDER.name, transfers.FAILED.name
OIL = ("Oil in, 1", "2", "3", "4")
BOOK = ("Take-off power, min", "Oil out", "Engine hours", "Defects, signed")


def limits_face(source: Source) -> Face:
    """Return the card of ratings, gauges and starting."""
    grade = source.plan.mission.fuel_grade
    early = early_grid(source)
    blocks: list[Block | None] = [early, *_limits(source)]
    title = f"Limits and start, on {grade}"
    return Face(
        title if len(title) <= 34 else "Limits and start",
        tuple(one for one in blocks if one is not None),
        ident="limits",
    )


def _limits(source: Source) -> list[Block | None]:
    return [_ratings(source), _lean(source), _gauges(source), _start(source)]


def early_grid(source: Source) -> Grid | None:
    """Return what is due before the engines run, where the card of limits and start has room for it; else None."""
    told = [
        one
        for one in ground_events(source, events_of(source, ("flight engineer",)))
        if phase_kind(source, one.event) in (None, "start")
    ]
    rows = tuple(told_row(moment, 2) for moment in lines_of(told))
    grid = Grid("", "", (Col(), Col(wide=True)), rows, pad=0.0, name="early")
    need = sum(height(fitted(one)) for one in (grid, *_limits(source)) if isinstance(one, Grid))
    return grid if rows and need - GAP <= room_of(source) else None


def _ratings(source: Source) -> Grid | None:
    name, pressure, rpm, mixture, time = gauges.RATINGS.columns
    rows = tuple(
        Row(
            (
                Cell((row.line(name),)), Cell((row.line(pressure, bold=True, limit=True),)), Cell((row.line(rpm, bold=True, limit=True),)),
                Cell((row.line(mixture),)), Cell((Line(row.text(time), bold=True, key=row.key(time), limit=True) if row.has(time) else Line("no limit"),)),
            ),
            header=True,
        )
        for row in rows_of(source, gauges.RATINGS)
    )  # fmt: skip
    cols = (
        Col(("",), wide=True),
        Col(("inHg",), "right"),
        Col(("rpm",), "right"),
        Col(("Mixture",)),
        Col(("Time",), "right"),
    )
    return Grid("Ratings", "never more than", cols, rows, pad=0.6, name="ratings") if rows else None


def _lean(source: Source) -> Grid | None:
    rpm, pressure = gauges.LEAN.columns
    found = rows_of(source, gauges.LEAN)[:6]
    if not found:
        return None
    lean = source.plan.tables[gauges.LEAN.name].title.partition(":")[0]  # as the aircraft file calls it
    rows = (
        Row(
            (Cell((Line(f"{lean} at rpm"),)), *(Cell((row.line(rpm),)) for row in found)),
            "none",
            with_next=True,
            header=True,
        ),
        Row((Cell((Line("not above inHg"),)), *(Cell((row.line(pressure, bold=True),)) for row in found)), header=True),
    )
    return Grid("", "", (Col(wide=True), *(Col(align="right") for _ in found)), rows, pad=0.5, name="lean")


def _gauges(source: Source) -> Grid | None:
    name, least, low, high, most = gauges.GAUGES.columns
    rows = []
    for row in rows_of(source, gauges.GAUGES):
        usual = f"{row.figure(low)} to {row.text(high)}" if row.has(low) and row.has(high) else ""
        cells = [Cell((row.line(name),))]
        cells.append(Cell((Line(row.text(least), bold=True, key=row.key(least)),) if row.has(least) else ()))
        cells.append(Cell((Line(usual, key=row.key(high)),) if usual else ()))
        cells.append(Cell((Line(row.text(most), bold=True, key=row.key(most), limit=True),) if row.has(most) else ()))
        rows.append(Row(tuple(cells), header=True))
    cols = (Col(("",), wide=True), Col(("least",), "right"), Col(("usual",), "right"), Col(("most",), "right"))
    return Grid("Gauges", "least, usual, most", cols, tuple(rows), pad=0.2, name="gauges") if rows else None


def _start(source: Source) -> Grid:
    count = source.plan.mission.aircraft.engines
    words = ["Oil in, engine 1", *(str(number) for number in range(2, min(count, 4) + 1))]
    cells = tuple(Cell((Line(one, "small"),), write=True) for one in words)
    return Grid("", "", tuple(Col(part=1.0 / len(cells)) for _ in cells), (Row(cells, "none"),), name="start")


# --- power ----------------------------------------------------------------------------------------------------------------


def power_faces(source: Source) -> list[Face]:
    """Return the cards of power out and home: every setting with what else moves, and every other event at its minute."""
    early = early_grid(source)
    there = {number for row in early.rows for number in row.events} if early else set()
    told = [one for one in events_of(source, ("flight engineer",)) if one.number not in there]
    if not rows_of(source, settings.POWER_SET) and not ground_events(source, told):
        clock = by_the_clock(source, ("flight engineer",))
        return [Face("By the clock", (clock,), ident="clock")] if clock else []
    room, parts = room_of(source), halves(_power(source, told, Look(more=True)))
    if any(height(fitted(part)) - GAP > room for part in parts):
        parts = halves(_power(source, told, Look(more=True, tight=True)))
    first, second = parts
    waiting, order = _waiting(source), levers(source)
    out: tuple[Block, ...] = (*((order,) if order else ()), first)
    home: tuple[Block, ...] = (second, *((waiting,) if waiting else ()))
    return [
        Face(f"Power: {_span(first)}", out, ident="power out"),
        Face(f"Power: {_span(second)}", home, ident="power home"),
    ]


def _power(source: Source, told: Sequence[Told], look: Look) -> Grid:
    """Return the power table in one look, with every other event at its minute among the settings."""
    owned = {one.number for found in power_events(source, told, attach=True).values() for one in found}
    loose = [one for one in told if one.number not in owned]
    ground = ground_events(source, loose)
    grid = power_grid(source, told, look, ground=ground)
    rest = [one for one in loose if one not in ground]
    both = _merged(source, grid, rest) if grid else Grid(cols=(Col(), Col(wide=True)))
    return packed(both) if look.tight else both


def _span(grid: Grid) -> str:
    names = [row.name for row in grid.rows if row.name]
    return f"{names[0]} to {names[-1]}" if names else "settings"


def _merged(source: Source, grid: Grid, told: Sequence[Told]) -> Grid:
    """Return the power table with the other events of its reader among the settings, each at its minute."""
    entries, waiting = source.printed.entries, lines_of(told)
    rows: list[Row] = []
    for row in grid.rows:
        key = next((line.key for cell in row.cells for line in cell.lines if line.key), "")
        begins = bool(row.name)
        while waiting and begins and key in entries and _hour(source, waiting[0]) < instant_at(source, key):
            rows.append(told_row(waiting.pop(0), len(grid.cols)))
        rows.append(row)
    rows += [told_row(moment, len(grid.cols)) for moment in waiting]
    return replace(grid, rows=tuple(rows), pad=min(grid.pad, 0.1))


def _hour(source: Source, moment: Sequence[Told]) -> datetime:
    return instant_at(source, moment[0].event.time_key)


def _waiting(source: Source) -> Grid | None:
    columns = {column.name: column for column in WAITING.columns}
    names = ("engines", "manifold_pressure", "rpm", "mixture", "flow")
    rows = tuple(
        Row(tuple(Cell((row.line(columns[name], bold=name in names[1:3]),)) for name in names), header=True)
        for row in rows_of(source, WAITING)
        if row.has(columns["flow"])
    )
    cols = (
        Col(("Running",), wide=True),
        Col(("inHg",), "right"),
        Col(("rpm",), "right"),
        Col(("Mixture",)),
        Col(("gal/h, all",), "right"),
    )
    return Grid("Waiting on all and on fewer", "", cols, rows, pad=0.5, aside=True, name="waiting") if rows else None


# --- off the plan, fuel -----------------------------------------------------------------------------------------------------


def off_plan_face(source: Source) -> Face:
    """Return the card of power and flow off the plan, and of what goes in the book."""
    blocks: list[Block] = [_off_plan(source, found) for found in families(source, off_plan.OFF_PLAN)]
    cells = [Cell((Line(words, "small"),), write=True) for words in BOOK]
    book = Grid(
        "",
        "",
        tuple(Col(part=1 / len(cells)) for _ in cells),
        (Row(tuple(cells), "none"),),
        pad=0.0,
        aside=True,
        name="book",
    )
    return Face("Power and flow off the plan", (*blocks, book), ident="off plan")


def _off_plan(source: Source, found: Table) -> Grid:
    rows = table_rows(source, found)
    wanted = (
        off_plan.HEIGHT,
        off_plan.MASS,
        off_plan.PRESSURE,
        off_plan.RPM,
        off_plan.MIXTURE,
        off_plan.IAS,
        off_plan.FLOW,
    )
    bold = (off_plan.PRESSURE, off_plan.RPM)
    made, before = [], ""
    for row in rows:
        height = row.key(off_plan.HEIGHT)
        same = bool(before) and source.printed[height] == source.printed[before]
        cells = [Cell(() if same else (row.line(off_plan.HEIGHT, bold=True),))]
        cells += [Cell((row.line(column, bold=column in bold),)) for column in wanted[1:]]
        made.append(Row(tuple(cells), header=True))
        before = height
    flow = unit_of(source, off_plan.FLOW, rows).replace("US ", "")
    cols = (Col(("ft",), "right"), Col(("lb",), "right"), Col(("inHg",), "right"), Col(("rpm",), "right"), Col(("Mixture",), wide=True),
            Col((unit_of(source, off_plan.IAS, rows),), "right"), Col((flow,), "right"))  # fmt: skip
    return Grid(source.printed.text(found.title), "", cols, tuple(made), pad=0.0, name=found.name)


def fuel_log_face(source: Source) -> Face:
    """Return the card of the fuel log, with the dip of each tank."""
    log = _fuel_log(source, BOX)
    dips = _dips(source)
    if sum(height(fitted(one)) for one in (dips, log) if one) - GAP > room_of(source):
        log = _fuel_log(source, LOW_BOX)
    blocks: list[Block | None] = [dips, log, _transfers(source)]
    return Face("Fuel log and tanks", tuple(one for one in blocks if one is not None), ident="fuel log")


def _dips(source: Source) -> Grid | None:
    found = source.plan.tables.get(TANK_ORDER)
    if found is None:
        return None
    cells = []
    for row in found.rows:
        start, tank = row.cells.get("start", ""), row.cells.get("tank", "")
        if start and source.printed[start] != "0":
            cells.append(Cell((Line(f"{source.printed[tank] if tank else source.printed.text(row.name)}", "small"), Line(source.printed.quoted(start), bold=True, key=start)), write=True))  # fmt: skip
    across = 4
    rows = []
    for first in range(0, len(cells), across):
        part = cells[first : first + across]
        rows.append(Row((*part, *(Cell() for _ in range(across - len(part)))), "none"))
    return Grid("Dipped before the start", "tank, planned, and what the stick says", tuple(Col(part=0.25) for _ in range(across)), tuple(rows), pad=0.0, name="dips") if rows else None  # fmt: skip


def _fuel_log(source: Source, box: float) -> Grid | None:
    found = rows_of(source, fuel_log.FUEL_LOG)
    if not found:
        return None
    rows = []
    numbers = {id(line): number for number, line in fuel_log.numbered_rows([row.row for row in found])}
    for row in found:
        where = row.line(fuel_log.WHERE)
        rows.append(
            Row(
                (
                    Cell((Line(str(numbers[id(row.row)])),)), Cell((row.line(fuel_log.TIME, bold=True),)), Cell((where,)), Cell((row.line(fuel_log.PLAN, bold=True),)),
                    Cell(box=box), Cell(box=box), Cell((row.line(fuel_log.LEAST),)),
                ),
                name=row.figure(fuel_log.TIME), header=True,
                carry=f"from the card before: {row.text(fuel_log.PLAN)} at {row.figure(fuel_log.TIME)}",
            )
        )  # fmt: skip
    unit, low = unit_of(source, fuel_log.PLAN, found), box < BOX
    cols = (Col(("No",), "right"), Col(("UTC",)), Col((unit if low else "",), wide=True), Col(("Plan",), "right"), Col(("Actual",), "centre", part=0.13 if low else 0.16), Col(("Differs",), "centre", part=0.13 if low else 0.14), Col(("Least",), "right"))  # fmt: skip
    title, note = ("", "") if low else ("Log", unit)  # where rows are many the unit stands over the names
    return Grid(title, note, cols, tuple(rows), pad=0.2 if low else 0.8, name="fuel log")


def _transfers(source: Source) -> Grid | None:
    found = source.plan.tables.get(TRANSFERS)
    grid = plain_table(source, found, size="act") if found else None
    return replace(grid, aside=True) if grid else None


def fuel_graph_face(source: Source, ident: str) -> Face | None:
    """Return the card of the fuel graph, held sideways."""
    drawing = fuel_graph(source, f"fuel-graph-{ident}", LONG_WIDTH, LONG_HEIGHT - (HEIGHT - room_of(source)))
    if drawing is None:
        return None
    return Face("Fuel graph: plot each entry of the log", (Chart("", drawing),), landscape=True, ident="fuel graph")
