"""Does a wrong name get noticed? Renames declared names at random, one at a time, in a copy, and says who notices.

    python tests/renames.py --count 100 [--seed 1] [--missions mudlark plumb-line]

A site is the definition or one use of a figure, a column, a table or the place of a record. A text in quotes is one only where it
is the word of a declaration or a key, and where it could reach one: not in a module that knows neither plan nor section, not as the
name of a file or of a module of ours. The copy is imported, the mission planned and held against the printed figures on record,
and its files against those before (the tests hold the kept site to every byte of them); what passes that is type-checked (the name
grows by a letter, so the cache sees it), flown on the other missions, and at last put to the tests of
its room. A rename that nobody notices is a survivor.
"""

from __future__ import annotations

import argparse
import ast
import json
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
COPIED = ("briefgen", "tests", "mission_specs", "templates", "pyproject.toml", "DEVELOPERS.md", "README.md")
DECLARES = {"figure", "given", "total", "summed"}
NAMING_CALLS = {"TableOf", "ColumnOf"}
SECONDS = 180
ROOMS = ("briefgen/planning/sections", "briefgen/planning/review", "briefgen/document")  # where declared names are used
KNOWS_THE_PLAN = ("briefgen.planning", "briefgen.model.plan", "briefgen.model.ledger", "briefgen.model.tables", "briefgen.model.record", "briefgen.document.parts.assemble")  # fmt: skip
FILES = {".html", ".js", ".css", ".json", ".typ", ".csv", ".yaml", ".pdf", ".svg", ".txt"}
RECORDS: set[str] = set()  # classes that declare figures

# Run in the copy: imports every module, plans the mission, compares with the record, and prints what its documents show.
PROBE = """
import importlib, json, pkgutil, sys
sys.path.insert(0, ".")
import briefgen
for module in pkgutil.walk_packages(briefgen.__path__, "briefgen."):
    if not module.name.endswith("__main__"):
        importlib.import_module(module.name)
from briefgen.document.site import site_files
from briefgen.planning.assemble import plan_mission
from tests.builders.numbers_golden import changes_in_words, figures_text, golden_path
from tests.shared.demo_missions import SPECS, mission_of
import runpy
from jsonschema import Draft202012Validator
from briefgen.document import plan_json
from briefgen.spec import schema_text
from briefgen.planning.review.checks.words import HEADS
for test_name, test in runpy.run_path("tests/unit/document/test_declared_tables.py").items():
    if test_name.startswith("test_"):
        test()
name = sys.argv[1]
plan = plan_mission(mission_of(name))
assert all(any(key.startswith(head) for key in plan.ledger.entries) for head in HEADS)
kept = golden_path(SPECS / f"{name}.yaml").read_text(encoding="utf-8")
changes = changes_in_words(kept, figures_text(plan))
shown = sorted(site_files([plan], pdf=False, built_at=None).items())
Draft202012Validator(json.loads(schema_text("plan"))).validate(json.loads(plan_json(plan)))
print(json.dumps({"changes": changes[:3], "shown": hash_of(shown)}))
"""
HASH = "import hashlib\ndef hash_of(shown): return hashlib.sha256(repr(shown).encode()).hexdigest()\n"


@dataclass(frozen=True)
class Site:
    """One place at which a declared name is written."""

    path: str
    line: int
    start: int
    end: int
    name: str
    sort: str


def sites(package: Path) -> list[Site]:
    """Return every definition and use of a declared name."""
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in sorted(package.rglob("*.py"))}
    figures = {node.name for tree in trees.values() for node in ast.walk(tree) if _declares(node)}
    RECORDS.update(
        node.name for tree in trees.values() for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef) and any(_declares(one) for one in node.body)
    )  # fmt: skip
    words = {word for tree in trees.values() for word in _named(tree)} | figures
    found = [site for path, tree in trees.items() for site in _sites_in(path, tree, package.parent, figures, words)]
    return [site for site in found if site.path.startswith(ROOMS)]


def _declares(node: ast.AST) -> bool:
    return isinstance(node, ast.FunctionDef) and any(
        isinstance(one, ast.Call) and isinstance(one.func, ast.Name) and one.func.id in DECLARES
        for one in node.decorator_list
    )


def _named(tree: ast.AST) -> Iterator[str]:
    """Yield the names that declarations of tables and columns give as text."""
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id in NAMING_CALLS
            and node.args
        ):
            first = node.args[0]
            if isinstance(first, ast.Constant) and isinstance(first.value, str):
                yield first.value


