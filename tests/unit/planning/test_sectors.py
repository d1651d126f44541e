"""Several sectors in one mission: what is handed on at a landing, the least fuel that carries through, and the journey above."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from briefgen.document import check_data, plan_json, printed, require_conservation
from briefgen.document.conservation import _landings
from briefgen.errors import InternalError, PlanError, UsageError
from briefgen.frozen import replace
from briefgen.kernel.constants import LB_KG
from briefgen.model.mission import Mission, Sector, Start
from briefgen.model.plan import Plan
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import fuel_in_hand_kg
from briefgen.planning.flight.sectors import arrival, in_hand_through
from briefgen.planning.journey import plan_sectors
from briefgen.planning.load.tanks import topped_up
from briefgen.spec import read_mission, read_sectors
from tests.shared.demo_missions import SPECS, edited, journey_of, mission_of

FERRY = "market-round"
M3_PER_US_GAL = 231.0 * 0.0254**3  # exact: NIST SP 811, appendix B
KG, SECONDS = 1e-6, 1e-3


@pytest.fixture(scope="module")
def ferry() -> Plan:
    """Return the plan of the demo mission of three sectors."""
    return journey_of(FERRY)


def value(plan: Plan, key: str) -> Any:
    """Return the value of an entry."""
    return plan.ledger[key].value


def started(plan: Plan) -> Start:
    """Return what a sector starts with."""
    assert plan.mission.start is not None
    return plan.mission.start


def test_fuel_is_kept_across_every_landing_in_all_and_tank_by_tank(ferry: Plan) -> None:
    """Fuel on blocks and fuel taken on are the fuel at the next start; no tank is drawn from to fill another."""
    for before, after in zip(ferry.sectors, ferry.sectors[1:], strict=False):
        handed_on = started(after).handed_on
        assert handed_on is not None
        left = before.phases[-1].end.fuel_kg

        assert handed_on.fuel_kg == left
        assert after.phases[0].start.fuel_kg == pytest.approx(left + handed_on.taken_on_kg, abs=KG)
        tanks = arrival(fly(replace(before.mission, sector=None))).tanks_m3
        assert all(after.mission.fuel.by_tank_m3[name] >= volume - 1e-9 for name, volume in tanks.items())


def test_time_is_kept_across_every_landing_and_the_duty_begins_once(ferry: Plan) -> None:
    """50 min and 1 h of turn-round are written; the duty of the last sector runs from the first briefing to its shutdown."""
    stands = [
        (after.phases[0].start.instant - before.phases[-1].end.instant).total_seconds()
        for before, after in zip(ferry.sectors, ferry.sectors[1:], strict=False)
    ]

    assert stands == pytest.approx([50 * 60.0, 60 * 60.0], abs=SECONDS)
    briefing = value(ferry.sectors[0], "clock.briefing")
    assert all(value(one, "clock.briefing") == briefing for one in ferry.sectors)
    last = (ferry.sectors[-1].phases[-1].end.instant - briefing).total_seconds()
    assert value(ferry, "journey.duty") == pytest.approx(last, abs=SECONDS)


def test_mass_changes_at_a_landing_by_fuel_and_load_alone(ferry: Plan) -> None:
    """Seed rice 1,500 lb off and copra 950 lb on at Stone Jetty; tools and copra off, drums 380 lb on at Amber Cove."""
    changes = [
        (after.phases[0].start.mass_kg - before.phases[-1].end.mass_kg - _taken_on(after)) / LB_KG
        for before, after in zip(ferry.sectors, ferry.sectors[1:], strict=False)
    ]

    assert changes == pytest.approx([950.0 - 1500.0, 380.0 - 420.0 - 950.0], abs=1e-6)


def _taken_on(plan: Plan) -> float:
    handed_on = started(plan).handed_on
    return handed_on.taken_on_kg if handed_on else 0.0


def test_oil_goes_on_from_sector_to_sector_and_is_filled_up_where_the_landing_says_so(ferry: Plan) -> None:
    """25 US gal and 0.9 US gal an hour of the aircraft file; the landing at Amber Cove fills it up, Stone Jetty does not."""
    hours = [value(one, "duration.block") / 3600.0 for one in ferry.sectors]
    at_start = [value(ferry, f"sector.{n:02d}.supply.01.at_start") for n in (1, 2, 3)]

    assert at_start == pytest.approx([25.0, 25.0 - 0.9 * hours[0], 25.0])
    assert value(ferry, "sector.03.supply.01.filled") == pytest.approx(0.9 * (hours[0] + hours[1]))
    assert value(ferry, "sector.03.supply.01.left") == pytest.approx(25.0 - 0.9 * hours[2])
    assert value(ferry.sectors[1], "fluid.01.lasts") == pytest.approx((25.0 - 0.9 * hours[0] - 10.0) / 0.9 * 3600.0)


def test_the_journey_adds_up_what_the_sectors_come_to(ferry: Plan) -> None:
    """Engine hours, time in the air, minutes at take-off power, fuel burnt and taken on."""
    sums = {
        "block": sum(value(one, "duration.block") for one in ferry.sectors),
        "air": sum(value(one, "duration.air") for one in ferry.sectors),
        "take_off_power": 3 * 120.0,
        "burnt": sum(one.phases[0].start.fuel_kg - one.phases[-1].end.fuel_kg for one in ferry.sectors),
        "taken_on": sum(_taken_on(one) for one in ferry.sectors),
    }

    assert {name: value(ferry, f"journey.{name}") for name in sums} == pytest.approx(sums, abs=SECONDS)


def as_three_missions(ferry: Plan, folder: Path) -> list[Mission]:
    """Return the three sectors written as three files, each with the figures that a planner would carry over by hand."""
    text = (SPECS / f"{FERRY}.yaml").read_text(encoding="utf-8")
    head, legs = text.split("  legs:\n")
    two_creeks = head_of(legs, "      alternates: &two-creeks\n", "    - { to: LX06")
    tail = legs[legs.index("what can go wrong:") :]
    flown = [
        ("LX08", "12", '{ to: LX07, altitude: "5,500 ft", cruise: 130 kt indicated, safe altitude: "5,400 ft" }', "12"),
        ("LX07", "12", '{ to: LX06, altitude: "7,500 ft", cruise: 130 kt indicated, safe altitude: "5,400 ft" }', "13"),
        ("LX06", "13", '{ to: LX08, altitude: "6,500 ft", cruise: 130 kt indicated, safe altitude: "5,400 ft" }', "12"),
    ]
    loads = [
        ITEMS["rice"] + ITEMS["tools"],
        ITEMS["tools"] + ITEMS["copra"],
        ITEMS["drums"],
    ]
    missions = []
    for number, ((origin, runway, leg, landing), items) in enumerate(zip(flown, loads, strict=True)):
        sector = ferry.sectors[number]
        tanks = sector.mission.fuel.by_tank_m3 or _filled(sector)
        by_tank = ", ".join(f"{name}: {volume / M3_PER_US_GAL:.14f} US gal" for name, volume in tanks.items())
        take_off = value(sector, "time.take_off")
        front = head[: head.index("load:")].replace("2027-03-18 08:30", f'"{take_off:%Y-%m-%d %H:%M:%S}Z"')
        path = folder / f"sector-{number}.yaml"
        path.write_text(
            f"{front}load:\n  fuel: {{ by tank: {{ {by_tank} }}, density: 6.0 lb/US gal }}\n  items:\n{items}"
            f'\nweather:\n  file: weather/market-day.yaml\n\nroute:\n  from: {origin}\n  runway: "{runway}"\n  legs:\n    - {leg}\n'
            f'  landing runway: "{landing}"\n\nalternates:\n{two_creeks}\n{tail}',
            encoding="utf-8",
        )
        missions.append(read_mission(path, root=folder))
    return missions


def _clock(text: str) -> str:
    """Return a printed figure without the days since the crew was briefed: by hand every sector has its own briefing."""
    return text.removesuffix("\u00a0+1")


def head_of(text: str, begin: str, end: str) -> str:
    """Return what stands between two texts."""
    return text.split(begin)[1].split(end)[0]


def _filled(sector: Plan) -> dict[str, float]:
    volume_m3 = sector.phases[0].start.fuel_kg / sector.mission.fuel.density_kg_per_m3
    return topped_up(sector.mission.aircraft, {"left": 0.0, "right": 0.0}, volume_m3)


ITEMS = {
    "rice": '    - { name: Seed rice, mass: "1,500 lb", bay: place it, leaves: landing, size: 90 x 48 x 40 in }\n',
    "tools": "    - { name: Tools, mass: 420 lb, bay: place it, leaves: landing, size: 48 x 40 x 30 in }\n",
    "copra": "    - { name: Copra, mass: 950 lb, bay: place it, leaves: landing, size: 80 x 48 x 40 in }\n",
    "drums": "    - { name: Empty drums, mass: 380 lb, bay: place it, leaves: landing, size: 70 x 46 x 44 in }\n",
}
# What a file by itself cannot know: that the day began before it, and that its supplies are not full. Volumes at the ramp that are
# worked out are printed down and those that are written to the nearest, so the volumes are held to each other by their weights.
VOLUMES = ("_volume", ".start")
ITS_OWN = (
    "clock.",
    "duration.duty",
    "fuel.ramp",
    "fuel.density",
    "fluid.",
    "handed_on.",
    "oxygen.",
    "finding.",
    "rule.",
    "times.",
)


def test_each_sector_is_to_the_printed_figure_the_mission_a_planner_writes_by_hand(ferry: Plan, tmp_path: Path) -> None:
    """Three files, with time, fuel by tank and load carried over by hand, print what one file with two landings prints."""
    from briefgen.planning.assemble import plan_mission

    (tmp_path / "specs").symlink_to(SPECS)
    folder = edited(tmp_path / "copy", FERRY).parent
    for sector, mission in zip(ferry.sectors, as_three_missions(ferry, folder), strict=True):
        ours, theirs = printed(sector), printed(plan_mission(mission))
        shared = [key for key in ours if key in theirs and not key.startswith(ITS_OWN) and not key.endswith(VOLUMES)]
        words = [key for key in shared if _clock(ours[key]) != _clock(theirs[key])]

        assert len(shared) > 600
        assert {key: (ours[key], theirs[key]) for key in words} == {}


def test_the_least_fuel_is_the_least_on_every_run_between_two_uplifts(ferry: Plan) -> None:
    """A pound less and what is asked over the rules' fuel is no longer in hand; as it is, it is, within a quarter of a pound."""
    sector = read_sectors(SPECS / f"{FERRY}.yaml")[0].sector
    assert sector is not None
    for number, run in ((0, range(2)), (2, range(2, 3))):
        mission = replace(ferry.sectors[number].mission, sector=None)
        over_kg = 16.0 * M3_PER_US_GAL * sector.sectors[number].fuel.density_kg_per_m3

        assert 0.0 <= min(in_hand_through(sector, run, mission, fly)) - over_kg <= 0.25 * LB_KG
        assert min(in_hand_through(sector, run, _with_less(mission, LB_KG), fly)) < over_kg


