"""Hold explanations to account: change one written value, plan again, and see whether what moved names it as its origin.

    python tests/perturbation.py mission_specs/mudlark.yaml            # every kind of written value, a table of what is not named
    python tests/perturbation.py mission_specs/mudlark.yaml approach   # only the paths in which the word stands

A figure that moves must name the value, or the group of written values it belongs to (`GROUPS`), among its ancestors: else what
`explain` says of it is not the truth. Figures are compared as printed.
"""

from __future__ import annotations

import re
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
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


@dataclass(frozen=True)
class Outcome:
    """What one changed value did: how many printed figures moved, and those that do not name it."""

    path: str
    moved: int
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


def changed(spec: Path, given: Given, factor: float) -> Plan | None:
    """Return the plan of a mission in which one number is written differently, None where it cannot be planned."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "specs"
        shutil.copytree(spec.parent, root)
        file = root / given.file
        lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
        line = lines[given.line - 1]
        head, tail = line[: given.column - 1], line[given.column - 1 :]
        lines[given.line - 1] = head + NUMBER.sub(lambda found: _scaled(found[0], factor), tail, count=1)
        if lines[given.line - 1] == line:
            return None
        file.write_text("".join(lines), encoding="utf-8")
        try:
            return plan_mission(read_mission(root / spec.name))
        except BriefgenError:
            return None


def _scaled(text: str, factor: float) -> str:
    """Return a number written with as many decimals, changed by a factor and by one of its last digits at least."""
    decimals = len(text.partition(".")[2])
    value, step = float(text.replace(",", "")), 10.0**-decimals
    new = value * factor
    if abs(new - value) < step:
        new = value + (step if factor > 1.0 else -step)
    return f"{max(new, 0.0):.{decimals}f}"


def ancestors(plan: Plan, key: str, known: dict[str, frozenset[str]]) -> frozenset[str]:
    """Return every entry an entry rests on, itself among them."""
    if key not in known:
        entry = plan.ledger.entries[key]
        known[key] = frozenset({key}).union(*(ancestors(plan, name, known) for name in entry.inputs))
    return known[key]


def outcome(plan: Plan, other: Plan, path: str, given: Given, known: dict[str, frozenset[str]]) -> Outcome:
    """Return what moved between two plans, and what of it does not name the changed value or its group."""
    before, after = printed(plan), printed(other)
    moved = [key for key in before if key in after and before[key] != after[key]]
    groups = {key for pattern, key in GROUPS if re.match(pattern, path)}

    def named(key: str) -> bool:
        for name in ancestors(plan, key, known):
            origin = plan.ledger.entries[name].given
            if name in groups or (
                origin and (origin.file, origin.line, origin.text) == (given.file, given.line, given.text)
            ):
                return True
        return False

    return Outcome(path, len(moved), tuple(key for key in moved if not named(key)))


def outcomes(spec: Path, wanted: str = "", only: Iterable[str] | None = None) -> Iterator[Outcome]:
    """Yield what each kind of written value moves."""
    plan = plan_mission(read_mission(spec))
    known: dict[str, frozenset[str]] = {}
    sys.setrecursionlimit(10_000)
    for key in plan.ledger.entries:
        ancestors(plan, key, known)
    for path, given in kinds(plan):
        if wanted not in path or (only is not None and path not in only):
            continue
        other = next((one for factor in FACTORS if (one := changed(spec, given, factor)) is not None), None)
        if other is not None:
            yield outcome(plan, other, path, given, known)


def main() -> None:
    """Print a line for each value that moves figures which do not name it."""
    total = Counter[str]()
    for found in outcomes(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else ""):
        total["values"] += 1
        total["moved"] += found.moved
        total["unnamed"] += len(found.unnamed)
        if found.unnamed:
            print(
                f"{found.path}: {found.moved} moved, {len(found.unnamed)} do not name it: {', '.join(found.unnamed[:6])}"
            )
    print(dict(total))


if __name__ == "__main__":
    main()
