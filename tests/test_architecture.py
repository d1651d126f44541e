"""The house rules that a machine can see: who imports whom, how large a room may grow, what belongs at the top level."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "briefgen"

MAY_IMPORT = {
    "errors": set(),
    "system_errors": {"errors"},
    "disk": {"errors"},
    "kernel": {"errors"},
    "model": {"errors"},
    "unit_tables": set(),
    "units": {"unit_tables", "errors"},
    "aircraft": {"model", "kernel", "errors"},
    "weather": {"model", "kernel", "errors"},
    "spec": {"model", "units", "unit_tables", "errors"},
    "planning": {"model", "kernel", "aircraft", "weather", "errors"},
    "document": {"model", "units", "disk", "system_errors", "errors"},
    "starter": {"disk", "system_errors", "errors"},
    "cli": {"spec", "planning", "document", "model", "starter", "aircraft", "disk", "system_errors", "errors", "units"},
    "__main__": {"cli"},
    "__init__": set(),
}
ONLY_IN = {"pint": {"units"}, "typer": {"cli"}, "jinja2": {"document"}, "typst": {"document"}, "yaml": {"spec"}}
NOT_AT_IMPORT = (
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
FUNCTION_STATEMENTS = 30  # statements, not lines: the formatter spreads one call over many lines
FUNCTION_LINES = 80


def _room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names} if node.module == "briefgen" else set()
    return found


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_imports_only_rooms_below_it(path: Path) -> None:
    """Imports point downward: the table above is the whole law."""
    room = _room(path)
    used = {name.split(".")[1] for name in _imports(path) if name.startswith("briefgen.")} - {room, "__version__"}

    assert used <= MAY_IMPORT[room], f"{path} reaches up or across into {sorted(used - MAY_IMPORT[room])}"


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_library_stays_in_its_room(path: Path) -> None:
    """Units, command line, templates and YAML are each met in one place."""
    for name in _imports(path):
        library = name.split(".")[0]

        assert _room(path) in ONLY_IN.get(library, {_room(path)}), f"{path} imports {library}"


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_stays_within_its_budget(path: Path) -> None:
    """A room that needs scrolling to be understood wants dividing."""
    source = path.read_text(encoding="utf-8")

    assert len(source.splitlines()) <= MODULE_LINES
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef):
            docstring = len((ast.get_docstring(node, clean=False) or "").splitlines())
            length = (node.end_lineno or 0) - node.lineno + 1 - docstring
            statements = sum(isinstance(inner, ast.stmt) for inner in ast.walk(node)) - 1
            assert length <= FUNCTION_LINES, f"{path}: {node.name} has {length} lines"
            assert statements <= FUNCTION_STATEMENTS, f"{path}: {node.name} has {statements} statements"


def test_the_command_line_loads_no_library_before_it_is_needed() -> None:
    """`briefgen --help` must not pay for reading, units or rendering."""
    code = "import sys, briefgen.cli; print(' '.join(sorted(sys.modules)))"

    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    ).stdout.split()

    assert not set(NOT_AT_IMPORT) & set(loaded)


def test_the_top_level_is_the_design_card() -> None:
    """Nothing visible stands at the top level but what the design card names."""
    listed = subprocess.run(["git", "ls-files"], capture_output=True, text=True, check=True, cwd=ROOT).stdout.split(
        "\n"
    )
    visible = {name.split("/")[0] for name in listed if name and not name.startswith(".")}

    assert visible <= TOP_LEVEL
