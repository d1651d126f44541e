"""The runway of the take-off as a drawing on a card: where she decides, leaves the ground, stops, and what stands beyond."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.document.parts.assemble import Source
from briefgen.document.parts.format import unit_mark
from briefgen.document.parts.measure import width_em
from briefgen.document.parts.svg import Box, Canvas, Drawing, Frame, Scale
from briefgen.model.plan import ChartData, ChartPoint
from briefgen.planning.sections.fields.take_off_rows import DistanceFigures

TYPE = 10.0
TIER = 13.0  # from one line of labels under the runway to the next
TIERS = 4
APART = 8.0  # of two labels of one line
LARGER = 1.5  # from here on heights are said to be drawn larger than lengths
SURFACE = 6.0  # thickness of the runway
CEILING = 16.0  # over the highest curve, for the line that states the exaggeration
NAMES = (
    "engine-failure speed",
    "unstick",
    "50 ft",
    "stopped, an engine failing",
    "50 ft, an engine failing",
    "end of the runway",
)
SHORT = {
    "engine-failure speed": "decide", "stopped, an engine failing": "stopped", "50 ft, an engine failing": "50 ft, one failed",
    "end of the runway": "end",
}  # fmt: skip
LIMITED = ("50 ft", "stopped, an engine failing", "50 ft, an engine failing")  # what is told with the length in hand
STYLES = {"all engines": "plot p3", "engine failed": "plot"}


def run_drawing(source: Source, width: float, height: float) -> Drawing | None:
    """Draw the runway along its length, with heights larger than lengths by what is stated; None where nothing was worked out."""
    chart = source.plan.charts.get("runway")
    if chart is None or len(chart.points) < 2:
        return None
    canvas = Canvas(Frame(width, height, TYPE, "run"))
    far = max(x for one in (*chart.curves, *chart.areas) for x, _ in one.points)
    top = max(y for one in (*chart.curves, *chart.areas) for _, y in one.points)
    low = min(0.0, *(y for one in chart.curves for _, y in one.points))
    floor = height - TIERS * TIER - SURFACE - 4.0
    x, y = Scale(0.0, far, 2.0, width - 6.0), Scale(low, max(top, low + 1.0), floor, CEILING)
    _runway(canvas, chart, x, y)
    for curve in chart.curves:
        if curve.name in STYLES:
            canvas.path([(x(a), y(b)) for a, b in curve.points], STYLES[curve.name])
    for area in chart.areas:
        canvas.path([(x(a), y(b)) for a, b in area.points], "obstacle", closed=True)
    words = [_labels(canvas, source, chart, x, floor + SURFACE)]
    times = ((floor - CEILING) / (y.high - y.low)) / ((x.end - x.start) / far)
    scale = f"heights drawn {times:.0f} times too large" if times >= LARGER else "heights to scale"
    stated = f"{unit_mark(chart.x_unit)} from brakes off; {scale}"
    canvas.text((2.0, 9.0), stated, "tick")
    lines = "; full line: one engine failed" if any(one.name == "engine failed" for one in chart.curves) else ""
    canvas.text((2.0 + width_em(stated) * TYPE, 9.0), lines, "tick")
    return canvas.finish("The run along the runway", f"{'; '.join(words)}. {stated[:1].upper()}{stated[1:]}{lines}.")


def _runway(canvas: Canvas, chart: ChartData, x: Scale, y: Scale) -> None:
    surface = next(one for one in chart.curves if one.name == "runway")
    upper = [(x(a), y(b)) for a, b in surface.points]
    canvas.path([*upper, *((at, down + SURFACE) for at, down in reversed(upper))], "surface", closed=True)


def _labels(canvas: Canvas, source: Source, chart: ChartData, x: Scale, below: float) -> str:
    """Mark what happens along the runway, each with its distance and what is in hand under it, and return the same in words."""
    marks = _marks(source, chart)
    places: list[float] = []
    ends = [canvas.frame.width] * TIERS  # how far to the right a label of each line may reach
    for index, (at_m, words) in reversed([*enumerate(marks)]):
        wide = width_em(words) * TYPE
        left = max(0.0, min(x(at_m) - wide / 2, ends[index % TIERS] - wide))
        ends[index % TIERS] = left - APART
        places.insert(0, left)
    for index, (at_m, _) in enumerate(marks):
        canvas.line((x(at_m), below - SURFACE), (x(at_m), below + 3.0 + index % TIERS * TIER), "tickmark")
    for index, (left, (_, words)) in enumerate(zip(places, marks, strict=True)):
        base = below + 12.0 + index % TIERS * TIER
        canvas.rect(Box(left - 1.0, base - 9.0, left + width_em(words) * TYPE + 1.0, base + 2.0), "clear")
        canvas.text((left, base), words, "name")
    return ", ".join(words for _, words in marks)


def _marks(source: Source, chart: ChartData) -> list[tuple[float, str]]:
    """Return the marks along the runway in order: how far [m], and the words; what happens at one place has one mark."""
    found: dict[str, list[ChartPoint]] = {}
    for point in sorted(chart.points, key=lambda one: (one.x, NAMES.index(one.label))):
        found.setdefault(source.printed[point.key], []).append(point)
    return [(points[0].x, f"{figure} {_words(source, points)}") for figure, points in found.items()]


def _words(source: Source, points: Sequence[ChartPoint]) -> str:
    """Return what happens at a distance, and what the rules ask and leave of the runway where they ask anything."""
    names = ", ".join(SHORT.get(one.label, one.label) for one in points)
    at = points[-1].key.rpartition(".")[0]
    needs, margin = (f"{at}.{figure.name}" for figure in (DistanceFigures.factored, DistanceFigures.margin))
    if points[-1].label not in LIMITED or margin not in source.printed:
        return names
    other = needs in source.printed and source.printed[needs] != source.printed[points[-1].key]
    asked = f"needs {source.printed[needs]}, " if other else ""
    return f"{names}: {asked}{source.printed[margin]} in hand"
