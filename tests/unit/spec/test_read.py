"""From a mission file to a Mission: references, places of values, digest, and text that was spoilt at random."""

from __future__ import annotations

import copy
import random
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from briefgen.errors import SpecError
from briefgen.model.ledger import Given
from briefgen.spec import missions_in, read_aircraft, read_mission
from tests.shared.bad_spec_cases import BASE

FILES = ("mission.yaml", "aircraft.yaml", "places.yaml", "rules.yaml", "weather.yaml")
SPOILT_TEXTS = 400
REPLACED_VALUES = 240
HEADS = "pressure_altitude_ft,fuel_flow_us_gal_per_h,true_airspeed_kt"
STRANGERS: tuple[Any, ...] = (None, 5, True, "x", "", [], {}, [1], {"a": 1}, [None], [[]], -1.5)
WORDS = ("null", "NaN", ".inf", "<<: ", "---\n", "  ", "ft", "FL 1")
SIGNS = (*"{}[]:,-#&*!|>'\"%@`\t\n 0123456789abcXYZ\u00b0'\x07\u2028", *WORDS)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the small sound specification."""
    shutil.copytree(BASE, tmp_path / "spec")
    return tmp_path / "spec"


def test_values_are_in_si_and_names_looked_up() -> None:
    """8,500 ft are 2590.8 m, 120 US gal 0.4542 m3, and the leg's place is the place of the places file."""
    mission = read_mission(BASE / "mission.yaml")

    leg = mission.route.items[0]
    assert leg.height.value_m == pytest.approx(2590.8)
    assert mission.fuel.volume_m3 == pytest.approx(120 * 231 * 0.0254**3)
    assert mission.route.destination.ident == "LX01"
    assert mission.individual.registration == "LX-S21"


def test_fuel_by_mass_becomes_volume_by_the_density(folder: Path) -> None:
    """720 lb at 6.0 lb/US gal are 120 US gal."""
    path = folder / "mission.yaml"
    path.write_text(path.read_text().replace("at ramp: 120 US gal", "at ramp: 720 lb"))

    assert read_mission(path).fuel.volume_m3 == pytest.approx(120 * 231 * 0.0254**3)


def test_every_written_value_knows_its_place() -> None:
    """A value is found by its path, with file, line, column and the text its author typed."""
    given = read_mission(BASE / "mission.yaml").given

    assert given["route.legs[0].altitude"] == Given("mission.yaml", 45, 17, "8,500 ft")
    assert given["places:LX01.elevation"] == Given("places.yaml", 8, 16, "184 ft")
    assert given["aircraft:balance.crew mass"].text == "200 lb"
    assert given["rules:fuel.final reserve"].text == "45 min"
    assert given["weather:reach"].text == "120 NM"


def test_digest_changes_with_any_file_and_not_with_the_folder(folder: Path) -> None:
    """The digest stands for the bytes of all files and their names, wherever they lie."""
    before = read_mission(folder / "mission.yaml").digest
    (folder / "weather.yaml").write_text((folder / "weather.yaml").read_text() + "# later\n")

    assert before == read_mission(BASE / "mission.yaml").digest
    assert read_mission(folder / "mission.yaml").digest != before


def test_link_out_of_the_folder_is_refused(folder: Path) -> None:
    """A link may point within the folder, never out of it."""
    (folder.parent / "outside.yaml").write_text((folder / "rules.yaml").read_text())
    (folder / "rules.yaml").unlink()
    (folder / "rules.yaml").symlink_to(folder.parent / "outside.yaml")

    with pytest.raises(SpecError, match=r"'rules.yaml' leads outside the specification folder through a link"):
        read_mission(folder / "mission.yaml")


def test_root_widens_what_a_mission_may_refer_to(folder: Path) -> None:
    """With the folder given, a mission in a folder of its own names files relative to the specification folder."""
    (folder / "night").mkdir()
    (folder / "mission.yaml").rename(folder / "night" / "mission.yaml")

    assert read_mission(folder / "night" / "mission.yaml", root=folder).file == "night/mission.yaml"


def test_missions_are_told_from_other_files(folder: Path) -> None:
    """Only files whose head says so are missions."""
    assert missions_in(folder) == (folder / "mission.yaml",)


