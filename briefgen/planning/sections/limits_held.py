"""Limits of time and speed that are printed, held: settings with a time limit, holds, passes, and the minutes before start."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from briefgen.aircraft.interface import Performance
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.model.mission import Action, Mission
from briefgen.model.performance import PowerSetting
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Record, Ref, Sum, figure, rests_on, spare
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import SPEEDS, rest_on_groups
from briefgen.planning.sections.basis.inputs import Allowances
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.power import PowerTable
from briefgen.planning.sections.power_rows import PowerRow

PRACTICE = "common practice, no published source"
TURN_SOURCE = (
    "ICAO Doc 8168: turns of 25 degrees of bank or three degrees a second, whichever needs less bank (from memory)"
)
TURN_BANK_DEG, TURN_RATE_RAD_PER_S = 25.0, math.radians(3.0)
LEAST_STATIONS_S = 600.0  # the walk around her and the lists before starting take that long at least


class Held(Record):
    """Something held against a limit: its finding passes, cautions or fails."""

    ident: str
    title: str
    text: str
    cure: str
    broken: str = "fail"
    page: FindingPage = "power"
    source: str = ""

    def refs(self) -> tuple[Ref, Ref, Ref]:
        """Return what is measured, its limit, and the margin."""
        raise NotImplementedError

    def finding(self) -> Finding:
        """Return the finding; the margin is in hand when it is not negative."""
        measured, limit, margin = self.refs()
        kept = margin.value >= -1e-6
        return Finding(
            self.ident, "pass" if kept else self.broken, self.title, self.text, measured.key, limit.key, margin.key,
            self.source, "" if kept else self.cure, self.page,
        )  # fmt: skip


@dataclass
class Stretch:
    """A time without a break at settings of one time limit."""

    flown: PhaseFigures
    setting: PowerSetting
    lasts_s: float


def stretches(phases: Sequence[PhaseFigures]) -> Iterator[Stretch]:
    """Yield every stretch at a setting with a time limit, phase after phase, in which the rating stays the same."""
    running: Stretch | None = None
    for flown in phases:
        nodes = [*(node for node, _ in flown.phase.settings), flown.phase.end]
        if not flown.phase.settings and running is not None:
            yield running
            running = None
        for (node, setting), after in zip(flown.phase.settings, nodes[1:], strict=True):
            if running is not None and not _same_rating(running.setting, setting):
                yield running
                running = None
            if setting.time_limit_s is None:
                continue
            running = running or Stretch(flown, setting, 0.0)
            running.lasts_s += (after.instant - node.instant).total_seconds()
    if running is not None:
        yield running


def _same_rating(one: PowerSetting, other: PowerSetting) -> bool:
    return one.time_limit_s == other.time_limit_s and one.engine_speed_rpm == other.engine_speed_rpm


class TimeAtRating(Held):
    """The time at a setting with a time limit."""

    def __init__(self, stretch: Stretch, row: PowerRow) -> None:
        self.at, self._stretch, self._row = row.at, stretch, row
        self.kind = stretch.flown.phase.kind
        self.ident, self.title = f"time-limit-{row.name.replace('.', '-setting-')}", f"Time at {self.kind} power"
        self.source, self.cure = stretch.setting.source, "reduce power earlier"
        self.text = f"{self.title}: {TimeAtRating.time_held.of(self)} of {PowerRow.time_limit.of(row)} permitted."

    @figure("Time at %(kind)s power", "min", how="from the setting to the next one that is not of the same rating")
    def time_held(self) -> float:
        rests_on(self._stretch.flown.begin, self._stretch.flown.end)
        return self._stretch.lasts_s

    @spare("Time at %(kind)s power, in hand", "min", how="time limit less the time")
    def time_in_hand(self) -> Sum:
        return Sum([PowerRow.time_limit.of(self._row)], [TimeAtRating.time_held.of(self)])

    def refs(self) -> tuple[Ref, Ref, Ref]:
        return TimeAtRating.time_held.of(self), PowerRow.time_limit.of(self._row), TimeAtRating.time_in_hand.of(self)


class HoldSpeed(Held):
    """The speed of a hold against the holding speed of the aircraft file."""

    def __init__(self, row: PowerRow, least_m_per_s: float) -> None:
        self.at, self._row, self._least_m_per_s = row.at, row, least_m_per_s
        self.ident, self.title = f"hold-speed-{row.name.replace('.', '-setting-')}", "Speed in the hold"
        self.cure = f"hold at {HoldSpeed.hold_least.of(self)} or more"
        self.text = f"The hold is flown at {PowerRow.ias.of(row)}; the least is {HoldSpeed.hold_least.of(self)}."

    @figure("Least speed in the hold", AIRSPEED, how="holding speed of the aircraft file, no less than minimum control")
    def hold_least(self) -> float:
        rest_on_groups(SPEEDS)
        return self._least_m_per_s

    @spare("Speed in the hold over the least", AIRSPEED, how="speed of the hold less the least")
    def hold_in_hand(self) -> Sum:
        return Sum([PowerRow.ias.of(self._row)], [HoldSpeed.hold_least.of(self)])

    def refs(self) -> tuple[Ref, Ref, Ref]:
        return PowerRow.ias.of(self._row), HoldSpeed.hold_least.of(self), HoldSpeed.hold_in_hand.of(self)


class TurnBetweenPasses(Held):
    """The time from one pass to the next against that of turning back to the line of the passes."""

    source = TURN_SOURCE
    cure = "leave more time between the passes"

    def __init__(self, flown: PhaseFigures) -> None:
        self.at, self._flown = flown.at, flown
        self.ident, self.title = f"pass-turn-{flown.phase.ident}", "Time to turn between passes"
        self.text = (
            f"{PhaseFigures.duration.of(flown)} from the pass before to the end of this one; turning round takes "
            f"{TurnBetweenPasses.turn.of(self)}."
        )

    @figure(
        "Turning round for the next pass",
        "min",
        how="a full circle at the true airspeed of the pass",
        source=TURN_SOURCE,
    )
    def turn(self) -> float:
        tas = self._flown.tas
        rate = STANDARD_GRAVITY_M_PER_S2 * math.tan(math.radians(TURN_BANK_DEG)) / tas
        return 2.0 * math.pi / min(rate, TURN_RATE_RAD_PER_S)

    @spare("Time between the passes over the turn", "min", how="time of the pass less that of the turn")
    def turn_in_hand(self) -> Sum:
        return Sum([PhaseFigures.duration.of(self._flown)], [TurnBetweenPasses.turn.of(self)])

    def refs(self) -> tuple[Ref, Ref, Ref]:
        one = TurnBetweenPasses
        return PhaseFigures.duration.of(self._flown), one.turn.of(self), one.turn_in_hand.of(self)


class StationsBeforeStart(Held):
    """The minutes at stations before the engines are started."""

    at = "stations"
    ident, title, broken, page, source = (
        "stations-before-start",
        "Time at stations before start",
        "caution",
        "timeline",
        PRACTICE,
    )

    def __init__(self, allowances: Allowances) -> None:
        self._allowed = Allowances.stations.of(allowances)
        self.text = f"Stations are {self._allowed} before start; {StationsBeforeStart.least.of(self)} is the least."
        self.cure = f"be at stations {StationsBeforeStart.least.of(self)} before start"

    @figure(
        "Least time at stations before start",
        "min",
        how="walking round her and the lists before starting",
        source=PRACTICE,
    )
    def least(self) -> float:
        return LEAST_STATIONS_S

    @spare("Time at stations over the least", "min", how="time at stations less the least")
    def in_hand(self) -> Sum:
        return Sum([self._allowed], [StationsBeforeStart.least.of(self)])

    def refs(self) -> tuple[Ref, Ref, Ref]:
        return self._allowed, StationsBeforeStart.least.of(self), StationsBeforeStart.in_hand.of(self)


def write_limits_held(
    mission: Mission, log: Navigation, power: PowerTable, allowances: Allowances, performance: Performance,
    writer: LedgerWriter,
) -> list[Finding]:  # fmt: skip
    """Enter what limits of time and speed leave in hand, and return the findings."""
    rows = [line.row for line in power.lines]
    held: list[Held] = [TimeAtRating(one, _row_of(one, rows)) for one in stretches(log.phases)]
    for row in (one for one in rows if one.kind == "hold"):
        speeds = performance.speeds(row.setting.mass_kg)
        held.append(HoldSpeed(row, max(speeds.hold_m_per_s, speeds.minimum_control_m_per_s or 0.0)))
    held += [TurnBetweenPasses(flown) for flown in _passes_after_the_first(mission, log)]
    held.append(StationsBeforeStart(allowances))
    for one in held:
        writer.adopt(one)
    return [one.finding() for one in held]


def _row_of(stretch: Stretch, rows: Sequence[PowerRow]) -> PowerRow:
    """Return the row of the power table in which a stretch begins."""
    return next(
        row for row in rows if row.flown is stretch.flown and row.setting.time_limit_s == stretch.setting.time_limit_s
    )


def _passes_after_the_first(mission: Mission, log: Navigation) -> Iterator[PhaseFigures]:
    before: PhaseFigures | None = None
    for flown in log.phases:
        item = None if flown.phase.item is None else mission.route.items[flown.phase.item]
        if flown.phase.kind == "run" and isinstance(item, Action):
            if before is not None and before.phase.item == flown.phase.item:
                yield flown
            before = flown
