"""Tanks through the flight by hand: mains for the take-off, a transfer when there is room for it, and its end."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from briefgen.errors import PlanError
from briefgen.model.handling import FuelTransfer, Transfer
from briefgen.model.plan import Phase
from briefgen.planning.load.tank_log import TankLog, tank_log
from briefgen.planning.load.tanks import filled
from tests.shared.loading_cases import FT, GAL, LB, OFF_BLOCKS, aircraft, mission, phases

MAINS = ("main left", "main right")
ON_GROUND = ("start", "taxi", "take-off")
# 1,104 US gal: both mains full with 502, of them 2 unusable; 100 in the bay tank, 98 of them usable.


def craft(room_gal: float = 20.0, rate_gal_per_h: float = 120.0, not_in: tuple[Any, ...] = ON_GROUND) -> Any:
    """The freighter that feeds on its mains in every phase and fills them up from the bay tank."""
    found = aircraft()
    found.phases = tuple(
        SimpleNamespace(phase=name, fuel_from=MAINS)
        for name in (*ON_GROUND, "climb", "cruise", "drop", "descent", "pattern", "after landing")
    )
    transfer = Transfer("bay tank", MAINS, room_gal * GAL, rate_gal_per_h * GAL / 3600.0)
    found.fuel_transfer = FuelTransfer(1_500 * FT, not_in, (transfer,))
    return found


def flown(task: Any, height_ft: float = 6_000.0) -> tuple[Phase, ...]:
    """The flight of straight lines, at a height from the climb on."""
    high = {"climb", "cruise", "run"}
    return tuple(
        replace(one, nodes=tuple(replace(node, altitude_m=height_ft * FT) for node in one.nodes))
        if one.kind in high
        else one
        for one in phases(task)
    )


def logged(plane: Any, gallons: float = 1_104.0, **more: Any) -> tuple[TankLog, tuple[Phase, ...]]:
    """The fuel by tank of a flight that begins at sea level."""
    task = replace(
        mission(craft=plane, gallons=gallons), route=SimpleNamespace(items=(), origin=SimpleNamespace(elevation_m=0.0))
    )
    way = flown(task)
    return tank_log(task, way, filled(plane, gallons * GAL), **more), way


def told(log: TankLog) -> list[tuple[str, float]]:
    """Each change and the hours since the engines were started."""
    return [(one.kind, (one.instant - OFF_BLOCKS).total_seconds() / 3600.0) for one in log.changes]


def test_the_mains_feed_the_take_off() -> None:
    """200 lb burnt by the end of the take-off are 33.3 US gal, all from the mains."""
    log, way = logged(craft())
    after = log.at(way[2].end.instant)

    assert after["bay tank"] / GAL == pytest.approx(100.0)
    assert after["main left"] / GAL == pytest.approx(502.0 - 100.0 / 6.0)


def test_a_transfer_begins_when_the_mains_have_room_and_ends_when_there_is_no_more() -> None:
    """Room of 16.67 US gal at the end of the take-off grows by 66.67 an hour: 20 after three minutes; 98 at 120 an hour last 49."""
    log, way = logged(craft())

    assert told(log) == [("transfer", pytest.approx(0.45)), ("transfer ends", pytest.approx(0.45 + 98.0 / 120.0))]
    assert log.at(way[4].end.instant)["bay tank"] / GAL == pytest.approx(2.0)


def test_a_transfer_into_full_tanks_stops_and_begins_again() -> None:
    """At 600 US gal an hour each main gains 300 less the 66.67 that it gives: 20 of room last 5.14 minutes."""
    log, _ = logged(craft(rate_gal_per_h=600.0))
    begun, full, again = told(log)[:3]

    assert begun == ("transfer", pytest.approx(0.45))
    assert full == ("transfer ends", pytest.approx(0.45 + 20.0 / (300.0 - 200.0 / 3.0)))
    assert again == ("transfer", pytest.approx(full[1] + 20.0 / (200.0 / 3.0)))


def test_no_transfer_below_its_height() -> None:
    """At 1,000 ft all the way nothing is transferred, and the mains have enough."""
    plane = craft()
    task = replace(
        mission(craft=plane, gallons=1_104), route=SimpleNamespace(items=(), origin=SimpleNamespace(elevation_m=0.0))
    )
    way = flown(task, height_ft=1_000.0)
    log = tank_log(task, way, filled(plane, 1_104 * GAL))

    assert told(log) == []
    assert log.at(way[-1].end.instant)["bay tank"] / GAL == pytest.approx(100.0)


def test_fuel_that_is_not_transferred_does_not_reach_the_engines() -> None:
    """150 US gal in each main are 888 lb short of what is burnt; the bay tank's fuel may never be moved."""
    plane = craft(not_in=(*ON_GROUND, "climb", "cruise", "drop"))
    task = replace(
        mission(craft=plane, gallons=500), route=SimpleNamespace(items=(), origin=SimpleNamespace(elevation_m=0.0))
    )
    start = {"bay tank": 200 * GAL, "main left": 150 * GAL, "main right": 150 * GAL}

    with pytest.raises(PlanError, match="run dry; what is in bay tank is not transferred in time") as caught:
        tank_log(task, flown(task), start)
    assert "phase 08-cruise" in (caught.value.where or "")


def test_a_failed_tank_keeps_what_it_has() -> None:
    """The mains carry on alone: 3,040 lb burnt are 253.3 US gal from each."""
    log, way = logged(craft(), failed=frozenset({"bay tank"}))
    left = log.at(way[-1].end.instant)

    assert left["bay tank"] / GAL == pytest.approx(100.0)
    assert left["main right"] / GAL == pytest.approx(502.0 - 3_040 / 6.0 / 2.0)


def test_what_is_burnt_is_what_the_tanks_lose() -> None:
    """At every moment of change, whatever is transferred."""
    log, way = logged(craft(rate_gal_per_h=600.0))
    begun_kg = way[0].start.fuel_kg

    for one in log.changes:
        lost_m3 = 1_104 * GAL - sum(log.at(one.instant).values())
        assert lost_m3 * 6.0 * LB / GAL == pytest.approx(begun_kg - one.fuel_kg, abs=1e-6)
