"""How much of a wrong program the tests notice: python tests/mutants.py ROOM [--count N] [--seed S] [TEST...].

By hand and slow. Draws lines of a room of briefgen by lot, puts one small wrong thing into each in a copy of the checkout,
runs the tests named (by default those that concern the room, without the two that only compare the committed site or its
figures), and prints which went unnoticed. Leaves with 1 below the floor of the room. Part of what survives means the same as
the original or lies inside a tolerance: read them before writing a test.
"""

from __future__ import annotations

import argparse
import ast
import copy
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
COMPARES = ("tests/e2e/test_site_is_fresh.py", "tests/e2e/test_numbers_golden.py")
E2E = ["tests/e2e/test_plan.py", "tests/e2e/test_documents.py", "tests/e2e/test_command_line.py"]
# Room: the least part of its mutants that must be noticed, and the tests that are asked.
FLOORS: dict[str, tuple[float, list[str]]] = {
    "kernel": (0.92, ["tests/unit/kernel", "tests/published"]),
    "aircraft": (0.88, ["tests/unit/aircraft", "tests/published", "tests/e2e/test_two_kinds.py"]),
    "weather": (0.90, ["tests/unit/weather", "tests/published/test_coded_reports.py", "tests/e2e/test_plan.py"]),
    "planning": (0.92, ["tests/unit/planning", "tests/published", "tests/e2e"]),
    "spec": (0.95, ["tests/unit/spec", "tests/unit/test_units.py", "tests/published/test_coded_reports.py"]),
    "document": (0.80, ["tests/unit/document", *E2E]),
    "disk": (0.80, ["tests/unit/document/test_write_safely.py", "tests/unit/document/test_write.py"]),
    "errors": (0.80, ["tests/unit/spec"]),
    "system_errors": (0.80, ["tests/e2e/test_system_limits.py", "tests/unit/document/test_write_safely.py"]),
    "starter": (0.80, ["tests/e2e/test_command_line.py"]),
    "cli": (0.80, ["tests/e2e/test_command_line.py", "tests/e2e/test_system_limits.py"]),
}
PATIENCE_S = 600
COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult, ast.Mod: ast.Add,
}  # fmt: skip
WORDS = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "floor": "ceil",
    "ceil": "floor",
    "sin": "cos",
    "cos": "sin",
}


@dataclass(frozen=True)
class Mutant:
    """One wrong program: a file, the line, what was done, and the text."""

    file: Path
    line: int
    what: str
    text: str


def changed(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Yield what may be put in the place of a node."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in COMPARISONS:
        other = COMPARISONS[type(node.ops[0])]
        yield f"{type(node.ops[0]).__name__} to {other.__name__}", _with(node, ops=[other(), *node.ops[1:]])
    if isinstance(node, ast.BinOp) and type(node.op) in OPERATORS:
        other_op = OPERATORS[type(node.op)]
        yield f"{type(node.op).__name__} to {other_op.__name__}", _with(node, op=other_op())
        yield "left side alone", node.left
    if isinstance(node, ast.BoolOp):
        yield "and for or", _with(node, op=ast.Or() if isinstance(node.op, ast.And) else ast.And())
        yield "first condition alone", node.values[0]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield "without its sign or not", node.operand
    if isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield f"{not node.value}", ast.Constant(not node.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield f"{node.value} + 1", ast.Constant(node.value + 1)
        yield f"{node.value} two per cent more", ast.Constant(node.value * 1.02)
    if isinstance(node, ast.IfExp):
        yield "the other case", _with(node, body=node.orelse, orelse=node.body)
    if isinstance(node, ast.If):
        yield "never", _with(node, test=ast.Constant(False))
    if isinstance(node, ast.Name) and node.id in WORDS:
        yield f"{node.id} to {WORDS[node.id]}", ast.Name(WORDS[node.id], ast.Load())
    if isinstance(node, ast.Attribute) and node.attr in WORDS:
        yield f"{node.attr} to {WORDS[node.attr]}", _with(node, attr=WORDS[node.attr])
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        yield "a call left out", ast.Pass()


def _with(node: ast.AST, **fields: object) -> ast.AST:
    other = copy.copy(node)
    for name, value in fields.items():
        setattr(other, name, value)
    return other


class _Put(ast.NodeTransformer):
    """Puts one node in the place of another."""

    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        return ast.copy_location(self.new, node) if node is self.old else super().generic_visit(node)


def mutants(room: str, chance: random.Random) -> Iterator[Mutant]:
    """Yield wrong programs of a room without end, each line as likely as any other."""
    place = ROOT / "briefgen" / room
    files = sorted(place.rglob("*.py")) if place.is_dir() else [place.with_suffix(".py")]
    sources = {file: file.read_text(encoding="utf-8") for file in files}
    lines = [(file, n) for file, text in sources.items() for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    while True:
        file, line = chance.choice(lines)
        tree = ast.parse(sources[file])
        skipped = {id(inner) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for inner in ast.walk(node)}
        found = [
            (node, what, new)
            for node in ast.walk(tree)
            if getattr(node, "lineno", 0) == line and id(node) not in skipped
            for what, new in changed(node)
        ]
        if found:
            node, what, new = chance.choice(found)
            wrong = ast.fix_missing_locations(_Put(node, new).visit(tree))
            yield Mutant(file.relative_to(ROOT), line, what, ast.unparse(wrong))


def noticed(mutant: Mutant, checkout: Path, tests: list[str]) -> bool:
    """Return whether the tests fail, or do not end, with a wrong program in place."""
    target = checkout / mutant.file
    sound = target.read_text(encoding="utf-8")
    target.write_text(mutant.text, encoding="utf-8")
    skip = [f"--ignore={name}" for name in COMPARES]
    words = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *skip, *tests]
    try:
        # The checkout goes before an installed briefgen, so that the wrong program is the one that runs.
        done = subprocess.run(
            words, cwd=checkout, env={"PATH": "/usr/bin:/bin", "HOME": str(checkout), "PYTHONPATH": str(checkout)},
            capture_output=True, timeout=PATIENCE_S,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return True
    finally:
        target.write_text(sound, encoding="utf-8")
    return done.returncode != 0


def main() -> int:
    """Run the mutants of one room and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("room", choices=FLOORS)
    parser.add_argument("tests", nargs="*")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    floor, own = FLOORS[given.room]
    tests = given.tests or own
    drawn = mutants(given.room, random.Random(given.seed))
    survivors = []
    with tempfile.TemporaryDirectory() as scratch:
        checkout = Path(scratch) / "briefgen"
        shutil.copytree(ROOT, checkout, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".hypothesis"))
        for number in range(1, given.count + 1):
            mutant = next(drawn)
            if not noticed(mutant, checkout, tests):
                survivors.append(mutant)
                print(f"unnoticed {number}: {mutant.file}:{mutant.line}: {mutant.what}", flush=True)
    rate = 1 - len(survivors) / given.count
    print(f"| {given.room} | {given.count} mutants | {rate:.0%} noticed | floor {floor:.0%} |")
    return int(rate < floor)


if __name__ == "__main__":
    sys.exit(main())
