"""Print what the tool costs: whole processes, the plan alone, and memory. Not a test: it fails nothing.

python tests/benchmark.py [RUNS]
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "mission_specs/cedar-lantern.yaml"
CARD = "typer, pint, yaml, jinja2, markdown, jsonschema"
PEAK = """
import resource, runpy, sys
sys.argv = ["briefgen", *sys.argv[1:]]
try:
    runpy.run_module("briefgen", run_name="__main__")
except SystemExit as stop:
    assert not stop.code, stop.code
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)
"""
ALONE = f"""
import time
from pathlib import Path
from briefgen.planning.assemble import plan_mission
from briefgen.spec import read_mission
begin = time.perf_counter(); mission = read_mission(Path({str(DEMO)!r})); read = time.perf_counter() - begin
begin = time.perf_counter(); plan_mission(mission); first = time.perf_counter() - begin
begin = time.perf_counter(); plan_mission(mission); again = time.perf_counter() - begin
print(read, first, again)
"""


def seconds(command: list[str], runs: int) -> float:
    """Return the median wall time of a command, quiet, after one run to warm the caches."""
    taken = []
    for _ in range(runs + 1):
        begin = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
        taken.append(time.perf_counter() - begin)
    return statistics.median(taken[1:])


def main() -> None:
    """Measure and print."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    python = [sys.executable, "-c"]
    tool = [sys.executable, "-m", "briefgen"]
    bare = seconds([*python, f"import {CARD}"], runs)
    print(f"bare import of the card's six packages  {bare * 1000:7.0f} ms")
    check = seconds([*tool, "check", str(DEMO)], runs)
    print(f"check, whole process                    {check * 1000:7.0f} ms   {check / bare:.2f} x the bare import")
    with tempfile.TemporaryDirectory() as folder:
        for name, more in (("build without PDF", ["--no-pdf"]), ("build with PDF", [])):
            taken = seconds([*tool, "build", str(DEMO), "--out", os.path.join(folder, "site"), *more], runs)
            print(f"{name + ', whole process':<40}{taken * 1000:7.0f} ms")
        command = [*python, PEAK, "build", str(DEMO), "--out", os.path.join(folder, "site")]
        done = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT)
        print(f"peak memory of build with PDF           {int(done.stderr.split()[-1]) / 1024:7.0f} MB")
    alone = subprocess.run([*python, ALONE], check=True, capture_output=True, text=True, cwd=ROOT).stdout.split()
    for name, figure in zip(("reading the mission, first time", "plan, first time", "plan, again"), alone, strict=True):
        print(f"{name:<40}{float(figure) * 1000:7.0f} ms")


if __name__ == "__main__":
    main()
