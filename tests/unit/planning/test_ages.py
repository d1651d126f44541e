"""How old the weather is when it is used, how far outside its points, and what the plan rests on that nobody has proved."""

from __future__ import annotations

from datetime import datetime

import pytest

from briefgen.planning.review.rests import FROM_MEMORY
from briefgen.weather.points import PointSet
from tests.shared.demo_missions import plan_of

NMI_M = 1852.0


@pytest.mark.parametrize("name", ["mudlark", "plumb-line"])
def test_an_age_is_the_use_less_the_issue(name: str) -> None:
    """Every row of the table; the newest report before the use is the one that is used."""
    plan = plan_of(name)
    rows = plan.tables["weather.ages"].rows

    assert len(rows) >= 4
    for row in rows:
        issued, used, age = (plan.ledger[row.cells[column]].value for column in ("issued", "used", "age"))
        assert isinstance(issued, datetime)
        assert isinstance(used, datetime)
        assert age == (used - issued).total_seconds() > 0.0


def test_rules_known_from_memory_are_named() -> None:
    """All of them and no other, by their titles."""
    plan = plan_of("mudlark")
    titles = [rule.title for rule in plan.mission.rules.rules if rule.provenance == FROM_MEMORY]

    assert titles
    assert plan.ledger["rests.rules.sure"].value == (
        f"{len(titles)} known from memory, not seen in their source: {'; '.join(titles)}"
    )


def test_a_flight_beyond_the_points_of_its_weather_says_how_far() -> None:
    """Plumb Line surveys inland of the two points of its weather, Mudlark stays between its own."""
    far = plan_of("plumb-line").ledger["weather.area.outside"].value

    assert isinstance(far, float)
    assert 0.0 < far <= 120.0 * NMI_M
    assert "weather.area.outside" not in plan_of("mudlark").ledger
    assert "{weather.area.outside}" in str(plan_of("plumb-line").ledger["rests.area.sure"].value)


def test_outside_is_counted_from_the_nearest_edge() -> None:
    """A degree of latitude north of an edge along the equator is 60 nautical miles of the sphere, to a thousandth; inside is nought."""
    points = PointSet((("A", 0.0, 0.0), ("B", 0.0, 10.0), ("C", -10.0, 5.0)), reach_m=1e6)

    assert points.outside_m(1.0, 5.0) == pytest.approx(60.0 * NMI_M, rel=1e-3)
    assert points.outside_m(-3.0, 5.0) == 0.0
