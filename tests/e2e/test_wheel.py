"""The wheel carries everything: installed in an environment of its own it works away from the checkout."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

from tests.shared.demo_missions import ROOT, SPECS

PIP = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]
CARRIED = {"templates": ROOT / "templates", "mission_specs": SPECS}
LEFT_OUT = (".venv", "tests", "site", ".git")


def done(words: list[str], folder: Path) -> str:
    """Run a command and return what it prints; nothing of the checkout is on its path."""
    environment = {key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "SOURCE_DATE"))}
    ran = subprocess.run(words, cwd=folder, env=environment, capture_output=True, encoding="utf-8")
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built without the network."""
    folder = tmp_path_factory.mktemp("wheel")
    done([*PIP, "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(folder), str(ROOT)], folder)
    (built,) = folder.glob("briefgen-*.whl")
    return built


@pytest.fixture(scope="module")
def program(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The installed command; the packages it needs are lent by this interpreter, an editable install of ours is not."""
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=False)
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    python = scripts / "python"
    done([*PIP, "--python", str(python), "install", "--no-deps", "--no-index", str(wheel)], folder)
    own = Path(done([str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"], folder).strip())
    lent = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (own / "lent.pth").write_text("\n".join(sorted(lent)) + "\n", encoding="utf-8")
    where = done([str(python), "-c", "import briefgen; print(briefgen.__file__)"], folder).strip()
    assert Path(where).is_relative_to(own)
    return scripts / "briefgen"


def test_wheel_holds_every_file_the_program_reads(wheel: Path) -> None:
    """Package data, templates and demo missions are inside, byte for byte; nothing else of the checkout is."""
    with zipfile.ZipFile(wheel) as archive:
        inside = {name: archive.read(name) for name in archive.namelist()}
    wanted = {
        path.relative_to(ROOT).as_posix(): path
        for path in (ROOT / "briefgen").rglob("*")
        if path.is_file()
        and not any(part == "__pycache__" or part.startswith(".") for part in path.relative_to(ROOT).parts)
    }
    for name, folder in CARRIED.items():
        wanted |= {
            f"briefgen/{name}/{path.relative_to(folder).as_posix()}": path
            for path in folder.rglob("*")
            if path.is_file()
        }

    assert {name for name in inside if ".dist-info/" not in name} == set(wanted)
    assert [name for name, path in wanted.items() if inside[name] != path.read_bytes()] == []
    assert not any(name.startswith(LEFT_OUT) for name in inside)


def test_installed_command_starts_checks_and_builds_away_from_the_checkout(program: Path, tmp_path: Path) -> None:
    """``briefgen new x``, then ``briefgen build x --out y``: pages, cards, fonts, schemas, all from the wheel."""
    briefgen = str(program)
    done([briefgen, "new", "x"], tmp_path)
    built = done([briefgen, "build", "x", "--out", "y"], tmp_path)
    schema = done([briefgen, "schema", "plan"], tmp_path)
    kept = (ROOT / "briefgen" / "spec" / "schemas" / "plan.schema.json").read_text(encoding="utf-8")

    assert built.startswith("y: 1 mission, ")
    assert json.loads(schema) == json.loads(kept)  # the same schema, laid out by the printer
    assert (tmp_path / "y" / "index.html").is_file()
    assert list((tmp_path / "y" / "assets" / "fonts").iterdir())
    (cards,) = (tmp_path / "y").glob("*/cards-a5.pdf")
    assert cards.read_bytes().startswith(b"%PDF-")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["x", "y"]
