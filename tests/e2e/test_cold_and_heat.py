"""A departure at -35 degC between fields of snow, and a field at 45 degC: planned in full, or refused with the reason."""

from __future__ import annotations

import pytest

from briefgen.errors import BriefgenError
from briefgen.model.plan import Finding, Plan
from tests.shared.missions_beyond import plan_beyond

FT = 0.3048
INHG = 3386.38864
PLACES = "places/northern-interior.yaml"
HOT_WEATHER = "weather/hot-field.yaml"


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float), f"{key} is {value!r}"
    return value


def failed(plan: Plan) -> list[Finding]:
    return [found for found in plan.findings if found.outcome == "fail"]


@pytest.mark.parametrize("name", ["winter-departure", "hot-field"])
def test_it_is_planned_and_nothing_fails(name: str) -> None:
    assert failed(plan_beyond(name)) == []


def test_the_winter_field_lies_below_the_pressure_altitude_of_nought() -> None:
    """240 ft under 1,044 hPa: about 27 ft a hectopascal near the ground, 31 hPa over the standard, so near -600 ft."""
    plan = plan_beyond("winter-departure")

    assert number(plan, "weather.field.departure.lx71.pressure_altitude") == pytest.approx(
        (240.0 - 840.0) * FT, abs=15.0 * FT
    )
    assert number(plan, "weather.field.departure.lx71.temperature") == pytest.approx(273.15 - 35.0)


def test_cold_air_gives_more_power_at_the_same_levers_and_heat_takes_the_levers_back() -> None:
    """At 45 degC the carburettor air is one degree under its limit on the lower grade, and the turbo stands back."""
    cold, hot = plan_beyond("winter-departure"), plan_beyond("hot-field")

    assert number(cold, "power.take-off-lx71.manifold_pressure") == pytest.approx(43.0 * INHG, rel=1e-6)
    assert cold.ledger["power.take-off-lx71.limit"].value == "take-off rating on 91/96"
    assert number(hot, "power.take-off-lx81.manifold_pressure") < 42.0 * INHG
    assert hot.ledger["power.take-off-lx81.limit"].value == "carburettor air temperature"
    assert number(hot, "power.take-off-lx81.power") < 0.85 * number(cold, "power.take-off-lx71.power")


def test_the_same_field_on_a_mild_day_takes_less_runway() -> None:
    hot = plan_beyond("hot-field")
    mild = plan_beyond(
        "hot-field",
        (HOT_WEATHER, "temperature: 45 degC, dew point: 6", "temperature: 18 degC, dew point: 6"),
        (HOT_WEATHER, "wind: 120T/8 kt, temperature: 46 degC", "wind: 120T/8 kt, temperature: 19 degC"),
    )

    assert mild.ledger["power.take-off-lx81.limit"].value == "take-off rating on 91/96"
    for distance in ("ground_run", "distance_50ft", "accelerate_go"):
        key = f"fields.take_off.lx81.{distance}.distance"
        assert number(hot, key) > 1.2 * number(mild, key)


def test_what_lies_on_the_runway_lengthens_the_stop_in_the_order_of_its_grip() -> None:
    stops = [
        number(
            plan_beyond("winter-departure", (PLACES, "surface: compacted snow", f"surface: {surface}")),
            "fields.take_off.lx71.accelerate_stop.distance",
        )
        for surface in ("paved dry", "compacted snow", "ice")
    ]

    assert stops[0] < stops[1] < stops[2]


def test_ice_at_a_shorter_destination_fails_the_landing() -> None:
    """On dry snow she stops with room; on ice she needs half as much again, more than 60 % of 6,000 ft."""
    snow = plan_beyond("winter-departure", (PLACES, "length: 6,600 ft", 'length: "6,000 ft"'))
    ice = plan_beyond(
        "winter-departure",
        (PLACES, "length: 6,600 ft", 'length: "6,000 ft"'),
        (PLACES, "surface: dry snow\n        depth: 10 mm", "surface: ice"),
    )

    assert number(ice, "fields.landing.lx72.distance") > 1.4 * number(snow, "fields.landing.lx72.distance")
    assert failed(snow) == []
    assert "landing-destination" in {found.ident for found in failed(ice)}


def test_depth_of_slush_drags_on_the_run() -> None:
    """An inch of it: thrown aside by the wheels, it costs more of the run than the snow it was."""
    dry = plan_beyond("winter-departure")
    deep = plan_beyond("winter-departure", (PLACES, "surface: compacted snow", "surface: slush\n        depth: 1 in"))

    key = "fields.take_off.lx71.ground_run.distance"
    assert number(deep, key) > 1.1 * number(dry, key)


def test_a_surface_the_aircraft_file_does_not_know_is_refused_by_name() -> None:
    with pytest.raises(BriefgenError, match="'glazed frost'") as refusal:
        plan_beyond("winter-departure", (PLACES, "surface: compacted snow", "surface: glazed frost"))

    assert "compacted snow" in str(refusal.value)
