"""How far one written value may go until a rule stops it: flights alone find the place, full plans confirm it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, timedelta
from pathlib import Path

from briefgen.bench.vary import planned
from briefgen.document import findings_told
from briefgen.errors import BriefgenError, UsageError
from briefgen.model.bench import Change
from briefgen.model.plan import Plan
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import fuel_in_hand_kg
from briefgen.spec import read_mission

LATE, HEAD_WIND, WARMER = "late", "head wind", "warmer"
ASKED_AS = {HEAD_WIND: ("weather.more head wind", "0 kt"), WARMER: ("weather.warmer", "0 degC"), LATE: ("", "0 min")}
STEPS = {
    "lb": 10.0,
    "kg": 5.0,
    "US gal": 1.0,
    "imp gal": 1.0,
    "L": 5.0,
    "kt": 1.0,
    "mph": 1.0,
    "ft": 100.0,
    "m": 25.0,
    "min": 1.0,
    "NM": 1.0,
}
ELSE_STEP = 1.0
MOST_STEPS = 65_536  # as far as it goes on looking for a limit
_VALUE = re.compile(r"([-+\u2212]?\d[\d,]*(?:\.\d+)?) (\S.*)")

Test = Callable[[int], str]  # why so many steps from the written value do not pass; empty where they do


@dataclass(frozen=True)
class Found:
    """The last value that passes, and what stops the next one."""

    mission: str
    asked: str  # "most" or "least"
    path: str
    written: str
    last: str  # that passes
    next: str  # the next step, which does not; empty where nothing stopped it
    stopped_by: str
    failing_as_written: tuple[str, ...]  # titles of findings that failed already, and are not counted
    flights: int
    plans: int


class Bench:
    """One mission with one value to be moved by whole steps."""

    def __init__(self, path: Path, plan: Plan, wanted: str, direction: int) -> None:
        self.path, self.plan, self.wanted, self.direction = path, plan, wanted, direction
        self.at, text = ASKED_AS.get(wanted) or (wanted, _written(plan, wanted))
        found = _VALUE.fullmatch(text)
        if found is None:
            raise UsageError(
                f"'{text}' at {wanted} is no number with a unit", where="--most or --least",
                expected="the path of a quantity such as load.items[0].mass, or one of head wind, warmer, late",
            )  # fmt: skip
        self.start, self.unit = float(found[1].replace(",", "").replace("\u2212", "-")), found[2]
        self.step = STEPS.get(self.unit, STEPS.get(self.unit.split()[0], ELSE_STEP))
        self.failing = {finding.ident for finding in plan.findings if finding.outcome == "fail"}
        self.flights = self.plans = 0

    def text(self, steps: int) -> str:
        """Return the value so many steps from the written one, as it would stand in the file."""
        value = self.start + self.direction * steps * self.step
        return f"{round(value, 6):,.6f}".rstrip("0").rstrip(".") + f" {self.unit}"

    def changes(self, steps: int) -> tuple[Change, ...]:
        """Return the change so many steps from the written value."""
        if self.wanted != LATE:
            return (Change(self.at, self.text(steps)),)
        sector = self.plan.mission.sector
        times = sector.sectors[0].times if sector else self.plan.mission.times  # later sectors follow from the first
        fixed = times.take_off or (times.over_target.instant if times.over_target else None)
        assert fixed is not None
        moved = fixed + timedelta(minutes=self.direction * steps * self.step)
        path = "times.take-off at" if times.take_off else "times.over target.time"
        return (Change(path, f"{moved.astimezone(UTC):%Y-%m-%d %H:%M:%SZ}"),)

    def flown(self, steps: int) -> str:
        """Return why a flight with the value does not work, or that its fuel does not reach; empty where it does."""
        self.flights += 1
        try:
            flown = fly(read_mission(self.path, changes=self.changes(steps)))
        except BriefgenError as error:
            return _refusal(error)
        in_hand_kg = fuel_in_hand_kg(flown)
        return "" if in_hand_kg >= 0.0 or "fuel-on-board" in self.failing else "fuel on board"

    def planned(self, steps: int) -> str:
        """Return which rule a whole plan with the value breaks that was met as written; empty where there is none."""
        self.plans += 1
        try:
            plan = planned(self.path, self.changes(steps))
        except BriefgenError as error:
            return _refusal(error)
        new = [finding for finding in plan.findings if finding.outcome == "fail" and finding.ident not in self.failing]
        told = dict(findings_told(plan))
        return "; ".join(f"{finding.title}: {told[finding.ident]}" for finding in new)


def _refusal(error: BriefgenError) -> str:
    if isinstance(error, UsageError):
        raise error
    return f"cannot be planned: {error.text().splitlines()[0]}"


def _written(plan: Plan, path: str) -> str:
    written = plan.mission.sector.given if plan.mission.sector else plan.mission.given
    given = written.get(path)
    if given is None:
        near = [key for key in written if key.endswith(path.rpartition(".")[2])][:3]
        raise UsageError(
            f"nothing is written at '{path}'", where="--most or --least",
            expected="the path of a written quantity, or one of head wind, warmer, late",
            hint=f"did you mean {' or '.join(near)}?" if near else "",
        )  # fmt: skip
    return given.text


def last_passing(fails: Test, low: int, high: int) -> int:
    """Return the last of some steps that passes, between one that does and one that does not, by halving."""
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if fails(middle) else (middle, high)
    return low


def first_failing(fails: Test, begin: int, most: int) -> int | None:
    """Return a number of steps that does not pass, looked for in strides that double; None where there is none up to the most."""
    stride = begin
    while stride <= most:
        if fails(stride):
            return stride
        stride *= 2
    return None


def search(path: Path, plan: Plan, wanted: str, *, most: bool) -> Found:
    """Return how far a value of a planned mission may go up (most) or down until a rule that was met no longer is.

    Flights alone find where it cannot be flown or the fuel does not reach; from there on whole plans decide, so that the last
    value has passed as a whole plan and the next one has not. One limit is taken for the only one on the way: what passes
    beyond it, or fails before it only to pass again, is not looked for.

    Raises:
        UsageError: The path names no written quantity.
    """
    bench = Bench(path, plan, wanted, 1 if most else -1)
    flown_to = first_failing(bench.flown, 1, MOST_STEPS)
    reach = last_passing(bench.flown, flown_to // 2, flown_to) if flown_to else MOST_STEPS
    reason = bench.planned(reach + 1)
    if reason and not bench.planned(reach):
        low = reach
    else:
        high = reach if reason else first_failing(bench.planned, max(1, reach), MOST_STEPS)
        low = last_passing(bench.planned, 0, high) if high is not None else reach
        reason = bench.planned(low + 1) if high is not None else ""
    failing = tuple(finding.title for finding in plan.findings if finding.ident in bench.failing)
    return Found(
        plan.mission.name, "most" if most else "least", wanted, bench.text(0), bench.text(low), bench.text(low + 1) if reason else "",
        reason, failing, bench.flights, bench.plans,
    )  # fmt: skip


def search_json(found: Sequence[Found]) -> str:
    """Return searches as data."""
    return json.dumps({"searches": [asdict(one) for one in found]}, indent=1, ensure_ascii=False) + "\n"


def search_text(found: Found) -> str:
    """Return a search in sentences."""
    lines = [
        f"{found.mission}: {found.path}, written {found.written}",
        f"  the {found.asked} that still passes: {found.last}",
    ]
    lines.append(
        f"  at {found.next} it is stopped by: {found.stopped_by}"
        if found.next
        else "  nothing stopped it as far as was looked"
    )
    if found.failing_as_written:
        lines.append(f"  failing as written already, and not counted: {'; '.join(found.failing_as_written)}")
    lines.append(f"  {found.flights} flights found the place, {found.plans} whole plans confirmed it")
    return "\n".join(lines).replace("\u00a0", " ") + "\n"
