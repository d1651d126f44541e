"""The few instants everybody asks for, and how long the crew is on duty."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from briefgen.model.mission import Mission
from briefgen.model.plan import PhaseKind
from briefgen.model.record import Absent, Record, Sum, figure, rests_on, total
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.inputs import Written
from briefgen.planning.sections.basis.navigation import Navigation, OffBlocks
from briefgen.planning.sections.basis.phases import PhaseFigures

IN_ZONE = "the same in the mission's zone"


class BeforeStart(Record):
    """What happens before the engines are started."""

    at = "clock"

    def __init__(self, mission: Mission, log: Navigation, written: Written) -> None:
        self._mission, self._log, self._written = mission, log, written
        goes_on = written.handed_on is not None
        self.briefed = "that of the first sector: the duty goes on" if goes_on else "stations less the allowance"

    @figure("Stations", "UTC", how="start less the allowance")
    def stations(self) -> datetime:
        rests_on(self._log.clock.off_blocks, self._written.allowances.stations)
        return self._log.clock.off_blocks - timedelta(seconds=self._mission.times.stations_before_start_s)

    @figure("Stations, local", "local", how=IN_ZONE, name="stations.local")
    def stations_local(self) -> datetime:
        return self.stations

    @figure("Briefing", "UTC", how="%(briefed)s")
    def briefing(self) -> datetime:
        if self._written.handed_on is not None:
            return self._written.handed_on.reporting
        rests_on(self._written.allowances.briefing)
        return self.stations - timedelta(seconds=self._mission.times.briefing_before_stations_s)

    @figure("Briefing, local", "local", how=IN_ZONE, name="briefing.local")
    def briefing_local(self) -> datetime:
        return self.briefing


class Milestones(Record):
    """The instants of the sortie that everybody asks for."""

    at = "time"

    def __init__(self, mission: Mission, log: Navigation) -> None:
        self._log = log
        target = mission.times.over_target
        self._target = target.place.ident if target is not None else ""
        self.over = target.place.name if target is not None else "target"

    @property
    def begun(self) -> OffBlocks:
        """The start of the engines, which the navigation log begins with."""
        return self._log.clock

    def _of_kind(self, kind: PhaseKind) -> list[PhaseFigures]:
        return [one for one in self._log.phases if one.phase.kind == kind]

    @figure("Start engines, local", "local", how=IN_ZONE, name="start.local")
    def start_local(self) -> datetime:
        return self._log.clock.off_blocks

    @figure("Take-off", "UTC", how="brakes released")
    def take_off(self) -> datetime:
        return self._of_kind("take-off")[0].begin

    @figure("Take-off, local", "local", how=IN_ZONE, name="take_off.local")
    def take_off_local(self) -> datetime:
        return self.take_off

    @figure("Over %(over)s", "UTC", how="first arrival over the target")
    def over_target(self) -> datetime:
        if not self._target:
            raise Absent("no time over a target is asked for")
        for one in self._log.phases:
            if one.phase.place == self._target and one.phase.of("descent", "cruise", "climb"):
                return one.end
        raise Absent("no phase ends over the target")

    @figure("Over %(over)s, local", "local", how=IN_ZONE, name="over_target.local")
    def over_target_local(self) -> datetime:
        return self.over_target

    @figure("Landing", "UTC", how="end of approach and landing")
    def landing(self) -> datetime:
        return self._of_kind("approach")[-1].end

    @figure("Landing, local", "local", how=IN_ZONE, name="landing.local")
    def landing_local(self) -> datetime:
        return self.landing

    @figure("Engines stopped", "UTC", how="last phase ends")
    def shutdown(self) -> datetime:
        return self._log.phases[-1].end

    @figure("Engines stopped, local", "local", how=IN_ZONE, name="shutdown.local")
    def shutdown_local(self) -> datetime:
        return self.shutdown


class Durations(Record):
    """How long the sortie and the duty last."""

    at = "duration"

    def __init__(self, before: BeforeStart, milestones: Milestones) -> None:
        self._before, self._milestones = before, milestones

    @total("Time in the air", "h:min", how="end less beginning")
    def air(self) -> Sum:
        return Sum([Milestones.landing.of(self._milestones)], [Milestones.take_off.of(self._milestones)])

    @total("Engines running", "h:min", how="end less beginning")
    def block(self) -> Sum:
        return Sum([Milestones.shutdown.of(self._milestones)], [OffBlocks.off_blocks.of(self._milestones.begun)])

    @total("Duty, briefing to shutdown", "h:min", how="end less beginning")
    def duty(self) -> Sum:
        return Sum([Milestones.shutdown.of(self._milestones)], [BeforeStart.briefing.of(self._before)])


class Clock(Record):
    """Stations, take-off, over target, landing and block times, in UTC and in the mission's zone."""

    def __init__(self, mission: Mission, log: Navigation, written: Written) -> None:
        self.before, self.milestones = BeforeStart(mission, log, written), Milestones(mission, log)
        self.durations = Durations(self.before, self.milestones)

    def parts(self) -> Sequence[Record]:
        return [self.before, self.milestones, self.durations]


def write_clock(mission: Mission, log: Navigation, written: Written, writer: LedgerWriter) -> Clock:
    """Enter the instants everybody asks for, and how long the crew is on duty."""
    clock = Clock(mission, log, written)
    writer.adopt(clock)
    return clock
