"""Balance through the flight: figures worked out by hand, the worst moment by name, and sums that agree as printed."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from briefgen.errors import PlanError
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.balance.section import write_balance
from tests.shared.loading_cases import (
    IN,
    LB,
    OFF_BLOCKS,
    RICE,
    SPARES,
    WATER,
    aircraft,
    entered,
    envelope,
    item,
    mission,
    phases,
    tank,
)


def written(task: Any, flown: Any = None) -> tuple[LedgerWriter, list[Any], dict[str, Any], list[Any]]:
    """The balance section of a mission."""
    writer = LedgerWriter({})
    log, weights, running, reserve = entered(task, flown or phases(task), writer)
    events, findings, charts = write_balance(task, log, weights, running, reserve, writer)
    return writer, findings, charts, events


BY_HAND = mission(WATER, RICE, SPARES)


def cg_in(writer: LedgerWriter, moment: str) -> float:
    """Centre of gravity in inches."""
    return writer.number(f"balance.{moment}.cg") / IN


def test_the_loading_sheet_adds_up_to_zero_fuel() -> None:
    """By hand: 40,000 x 268 + 200 x 100 + 200 x 200 + 300 x 400 + 1,500 x 425 + 1,500 x 375 + 400 x 275."""
    writer, *_ = written(BY_HAND)

    assert writer.number("mass.zero_fuel") / LB == pytest.approx(44_100)
    assert writer.number("balance.zero_fuel.moment") / (LB * IN) == pytest.approx(12_210_000)
    assert cg_in(writer, "zero_fuel") == pytest.approx(12_210_000 / 44_100)


def test_take_off_has_the_crew_in_their_seats_for_take_off_and_the_fuel_left_by_then() -> None:
    """Navigator 50 in further aft; 5,880 lb of fuel at 270 in: (12,210,000 + 10,000 + 1,587,600) / 49,980."""
    writer, *_ = written(BY_HAND)

    assert cg_in(writer, "take_off") == pytest.approx((12_210_000 + 200 * 50 + 5_880 * 270) / 49_980)
    assert writer.number("balance.take_off.cg_mac") == pytest.approx(
        ((12_210_000 + 200 * 50 + 5_880 * 270) / 49_980 - 226) / 176
    )


def test_load_standing_at_the_door_is_weighed_there() -> None:
    """Rice 50 in aft of its bay with water gone; 30 in left of the centre line, at the skin."""
    writer, *_ = written(BY_HAND)
    moment = 12_210_000 - 1_500 * 425 + 1_500 * 50 + 4_380 * 270

    assert cg_in(writer, "run.02.door") == pytest.approx(moment / 46_980)
    assert writer.number("balance.run.02.door.lateral") / IN == pytest.approx(-1_500 * 30 / 46_980)


def test_each_pass_moves_the_centre_as_the_load_leaves() -> None:
    """Before and after both passes, by hand."""
    writer, *_ = written(BY_HAND)

    assert cg_in(writer, "run.01.before") == pytest.approx((12_210_000 + 4_440 * 270) / 48_540)
    assert cg_in(writer, "run.01.after") == pytest.approx((12_210_000 - 637_500 + 4_440 * 270) / 47_040)
    assert cg_in(writer, "run.02.after") == pytest.approx((12_210_000 - 1_200_000 + 4_380 * 270) / 45_480)


def test_a_failure_to_drop_is_weighed_at_landing_with_the_load_aboard() -> None:
    """All of it, and each pass by itself."""
    writer, *_ = written(BY_HAND)

    assert writer.number("balance.hang_up.all.mass") / LB == pytest.approx(47_100)
    assert writer.number("balance.hang_up.01.mass") / LB == pytest.approx(45_600)
    assert cg_in(writer, "hang_up.all") == pytest.approx((12_210_000 + 10_000 + 3_000 * 270) / 47_100)


def test_the_most_adverse_moment_may_be_the_load_at_the_door() -> None:
    """With water dropped from bay 3, both sides of the drop are fine and the load at the door is not."""
    corners = ((255, 30_000), (255, 61_000), (275, 61_000), (275, 30_000))
    loads = (replace(WATER, bay="3"), replace(RICE, bay="3"), replace(SPARES, mass_kg=2_400 * LB, bay="3", width_m=1.5))
    task = mission(*loads, craft=aircraft(envelopes=(envelope("flight", *corners),)))
    writer, findings, *_ = written(task)
    states = {row.name: row for row in writer.tables["balance.states"].rows}

    assert next(name for name, row in states.items() if row.mark == "adverse") in {"run.01.door", "run.02.door"}
    assert next(f for f in findings if f.ident == "balance.envelope").measured_key.endswith(".door.cg")


def test_outside_the_envelope_is_a_fail_with_the_smallest_change() -> None:
    """Three boxes far aft; one moved is enough."""
    loads = [item(f"Box {n}", 1_000, "6") for n in range(3)]
    corners = ((250, 30_000), (250, 61_000), (275, 61_000), (275, 30_000))
    task = mission(*loads, craft=aircraft(envelopes=(envelope("flight", *corners),)))
    _, findings, *_ = written(task)
    found = next(finding for finding in findings if finding.ident == "balance.envelope")

    assert found.outcome == "fail"
    assert found.cure.startswith("move Box")


def test_too_heavy_for_the_envelope_names_the_mass() -> None:
    """The envelope ends below the ramp mass."""
    corners = ((250, 30_000), (250, 50_000), (290, 50_000), (290, 30_000))
    _, findings, *_ = written(mission(WATER, RICE, SPARES, craft=aircraft(envelopes=(envelope("flight", *corners),))))
    found = next(finding for finding in findings if finding.ident == "balance.envelope")

    assert found.outcome == "fail"
    assert "greatest mass" in found.text


def test_a_flight_planned_at_another_mass_is_refused() -> None:
    """Flight and loading are one computation."""
    flown = phases(mission(WATER, RICE))

    with pytest.raises(PlanError, match="one mass for flight and loading"):
        written(BY_HAND, flown)


def test_an_item_without_a_size_does_not_pass_the_floor() -> None:
    """Missing data is a fail that says what is missing."""
    task = mission(WATER, RICE, replace(SPARES, length_m=None))
    _, findings, *_ = written(task)
    found = next(finding for finding in findings if finding.ident == "load.size")

    assert found.outcome == "fail"
    assert found.cure == "give length, width and height of Spares"


def test_a_tank_used_up_is_a_line_on_the_timeline_and_a_moment_of_the_balance() -> None:
    """1,104 US gal: the bay tank gives 98, 588 lb, late in the climb by the fuel log."""
    task = mission(WATER, RICE, SPARES, gallons=1_104)
    writer, _, _, events = written(task)
    (event,) = events

    # 60 + 60 + 80 lb are burnt before the climb, which burns 400 in half an hour: 388 of them make 588.
    hours = (writer.instant(event.time_key) - OFF_BLOCKS).total_seconds() / 3600
    assert hours == pytest.approx(0.4 + 0.5 * 388 / 400)
    assert event.text.startswith("bay tank used up; go on with main left, main right")
    assert "balance.tank_change.01.cg" in writer


def test_a_transfer_that_fails_costs_its_fuel_at_landing() -> None:
    """98 usable US gal stuck are 588 lb less of what is left."""
    writer, findings, *_ = written(mission(WATER, RICE, SPARES, gallons=1_104))

    assert writer.number("fuel.failed_transfer.01.stuck") / LB == pytest.approx(588)
    usable_lb = 1_104 * 6 - 3_000 - 36  # 3,000 lb burnt to landing, 6 US gal unusable
    assert writer.number("fuel.failed_transfer.01.usable") / LB == pytest.approx(usable_lb - 588)
    assert next(f for f in findings if f.ident.startswith("fuel.failed_transfer")).outcome == "pass"


def test_unequal_mains_fail_the_imbalance_limit() -> None:
    """300 and 500 US gal differ by 1,200 lb, over 1,000."""
    gal = 231 * 0.0254**3
    task = mission(
        WATER, RICE, SPARES, gallons=800, kind="by tank", by_tank_m3={"main left": 300 * gal, "main right": 500 * gal}
    )
    writer, findings, *_ = written(task)
    found = next(finding for finding in findings if finding.ident == "fuel.imbalance")

    assert found.outcome == "fail"
    assert writer.number("fuel.imbalance.measured") / LB == pytest.approx(1_200)


def test_trim_is_read_from_the_table_and_not_beyond_it() -> None:
    """Linear from 6 at 10 % to -6 at 40 %; a table that ends at 20 % says so instead."""
    writer, *_ = written(BY_HAND)
    at = writer.number("balance.take_off.cg_mac")
    short = aircraft(trim=replace(BY_HAND.aircraft.balance.trim, x=(0.1, 0.2)))
    narrow, findings, *_ = written(mission(WATER, RICE, SPARES, craft=short))

    assert writer.number("balance.trim.take_off") == pytest.approx(6.0 - 40.0 * (at - 0.1))
    assert "balance.trim.take_off" not in narrow
    assert {f.ident for f in findings if f.outcome == "caution"} >= {"balance.trim.take_off", "balance.trim.landing"}


def test_a_supply_that_does_not_last_the_flight_is_a_caution() -> None:
    """Ten gallons at ten an hour against 4.1 hours."""
    craft = aircraft()
    craft.fluids = (replace(craft.fluids[0], capacity=10.0),)
    _, findings, *_ = written(mission(WATER, RICE, SPARES, craft=craft))

    assert next(f for f in findings if f.ident == "supply.fluid.01").outcome == "caution"


def test_a_supply_lasts_down_to_the_least_for_flight_and_not_to_the_last_drop() -> None:
    """60 gallons at 10 an hour would outlast 4.2 hours to the last drop; 20 have to be left, so that they last 4.0."""
    craft = aircraft()
    craft.fluids = (replace(craft.fluids[0], capacity=60.0, least_for_flight=20.0),)
    writer, findings, *_ = written(mission(WATER, RICE, SPARES, craft=craft))
    found = next(f for f in findings if f.ident == "supply.fluid.01")

    assert writer.number("fluid.01.lasts") == pytest.approx(4.0 * 3600)
    assert writer.number("fluid.01.margin") == pytest.approx(-0.2 * 3600)
    assert found.outcome == "caution"


def test_printed_masses_of_the_sheet_add_up() -> None:
    """Masses that round badly: the printed rows add up to the printed total all the same."""
    from briefgen.document.parts.format import printed

    loads = (replace(WATER, mass_kg=700.3), replace(RICE, mass_kg=650.7), replace(SPARES, mass_kg=181.1))
    writer, *_ = written(mission(*loads))
    plan: Any = SimpleNamespace(
        mission=SimpleNamespace(times=SimpleNamespace(zone="UTC")),
        ledger=writer.sealed(),
        tables=writer.tables,
        sectors=(),
        same_as={},
    )
    figures = printed(plan)
    rows = writer.tables["balance.stations"].rows
    masses = [int(figures[row.cells["mass"]].replace(",", "")) for row in rows]

    assert sum(masses[:-1]) == masses[-1]
    assert figures[rows[-2].cells["cumulative"]] == figures[rows[-1].cells["mass"]]


def test_the_chart_shows_the_envelopes_and_the_track_of_the_flight() -> None:
    """Every flown moment lies on the track."""
    writer, _, charts, _ = written(BY_HAND)
    envelope_chart = charts["envelope"]
    (track,) = envelope_chart.curves

    assert [area.label for area in envelope_chart.areas] == ["flight", "take-off and landing"]
    at_take_off = (pytest.approx(writer.number("balance.take_off.cg")), pytest.approx(49_980 * LB))
    assert any(point == at_take_off for point in track.points)
    assert {"Take-off", "Landing", "Zero fuel"} <= {point.label for point in envelope_chart.points}


def test_crew_without_a_mass_is_refused_when_the_file_has_none() -> None:
    """No silent default."""
    with pytest.raises(PlanError, match="no mass is given and the aircraft file has no crew mass"):
        phases(mission(craft=aircraft(crew_mass_kg=None)))


def test_the_greatest_load_is_what_the_tightest_limit_leaves() -> None:
    """By hand: landing 56,000 + 2,880 burnt - 5,880 of fuel is 53,000, the zero-fuel limit 52,000: less 40,700, 11,300."""
    writer, *_ = written(BY_HAND)

    assert writer.number("mass.payload_greatest") / LB == pytest.approx(11_300)
    assert writer.number("mass.payload_spare") / LB == pytest.approx(11_300 - 3_400)


def test_a_seat_is_not_loaded_beyond_its_limit() -> None:
    """The captain's seat takes 150 lb, he weighs 200."""
    stations = tuple(
        replace(s, mass_limit_kg=150 * LB) if s.name == "seat" else s for s in BY_HAND.aircraft.balance.stations
    )
    _, findings, *_ = written(mission(WATER, RICE, SPARES, craft=aircraft(stations=stations)))

    assert next(f for f in findings if f.ident == "load.station_mass").outcome == "fail"


