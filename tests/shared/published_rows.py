"""Reading the tables of ``tests/published``: rows as printed, and what their printing allows."""

from __future__ import annotations

import csv
from pathlib import Path

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of a table, its comment lines left out."""
    lines = (PUBLISHED / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def half_digit(printed: str) -> float:
    """Return half a unit of the last digit of a number as printed."""
    return 0.5 * 10.0 ** -len(printed.partition(".")[2])
