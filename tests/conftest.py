"""Property tests draw the same cases on every run and are not timed: the machine they run on may be busy.

The processes of a run share a folder, in which what is dear to make is kept (``tests.shared.made_once``).
"""

from __future__ import annotations

import os
import shutil
import tempfile

import pytest
from hypothesis import settings

from tests.shared.made_once import RUN_FOLDER

settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")


def pytest_configure(config: pytest.Config) -> None:
    """Make the folder that all processes of the run share; those that pytest-xdist starts find its name in the environment."""
    if not hasattr(config, "workerinput"):
        os.environ[RUN_FOLDER] = tempfile.mkdtemp(prefix="briefgen-tests-")


def pytest_unconfigure(config: pytest.Config) -> None:
    """Remove the folder with the run that made it."""
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(RUN_FOLDER), ignore_errors=True)
