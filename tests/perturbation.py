"""Hold explanations to account: change one written value, plan again, and see whether what moved names it as its origin.

    python tests/perturbation.py mission_specs/mudlark.yaml                  # every kind of written value
    python tests/perturbation.py mission_specs/mudlark.yaml --only approach  # only the paths in which the word stands
    python tests/perturbation.py mission_specs/mudlark.yaml --kept moved.jsonl

A figure that moves must name the value, or the group of written values it belongs to (`GROUPS`), among its ancestors: else what
`explain` says of it is not the truth. Figures are compared as printed. What moves is written to the file that ``--kept`` names,
and what stands there is not flown again: while origins are mended and no printed figure changes, a second run takes seconds.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path

from briefgen.document.parts.format import printed
from briefgen.errors import BriefgenError
from briefgen.model.ledger import Given
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.planning.sections.basis.groups import GROUPS
from briefgen.spec import read_mission

NUMBER = re.compile(r"(?<![\w:.\-])(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?![\w:])")
FACTORS = (1.04, 0.96, 1.3, 0.7)  # the first that can still be planned
CODED = re.compile(r"weather:(?:observations|aerodrome forecasts|winds text)")
PROCESSES = 2
SHOWN = 6  # unnamed figures that a line tells


@dataclass(frozen=True)
class Outcome:
    """What one changed value did: which printed figures moved, and those of them that do not name it."""

    path: str
    moved: tuple[str, ...]
    unnamed: tuple[str, ...]


def kinds(plan: Plan) -> Iterator[tuple[str, Given]]:
    """Yield one written number of each kind of path: the first of a list stands for the rest."""
    seen = set()
    for path, given in plan.mission.given.items():
        kind = re.sub(r"\[\d+\]", "[]", path)
        if kind in seen or CODED.match(path) or not NUMBER.search(given.text):
            continue
        seen.add(kind)
        yield path, given


class Bench:
    """A copy of a mission's specification folder, in which one number at a time is written differently."""

    def __init__(self, spec: Path, folder: Path, plan: Plan | None = None) -> None:
        shutil.copytree(spec.parent, folder / "specs")
        self.spec = folder / "specs" / spec.name
        self.plan = plan or plan_mission(read_mission(self.spec))
        self._before = printed(self.plan)
        self._summed = {key for foot in self.plan.ledger.feet for key in (foot.result, *foot.plus, *foot.minus)}

    def moved(self, given: Given) -> tuple[str, ...] | None:
        """Return the figures that print otherwise once a value is changed, None where no change of it can be planned."""
        for factor in FACTORS:
            other = self._changed(given, factor)
            if other is not None:
                after = printed(other)
                changed = [key for key, text in self._before.items() if key in after and after[key] != text]
                return tuple(key for key in changed if not self._absorbs(key, other))
        return None

    def _absorbs(self, key: str, other: Plan) -> bool:
        """Return whether a figure has its value and prints otherwise only because the parts of a printed sum give way."""
        return key in self._summed and other.ledger[key].value == self.plan.ledger[key].value

    def _changed(self, given: Given, factor: float) -> Plan | None:
        file = self.spec.parent / given.file
        written = file.read_text(encoding="utf-8")
        lines = written.splitlines(keepends=True)
        line = lines[given.line - 1]
        head, tail = line[: given.column - 1], line[given.column - 1 :]
        lines[given.line - 1] = head + NUMBER.sub(lambda found: _scaled(found[0], factor), tail, count=1)
        if lines[given.line - 1] == line:
            return None
        file.write_text("".join(lines), encoding="utf-8")
        try:
            return plan_mission(read_mission(self.spec))
        except BriefgenError:
            return None
        finally:
            file.write_text(written, encoding="utf-8")


def _scaled(text: str, factor: float) -> str:
    """Return a number written with as many decimals, changed by a factor and by one of its last digits at least."""
    decimals = len(text.partition(".")[2])
    value, step = float(text.replace(",", "")), 10.0**-decimals
    new = value * factor
    if abs(new - value) < step:
        new = value + (step if factor > 1.0 else -step)
    return f"{max(new, 0.0):.{decimals}f}"


