"""The order of the levers: what is compared to tell more power from less must be the same quantity on both sides."""

from __future__ import annotations

from dataclasses import replace

from briefgen.aircraft.lever_moves import lever_moves
from briefgen.model.aircraft import LeverOrder
from briefgen.model.performance import IndicatedAirspeed, PowerSetting
from tests.shared.demo_aircraft import INHG, LB, air, performance

# TF-05: more power begins with engine speed, less power with the throttle; common practice, no published source.
ORDER = LeverOrder(
    increasing=("engine speed", "manifold pressure"),
    reducing=("manifold pressure", "engine speed"),
)


def setting(rpm: float, inhg: float, flow_kg_per_s: float, power_w: float | None) -> PowerSetting:
    some = performance("t4-freighter", "100/130").cruise(50000.0 * LB, air(7000.0), IndicatedAirspeed(67.0))
    return replace(
        some, engine_speed_rpm=rpm, manifold_pressure_pa=inhg * INHG, fuel_flow_kg_per_s=flow_kg_per_s, power_w=power_w
    )


def test_a_reduction_is_one_when_only_one_of_the_charts_prints_power() -> None:
    """Take-off from a chart of power, the climb from one without: watts held against kilograms a second reversed the order."""
    take_off = setting(2700.0, 48.0, 0.5, 1_000_000.0)
    climb = setting(2400.0, 38.0, 0.3, None)

    assert [move.lever for move in lever_moves(ORDER, take_off, climb)] == ["manifold pressure", "engine speed"]
    assert [move.lever for move in lever_moves(ORDER, climb, take_off)] == ["engine speed", "manifold pressure"]
