"""The site of many missions: built side by side, each written and let go of when it is done, the unchanged ones kept."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from briefgen.document.parts.blocks import Identity
from briefgen.document.site import index_files
from briefgen.document.unchanged import mission_digest, options_digest
from briefgen.document.write import GrowingSite, standing
from briefgen.errors import RenderError, UsageError
from briefgen.fleet.conflicts import conflicts
from briefgen.fleet.one import Built, Failed, Order, build_one
from briefgen.model.approval import RECORD
from briefgen.model.bench import Conflict, Use, Uses

AHEAD = 2  # missions given to each process at once: enough to keep it busy, few enough to keep memory flat
Kept = dict[str, Any]


@dataclass(frozen=True)
class Fleet:
    """What a build of many missions came to."""

    built: int
    kept: int
    failed: tuple[Failed, ...]
    conflicts: tuple[Conflict, ...]
    files: int


@contextmanager
def executor(processes: int, cluster: str | None) -> Iterator[Executor]:
    """Give what runs missions: processes of this machine, or the workers of a running cluster through the same interface.

    Raises:
        UsageError: The cluster is asked for and the extra for it is not installed, or it does not answer.
    """
    if cluster is None:
        with ProcessPoolExecutor(max_workers=processes) as pool:
            yield pool
        return
    try:
        from distributed import Client
    except ImportError as error:
        raise UsageError(
            "the extra for clusters is not installed", where="--cluster", expected="pip install 'briefgen[cluster]'"
        ) from error
    try:
        connect: Any = Client
        client = connect(cluster, timeout="10s")
    except OSError as error:
        raise UsageError(
            f"no cluster answers at {cluster}",
            where="--cluster",
            expected="the address of a scheduler, such as tcp://127.0.0.1:8786",
        ) from error
    try:
        yield client.get_executor()
    finally:
        client.close()


def build_many(
    orders: Sequence[Order],
    out: Path,
    run: Executor,
    ahead: int,
    *,
    fresh: bool,
) -> Fleet:
    """Build the site of some missions; those that fail are told in the index and the others stand.

    Raises:
        RenderError: The folder is not ours to replace, two missions would stand in one folder, or no mission could be built.
    """
    options = options_digest(pdf=orders[0].pdf, built_at=orders[0].built_at)
    before = {} if fresh else _kept_of(out)
    site = GrowingSite(out, [order.path for order in orders])
    try:
        rows = {
            order.path: kept
            for order in orders
            if (kept := before.get(order.path.name)) and _stands(kept, options, order, site)
        }
        kept_count, failed = len(rows), []
        for done in _in_turn(run, [order for order in orders if order.path not in rows], ahead):
            if isinstance(done, Failed):
                failed.append(done)
                continue
            _refuse_one_folder_for_two(done, rows)
            rows[done.path] = _keep(done, options, site.add(done.files))
        return _finish(site, orders, rows, failed, kept_count)
    except BaseException:
        site.drop()
        raise


def _stands(kept: Kept, options: str, order: Order, site: GrowingSite) -> bool:
    """Return whether one mission's pages are what a build would make again, and take them over if they are.

    One that is or was approved is built anew: whether an approval holds is a matter of the day.
    """
    approved = kept["approved"] or order.path.with_name(order.path.stem + RECORD).is_file()
    same = not approved and kept["in"] == mission_digest(options, order.path, kept["read"])
    return same and site.keep(kept["files"], kept["out"])


def _in_turn(run: Executor, orders: Sequence[Order], ahead: int) -> Iterator[Built | Failed]:
    """Yield what is built as it is done, never more under way than asked."""
    left = list(reversed(orders))
    under_way: set[Future[Built | Failed]] = set()
    while left or under_way:
        while left and len(under_way) < ahead:
            under_way.add(run.submit(build_one, left.pop()))
        done, under_way = wait(under_way, return_when=FIRST_COMPLETED)
        for one in done:
            yield one.result()


def _keep(done: Built, options: str, came_out: str) -> Kept:
    return {
        "in": mission_digest(options, done.path, list(done.read), done.read), "out": came_out, "read": list(done.read), "files": sorted(done.files),
        "approved": done.approved, "row": {**done.row, "identity": asdict(done.row["identity"])},
        "uses": [done.uses.mission, [[use.kind, use.name, use.begin.isoformat(), use.end.isoformat()] for use in done.uses.uses], done.uses.duty_limit_s],
    }  # fmt: skip


def _uses(kept: Kept) -> Uses:
    mission, uses, limit = kept["uses"]
    return Uses(
        mission, tuple(Use(kind, name, datetime.fromisoformat(begin), datetime.fromisoformat(end)) for kind, name, begin, end in uses), limit
    )  # fmt: skip


def _kept_of(out: Path) -> dict[str, Kept]:
    """Return what the marker of a site of many missions tells of each; nothing where it tells of none."""
    _, told = standing(out)
    try:
        found = json.loads(told or "")["missions"]
    except (ValueError, TypeError, KeyError):
        return {}
    return found if isinstance(found, dict) else {}


def _refuse_one_folder_for_two(done: Built, rows: dict[Path, Kept]) -> None:
    for path, kept in rows.items():
        if kept["row"]["folder"] == done.row["folder"]:
            raise RenderError(
                f"{path.name} and {done.path.name} would both stand in '{done.row['folder']}'",
                hint="give each mission its own number",
            )


def _finish(
    site: GrowingSite, orders: Sequence[Order], rows: dict[Path, Kept], failed: list[Failed], kept_count: int
) -> Fleet:
    if not rows:
        raise RenderError("no mission could be built", hint="\n".join(one.told for one in failed))
    kept = [rows[order.path] for order in orders if order.path in rows]
    missions = [{**one["row"], "identity": Identity(**one["row"]["identity"])} for one in kept]
    found = conflicts([_uses(one) for one in kept])
    failures = [(one.path.name, one.told.split("\n")[0]) for one in sorted(failed, key=lambda one: one.path.name)]
    site.add(index_files(missions, failures=failures, conflicts=[one.told for one in found]))
    made_of = {"missions": {path.name: one for path, one in rows.items()}}
    files = site.finish(json.dumps(made_of, ensure_ascii=False))
    return Fleet(len(rows) - kept_count, kept_count, tuple(failed), found, len(files))


def processes_here() -> int:
    """Return how many processes this machine has room for."""
    return max(1, len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1)
