"""What cannot be flown is refused with its place in the file and its phase, in the units of the trade."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from briefgen.errors import BriefgenError
from briefgen.planning.flight.fly import fly
from briefgen.spec import read_mission
from tests.shared.timed_missions import SPECS


def refusal(folder: Path, *changes: tuple[str, str], file: str = "cedar-lantern.yaml") -> BriefgenError:
    """Return why the demo cannot be flown with changes of its text."""
    copy = folder / "specs"
    shutil.copytree(SPECS, copy)
    written = copy / file
    text = written.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    written.write_text(text, encoding="utf-8")
    mission = read_mission(written)
    with pytest.raises(BriefgenError) as raised:
        fly(mission)
    return raised.value


def line_of(folder: Path, text: str, file: str = "cedar-lantern.yaml") -> int:
    lines = (folder / "specs" / file).read_text(encoding="utf-8").splitlines()
    return next(number for number, line in enumerate(lines, start=1) if text in line)


def test_a_hold_slower_than_she_may_wait_is_refused(tmp_path: Path) -> None:
    """The aircraft file gives 120 mph for the hold; 92 mph passed, and only 86 were refused by the model."""
    error = refusal(tmp_path, ("speed: 120 mph indicated", "speed: 92 mph indicated"))

    assert "92 mph (80 kt) indicated, slower than she may wait" in error.problem
    assert "120 mph" in error.expected


def test_passes_close_to_the_stall_are_refused(tmp_path: Path) -> None:
    """Low down with loads by the door: 95 mph, no tenth over the stall with those flaps, passed every rule."""
    error = refusal(tmp_path, ("speed: 130 mph indicated", "speed: 95 mph indicated"))

    assert "95 mph (83 kt) indicated, below 1.2 of the stall" in error.problem


def test_passes_without_time_to_turn_back_are_refused(tmp_path: Path) -> None:
    """Two half turns at the standard rate of three degrees a second take two minutes (common practice)."""
    error = refusal(tmp_path, ("drop pass 1, lasts: 6 min", "drop pass 1, lasts: 1 min"))

    assert "pass 1 over SADDLE lasts 1.0 min" in error.problem


def test_a_refusal_names_file_line_item_and_phase_in_feet_and_pounds(tmp_path: Path) -> None:
    error = refusal(tmp_path, ('{ to: TERN, altitude: "9,000 ft"', '{ to: TERN, altitude: "19,000 ft"'))
    line = line_of(tmp_path, "19,000 ft")

    assert error.where.startswith(f"cedar-lantern.yaml:{line}: route item 4 (to TERN): Climb")
    assert " m " not in error.problem
    assert " K" not in error.problem


def test_a_descent_that_cannot_be_placed_names_phase_file_and_line_and_how_much_is_missing(tmp_path: Path) -> None:
    error = refusal(tmp_path, ('altitude: "3,000 ft"', 'altitude: "9,500 ft"'), file="mudlark.yaml")
    line = line_of(tmp_path, 'altitude: "9,500 ft"', file="mudlark.yaml")

    assert error.where == f"mudlark.yaml:{line}: alternate LX05: Descend"
    assert re.search(r"too short to descend in: the descent ends \d+\.\d NM beyond its end", error.problem)


def test_a_level_that_cannot_be_settled_at_names_its_phase(tmp_path: Path) -> None:
    """The climb to it lies inside the forecast, the level itself does not."""
    written = 'altitude: "{}"\n    cruise: long range\n    safe altitude: "6,700 ft"\n    because'
    error = refusal(tmp_path, (written.format("7,000 ft"), written.format("17,900 ft")))

    assert ": alternate LX04: Climb" in error.where


def test_a_level_above_her_ceiling_is_told_before_the_weather_is_asked(tmp_path: Path) -> None:
    """The forecast ends at 18,000 ft, and said so first."""
    error = refusal(tmp_path, ('{ to: TERN, altitude: "9,000 ft"', '{ to: TERN, altitude: "49,000 ft"'))
    line = line_of(tmp_path, "49,000 ft")

    assert error.where == f"cedar-lantern.yaml:{line}: leg to TERN"
    assert error.problem == "pressure altitude 49,000 ft is above what the model covers"


def test_more_fuel_than_the_tanks_hold_is_told_first(tmp_path: Path) -> None:
    error = refusal(tmp_path, ('at ramp: "1,495 US gal"', 'at ramp: "4,900 US gal"'))

    assert error.problem == "4,900 US gal of fuel are to be loaded, more than the tanks hold"
    assert error.where == f"cedar-lantern.yaml:{line_of(tmp_path, '4,900 US gal')}"
