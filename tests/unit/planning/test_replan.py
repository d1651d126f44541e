"""The rest of a flight planned anew: nothing changed changes nothing, what is found is applied and fades, what fails is counted."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from briefgen.document import plan_json
from briefgen.document.flown.files import replan_files
from briefgen.document.flown.replan_text import replan_text
from briefgen.errors import PlanError, SpecError
from briefgen.model.flight_log import FlightLog
from briefgen.model.mission import WindFading
from briefgen.planning.after.blanks import blanks_of
from briefgen.planning.after.fading import FadingWind, WindDifference
from briefgen.planning.after.fix import fix_of, up_to
from briefgen.planning.after.replan import Changed, fly_anew, replan
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.spec import schema_text
from briefgen.spec.read_log import read_fix, read_log
from tests.e2e.test_voice import SLIPS, said
from tests.shared.demo_missions import SPECS, mission_of

CEDAR, MUDLARK = "cedar-lantern", "mudlark"
GALLON_KG = 231 * 0.0254**3 * 718.9585639013799  # 6.0 lb to the gallon


@cache
def flown(name: str) -> Flown:
    return fly(mission_of(name))


@cache
def cedar_log() -> FlightLog:
    planned = flown(CEDAR)
    return read_log(SPECS / "logs" / f"{CEDAR}.yaml", planned.mission, blanks_of(planned.mission, planned.phases))


def fix(name: str, at: str, time: str, fuel: str) -> FlightLog:
    planned = flown(name)
    return read_fix(at, time, fuel, planned.mission, blanks_of(planned.mission, planned.phases))


def as_planned(name: str, number: int) -> FlightLog:
    """Return a log whose one line is what the plan said it would be, to the second and to the hundredth of a gallon."""
    planned = flown(name)
    blank = blanks_of(planned.mission, planned.phases).lines[number - 1]
    end = next(phase.end for phase in planned.phases if phase.ident == blank.phase)
    volume = end.fuel_kg / planned.mission.fuel.density_kg_per_m3 / (231 * 0.0254**3)
    return fix(name, str(number), f"{end.instant + timedelta(seconds=0.5):%Y-%m-%d %H:%M:%S}Z", f"{volume:.2f} US gal")


def test_a_flight_as_planned_is_planned_anew_as_it_was() -> None:
    """From a fix that is the plan's own, every point ahead is where the plan has it."""
    planned = flown(CEDAR)

    anew = fly_anew(planned, as_planned(CEDAR, 7), Changed())

    before = {(phase.item, phase.kind): phase for phase in planned.phases}
    for phase in anew.rest.phases:
        was = before[phase.item, phase.kind]
        assert abs((phase.end.instant - was.end.instant).total_seconds()) < 2.0
        assert phase.end.fuel_kg == pytest.approx(was.end.fuel_kg, abs=0.3)


@pytest.mark.parametrize(("number", "ahead"), [(7, ("10", "12", "14", "15")), (12, ("14", "15"))])
def test_cedar_lantern_at_two_fixes(number: int, ahead: tuple[str, ...]) -> None:
    """After the drop, and over the shut base: the lines still to come, the fields, the hold, and the least fuel to go on."""
    planned, log = flown(CEDAR), up_to(cedar_log(), str(number))

    anew = fly_anew(planned, log, Changed())
    found = replan(planned, anew, log)

    rows = found.tables["replan.lines"].rows
    assert tuple(found.ledger[row.cells["no"]].value for row in rows) == ahead
    assert found.tables["replan.leaves"].rows
    parts = [float(found.ledger[f"replan.fix.{name}"].value) for name in ("onward", "away", "held_back")]  # type: ignore[arg-type]
    assert found.ledger["replan.fix.least"].value == pytest.approx(sum(parts))
    assert found.findings[0].outcome == "pass"
    assert anew.found is not None
    assert not anew.found.by_ground_speed


def test_fuel_at_the_fix_is_the_last_reading_less_the_flow_since(tmp_path: Path) -> None:
    """Eighteen minutes at 120 gallons an hour after a reading of 350 leave 314, by hand."""
    planned = flown(MUDLARK)
    text = (
        "briefgen: log/1\nmission: mudlark.yaml\nnumber: LRF-0419\nrevision: 1\nreading error: 5 US gal\nlines:\n"
        '  - { no: 1, time: "02:34Z", fuel: 350 US gal }\n'
        '  - { time: "02:52Z", position: 16-52-00S 167-53-00E, fuel flow: 120 US gal/h }\n'
        "  - { no: 2 }\n"
    )
    (tmp_path / "log.yaml").write_text(text, encoding="utf-8")
    log = read_log(tmp_path / "log.yaml", planned.mission, blanks_of(planned.mission, planned.phases))

    found = fix_of(planned, log)

    assert found.node.fuel_kg == pytest.approx(314.0 * GALLON_KG, rel=1e-6)
    assert found.node.mass_kg == pytest.approx(planned.departure.zero_fuel_mass_kg + 314.0 * GALLON_KG, rel=1e-6)
    assert (found.node.lat_deg, found.item, found.flow_read) == (pytest.approx(-(16 + 52 / 60)), 0, True)