def test_a_wing_transfer_that_fails_leaves_the_sides_uneven() -> None:
    """200 US gal in each wing tank, 2 unusable: one stuck while the other gives its 198 is 1,188 lb, over 1,000."""
    wings = (tank("wing left", 202, 280, -300, 1), tank("wing right", 202, 280, 300, 1))
    mains = tuple(t for t in aircraft().balance.tanks if t.name.startswith("main"))
    craft = aircraft(tanks=(*wings, *(replace(t, order=2) for t in mains)))
    writer, findings, *_ = written(mission(WATER, RICE, SPARES, craft=craft, gallons=1_404))
    failed = [f for f in findings if f.ident in ("fuel.failed_transfer.01", "fuel.failed_transfer.02")]

    assert writer.number("fuel.failed_transfer.01.difference") / LB == pytest.approx(1_188)
    assert [f.outcome for f in failed] == ["caution", "caution"]


def test_an_item_in_a_bay_that_does_not_take_it_is_told_which_bays_do() -> None:
    """45 in long: bay 1 has only 40."""
    task = mission(WATER, RICE, replace(SPARES, bay="1", length_m=45 * IN))
    _, findings, *_ = written(task)
    found = next(finding for finding in findings if finding.ident == "load.bays")

    assert found.text == "Spares in bay 1: too long for the bay."
    assert found.cure == "move Spares to bay 2 or 3 or 4 or 5 or 6"


