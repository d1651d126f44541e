"""The log of a flight: an empty one reads, a filled one means what it says, a wrong one is refused at its place."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest

from briefgen.errors import SpecError
from briefgen.model.flight_log import Blanks, FlightLog
from briefgen.planning.after.blanks import blanks_of
from briefgen.spec.read_log import mission_of_log, read_log
from briefgen.spec.write_log import empty_log
from tests.shared.demo_missions import mission_of, plan_of

# Exact by definition (NIST SP 811, appendix B): a U.S. gallon is 231 cubic inches, a pound 0.45359237 kg, a knot 1852 m an hour.
GALLON_M3, POUND_KG, KNOT_M_PER_S = 231 * 0.0254**3, 0.45359237, 1852 / 3600
HEAD = "briefgen: log/1\nmission: mudlark.yaml\nnumber: LRF-0419\nrevision: 1\n"
ERROR = "reading error: 5 US gal\n"


@cache
def blanks() -> Blanks:
    return blanks_of(plan_of("mudlark").mission, plan_of("mudlark").phases)


def read(folder: Path, text: str) -> FlightLog:
    path = folder / "log.yaml"
    path.write_text(text, encoding="utf-8")
    return read_log(path, mission_of("mudlark"), blanks())


def refusal(folder: Path, text: str) -> str:
    with pytest.raises(SpecError) as caught:
        read(folder, text)
    return caught.value.text().replace(f"{folder}/", "")


def test_an_empty_log_reads_and_numbers_its_lines_as_the_card_does(tmp_path: Path) -> None:
    """Every line of the fuel log's table stands in it once, in order, and nothing is known yet."""
    mission, plan = mission_of("mudlark"), plan_of("mudlark")

    log = read(tmp_path, empty_log(mission, "mudlark.yaml", blanks()))

    rows = plan.tables["briefing.fuel_log"].rows
    assert [line.blank.number for line in log.lines if line.blank] == [*range(1, len(rows) + 1)]
    assert all(line.instant is None and line.fuel is None for line in log.lines)
    assert log.events == {}


def test_what_is_written_is_read_in_si_and_utc(tmp_path: Path) -> None:
    """Units are met at the border: gallons and their density to kilograms, clocks to instants, a wind to its parts."""
    log = read(
        tmp_path,
        HEAD + ERROR + "density: 6.0 lb/US gal\n"
        'off blocks: { time: "2027-02-23 02:14Z", fuel: "420 US gal" }\n'
        'lines:\n  - { no: 3, time: "03:31Z", fuel: 230 US gal, indicated: 150 kt indicated, fuel flow: 120 US gal/h, wind: 270T/20 kt }\n'
        "engines: { take-off power: 3 min }\n",
    )
    line = log.lines[0]

    assert log.events["off blocks"].instant == datetime(2027, 2, 23, 2, 14, tzinfo=UTC)
    assert log.events["off blocks"].fuel is not None
    assert log.events["off blocks"].fuel.total_kg == pytest.approx(420 * 6 * POUND_KG)
    assert line.instant == datetime(2027, 2, 23, 3, 31, tzinfo=UTC)
    assert line.fuel_flow_kg_per_s == pytest.approx(120 * 6 * POUND_KG / 3600)
    assert line.wind_m_per_s == pytest.approx((20 * KNOT_M_PER_S, 0.0), abs=1e-9)
    assert line.ias_m_per_s == pytest.approx(150 * KNOT_M_PER_S)
    assert log.reading_error_kg == pytest.approx(5 * 6 * POUND_KG)
    assert log.engines.take_off_power_s == 180.0


