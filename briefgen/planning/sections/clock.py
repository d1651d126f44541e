"""The few instants everybody asks for, and how long the crew is on duty."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter


def write_clock(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> None:
    """Enter stations, take-off, over target, landing and block times, in UTC and in the mission's zone."""
    start = phases[0].start.instant
    stations = start - timedelta(seconds=mission.times.stations_before_start_s)
    briefing = stations - timedelta(seconds=mission.times.briefing_before_stations_s)
    _both(
        writer,
        "clock.stations",
        "Stations",
        stations,
        "start less the allowance",
        ("clock.off_blocks", "times.stations"),
    )
    _both(
        writer,
        "clock.briefing",
        "Briefing",
        briefing,
        "stations less the allowance",
        ("clock.stations", "times.briefing"),
    )
    take_off = next(phase for phase in phases if phase.kind == "take-off")
    landing = next(phase for phase in reversed(phases) if phase.kind == "approach")
    last = phases[-1]
    _both(writer, "time.start", "Start engines", start, "first phase begins", ("clock.off_blocks",))
    _both(
        writer,
        "time.take_off",
        "Take-off",
        take_off.start.instant,
        "brakes released",
        (f"{phase_key(take_off.ident)}.begin",),
    )
    target = mission.times.over_target
    if target is not None:
        over = next(
            (
                phase
                for phase in phases
                if phase.place == target.place.ident and phase.kind in ("descent", "cruise", "climb")
            ),
            None,
        )
        if over is not None:
            _both(
                writer,
                "time.over_target",
                f"Over {target.place.name}",
                over.end.instant,
                "first arrival over the target",
                (f"{phase_key(over.ident)}.end",),
            )
    _both(
        writer,
        "time.landing",
        "Landing",
        landing.end.instant,
        "end of approach and landing",
        (f"{phase_key(landing.ident)}.end",),
    )
    _both(
        writer,
        "time.shutdown",
        "Engines stopped",
        last.end.instant,
        "last phase ends",
        (f"{phase_key(last.ident)}.end",),
    )
    for name, label, begin, end in (
        ("air", "Time in the air", "time.take_off", "time.landing"),
        ("block", "Engines running", "time.start", "time.shutdown"),
        ("duty", "Duty, briefing to shutdown", "clock.briefing", "time.shutdown"),
    ):
        span = (writer.instant(end) - writer.instant(begin)).total_seconds()
        writer.put(f"duration.{name}", label, span, "h:min", method="end less beginning", inputs=(begin, end))
        writer.foot(f"duration.{name}", (end,), (begin,))


def _both(writer: LedgerWriter, key: str, label: str, instant: datetime, method: str, inputs: tuple[str, ...]) -> None:
    writer.put(key, label, instant, "UTC", method=method, inputs=inputs)
    writer.put(
        f"{key}.local", f"{label}, local", instant, "local", method="the same in the mission's zone", inputs=(key,)
    )