def test_a_found_wind_fades_with_distance_and_time() -> None:
    """At the place and time it was found all of it is applied; 0.37 of it one length away, and one time later."""
    sky, fading = flown(MUDLARK).crew.sky, WindFading(300_000.0, 6 * 3600.0, "by hand")
    node = flown(MUDLARK).phases[6].start
    found = WindDifference(5.0, 0.0, node.lat_deg, node.lon_deg, node.instant, "a leg", False)
    faded = FadingWind(sky, found, fading)

    east_m = 300_000.0 / (6_371_000.0 * math.cos(math.radians(node.lat_deg)))
    assert faded.left(node.lat_deg, node.lon_deg, node.instant) == 1.0
    # a sphere of the mean radius stands in for the ellipsoid: half a per cent of distance
    assert faded.left(node.lat_deg, node.lon_deg + math.degrees(east_m), node.instant) == pytest.approx(
        math.exp(-1), rel=0.01
    )
    assert faded.left(node.lat_deg, node.lon_deg, node.instant + timedelta(hours=6)) == pytest.approx(
        math.exp(-1), rel=1e-9
    )
    there = faded.air(node.lat_deg, node.lon_deg, node.pressure_altitude_m, node.instant)
    before = sky.air(node.lat_deg, node.lon_deg, node.pressure_altitude_m, node.instant)
    assert there.wind_east_m_per_s - before.wind_east_m_per_s == pytest.approx(5.0)


def test_without_a_stated_fading_the_forecast_stands_ahead() -> None:
    """Nothing is applied ahead that nobody said how to apply; the page says so."""
    planned, log = flown(CEDAR), up_to(cedar_log(), "7")
    silent = replace(planned, mission=replace(planned.mission, fading=None))

    anew = fly_anew(silent, log, Changed())

    assert anew.forecast is anew.rest.phases
    assert "not applied ahead: the mission does not say how a found wind fades" in replan_text(
        replan(silent, anew, log)
    )


def test_an_engine_stopped_costs_fuel_or_time_and_is_flown_at_once() -> None:
    """On three of four she flies the rest in another setting; a number of engines the file does not know is refused."""
    planned, log = flown(CEDAR), up_to(cedar_log(), "10")

    four, three = (fly_anew(planned, log, Changed(running)).rest.phases[-1].end for running in (None, 3))

    assert four != three
    assert fly_anew(planned, log, Changed(4)).rest.phases[-1].end == four
    with pytest.raises(PlanError, match="no figures for 7 engines running"):
        fly_anew(planned, log, Changed(7))


def test_fuel_that_cannot_be_had_is_held_back() -> None:
    """A tank whose transfer failed: its fuel stays aboard as weight and counts for nothing; not read, it is not guessed."""
    planned, log = flown(CEDAR), up_to(cedar_log(), "10")
    with pytest.raises(PlanError, match="the fuel in the tip left tank is not known at line 10"):
        fly_anew(planned, log, Changed(tanks=("tip left",)))
    tank = next(one for one in planned.mission.aircraft.balance.tanks if one.name == "tip left")
    last = log.lines[-1]
    assert last.fuel is not None
    read = replace(last, fuel=replace(last.fuel, by_tank_kg={"tip left": 200.0}))
    whole = fly_anew(planned, log, Changed())

    lost = fly_anew(planned, replace(log, lines=(*log.lines[:-1], read)), Changed(tanks=("tip left",)))

    unusable_kg = tank.unusable_m3 * planned.mission.fuel.density_kg_per_m3
    assert lost.rest.held_back_kg - whole.rest.held_back_kg == pytest.approx(200.0 - unusable_kg)
    assert lost.rest.phases[-1].end == whole.rest.phases[-1].end


def test_turning_to_an_alternate_flies_there_and_asks_for_nothing_beyond() -> None:
    """An hour before Kestrel Landing: she comes there when the log says she did, to the minutes and gallons of its readings."""
    planned, log = flown(CEDAR), cedar_log()
    with pytest.raises(PlanError, match="she is past the route after line 14") as refused:
        fly_anew(planned, log, Changed())
    assert "--to" in refused.value.hint

    anew = fly_anew(planned, log, Changed(to="LX04"))
    found = replan(planned, anew, log)

    landed = anew.rest.phases[-1].end
    kestrel = next(one.place for one in planned.mission.alternates if one.place.ident == "LX04")
    assert landed.lat_deg == pytest.approx(kestrel.lat_deg, abs=1e-6)
    down = log.events["on ground"]
    assert down.fuel is not None
    assert down.instant is not None
    assert abs(landed.instant - down.instant) < timedelta(minutes=3)
    assert landed.fuel_kg == pytest.approx(down.fuel.total_kg, abs=6.0 * GALLON_KG)
    unusable_kg = (
        math.fsum(one.unusable_m3 for one in planned.mission.aircraft.balance.tanks)
        * planned.mission.fuel.density_kg_per_m3
    )
    least = found.ledger["replan.fix.least"].value
    assert least == pytest.approx(anew.fix.node.fuel_kg - landed.fuel_kg + planned.reserve.fuel_kg + unusable_kg)
    assert found.ledger["replan.fix.away"].value == 0.0
    assert found.ledger["replan.fix.going_to"].value == kestrel.name
    assert "LX04" not in {row.name for row in found.tables["replan.fields"].rows}
    assert not {"replan.equal", "replan.leaves"} & set(found.tables)


