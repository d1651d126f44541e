"""The cards of navigator, radio operator and loadmaster."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.document.cards.blocks import Block, Cell, Chart, Col, Face, Grid, Line, Row
from briefgen.document.cards.events import by_the_clock, events_of
from briefgen.document.cards.fitting import narrowed
from briefgen.document.cards.front import room_of
from briefgen.document.cards.layout import BOX, GAP, WIDTH
from briefgen.document.cards.reading import TableRow, plain_table, rows_of, unit_of
from briefgen.document.pages.contents import Drawn, chart_block
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.blocks import ChartBlock
from briefgen.model.tables import ColumnOf
from briefgen.planning.sections.basis import navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.briefing import fields, route, script, work
from briefgen.planning.sections.crew import COMMUNICATIONS

TYPE = 10.0
MAP_SHARE, PROFILE_SHARE = 0.62, 0.36
LOADED = ("item", "bay", "mass", "leaves", "straps_forward", "straps_aft", "straps_side", "straps_up")


# --- navigator --------------------------------------------------------------------------------------------------------------


def log_face(source: Source) -> Face:
    """Return the navigation log, two lines a stretch, with boxes for what was."""
    columns = {column.name: column for column in navigation.LOG.columns}
    found = [row for row in rows_of(source, navigation.LOG) if row.row.mark not in ("take-off", "approach")]
    short = {
        row.row.name: row.line(route.TO).text
        for row in rows_of(source, route.ROUTE)
        if row.row.mark in ("run", "hold", "approach")
    }
    begun = _begun(source)
    rows = []
    for row in found:
        ident = row.phase(columns["end"])
        rows.append(_stretch(row, short.get(ident, ""), begun.get(ident, ())))
    if found:
        rows.append(_total(source, found[-1].row.cells))
    cols = (Col(("To; at ft,", "wind used °T/kt"), wide=True), Col(("Steer", "track °M"), "right"), Col(("kt", "NM"), "right"),
            Col(("UTC", "min"), "right"), Col(("Over",), "centre"), Col(("kt, drift",), "centre"))  # fmt: skip
    grid = Grid("", "", cols, tuple(rows), pad=0.1, name="legs")
    return Face("Log", (grid,) if rows else (), ident="log")


def _stretch(row: TableRow, short: str, events: tuple[int, ...]) -> Row:
    """Return one stretch of the log: what is steered and flown, and what it comes to."""
    columns, printed = {column.name: column for column in navigation.LOG.columns}, row.source.printed
    reaching = row.key(columns["reaching"])
    first = Line(short or row.figure(columns["reaching"]) or printed.text(row.row.name), bold=True, key=reaching)
    fly = row.text(columns["altitude"])
    wind = [row.line(columns[name]).text for name in ("wind_direction", "wind_speed")]
    second = Line("  ".join(filter(None, (fly, "/".join(filter(None, wind))))))
    cells = (
        Cell((first, second)), Cell((row.line(columns["heading_compass"], bold=True), row.line(columns["course_magnetic"]))),
        Cell((row.line(columns["ground_speed"]), row.line(columns["distance"]))),
        Cell((row.line(columns["end"], bold=True), row.line(columns["duration"]))), Cell(box=BOX), Cell(box=BOX),
    )  # fmt: skip
    carry = f"from the card before: {row.text(columns['cumulative'])} run at {row.figure(columns['end'])}"
    return Row(cells, name=first.text, header=True, events=events, carry=carry)


def _begun(source: Source) -> dict[str, tuple[int, ...]]:
    """Return the events at which a phase begins, by the phase: what a row of the log stands for."""
    found: dict[str, tuple[int, ...]] = {}
    for told in events_of(source, ("navigator",)):
        if told.event.kind == "phase":
            found[told.event.phase] = (*found.get(told.event.phase, ()), told.number)
    return found


def log_events(source: Source) -> tuple[int, ...]:
    """Return the numbers of the events that the log stands for."""
    return tuple(
        number
        for block in log_face(source).blocks
        if isinstance(block, Grid)
        for row in block.rows
        for number in row.events
    )


def _total(source: Source, last: object) -> Row:
    cells: dict[str, str] = dict(last)  # type: ignore[call-overload]
    run, air = cells.get(PhaseFigures.cumulative.name, ""), "duration.air"
    words = [source.printed.quoted(run)] if run else []
    time = (Line(source.printed[air], bold=True, key=air),) if air in source.printed else ()
    return Row(
        (Cell((Line(" ".join(words), lead="Total", key=run),), span=3), Cell(time), Cell(span=2)),
        "none",
        name="",
        header=True,
    )


def map_face(source: Source) -> Face:
    """Return the card of map and profile."""
    room = room_of(source) - GAP
    blocks = [_chart(source, "map", room * MAP_SHARE / WIDTH), _chart(source, "profile", room * PROFILE_SHARE / WIDTH)]
    return Face("Map and profile", tuple(one for one in blocks if one is not None), ident="map")


def _chart(source: Source, name: Drawn, ratio: float) -> Chart | None:
    block = chart_block(source, name, WIDTH, TYPE, ratio)
    return Chart("", block.drawing) if isinstance(block, ChartBlock) else None


# --- radio --------------------------------------------------------------------------------------------------------------------


def script_face(source: Source) -> Face:
    """Return the card of calls by the clock, stations and the weather to copy."""
    blocks: list[Block | None] = [_script(source), _stations(source), _copied(source)]
    return Face("Script by the clock", tuple(one for one in blocks if one is not None), ident="script")


def _script(source: Source) -> Grid | None:
    rows = tuple(
        Row(
            (
                Cell((row.line(script.TIME, bold=True),)), Cell((row.line(script.WHO, bold=True), row.line(script.SAY))),
                Cell((row.line(script.FREQUENCY, bold=True),)), Cell(box=BOX),
            ),
            name=row.figure(script.TIME), header=True,
        )
        for row in rows_of(source, script.SCRIPT)
    )  # fmt: skip
    cols = (Col(("UTC",)), Col(("Call and say",), wide=True), Col(("MHz",), "right"), Col(("Done",), "centre"))
    return Grid("", "", cols, rows, pad=0.6, name="script") if rows else None


def _stations(source: Source) -> Grid | None:
    who, where, frequency, remarks = COMMUNICATIONS.columns
    rows = tuple(
        Row(
            (
                Cell((row.line(who, bold=True), *((row.line(remarks),) if row.has(remarks) else ()))),
                Cell((row.line(where),)),
                Cell((row.line(frequency, bold=True),)),
            ),
            header=True,
        )
        for row in rows_of(source, COMMUNICATIONS)
    )
    return (
        Grid("Stations", "MHz", (Col(wide=True), Col(), Col(align="right")), rows, pad=0.6, name="stations")
        if rows
        else None
    )


def _copied(source: Source) -> Grid | None:
    names = list(dict.fromkeys(row.text(fields.NAME) for row in rows_of(source, fields.FIELD_CARDS)))[:4]
    rows = tuple(Row((Cell((Line(name),)), *(Cell(box=BOX) for _ in range(4))), "none", header=True) for name in names)
    cols = (
        Col(("",), wide=True),
        Col(("UTC",), "centre"),
        Col(("wind",), "centre"),
        Col(("cloud, vis.",), "centre", part=0.18),
        Col(("altimeter",), "centre"),
    )
    return Grid("Weather copied", "", cols, rows, pad=0.6, name="copied") if rows else None


# --- loadmaster -----------------------------------------------------------------------------------------------------------------


def load_face(source: Source) -> Face:
    """Return the card of the load by bay, its restraint, the balance and the people."""
    load = source.plan.tables.get("balance.load")
    grid = plain_table(source, load, size="act", columns=LOADED) if load else None
    people = source.plan.tables.get("crew")
    blocks: list[Block | None] = [
        narrowed(replace(grid, note="")) if grid else None, _plain(source, "balance.trim"),
        replace(plain, aside=True) if people and (plain := plain_table(source, people, size="act")) else None,
    ]  # fmt: skip
    return Face("Load, restraint, trim", tuple(one for one in blocks if one is not None), ident="load")


def _plain(source: Source, name: str) -> Grid | None:
    found = source.plan.tables.get(name)
    grid = plain_table(source, found, size="act") if found else None
    return narrowed(replace(grid, note="")) if grid else None


def _states(source: Source) -> Grid | None:
    found = source.plan.tables.get("balance.states")
    if found is None:
        return None
    ends = {phase.ident for phase in source.plan.phases}  # the moments that phases end at, of which the card shows none
    kept = tuple(
        row
        for row in found.rows
        if row.name not in ends and "zero" not in row.name and not row.name.startswith("low_fuel")
    )
    grid = plain_table(
        source,
        replace(found, rows=kept),
        size="act",
        columns=("moment", "mass", "cg_mac", "forward_margin", "aft_margin"),
    )
    return narrowed(replace(grid, note="", pad=0.4)) if grid else None


def drop_faces(source: Source) -> list[Face]:
    """Return the card of the passes and the balance about them, and that of what the loadmaster does by the clock."""
    clock, passes, states = by_the_clock(source, ("loadmaster",)), _passes(source), _states(source)
    return [
        Face("Passes and balance", (*((passes,) if passes else ()), *((states,) if states else ())), ident="drop"),
        Face("By the clock", (clock,) if clock else (), ident="clock"),
    ]


def _passes(source: Source) -> Grid | None:
    name, leaves, begin, altitude, speed, wind_from, wind, setting, steer, over, *release = work.PASSES.columns
    found = rows_of(source, work.PASSES)
    rows = tuple(
        made
        for row in found[:8]
        for made in (Row(
            (
                Cell((row.line(name, bold=True), Line(_load(source, row.text(leaves)) if row.has(leaves) else ""))), Cell((row.line(begin, bold=True),)),
                Cell((row.line(altitude, bold=True),)), Cell((row.line(speed, bold=True),)),
                Cell((Line(f"{row.line(wind_from).text}/{row.line(wind).text}", key=row.key(wind_from)),)), Cell((row.line(setting),)), Cell(box=BOX),
            ),
            name=row.text(name), header=True, with_next=row.has(steer),
        ), *_steered(row, steer, over, release))
    )  # fmt: skip
    cols = (Col(("Pass", "what leaves"), wide=True), Col(("UTC",), "right"), Col(("ft",), "right"), Col((unit_of(source, speed, found),), "right"),
            Col(("Wind", "°M/kt"), "right"), Col(("Alt.", "hPa"), "right"), Col(("Gone",), "centre"))  # fmt: skip
    note = "ground speed; release from abeam the place" if any(row.has(steer) for row in found) else ""
    return Grid("Passes" if note else "", note, cols, rows, pad=0.8, name="passes") if rows else None


def _steered(row: TableRow, steer: ColumnOf, speed: ColumnOf, release: Sequence[ColumnOf]) -> tuple[Row, ...]:
    """Return the row under a pass that says what to steer, and where to let the load go."""
    if not row.has(steer):
        return ()
    words = f"steer {row.text(steer)}, {row.text(speed)}"
    if all(map(row.has, release)):
        seconds, when, beside, side = map(row.text, release)
        words += f"; release {seconds} {when}, {beside} {side}"
    return (Row((Cell((Line(words, key=row.key(steer)),), span=7),)),)


def _load(source: Source, label: str) -> str:
    """Return the names of what leaves under a label."""
    return ", ".join(item.name for item in source.plan.mission.items if item.leaves == label) or label