def _sites_in(path: Path, tree: ast.AST, root: Path, figures: set[str], words: set[str]) -> Iterator[Site]:
    plan = _knows_the_plan(tree)
    where, lines = path.relative_to(root).as_posix(), path.read_text(encoding="utf-8").splitlines()
    for node in ast.walk(tree):
        if _declares(node):
            assert isinstance(node, ast.FunctionDef)
            start = lines[node.lineno - 1].index(f"def {node.name}") + 4
            yield Site(where, node.lineno, start, start + len(node.name), node.name, "definition")
        elif isinstance(node, ast.Attribute) and node.attr in figures and node.end_lineno and node.end_col_offset:
            named = isinstance(node.value, ast.Name) and node.value.id in RECORDS
            end = len(lines[node.end_lineno - 1].encode()[: node.end_col_offset].decode())
            if not named:
                continue  # a figure read of a record, or no figure at all: the type check knows the record
            sort = "figure named in a document" if "document" in where else "figure named"
            yield Site(where, node.end_lineno, end - len(node.attr), end, node.attr, sort)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and plan and _is_name(node.value, words):
            end = len(lines[node.lineno - 1].encode()[: node.end_col_offset or 0].decode())
            if lines[node.lineno - 1][:end].endswith(f'"{node.value}"'):
                yield Site(where, node.lineno, end - 1 - len(node.value), end - 1, node.value, "name in quotes")


def _knows_the_plan(tree: ast.AST) -> bool:
    """Return whether a module imports anything by which a declared name can be asked for."""
    named = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module]
    return any(str(node.module).startswith(KNOWS_THE_PLAN) for node in named)


def _is_name(text: str, words: set[str]) -> bool:
    """Return whether a text is the name of a table, column or figure, or a key; files and modules have names of their own."""
    if Path(text).suffix in FILES or text.startswith("briefgen."):
        return False
    return text in words or ("." in text and text.replace(".", "").replace("_", "").isalpha())


def renamed(copy: Path, site: Site) -> str:
    """Rename one site in the copy and return the text as it was."""
    file = copy / site.path
    before = file.read_text(encoding="utf-8")
    lines = before.splitlines(keepends=True)
    line = lines[site.line - 1]
    lines[site.line - 1] = f"{line[: site.end]}x{line[site.end :]}"
    file.write_text("".join(lines), encoding="utf-8")
    return before


def probed(copy: Path, mission: str) -> tuple[str, str]:
    """Return who notices, empty for nobody, and what the documents show."""
    try:
        done = subprocess.run(
            [sys.executable, "-c", HASH + PROBE, mission], cwd=copy, capture_output=True, text=True, check=False, timeout=SECONDS
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return "time", ""
    if done.returncode:
        last = done.stderr.strip().splitlines()[-1] if done.stderr.strip() else ""
        return f"run: {last[:90]}", ""
    answer = json.loads(done.stdout.splitlines()[-1])
    return (f"figures on record: {answer['changes'][0][:70]}" if answer["changes"] else ""), answer["shown"]


def seen(copy: Path, mission: str, plain: dict[str, str]) -> str:
    """Return who notices when a mission is planned and written: an error, the figures on record or the files as they were."""
    who, shown = probed(copy, mission)
    return who or ("" if shown == plain[mission] else f"files on record: {mission}")


def type_checked(copy: Path) -> str:
    """Return the first complaint of the type check, empty for none."""
    done = subprocess.run([sys.executable, "-m", "mypy"], cwd=copy, capture_output=True, text=True, check=False)
    return f"types: {done.stdout.splitlines()[0][:90]}" if done.returncode else ""


def tested(copy: Path, site: Site) -> str:
    """Return the first of the tests of a room that fails, empty for none: what no demo mission shows is shown there."""
    room = "document" if site.path.startswith("briefgen/document") else "planning"
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", f"tests/unit/{room}"]
    done = subprocess.run(command, cwd=copy, capture_output=True, text=True, check=False)
    failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return f"test: {failed[0][:90]}" if failed else ""


def main() -> None:
    """Rename as many sites as asked for and print who noticed each, and the survivors."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--missions", nargs="+", default=["mudlark", "plumb-line", "cedar-lantern"])
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for name in COPIED:
            source = ROOT / name
            (shutil.copytree if source.is_dir() else shutil.copy)(source, copy / name)
        first, *others = asked.missions
        noticed, first_shown = probed(copy, first)
        plain = {first: first_shown}
        if noticed or type_checked(copy):
            raise SystemExit(f"the copy itself is not sound: {noticed or type_checked(copy)}")
        plain |= {mission: probed(copy, mission)[1] for mission in others}
        every = sites(copy / "briefgen")
        counts: Counter[str] = Counter()
        for site in random.Random(asked.seed).sample(every, asked.count):
            before = renamed(copy, site)
            who = seen(copy, first, plain) or type_checked(copy)
            for mission in others:
                who = who or seen(copy, mission, plain)
            who = who or tested(copy, site)
            (copy / site.path).write_text(before, encoding="utf-8")
            counts[who.partition(":")[0] or "SURVIVES"] += 1
            print(f"{site.path}:{site.line}: {site.name} ({site.sort}): {who or 'SURVIVES'}", flush=True)
        print(f"{asked.count} of {len(every)} names: " + ", ".join(f"{who} {n}" for who, n in counts.most_common()))


if __name__ == "__main__":
    main()
