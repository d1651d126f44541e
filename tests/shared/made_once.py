"""What is dear to make and never changed is made once in a run, by whichever process of it asks first."""

from __future__ import annotations

import fcntl
import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

RUN_FOLDER = (
    "BRIEFGEN_TEST_RUN"  # names the folder that the processes of one run share; conftest.py makes and removes it
)


def run_folder() -> Path:
    """Return the folder that the processes of this run share."""
    return Path(os.environ[RUN_FOLDER])


def made_once(name: str, make: Callable[[], Any]) -> Any:
    """Return what a function makes, made by the first process that asks for the name and read by the others."""
    file = run_folder() / f"{name}.pickle"
    with (run_folder() / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not file.exists():
            made = make()
            file.write_bytes(pickle.dumps(made))
            return made
    return pickle.loads(file.read_bytes())
