"""Time control: windows, how early and how late each timed point can be reached, how late a start can be recovered."""

from __future__ import annotations

from briefgen.model.mission import Leg, Mission
from briefgen.model.plan import Event, Finding, FindingPage
from briefgen.planning.flight.route import item_keys
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.timed_points import timed_points
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.clock import Clock
from briefgen.planning.sections.basis.fuel import FuelSheet
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.timing.asked import Asked, TimeAsked
from briefgen.planning.sections.timing.delays import write_delays
from briefgen.planning.sections.timing.points import A_MINUTE_S, LEGS, TIMES, LegTiming, PointFigures
from briefgen.planning.sections.timing.slack import Slack

PAGE: FindingPage = "timeline"


def write_timing(
    flown: Flown, log: Navigation, clock: Clock, sheet: FuelSheet, asked: Asked, writer: LedgerWriter
) -> tuple[list[Event], list[Finding]]:
    """Enter windows, speed ranges, slack and delays of every timed point; nothing where no point has a time."""
    mission = flown.mission
    points = _points(flown, log, asked)
    if not points:
        return [], []
    legs = [leg for point in points for leg in _legs(mission, point, log)]
    slack = Slack(clock.milestones, points[0], sheet.margin)
    for record in (*points, *legs, slack):
        writer.adopt(record)
    writer.tabulate(TIMES.filled([TIMES.row(point.timed.point.place.name, point) for point in points]))
    writer.tabulate(LEGS.filled([LEGS.row(leg.name, leg) for leg in legs]))
    write_delays(mission, points, log, asked, writer)
    events = [_point_event(point) for point in points] + slack.events()
    later = points if mission.times.over_target is None else points[1:]  # a rule of the house holds the first
    return events, [_finding(point) for point in later]


def _points(flown: Flown, log: Navigation, asked: Asked) -> list[PointFigures]:
    keys = item_keys(flown.mission.route.items)
    return [
        PointFigures(timed, times, log.of_item(keys[timed.stretch.through]), log)
        for timed, times in zip(timed_points(flown), asked.times, strict=True)
    ]


def _legs(mission: Mission, point: PointFigures, log: Navigation) -> list[LegTiming]:
    found, keys = [], item_keys(mission.route.items)
    for index in point.timed.stretch.legs:
        cruises = [phase for phase in point.timed.cruises if phase.item == index]
        if isinstance(mission.route.items[index], Leg) and cruises:
            found.append(LegTiming(index, log.of_item(keys[index]), log.of_phase(cruises[-1]), point))
    return found


# --- the timeline and the review ------------------------------------------------------------------------------------


def _point_event(point: PointFigures) -> Event:
    last, asked = point.timed.planned[-1], point.times
    window = f"{TimeAsked.opens.of(asked)} to {TimeAsked.closes.of(asked)}"
    text = f"{point.over} on time: asked for {TimeAsked.asked.of(asked)}, window {window}"
    crew = ("captain", "navigator")
    return Event(PointFigures.planned.of(point).key, "schedule", last.ident, crew, text, point.timed.point.place.ident)


def _finding(point: PointFigures) -> Finding:
    """Return whether a timed point met by speed is met at its time, or only somewhere in its window."""
    off, window = PointFigures.off.of(point), TimeAsked.window.of(point.times)
    on_time = off.value < 0.5 * A_MINUTE_S
    text = f"{point.over} at {PointFigures.planned.of(point)}, {off} from the time asked for; {window} is permitted."
    return Finding(
        point.at.replace(".", "-"), "pass" if on_time else "caution", f"Time over {point.timed.point.place.name}", text,
        off.key, window.key, PointFigures.in_window.of(point).key, "mission file",
        "" if on_time else "ask for it later: nothing is in hand", PAGE,
    )  # fmt: skip
