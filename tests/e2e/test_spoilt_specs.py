"""Whatever is written into a field: an answer at a line, or a plan; never a traceback, never a hang.

A few hundred fields, drawn by lot, in the ordinary run; BRIEFGEN_MUTATIONS=100000 is the long one and plans what it can.
"""

from __future__ import annotations

import os
import random
import shutil
import time
from pathlib import Path

from briefgen.document import require_conservation, terminal_text
from briefgen.errors import BriefgenError, InternalError, SpecError, unseen
from briefgen.planning.assemble import plan_mission
from briefgen.spec import KINDS, missions_in, read_mission
from briefgen.spec.tree.check import check
from briefgen.spec.tree.load import load_bytes
from tests.shared.demo_missions import SPECS
from tests.shared.spoilt import fields, spoilt

SEED = 12
ROUNDS = int(os.environ.get("BRIEFGEN_MUTATIONS", "0"))
ORDINARY = 200
PLANNED_ONE_IN = 16  # of those that can still be read, in the ordinary run; all in the long one
LEAST_FIELDS = 300
SLOW_S = 20.0


def _of(folder: Path) -> dict[str, Path]:
    """Return for every file of the folder a mission that reads it."""
    found: dict[str, Path] = {}
    for mission in missions_in(folder):
        text = mission.read_text(encoding="utf-8")
        found[mission.name] = mission
        for file in folder.rglob("*.yaml"):
            if file.relative_to(folder).as_posix() in text:
                found.setdefault(file.relative_to(folder).as_posix(), mission)
    return found


def _answer(path: Path, text: str, kind: str, mission: Path | None, *, plan: bool) -> str:
    """Return what became of a spoilt file: refused, read, planned or not to be flown."""
    try:
        checked = check(load_bytes(text.encode("utf-8", "surrogatepass"), path, path.name), kind)
        if checked.faults:
            raise SpecError(tuple(checked.faults))
        if mission is None:
            return "read"
        found = read_mission(mission)
        if not plan:
            return "read"
        made = plan_mission(found)
        require_conservation(made)
        terminal_text(made)
    except InternalError:
        raise
    except BriefgenError as error:
        message = error.text()
        assert message
        assert not unseen(message)
        assert max(map(len, message.splitlines())) < 3_000
        return "refused" if isinstance(error, SpecError) else "not to be flown"
    return "planned"


def test_a_spoilt_field_is_an_answer(tmp_path: Path) -> None:
    """One seeded change at a time to one field of one file, the rest of the folder sound."""
    folder = tmp_path / "specs"
    shutil.copytree(SPECS, folder)
    places, missions, chance = fields(folder), _of(folder), random.Random(SEED)
    keys = [key for key in places if key[0] in KINDS]
    turns = [chance.choice([key for key in keys if key[0] == KINDS[i % len(KINDS)]]) for i in range(ROUNDS or ORDINARY)]
    answers: dict[str, int] = {}
    for turn, key in enumerate(turns):
        path, place = chance.choice(places[key])
        sound = path.read_text(encoding="utf-8")
        broken = spoilt(sound, place, chance)
        path.write_text(broken, encoding="utf-8", errors="surrogatepass")
        begun = time.process_time()
        mission = missions.get(path.relative_to(folder).as_posix())
        try:
            answer = _answer(path, broken, key[0], mission, plan=bool(ROUNDS) or turn % PLANNED_ONE_IN == 0)
        except Exception as error:
            raise AssertionError(f"{key}: {broken[place.start : place.start + 80]!r} in {path.name}") from error
        assert time.process_time() - begun < SLOW_S, (key, broken[place.start : place.start + 80])
        answers[answer] = answers.get(answer, 0) + 1
        path.write_text(sound, encoding="utf-8")

    assert len(keys) >= LEAST_FIELDS
    assert answers["refused"] > len(turns) // 4
    assert answers.get("planned", 0) + answers.get("read", 0) > len(turns) // 20
