"""The take-off: what is set, called and done if one fails, and where on the runway it happens."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from briefgen.document.cards.blocks import Block, Cell, Chart, Col, Face, Grid, Line, Row, Sentence
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.front import room_of
from briefgen.document.cards.layout import GAP, WIDTH, height
from briefgen.document.cards.reading import TableRow, big_row, entry_line, rows_of
from briefgen.document.cards.run_drawing import run_drawing
from briefgen.document.parts.assemble import INITIALS, Source, aboard
from briefgen.model.procedures import RunMoment
from briefgen.model.record import Figure
from briefgen.planning.sections.balance.moments import FlownWeights
from briefgen.planning.sections.balance.states import TRIM, TRIMMED, TrimFigures
from briefgen.planning.sections.briefing import fields, settings
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.fields.speeds import IAS, SPEEDS, SpeedName, SpeedTitle
from briefgen.planning.sections.fields.take_off import EngineFailure, GreatestWeight, TakeOffSpeeds, WeightInHand
from briefgen.planning.sections.fields.take_off_rows import TAKE_OFF
from briefgen.planning.sections.weather.field_winds import FieldWind

# In the order of the run: the moment a call is written for, and the speed that it is.
RUN: tuple[tuple[RunMoment, SpeedName], ...] = (
    ("engine-failure speed", "critical_ias"), ("unstick speed", "unstick_ias"), ("speed at 50 ft", "safe_ias"),
    ("first power reduction", "first_reduction"), ("climbing speed", "climb"),
)  # fmt: skip
BESIDES: tuple[SpeedName, ...] = ("climb_on_instruments", "minimum_control")
DRAWN_HEIGHT = 110.0  # of the runway, in points
BINDING_ALONE = ("",)  # no distance
FEW = (
    "accelerate_stop",
    "accelerate_go",
)  # distances that bind with an engine failing: their rows stand under the drawing


def take_off_face(source: Source) -> Face:
    """Return the card of the take-off."""
    found = [row for row in rows_of(source, fields.FIELD_CARDS) if row.row.mark == "departure"]
    place = found[0] if found else None
    title = f"Take-off, {place.text(fields.NAME)} {place.text(fields.RUNWAY)}" if place else "Take-off"
    if len(title) > 34:
        title = f"Take-off, runway {place.text(fields.RUNWAY)}" if place else title
    first = [_failure(source), *(_air(source, place) if place else ()), _power(source), _speeds(source)]
    blocks: list[Block] = []
    for runway in _runways(source):
        blocks = [one for one in (*first, *runway) if one is not None]
        if sum(height(fitted(one) if isinstance(one, Grid) else one) for one in blocks) - GAP <= room_of(source):
            break
    return Face(title, tuple(blocks), ident="take-off")


def _runways(source: Source) -> Iterator[tuple[Block | None, ...]]:
    """Yield what is told of the runway, the fullest first: drawn and with all distances, then with less, then not drawn."""
    drawing = run_drawing(source, WIDTH, DRAWN_HEIGHT)
    whole, few, binding = _distances(source), _distances(source, FEW), _distances(source, BINDING_ALONE)
    if drawing:
        yield from ((Chart("", drawing), shown) for shown in (whole, few, binding))
    yield (whole,)
    yield (few,)


def _key(source: Source, figure: Figure[Any, Any]) -> str:
    """Return the key of a figure of the take-off's field."""
    end = f".{figure.name}"
    return next((key for key in source.printed.entries if key.startswith("fields.take_off.") and key.endswith(end)), "")


def _failure(source: Source) -> Sentence | None:
    key = _key(source, EngineFailure.engine_failure)
    return Sentence(f"An engine fails on the run: {source.printed[key]}.") if key else None


def _air(source: Source, row: TableRow) -> list[Grid | None]:
    printed = source.printed
    length = row.text(fields.LENGTH)
    headwind, crosswind = _key(source, RunwayFigures.headwind), row.beside(fields.WIND, FieldWind.crosswind)
    slope = _key(source, RunwayFigures.slope)
    along = ", ".join(f"{word} {printed[key]}" for word, key in (("head", headwind), ("across", crosswind)) if key)
    wind = row.line(fields.WIND_FROM, "head", bold=True)
    speed = row.text(fields.WIND).replace("\u00a0kt", "")
    blowing = Line(f"{wind.text} / {speed}" if wind.text else speed, "head", True, wind.key)
    trim = _trim(source)
    return [
        big_row(
            ("Runway °M", row.line(fields.HEADING, "head", bold=True), f"{length}{', slope ' + printed.quoted(slope) if slope else ''}"),
            ("Wind °M, kt", blowing, along),
            ("Altimeter hPa", row.line(fields.SETTING, "head", bold=True), row.text(fields.TEMPERATURE)),
            ("Weight lb", entry_line(source, FlownWeights.take_off.key, "head", bold=True, quoted=False), f"trim {trim} nose up" if trim else ""),
        )
    ]  # fmt: skip


def _trim(source: Source) -> str:
    """Return the trim of the take-off, empty where the aircraft file gives none."""
    (take_off, _), *_ = TRIMMED
    found = [row for row in rows_of(source, TRIM) if row.row.name == take_off]
    return found[0].text(TRIM.column(TrimFigures.trim)) if found else ""