def _with_less(mission: Mission, less_kg: float) -> Mission:
    less_m3 = less_kg / mission.fuel.density_kg_per_m3
    fuel = mission.fuel
    tanks = {name: volume - less_m3 / len(fuel.by_tank_m3) for name, volume in fuel.by_tank_m3.items()}
    assert fuel.volume_m3 is not None
    return replace(mission, fuel=replace(fuel, volume_m3=fuel.volume_m3 - less_m3, by_tank_m3=tanks))


def test_a_sector_named_behind_the_file_is_flown_as_the_journey_hands_it_on(ferry: Plan) -> None:
    """By its number and by the field where it ends: the same fuel and the same minute as in the plan of the whole."""
    for wanted in ("2", "LX06"):
        flown = fly(read_mission(SPECS / f"{FERRY}.yaml#{wanted}"))

        assert flown.phases == ferry.sectors[1].phases
        assert fuel_in_hand_kg(flown) > 0.0


def test_a_journey_that_loses_fuel_at_a_landing_is_never_shown(ferry: Plan) -> None:
    """A kilogram that is on blocks and not in the next sector is a fault of the program."""
    require_conservation(ferry)
    start = started(ferry.sectors[1])
    assert start.handed_on is not None
    less = replace(start, handed_on=replace(start.handed_on, taken_on_kg=start.handed_on.taken_on_kg + 1.0))
    second = replace(ferry.sectors[1], mission=replace(ferry.sectors[1].mission, start=less))
    broken = replace(ferry, sectors=(ferry.sectors[0], second, ferry.sectors[2]))

    assert len(list(_landings(broken))) == 1
    with pytest.raises(InternalError, match=r"1\.000000 kg taken on become"):
        require_conservation(broken)


