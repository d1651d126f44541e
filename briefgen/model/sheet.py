"""What an aircraft file gives, as tables to print: numbers in SI, each column naming the unit it is shown in."""

from __future__ import annotations

from briefgen.frozen import dataclass
from briefgen.model.plan import ChartData


@dataclass(frozen=True)
class SheetColumn:
    """One column; an empty unit is a word or a number without dimension, `of_fuel` a mass shown as a volume of fuel."""

    label: str
    unit: str
    digits: int = 0
    of_fuel: bool = False


@dataclass(frozen=True)
class SheetTable:
    """One table; a cell of None has no answer."""

    title: str
    note: str
    columns: tuple[SheetColumn, ...]
    rows: tuple[tuple[float | str | None, ...], ...]


@dataclass(frozen=True)
class AircraftSheet:
    """All tables of one aircraft on one fuel grade."""

    aircraft: str
    kind: str
    fuel_grade: str
    fuel_density_kg_per_m3: float
    source: str
    tables: tuple[SheetTable, ...]
    charts: tuple[ChartData, ...] = ()