def _power(source: Source) -> Grid | None:
    rows = [row for row in rows_of(source, settings.POWER_SET) if row.row.mark == "take-off"]
    if not rows:
        return None
    row = rows[0]
    flaps = next((one.flaps for one in source.plan.mission.aircraft.phases if one.phase == "take-off"), "")
    limit = (
        Line(row.text(settings.TIME_LIMIT), "head", True, row.key(settings.TIME_LIMIT), limit=True)
        if row.has(settings.TIME_LIMIT)
        else None
    )
    return big_row(
        ("inHg", row.line(settings.PRESSURE, "head", bold=True), ""), ("rpm", row.line(settings.RPM, "head", bold=True), ""),
        ("Mixture", row.line(settings.MIXTURE, "head", bold=True), ""), ("Flap", Line(flaps, bold=True) if flaps else None, ""),
        ("No longer than", limit, ""),
    )  # fmt: skip


def speed_rows(source: Source, names: Sequence[SpeedName]) -> dict[SpeedName, Row]:
    """Return speeds of the speed card by the names of their keys: those there are, in the order asked for."""
    what = SPEEDS.column(SpeedTitle.title)
    by_name = {row.key(what).split(".")[1]: row for row in rows_of(source, SPEEDS) if row.has(what)}
    return {
        name: Row(
            (Cell((by_name[name].line(IAS, "head", bold=True),)), Cell((by_name[name].line(what),))),
            "none",
            header=True,
        )
        for name in names
        if name in by_name and by_name[name].has(IAS)
    }


def _speeds(source: Source) -> Grid | None:
    """Return the speeds in the order of the run, each with who calls what at it."""
    found = speed_rows(source, [name for _, name in RUN] + [*BESIDES])
    if not found:
        return None
    rows = [_called(source, "power set", Row((Cell(), Cell((Line("Power set"),))), "none"))]
    for moment, name in RUN:
        if name in found:
            row = _with_time(source, found[name]) if name == "critical_ias" else found[name]
            _add(rows, _called(source, moment, row))
    rows = [row for row in rows if row.cells[0].lines or row.cells[2].lines]
    rows += [_small(found[name]) for name in BESIDES if name in found]
    unit = source.printed.entries[next(iter(found.values())).cells[0].lines[0].key].unit
    cols = (Col(align="right"), Col(wide=True), Col(align="left"))
    return Grid("Speeds in order of use", f"{unit} indicated; who says what", cols, tuple(rows), pad=0.0, name="speeds")


def _add(rows: list[Row], row: Row) -> None:
    """Add the row of a speed; one that is the same as the speed before stands on its line."""
    before = rows[-1]
    speed = [one.cells[0].lines[0].text if one.cells[0].lines else "" for one in (before, row)]
    if speed[0] != speed[1]:
        rows.append(row)
        return
    what, other = before.cells[1].lines[0], row.cells[1].lines[0].text
    name = replace(what, text=f"{what.text}; {other[:1].lower()}{other[1:]}")
    calls = Cell((*before.cells[2].lines, *row.cells[2].lines))
    rows[-1] = replace(before, cells=(before.cells[0], replace(before.cells[1], lines=(name,)), calls))


def _small(row: Row) -> Row:
    """Return the row of a speed that nothing is called at, lower than the others."""
    speed, what = row.cells
    return Row(
        (replace(speed, lines=(replace(speed.lines[0], size="act"),)), replace(what, span=2)), "none", header=True
    )


def _called(source: Source, moment: RunMoment, row: Row) -> Row:
    """Return the row of a moment of the run with who calls what at it, as the aircraft file says; those not aboard call nothing."""
    crew = aboard(source.plan)
    said = [one for one in source.plan.mission.aircraft.calls_on_the_run if one.at == moment]
    lines = tuple(
        Line(f"“{one.says}”", lead=INITIALS[one.position if one.position in crew else "captain"]) for one in said
    )
    return replace(row, cells=(*row.cells, Cell(lines)))


def _with_time(source: Source, row: Row) -> Row:
    """Return the row of the engine-failure speed with how far and how long after the start of the run it is reached."""
    run, time = _key(source, TakeOffSpeeds.critical_run), _key(source, TakeOffSpeeds.critical_time)
    if not run or not time:
        return row
    words = Line(f"{row.cells[1].lines[0].text}, after {source.printed.quoted(time)}", key=time)
    return replace(row, cells=(row.cells[0], Cell((words,))))


def _distances(source: Source, which: Sequence[str] = ()) -> Grid | None:
    """Return distances against the runway, all of them or some by their names, and what binds."""
    names = {column.name: column for column in TAKE_OFF.columns}
    made = [
        Row(
            (
                Cell((row.line(names["what"]),)), Cell((row.line(names["factored"]) if row.has(names["factored"]) else row.line(names["distance"]),)),
                Cell((row.line(names["available"]),)), Cell((row.line(names["margin"], bold=True),)),
            ),
            header=True,
        )
        for row in rows_of(source, TAKE_OFF)
        if not which or row.key(names["distance"]).split(".")[-2] in which
    ]  # fmt: skip
    governs, weight = _key(source, GreatestWeight.governs), _key(source, WeightInHand.mass_margin)
    if governs:
        words = source.printed[governs] + (f": {source.printed.quoted(weight)} in hand" if weight else "")
        made.append(Row((Cell((Line(words, lead="Binding:", key=governs),), span=4),), "none"))
    if not made:
        return None
    if which == BINDING_ALONE:
        return Grid("", "", tuple(Col() for _ in range(4)), tuple(made), pad=0.4, name="binding")
    cols = (Col(("ft",), wide=True), Col(("needs",), "right"), Col(("has",), "right"), Col(("in hand",), "right"))
    return Grid("The runway", "as the rules ask", cols, tuple(made), pad=0.4, name="runway")