def test_a_sector_that_fails_makes_the_mission_fail_and_nobody_can_accept_it_for_the_whole(tmp_path: Path) -> None:
    """A runway at Amber Cove of 1,900 ft: the review of two sectors fails, and so does the mission."""
    changed = ("places/market-strips.yaml", "length: 6,100 ft", "length: 1,900 ft")
    path = edited(tmp_path, FERRY)
    text = (path.parent / changed[0]).read_text(encoding="utf-8")
    (path.parent / changed[0]).write_text(text.replace(changed[1], changed[2]), encoding="utf-8")
    plan = plan_sectors(read_sectors(path))
    outcomes = {one.ident: (one.outcome, one.accepted_by) for one in plan.findings}

    assert outcomes["sector.01"][0] != "fail"
    assert outcomes["sector.02"] == ("fail", ("nobody",))
    assert outcomes["sector.03"][0] == "fail"
    counts: Any = check_data(plan)["findings"]
    assert counts["fail"] == 2


def test_fuel_that_is_not_to_be_had_at_a_landing_is_brought_along(tmp_path: Path) -> None:
    """Amber Cove has 20 US gal only: what must leave Lagoon Field instead is said, and with it nothing is short."""
    path = edited(
        tmp_path, FERRY, (f"{FERRY}.yaml", "least plus: 16 US gal", "least plus: 16 US gal, supply: 20 US gal")
    )
    plan = plan_sectors(read_sectors(path))
    (found,) = (one for one in plan.findings if one.ident == "uplift.02")

    assert found.outcome == "fail"
    assert "no more than 120 lb is to be had there" in found.text
    assert found.cure.startswith("take on ")
    ramp_lb = int(found.cure.split(": ")[-1].split(" lb")[0].replace(",", ""))
    text = path.read_text(encoding="utf-8")
    text = text.replace("{ as required plus: 16 US gal,", f'{{ at ramp: "{ramp_lb:,} lb",')
    path.write_text(text.replace("{ least plus: 16 US gal, supply: 20 US gal }", "{ add: 0 US gal }"), encoding="utf-8")
    tried = plan_sectors(read_sectors(path))

    over_lb = 16.0 * 6.0
    in_hand = [value(tried, f"sector.{n:02d}.in_hand") / LB_KG for n in (1, 2, 3)]
    assert over_lb <= min(in_hand) < over_lb + 2.0
    assert not [one for one in tried.findings if one.ident.startswith("uplift")]


