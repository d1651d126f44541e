"""A figure of the plan over a range of one or two written values."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from briefgen.bench.vary import planned
from briefgen.document import printed
from briefgen.document.drawings.charts import xy_chart
from briefgen.document.parts.format import with_unit
from briefgen.document.parts.svg import Frame
from briefgen.document.parts.templates import chart_style_for_paper
from briefgen.errors import BriefgenError, UsageError
from briefgen.model.bench import Change
from briefgen.model.plan import ChartData, Plan, Series

MARGIN = "fuel.margin"
MOST_PLANS = 200  # a plan costs half a second to two
WIDTH, HEIGHT, TYPE_SIZE = 960.0, 460.0, 15.0
EXPECTED = 'PATH=from:to:step with one unit, such as "weather.more head wind=0 kt:40 kt:10 kt"'
_VALUE = re.compile(r"([-+\u2212]?\d[\d,]*(?:\.\d+)?)(?: (\S.*))?")


@dataclass(frozen=True)
class Range:
    """The values a written value goes through."""

    path: str
    values: tuple[float, ...]
    unit: str  # all that is written after the number, such as "mph indicated"

    def text(self, value: float) -> str:
        """Return a value as it would stand in the file."""
        return f"{_plain(value)} {self.unit}".strip()


@dataclass(frozen=True)
class Point:
    """What the plan came to at one value, or at one of each range."""

    values: tuple[str, ...]
    x: float
    figure_si: float | None  # None where the mission so changed cannot be planned
    figure: str
    failed: tuple[str, ...]
    refused: str = ""


@dataclass(frozen=True)
class Sweep:
    """A figure over one range, once for each value of a second one."""

    mission: str
    key: str
    label: str
    unit: str
    ranges: tuple[Range, ...]
    points: tuple[Point, ...]


def read_range(text: str) -> Range:
    """Return the range a text such as "weather.more head wind=0 kt:40 kt:10 kt" gives; one unit, that of the last part, holds for all."""
    path, _, span = text.partition("=")
    parts = [_VALUE.fullmatch(part.strip()) for part in span.split(":")]
    if len(parts) != 3 or not all(parts) or not path.strip():
        raise UsageError(f"'{text}' is no range", where="--sweep", expected=EXPECTED)
    matches = [part for part in parts if part is not None]
    units = {match[2] for match in matches if match[2]}
    first, last, step = (float(match[1].replace(",", "").replace("\u2212", "-")) for match in matches)
    if len(units) > 1 or step == 0.0 or (last - first) / step < 0.0:
        raise UsageError(f"'{text}' is no range", where="--sweep", expected=f"{EXPECTED}, and a step that leads from the first to the last")  # fmt: skip
    count = int((last - first) / step + 1e-9) + 1
    if count > MOST_PLANS:
        raise UsageError(f"'{text}' has {count:,} values", where="--sweep", expected=f"at most {MOST_PLANS}")
    return Range(path.strip(), tuple(first + step * index for index in range(count)), next(iter(units), ""))


def _plain(value: float) -> str:
    return f"{round(value, 6):,.6f}".rstrip("0").rstrip(".")


def swept(path: Path, plan: Plan, ranges: Sequence[Range], key: str = MARGIN) -> Sweep:
    """Return a figure of a planned mission over one or two ranges.

    Raises:
        UsageError: The plan has no such figure or it is no number, a path leads nowhere, or too many plans are asked.
    """
    if key not in plan.ledger or not isinstance(plan.ledger[key].value, float | int):
        raise UsageError(
            f"'{key}' is no figure of this plan", where="--of", expected="a key such as fuel.margin or milestone.landing",
            hint=f"'briefgen explain {path} --list' lists them",
        )  # fmt: skip
    if len(ranges) > 2:
        raise UsageError("a sweep goes over one or two values", where="--sweep", expected="at most two ranges")
    across, *down = ranges
    outer: tuple[float | None, ...] = down[0].values if down else (None,)
    if len(across.values) * len(outer) > MOST_PLANS:
        raise UsageError(f"the sweep asks for {len(across.values) * len(outer):,} plans", where="--sweep", expected=f"at most {MOST_PLANS}")  # fmt: skip
    entry = plan.ledger[key]
    points = tuple(_point(path, ranges, (x,) if y is None else (x, y), key) for y in outer for x in across.values)
    return Sweep(plan.mission.name, key, entry.label, entry.unit, tuple(ranges), points)


def _point(path: Path, ranges: Sequence[Range], values: tuple[float, ...], key: str) -> Point:
    texts = tuple(one.text(value) for one, value in zip(ranges, values, strict=True))
    changes = [Change(one.path, text) for one, text in zip(ranges, texts, strict=True)]
    try:
        plan = planned(path, changes)
    except BriefgenError as error:
        if isinstance(error, UsageError):
            raise
        return Point(texts, values[0], None, "", (), error.text().split("\n")[0])
    failed = tuple(finding.title for finding in plan.findings if finding.outcome == "fail")
    if key not in plan.ledger:
        return Point(texts, values[0], None, "", failed, plan.ledger.absent.get(key, "the plan has no such figure"))
    entry = plan.ledger[key]
    assert isinstance(entry.value, float | int)
    return Point(texts, values[0], float(entry.value), with_unit(entry, printed(plan)[key]), failed)


def sweep_json(found: Sweep) -> str:
    """Return a sweep as data."""
    return json.dumps(asdict(found), indent=1, ensure_ascii=False) + "\n"


def sweep_text(found: Sweep) -> str:
    """Return a sweep as a table: the values, the figure, how many findings fail."""
    rows = [(*(one.path for one in found.ranges), found.label, "Findings that fail")]
    rows += [(*one.values, one.figure or "not planned", str(len(one.failed)) if one.figure else one.refused) for one in found.points]  # fmt: skip
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]) - 1)]
    lines = [
        "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[-1]]) for row in rows
    ]
    return "\n".join([f"{found.mission}: {found.label} ({found.key})", "", *lines]).replace("\u00a0", " ") + "\n"


def sweep_svg(found: Sweep) -> str:
    """Return a sweep as a drawing: the figure over the first value, a curve for each of the second.

    Raises:
        UsageError: Fewer than two points were planned.
    """
    count = len(found.ranges[0].values)
    curves = []
    for number in range(0, len(found.points), count):
        part = found.points[number : number + count]
        label = part[0].values[1] if len(found.ranges) > 1 else found.label
        points = tuple((one.x, one.figure_si) for one in part if one.figure_si is not None)
        curves.append(Series(f"curve-{number}", label, "", found.unit, points))
    first = found.ranges[0]
    x_label = f"{first.path}, {first.unit}" if first.unit else first.path
    chart = ChartData("sweep", f"{found.mission}: {found.label}", x_label, "", found.label, found.unit, tuple(curves))
    drawing = xy_chart(chart, None, Frame(WIDTH, HEIGHT, TYPE_SIZE, "sweep"))
    if drawing is None:
        raise UsageError("fewer than two points could be planned, so there is nothing to draw", where="--out")
    return drawing.markup.replace("</desc>", f"</desc><style>{chart_style_for_paper()}</style>", 1) + "\n"
