"""How a chart is printed from answers: every place of its axes is asked, a refusal leaves the cell empty."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import product

from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.curves import Chart, ChartAxis
from briefgen.model.performance import Air

_SOURCE = "the physical model of the same aeroplane"

Cell = float | str | None


@dataclass(frozen=True)
class ChartLines:
    """The lines of the charts to print, in SI."""

    mass_kg: tuple[float, ...]
    pressure_altitude_m: tuple[float, ...]
    isa_deviation_k: tuple[float, ...]
    ias_m_per_s: tuple[float, ...]


def standard_air(height_m: float, deviation_k: float) -> Air:
    """Return the air at a pressure altitude so much warmer than the standard."""
    return Air(height_m, standard_temperature(height_m) + deviation_k)


def chart_of(
    name: str,
    conditions: str,
    axes: tuple[ChartAxis, ...],
    columns: tuple[str, ...],
    cells: Callable[..., tuple[Cell, ...]],
) -> Chart:
    """Return a chart, each cell asked of the model; a refusal leaves it empty."""
    rows = [_answer(cells, place, len(columns)) for place in product(*(axis.values for axis in axes))]
    by_column: Iterable[tuple[Cell, ...]] = zip(*rows, strict=True)
    return Chart(name, _SOURCE, conditions, axes, dict(zip(columns, by_column, strict=True)))


def _answer(cells: Callable[..., tuple[Cell, ...]], place: tuple[object, ...], width: int) -> tuple[Cell, ...]:
    try:
        return cells(*place)
    except BriefgenError:
        return (None,) * width
