"""Rolling and braking friction of the demo freighter's surfaces against the published ranges they are taken from.

Sources and provenance class stand in rolling_friction.csv: S rows were seen in a copy, M rows are from memory. Slush has no
published rolling figure here; its drag of the depth is worked out apart.
"""

from __future__ import annotations

import pytest

from briefgen.spec.read import read_aircraft
from tests.shared.demo_missions import SPECS
from tests.shared.published_rows import rows

ROLLING = [
    ("paved dry", "hard dry runway"),
    ("paved wet", "wet concrete or asphalt"),
    ("firm turf", "hard turf"),
    ("wet grass", "wet grass"),
    ("soft", "soft ground"),
    ("mud", "soft ground"),
    ("ice", "icy concrete or asphalt"),
]
BRAKING = [("paved dry", "dry runway, maximum braking"), ("paved wet", "wet pavement")]
WINTER = [
    ("compacted snow", "snow-covered"),
    ("dry snow", "snow-covered"),
    ("wet snow", "snow-covered"),
    ("ice", "ice"),
]


def published(surface: str) -> tuple[float, float]:
    """The lowest and highest figure of all rows of a surface."""
    found = [row for row in rows("rolling_friction") if row["surface"] == surface]
    assert found
    return min(float(row["mu_low"]) for row in found), max(float(row["mu_high"]) for row in found)


@pytest.mark.parametrize(("name", "surface"), ROLLING)
def test_rolling_friction_lies_in_the_published_range(name: str, surface: str) -> None:
    """Each surface of the aircraft file rolls within the figures of its source."""
    aircraft = read_aircraft(SPECS / "aircraft" / "t4-freighter.yaml", root=SPECS)
    assert aircraft.model is not None
    (found,) = (one for one in aircraft.model.field.surfaces if one.name == name)
    low, high = published(surface)

    assert low <= found.rolling <= high


@pytest.mark.parametrize(("name", "surface"), BRAKING)
def test_braking_friction_lies_in_the_published_range(name: str, surface: str) -> None:
    """Dry braking within the handbook's 0.35 to 0.5; wet within NASA TR R-20's wide range."""
    aircraft = read_aircraft(SPECS / "aircraft" / "t4-freighter.yaml", root=SPECS)
    assert aircraft.model is not None
    (found,) = (one for one in aircraft.model.field.surfaces if one.name == name)
    low, high = published(surface)

    assert low <= found.braking <= high


@pytest.mark.parametrize(("name", "surface"), WINTER)
def test_braking_in_winter_counts_on_less_than_was_measured(name: str, surface: str) -> None:
    """NASA TR R-20 measured the greatest a tyre can give on snow and ice; brakes of the day reached less, and ice varies."""
    aircraft = read_aircraft(SPECS / "aircraft" / "t4-freighter.yaml", root=SPECS)
    assert aircraft.model is not None
    (found,) = (one for one in aircraft.model.field.surfaces if one.name == name)
    low, _ = published(surface)

    assert 0.0 < found.braking <= 0.85 * low
