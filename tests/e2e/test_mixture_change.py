"""The change of mixture in the plan: its weight, height and time; and the slightly lower speed that stays lean."""

from __future__ import annotations

from pathlib import Path

import pytest

from briefgen.aircraft.factory import performance_of
from briefgen.document import printed
from briefgen.model.performance import IndicatedAirspeed, PowerSetting
from briefgen.model.plan import Phase, Plan
from tests.shared.demo_missions import plan_edited, plan_of

MISSION = "cedar-lantern"
MPH = 0.44704
WRITTEN = 'altitude: "10,000 ft", cruise: 150 mph'


def at_speed(folder: Path, mph: float) -> Plan:
    """The demo flight with another speed on its second leg."""
    return plan_edited(folder, MISSION, (f"{MISSION}.yaml", WRITTEN, f'altitude: "10,000 ft", cruise: {mph} mph'))


def second_leg(plan: Plan) -> Phase:
    return next(phase for phase in plan.phases if phase.kind == "cruise" and phase.item == 1)


def heads(plan: Plan, mark: str) -> list[str]:
    """Heads of the keys of the power table's rows of one mark on the second leg."""
    title = second_leg(plan).title
    return [
        row.cells["phase"].removesuffix(".phase")
        for row in plan.tables["power"].rows
        if row.mark == mark and row.name == title
    ]


def solved(plan: Plan, mass_kg: float, ias_m_per_s: float) -> PowerSetting:
    air = second_leg(plan).settings[0][1].air
    performance = performance_of(plan.mission.aircraft, plan.mission.fuel_grade)
    return performance.as_set(performance.cruise(mass_kg, air, IndicatedAirspeed(ias_m_per_s)))


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, float)
    return value


def test_where_rich_becomes_lean_weight_height_and_time_are_entries_a_row_and_an_event(tmp_path: Path) -> None:
    plan = at_speed(tmp_path, 169.2)
    (before,), (change,) = heads(plan, "cruise"), heads(plan, "mixture")
    mass_kg = number(plan, f"{change}.mixture_change_mass")

    assert solved(plan, mass_kg + 10.0, 169.2 * MPH).mixture == "rich"
    assert solved(plan, mass_kg - 10.0, 169.2 * MPH).mixture == "lean"
    assert plan.ledger[f"{change}.mixture_change_time"].value == plan.ledger[f"{change}.from"].value
    assert number(plan, f"{change}.mixture_change_altitude") == pytest.approx(10000.0 * 0.3048)
    # The row before foretells the weight at which the change comes; the air moves a little on the way.
    assert number(plan, f"{before}.mixture_change_mass") == pytest.approx(mass_kg, rel=1e-3)
    events = [event for event in plan.events if event.time_key == f"{change}.from"]
    assert [event.text for event in events] == [
        f"Mixture auto-lean at {{{change}.mixture_change_mass}}: {second_leg(plan).title}"
    ]
    assert "Mixture auto-lean" in events[0].steps


@pytest.mark.parametrize("mph", [170.0, 176.0, 185.0])
def test_the_advised_speed_is_lean_as_printed_and_saves_what_it_says(tmp_path: Path, mph: float) -> None:
    plan = at_speed(tmp_path, mph)
    (key,) = heads(plan, "cruise")
    mass_kg = second_leg(plan).settings[0][1].mass_kg
    read_mph = float(printed(plan)[f"{key}.advice_ias"])
    density = plan.mission.fuel.density_kg_per_m3

    lean, next_mph, flown = (solved(plan, mass_kg, speed * MPH) for speed in (read_mph, read_mph + 1.0, mph))

    assert (lean.mixture, next_mph.mixture, flown.mixture) == ("lean", "rich", "rich")
    saved = flown.fuel_flow_kg_per_s - lean.fuel_flow_kg_per_s
    assert number(plan, f"{key}.advice_flow_saved") * density == pytest.approx(saved, rel=1e-6)
    ratio = 1.0 - flown.specific_range_m_per_kg / lean.specific_range_m_per_kg
    assert number(plan, f"{key}.advice_fuel_saved") == pytest.approx(ratio, rel=1e-6)
    assert [row.name for row in plan.tables["power.advice"].rows] == [second_leg(plan).title]
    assert any(f"{{{key}.advice}}" in event.text for event in plan.events)


def test_a_lean_plan_gets_no_advice_and_is_told_how_far_the_change_is() -> None:
    plan = plan_of(MISSION)
    (key,) = heads(plan, "cruise")
    mass_kg = number(plan, f"{key}.mixture_change_mass")

    assert "power.advice" not in plan.tables
    assert not [key for key in plan.ledger.entries if ".advice" in key and key.startswith("power.")]
    assert mass_kg > number(plan, f"{key}.mass")
    assert solved(plan, mass_kg + 1.0, 150.0 * MPH).mixture == "rich"
    assert solved(plan, mass_kg - 1.0, 150.0 * MPH).mixture == "lean"


def test_passes_are_flown_and_judged_with_the_flaps_they_are_flown_with() -> None:
    plan = plan_of(MISSION)
    run = next(phase for phase in plan.phases if phase.kind == "run")
    setting = run.settings[0][1]
    performance = performance_of(plan.mission.aircraft, plan.mission.fuel_grade)
    speed = IndicatedAirspeed(setting.ias_m_per_s)

    clean, flaps = (
        performance.as_set(performance.cruise(setting.mass_kg, setting.air, speed, configuration=name, phase="drop"))
        for name in ("clean", "one third flap")
    )

    assert setting.fuel_flow_kg_per_s == pytest.approx(flaps.fuel_flow_kg_per_s)
    assert flaps.fuel_flow_kg_per_s > 1.05 * clean.fuel_flow_kg_per_s