def test_aircraft_is_read_alone() -> None:
    """An aircraft file needs no mission."""
    assert read_aircraft(BASE / "aircraft.yaml").name == "S-test twin"


def test_chart_is_read_from_a_table_file(folder: Path) -> None:
    """Rows in a file of their own give the same chart as rows in the aircraft file."""
    inline = read_aircraft(folder / "aircraft.yaml").charts
    path = folder / "aircraft.yaml"
    path.write_text(path.read_text().replace("rows: [[4000, 150, 150], [10000, 140, 155]]", "file: cruise.csv"))
    (folder / "cruise.csv").write_text(f"# source: these tests\n{HEADS}\n4000,150,150\n10000,140,155\n")

    assert read_aircraft(path).charts == inline


def test_table_file_with_other_units_or_order_is_refused(folder: Path) -> None:
    """Columns that changed places would be read as one another: the heads must say the units of the chart."""
    path = folder / "aircraft.yaml"
    path.write_text(path.read_text().replace("rows: [[4000, 150, 150], [10000, 140, 155]]", "file: cruise.csv"))
    swapped = "pressure_altitude_ft,true_airspeed_kt,fuel_flow_us_gal_per_h"
    (folder / "cruise.csv").write_text(f"{swapped}\n4000,150,150\n10000,155,140\n")

    with pytest.raises(SpecError, match="the column 'true_airspeed_kt' of the table file does not say US gal/h"):
        read_aircraft(path)


def paths(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the path of every value within a value."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from paths(value, (*path, key))


def test_any_value_of_any_other_sort_never_raises_anything_but_its_faults(folder: Path) -> None:
    """Every value of every file may be replaced by nothing, a number, a list, a group ..., and is answered in words."""
    trees = {name: yaml.load((BASE / name).read_text(), Loader=yaml.BaseLoader) for name in FILES}
    places = [(name, path) for name, tree in trees.items() for path in paths(tree)]
    refused: list[SpecError] = []
    for name, path in random.Random(412).sample(places, REPLACED_VALUES):
        tree = copy.deepcopy(trees[name])
        parent = tree
        for part in path[:-1]:
            parent = parent[part]
        parent[path[-1]] = STRANGERS[len(refused) % len(STRANGERS)]
        (folder / name).write_text(yaml.safe_dump(tree, sort_keys=False, allow_unicode=True))
        try:
            read_mission(folder / "mission.yaml")
        except SpecError as error:
            refused.append(error)
        shutil.copy(BASE / name, folder / name)

    assert len(refused) > REPLACED_VALUES / 2
    assert all(fault.file and fault.problem for error in refused for fault in error.faults)


def spoilt(text: str, dice: random.Random) -> str:
    """Return a text with a few random cuts, doublings, swaps and signs put in."""
    for _ in range(dice.randint(1, 4)):
        start = dice.randrange(len(text))
        end = min(len(text), start + dice.randint(0, 12))
        choice = dice.randrange(4)
        if choice == 0:
            text = text[:start] + text[end:]
        elif choice == 1:
            text = text[:start] + dice.choice(SIGNS) + text[start:]
        elif choice == 2:
            text = text[:end] + text[start:end] * 2 + text[end:]
        else:
            lines = text.split("\n")
            first, second = dice.randrange(len(lines)), dice.randrange(len(lines))
            lines[first], lines[second] = lines[second], lines[first]
            text = "\n".join(lines)
    return text


def test_spoilt_text_never_raises_anything_but_its_faults(folder: Path) -> None:
    """Whatever is typed, the answer is a mission or a list of faults with places."""
    dice = random.Random(20270218)
    refused: list[SpecError] = []
    for _ in range(SPOILT_TEXTS):
        name = dice.choice(FILES)
        sound = (BASE / name).read_text(encoding="utf-8")
        (folder / name).write_text(spoilt(sound, dice), encoding="utf-8")
        try:
            read_mission(folder / "mission.yaml")
        except SpecError as error:
            refused.append(error)
        (folder / name).write_text(sound, encoding="utf-8")

    assert len(refused) > SPOILT_TEXTS / 4
    assert all(fault.file and fault.problem for error in refused for fault in error.faults)