def test_turning_from_over_the_base_is_the_way_of_the_plan() -> None:
    """From a fix that is the plan's own arrival, the way to the alternate is the one in its fuel sheet, in the same air."""
    planned = flown(CEDAR)
    number = next(one.number for one in blanks_of(planned.mission, planned.phases).lines if one.where == "hold ends")

    anew = fly_anew(planned, as_planned(CEDAR, number), Changed(to="LX04"))

    way = next(one for one in planned.diversions if one.ident == "LX04")
    assert [phase.kind for phase in anew.rest.phases] == [phase.kind for phase in way.phases]
    # the plan's way begins in the circuit of the destination, lower and some minutes later
    assert anew.fix.node.fuel_kg - anew.rest.phases[-1].end.fuel_kg == pytest.approx(way.fuel_kg, rel=0.05)
    with pytest.raises(PlanError, match="the mission has no way to 'LX99'"):
        fly_anew(planned, as_planned(CEDAR, number), Changed(to="LX99"))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the log has no fix: no line has both a place and a time"),
        ('lines:\n  - { no: 1, time: "02:34Z" }\n', "no fuel was read up to the fix"),
        (
            'reading error: 5 US gal\nlines:\n  - { no: 4, time: "03:40Z", fuel: 200 US gal }\n',
            "she is past the route at line 4: there is no rest to plan",
        ),
    ],
)
def test_what_a_log_does_not_tell_is_asked_for(tmp_path: Path, text: str, told: str) -> None:
    """No place, no fuel, no route ahead: each is said."""
    planned = flown(MUDLARK)
    head = "briefgen: log/1\nmission: mudlark.yaml\nnumber: LRF-0419\nrevision: 1\n"
    (tmp_path / "log.yaml").write_text(head + text, encoding="utf-8")
    log = read_log(tmp_path / "log.yaml", planned.mission, blanks_of(planned.mission, planned.phases))

    with pytest.raises(PlanError, match=told):
        fly_anew(planned, log, Changed())


def test_a_fix_on_the_command_line_is_read_like_a_log() -> None:
    """What a log may not say, the command line may not say either; the message names the options."""
    with pytest.raises(SpecError, match="the fix given by --at, --time and --fuel: lines"):
        fix(MUDLARK, "NOWHERE", "02:34Z", "394 US gal")
    log = fix(MUDLARK, "LX02", "02:34Z", "394 US gal")
    assert log.lines[0].instant == datetime(2027, 2, 23, 2, 34, tzinfo=UTC)


def test_the_cards_are_stamped_with_the_fix() -> None:
    """Every card that changed says from where and when; there are no others, and what fits on one takes one."""
    planned = flown(CEDAR)
    for at, turned, stamp, count in (
        ("7", "", "From pass 2 ends, 18:45Z, to Harrow Point", 2),
        ("12", "LX04", "From Harrow Point, 21:01Z, to Kestrel Landing", 1),
    ):
        log = up_to(cedar_log(), at)
        found = replan(planned, fly_anew(planned, log, Changed(to=turned)), log)
        files = replan_files(found, pdf=False, built_at=None)
        cards = next(content for name, content in files.items() if name.endswith("/cards.html")).decode()

        assert cards.count('<article class="card') == count
        assert cards.count(stamp) == count


def test_the_rest_as_data_keeps_the_schema_of_plans() -> None:
    """Another program reads it as it reads a plan."""
    planned, log = flown(CEDAR), up_to(cedar_log(), "12")
    data = json.loads(plan_json(replan(planned, fly_anew(planned, log, Changed()), log)))

    assert list(Draft202012Validator(json.loads(schema_text("plan"))).iter_errors(data)) == []


def test_what_the_rest_says_is_in_words() -> None:
    """No key, no unfilled figure, no slip in its labels, methods, findings and tables."""
    planned, log = flown(CEDAR), up_to(cedar_log(), "7")
    found = replan(planned, fly_anew(planned, log, Changed(3)), log)

    assert [
        f"{where}: {text}" for where, text in said(found) for pattern in SLIPS.values() if pattern.search(text)
    ] == []
