"""What an aircraft file says of limits, phases, people and emergencies, as the model holds it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from briefgen.aircraft.factory import performance_of
from briefgen.errors import SpecError
from briefgen.model.aircraft import Aircraft
from briefgen.model.performance import Air, IndicatedAirspeed
from briefgen.spec import read_aircraft
from briefgen.units import to_si
from tests.shared.bad_spec_cases import BASE

SPECS = Path(__file__).parents[3] / "mission_specs"
KT = 1852.0 / 3600.0
MPH = 1609.344 / 3600.0
INHG_PA = 3386.389  # NIST SP 811, appendix B.8


@pytest.fixture(scope="module")
def base() -> Aircraft:
    """The small aircraft of the broken cases."""
    return read_aircraft(BASE / "aircraft.yaml")


@pytest.fixture(scope="module")
def freighter() -> Aircraft:
    """The demo freighter, which gives everything a file can give."""
    return read_aircraft(SPECS / "aircraft" / "t4-freighter.yaml")


def changed(folder: Path, find: str, put: str) -> Path:
    """Return a copy of the small aircraft with one text changed."""
    text = (BASE / "aircraft.yaml").read_text(encoding="utf-8")
    assert text.count(find) == 1
    path = folder / "aircraft.yaml"
    path.write_text(text.replace(find, put), encoding="utf-8")
    return path


def test_limits_are_in_si(base: Aircraft) -> None:
    """180 kt, 20 psi in 30 s, 250 degC = 523.15 K; 'none' is None; psi by NIST SP 811: 6,894.757 Pa."""
    limits = base.limits

    assert limits.speeds.normal_operating_m_per_s == pytest.approx(180 * KT)
    assert limits.speeds.landing_lights_m_per_s is None
    assert limits.speeds.openings[0].least_m_per_s is None
    assert limits.engine.oil_pressure.after_starting_pa == pytest.approx(20 * 6894.757, abs=0.1)
    assert limits.engine.oil_pressure.after_starting_within_s == 30.0
    assert limits.engine.cylinder_head.take_off_k == pytest.approx(523.15)
    assert limits.engine.oil_temperature.short_time_k is None
    assert limits.engine.magneto_drop.greatest_rpm == 100.0


def test_rough_air_speed_is_a_curve_over_mass(base: Aircraft) -> None:
    curve = base.limits.speeds.turbulence_penetration_m_per_s_by_mass_kg

    assert curve.x == pytest.approx((4500 * 0.45359237, 7040 * 0.45359237))
    assert curve.y == pytest.approx((120 * KT, 145 * KT))


def test_every_engine_configuration_has_its_minimum_control_speed(freighter: Aircraft) -> None:
    """'the stall governs' is None, which is not the same as a row left out: that is refused."""
    rows = {row.engines: row for row in freighter.minimum_control}

    assert freighter.model is not None
    assert set(rows) == {one.configuration.name for one in freighter.model.engine_configurations}
    assert rows["two, one side feathered"].at_take_off_power_m_per_s == pytest.approx(110 * MPH)
    assert rows["two, one side feathered"].at_climb_power_m_per_s == pytest.approx(102 * MPH)
    assert rows["two, both outers feathered"].at_take_off_power_m_per_s is None


def test_what_a_phase_leaves_out_is_none(base: Aircraft) -> None:
    phases = {one.phase: one for one in base.phases}

    assert phases["cruise"].mixture is None
    assert phases["cruise"].fuel_from == ()
    assert phases["take-off"].rating == "take-off"
    assert phases["take-off"].fuel_from == ("left", "right")
    assert phases["go-around"].airspeed_m_per_s == pytest.approx(100 * KT)


def test_a_phase_gives_its_cowl_flaps_on_hot_days(freighter: Aircraft) -> None:
    """15 degC over standard is a difference of 15 K."""
    climb = next(one for one in freighter.phases if one.phase == "climb")

    assert climb.cowl_flaps == "trail"
    assert climb.hot_day_cowl_flaps is not None
    assert climb.hot_day_cowl_flaps.isa_deviation_from_k == pytest.approx(15.0)
    assert climb.hot_day_cowl_flaps.position == "open"


def test_a_transfer_names_its_tanks_and_when_it_begins(freighter: Aircraft) -> None:
    transfer = freighter.fuel_transfer

    assert transfer is not None
    assert transfer.not_below_m == pytest.approx(1500 * 0.3048)
    assert "take-off" in transfer.not_in
    assert transfer.transfers[0].begin_at_room_m3 == pytest.approx(to_si(45, "US gal"))


def test_speeds_by_mass_may_leave_speeds_to_the_speed_card(tmp_path: Path) -> None:
    rows = "speeds by mass: [{ mass: 5000 lb, threshold: 80 kt indicated }]\npeople:\n  passenger"
    speeds = read_aircraft(changed(tmp_path, "people:\n  passenger", rows)).speeds_by_mass

    assert [one.threshold_m_per_s for one in speeds] == pytest.approx([80 * KT])
    assert speeds[0].unstick_m_per_s is None


def test_instruments_read_to_the_usual_step_unless_the_file_says_otherwise(base: Aircraft, tmp_path: Path) -> None:
    """25 rpm and 0.5 inHg; a step that is given stands, the others stay."""
    said = "instrument resolution: { engine speed: 50 rpm }\npeople:\n  passenger"
    coarse = read_aircraft(changed(tmp_path, "people:\n  passenger", said)).instrument_resolution

    assert base.instrument_resolution.engine_speed_rpm == 25.0
    assert base.instrument_resolution.manifold_pressure_pa == pytest.approx(0.5 * INHG_PA, abs=0.01)
    assert base.instrument_resolution.airspeed_m_per_s == pytest.approx(MPH)
    assert coarse.engine_speed_rpm == 50.0
    assert coarse.manifold_pressure_pa == base.instrument_resolution.manifold_pressure_pa


def test_people_are_counted_by_seat(freighter: Aircraft) -> None:
    """Six crew on eight seats, each with oxygen and a jacket; two rafts of five hold eight with one place left for two."""
    people = freighter.people

    assert sum(row.seats for row in people.seats) == 8
    assert all(row.oxygen_points == row.life_jackets == row.seats for row in people.seats)
    assert sum(raft.places for raft in people.rafts) >= sum(row.seats for row in people.seats)


def test_checklists_go_from_walk_round_to_leaving(freighter: Aircraft) -> None:
    phases = [one.phase for one in freighter.checklists]

    assert (phases[0], phases[-1]) == ("outside inspection", "leaving")
    assert len(phases) == len(set(phases)) == 18


def test_an_emergency_says_who_does_what_at_once(freighter: Aircraft) -> None:
    runaway = next(one for one in freighter.emergencies if one.name == "propeller runs away")

    assert [one.position for one in runaway.at_once] == ["flight engineer", "captain", "flight engineer"]
    assert "take-off" in runaway.phases


def test_flap_settings_of_a_chart_aircraft_are_those_of_her_stall_chart(tmp_path: Path) -> None:
    """A phase with a setting her charts do not know is refused with the settings they know."""
    shutil.copytree(SPECS / "aircraft", tmp_path / "aircraft")
    path = tmp_path / "aircraft" / "s2-survey.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(
        text.replace(
            'boost pumps: "on", gear: down, flaps: half flap', 'boost pumps: "on", gear: down, flaps: half flaps'
        ),
        "utf-8",
    )

    with pytest.raises(SpecError, match="'half flaps' is not a flap setting of this file") as caught:
        read_aircraft(path, root=tmp_path)

    assert caught.value.faults[0].expected == "one of clean, half flap, full flap"


def test_cowl_flaps_of_a_phase_decide_the_drag_it_is_flown_with(tmp_path: Path) -> None:
    """They are said once, in the phases: nothing else in the file says it differently."""
    text = (SPECS / "aircraft" / "t4-freighter.yaml").read_text(encoding="utf-8")
    at = text.index("  - { phase: cruise, least")
    path = tmp_path / "aircraft.yaml"
    path.write_text(text[:at] + text[at:].replace("cowl flaps: closed", "cowl flaps: open", 1), encoding="utf-8")

    flows = [
        performance_of(read_aircraft(file), "91/96").cruise(22000.0, Air(3000.0, 268.0), IndicatedAirspeed(65.0))
        for file in (SPECS / "aircraft" / "t4-freighter.yaml", path)
    ]

    assert [one.cowl_flaps for one in flows] == ["closed", "open"]
    assert flows[1].fuel_flow_kg_per_s > 1.05 * flows[0].fuel_flow_kg_per_s


@pytest.mark.parametrize(
    ("name", "find", "put", "problem"),
    [
        ("b3-feeder", 'descent], carburettor heat: "on" }', "descent] }", "it is not said when carburettor heat is on"),
        ("b3-feeder", "carburettor heat: { temperature", "# carburettor heat: { temperature", "the engine has no 'carburettor heat'"),
        ("t4-freighter", "filter loss: 1.5 inHg", "# no filters", "the engine has no 'filter loss'"),
        ("t4-freighter", "filters off above: 7,000 ft", "# nothing said", "there is no altitude to go by"),
        ("b3-feeder", "tail-down angle: none", "tail-down angle: 11 deg", "and she has a nose wheel"),
        ("t4-freighter", "tail-down angle: 11 deg", "tail-down angle: none", "she stands on a tail wheel"),
    ],
)  # fmt: skip
def test_what_is_set_in_the_air_intake_and_how_she_stands_is_said_and_is_there(
    tmp_path: Path, name: str, find: str, put: str, problem: str
) -> None:
    """No lever without what it moves, no heat without a word on when it is on, no altitude that is not given."""
    text = (SPECS / "aircraft" / f"{name}.yaml").read_text(encoding="utf-8")
    assert find in text
    path = tmp_path / "aircraft.yaml"
    path.write_text(text.replace(find, put), encoding="utf-8")

    with pytest.raises(SpecError, match=problem):
        read_aircraft(path)
