"""Every broken specification is answered with exactly the message written beside it, and never with a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest

from briefgen.errors import SpecError
from briefgen.spec import read_mission
from tests.shared.bad_spec_cases import BASE, cases, make_folder, read_case

LEAST_CASES = 40


def test_the_base_of_all_cases_is_sound() -> None:
    """What the cases break is whole before they do."""
    assert read_mission(BASE / "mission.yaml").name == "Small Lamp"


def test_there_are_enough_cases() -> None:
    """The cases are found, and are as many as the format's promises need."""
    assert len(cases()) >= LEAST_CASES


@pytest.mark.parametrize("path", cases(), ids=lambda path: path.stem)
def test_broken_specification_gets_its_exact_message(path: Path, tmp_path: Path) -> None:
    """The text of the error is the text of the case, file names relative to the specification."""
    case = read_case(path)
    mission = make_folder(case, tmp_path)

    with pytest.raises(SpecError) as caught:
        read_mission(mission)

    assert caught.value.text().replace(f"{tmp_path}/", "") == case.expected
    assert caught.value.exit_code == 2
