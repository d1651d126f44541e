"""Where the flight comes near the end of a chart or of the forecast levels: what is said of it is what was flown."""

from __future__ import annotations

import csv

import pytest

from briefgen.model.plan import PhaseKind, Plan
from briefgen.planning.assemble import plan_mission
from briefgen.planning.review.edges import ALTITUDE, MASS, Flown, Lines
from briefgen.spec import read_mission
from tests.shared.demo_missions import edited, plan_of

FT_M = 0.3048


def _ends(lines: Lines, *values: float) -> list[tuple[float, float]]:
    return [(one.value, end) for one, end in lines.near_end(Flown(value, None) for value in values)]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("axis", "flown", "expected"),
    [
        (MASS, (12.0, 18.0, 20.0), []),  # on the last line but one there is still one beyond
        (MASS, (9.9, 15.0), [(9.9, 0.0)]),
        (MASS, (15.0, 20.1, 26.0), [(26.0, 30.0)]),
        (MASS, (-5.0, 35.0), [(-5.0, 0.0), (35.0, 30.0)]),  # beyond both, where a file says to hold the end value
        (ALTITUDE, (5.0, 15.0), []),  # below the lowest line is the ground
        (ALTITUDE, (5.0, 29.0), [(29.0, 30.0)]),
        (MASS, (), []),
    ],
)
def test_only_the_last_interval_is_near_the_end(
    axis: str, flown: tuple[float, ...], expected: list[tuple[float, float]]
) -> None:
    """By hand, on lines at 0, 10, 20 and 30; the value nearest to each end stands for the rest."""
    assert _ends(Lines("chart", axis, (0.0, 10.0, 20.0, 30.0), ""), *flown) == expected


def test_an_axis_of_two_lines_has_no_last_interval() -> None:
    """Its only interval is the first and the last; to call each flight near its end would say nothing."""
    assert _ends(Lines("chart", MASS, (0.0, 10.0), ""), 9.0) == []


def test_a_day_inside_its_charts_names_none_of_them() -> None:
    """Plumb Line flies by charts; the one end it comes near is that of its winds, between 12,000 and 18,000 ft."""
    plan = plan_of("plumb-line")

    assert [row.name for row in plan.tables["review.edges"].rows] == ["winds-aloft-pressure-altitude-to"]
    _agrees(plan, "edge.winds-aloft-pressure-altitude-to", 18_000 * FT_M, _flown(plan, None))


@pytest.fixture(scope="module")
def cut_short(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Plumb Line, 13,500 ft, by charts of climb and cruise whose last line is 14,000 ft, and the one before 12,000."""
    spec = edited(tmp_path_factory.mktemp("edges"), "plumb-line")
    for chart in ("cruise", "rate-of-climb"):
        file = spec.parent / "aircraft/s2-survey" / f"{chart}.csv"
        note, heads, *rows = file.read_text().splitlines()
        column = heads.split(",").index("pressure_altitude_ft")
        kept = [row for row in rows if float(next(csv.reader([row]))[column]) <= 14_000]
        file.write_text("\n".join((note, heads, *kept)))
    return plan_mission(read_mission(spec))


def test_a_chart_cut_short_is_named_with_the_phase(cut_short: Plan) -> None:
    """Each chart read between 12,000 ft and its last line, with the greatest pressure altitude flown there, and where."""
    pairs: tuple[tuple[str, PhaseKind], ...] = (("cruise", "cruise"), ("rate-of-climb", "climb"))
    for chart, kind in pairs:
        key = f"edge.chart-{chart}-pressure-altitude-to"
        _agrees(cut_short, key, 14_000 * FT_M, _flown(cut_short, kind))
        where = str(cut_short.ledger[f"{key}.where"].value)
        assert [phase.kind for phase in cut_short.phases if phase.title == where] == [kind]
    assert not [row.name for row in cut_short.tables["review.edges"].rows if "mass" in row.name]


def _flown(plan: Plan, kind: PhaseKind | None) -> float:
    return max(node.pressure_altitude_m for phase in plan.phases if kind in (None, phase.kind) for node in phase.nodes)


def _agrees(plan: Plan, key: str, end: float, flown: float) -> None:
    read, ends, left = (plan.ledger[f"{key}.{name}"].value for name in ("read_at", "ends_at", "left"))
    assert ends == pytest.approx(end, rel=1e-9)
    assert read == flown
    assert left == pytest.approx(end - flown, abs=1e-6)
