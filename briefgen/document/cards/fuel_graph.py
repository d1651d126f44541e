"""The fuel graph for a pencil: from zero, a grid an eye can count, places as verticals, curves numbered at their ends."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from briefgen.document.cards.reading import TableRow, instant_at, number_at, rows_of, table_rows
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.format import unit_mark
from briefgen.document.parts.measure import width_em
from briefgen.document.parts.svg import Box, Canvas, Drawing, Frame, Scale, round_ticks, tick_text
from briefgen.planning.sections.briefing import ladder, route
from briefgen.units import in_unit

TYPE = 11.0
LEFT, TOP, FOOT = 44.0, 26.0, 34.0
PANEL_GAP = 34.0  # between the graph by distance and that by the clock: a label of either stands in it
APART = 15.0  # numerals at the ends of curves
LEGEND_LINE = 15.0
CLEAR = 8.0  # of the legend from a curve
STEPS = 16  # places tried for the legend, across and down
HOLD_SHARE = 0.30
NEEDED = "Needed "  # what the names of the ways home begin with
DASHES = ("p1", "p2", "p3", "p4", "p5", "p6")
MOST_CURVES = 6


_Point = tuple[float, float]


@dataclass(frozen=True)
class _Plot:
    area: Box
    x: Scale
    y: Scale


def fuel_graph(source: Source, ident: str, width: float, height: float) -> Drawing | None:
    """Draw fuel remaining and needed against distance, and beside it by the clock while she waits; None without a flight."""
    chart = source.plan.charts.get("way_home")
    if chart is None or not chart.curves or not chart.curves[0].points:
        return None
    canvas = Canvas(Frame(width, height, TYPE, ident))
    curves = [one for one in chart.curves if one.points][:MOST_CURVES]
    top = max(in_unit(y, chart.y_unit) for one in curves for _, y in one.points)
    waits = _waiting(source)
    right = width * (1.0 - HOLD_SHARE) if waits else width - 4.0
    far = max(in_unit(x, chart.x_unit) for one in curves for x, _ in one.points)
    y_ticks = round_ticks(0.0, top, 8)
    y = Scale(0.0, y_ticks[-1], height - FOOT, TOP)
    x_ticks = round_ticks(0.0, max(far, 1.0), 7)
    plot = _Plot(Box(LEFT, TOP, right, height - FOOT), Scale(0.0, x_ticks[-1], LEFT, right), y)
    _grid(canvas, plot, x_ticks, y_ticks, f"{unit_mark(chart.x_unit)} run", unit_mark(chart.y_unit))
    places = _places(source, canvas, plot)
    lines = [[(plot.x(in_unit(a, chart.x_unit)), y(in_unit(b, chart.y_unit))) for a, b in one.points] for one in curves]
    _legend(canvas, plot, [_short(source.printed.text(one.label)) for one in curves], _dense(lines))
    for number, points in enumerate(lines, 1):
        canvas.path(points, f"plot {DASHES[number - 1]}")
    _numbers(canvas, plot, lines)
    if waits:
        _clock_panel(source, canvas, waits, Box(right + PANEL_GAP, TOP, width - 6.0, height - FOOT), y, y_ticks)
    words = f"Curves: {', '.join(f'{n} {source.printed.text(c.label)}' for n, c in enumerate(curves, 1))}. Places: {', '.join(places)}."
    return canvas.finish("Fuel remaining and fuel needed", words)


def _grid(canvas: Canvas, plot: _Plot, xs: Sequence[float], ys: Sequence[float], x_name: str, y_name: str) -> None:
    area = plot.area
    for value in _finer(xs):
        canvas.line((plot.x(value), area.top), (plot.x(value), area.bottom), "fine")
    for value in _finer(ys):
        canvas.line((area.left, plot.y(value)), (area.right, plot.y(value)), "fine")
    for value in xs:
        canvas.text((plot.x(value), area.bottom + 12.0), tick_text(value), "tick", anchor="middle")
    for value in ys:
        canvas.text((area.left - 4.0, plot.y(value) + 4.0), tick_text(value), "tick", anchor="end")
    canvas.rect(area, "frame")
    canvas.text(((area.left + area.right) / 2, area.bottom + 29.0), x_name, "axis", anchor="middle")
    canvas.text((area.left - 4.0, area.top - 13.0), y_name, "axis", anchor="end")


def _finer(values: Sequence[float]) -> list[float]:
    step = (values[1] - values[0]) / 2
    return [values[0] + step * i for i in range(2 * (len(values) - 1) + 1)]


def _places(source: Source, canvas: Canvas, plot: _Plot) -> list[str]:
    """Draw a vertical at each place of the route and name it above, as far as names stand clear of each other."""
    named, reached = [], plot.area.left
    for row in rows_of(source, route.ROUTE):
        node = _node_at(source, row)
        if node is None:
            continue
        name = row.figure(route.TO)
        if name in named or row.row.mark in ("run", "hold", "approach"):
            continue
        at = plot.x(node)
        canvas.line((at, plot.area.top), (at, plot.area.bottom), "waypoint")
        half = width_em(name, bold=True) * TYPE / 2
        left = min(max(at - half, reached), plot.area.right - 2 * half + 20.0)
        if left >= reached - 0.1:
            canvas.text((left, plot.area.top - 6.0), name, "name", bold=True)
            reached = left + 2 * half + 8.0
        named.append(name)
    return named


def _node_at(source: Source, row: TableRow) -> float | None:
    """Return how far the place of a row is along the route [NM]."""
    key = row.key(route.OVER).rpartition(".")[0] + ".cumulative"
    value = number_at(source, key)
    return None if value is None else in_unit(value, "NM")


def _numbers(canvas: Canvas, plot: _Plot, lines: Sequence[Sequence[_Point]]) -> None:
    """Number each curve at both ends, the numerals of one end clear of each other."""
    for at, inwards in ((0, 11.0), (-1, -11.0)):
        ends = sorted((line[at][1], number, line[at][0] + inwards) for number, line in enumerate(lines, 1))
        heights = _apart([end[0] for end in ends], plot.area.top + 8.0, plot.area.bottom - 8.0)
        for y, (_, number, x) in zip(heights, ends, strict=True):
            canvas.dot((x, y), 7.0, "bubble")
            canvas.text((x, y + 4.0), str(number), "name", anchor="middle", bold=True)


def _apart(heights: Sequence[float], top: float, bottom: float) -> list[float]:
    """Return heights in order, moved up and down no more than they must to stand clear of each other."""
    found = [min(max(one, top), bottom) for one in heights]
    for _ in range(4 * len(found)):
        for index in range(1, len(found)):
            short = APART - (found[index] - found[index - 1])
            if short > 0.0:
                found[index - 1], found[index] = found[index - 1] - short / 2, found[index] + short / 2
        lift = max(0.0, found[-1] - bottom) - max(0.0, top - found[0]) if found else 0.0
        found = [one - lift for one in found]
    return found


def _dense(lines: Sequence[Sequence[_Point]]) -> list[_Point]:
    """Return points along curves, close enough to tell what they cross."""
    found: list[_Point] = []
    for line in lines:
        for (x, y), (to_x, to_y) in pairwise(line):
            count = max(1, int(max(abs(to_x - x), abs(to_y - y)) / 6.0))
            found += [(x + (to_x - x) * i / count, y + (to_y - y) * i / count) for i in range(count + 1)]
    return found


def _waiting(source: Source) -> list[TableRow]:
    found = [one for one in source.plan.tables.values() if one.family == ladder.LADDERS.name]
    return table_rows(source, found[-1]) if found else []


def _clock_panel(
    source: Source, canvas: Canvas, rows: Sequence[TableRow], area: Box, y: Scale, y_ticks: Sequence[float]
) -> None:
    """Draw fuel remaining and the most that a field needs by the clock while she waits, and the hour of leaving."""
    stamps = [instant_at(source, row.key(ladder.TIME)).timestamp() / 3600.0 for row in rows]
    first, last = int(stamps[0]), int(stamps[-1]) + 1
    x = Scale(float(first), float(last), area.left, area.right)
    for quarter in range((last - first) * 4 + 1):
        at = first + quarter / 4
        canvas.line((x(at), area.top), (x(at), area.bottom), "fine")
    for hour in range(first, last + 1):
        canvas.text((x(hour), area.bottom + 12.0), f"{hour % 24:02d}", "tick", anchor="middle")
    for value in _finer(y_ticks):
        canvas.line((area.left, y(value)), (area.right, y(value)), "fine")
    canvas.rect(area, "frame")
    canvas.text(((area.left + area.right) / 2, area.bottom + 29.0), "hours UTC, waiting", "axis", anchor="middle")
    unit = "US gal"
    fuel = [
        (x(at), y(in_unit(number_at(source, row.key(ladder.FUEL)) or 0.0, unit)))
        for at, row in zip(stamps, rows, strict=True)
    ]
    canvas.path(fuel, "plot p1")
    needs = [name for name in rows[0].row.cells if name.startswith("needs.")]
    for name in needs[:2]:
        points = [
            (x(at), y(in_unit(number_at(source, row.row.cells[name]) or 0.0, unit)))
            for at, row in zip(stamps, rows, strict=True)
            if name in row.row.cells
        ]
        canvas.path(points, "plot p2")
    leaves = [(at, row) for at, row in zip(stamps, rows, strict=True) if row.row.mark == ladder.LEAVE]
    for at, row in leaves[-1:]:
        canvas.line((x(at), area.top), (x(at), area.bottom), "leave")
        canvas.text((x(at) - 4.0, area.top + 40.0), row.figure(ladder.TIME), "name", anchor="end", bold=True)
        words = source.printed.text(row.row.name)
        while words and width_em(words, bold=True) * TYPE > x(at) - area.left - 6.0:
            words = words.rpartition(" ")[0]
        canvas.text((x(at) - 4.0, area.top + 54.0), words, "name", anchor="end", bold=True)


def _short(label: str) -> str:
    """Return the name of a curve of fuel without the word that all fuel needed begins with."""
    rest = label.removeprefix(NEEDED)
    return rest[:1].upper() + rest[1:]


def _legend(canvas: Canvas, plot: _Plot, names: Sequence[str], crossed: Sequence[_Point]) -> None:
    """Say what the numbers mean, where the fewest curves are covered."""
    wide = max(width_em(f"{n} {name}") for n, name in enumerate(names, 1)) * TYPE + 12.0
    high = LEGEND_LINE * len(names) + 4.0
    left, top = min(_corners(plot.area, wide, high, crossed), key=lambda corner: corner[0])[1:]
    canvas.rect(Box(left, top, left + wide, top + high), "clear")
    for number, name in enumerate(names, 1):
        canvas.text((left + 6.0, top + LEGEND_LINE * number - 2.0), f"{number} {name}", "name")


def _corners(area: Box, wide: float, high: float, points: Sequence[_Point]) -> Iterator[tuple[int, float, float]]:
    """Yield places for a box in an area, each with how many points lie in it or near it, and its left upper corner."""
    for i in range(STEPS + 1):
        left = area.right - 4.0 - wide - i * (area.right - area.left - wide - 8.0) / STEPS
        beside = sorted(y for x, y in points if left - CLEAR < x < left + wide + CLEAR)
        for j in range(STEPS + 1):
            top = area.top + 4.0 + j * (area.bottom - area.top - high - 8.0) / STEPS
            yield bisect_left(beside, top + high + CLEAR) - bisect_right(beside, top - CLEAR), left, top
