"""The house rules that a machine can see: who imports whom, how large a room may grow, what belongs at the top level."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "briefgen"
GUIDE = ROOT / "DEVELOPERS.md"

BASE = {"model", "kernel", "errors"}
AIRCRAFT = BASE | {"aircraft"}
ENTERED = BASE | {
    "planning.ledger",
    "planning.flight",
    "planning.flight.home",
    "planning.load",
}  # what every section may stand on
SECTIONS = {
    f"planning.sections.{name}" for name in ["timing", "balance", "fields", "way_home", "weather", "engines_out"]
}
# Every section and the review stand on the figures of what was written and flown.
FLOWN = ENTERED | {"planning.sections.basis"}
ADDS_FIGURES = {"kernel", "weather", "aircraft", "planning"}
COUNTS = {  # people and places on rafts, whole numbers
    "sum((counts[row.piece.key] for row in rows))",
    "sum((raft.places for raft in provision.rafts))",
    "sum(counts.values())",
    "sum((people.number for people in mission.people))",
}
FREE = {"frozen"}  # a way to define classes, as the standard library has one: every room may use it
AFTER = FLOWN | {"kernel.statistics", "weather", "planning.sections.briefing"}
# Documents name figures and tables by the objects that declare them.
DECLARED = SECTIONS | {"planning.sections.basis", "planning.sections", "planning.review", "planning.search"}
# The whole law of imports: a room is a folder, or a module that stands by itself. DEVELOPERS.md shows the same table.
MAY_IMPORT: dict[str, set[str]] = {
    "frozen": set(),
    "errors": set(),
    "system_errors": {"errors"},
    "disk": {"errors"},
    "kernel": {"errors"},
    "kernel.statistics": {"errors"},
    "model": {"errors"},
    "unit_tables": set(),
    "unit_factors": set(),
    "units": {"unit_tables", "unit_factors", "errors"},
    "aircraft": BASE,
    "aircraft.physics": AIRCRAFT,
    "aircraft.book": AIRCRAFT,
    "aircraft.factory": AIRCRAFT | {"aircraft.physics", "aircraft.book"},
    "aircraft.sheet": AIRCRAFT | {"aircraft.physics", "aircraft.book", "aircraft.factory"},
    "weather": BASE,
    "spec.words": {"model", "units", "unit_tables", "errors"},
    "spec.coded": {"model", "units", "errors"},
    "spec.tree": {"spec.words", "model", "units", "unit_tables", "errors"},
    "spec.build": {"spec.words", "spec.coded", "spec.tree", "model", "units", "errors"},
    "spec.meaning": {"spec.words", "spec.tree", "spec.build", "model", "units", "unit_tables", "errors"},
    "spec": {"spec.words", "spec.tree", "spec.build", "spec.meaning", "model", "units", "errors"},
    "planning.ledger": BASE,
    "planning.load": BASE,
    "planning.flight": AIRCRAFT | {"aircraft.factory", "weather", "planning.load"},
    "planning.flight.home": AIRCRAFT | {"aircraft.factory", "weather", "planning.load", "planning.flight"},
    "planning.sections.basis": ENTERED | {"aircraft"},
    "planning.sections.timing": FLOWN,
    "planning.sections.balance": FLOWN,
    "planning.sections.weather": FLOWN | {"weather"},
    "planning.sections.fields": FLOWN | {"aircraft", "aircraft.factory", "weather", "planning.sections.weather"},
    "planning.sections.way_home": FLOWN | {"aircraft", "planning.sections.weather"},
    "planning.sections.engines_out": FLOWN | {"aircraft"},
    "planning.sections": FLOWN | SECTIONS | {"aircraft", "aircraft.physics", "weather"},
    "planning.sections.briefing": FLOWN | SECTIONS | {"aircraft", "weather", "planning.sections"},
    "planning.review.checks": FLOWN | SECTIONS | {"aircraft", "planning.sections"},
    "planning.review": FLOWN | SECTIONS | {"aircraft", "planning.sections", "planning.review.checks"},
    "planning.search": FLOWN | SECTIONS | {"planning.sections", "planning.review"},
    "planning": FLOWN | SECTIONS | {"planning.sections", "planning.sections.briefing", "planning.review"},
    "document.parts": {"planning.sections.basis", "model", "units", "errors"},
    "document.drawings": {
        "planning.sections.basis",
        "planning.sections.briefing",
        "document.parts",
        "model",
        "units",
        "errors",
    },
    "document.pages": DECLARED
    | {"planning.sections.briefing", "document.parts", "document.drawings", "model", "errors"},
    "document.cards": DECLARED
    | {"planning.sections.briefing", "document.parts", "document.pages", "model", "units", "errors"},
    "document": DECLARED
    | {
        "document.parts",
        "document.drawings",
        "document.pages",
        "document.cards",
        "model",
        "units",
        "disk",
        "system_errors",
        "errors",
    },
    "comparison": {"document.parts", "spec", "model", "errors"},
    "approval": {"comparison", "document", "document.parts", "spec", "disk", "model", "errors"},
    "replay": AIRCRAFT | {"weather", "planning.flight"},
    "bench": {
        "replay",
        "comparison",
        "document",
        "document.parts",
        "document.drawings",
        "planning",
        "planning.flight",
        "planning.likely",
        "spec",
        "spec.words",
        "aircraft",
        "model",
        "units",
        "disk",
        "errors",
    },
    "preview": {"document", "planning", "spec", "errors"},
    "fleet": {
        "approval",
        "bench",
        "document",
        "document.parts",
        "planning",
        "spec",
        "spec.tree",
        "disk",
        "model",
        "errors",
    },
    "commands": {
        "preview",
        "fleet",
        "approval",
        "bench",
        "comparison",
        "planning.after",
        "planning.learning",
        "planning.flight",
        "spec",
        "spec.words",
        "document",
        "document.flown",
        "model",
        "units",
        "disk",
        "errors",
    },
    "starter": {"spec", "disk", "system_errors", "errors"},
    "planning.after": AFTER,
    "planning.likely": FLOWN,
    "planning.learning": FLOWN | {"kernel.statistics", "aircraft", "aircraft.factory", "planning.after"},
    "document.flown": DECLARED
    | {
        "planning.after",
        "planning.learning",
        "planning.likely",
        "document.parts",
        "document.pages",
        "document.cards",
        "document",
        "model",
        "errors",
    },
    "cli": {
        "spec",
        "planning",
        "planning.search",
        "document",
        "model",
        "starter",
        "commands",
        "bench",
        "approval",
        "aircraft.sheet",
        "disk",
        "system_errors",
        "errors",
        "units",
    },
    "__main__": {"cli"},
    "__init__": set(),
}
ONLY_IN = {
    "pint": {"units"},
    "typer": {"cli", "commands"},
    "jinja2": {"document"},
    "typst": {"document"},
    "yaml": {"spec"},
}
NOT_AT_IMPORT = (
    "cryptography",
    "numpy",
    "pint",
    "yaml",
    "jsonschema",
    "jinja2",
    "markdown",
    "nh3",
    "typst",
    "highspy",
    "astronomy",
    "pygeomag",
)
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "briefgen", "mission_specs", "templates", "tests", "site"}
MODULE_LINES = 400
ROOM_FILES = 25
FUNCTION_STATEMENTS = 30
FUNCTION_LINES = 40  # without the docstring
WITH_LEDGER = "to be split with the typed ledger"
NAMES_AT_THE_DOOR = {"", "document", "spec"}  # rooms whose door hands out names; every other door is its sentence alone


def _dotted(path: Path) -> str:
    return ".".join(path.relative_to(PACKAGE).with_suffix("").parts)


def _room(path: Path) -> str:
    """Return the room of a module: itself where the table names it, else its folder."""
    dotted = _dotted(path)
    folder, _, name = dotted.rpartition(".")
    return dotted if dotted in MAY_IMPORT else folder or name


def _modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


@cache
def _nodes(path: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


def _folders() -> list[Path]:
    return sorted({path.parent for path in _modules()})


@cache
def _imports(path: Path) -> set[str]:
    """Return what a module imports, a module out of its folder by its own name."""
    found = set()
    for node in _nodes(path):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path} imports relatively"
            inside = {alias.name for alias in node.names if _file_of(f"{node.module}.{alias.name}") is not None}
            found |= {f"{node.module}.{name}" for name in inside}
            found |= {node.module} if len(inside) < len(node.names) else set()
    return found


def _file_of(module: str) -> Path | None:
    """Return the file of one of our modules, None for everything else."""
    place = ROOT.joinpath(*module.split("."))
    found = (place.with_suffix(".py"), place / "__init__.py")
    return next((file for file in found if module.startswith("briefgen") and file.is_file()), None)


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_imports_only_rooms_below_it(path: Path) -> None:
    """Imports point downward: the table above is the whole law."""
    room = _room(path)
    files = [file for name in _imports(path) if (file := _file_of(name)) is not None]
    used = {_room(file) for file in files} - {room, "__init__", *FREE}

    assert used <= MAY_IMPORT[room], f"{path} reaches up or across into {sorted(used - MAY_IMPORT[room])}"


def test_the_law_of_imports_has_no_circle() -> None:
    """Every room can be read before the rooms that stand on it."""
    left = dict(MAY_IMPORT)
    while left:
        bottom = [room for room, below in left.items() if not below & set(left)]
        assert bottom, f"a circle among {sorted(left)}"
        for room in bottom:
            del left[room]


def test_the_contributor_guide_shows_the_law() -> None:
    """DEVELOPERS.md draws the same map: each room, the sentence on its door, and what it may import."""
    rows = [
        line.strip("| ").split(" | ")
        for line in GUIDE.read_text(encoding="utf-8").splitlines()
        if line.startswith("| `")
    ]
    drawn = {row[0].strip("`"): set(re.findall(r"[\w.]+", row[2])) for row in rows if len(row) == 3}

    assert drawn == {room: below for room, below in MAY_IMPORT.items() if room not in ("__init__", "__main__")}
    for room, sentence, _ in rows:
        door = _file_of(f"briefgen.{room.strip('`')}")
        assert door is not None
        assert sentence == _door(door), f"the guide tells another sentence than the door of {room}"


def _door(path: Path) -> str:
    return (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").split("\n\n")[0].replace("\n", " ")


@pytest.mark.parametrize("folder", _folders(), ids=lambda folder: str(folder.relative_to(PACKAGE)))
def test_a_room_can_be_held_in_mind(folder: Path) -> None:
    """Few modules, one sentence on the door, and behind it nothing but the sentence."""
    door = folder / "__init__.py"
    sentence = _door(door)
    body = ast.parse(door.read_text(encoding="utf-8")).body

    assert len(list(folder.glob("*.py"))) <= ROOM_FILES, "its door is counted"
    assert sentence.endswith(".")
    assert ". " not in sentence, f"{door}: one sentence"
    assert len(body) == 1 or ".".join(folder.relative_to(PACKAGE).parts) in NAMES_AT_THE_DOOR


def test_flight_knows_no_paper() -> None:
    """Who asks 'what if' a thousand times flies a thousand times, and loads no ledger, section or review for it."""
    code = "import sys, briefgen.planning.flight.fly; print(' '.join(sorted(sys.modules)))"

    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT).stdout
    paper = re.findall(r"briefgen\.(?:planning\.(?:ledger|sections|review)|document|spec)\S*", loaded)

    assert "briefgen.planning.flight.sortie" in loaded
    assert not paper


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_library_stays_in_its_room(path: Path) -> None:
    """Units, command line, templates and YAML are each met in one place."""
    for name in _imports(path):
        library = name.split(".")[0]

        assert _dotted(path).split(".")[0] in ONLY_IN.get(library, {_dotted(path).split(".")[0]}), (
            f"{path} imports {library}"
        )


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_stays_within_its_budget(path: Path) -> None:
    """A room that needs scrolling to be understood wants dividing."""
    source = path.read_text(encoding="utf-8")

    assert len(source.splitlines()) <= MODULE_LINES
    for node in _nodes(path):
        if isinstance(node, ast.FunctionDef):
            docstring = len((ast.get_docstring(node, clean=False) or "").splitlines())
            length = (node.end_lineno or 0) - node.lineno + 1 - docstring
            statements = sum(isinstance(inner, ast.stmt) for inner in ast.walk(node)) - 1
            assert length <= FUNCTION_LINES, f"{path}: {node.name} has {length} lines"
            assert statements <= FUNCTION_STATEMENTS, f"{path}: {node.name} has {statements} statements"


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_figures_are_added_up_exactly(path: Path) -> None:
    """The built-in sum rounds at every step, and differently from one interpreter to the next: it counts whole things only."""
    room = _dotted(path).split(".")[0]
    calls = [node for node in _nodes(path) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)]
    plain = [ast.unparse(call) for call in calls if isinstance(call.func, ast.Name) and call.func.id == "sum"]

    assert room not in ADDS_FIGURES or [call for call in plain if call not in COUNTS] == []


def test_the_command_line_loads_no_library_before_it_is_needed() -> None:
    """`briefgen --help` must not pay for reading, units or rendering."""
    code = "import sys, briefgen.cli; print(' '.join(sorted(sys.modules)))"

    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    ).stdout.split()

    assert not set(NOT_AT_IMPORT) & set(loaded)
    verbs = {
        f"briefgen.commands.{path.stem}"
        for path in (PACKAGE / "commands").glob("*.py")
        if path.stem not in ("__init__", "revisions")
    }
    assert {name for name in loaded if name.startswith("briefgen")} == verbs | {
        "briefgen", "briefgen.cli", "briefgen.commands", "briefgen.errors", "briefgen.system_errors",
    }  # fmt: skip


def test_the_top_level_is_the_design_card() -> None:
    """Nothing visible stands at the top level but what the design card names."""
    listed = subprocess.run(["git", "ls-files"], capture_output=True, text=True, check=True, cwd=ROOT).stdout.split(
        "\n"
    )
    visible = {name.split("/")[0] for name in listed if name and not name.startswith(".")}

    assert visible <= TOP_LEVEL
