"""Charts with two straight axes: vertical profile, fuel against distance, balance envelope, power, runway.

Curves come from the flight's nodes and from the plan's chart data. Nothing here is a source of figures: a label that shows one
looks it up in the ledger.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal

from briefgen.document.parts.format import Figures, unit_mark
from briefgen.document.parts.svg import Box, Canvas, Drawing, Frame, Scale, round_ticks, tick_text
from briefgen.frozen import dataclass
from briefgen.model.mission import Leg
from briefgen.model.plan import ChartData, ChartName, ChartPoint, Node, Plan, Series
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.units import in_unit

TOP_RATIO = 1.3  # of the highest flown: what lies over that is not on the profile
HEADROOM_RATIO = 0.06  # over the highest curve
NAME_REACHES = (0.0, 0.6, 1.4)  # how far from its curve a name may stand, in type sizes
CLOUD = "cloud"  # what the name of a sheet of cloud begins with
LINE_STYLES = ("c1", "c2", "c3", "c4", "c5", "c6")
FROM_ZERO = ("fuel", "way_home", "debrief", "likely")  # what is left is seen against nothing left
LEAST, LEAST_STYLE = ("least", "safe"), "least"  # curves that must not be passed
FLOWN = "planned"  # a curve of this name replaces the one drawn through the nodes

DrawChart = Callable[[Plan, Figures, Frame], Drawing | None]


@dataclass(frozen=True)
class Upright:
    """A named place on the axis across, in SI, and what is told of the stretch before it."""

    name: str
    at: float
    before: str = ""


@dataclass(frozen=True)
class Plot:
    """The inside of a chart: its rectangle and its two scales, in printed units."""

    area: Box
    x: Scale
    y: Scale


def xy_chart(
    chart: ChartData,
    figures: Figures | None,
    frame: Frame,
    *,
    dense: bool = False,
    uprights: Sequence[Upright] = (),
    side_view: bool = False,
) -> Drawing | None:
    """Draw curves, areas and named points on two labelled axes; None when there is nothing to draw.

    A chart whose points quote no entry needs no printed figures. ``uprights`` are named places on the axis across, as the
    waypoints are on a chart against distance, with words that stand between one and the next. A ``side_view`` says how much
    larger its heights are drawn than its lengths.
    """
    every = [point for series in (*chart.curves, *chart.areas) for point in series.points]
    every += [(point.x, point.y) for point in chart.points]
    if len(every) < 2:
        return None
    canvas = Canvas(frame)
    xs = [_shown(x, chart.x_unit) for x, _ in every]
    ys = [_shown(y, chart.y_unit) for _, y in every]
    lowest = min(0.0, *ys) if chart.name in FROM_ZERO else min(ys)
    plot = _axes(canvas, chart, (min(xs), max(xs)), (lowest, max(ys)), dense=dense)
    _draw_uprights(canvas, chart, plot, uprights)
    stated = _stated(canvas, plot) if side_view else ""
    for index, series in enumerate(chart.areas):
        points = _placed(series.points, chart, plot)
        kind = CLOUD if series.name.startswith(CLOUD) else f"a{index + 1}"
        canvas.path(points, f"area {kind}", closed=True)
        canvas.keep_clear_of_line(points, 0.1 * frame.type_size)
    for index, series in enumerate(chart.curves):
        points = _placed(series.points, chart, plot)
        style = LEAST_STYLE if series.name in LEAST else LINE_STYLES[index % len(LINE_STYLES)]
        canvas.path(points, f"curve {style}")
        canvas.keep_clear_of_line(points, 0.15 * frame.type_size)
    _mark_points(canvas, chart, figures, plot)
    _name_series(canvas, chart, plot)
    words = [
        f"{one.name} at {tick_text(round(_shown(one.at, chart.x_unit)))} {unit_mark(chart.x_unit)}" for one in uprights
    ]
    places = f" Places: {', '.join(words)}." if words else ""
    return canvas.finish(chart.title, f"{_description(chart, figures)}{places}{stated}")


def _stated(canvas: Canvas, plot: Plot) -> str:
    """Write how many times larger heights are drawn than lengths, and return it as a sentence."""
    high = (plot.area.bottom - plot.area.top) / (plot.y.high - plot.y.low)
    long = (plot.area.right - plot.area.left) / (plot.x.high - plot.x.low)
    size = canvas.frame.type_size
    words = f"heights drawn {high / long:.0f} times as large as lengths"
    canvas.text((plot.area.left + 0.5 * size, plot.area.top + 1.2 * size), words, "tick")
    return f" {words[:1].upper()}{words[1:]}."


def _draw_uprights(canvas: Canvas, chart: ChartData, plot: Plot, uprights: Sequence[Upright]) -> None:
    """Draw a broken line at each named place, its name at the head, and between two the words of the stretch."""
    size = canvas.frame.type_size
    reached, before = plot.area.left, plot.area.left
    for one in uprights:
        x = plot.x(_shown(one.at, chart.x_unit))
        canvas.line((x, plot.area.top), (x, plot.area.bottom), "waypoint")
        name = canvas.text_box((x - 0.3 * size, plot.area.top + 1.1 * size), one.name, anchor="end", bold=True)
        if name.left > reached + 0.3 * size:
            canvas.text((x - 0.3 * size, plot.area.top + 1.1 * size), one.name, "name", anchor="end", bold=True)
            reached = name.right
        at = ((before + x) / 2, plot.area.bottom - 0.5 * size)
        words = canvas.text_box(at, one.before, anchor="middle")
        if one.before and words.left > before + 0.2 * size and words.right < x - 0.2 * size:
            canvas.text(at, one.before, "tick", anchor="middle")
        before = x


def _shown(value: float, unit: str) -> float:
    return value if unit in ("", "deg", "degT", "degM") else in_unit(value, unit)


def _placed(points: Sequence[tuple[float, float]], chart: ChartData, plot: Plot) -> list[tuple[float, float]]:
    return [(plot.x(_shown(x, chart.x_unit)), plot.y(_shown(y, chart.y_unit))) for x, y in points]


def _axes(canvas: Canvas, chart: ChartData, xs: tuple[float, float], ys: tuple[float, float], *, dense: bool) -> Plot:
    """Draw frame, grid, tick values and axis titles, and return the plot inside them."""
    frame = canvas.frame
    size = frame.type_size
    across, up = (12, 10) if dense else (8, 6)
    ys = (ys[0], ys[1] + HEADROOM_RATIO * (ys[1] - ys[0]))
    x_ticks = round_ticks(*_opened(*xs), min(across, int(frame.width / (6 * size))))
    y_ticks = round_ticks(*_opened(*ys), min(up, int(frame.height / (2.4 * size))))
    widest = max(len(tick_text(value)) for value in y_ticks) * 0.65 * size
    area = Box(widest + 2.4 * size, 0.9 * size, frame.width - 1.6 * size, frame.height - 3.1 * size)
    x = Scale(x_ticks[0], x_ticks[-1], area.left, area.right)
    y = Scale(y_ticks[0], y_ticks[-1], area.bottom, area.top)
    for value in x_ticks:
        canvas.line((x(value), area.top), (x(value), area.bottom), "grid")
        canvas.text((x(value), area.bottom + 1.45 * size), tick_text(value), "tick", anchor="middle")
    for value in y_ticks:
        canvas.line((area.left, y(value)), (area.right, y(value)), "grid")
        canvas.text((area.left - 0.4 * size, y(value) + 0.35 * size), tick_text(value), "tick", anchor="end")
    canvas.rect(area, "frame")
    canvas.text(
        ((area.left + area.right) / 2, frame.height - 0.5 * size), _axis_title(chart.x_label, chart.x_unit), "axis",
        anchor="middle",
    )  # fmt: skip
    canvas.turned_text((1.1 * size, (area.top + area.bottom) / 2), _axis_title(chart.y_label, chart.y_unit), "axis")
    return Plot(area, x, y)


def _axis_title(label: str, unit: str) -> str:
    return f"{label}, {unit_mark(unit)}" if unit else label


def _opened(low: float, high: float) -> tuple[float, float]:
    """Return a range that is never empty."""
    if high > low:
        return low, high
    return low - max(1.0, abs(low) * 0.1), high + max(1.0, abs(high) * 0.1)


def _mark_points(canvas: Canvas, chart: ChartData, figures: Figures | None, plot: Plot) -> None:
    placed = []
    for point in chart.points:
        at = (plot.x(_shown(point.x, chart.x_unit)), plot.y(_shown(point.y, chart.y_unit)))
        canvas.dot(at, 0.32 * canvas.frame.type_size, "point")
        placed.append((point, at))
    for point, at in placed:
        canvas.place(at, _point_text(point, figures))


def _point_text(point: ChartPoint, figures: Figures | None) -> str:
    if figures is None:
        return point.label
    label = figures.text(point.label)
    return f"{label} {figures.quoted(point.key)}" if point.key else label


def _name_series(canvas: Canvas, chart: ChartData, plot: Plot) -> None:
    """Write each curve's and area's name on the drawing itself, where there is room along it."""
    for turn, series in enumerate((*chart.curves, *chart.areas)):
        points = _placed(series.points, chart, plot)
        spread = _spread(len(points))
        spread = spread[turn % len(spread) :] + spread[: turn % len(spread)]  # outlines that share an edge part here
        if series.name.startswith(CLOUD) and _named_inside(canvas, points, series.label):
            continue
        tries = [(reach, index) for reach in NAME_REACHES for index in spread]
        for reach, index in tries:
            gap = 3.0 + reach * canvas.frame.type_size
            if canvas.place(points[index], series.label, "name", gap=gap, bold=True, reaches=(0.0,)):
                break


def _named_inside(canvas: Canvas, points: Sequence[tuple[float, float]], label: str) -> bool:
    """Write a name in the middle of a shape, if it is wide enough and nothing stands there."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2 + 0.35 * canvas.frame.type_size)
    box = canvas.text_box(middle, label, anchor="middle", bold=True)
    if box.left < min(xs) or box.right > max(xs) or not canvas.is_free(box):
        return False
    canvas.text(middle, label, "name", anchor="middle", bold=True)
    return True


