"""Where to go and by when; and the arrival, at home or elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.document.cards.blocks import Block, Cell, Col, Face, Grid, Line, Row, Sentence, Size
from briefgen.document.cards.layout import LOW_BOX
from briefgen.document.cards.reading import NO_FIGURE, TableRow, big_row, entry_line, figure_line, number_at, rows_of
from briefgen.document.cards.take_off import speed_rows
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.format import unit_mark
from briefgen.model.ledger import Column, Table
from briefgen.model.ledger import Row as PlanRow
from briefgen.model.plan import PhaseKind
from briefgen.model.tables import ColumnOf
from briefgen.planning.sections.basis.clock import Durations, Milestones
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.briefing import fields, ladder, opening, route, work
from briefgen.planning.sections.fields.landing import LANDING
from briefgen.planning.sections.fields.speeds import SpeedName
from briefgen.planning.sections.go_around import GO_AROUND

NOT_HERE = ("departure", "destination")
ARRIVING: tuple[SpeedName, ...] = ("approach", "base", "final", "threshold_ias", "touchdown_ias")
NOT_ABOVE: tuple[SpeedName, ...] = ("gear_limit", "flaps_limit")
BELOW = "×"
LONGEST_TITLE = 36


# --- where to go ----------------------------------------------------------------------------------------------------------


def where_face(source: Source) -> Face:
    """Return the card of the fields she can go to, and of the hold."""
    key = opening.Opening.sentence.key
    words = entry_line(source, key, quoted=False)
    sentence = words.text if words else ""
    ladders = [
        grid
        for found in source.plan.tables.values()
        if found.family == ladder.LADDERS.name
        for grid in [_ladder(source, found)]
        if grid
    ]
    blocks: list[Block | None] = [
        Sentence(sentence) if sentence else None,
        _fields(source),
        *ladders,
        points_grid(source, 4) if not ladders else None,
        _end(source),
    ]
    return Face("Where to go, and by when", tuple(one for one in blocks if one is not None), ident="where")


def _fields(source: Source) -> Grid | None:
    rows: list[Row] = []
    for row in rows_of(source, fields.FIELD_CARDS):
        if row.row.mark not in NOT_HERE:
            rows += _field_rows(source, row)
    for row in rows_of(source, fields.PASSED):
        rows += _passed_rows(source, row)
    if not rows:
        rows = [Row((Cell((Line("No alternate is planned and no field is passed."),), span=2),))]
    return Grid("", "", (Col(wide=True), Col(align="right")), tuple(rows), pad=0.3, name="fields")


def _field_rows(source: Source, row: TableRow) -> list[Row]:
    leave, name, steer = leave_by(source, row.row.name), row.text(fields.NAME), way_heading(source, row.row.name)
    title = Line(f"{name}, steer {steer}" if steer else name, bold=True, key=row.key(fields.NAME))
    times = (
        Line(f"leave by {source.printed[leave]}", bold=True, key=leave)
        if leave
        else Line(f"at {row.figure(fields.TIME)}")
    )
    weather = "; ".join(filter(None, (row.text(fields.FORECAST), row.text(fields.NEEDS))))
    runway = f"{row.text(fields.RUNWAY)}: {row.text(fields.LENGTH)} {row.text(fields.HAS)}"
    return _field(name, title, times, (Line(weather), Line(runway)))


def _passed_rows(source: Source, row: TableRow) -> list[Row]:
    place, time, away, runway, length, has, forecast = fields.PASSED.columns
    name = row.text(place)
    where = Line(f"{row.text(away)} off at {row.figure(time)}")
    words = f"{row.text(forecast)}; {row.text(runway)}: {row.text(length)} {row.text(has)}"
    return _field(name, Line(name, bold=True, key=row.key(place)), where, (Line(words),))


def _field(name: str, title: Line, times: Line, lines: tuple[Line, ...]) -> list[Row]:
    head = Row((Cell((title,)), Cell((times,))), "none", with_next=True, name=name, header=True)
    return [head, Row((Cell(lines, span=2),))]


def leave_by(source: Source, ident: str) -> str:
    """Return the key of the last hour at which a hold may be left for a field, empty where there is none."""
    ends = f".leave_for.{ident}.time"
    found = [key for key in source.printed.entries if key.startswith("hold.") and key.endswith(ends)]
    return found[-1] if found else ""


LEVEL: PhaseKind = "cruise"  # what names of level flight begin with


def way_heading(source: Source, ident: str) -> str:
    """Return the compass heading of the longest stretch of the way to an alternate."""
    heads = [
        key
        for key in source.printed.entries
        if key.startswith(f"alternate.{ident}.{LEVEL}-") and key.endswith(f".{PhaseFigures.heading_compass.name}")
    ]
    return source.printed[heads[0]] if heads else ""


def _ladder(source: Source, found: Table) -> Grid | None:
    if not found.rows:
        return None
    needs = [column for column in found.columns if column.name.startswith("needs.")][:2]
    told = any(ladder.FORECAST.name in row.cells for row in found.rows)
    rows = tuple(_rung(source, row, needs, told=told) for row in found.rows)
    unit = unit_mark(source.plan.ledger[found.rows[0].cells[ladder.FUEL.name]].unit)
    cols = [
        Col(("UTC",)), Col((unit,), "right"), Col(("Actual",), "centre"),
        *(Col((one.head,), "right", part=0.14) for one in needs), Col(("Can", "wait"), "right"),
        *([Col(("Forecast",), wide=True)] if told else []),
    ]  # fmt: skip
    return Grid(source.printed.text(found.title), "reserve kept", tuple(cols), rows, pad=0.7, name=found.name)


def _rung(source: Source, row: PlanRow, needs: Sequence[Column], *, told: bool) -> Row:
    """Return one rung of the ladder; the hour of leaving stands in a frame, large."""
    printed, cells = source.printed, row.cells
    left = row.mark == ladder.LEAVE

    def shown(name: str, size: Size = "act", *, bold: bool = False) -> Cell:
        key = cells.get(name, "")
        return Cell((Line(printed[key] if key else NO_FIGURE, size, bold, key),))

    size: Size = "head" if left else "act"
    found = [shown(ladder.TIME.name, size, bold=True), shown(ladder.FUEL.name, size, bold=True)]
    name = printed[cells[ladder.TIME.name]]
    if left:
        found.append(Cell((Line(printed.text(row.name), bold=True),), span=2 + len(needs) + told))
        return Row(tuple(found), "none", framed=True, name=name, header=True)
    found += [Cell(box=LOW_BOX), *(shown(one.name) for one in needs), shown(ladder.WAIT.name)]
    if told:
        words = printed[cells[ladder.FORECAST.name]] if ladder.FORECAST.name in cells else ""
        found.append(Cell((Line(words, bold=words.startswith("shut")),), joins=words or "-"))
    return Row(tuple(found), name=name, header=True)


def points_grid(source: Source, most: int) -> Grid | None:
    """Return what each field needs from each place of the route, in at most so many columns."""
    found = source.plan.tables.get("way_home.points")
    if found is None or not found.rows:
        return None
    shown = [
        column for column in found.columns if column.name not in ("onward",) and (most > 4 or column.name != "least")
    ][:most]
    printed = source.printed
    rows = []
    for row in found.rows:
        name = _place_of(source, row.cells.get("left", "")) or printed.text(row.name).rpartition(": ")[2]
        numbers = [column for column in shown if column.name in row.cells]
        cells = [Cell((Line(name, bold=True),))]
        for column in shown:
            key = row.cells.get(column.name, "")
            words = printed[key] if key else ""
            cells.append(Cell((Line(words if len(words) < 14 else NO_FIGURE, key=key),)))
        if numbers:
            rows.append(Row(tuple(cells), header=True, name=name))
    cols = (Col(("From",), wide=True), *(Col((column.head,), "right", part=0.13) for column in shown))
    return (
        Grid(
            "Fuel to each field from each place",
            "US gal, reserve kept",
            cols,
            tuple(rows),
            pad=0.6,
            whole=True,
            name="way_home.points",
        )
        if rows
        else None
    )


def _place_of(source: Source, key: str) -> str:
    """Return what the route calls the place at which the phase of a figure ends."""
    ident = key.split(".")[1] if key.count(".") else ""
    return next((row.line(route.TO).text for row in rows_of(source, route.ROUTE) if row.row.name == ident), "")


def _end(source: Source) -> Grid | None:
    latest = [
        (key, source.printed[key]) for key in (Durations.duty.key, Milestones.shutdown.key) if key in source.printed
    ]
    if not latest:
        return None
    words = {Durations.duty.key: "duty, as planned", Milestones.shutdown.key: "engines stopped, as planned"}
    line = "; ".join(f"{words[key]} {figure}" for key, figure in latest)
    return Grid(
        "", "", (Col(wide=True),), (Row((Cell((Line(line, "small"),)),), "none"),), pad=0.0, aside=True, name="duty"
    )


# --- arrival ----------------------------------------------------------------------------------------------------------------


def arrival_face(source: Source) -> Face:
    """Return the card of the landing, the destination and the alternates side by side."""
    places = [row for row in rows_of(source, fields.FIELD_CARDS) if row.row.mark != "departure"][:3]
    below = [
        row
        for row in places
        if row.row.mark == "destination" and row.has(fields.MINIMA) and row.text(fields.MINIMA) == "not met"
    ]
    sentence = (
        Sentence(f"{below[0].text(fields.NAME)} is forecast below minima at {below[0].figure(fields.TIME)}.")
        if below
        else None
    )
    blocks: list[Block | None] = [sentence, _comparison(source, places), _speeds(source), _go_around(source), _heard()]
    names = list(dict.fromkeys(row.text(fields.NAME) for row in places[:2]))
    titles = [f"Arrival, {' or '.join(names)}", f"Arrival, {names[0]}"] if names else []
    title = next((one for one in titles if len(one) <= LONGEST_TITLE), "Arrival")
    return Face(title, tuple(one for one in blocks if one is not None), ident="arrival")


def _comparison(source: Source, places: Sequence[TableRow]) -> Grid | None:
    if not places:
        return None
    rows: list[Row] = []

    def add(words: str, lines: Sequence[Line], rule: str = "none") -> None:
        if any(line.text for line in lines):
            cells = (Cell((Line(words),)), *(Cell((line,)) for line in lines))
            rows.append(Row(cells, "thin" if rule == "thin" else "none", header=True))

    add("Over at, UTC", [row.line(fields.TIME) for row in places])
    add("Call, MHz", [row.line(fields.CALL, bold=True) for row in places])
    add("Runway, °M", [_runway(row) for row in places])
    add("Wind, °M / kt", [_wind(row) for row in places])
    add("Altimeter, hPa", [row.line(fields.SETTING, "head", bold=True) for row in places])
    for words, value, least in (
        ("Ceiling, ft", fields.CEILING, fields.LEAST_CEILING),
        ("Visibility, km", fields.VISIBILITY, fields.LEAST_VISIBILITY),
    ):
        add(words, [_against(source, row, value, least) for row in places])
        add("    least", [_least(source, row, value, least) for row in places], "thin")
    landings = _landings(source, places)
    names = {column.name: column for column in LANDING.columns}
    for words, name in (
        ("Weight, lb", "mass"),
        ("Runway needed, ft", "factored"),
        ("Runway there, ft", "available"),
        ("In hand, ft", "margin"),
    ):
        add(
            words,
            [
                row.line(names[name], bold=name == "margin", missing=NO_FIGURE) if row else Line(NO_FIGURE)
                for row in landings
            ],
        )
    heads = [Col((row.text(fields.NAME),), "right", part=0.32 if len(places) < 3 else 0.24) for row in places]
    return Grid("", "", (Col(("",), wide=True), *heads), tuple(rows), pad=0.0, name="arrival")


def _runway(row: TableRow) -> Line:
    heading = row.line(fields.HEADING, "head", bold=True)
    return Line(f"{row.text(fields.RUNWAY)}:  {heading.text}", "head", True, heading.key)


def _wind(row: TableRow) -> Line:
    direction, speed = row.line(fields.WIND_FROM), row.line(fields.WIND)
    return Line(f"{direction.text} / {speed.text}" if direction.text else speed.text, key=direction.key)


def _under(source: Source, row: TableRow, value: ColumnOf, least: ColumnOf) -> bool:
    found, limit = number_at(source, row.key(value)), number_at(source, row.key(least))
    return found is not None and limit is not None and found < limit


def _against(source: Source, row: TableRow, value: ColumnOf, least: ColumnOf) -> Line:
    line = row.line(value)
    if _under(source, row, value, least):
        return Line(f"{BELOW} {line.text}", bold=True, key=line.key)
    return line


def _least(source: Source, row: TableRow, value: ColumnOf, least: ColumnOf) -> Line:
    return row.line(least, limit=_under(source, row, value, least))


def _landings(source: Source, places: Sequence[TableRow]) -> list[TableRow | None]:
    found: list[TableRow | None] = []
    by_place = {next(iter(row.row.cells.values())).split(".")[2]: row for row in rows_of(source, LANDING)}
    for place in places:
        found.append(by_place.get(place.row.name))
    return found


def _speeds(source: Source) -> Grid | None:
    rows = [*speed_rows(source, ARRIVING).values()]
    items = [(row.cells[1].lines[0].text, row.cells[0].lines[0], "") for row in rows[:4]]
    found = big_row(*items)
    limits = [*speed_rows(source, NOT_ABOVE).values()]
    if found is None:
        return None
    unit = source.printed.entries[rows[0].cells[0].lines[0].key].unit
    shown = [
        Cell(
            (
                Line(
                    f"{row.cells[1].lines[0].text} {row.cells[0].lines[0].text}",
                    key=row.cells[0].lines[0].key,
                    limit=True,
                ),
            ),
            span=2,
        )
        for row in limits[:2]
    ]
    extra = (*shown, *(Cell(span=2) for _ in range(2 - len(shown))))
    rows_made = (*found.rows, Row(extra, "none")) if limits and len(found.cols) == 4 else found.rows
    return replace(found, title="Speeds in order of use", note=f"{unit}, landing weight", rows=rows_made)


def _go_around(source: Source) -> Grid | None:
    """Return the going around on all engines: power with its limit of time, flaps, speed, and what she climbs."""
    rows = rows_of(source, GO_AROUND)
    columns = {column.name: column for column in GO_AROUND.columns}
    every = rows[0] if rows else None
    rating = figure_line(source, work.GoAround.rating, bold=True)
    power, speed, under = rating, None, ""
    if every is not None and every.has(columns["rpm"]) and every.has(columns["manifold_pressure"]):
        words = f"{every.text(columns['manifold_pressure'])}, {every.text(columns['rpm'])}"
        power = Line(words, bold=True, key=every.key(columns["manifold_pressure"]))
        under = f"at most {every.text(columns['time_limit'])}" if every.has(columns["time_limit"]) else ""
    if every is not None and every.has(columns["ias"]):
        speed = Line(every.text(columns["ias"]), "head", True, every.key(columns["ias"]))
    climbs = [
        f"{row.figure(columns['engines'])}: {row.text(columns['rate'])}" for row in rows if row.has(columns["rate"])
    ]
    found = big_row(
        ("Power", power, under), ("Flaps", figure_line(source, work.GoAround.flaps, bold=True), ""), ("Speed", speed, ""),
    )  # fmt: skip
    return replace(found, title="Going around", note="; ".join(climbs)) if found else None


def _heard() -> Grid:
    cells = tuple(Cell((Line(words, "small"),), write=True) for words in ("Weather heard", "Altimeter heard"))
    return Grid("", "", (Col(part=0.62), Col(part=0.38)), (Row(cells, "none"),), aside=True, name="heard")
