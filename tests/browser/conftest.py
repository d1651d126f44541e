"""A headless browser over a site built once. Skipped, saying why, where there is no browser.

``BRIEFGEN_CHROMIUM`` names the browser's program (else the usual places are tried); ``BRIEFGEN_AXE`` names the file
``axe.min.js`` of the npm package axe-core. ``BRIEFGEN_BROWSER_TESTS=required`` turns a skip into a failure.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, sync_playwright

from briefgen.document.write import write_site
from tests.shared.demo_missions import demo_site

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


def missing(what: str) -> None:
    """Skip, or fail where these tests are required."""
    if os.environ.get("BRIEFGEN_BROWSER_TESTS") == "required":
        pytest.fail(what)
    pytest.skip(what)


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("browser") / "site"
    write_site(demo_site(pdf=False), out)
    return out


@pytest.fixture(scope="session")
def context(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BrowserContext]:
    program = os.environ.get("BRIEFGEN_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not program:
        missing("no browser: install chromium, or name it in BRIEFGEN_CHROMIUM")
    with sync_playwright() as browsers:
        opened = browsers.chromium.launch_persistent_context(
            tmp_path_factory.mktemp("profile"),
            executable_path=program,
            args=FLAGS,
            viewport={"width": 1280, "height": 900},
        )
        yield opened
        opened.close()


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    opened = context.new_page()
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def axe() -> str:
    name = os.environ.get("BRIEFGEN_AXE")
    if not name or not Path(name).is_file():
        missing("no axe-core: name its axe.min.js in BRIEFGEN_AXE (npm pack axe-core)")
    return Path(str(name)).read_text(encoding="utf-8")
