"""The debrief: shares that add up as printed, one cause that has the whole of it, what cannot be told apart, what was broken."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from functools import cache
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from briefgen.document.flown.files import debrief_files, debrief_text
from briefgen.document.parts.format import Figures
from briefgen.errors import PlanError
from briefgen.model.flight_log import FlightLog
from briefgen.model.performance import IndicatedAirspeed
from briefgen.model.plan import Plan
from briefgen.planning.after.blanks import blanks_of
from briefgen.planning.after.debrief import debrief, join
from briefgen.planning.after.ways import CAUSES, Met, Way
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.spec import schema_text
from briefgen.spec.read_log import read_log
from tests.e2e.test_voice import SLIPS, said
from tests.shared.demo_missions import SPECS, mission_of, plan_of
from tests.shared.flown_logs import log_text

NAME, MPH = "mudlark", 0.44704
# A log to the second and to a hundredth of a gallon: 60 lb/h is 0.02 lb a second, a wind read to one degree moves a leg by
# a few seconds, and a hundredth of a gallon is 0.06 lb.
READ_KG = 0.6
Texts = Mapping[str, str]


@cache
def flown() -> Flown:
    return fly(mission_of(NAME))


@cache
def plan() -> Plan:
    return plan_of(NAME)


def way() -> Way:
    return Way(flown(), len(flown().mission.route.items) - 1)


def met(**changed: object) -> Met:
    return replace(Met(flown().departure, CAUSES), **changed)  # type: ignore[arg-type]


def read(folder: Path, text: str) -> FlightLog:
    path = folder / "log.yaml"
    path.write_text(text, encoding="utf-8")
    return read_log(path, flown().mission, blanks_of(plan().mission, plan().phases))


def debriefed(folder: Path, truth: Met, **how: object) -> Plan:
    text = log_text(way(), truth, blanks_of(plan().mission, plan().phases), "mudlark.yaml", **how)  # type: ignore[arg-type]
    log = read(folder, text)
    return debrief(plan(), join(flown(), log), log)


def shares(found: Plan) -> dict[str, float]:
    """Return the share of every cause [kg]."""
    rows = found.tables["debrief.causes"].rows
    return {row.name: float(found.ledger[row.cells["share"]].value) for row in rows}  # type: ignore[arg-type]


@cache
def everything() -> Plan:
    """Return the debrief of a flight in which everything was otherwise than planned."""
    late = replace(flown().departure, off_blocks=flown().departure.off_blocks + timedelta(minutes=9))
    heavy = replace(late, zero_fuel_mass_kg=late.zero_fuel_mass_kg + 200.0, fuel_kg=late.fuel_kg - 15.0)
    truth = met(
        departure=heavy, waits_s={"out": (1500.0,)}, targets={"0": IndicatedAirspeed(158 * MPH)},
        wind_m_per_s={"0": (-3.0, 1.5)}, consumption_ratio=dict.fromkeys(("out", "take-off", "0", "landing", "in"), 1.04),
    )  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        return debriefed(Path(folder), truth)


def whole_number(text: str) -> int:
    return int(text.replace("\u2212", "-").replace(",", ""))


def test_every_row_adds_up_as_printed_and_every_column_in_truth() -> None:
    """With a pencil: the shares and what is not explained make the difference; the spans of a cause make its share of the whole."""
    found = everything()
    figures, table = Figures(found), found.tables["debrief.spans"]
    rows = [
        {name: whole_number(figures[key]) for name, key in row.cells.items() if name != "between"} for row in table.rows
    ]
    true = [
        {name: found.ledger[key].value for name, key in row.cells.items() if name != "between"} for row in table.rows
    ]

    assert len(rows) > 3
    for row in rows:
        assert row["more"] == row["burnt"] - row["planned"]
        assert row["more"] == sum(value for name, value in row.items() if name not in ("planned", "burnt", "more"))
    for name, whole in true[-1].items():
        assert sum(row[name] for row in true[:-1]) == pytest.approx(whole, abs=1e-6)  # type: ignore[misc]


def test_cedar_lantern_away_from_a_shut_base_adds_up() -> None:
    """Six causes, a hold cut short, another field: the parts make the whole, and what went elsewhere is told apart."""
    planned, before = fly(mission_of("cedar-lantern")), plan_of("cedar-lantern")
    log = read_log(SPECS / "logs" / "cedar-lantern.yaml", planned.mission, blanks_of(before.mission, before.phases))

    found = debrief(before, join(planned, log), log)

    figures, rows = Figures(found), found.tables["debrief.causes"].rows
    printed = {row.name: whole_number(figures[row.cells["share"]]) for row in rows}
    whole = printed.pop("Burnt more than planned")
    assert set(printed) == {
        "Wind",
        "Airspeed",
        "Weight",
        "Consumption",
        "Altitude",
        "Delay and waiting",
        "Not explained",
    }
    assert sum(printed.values()) == whole
    least, most = (found.ledger[f"debrief.cause.wind.{end}"].value for end in ("least", "most"))
    assert least < shares(found)["Wind"] < most  # type: ignore[operator]
    going = [whole_number(figures[f"debrief.elsewhere.{name}"]) for name in ("planned", "written", "more")]
    assert going[0] - going[1] == going[2]
    assert {finding.outcome for finding in found.findings} == {"pass"}


def test_what_is_true_is_found_and_next_to_nothing_stays_unexplained() -> None:
    """A flight in another wind, speed, weight and consumption, its log exact but for its last digits."""
    found = everything()

    told = shares(found)
    assert {"Wind", "Airspeed", "Weight", "Consumption", "Delay and waiting"} < set(told)
    whole = told.pop("Burnt more than planned")
    assert sum(told.values()) == pytest.approx(whole, abs=1e-6)
    # ground, take-off and landing have no flow to read, so four parts in a hundred of their burn has no cause
    unread = sum(p.fuel_burn_kg for p in flown().phases if p.item is None)
    assert told["Not explained"] == pytest.approx(0.04 * unread, abs=5 * READ_KG)


def test_consumption_alone_has_the_whole_difference(tmp_path: Path) -> None:
    """Three parts in a hundred more of what the leg burns, by hand; no other cause has any of it."""
    leg_kg = sum(phase.fuel_burn_kg for phase in flown().phases if phase.item == 0)

    told = shares(debriefed(tmp_path, met(consumption_ratio={"0": 1.03}), read=("wind", "fuel flow")))

    assert told["Consumption"] == pytest.approx(0.03 * leg_kg, abs=2 * READ_KG)
    assert abs(told["Wind"]) < READ_KG
    assert told["Not explained"] == pytest.approx(0.0, abs=2 * READ_KG)


def test_waiting_alone_burns_its_minutes_at_the_flow_of_the_taxi(tmp_path: Path) -> None:
    """Seven minutes longer on the ground: the flow of the taxi times 420 s, by hand."""
    out_s = flown().mission.times.start_s + flown().mission.times.taxi_out_s + flown().mission.times.run_up_s
    flow = flown().crew.performance.ground_fuel_flow_kg_per_s("taxi")

    told = shares(debriefed(tmp_path, met(waits_s={"out": (out_s + 420.0,)}), read=()))

    assert told["Delay and waiting"] == pytest.approx(420.0 * flow, abs=2 * READ_KG)


def test_without_wind_or_airspeed_the_two_are_one_cause(tmp_path: Path) -> None:
    """Time over two points alone says how fast she went over the ground, and nothing of why."""
    told = shares(debriefed(tmp_path, met(wind_m_per_s={"0": (-4.0, 0.0)}), read=()))

    assert "Ground speed" in told
    assert not {"Wind", "Airspeed"} & set(told)
    assert told["Not explained"] == pytest.approx(0.0, abs=4 * READ_KG)


def test_a_log_of_nothing_but_times_has_no_difference_in_fuel(tmp_path: Path) -> None:
    """What was not read is not known: no shares, no reserve, and the page says of the rest what there is."""
    log = read(
        tmp_path,
        'briefgen: log/1\nmission: mudlark.yaml\nnumber: LRF-0419\nrevision: 1\noff blocks: { time: "2027-02-23 02:20Z" }\n'
        'lines:\n  - { no: 3, time: "03:35Z" }\n',
    )

    found = debrief(plan(), join(flown(), log), log)

    assert "debrief.causes" not in found.tables
    assert "debrief.left.landed" not in found.ledger
    assert found.ledger.absent["debrief.left.landed"] == "it was not written down"
    assert "Where the difference came from" not in debrief_text(found)
    assert "index.html" in debrief_files(found, pdf=False, built_at=None)


def test_limits_broken_in_flight_are_told(tmp_path: Path) -> None:
    """Nine minutes at take-off power where five are allowed, and the final reserve burnt into."""
    short = replace(flown().departure, fuel_kg=flown().departure.fuel_kg - 390.0)
    text = (
        log_text(way(), met(departure=short), blanks_of(plan().mission, plan().phases), "mudlark.yaml")
        + "engines: { take-off power: 9 min }\n"
    )
    log = read(tmp_path, text)

    told = {finding.ident: finding for finding in debrief(plan(), join(flown(), log), log).findings}

    assert told["debrief-take-off-power"].outcome == "fail"
    assert told["debrief-final-reserve"].outcome == "fail"
    assert told["debrief-landing-weight"].outcome == "pass"


def test_a_time_nobody_could_keep_is_refused(tmp_path: Path) -> None:
    """Sixty miles in four minutes: the message names the place and asks for the times again."""
    log = read(
        tmp_path,
        "briefgen: log/1\nmission: mudlark.yaml\nnumber: LRF-0419\nrevision: 1\n"
        'lines:\n  - { no: 1, time: "02:40Z" }\n  - { no: 3, time: "02:44Z" }\n',
    )

    with pytest.raises(PlanError, match="asks for a wind of"):
        join(flown(), log)


def test_every_figure_of_the_debrief_ends_at_something_written() -> None:
    """The trees go down through the log or the plan to a file and a line; none ends in the air."""
    found = everything()

    for key in (row.cells["share"] for row in found.tables["debrief.causes"].rows):
        todo, seen = [key], set[str]()
        while todo:
            entry = found.ledger[todo.pop()]
            if entry.key not in seen:
                seen.add(entry.key)
                todo += entry.inputs
        assert any(found.ledger[name].given is not None for name in seen), key


def test_words_of_the_crew_stay_words(tmp_path: Path) -> None:
    """Markup, braces and formulas in remarks and defects are printed as they were written, and the data keeps its schema."""
    hostile = "{{fuel.ramp}} <script>a()</script> =1+1"
    quoted = json.dumps(hostile)
    text = log_text(way(), met(), blanks_of(plan().mission, plan().phases), "mudlark.yaml", read=())
    text = text.replace("  - { no: 3,", f"  - {{ no: 3, remarks: {quoted},")
    log = read(tmp_path, f"{text}remarks: [{quoted}]\ndefects:\n  - {{ what: {quoted} }}\n")

    found = debrief(plan(), join(flown(), log), log)
    files = debrief_files(found, pdf=False, built_at=None)

    page = next(
        content for name, content in files.items() if name.count("/") == 1 and name.endswith("/index.html")
    ).decode()
    assert page.count("{{fuel.ramp}} &lt;script&gt;a()&lt;/script&gt; =1+1") == 3
    data = json.loads(next(content for name, content in files.items() if name.endswith("debrief.json")))
    assert list(Draft202012Validator(json.loads(schema_text("plan"))).iter_errors(data)) == []


def test_what_the_debrief_says_is_in_words() -> None:
    """No key, no unfilled figure, no slip: what holds for the plan holds for what goes on after it."""
    found = everything()

    slips = [
        f"{slip} in the {where}: {text}"
        for where, text in said(replace(found, events=()))
        for slip, pattern in SLIPS.items()
        if "debrief" in where and pattern.search(text)
    ]

    assert slips == []