def _spread(count: int) -> list[int]:
    """Return indices to try for a name: the middle, the quarters, then the ends."""
    parts = (0.5, 0.75, 0.25, 0.9, 0.1, 0.62, 0.38, 1.0, 0.0)
    return list(dict.fromkeys(min(count - 1, int(part * (count - 1))) for part in parts)) if count else []


def _description(chart: ChartData, figures: Figures | None) -> str:
    parts = [f"{_axis_title(chart.y_label, chart.y_unit)} against {_axis_title(chart.x_label, chart.x_unit)}."]
    if names := [series.label for series in (*chart.curves, *chart.areas)]:
        parts.append("Shown: " + "; ".join(names) + ".")
    if points := [_point_text(point, figures) for point in chart.points]:
        parts.append("Marked: " + "; ".join(points) + ".")
    return " ".join(parts)


# --- charts drawn through the flight itself ---------------------------------------------------------------------------


def airborne_nodes(plan: Plan) -> list[Node]:
    """Return the nodes of the flight in order, each instant once."""
    nodes: list[Node] = []
    for phase in plan.phases:
        for node in phase.nodes:
            if not nodes or node != nodes[-1]:
                nodes.append(node)
    return nodes


def waypoints(plan: Plan, figures: Figures) -> list[Upright]:
    """Return the places of the route along the distance flown, each with the wind of the stretch before it."""
    ends: dict[int, tuple[float, str]] = {}
    for phase in plan.phases:
        if phase.item is None or phase.distance_m <= 0.0:
            continue
        wind = ends[phase.item][1] if phase.item in ends else ""
        if phase.kind == "cruise":
            keys = [
                PhaseFigures.wind_direction.under(f"phase.{phase.ident}").key,
                PhaseFigures.wind_speed.under(f"phase.{phase.ident}").key,
            ]
            wind = "/".join(figures[key] for key in keys if key in figures)
        ends[phase.item] = (phase.end.distance_m, f"wind {wind}" if wind and not wind.startswith("wind") else wind)
    found = []
    for item, (at, wind) in sorted(ends.items(), key=lambda pair: pair[1][0]):
        one = plan.mission.route.items[item]
        place = one.to if isinstance(one, Leg) else one.at
        found.append(Upright(figures.text(place.name), at, wind))
    return found


