"""What `check` passes, `build` writes: demo missions changed by a seeded hand, each either refused by a check or made whole.

A few in the ordinary run; BRIEFGEN_BUILDS=500 is the long one.
"""

from __future__ import annotations

import os
import random
import re
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from briefgen.document import require_conservation
from briefgen.document.cards.contents import all_cards
from briefgen.document.parts.assemble import source_of
from briefgen.document.site import mission_files
from briefgen.errors import BriefgenError, SpecError
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS

SEED, ORDINARY = 9, 3
ROUNDS = int(os.environ.get("BRIEFGEN_BUILDS", ORDINARY))
MADE_AT = datetime(2027, 1, 1, tzinfo=UTC)
PURPOSE = re.compile(r"^purpose: \|\n(?:  .*\n|\n)+", re.MULTILINE)
PLAIN = ("word", "**strong**", "{{", "{fuel.ramp}", "°C", "https://example.org/a", "x" * 180, "#", "- a")
ODD = ("{no.such}", "\u6f22", "x" * 900, "", "", "", "", "", "")


def _changed(text: str, chance: random.Random) -> str:
    """Return a mission with its purpose written anew, and a number of it drawn anew."""
    words = " ".join([*(chance.choice(PLAIN) for _ in range(chance.choice((1, 12, 200, 900)))), chance.choice(ODD)])
    text = PURPOSE.sub(lambda _: f'purpose: "{words}"\n\n', text, count=1)
    numbers = list(re.finditer(r"(?<=[ \"])\d[\d,]*(?= (?:ft|lb|US gal|min|kt|mph)\b)", text))
    spot = chance.choice(numbers)
    other = max(1, round(int(spot[0].replace(",", "")) * chance.uniform(0.8, 1.25)))
    return text[: spot.start()] + str(other) + text[spot.end() :]


def _checked(mission: Path) -> Plan | None:
    """Return the plan as `check` makes it, None where it refuses."""
    try:
        plan = plan_mission(read_mission(mission))
        require_conservation(plan)
    except BriefgenError:
        return None
    return plan


def test_what_check_passes_build_writes(tmp_path: Path) -> None:
    folder, chance, built = tmp_path / "specs", random.Random(SEED), 0
    shutil.copytree(SPECS, folder)
    for number in range(ROUNDS):
        mission = folder / ("mudlark.yaml" if ROUNDS == ORDINARY else chance.choice(sorted(SPECS.glob("*.yaml"))).name)
        sound = mission.read_text(encoding="utf-8")
        mission.write_text(_changed(sound, chance), encoding="utf-8")
        plan = _checked(mission)
        if plan is not None:
            files = mission_files(source_of(plan), pdf=number % 10 == 9, built_at=MADE_AT)
            assert any(name.endswith("index.html") for name in files)
            built += 1
        mission.write_text(sound, encoding="utf-8")
    assert built


@pytest.mark.parametrize(
    ("purpose", "said"),
    [
        ("{crew.captain.name} {no.such}", "the text quotes 'no.such', which the plan does not have"),
        ("a letter of another script: \u6f22", "the cards' typeface has no character"),
        ("word " + "x" * 5000, "a word of the text has 5,000 letters"),
    ],
)
def test_a_text_that_cannot_be_built_is_refused_by_check_at_its_line(tmp_path: Path, purpose: str, said: str) -> None:
    folder = tmp_path / "specs"
    shutil.copytree(SPECS, folder)
    mission = folder / "mudlark.yaml"
    mission.write_text(
        PURPOSE.sub(lambda _: f'purpose: "{purpose}"\n\n', mission.read_text(encoding="utf-8"), count=1),
        encoding="utf-8",
    )

    with pytest.raises(SpecError) as raised:
        require_conservation(plan_mission(read_mission(mission)))

    assert re.search(r"mudlark\.yaml:\d+:\d+: purpose: " + re.escape(said), raised.value.text())


def test_a_long_text_of_short_words_is_parted_over_cards(tmp_path: Path) -> None:
    folder = tmp_path / "specs"
    shutil.copytree(SPECS, folder)
    mission = folder / "mudlark.yaml"
    text = PURPOSE.sub(lambda _: f'purpose: "{"word " * 1500}"\n\n', mission.read_text(encoding="utf-8"), count=1)
    mission.write_text(text, encoding="utf-8")

    assert all_cards(source_of(plan_mission(read_mission(mission))))
