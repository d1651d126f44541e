"""The timeline as a picture: what each position has to do, against the clock, with day and night along the top."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from briefgen.document.parts.assemble import INITIALS, aboard
from briefgen.document.parts.format import Figures
from briefgen.document.parts.measure import width_em
from briefgen.document.parts.moments import instant
from briefgen.document.parts.svg import Box, Canvas, Drawing, Frame, Point, Scale
from briefgen.model.plan import Event, EventKind, Phase, Plan
from briefgen.planning.sections.basis.phases import PhaseFigures

LIGHTS = ("twilight", "night", "day")
SHADED = {"night": "night", "twilight": "twilight"}
ROW_ROOM = 1.75  # type sizes of a row: decisions and power stand over its line, the others under it
LANE, UPPER = 0.42, ("decision", "power")
MINUTE_ROOM = 0.36  # type sizes of a minute
SHORT_NAMES = 40  # type sizes of width under which positions are named by their initials
LIGHT_ROOM = 1.2  # type sizes at the foot, for the names of day and night
STEPS_MIN = (5, 10, 15, 30, 60, 120, 180, 240)


def crew_timeline(plan: Plan, figures: Figures, frame: Frame) -> Drawing | None:
    """Draw phases along the top and every event in the row of each position that acts, the day in as many panels as it needs.

    The panels stand under each other, so that the minutes about a take-off can be told apart; the drawing is as high as they are.
    """
    events = [(event, instant(plan, event.time_key)) for event in plan.events]
    crew = aboard(plan)
    if len(events) < 2 or not crew:
        return None
    first, last = min(at for _, at in events), max(at for _, at in events)
    if first == last:
        return None
    size = frame.type_size
    short = frame.width < SHORT_NAMES * size
    left = (3.4 if short else 8.2) * size
    across = (frame.width - left - 1.8 * size) / (MINUTE_ROOM * size)  # minutes that have room beside each other
    count = max(1, math.ceil((last - first) / timedelta(minutes=across)))
    begins = [first + (last - first) * i / count for i in range(count + 1)]
    high = (2.6 + 2.0 + LIGHT_ROOM + len(crew) * ROW_ROOM) * size
    foot = (2.0 + 1.6 * _legend_lines(frame)) * size
    canvas = Canvas(replace(frame, height=count * high + foot))
    for number, (begin, end) in enumerate(pairwise(begins)):
        area = Box(left, number * high + 2.6 * size, frame.width - 1.8 * size, (number + 1) * high - 2.0 * size)
        _panel(canvas, plan, area, (begin, end), [one for one in events if begin <= one[1] <= end], short=short)
    canvas.text(((left + frame.width) / 2, count * high + 0.9 * size), "Time, UTC", "axis", anchor="middle")
    _legend(canvas, count * high + 2.4 * size)
    busiest = ", ".join(f"{position} {sum(position in event.positions for event, _ in events)}" for position in crew)
    return canvas.finish(
        "Timeline by crew position", f"Events against time (UTC) in one row for each position. Events: {busiest}."
    )


def _panel(
    canvas: Canvas, plan: Plan, area: Box, span: tuple[datetime, datetime], events: Sequence[tuple[Event, datetime]], *,
    short: bool,
) -> None:  # fmt: skip
    """Draw one stretch of the day: light, hours, phases, and the events in the rows of their positions."""
    size, crew = canvas.frame.type_size, aboard(plan)
    first, last = span
    x = Scale(first.timestamp(), last.timestamp(), area.left, area.right)
    stretches = _light(canvas, plan, area, x, first, last)
    _hours(canvas, area, x, first, last)
    _phase_band(canvas, plan, area, x)
    pitch = (area.bottom - area.top - LIGHT_ROOM * size) / len(crew)
    rows = {position: area.top + (i + 0.5) * pitch for i, position in enumerate(crew)}
    canvas.marks([((area.left, y), (area.right, y)) for y in rows.values()], "grid")
    for position, y in rows.items():
        name = INITIALS.get(position, position) if short else position
        canvas.text((area.left - 0.5 * size, y + 0.35 * size), name, "name", anchor="end")
    found: dict[EventKind, list[Point]] = {}
    for event, at in events:
        lane = -LANE * size if event.kind in UPPER else LANE * size
        found.setdefault(event.kind, []).extend(
            (x(at.timestamp()), rows[position] + lane) for position in event.positions if position in rows
        )
    for sort, places in found.items():
        _mark(canvas, places, sort, size)
    for kind, left, right in stretches:
        _name_light(canvas, kind, left, right, area.bottom)


def _light(
    canvas: Canvas, plan: Plan, area: Box, x: Scale, first: datetime, last: datetime
) -> list[tuple[str, float, float]]:
    """Shade the hours of night and twilight at the aircraft and return each stretch of light: its name and its ends."""
    changes = [(instant(plan, e.time_key), e.text) for e in plan.events if e.kind == "light"]
    words = [
        entry.value
        for key, entry in plan.ledger.entries.items()
        if key.startswith("phase.") and key.endswith(f".{PhaseFigures.light.name}")
    ]
    state = str(words[0]) if words else "day"
    ends = [*(at for at, _ in changes), datetime.max.replace(tzinfo=UTC)]
    begins, states = (
        [datetime.min.replace(tzinfo=UTC), *(at for at, _ in changes)],
        [state, *(text.lower() for _, text in changes)],
    )
    stretches = []
    for begin, end, light in zip(begins, ends, states, strict=True):
        kind = next((word for word in LIGHTS if word in light), "")
        begin, end = max(begin, first), min(end, last)
        if begin >= end:
            continue
        box = Box(x(begin.timestamp()), area.top, x(end.timestamp()), area.bottom)
        if kind in SHADED:
            canvas.rect(box, SHADED[kind])
        if kind:
            stretches.append((kind, box.left, box.right))
    return stretches


def _name_light(canvas: Canvas, kind: str, left: float, right: float, foot: float) -> None:
    """Write what light it is in the foot of its stretch, where there is room."""
    size = canvas.frame.type_size
    at = ((left + right) / 2, foot - 0.3 * size)
    box = canvas.text_box(at, kind, anchor="middle")
    if box.right - box.left < right - left - 0.4 * size and canvas.is_free(box):
        canvas.text(at, kind, "tick", anchor="middle")


def _hours(canvas: Canvas, area: Box, x: Scale, first: datetime, last: datetime) -> None:
    size = canvas.frame.type_size
    span = (last - first) / timedelta(minutes=1)
    room = (area.right - area.left) / (4.0 * size)
    step = next((step for step in STEPS_MIN if span / step <= room), STEPS_MIN[-1])
    day = first.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    start = int((first - day) / timedelta(minutes=step)) + 1
    count = int((last - day) / timedelta(minutes=step))
    hours = [day + timedelta(minutes=i * step) for i in range(start, count + 1)]
    places = [x(at.timestamp()) for at in hours]
    canvas.marks([((place, area.top), (place, area.bottom)) for place in places], "grid")
    for at, place in zip(hours, places, strict=True):
        canvas.text((place, area.bottom + 1.2 * size), f"{at:%H:%M}", "tick", anchor="middle")


def _phase_band(canvas: Canvas, plan: Plan, area: Box, x: Scale) -> None:
    """Draw the phases as a band of alternating tint, named where the name fits."""
    size = canvas.frame.type_size
    for i, phase in enumerate(plan.phases):
        left, right = (min(max(at, area.left), area.right) for at in _span(phase, x))
        if left >= right:
            continue
        box = Box(left, area.top - 1.9 * size, right, area.top - 0.3 * size)
        canvas.rect(box, "band b1" if i % 2 else "band b2")
        text = canvas.text_box((0.0, 0.0), phase.kind)
        if text.right - text.left < right - left - 0.4 * size:
            canvas.text(((left + right) / 2, area.top - 0.75 * size), phase.kind, "tick", anchor="middle")


def _span(phase: Phase, x: Scale) -> Point:
    return x(phase.start.instant.timestamp()), x(phase.end.instant.timestamp())


def _mark(canvas: Canvas, places: Sequence[Point], kind: EventKind, size: float) -> None:
    """Draw events in the shape of their kind: a shape is told apart in grey and in red light."""
    half = 0.34 * size
    corners, cls = SHAPES.get(kind, (UPRIGHT, "action"))
    shapes = [[(x + across * half, y + down * half) for across, down in corners] for x, y in places]
    canvas.marks(shapes, cls, closed=len(corners) > len(UPRIGHT))


UPRIGHT: tuple[Point, ...] = ((0.0, -1.2), (0.0, 1.2))
SHAPES: dict[EventKind, tuple[tuple[Point, ...], str]] = {  # corners in halves of a mark, and the class of style
    "decision": (((0.0, -1.3), (1.2, 1.0), (-1.2, 1.0)), "decision"),
    "power": (((0.0, -1.2), (1.2, 0.0), (0.0, 1.2), (-1.2, 0.0)), "power"),
    "checklist": (((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)), "check"),
    "call": (((-1.0, -0.42), (-0.42, -1.0), (0.42, -1.0), (1.0, -0.42), (1.0, 0.42), (0.42, 1.0), (-0.42, 1.0), (-1.0, 0.42)), "call"),
}  # fmt: skip
LEGEND: tuple[tuple[EventKind, str], ...] = (
    ("decision", "decision"), ("power", "power change"), ("checklist", "checklist"), ("call", "call"), ("action", "other action"),
)  # fmt: skip


def _legend_lines(frame: Frame) -> int:
    """Return on how many lines the legend stands."""
    wide = sum(2.4 + width_em(name) for _, name in LEGEND) * frame.type_size
    return math.ceil(wide / (frame.width - 2 * frame.type_size))


def _legend(canvas: Canvas, top: float) -> None:
    size = canvas.frame.type_size
    x, y = size, top
    for kind, name in LEGEND:
        if x + (2.4 + width_em(name)) * size > canvas.frame.width:
            x, y = size, y + 1.6 * size
        _mark(canvas, [(x, y - 0.3 * size)], kind, size)
        box = canvas.text((x + 0.8 * size, y), name, "tick")
        x = box.right + 1.6 * size