def test_a_landing_after_a_long_wait_is_weighed_at_every_tank_state_below_the_planned_fuel() -> None:
    """Mains used up leave 2 US gal in each, 24 lb; then nothing at all."""
    writer, *_ = written(BY_HAND)
    without_fuel = 12_210_000 - 637_500 - 562_500 + 200 * 50

    assert cg_in(writer, "low_fuel.01") == pytest.approx((without_fuel + 24 * 270) / 41_124)
    assert cg_in(writer, "zero_fuel_landing") == pytest.approx(without_fuel / 41_100)
    assert writer.number("balance.zero_fuel_landing.forward_limit") / IN == pytest.approx(258)


@pytest.mark.parametrize(("over_lb", "told"), [(0.0, None), (1.0, "1"), (520.0, "520")])
def test_weight_at_the_limit_a_pound_over_and_one_per_cent_over(over_lb: float, told: str | None) -> None:
    """The zero-fuel limit is 52,000 lb: spares make up the rest; over it the finding says how much, and leaving it passes."""
    from briefgen.document.parts.format import printed

    spares = replace(SPARES, mass_kg=(52_000 - 43_700 + over_lb) * LB)
    writer, findings, *_ = written(mission(WATER, RICE, spares))
    over = [found for found in findings if found.ident == "balance.mass.zero_fuel"]
    plan: Any = SimpleNamespace(
        mission=SimpleNamespace(times=SimpleNamespace(zone="UTC")),
        ledger=writer.sealed(),
        tables=writer.tables,
        sectors=(),
        same_as={},
    )

    assert [printed(plan)["balance.zero_fuel.mass_over"] for _ in over] == ([told] if told else [])
    assert all(found.outcome == "fail" for found in over)
    lighter = replace(spares, mass_kg=spares.mass_kg - float(told or 0.0) * LB)
    _, after, *_ = written(mission(WATER, RICE, lighter))
    assert not [found for found in after if found.ident == "balance.mass.zero_fuel"]


def test_of_an_envelope_with_two_stretches_the_one_she_is_in_counts() -> None:
    """A notch from 262 to 266 in down to 45,000 lb: at 49,980 lb the limits are those of the stretch aft of it."""
    corners = (
        (250, 30_000), (250, 61_000), (258, 61_000), (262, 45_000), (266, 45_000), (268, 61_000), (290, 61_000), (290, 30_000),
    )  # fmt: skip
    craft = aircraft(envelopes=(envelope("flight", *corners),))
    writer, *_ = written(mission(WATER, RICE, SPARES, craft=craft))
    edge_in = 266 + 2 * (49_980 - 45_000) / 16_000

    assert cg_in(writer, "take_off") == pytest.approx(276.26, abs=0.01)
    assert writer.number("balance.take_off.forward_limit") / IN == pytest.approx(edge_in)
    assert writer.number("balance.take_off.aft_limit") / IN == pytest.approx(290)
