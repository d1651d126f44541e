"""What the clock leaves at take-off: the window of take-off times, and how late a start speed can recover."""

from __future__ import annotations

from briefgen.model.mission import OverTarget
from briefgen.model.plan import Event
from briefgen.planning.flight.pacing import Reach
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter

SAME_WINDS = "; the winds of the plan serve for all of them"


def write_take_off_slack(key: str, point: OverTarget, found: Reach | None, writer: LedgerWriter) -> list[Event]:
    """Enter the earliest and latest take-off that still meet the first timed point, and the start that can be recovered."""
    take_off, planned = writer.instant("time.take_off"), writer.instant(f"{key}.planned")
    opens, closes = writer.instant(f"{key}.opens"), writer.instant(f"{key}.closes")
    name = point.place.name
    inputs = ("time.take_off", f"{key}.planned")
    for suffix, label, edge, edge_key in (
        ("earliest", "Earliest take-off", opens, f"{key}.opens"), ("latest", "Latest take-off", closes, f"{key}.closes"),
    ):  # fmt: skip
        writer.put(
            f"timing.take_off.{suffix}", f"{label} to be over {name} in its window at the planned speeds",
            take_off + (edge - planned), "UTC",
            method="take-off moved by what lies between the planned time and the edge of the window" + SAME_WINDS,
            inputs=(*inputs, edge_key),
        )  # fmt: skip
    return [] if found is None else _write_by_speed(key, point, found, writer)


def _write_by_speed(key: str, point: OverTarget, found: Reach, writer: LedgerWriter) -> list[Event]:
    take_off, name = writer.instant("time.take_off"), point.place.name
    slow, fast = found.slow[-1].end.instant, found.fast[-1].end.instant
    for suffix, label, edge, edge_key, there, there_key in (
        ("first", "First", writer.instant(f"{key}.opens"), f"{key}.opens", slow, f"{key}.latest"),
        ("last", "Last", writer.instant(f"{key}.closes"), f"{key}.closes", fast, f"{key}.earliest"),
    ):
        writer.put(
            f"timing.take_off.{suffix}", f"{label} take-off to be over {name} in its window by speed",
            take_off + (edge - there), "UTC",
            method="take-off moved until the slowest or fastest flight is over it at the edge of the window" + SAME_WINDS,
            inputs=("time.take_off", edge_key, there_key),
        )  # fmt: skip
    for suffix, label, instant, edge_key in (
        ("", "at the time asked for", writer.instant(f"{key}.asked"), f"{key}.asked"),
        (".in_window", "as its window closes", writer.instant(f"{key}.closes"), f"{key}.closes"),
    ):
        writer.put(
            f"timing.recoverable_late_start{suffix}", f"Late start that speed recovers: over {name} {label}",
            max(0.0, (instant - fast).total_seconds()), "min",
            method="time there less the earliest by speed, none where that is later" + SAME_WINDS,
            inputs=(f"{key}.earliest", edge_key),
        )  # fmt: skip
    speed = writer.put(
        "timing.recoverable_late_start.speed", f"Indicated airspeed that recovers it, all the way to {name}",
        found.speeds.fastest_m_per_s, AIRSPEED, method="the fastest of the speed range", inputs=(f"{key}.fastest",),
    )  # fmt: skip
    short = writer.number(f"{key}.gain_fuel") > writer.number("fuel.margin_volume")
    text = (
        f"Last take-off for {name}: at {{{speed}}} indicated all the way she is over it as its window closes, "
        "{timing.recoverable_late_start.in_window} after the take-off planned, "
        f"for {{{key}.gain_fuel}} more; {'only ' if short else ''}{{fuel.margin_volume}} is over what is required"
    )
    crew = ("captain", "co-pilot", "navigator", "flight engineer")
    return [Event("timing.take_off.last", "decision", "", crew, text)] if fast < writer.instant(f"{key}.closes") else []
