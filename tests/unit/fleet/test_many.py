"""Many missions: side by side as one by one, the unchanged ones kept, a failing one alone; and where they get into each other's way."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from briefgen.document.site import site_files
from briefgen.errors import RenderError, UsageError
from briefgen.fleet.build import build_many, executor
from briefgen.fleet.conflicts import conflicts, uses_of
from briefgen.fleet.one import Order
from briefgen.model.bench import Use, Uses
from tests.shared.demo_missions import edited, plan_of

DAY = datetime(2027, 3, 1, tzinfo=UTC)


class InThisProcess(Executor):
    """Runs what it is given at once; the interface is that of the standard library."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def two_missions(tmp_path: Path) -> list[Path]:
    first = edited(tmp_path, "mudlark")
    second = first.with_name("mudlark-again.yaml")
    second.write_text(
        first.read_text(encoding="utf-8").replace("number: LRF-0419", "number: LRF-0420"), encoding="utf-8"
    )
    return [first, second]


def orders(paths: list[Path]) -> list[Order]:
    return [Order(path, False, None, date(2027, 1, 1)) for path in paths]


def contents(out: Path) -> dict[str, bytes]:
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in out.rglob("*")
        if path.is_file() and path.name != ".briefgen-site"
    }


def test_many_are_what_each_is_alone_and_the_unchanged_are_kept(tmp_path: Path) -> None:
    """The pages are byte for byte those of the plan alone; a second build makes nothing; a changed one is made again alone; one
    with a fault is named in the index with its line, and the other stands."""
    paths, out = two_missions(tmp_path), tmp_path / "site"
    first = build_many(orders(paths), out, InThisProcess(), 2, fresh=False)
    alone = site_files([plan_of("mudlark")], pdf=False, built_at=None)
    written = contents(out)

    assert (first.built, first.kept, first.failed) == (2, 0, ())
    assert {name: written[name] for name in alone if "/" in name and "plan.json" not in name} == {
        name: alone[name] for name in alone if "/" in name and "plan.json" not in name
    }
    second = build_many(orders(paths), out, InThisProcess(), 2, fresh=False)
    assert (second.built, second.kept) == (0, 2)
    assert contents(out) == written

    paths[1].write_text(
        paths[1].read_text(encoding="utf-8").replace("150 mph indicated", "150 mpx indicated"), encoding="utf-8"
    )
    third = build_many(orders(paths), out, InThisProcess(), 2, fresh=False)
    index = contents(out)["index.html"].decode()
    assert (third.built, third.kept, len(third.failed)) == (0, 1, 1)
    assert "mudlark-again.yaml:54:" in third.failed[0].told
    assert "Not built" in index
    assert "mpx" in index
    assert not any(name.startswith("lrf-0420") for name in contents(out))


def test_a_page_that_was_touched_is_made_again(tmp_path: Path) -> None:
    paths, out = two_missions(tmp_path)[:1], tmp_path / "site"
    build_many(orders(paths), out, InThisProcess(), 1, fresh=False)
    page = out / "lrf-0419-mudlark" / "index.html"
    page.write_bytes(page.read_bytes() + b" ")

    assert build_many(orders(paths), out, InThisProcess(), 1, fresh=False).built == 1


def test_two_of_one_number_and_name_are_refused_and_the_old_site_stands(tmp_path: Path) -> None:
    paths, out = two_missions(tmp_path), tmp_path / "site"
    build_many(orders(paths[:1]), out, InThisProcess(), 1, fresh=False)
    before = contents(out)
    paths[1].write_text(paths[0].read_text(encoding="utf-8"), encoding="utf-8")

    with pytest.raises(RenderError, match="would both stand in 'lrf-0419-mudlark'"):
        build_many(orders(paths), out, InThisProcess(), 1, fresh=False)
    assert contents(out) == before
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".briefgen")] == []


def test_a_cluster_that_does_not_answer_is_said(tmp_path: Path) -> None:
    with (
        pytest.raises(UsageError, match=r"no cluster answers|extra for clusters is not installed"),
        executor(1, "tcp://127.0.0.1:9"),
    ):
        pass


# --- conflicts --------------------------------------------------------------------------------------------------------


