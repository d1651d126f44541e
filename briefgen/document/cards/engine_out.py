"""One has failed: a sentence, what is done at once, then the figures; and the emergencies whole, shared by all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.document.cards.blocks import Block, Cell, Col, Face, Grid, Line, Row, Sentence
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.front import room_of
from briefgen.document.cards.layout import height
from briefgen.document.cards.reading import NO_FIGURE, TableRow, rows_of, unit_of
from briefgen.document.parts.assemble import INITIALS, Source
from briefgen.model.procedures import Emergency, EmergencyAction
from briefgen.planning.sections.briefing.settings import ONE_OUT
from briefgen.planning.sections.crew import CONTINGENCIES
from briefgen.planning.sections.engines_out.ceilings import CEILINGS

MOST_LEGS = 4
FEWEST = 1
SPARE = 10.0
NONE = "No immediate actions in the aircraft file: carry the approved card."


def engine_out_face(source: Source) -> Face:
    """Return the card that is read when something has failed."""
    figures = [one for one in (_held(source), _setting(source)) if one is not None]
    sentences: list[Block] = [Sentence(text) for text in _sentences(source)]
    then = contingencies(source)
    room = room_of(source) - sum(height(one) for one in sentences)
    room -= sum(height(fitted(one)) for one in figures if not one.aside)
    at_once = _at_once(source, room)
    blocks = [*sentences, *at_once, *figures, *([then] if then else [])]
    return Face("Engine out, emergencies", tuple(blocks), urgent=True, ident="emergencies")


def _sentences(source: Source) -> list[str]:
    keys = (f"briefing.engines_out.{stopped}.sentence" for stopped in ("one", "two"))
    return [source.printed[key] for key in keys if key in source.printed]


def _at_once(source: Source, room: float) -> list[Block]:
    """Return as many emergencies as the card has room for, in the order of the aircraft file."""
    every = source.plan.mission.aircraft.emergencies
    if not every:
        return [Sentence(NONE)]
    for count in range(len(every), 0, -1):
        grid = at_once_grid(source, every[:count])
        if count < len(every):
            grid = _noted(grid)
        if height(fitted(grid)) <= room - SPARE or count == FEWEST:
            return [grid]
    return []


def _noted(grid: Grid) -> Grid:
    return replace(grid, note="the others: emergency cards")


def at_once_grid(source: Source, emergencies: Sequence[Emergency]) -> Grid:
    """Return what is done at once, an emergency a row."""
    rows: list[Row] = []
    for one in emergencies:
        rows.append(_named(source, one))
        rows += _acted(source, one.at_once)
    return Grid("At once, by heart", "", (Col(), Col(wide=True)), tuple(rows), pad=0.3, name="at once")


def _named(source: Source, one: Emergency) -> Row:
    name = source.printed.text(one.name)
    name = name[:1].upper() + name[1:]
    return Row((Cell((Line(name, bold=True),), span=2),), "none", with_next=True, name=name)


def _acted(source: Source, actions: Sequence[EmergencyAction], before: str = "") -> list[Row]:
    """Return actions as rows, each with who does it; the last closes the emergency with a rule."""
    lines = _actions(source, actions)
    return [
        Row((Cell((Line(line.lead, bold=True),)), Cell((Line(f"{before}{line.text}"),))), "thin" if index == len(lines) - 1 else "none",
            with_next=index < len(lines) - 1)
        for index, line in enumerate(lines)
    ]  # fmt: skip


def _actions(source: Source, actions: Sequence[EmergencyAction]) -> tuple[Line, ...]:
    crew = {member.position for member in source.plan.mission.crew}
    return tuple(
        Line(
            source.printed.text(one.action),
            lead=f"{INITIALS.get(one.position, one.position) if one.position in crew else 'CAP'}",
        )
        for one in actions
    )


def emergency_faces(source: Source) -> list[Face]:
    """Return every emergency whole, for the cards that all share: at once, then by the list, then what is to be known."""
    grids: list[Grid] = []
    for one in source.plan.mission.aircraft.emergencies:
        rows = [_named(source, one), *_acted(source, one.at_once), *_acted(source, one.then, "then: ")]
        if one.note:
            rows.append(Row((Cell(), Cell((Line(source.printed.text(one.note)),)))))
        note = "" if grids else "at once by heart, then by the list"
        grids.append(Grid("", note, (Col(), Col(wide=True)), tuple(rows), pad=0.2, whole=True, name="emergencies"))
    return [Face("Emergencies", tuple(grids), urgent=True, ident="emergencies")] if grids else []


# --- figures --------------------------------------------------------------------------------------------------------------


def _binding(source: Source, rows: list[TableRow]) -> list[TableRow]:
    """Return the legs that bind: of many those with least service ceiling on one engine less."""
    if len(rows) <= MOST_LEGS:
        return rows

    def service(row: TableRow) -> float:
        key = row.row.cells.get("service_one", "")
        value = source.plan.ledger[key].value if key else None
        return value if isinstance(value, float) else float("-inf") if value is None else 0.0

    kept = {id(row) for row in sorted(rows, key=service)[:MOST_LEGS]}
    return [row for row in rows if id(row) in kept]


def _held(source: Source) -> Grid | None:
    every = rows_of(source, CEILINGS)
    columns = {column.name: column for column in CEILINGS.columns}
    rows = _binding(source, every)
    if not rows:
        return None
    two = any(row.has(columns["service_two"]) for row in rows)
    made = []
    for row in rows:
        cells = [
            Cell((row.line(columns["leg"]),)), Cell((row.line(columns["safe_height"], missing=NO_FIGURE),)),
            Cell((_short(row.line(columns["service_one"], missing=NO_FIGURE)),)),
            *([Cell((_short(row.line(columns["ceiling_two"], missing=NO_FIGURE)),))] if two else []),
            Cell((row.line(columns["climb_ias_one"], bold=True),)),
        ]  # fmt: skip
        made.append(Row(tuple(cells), header=True))
    unit = unit_of(source, columns["climb_ias_one"], rows)
    cols = [Col(("Leg to",), wide=True), Col(("Not below",), "right"), Col(("One out",), "right"), Col(("Two out",), "right"), Col(("Climb", unit), "right")]  # fmt: skip
    if not two:
        cols.pop(3)
    note = "ft; one out: with 100 ft/min in hand" + (
        f"; worst {MOST_LEGS} of {len(every)} legs" if len(every) > MOST_LEGS else ""
    )
    return Grid("What she holds", note, tuple(cols), tuple(made), pad=0.8, name="engines_out")


def _short(line: Line) -> Line:
    """Return a height in words short enough for its column: a column of heights has one unit."""
    text = line.text.removesuffix("\u00a0ft").removesuffix(" ft").replace("at least ", "over ")
    return replace(line, text="sinks" if text == "none" else text, bold=text == "none")


def _setting(source: Source) -> Grid | None:
    columns = {column.name: column for column in ONE_OUT.columns}
    every = rows_of(source, ONE_OUT)
    rows = [row for row in every if row.has(columns["ias"])]
    legs = {one.row.cells.get("leg") for one in _binding(source, rows_of(source, CEILINGS))}
    rows = [row for row in rows if row.row.cells.get("leg") in legs][:MOST_LEGS]
    if not rows:
        return None
    names = ("manifold_pressure", "rpm", "mixture", "ias", "flow")
    made = [
        Row(tuple(Cell((row.line(columns[name], bold=name != "flow"),)) for name in ("leg", *names)), header=True)
        for row in rows
    ]
    running = rows[0].text(columns["running"]) if rows[0].has(columns["running"]) else ""
    heads = (Col(("Leg to",), wide=True), Col(("inHg",), "right"), Col(("rpm",), "right"), Col(("Mixture",)),
             Col((unit_of(source, columns["ias"], rows),), "right"), Col(("gal/h, all",), "right"))  # fmt: skip
    return Grid("Set with one out", running, heads, tuple(made), pad=0.8, aside=True, name="briefing.one_out")


def contingencies(source: Source) -> Grid | None:
    """Return what is done when something goes wrong, as the mission says."""
    what, then = CONTINGENCIES.columns
    rows = tuple(
        Row((Cell((row.line(what, bold=True),)), Cell((row.line(then),))), header=True)
        for row in rows_of(source, CONTINGENCIES)
    )
    return (
        Grid("Then", "", (Col(part=0.34, wraps=True), Col(wide=True)), rows, pad=0.8, aside=True, name="contingencies")
        if rows
        else None
    )