class Origins:
    """The ancestors of every entry of a plan."""

    def __init__(self, plan: Plan) -> None:
        self._entries = plan.ledger.entries
        self._known: dict[str, frozenset[str]] = {}
        for key, entry in self._entries.items():  # each stands behind those it rests on
            self._known[key] = frozenset({key}).union(*(self._known[name] for name in entry.inputs))

    def rests_on(self, key: str, pattern: re.Pattern[str]) -> bool:
        """Return whether an entry rests on one whose key a pattern matches."""
        return any(pattern.match(name) for name in self._known[key])

    def unnamed(self, path: str, given: Given, moved: Collection[str]) -> tuple[str, ...]:
        """Return those of the moved figures that name neither a written value nor its group among their ancestors."""
        origin = (given.file, given.line, given.text)
        names = {key for pattern, key in GROUPS if re.match(pattern, path)}
        for key, entry in self._entries.items():
            if entry.given and (entry.given.file, entry.given.line, entry.given.text) == origin:
                names.add(key)
        return tuple(key for key in moved if names.isdisjoint(self._known[key]))


_bench: Bench
_folder: tempfile.TemporaryDirectory[str]


def _set_up(spec: Path) -> None:
    global _bench, _folder
    _folder = tempfile.TemporaryDirectory()
    _bench = Bench(spec, Path(_folder.name))


def _move(task: tuple[str, Given]) -> tuple[str, tuple[str, ...] | None]:
    path, given = task
    return path, _bench.moved(given)


def all_moved(
    spec: Path, tasks: Sequence[tuple[str, Given]], kept: Path | None, most: int
) -> Iterator[tuple[str, tuple[str, ...] | None]]:
    """Yield what each written value moves, by two processes; what the file of an earlier run tells is taken from there.

    No more than ``most`` values are flown anew: a long run is made in several, with a file that keeps what was found.
    """
    known = {}
    if kept is not None and kept.exists():
        known = dict(map(json.loads, kept.read_text(encoding="utf-8").splitlines()))
    yield from ((path, known[path]) for path, _ in tasks if path in known)
    wanted = [task for task in tasks if task[0] not in known][:most]
    if not wanted:
        return
    with Pool(PROCESSES, _set_up, (spec,)) as pool:
        for count, (path, moved) in enumerate(pool.imap_unordered(_move, wanted), 1):
            print(f"\r{count} of {len(wanted)}", end="", file=sys.stderr, flush=True)
            if kept is not None:
                with kept.open("a", encoding="utf-8") as stream:
                    stream.write(json.dumps([path, moved]) + "\n")
            yield path, moved
    print(file=sys.stderr)


def outcomes(spec: Path, wanted: str = "", kept: Path | None = None, most: int = sys.maxsize) -> Iterator[Outcome]:
    """Yield what each kind of written value moves, in an order that makes a run cut short a fair sample."""
    plan = plan_mission(read_mission(spec))
    origins = Origins(plan)
    tasks = [task for task in kinds(plan) if wanted in task[0]]
    random.Random(spec.name).shuffle(tasks)
    for path, moved in all_moved(spec, tasks, kept, most):
        if moved is not None:
            given = plan.mission.given[path]
            yield Outcome(path, tuple(moved), origins.unnamed(path, given, moved))


def main() -> None:
    """Print a line for each value that moves figures which do not name it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("spec", type=Path)
    parser.add_argument("--only", default="", help="only paths in which this stands")
    parser.add_argument("--kept", type=Path, help="file of what moved, written and read again")
    parser.add_argument(
        "--most", type=int, default=sys.maxsize, help="values flown anew at most; the rest is left to the next run"
    )
    asked = parser.parse_args()
    total = Counter[str]()
    for found in outcomes(asked.spec, asked.only, asked.kept, asked.most):
        total["values"] += 1
        total["moved"] += len(found.moved)
        total["unnamed"] += len(found.unnamed)
        if found.unnamed:
            shown = ", ".join(found.unnamed[:SHOWN])
            print(f"{found.path}: {len(found.moved)} moved, {len(found.unnamed)} do not name it: {shown}", flush=True)
    print(dict(total))


if __name__ == "__main__":
    main()