def profile(plan: Plan, figures: Figures, frame: Frame) -> Drawing | None:
    """Draw altitude against distance with the safe altitude and what the weather gives."""
    flown = Series(FLOWN, "planned altitude", "NM", "ft", _track(plan, lambda node: node.altitude_m))
    return _with_flight(
        plan, figures, frame, "profile", "Vertical profile", "Altitude", "ft", flown, dense=False, top=TOP_RATIO
    )


def fuel(plan: Plan, figures: Figures, frame: Frame) -> Drawing | None:
    """Draw fuel on board against distance with the lines of fuel required, on a grid fit to plot on."""
    if "way_home" in plan.charts:
        return xy_chart(plan.charts["way_home"], figures, frame, dense=True, uprights=waypoints(plan, figures))
    flown = Series(FLOWN, "planned fuel", "NM", "lb", _track(plan, lambda node: node.fuel_kg))
    return _with_flight(plan, figures, frame, "fuel", "Fuel against distance", "Fuel on board", "lb", flown, dense=True)


def _track(plan: Plan, value: Callable[[Node], float]) -> tuple[tuple[float, float], ...]:
    return tuple((node.distance_m, value(node)) for node in airborne_nodes(plan))


def _with_flight(
    plan: Plan, figures: Figures, frame: Frame, name: Literal["profile", "fuel"], title: str, y_label: str, y_unit: str, flown: Series, *,
    dense: bool, top: float = math.inf,
) -> Drawing | None:  # fmt: skip
    """Draw the flight with the curves of a chart; one that lies over ``top`` times the highest flown is left out."""
    kept = plan.charts.get("profile") if name == "profile" else None
    chart = kept or ChartData(name, title, "Distance from take-off", "NM", y_label, y_unit)
    highest = top * max((y for _, y in flown.points), default=0.0)
    low = tuple(one for one in chart.curves if min((y for _, y in one.points), default=0.0) <= highest)
    chart = replace(chart, curves=low)
    if len(flown.points) >= 2 and not any(series.name == FLOWN for series in chart.curves):
        curves = (flown, *chart.curves)
        chart = ChartData(
            chart.name, chart.title, chart.x_label, chart.x_unit, chart.y_label, chart.y_unit, curves, chart.areas,
            chart.points,
        )  # fmt: skip
    return xy_chart(chart, figures, frame, dense=dense, uprights=waypoints(plan, figures))


def to_scale(name: ChartName) -> DrawChart:
    """Return the way to draw a side view in lengths both ways, with how many times its heights are drawn too large."""

    def draw(plan: Plan, figures: Figures, frame: Frame) -> Drawing | None:
        chart = plan.charts.get(name)
        if chart is None or chart.x_unit != chart.y_unit:
            return None
        return xy_chart(chart, figures, frame, side_view=True)

    return draw


def generic(name: ChartName) -> DrawChart:
    """Return the way to draw one of the plan's own charts."""

    def draw(plan: Plan, figures: Figures, frame: Frame) -> Drawing | None:
        chart = plan.charts.get(name)
        return xy_chart(chart, figures, frame) if chart else None

    return draw
