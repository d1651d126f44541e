"""Power as it is set, a line a change, with what else is done at its minute."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from briefgen.document.cards.blocks import Cell, Col, Grid, Line, Row
from briefgen.document.cards.events import Told, joined_words, lines_of, phase_kind
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.layout import MEASURES, SIDE, row_height
from briefgen.document.cards.packing import told_row, words_row
from briefgen.document.cards.reading import NO_FIGURE, TableRow, instant_at, rows_of, unit_of
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.measure import width_em
from briefgen.model.plan import PhaseKind
from briefgen.planning.sections.basis.clock import Milestones
from briefgen.planning.sections.briefing import settings

ON_THE_GROUND: tuple[PhaseKind, ...] = ("start", "taxi", "run-up", "taxi-in", "shutdown")
SIGNS = {settings.MORE: "↑", settings.LESS: "↓"}
POWER_LEVERS = ("Manifold pressure", "Engine speed", "Mixture")
ICE = (settings.ICING, settings.CLEAR)
ICE_TOLD = "carburettor ice likely; "  # of an event whose line begins with the cloud's name
LIMIT_SPAN = 2  # columns that hold a limit of time


@dataclass(frozen=True)
class Look:
    """How much of the power table is shown, and how tightly."""

    flow: bool = True  # a column for the flow
    more: bool = False  # whatever else moves with a setting, for the engineer
    tight: bool = False  # a change of nothing but what ice asks for is words at its minute; lines of words are joined


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
        return phase_kind(source, one.event) in ON_THE_GROUND
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
    look: Look,
    *,
    ground: Sequence[Told] = (),
    beside: Sequence[Told] = (),
    inside: float = 0.0,
) -> Grid | None:
    """Return the power table as it is set, with what is done on the ground before and after it.

    What else is done with a setting stands beside its name where both have room ``inside`` that column [pt], else under it.
    """
    found = rows_of(source, settings.POWER_SET)
    if not found and not ground:
        return None
    owned = power_events(source, told, attach=look.more, beside=beside)
    cols = _columns(source, found, look)
    first = instant_at(source, found[0].key(settings.AT)) if found else None
    before = [one for one in ground if first is None or instant_at(source, one.event.time_key) < first]
    after = [one for one in ground if one not in before]
    rows = [told_row(moment, len(cols)) for moment in lines_of(before)]
    last: TableRow | None = None
    kind = _kind(found)
    for row in found:
        own = owned.get(row.row.name, [])
        if look.tight and last and _only_ice(last, row):
            rows.append(_ice_row(last, row, own, look, len(cols)))
        elif look.tight and last and _as_before(last, row) and not _beside(row, own, more=look.more):
            time, numbers = row.line(settings.AT, bold=True), [one.number for one in own]
            rows.append(words_row("as before", time, len(cols), numbers))
        else:
            rows += _power_rows(row, own, look, len(cols), inside, kind)
        last = row
    rows += [told_row(moment, len(cols)) for moment in lines_of(after)]
    return Grid("", "", cols, tuple(rows), pad=0.0 if look.tight else 0.2, name="power")


def _columns(source: Source, found: Sequence[TableRow], look: Look) -> tuple[Col, ...]:
    speed, fuel = unit_of(source, settings.IAS, found), unit_of(source, settings.FLOW, found)
    cols = [Col(("UTC",)), Col(("",), wide=True), Col(("",)), Col(("inHg",), "right"), Col(("rpm",), "right"), Col((_kind(found) or "Mixture",)),
            Col((speed,), "right")]  # fmt: skip
    return (*cols, Col((fuel.replace("US ", ""),), "right")) if look.flow else tuple(cols)


def name_room(source: Source, look: Look) -> float:
    """Return the room for the name of a setting and what stands beside it [pt]."""
    found = rows_of(source, settings.POWER_SET)
    alone = tuple(Row(_setting(row, row.line(settings.WHAT), look, _kind(found))) for row in found)
    return fitted(Grid("", "", _columns(source, found, look), alone)).cols[1].width - 2 * SIDE


def _kind(found: Sequence[TableRow]) -> str:
    """Return what the names of all mixtures begin with, as auto-, which stands in the head then; empty where they differ."""
    kinds = {row.figure(settings.MIXTURE).partition("-")[:2] for row in found if row.has(settings.MIXTURE)}
    return "".join(next(iter(kinds))) if len(kinds) == 1 and all(dash for _, dash in kinds) else ""


def _setting(row: TableRow, what: Line, look: Look, kind: str) -> tuple[Cell, ...]:
    mixture = row.line(settings.MIXTURE)
    cells = (
        Cell((row.line(settings.AT, bold=True),)),
        Cell((what,)),
        Cell((Line(_sign(row), bold=True, key=row.key(settings.MOVE)),)),
        Cell((row.line(settings.PRESSURE, bold=True, missing=NO_FIGURE),)),
        Cell((row.line(settings.RPM, bold=True, missing=NO_FIGURE),)),
        Cell((replace(mixture, text=mixture.text.removeprefix(kind)),)),
        Cell((row.line(settings.IAS, bold=True),)),
    )
    return (*cells, Cell((row.line(settings.FLOW),))) if look.flow else cells


def _sign(row: TableRow) -> str:
    return SIGNS.get(row.figure(settings.MOVE), "") if row.has(settings.MOVE) else ""


def _only_ice(before: TableRow, row: TableRow) -> bool:
    """Return whether a setting goes on as it was but for what ice in cloud asks for: its levers stand as they stood."""
    stays = (settings.RPM, settings.MIXTURE)
    return row.figure(settings.WHAT) in ICE and all(row.figure(one) == before.figure(one) for one in stays)


def _as_before(before: TableRow, row: TableRow) -> bool:
    """Return whether a setting is that before it over again, as on one leg after the other at one height."""
    same = (settings.WHAT, settings.PRESSURE, settings.RPM, settings.MIXTURE, settings.IAS, settings.FLOW)
    return row.has(settings.PRESSURE) and all(row.figure(one) == before.figure(one) for one in same)


def _ice_row(before: TableRow, row: TableRow, told: Sequence[Told], look: Look, span: int) -> Row:
    """Return a change for ice as words at its minute: what of the setting is another, and what is moved besides."""
    shown = (settings.PRESSURE, settings.IAS, *((settings.FLOW,) if look.flow else ()))
    other = [row.text(one) for one in shown if row.figure(one) != before.figure(one)]
    sign = _sign(row) if row.figure(settings.PRESSURE) != before.figure(settings.PRESSURE) else ""
    name = f"{row.figure(settings.WHAT)} {sign} " if sign else f"{row.figure(settings.WHAT)}, "
    figures = f"{name}{', '.join(other)}" if other else row.figure(settings.WHAT)
    besides = _beside(row, told, more=look.more).removeprefix(ICE_TOLD)
    words = ": ".join(filter(None, (figures, besides)))
    return words_row(words, row.line(settings.AT, bold=True), span, [one.number for one in told], bold=look.more)


def _power_rows(row: TableRow, told: Sequence[Told], look: Look, span: int, inside: float, kind: str) -> list[Row]:
    """Return a setting and, under it where it does not stand beside its name, what else is done at its minute."""
    what, words = row.line(settings.WHAT), _beside(row, told, more=look.more)
    both = "; ".join(filter(None, (what.text, words)))
    if words and width_em(both) * MEASURES["act"] <= inside:
        what, words = replace(what, text=both), ""
    limit = _limit(row)
    if limit:  # beside the name, if it has the room; else under it
        with_limit = Line(f"{what.text}, {limit.text}", key=limit.key, limit=True)
        if width_em(with_limit.text) * MEASURES["act"] + 2 * MEASURES["limit"] <= inside:
            what, limit = with_limit, None
    second = bool(limit or words)
    main = Row(
        _setting(row, what, look, kind), "none" if second else "thin", with_next=second, name=row.figure(settings.AT),
        events=tuple(one.number for one in told), header=True,
    )  # fmt: skip
    if not second:
        return [main]
    beside = Line(words, bold=look.more)
    if limit is None or not words:
        return [main, Row((Cell(), Cell((limit or beside,), span=span - 1)))]
    side = LIMIT_SPAN + look.flow
    under = (Cell(), Cell((beside,), span=span - 1 - side), Cell((limit,), span=side))
    return [main, Row(under)]


def _limit(row: TableRow) -> Line | None:
    """Return how long a setting may stand, None where the aircraft file has no such limit."""
    if not row.has(settings.TIME_LIMIT):
        return None
    return Line(f"max {row.text(settings.TIME_LIMIT)}", key=row.key(settings.TIME_LIMIT), limit=True)


def _beside(row: TableRow, told: Sequence[Told], *, more: bool) -> str:
    """Return what is done with a setting beside its three levers: others moved with it, lists, actions."""
    words = [joined_words([one for one in told if one.event.kind not in ("phase", "power")])]
    if more:
        steps = [row.source.printed.text(step) for one in told if one.event.kind == "power" for step in one.event.steps]
        words += [
            moved for step in steps
            if not step.startswith(POWER_LEVERS) and (moved := step[:1].lower() + step[1:]) not in words[0]
        ]  # fmt: skip
    return "; ".join(dict.fromkeys(filter(None, words)))


def halves(grid: Grid) -> tuple[Grid, Grid]:
    """Return a power table in two parts of about the same height, parted between settings."""
    sized = fitted(grid)
    heights = [row_height(sized, row) for row in sized.rows]
    half = min(
        _between(grid), key=lambda index: abs(sum(heights[:index]) - sum(heights[index:])), default=len(grid.rows)
    )
    return replace(grid, rows=grid.rows[:half]), replace(grid, rows=grid.rows[half:])


def _between(grid: Grid) -> Iterator[int]:
    return (index for index in range(1, len(grid.rows)) if not grid.rows[index - 1].with_next)
