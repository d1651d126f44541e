"""What the aircraft file allows only for a time or only to a speed: power with a time limit, flap on passes and approach."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from briefgen.model.mission import Action, Mission
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Record, figure, rests_on
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import LIMITS, POWERPLANT, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures

PAGE: FindingPage = "fields"
CLEAN = "clean"
PATTERN = "pattern"  # the phase of the aircraft file in which an approach is flown


class PowerTime(Record):
    """How long a power that is allowed for a time is set in one phase."""

    def __init__(self, flown: PhaseFigures, longest_s: float, limit_s: float) -> None:
        self.at, self.flown, self.title = flown.at, flown, flown.title
        self._longest_s, self._limit_s = longest_s, limit_s

    @figure("%(title)s: time limit of its power", "min", how="aircraft file")
    def power_time_limit(self) -> float:
        rest_on_groups(POWERPLANT)
        return self._limit_s

    @figure("%(title)s: time at that power in hand", "min", how="time limit less the time for which the power is set")
    def power_time_margin(self) -> float:
        rests_on(self.flown.duration)
        return self.power_time_limit - self._longest_s

    def finding(self) -> Finding | None:
        """Return the failure of a power that is set for longer than the file allows."""
        if self.power_time_margin >= 0.0:
            return None
        limit, margin = PowerTime.power_time_limit.of(self), PowerTime.power_time_margin.of(self)
        takes = PhaseFigures.duration.of(self.flown)
        return Finding(
            f"power-time-{self.flown.phase.ident}", "fail", "Time at limited power",
            f"{self.title}: its power is set for {takes}; at most {limit} allowed.", takes.key, limit.key, margin.key,
            "aircraft file, time limits of the engine", "reduce the power sooner", PAGE,
        )  # fmt: skip


class FlapSpeed(Record):
    """The speed of a phase flown with flap against the limit of that flap."""

    def __init__(self, flown: PhaseFigures, setting: str, limit_m_per_s: float) -> None:
        self.at, self.flown, self.title, self.setting = flown.at, flown, flown.title, setting
        self._limit_m_per_s = limit_m_per_s

    @figure("%(title)s: greatest speed with %(setting)s", AIRSPEED, how="aircraft file")
    def flap_limit(self) -> float:
        rest_on_groups(LIMITS)
        return self._limit_m_per_s

    @figure("%(title)s: speed in hand to the limit of the flap", AIRSPEED, how="limit less indicated airspeed")
    def flap_margin(self) -> float:
        return self.flap_limit - self.flown.ias

    def finding(self) -> Finding | None:
        """Return the failure of a phase flown faster than its flap allows."""
        if self.flap_margin >= -1e-9:
            return None
        limit, margin, ias = (
            FlapSpeed.flap_limit.of(self),
            FlapSpeed.flap_margin.of(self),
            PhaseFigures.ias.of(self.flown),
        )
        return Finding(
            f"flap-speed-{self.flown.phase.ident}", "fail", "Speed with flap",
            f"{self.title}: {ias} with {self.setting}; at most {limit} allowed.", ias.key, limit.key, margin.key,
            "aircraft file, speed limits", f"fly it at no more than {limit}, or without flap", PAGE,
        )  # fmt: skip


def power_times(phases: Sequence[PhaseFigures]) -> Iterator[PowerTime]:
    """Yield each phase that sets a power allowed for a time only, with the longest it is set without a break."""
    for flown in phases:
        if not flown.phase.settings:
            continue
        ends = [*(node.instant for node, _ in flown.phase.settings[1:]), flown.phase.end.instant]
        longest_s, run_s, limits_s = 0.0, 0.0, []
        for (node, setting), end in zip(flown.phase.settings, ends, strict=True):
            run_s = run_s + (end - node.instant).total_seconds() if setting.time_limit_s is not None else 0.0
            longest_s = max(longest_s, run_s)
            limits_s += [setting.time_limit_s] if setting.time_limit_s is not None else []
        if limits_s:
            yield PowerTime(flown, longest_s, min(limits_s))


def flap_speeds(mission: Mission, phases: Sequence[PhaseFigures]) -> Iterator[FlapSpeed]:
    """Yield each pass flown with flap, and each approach of an aircraft whose file sets flap in the pattern."""
    limits = {one.setting: one.greatest_m_per_s for one in mission.aircraft.limits.speeds.flaps}
    pattern = next((one.flaps for one in mission.aircraft.phases if one.phase == PATTERN), CLEAN)
    for flown in phases:
        setting = CLEAN
        item = mission.route.items[flown.phase.item] if flown.phase.item is not None else None
        if flown.phase.kind == "run" and isinstance(item, Action):
            setting = item.configuration
        elif flown.phase.kind == "approach":
            setting = pattern
        if setting != CLEAN:
            general = mission.aircraft.speeds.flaps_limit_m_per_s
            yield FlapSpeed(flown, setting, limits.get(setting, general))


def write_handling_limits(mission: Mission, phases: Sequence[PhaseFigures], writer: LedgerWriter) -> list[Finding]:
    """Enter the margins to both kinds of limit and return what is not kept."""
    records: list[PowerTime | FlapSpeed] = [*power_times(phases), *flap_speeds(mission, phases)]
    for one in records:
        writer.adopt(one)
    return [found for one in records if (found := one.finding()) is not None]
