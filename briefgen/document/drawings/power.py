"""The power chart: manifold pressure against engine speed, the lines that must not be passed, and every setting of the day."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.document.drawings.charts import LEAST, xy_chart
from briefgen.document.parts.format import Figures
from briefgen.document.parts.svg import Drawing, Frame
from briefgen.model.plan import ChartData, ChartPoint, Plan, Series
from briefgen.planning.sections.briefing.gauges import LEAN as LEAN_LIMITS
from briefgen.planning.sections.briefing.gauges import RATINGS as RATED
from briefgen.planning.sections.briefing.settings import AT, POWER_SET
from briefgen.planning.sections.briefing.settings import PRESSURE as SET_PRESSURE
from briefgen.planning.sections.briefing.settings import RPM as SET_RPM

SETTINGS, LEAN, RATINGS = POWER_SET.name, LEAN_LIMITS.name, RATED.name  # tables of the plan
RPM, PRESSURE, BEGINS = SET_RPM.name, SET_PRESSURE.name, AT.name  # their columns


def power_chart(plan: Plan, figures: Figures, frame: Frame) -> Drawing | None:
    """Draw the settings of the plan on engine speed and manifold pressure; None where it has none in figures."""
    settings = [(x, y, key) for x, y, key in _pairs(plan, SETTINGS)]
    if not settings:
        return None
    first: dict[tuple[float, float], str] = {}
    for x, y, key in settings:
        first.setdefault((round(x, 3), round(y, 1)), key)
    points = [ChartPoint("", x, y, key) for (x, y), key in first.items()]
    lean = tuple(sorted((x, y) for x, y, _ in _pairs(plan, LEAN)))
    curves = [Series(LEAST[0], plan.tables[LEAN].title, "rpm", "inHg", lean)] if len(lean) > 1 else []
    rated = [
        Series(f"rating {i}", figures.text(name), "rpm", "inHg", _corner(x, y, settings))
        for i, (x, y, name) in enumerate(_rated(plan, figures))
    ]
    chart = ChartData(
        "power",
        "Power settings",
        "Engine speed",
        "rpm",
        "Manifold pressure",
        "inHg",
        tuple(curves),
        tuple(rated),
        tuple(points),
    )
    return xy_chart(chart, figures, frame)


def _pairs(plan: Plan, name: str) -> Iterator[tuple[float, float, str]]:
    """Yield engine speed, manifold pressure and the key of the time, or else of the speed, of the rows that have both."""
    found = plan.tables.get(name)
    for row in found.rows if found else ():
        keys = [row.cells.get(column, "") for column in (RPM, PRESSURE)]
        values = [plan.ledger[key].value if key else None for key in keys]
        if all(isinstance(value, float) for value in values):
            yield float(values[0]), float(values[1]), row.cells.get(BEGINS, keys[0])  # type: ignore[arg-type]


def _rated(plan: Plan, figures: Figures) -> Iterator[tuple[float, float, str]]:
    found = plan.tables.get(RATINGS)
    for row in found.rows if found else ():
        keys = [row.cells.get(column, "") for column in (RPM, PRESSURE)]
        values = [plan.ledger[key].value if key else None for key in keys]
        if all(isinstance(value, float) for value in values):
            name = row.cells.get("name", "")
            yield float(values[0]), float(values[1]), f"{figures[name] if name else 'rating'}: not above"  # type: ignore[arg-type]


def _corner(x: float, y: float, settings: list[tuple[float, float, str]]) -> tuple[tuple[float, float], ...]:
    """Return the box below and left of a rating, down to the least set."""
    low_x, low_y = min(one[0] for one in settings), min(one[1] for one in settings)
    return ((low_x, low_y), (low_x, y), (x, y), (x, low_y))