def test_a_time_of_day_is_the_one_nearest_to_the_plan(tmp_path: Path) -> None:
    """A flight two hours early is on the day before; the mission's zone is eleven hours ahead of UTC."""
    log = read(tmp_path, HEAD + 'off blocks: { time: "23:50Z" }\nlines:\n  - { no: 1, time: "11:20" }\n')

    assert log.events["off blocks"].instant == datetime(2027, 2, 22, 23, 50, tzinfo=UTC)
    assert log.lines[0].instant == datetime(2027, 2, 23, 0, 20, tzinfo=UTC)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (
            'off blocks: { time: "02:14Z" }\nlines:\n  - { no: 1, time: "02:36Z" }\n  - { no: 3, time: "02:30Z" }\n',
            "log.yaml:8:20: lines[1].time: '02:30Z' is before '02:36Z' on line 7\n"
            "  expected: times in the order of the flight\n"
            "  hint: a time of day means the one nearest to the plan; write the date where it is more than twelve hours off",
        ),
        (
            ERROR + "lines:\n  - { no: 1, fuel: 300 US gal }\n  - { no: 3, fuel: 340 US gal }\n",
            "log.yaml:8:20: lines[1].fuel: the fuel rises by 40 US gal since the reading on line 7\n"
            "  expected: less fuel than before, within the reading error",
        ),
        (
            "lines:\n  - { at: MARLIN }\n",
            "log.yaml:6:11: lines[0].at: 'MARLIN' is not a place of this log\n  expected: one of LX02, LX01",
        ),
        ("lines:\n  - { no: 9 }\n", "log.yaml:6:11: lines[0].no: there is no line 9 in this log\n  expected: a number from 1 to 4"),
        (
            "lines:\n  - { no: 1, at: LX01 }\n",
            "log.yaml:6:18: lines[0].at: line 1 is not at LX01\n  expected: 'LX02', or the number of a line at LX01",
        ),
        (
            'lines:\n  - { at: LX01, time: "03:30Z" }\n',
            "log.yaml:6:11: lines[0].at: LX01 stands in several lines\n  expected: the number of one of them: 3, 4",
        ),
        (
            "lines:\n  - { no: 3 }\n  - { no: 2 }\n",
            "log.yaml:7:11: lines[1].no: line 2 stands below line 3\n  expected: lines in the order of the card, each once",
        ),
        (
            "lines:\n  - { no: 1, fuel: 300 US gal }\n",
            "log.yaml:1:1: fuel is read, and 'reading error' is missing\n"
            '  expected: reading error: how far one reading of all tanks together may be off, such as "8 US gal"',
        ),
        (
            ERROR + "lines:\n  - { no: 1, fuel: 9000 US gal }\n",
            "log.yaml:7:20: lines[0].fuel: 9,000 US gal is more than it holds\n  expected: at most 3,130 US gal",
        ),
        (
            "engines: { oil in: [24 US gal] }\n",
            "log.yaml:5:12: engines.oil in: 1 engines are written\n  expected: 4, one for each engine",
        ),
        (
            "drops:\n  - { leaves: drop pass 1, mass: 10 lb }\n",
            "log.yaml:6:15: drops[0].leaves: 'drop pass 1' is not a label under which a load leaves\n"
            "  expected: a label under which a load leaves, but there is none",
        ),
        (
            "landed at: LX05X\n",
            "log.yaml:5:12: landed at: 'LX05X' is not a field of this mission to land at\n  expected: one of LX01, LX05\n  hint: did you mean 'LX05'?",
        ),
        ("off ground: { time: 02:70Z }\n", "log.yaml:5:21: off ground.time: '02:70Z': there is no such time of day\n  expected: an hour from 00 to 23 and a minute from 00 to 59"),
    ],
    ids=lambda value: value.split("\n")[0][:40],
)  # fmt: skip
def test_a_wrong_log_is_refused_at_line_and_column(tmp_path: Path, body: str, expected: str) -> None:
    """Each message says where, what is wrong, and what would be right."""
    assert refusal(tmp_path, HEAD + body) == expected


def test_a_log_of_another_revision_or_mission_is_refused(tmp_path: Path) -> None:
    """Figures of one plan are not held against the flight of another."""
    told = refusal(tmp_path, HEAD.replace("0419", "0412").replace("revision: 1", "revision: 2"))

    assert "log.yaml:3:9: number: this is the log of LRF-0412" in told
    assert "log.yaml:4:11: revision: this is the log of revision 2" in told


def test_tanks_are_read_all_or_none(tmp_path: Path) -> None:
    """A tank that was not read is not taken as empty."""
    told = refusal(tmp_path, HEAD + ERROR + "lines:\n  - { no: 1, fuel by tank: { no such tank: 3 US gal } }\n")

    assert "'no such tank' is not a tank" in told
    assert "not read:" in told


def test_a_log_names_its_mission_beside_it_or_above(tmp_path: Path) -> None:
    """Where there is no such mission, the message points at the name."""
    (tmp_path / "mudlark.yaml").write_text("", encoding="utf-8")
    (tmp_path / "logs").mkdir()
    (tmp_path / "logs" / "one.yaml").write_text(HEAD, encoding="utf-8")

    assert mission_of_log(tmp_path / "logs" / "one.yaml") == tmp_path / "mudlark.yaml"
    (tmp_path / "mudlark.yaml").unlink()
    with pytest.raises(SpecError, match=r"one\.yaml:2:10: mission: 'mudlark\.yaml': there is no such file"):
        mission_of_log(tmp_path / "logs" / "one.yaml")


def test_what_is_flown_is_an_altitude_and_the_old_word_is_refused_with_it(tmp_path: Path) -> None:
    """Altitude is counted from the sea, height from the ground: a log says the first."""
    said = refusal(tmp_path, HEAD + 'lines:\n  - { no: 3, height: "7,000 ft" }\n')

    assert "'height' is not a key here" in said
    assert "hint: did you mean 'altitude'?" in said