def test_fuel_to_be_filled_up_to_is_not_less_than_what_is_aboard(tmp_path: Path) -> None:
    """She does not give fuel back: the refusal names the line of the landing and what is aboard."""
    path = edited(tmp_path, FERRY, (f"{FERRY}.yaml", "least plus: 16 US gal", "to: 40 US gal"))
    line = path.read_text(encoding="utf-8").split("to: 40 US gal")[0].count("\n") + 1

    with pytest.raises(PlanError) as caught:
        plan_sectors(read_sectors(path))

    assert caught.value.text() == (
        f"sector 3, Amber Cove to Lagoon Field: {FERRY}.yaml:{line}: 75.6 US gal are aboard on blocks at LX06, more than the "
        "40.0 US gal asked for\n  expected: 75.6 US gal or more\n  hint: 'add: 0 US gal' takes on nothing"
    )


def test_of_two_grades_mixed_the_lower_counts_from_then_on() -> None:
    """A grade is known by its lean and rich numbers (ASTM D910 names aviation gasolines so); a grade is its own lower."""
    from briefgen.spec.build.variations import lower_of

    assert lower_of("100/130", "91/96") == "91/96"
    assert lower_of("91/96", "91/96") == "91/96"
    assert lower_of("91/96", "blend") is None


def test_one_sector_is_asked_for_and_told_how_to_name_it() -> None:
    """A verb that takes one sector lists them as they are named; a name that is none of them is refused."""
    file = SPECS / f"{FERRY}.yaml"
    listed = f"one of {file}#1 (LX08 to LX07), {file}#2 (LX07 to LX06), {file}#3 (LX06 to LX08)"

    for path, problem in (
        (file, "the mission has 3 sectors, and one is wanted here"),
        (Path(f"{file}#4"), "there is no sector '4'"),
    ):
        with pytest.raises(UsageError) as caught:
            read_mission(path)
        assert (caught.value.problem, caught.value.expected) == (problem, listed)
    with pytest.raises(UsageError, match="the mission has one"):
        read_mission(SPECS / "mudlark.yaml#2")


def test_the_data_of_the_journey_hold_those_of_its_sectors(ferry: Plan) -> None:
    """One file for other programs: the journey, and in it the plan of each sector; one fact has one print in both."""
    data = json.loads(plan_json(ferry))

    assert [one["mission"]["name"] for one in data["sectors"]] == [f"Market Round, sector {n} of 3" for n in (1, 2, 3)]
    for number, one in enumerate(data["sectors"], start=1):
        for ours, theirs in (
            ("take_off_weight", "mass.take_off"),
            ("ramp", "fuel.ramp"),
            ("required", "fuel.required.total"),
        ):
            assert data["entries"][f"sector.{number:02d}.{ours}"]["printed"] == one["entries"][theirs]["printed"]


def test_a_mission_without_landings_is_as_it_was() -> None:
    """One sector, the mission itself: nothing is handed on to it."""
    mission = mission_of("mudlark")

    assert read_sectors(SPECS / "mudlark.yaml") == (mission,)
    assert mission.sector is None
    assert isinstance(read_sectors(SPECS / f"{FERRY}.yaml")[1].sector, Sector)
