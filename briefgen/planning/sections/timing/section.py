"""Time control: windows, how early and how late each timed point can be reached, how late a start can be recovered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from briefgen.errors import BriefgenError
from briefgen.kernel.constants import KT_M_PER_S
from briefgen.kernel.time_control import time_to_hold
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Leg, Mission, OverTarget
from briefgen.model.plan import Event, Finding, Phase
from briefgen.planning.flight.flying import Crew
from briefgen.planning.flight.idents import item_keys
from briefgen.planning.flight.pacing import Reach, Stretch, after, point_index, reach
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.timing.delays import write_delays
from briefgen.planning.sections.timing.slack import write_take_off_slack

FAST = "the stretch flown at the greatest speed held in level flight without time limit; climbs and descents as planned"
SLOW = "the stretch flown at the speed of the hold; climbs and descents as planned"
CHANGE_M_PER_S = 10.0 * KT_M_PER_S
A_MINUTE_S = 60.0
PAGE = "timeline"

COLUMNS = (
    Column("asked", "Asked", "UTC"),
    Column("opens", "Window from", "UTC"),
    Column("closes", "to", "UTC"),
    Column("planned", "Planned", "UTC"),
    Column("earliest", "Earliest by speed", "UTC"),
    Column("latest", "Latest by speed", "UTC"),
    Column("gain", "To be gained", "min"),
    Column("loss", "To be lost", "min"),
    Column("fastest", "Fastest", AIRSPEED),
    Column("slowest", "Slowest", AIRSPEED),
    Column("gain_fuel", "Fuel for the fastest", "US gal"),
)
LEG_COLUMNS = (
    Column("speed", "Planned", AIRSPEED),
    Column("gain", "To be gained", "min"),
    Column("loss", "To be lost", "min"),
    Column("ten_knots", "10 kt change held for 1 min of time", "min"),
)


@dataclass(frozen=True)
class Timed:
    """A timed point with the flight to it as planned, and at both ends of the speed range where those can be flown."""

    key: str
    stretch: Stretch
    planned: tuple[Phase, ...]
    reach: Reach | None

    @property
    def point(self) -> OverTarget:
        """Where and when."""
        return self.stretch.point


def asked_points(mission: Mission) -> list[tuple[str, str, OverTarget]]:
    """Return every timed point in the order of the route, with the head of its keys and where it is written."""
    times = mission.times
    written = [(f"times.timed points[{number}]", point) for number, point in enumerate(times.timed_points)]
    if times.over_target is not None:
        written.insert(0, ("times.over target", times.over_target))
    return [(f"timing.{number:02d}", spec, point) for number, (spec, point) in enumerate(written, start=1)]


def write_times_asked(mission: Mission, flown: Flown, writer: LedgerWriter) -> None:
    """Enter the times asked for with their windows, and the speeds and delays chosen to meet them."""
    keys = item_keys(mission.route.items)
    begin = 0
    for key, spec, point in asked_points(mission):
        name = f"Over {point.place.name}"
        asked = writer.given(f"{key}.asked", f"{name}: asked for", point.instant, "UTC", spec=f"{spec}.time")
        window = writer.given(
            f"{key}.window", f"{name}: permitted difference", point.window_s, "min", spec=f"{spec}.window"
        )
        half = timedelta(seconds=point.window_s)
        for suffix, label, instant in (
            ("opens", "window opens", point.instant - half), ("closes", "window closes", point.instant + half),
        ):  # fmt: skip
            writer.put(
                f"{key}.{suffix}", f"{name}: {label}", instant, "UTC",
                method="asked for, less or plus the permitted difference", inputs=(asked, window),
            )  # fmt: skip
        through = point_index(mission, point, begin)
        for index in range(begin, through + 1):
            pace = flown.paces.get(index)
            if pace is None:
                continue
            writer.put(
                f"{keys[index]}.pace", f"Speed chosen to be over {point.place.name} on time", pace.ias_m_per_s, AIRSPEED,
                method="one indicated airspeed on all legs since the timed point before, solved by flying them",
                inputs=(asked, window),
            )  # fmt: skip
            if pace.wait_s > 0.0:
                writer.put(
                    f"{keys[index]}.time_lost", f"Time lost before {point.place.name}", pace.wait_s, "min", decimals=1,
                    method="time asked for less arrival at the slowest speed, solved by flying it",
                    inputs=(asked, f"{keys[index]}.pace"),
                )  # fmt: skip
        begin = through + 1


def write_timing(mission: Mission, crew: Crew, flown: Flown, writer: LedgerWriter) -> tuple[list[Event], list[Finding]]:
    """Enter windows, speed ranges, slack and delays of every timed point; nothing where no point has a time."""
    found = timed_points(mission, crew, flown)
    if not found:
        return [], []
    for timed in found:
        _write_point(mission, timed, writer)
    rows = [Row(timed.point.place.name, _cells(timed.key, COLUMNS, writer)) for timed in found]
    writer.table("timing", "Times to be met", COLUMNS, rows, "By speed alone, from where the point before left her.")
    leg_rows = [row for timed in found for row in _write_legs(mission, timed, writer)]
    writer.table("timing.legs", "Time to be gained and lost on each leg", LEG_COLUMNS, leg_rows, "Indicated airspeeds.")
    write_delays(mission, [(timed.stretch, timed.planned) for timed in found], flown.paces, writer)
    events = [_point_event(timed) for timed in found]
    events += write_take_off_slack(found[0].key, found[0].point, found[0].reach, writer)
    later = found if mission.times.over_target is None else found[1:]  # a rule of the house holds the first
    return events, [_finding(timed, writer) for timed in later]


def timed_points(mission: Mission, crew: Crew, flown: Flown) -> list[Timed]:
    """Return the timed points in the order of the route."""
    found: list[Timed] = []
    begin = 0
    before: tuple[Phase, ...] = tuple(phase for phase in flown.phases if phase.kind == "take-off")
    for key, _, point in asked_points(mission):
        through = point_index(mission, point, begin)
        planned = tuple(p for p in flown.phases if p.item is not None and begin <= p.item <= through)
        stretch = Stretch(mission, crew, after(before), begin, through, point)
        found.append(Timed(key, stretch, planned, _reach(stretch, planned)))
        before, begin = planned, through + 1
    return found


def _reach(stretch: Stretch, planned: tuple[Phase, ...]) -> Reach | None:
    """Return what speed can do, None where an end of the range cannot be flown: the plan does not rest on it."""
    try:
        return reach(stretch, planned)
    except BriefgenError:
        return None


def _cells(key: str, columns: tuple[Column, ...], writer: LedgerWriter) -> dict[str, str]:
    return {column.name: f"{key}.{column.name}" for column in columns if f"{key}.{column.name}" in writer}


# --- the points -----------------------------------------------------------------------------------------------------


def _write_point(mission: Mission, timed: Timed, writer: LedgerWriter) -> None:
    key, point, name = timed.key, timed.point, timed.point.place.name
    there = timed.planned[-1].end.instant
    eta = f"{item_keys(mission.route.items)[timed.stretch.through]}.eta"
    planned = writer.put(
        f"{key}.planned", f"Over {name}: planned", there, "UTC", method="end of the leg to it", inputs=(eta,)
    )
    off_s = abs((there - point.instant).total_seconds())
    writer.put(
        f"{key}.off", f"Over {name}: difference from the time asked for", off_s, "min",
        method="planned less asked for, early or late", inputs=(planned, f"{key}.asked"),
    )  # fmt: skip
    writer.put(
        f"{key}.in_window", f"Over {name}: left of the permitted difference", point.window_s - off_s, "min",
        method="permitted less actual difference", inputs=(f"{key}.window", f"{key}.off"),
    )  # fmt: skip
    if timed.reach is not None:
        _write_reach(mission, timed, timed.reach, writer)


def _write_reach(mission: Mission, timed: Timed, found: Reach, writer: LedgerWriter) -> None:
    key, name, there = timed.key, timed.point.place.name, timed.planned[-1].end
    begins = (f"{phase_key(timed.planned[0].ident)}.begin",)
    masses = tuple(f"{phase_key(phase.ident)}.mass" for phase in timed.planned if phase.kind == "cruise")
    for suffix, label, speed, how in (
        ("fastest", "fastest all the way", found.speeds.fastest_m_per_s,
         "greatest indicated airspeed held in level flight without time limit in every cruise"),
        ("slowest", "slowest all the way", found.speeds.slowest_m_per_s,
         "speed of the hold in the aircraft file, or the least that its figures cover"),
    ):  # fmt: skip
        writer.put(f"{key}.{suffix}", f"Over {name}: {label}", speed, AIRSPEED, method=how, inputs=masses)
    for suffix, label, phases, speed_key, how in (
        ("earliest", "earliest by speed", found.fast, f"{key}.fastest", FAST),
        ("latest", "latest by speed", found.slow, f"{key}.slowest", SLOW),
    ):
        writer.put(
            f"{key}.{suffix}", f"Over {name}: {label}", phases[-1].end.instant, "UTC", method=how,
            inputs=(*begins, speed_key),
        )  # fmt: skip
    gain_s = max(0.0, (there.instant - found.fast[-1].end.instant).total_seconds())
    loss_s = max(0.0, (found.slow[-1].end.instant - there.instant).total_seconds())
    for suffix, label, value, other in (("gain", "gained", gain_s, "earliest"), ("loss", "lost", loss_s, "latest")):
        writer.put(
            f"{key}.{suffix}", f"Over {name}: can be {label} by speed", value, "min", decimals=1,
            method=f"difference of planned and {other}, none where speed has no more to give", inputs=(f"{key}.planned", f"{key}.{other}"),
        )  # fmt: skip
    more_kg = there.fuel_kg - found.fast[-1].end.fuel_kg
    writer.put(
        f"{key}.gain_fuel", f"Over {name}: fuel the fastest costs", more_kg / mission.fuel.density_kg_per_m3, "US gal",
        method="fuel left as planned less fuel left at the fastest", inputs=(f"{key}.fastest", "fuel.density"),
    )  # fmt: skip


def _write_legs(mission: Mission, timed: Timed, writer: LedgerWriter) -> list[Row]:
    """Enter what each leg can gain and lose, and how long a change of ten knots is held for a minute."""
    rows = []
    keys = item_keys(mission.route.items)
    for index in timed.stretch.legs:
        item, key = mission.route.items[index], f"timing.{keys[index]}"
        cruises = [phase for phase in timed.planned if phase.item == index and phase.kind == "cruise"]
        if not isinstance(item, Leg) or not cruises:
            continue
        name, last = f"Leg to {item.to.name}", cruises[-1]
        head = phase_key(last.ident)
        cells = {"speed": f"{head}.ias"}
        cells["ten_knots"] = writer.put(
            f"{key}.ten_knots", f"{name}: 10 kt faster or slower, held for a minute gained or lost",
            time_to_hold(A_MINUTE_S, last.distance_m / last.duration_s, CHANGE_M_PER_S), "min", decimals=1,
            method="a minute of error times ground speed over change of speed", inputs=(f"{head}.ground_speed",),
            source="Chief of Naval Air Training, P-557",
        )  # fmt: skip
        if timed.reach is not None:
            planned_s = _lasts(timed.planned, index)
            for suffix, value, speed, how in (
                ("gain", max(0.0, planned_s - _lasts(timed.reach.fast, index)), "fastest", FAST),
                ("loss", max(0.0, _lasts(timed.reach.slow, index) - planned_s), "slowest", SLOW),
            ):
                cells[suffix] = writer.put(
                    f"{key}.{suffix}", f"{name}: {suffix} of time by speed", value, "min", decimals=1, method=how,
                    inputs=(f"{keys[index]}.duration", f"{timed.key}.{speed}"),
                )  # fmt: skip
        rows.append(Row(name, cells))
    return rows


def _lasts(phases: tuple[Phase, ...], item: int) -> float:
    return sum(phase.duration_s for phase in phases if phase.item == item)


# --- the timeline and the review ------------------------------------------------------------------------------------


def _point_event(timed: Timed) -> Event:
    last, key = timed.planned[-1], timed.key
    text = (
        f"Over {timed.point.place.name} on time: asked for {{{key}.asked}}, window {{{key}.opens}} to {{{key}.closes}}"
    )
    return Event(f"{key}.planned", "schedule", last.ident, ("captain", "navigator"), text, timed.point.place.ident)


def _finding(timed: Timed, writer: LedgerWriter) -> Finding:
    """Return whether a timed point met by speed is met at its time, or only somewhere in its window."""
    key, name = timed.key, timed.point.place.name
    on_time = writer.number(f"{key}.off") < 0.5 * A_MINUTE_S
    text = f"Over {name} at {{{key}.planned}}, {{{key}.off}} from the time asked for; {{{key}.window}} is permitted."
    return Finding(
        key.replace(".", "-"), "pass" if on_time else "caution", f"Time over {name}", text, f"{key}.off",
        f"{key}.window", f"{key}.in_window", "mission file", "" if on_time else "ask for it later: nothing is in hand", PAGE,
    )  # fmt: skip