def use(kind: str, name: str, begin_h: float, end_h: float) -> Use:
    return Use(kind, name, DAY + timedelta(hours=begin_h), DAY + timedelta(hours=end_h))


def week() -> list[Uses]:
    """Return an invented week with four conflicts: an aircraft, a person, a field, and a day that is too long."""
    limit = 14.0 * 3600.0
    return [
        Uses("A", (use("aircraft", "X1", 8, 12), use("person", "Orr", 6, 13), use("place", "P1", 8, 9)), limit),
        Uses(
            "B", (use("aircraft", "X1", 11, 15), use("person", "Tey", 10, 16), use("place", "P1", 11, 12)), limit
        ),  # X1 twice
        Uses("C", (use("aircraft", "X2", 34, 36), use("person", "Lin", 32, 37), use("place", "P2", 34, 35)), limit),
        Uses(
            "D", (use("aircraft", "X3", 36, 40), use("person", "Lin", 36, 41), use("place", "P3", 36, 37)), limit
        ),  # Lin twice
        Uses("E", (use("aircraft", "X4", 58, 60), use("person", "Ash", 56, 61), use("place", "P4", 59, 60)), limit),
        Uses(
            "F", (use("aircraft", "X5", 59, 62), use("person", "Bex", 57, 63), use("place", "P4", 59.5, 62)), limit
        ),  # P4 twice
        Uses("G", (use("aircraft", "X6", 75, 80), use("person", "Kit", 73, 81), use("place", "P5", 75, 76)), limit),
        Uses(
            "H", (use("aircraft", "X6", 83, 88), use("person", "Kit", 82, 89), use("place", "P5", 83, 84)), limit
        ),  # 8 + 7 h
        Uses(
            "I", (use("aircraft", "X1", 104, 106), use("person", "Orr", 102, 107), use("place", "P1", 104, 105)), limit
        ),
    ]


def test_a_week_of_missions_shows_its_conflicts_and_no_other() -> None:
    """Hand count: X1 from 11 to 12, Lin from 36 to 37, P4 from 59:30 to 60, and Kit 15 hours on the fourth day."""
    found = conflicts(week())

    assert [one.what for one in found] == ["aircraft X1", "person Lin", "place P4", "person Kit"]
    assert "2027-03-01 11:00 to 12:00 UTC" in found[0].told
    assert "15.0 h on 2027-03-04 in G and H; at most 14.0 h" in found[3].told


def test_one_after_the_other_is_no_conflict() -> None:
    assert (
        conflicts([Uses("A", (use("aircraft", "X1", 8, 12),), None), Uses("B", (use("aircraft", "X1", 12, 15),), None)])
        == ()
    )


def test_a_plan_uses_its_airframe_its_people_and_its_fields() -> None:
    """Mudlark: LX-T42; on duty from 65 min before the start (45 and 20 as written) to the last engine's stop; out of LX02, into LX01."""
    plan = plan_of("mudlark")
    uses = {(one.kind, one.name): one for one in uses_of(plan).uses}
    first = plan.phases[0].start.instant

    assert uses["aircraft", "LX-T42"].begin == first
    assert uses["person", "Orlan"].begin == first - timedelta(minutes=65)
    assert uses_of(plan).duty_limit_s == 14.0 * 3600.0  # as its rules say
    assert uses["person", "Orlan"].end == plan.phases[-1].end.instant
    assert uses["place", "LX02"].end < uses["place", "LX01"].begin


def test_a_local_cluster_builds_the_same(tmp_path: Path) -> None:
    """The same interface on another engine: one worker of a local cluster makes the same bytes."""
    distributed = pytest.importorskip("distributed")
    paths = two_missions(tmp_path)[:1]
    build_many(orders(paths), tmp_path / "here", InThisProcess(), 1, fresh=True)
    with (
        distributed.LocalCluster(n_workers=1, threads_per_worker=1, processes=True, dashboard_address=None) as there,
        executor(1, there.scheduler_address) as run,
    ):
        build_many(orders(paths), tmp_path / "there", run, 1, fresh=True)

    assert contents(tmp_path / "here") == contents(tmp_path / "there")
