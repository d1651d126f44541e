"""Print what the tool costs, each figure with its peer from the same run and the goal of both. Not a test: it fails nothing.

python -m tests.benchmark [--runs N] [--json FILE] [--only WORD ...]

Times are CPU seconds, of whole processes or of a call in a process that has made it before: on a busy machine a ratio of
CPU times holds where a wall time does not. Bytecode is written, as it is for whoever uses the tool.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, replace
from functools import partial
from pathlib import Path

from briefgen.model.mission import Mission
from briefgen.planning.assemble import plan_mission
from briefgen.planning.flight.fly import fly
from briefgen.spec import missions_in, read_mission
from tests.shared.demo_missions import JOURNEYS
from tests.shared.sized_missions import mission_of

ROOT = Path(__file__).resolve().parents[1]
SPECS = ROOT / "mission_specs"
DEMO = SPECS / "cedar-lantern.yaml"
MISSIONS = tuple(path for path in missions_in(SPECS) if path.stem not in JOURNEYS)  # each of one sector
CARD = "typer, pint, yaml, jinja2, markdown, jsonschema"
TOOL = [sys.executable, "-m", "briefgen"]
CHROMIUM = shutil.which("chromium")
PAGE_KB = 60
MANY = 40  # missions, a fifth of the two hundred of the goal: the ratio is the same


@dataclass(frozen=True)
class Measured:
    """A figure, what it is measured against, and the most (or least) that their ratio should be."""

    what: str
    value: float
    unit: str
    peer: str = ""
    ratio: float | None = None
    goal: str = ""

    def line(self) -> str:
        """Return it as a row of a table."""
        ratio = "" if self.ratio is None else f"{self.ratio:.2f} x {self.peer}"
        return f"{self.what:<44}{self.value:>9.1f} {self.unit:<4} {ratio:<44} {self.goal}"


def process_ms(command: list[str]) -> float:
    """Return the CPU time of a whole process [ms], its children included."""
    clean = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True, cwd=ROOT, env=clean)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return 1000.0 * (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


def call_ms(call: Callable[[], object]) -> float:
    """Return the CPU time of a call [ms]."""
    begin = time.process_time()
    call()
    return 1000.0 * (time.process_time() - begin)


def in_turn(runs: int, commands: dict[str, list[str]]) -> dict[str, float]:
    """Return the median CPU time of each command, run one after the other again and again, the first round not counted."""
    taken: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(runs + 1):
        for name, command in commands.items():
            taken[name].append(process_ms(command))
    return {name: statistics.median(values[1:]) for name, values in taken.items()}


def commands(runs: int) -> Iterator[Measured]:
    """Measure whole commands against the bare import of the packages they are made with."""
    with tempfile.TemporaryDirectory() as folder:
        build = [*TOOL, "build", str(DEMO), "--out", f"{folder}/site"]
        ms = in_turn(
            runs,
            {
                "bare imports": [sys.executable, "-c", f"import {CARD}"],
                "check": [*TOOL, "check", str(DEMO)],
                "build": [*build, "--fresh"],
                "build again": build,
            },
        )
    yield Measured("bare import of the card's six packages", ms["bare imports"], "ms")
    for name, peer, goal in (
        ("check", "bare imports", 1.5),
        ("build", "check", 2.0),
        ("build again", "bare imports", 0.5),
    ):
        yield Measured(f"{name}, whole process", ms[name], "ms", peer, ms[name] / ms[peer], f"<= {goal}")


def another_wind(mission: Mission, step: int) -> Mission:
    """Return a mission with every wind aloft a little other, so that no answer of the last flight serves again."""
    soundings = tuple(
        replace(one, winds=tuple(replace(level, east_m_per_s=level.east_m_per_s + 0.01 * step) for level in one.winds))
        for one in mission.weather.soundings
    )
    return replace(mission, weather=replace(mission.weather, soundings=soundings))


def flights(runs: int) -> Iterator[Measured]:
    """Measure one flight and one plan in a wind not seen before."""
    for path in MISSIONS:
        mission = read_mission(path)
        winds = [another_wind(mission, step) for step in range(2 * runs + 2)]
        fly(winds[0]), plan_mission(winds[1])
        flown = statistics.median(call_ms(partial(fly, one)) for one in winds[2::2])
        planned = statistics.median(call_ms(partial(plan_mission, one)) for one in winds[3::2])
        yield Measured(f"{path.stem}: fly, one wind changed", flown, "ms", goal=f"<= {10 if path == DEMO else 20} ms")
        yield Measured(f"{path.stem}: plan, one wind changed", planned, "ms", goal="<= 60 ms")


def planned_and_built(path: Path) -> tuple[float, float]:
    """Return the CPU time of planning a mission and of planning and rendering it without PDF [ms]."""
    from briefgen.document.site import site_files

    mission = read_mission(path)
    plan = plan_mission(mission)
    planned = call_ms(partial(plan_mission, mission))
    return planned, planned + call_ms(partial(site_files, [plan], pdf=False, built_at=None))


def sizes(_runs: int) -> Iterator[Measured]:
    """Measure how the cost grows with legs, soundings and items."""
    for what, few, many, index, goal in (
        ("legs", 20, 200, 1, "<= 10"), ("soundings", 10, 3000, 0, "<= 2"), ("items", 10, 30, 0, ""),
    ):  # fmt: skip
        taken = []
        for count in (few, many):
            with tempfile.TemporaryDirectory() as folder:
                taken.append(planned_and_built(mission_of(Path(folder), **{what: count}))[index])
        doing = ("plan", "plan and pages")[index]
        yield Measured(f"{doing} of {many:,} {what}", taken[1], "ms", f"{few} {what}", taken[1] / taken[0], goal)


def one_more(path: Path) -> int:
    """Plan a mission and return the greatest memory of the process so far [kB]."""
    plan_mission(read_mission(path))
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def missions(_runs: int) -> Iterator[Measured]:
    """Measure many missions on one process and on two (wall time), and what memory they leave behind."""
    paths = [MISSIONS[n % len(MISSIONS)] for n in range(MANY)]
    taken, memory = {}, []
    for count in (1, 2):
        with ProcessPoolExecutor(count) as pool:
            list(pool.map(one_more, MISSIONS * count))
            begin = time.perf_counter()
            memory = list(pool.map(one_more, paths)) if count == 1 else memory
            list(pool.map(one_more, paths)) if count == 2 else None
            taken[count] = 1000.0 * (time.perf_counter() - begin)
    yield Measured(
        f"{MANY} missions, two processes, wall", taken[2], "ms", "one process", taken[1] / taken[2], ">= 1.7"
    )
    growth = (memory[-1] - memory[len(MISSIONS)]) / 1024 / (MANY - len(MISSIONS))
    yield Measured("memory that each further mission leaves", growth, "MiB", goal="flat")


def paper(runs: int) -> Iterator[Measured]:
    """Measure the PDF of the cards against a browser that prints the same cards, and weigh the pages."""
    from briefgen.document.site import site_files

    plan = plan_mission(read_mission(DEMO))
    files = site_files([plan], pdf=False, built_at=None)
    pages = {name: len(data) / 1024 for name, data in files.items() if name.endswith(".html") and "numbers" not in name}
    heaviest = max((weight, name) for name, weight in pages.items() if "cards" not in name and "deck" not in name)
    yield Measured(f"heaviest page, {heaviest[1].rpartition('/')[2]}", heaviest[0], "kB", goal=f"<= {PAGE_KB} kB")
    with tempfile.TemporaryDirectory() as folder:
        build = [*TOOL, "build", str(DEMO), "--fresh", "--out", f"{folder}/site"]
        subprocess.run(build, check=True, capture_output=True, cwd=ROOT)
        sheets = sorted(Path(folder, "site").rglob("*.pdf"))
        plain = next(Path(folder, "site").rglob("cards.html"))
        ms = in_turn(runs, {
            "with": build, "without": [*build, "--no-pdf"],
            "browser": [str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", f"--print-to-pdf={folder}/x.pdf", str(plain)],
        })  # fmt: skip
    one = (ms["with"] - ms["without"]) / len(sheets)
    yield Measured(
        f"PDF of the cards, one of {len(sheets)}", one, "ms", "headless Chromium", one / ms["browser"], "<= 0.4"
    )


PARTS = {"commands": commands, "flights": flights, "sizes": sizes, "missions": missions, "paper": paper}


def main() -> None:
    """Measure, print and, where asked, write JSON."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--json", type=Path)
    parser.add_argument("--only", nargs="*", choices=PARTS, default=list(PARTS))
    asked = parser.parse_args()
    gc.set_threshold(100_000)  # as the command line does
    found = []
    for name in asked.only:
        if name == "paper" and CHROMIUM is None:
            print("paper: there is no Chromium to compare with")
            continue
        for measured in PARTS[name](asked.runs):
            print(measured.line(), flush=True)
            found.append(asdict(measured))
    if asked.json:
        asked.json.write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
