"""The part of the verb `build` that builds many missions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from briefgen.commands.desk import Desk

Processes = Annotated[
    int, typer.Option("--processes", min=0, help="Missions built side by side; 0: as many as there is room for.")
]
Cluster = Annotated[
    str | None, typer.Option("--cluster", metavar="ADDRESS", help="Build on the workers of a running cluster.", show_default=False)
]  # fmt: skip


@dataclass(frozen=True)
class How:
    """How many missions are built."""

    pdf: bool
    built_at: datetime | None
    fresh: bool
    processes: int  # 0: as many as there is room for
    cluster: str | None


def build(desk: Desk, paths: list[Path], out: Path, how: How) -> None:
    """Build the site of several missions; exit with 1 where one of them failed."""
    from briefgen.fleet.build import AHEAD, build_many, executor, processes_here
    from briefgen.fleet.one import Order

    orders = [Order(path, how.pdf, how.built_at, desk.now().date()) for path in paths]
    processes = min(how.processes or processes_here(), len(orders))
    with executor(processes, how.cluster) as run:
        done = build_many(orders, out, run, AHEAD * processes, fresh=how.fresh)
    for one in done.failed:
        desk.say(one.told, to_error=True)
    for conflict in done.conflicts:
        desk.say(f"conflict: {conflict.told}")
    if not done.built and not done.failed:
        desk.say(f"{out}: nothing has changed, {done.files} files stay as they are; open {out / 'index.html'}")
        return
    kept = f", {done.kept} of them unchanged" if done.kept else ""
    count = done.built + done.kept
    desk.say(f"{out}: {count} mission{'s' if count != 1 else ''}{kept}, {done.files} files; open {out / 'index.html'}")
    if done.failed:
        raise typer.Exit(1)
