"""An entry becomes printed text in one place; what is printed adds up."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from briefgen.document.parts.format import Figures, FootError, printed
from briefgen.errors import RenderError
from briefgen.model.ledger import Entry, Foot, Ledger, Value
from briefgen.model.plan import Plan
from tests.shared.invented_plan import invented_mission, invented_plan

# 1 NM is 1,852 m by definition; 1 lb is 0.45359237 kg by definition; 1 inHg at 0 degC is 3,386.389 Pa (NIST SP 811).
MILE_M, POUND_KG = 1852.0, 0.45359237
MIDNIGHT = datetime(2027, 2, 18, tzinfo=UTC)


def plan_of(*entries: Entry, feet: tuple[Foot, ...] = ()) -> Plan:
    ledger = Ledger({entry.key: entry for entry in entries}, feet)
    return Plan(invented_mission(), ledger, {}, (), (), (), {})


def entry(key: str, value: Value, unit: str, decimals: int = 0) -> Entry:
    return Entry(key, key, value, unit, decimals, "given")


@pytest.mark.parametrize(
    ("value", "unit", "decimals", "expected"),
    [
        (12500 * 0.3048, "ft", 0, "12,500"),
        (-40 * 0.3048, "ft", 0, "\u221240"),
        (0.5 * MILE_M, "NM", 0, "1"),
        (2.45 * MILE_M, "NM", 1, "2.5"),
        (-0.04 * MILE_M, "NM", 1, "0.0"),
        (29.92 * 3386.389, "inHg", 2, "29.92"),
        (288.15, "degC", 0, "15"),
        (7500.0, "h:min", 0, "2:05"),
        (29.0, "h:min", 0, "0:00"),
        (0.2514, "% MAC", 1, "25.1"),
        (44.6, "degT", 0, "045"),
        (359.7, "degM", 0, "360"),
        (0.0, "degT", 0, "360"),
        (-15.55, "latitude", 0, "15°33.0\u2032S"),
        (167.2, "longitude", 0, "167°12.0\u2032E"),
        ("lean", "", 0, "lean"),
    ],
)
def test_a_value_is_printed_in_its_unit(value: Value, unit: str, decimals: int, expected: str) -> None:
    """Rounding is to the nearest, halves away from zero; a minus is a minus; north is 360."""
    assert expected == printed(plan_of(entry("a.b", value, unit, decimals)))["a.b"]


def test_a_time_after_midnight_says_so() -> None:
    """Days are counted from the first day of the mission, in UTC and in its own zone."""
    plan = plan_of(
        entry("clock.briefing", MIDNIGHT - timedelta(hours=2), "UTC"),
        entry("time.landing", MIDNIGHT + timedelta(minutes=20), "UTC"),
        entry("time.landing_local", MIDNIGHT + timedelta(minutes=20), "local"),
    )

    figures = printed(plan)

    assert figures["clock.briefing"] == "22:00"
    assert figures["time.landing"] == "00:20\u00a0+1"
    assert figures["time.landing_local"] == "11:20"  # Vanuatu keeps UTC+11 and no summer time (IANA tz, Pacific/Efate)


def test_a_printed_sum_is_the_sum_of_what_is_printed() -> None:
    """Three figures of 1.4 print as 1 each; their total of 4.2 then prints as 3, not 4."""
    parts = tuple(f"leg.{i}.burn" for i in range(3))
    entries = [entry(key, 1.4 * POUND_KG, "lb") for key in parts]
    plan = plan_of(*entries, entry("total", 4.2 * POUND_KG, "lb"), feet=(Foot("total", parts),))

    assert printed(plan)["total"] == "3"


def test_a_difference_of_times_may_stand_above_a_sum() -> None:
    """Minutes, hours and times of day are one kind: a time over a place is the time before and the leg's minutes."""
    start = MIDNIGHT + timedelta(seconds=31)
    plan = plan_of(
        entry("time.a", start, "UTC"),
        entry("leg.time", 89.0, "min"),
        entry("time.b", start + timedelta(seconds=89), "UTC"),
        feet=(Foot("time.b", ("time.a", "leg.time")),),
    )

    figures = printed(plan)

    assert (figures["time.a"], figures["leg.time"], figures["time.b"]) == ("00:01", "1", "00:02")


def test_a_promise_the_values_do_not_keep_is_a_fault_of_the_program() -> None:
    """A sum that is wrong by more than rounding can explain is never printed."""
    plan = plan_of(
        entry("a.b", 5 * POUND_KG, "lb"), entry("total", 9 * POUND_KG, "lb"), feet=(Foot("total", ("a.b",)),)
    )

    with pytest.raises(FootError, match="total is 9 in its last digit but its printed parts give 5"):
        printed(plan)


def test_a_promise_between_different_units_is_refused() -> None:
    """Gallons do not add up to pounds."""
    plan = plan_of(entry("a.b", 1.0, "US gal"), entry("total", 1.0, "lb"), feet=(Foot("total", ("a.b",)),))

    with pytest.raises(FootError, match="different units"):
        printed(plan)


def test_a_text_quotes_an_entry_with_its_unit() -> None:
    """A key in braces becomes the printed figure; other braces stay."""
    figures = Figures(plan_of(entry("fuel.ramp", 11400 * POUND_KG, "lb"), entry("leg.track", 7.2, "degT")))

    assert figures.text("{fuel.ramp} on {leg.track} {as is}") == "11,400\u00a0lb on 007°T {as is}"


def test_a_text_that_quotes_what_is_not_there_is_refused() -> None:
    """A misspelt key would print braces on a card; the message names the nearest."""
    figures = Figures(plan_of(entry("fuel.ramp", 1.0, "lb")))

    with pytest.raises(RenderError) as caught:
        figures.text("{fuel.rampp} on board")

    assert caught.value.text() == (
        "the text '{fuel.rampp} on board' quotes 'fuel.rampp', which the plan does not have\n"
        "  expected: the key of an entry of the plan\n"
        "  hint: nearest: fuel.ramp"
    )


def test_the_printed_legs_add_up_to_the_printed_route() -> None:
    """Distance, time and fuel of the invented legs, as printed, sum to the printed totals."""
    plan = invented_plan()
    figures = printed(plan)
    for name, total in (("distance", "route.distance"), ("fuel_burn", "fuel.required.trip")):
        legs = [int(figures[f"leg.{to}.{name}"].replace(",", "")) for to in ("marlin", "saddle", "tern", "lx01")]

        assert int(figures[total].replace(",", "")) == sum(legs)
