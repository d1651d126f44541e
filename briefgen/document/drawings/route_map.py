"""The route map: land, graticule, legs with track and distance, wind, and the points where something is decided.

Mercator on a sphere, so that a rhumb line is straight and every angle on the paper is the angle in the air.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.document.drawings.charts import airborne_nodes
from briefgen.document.drawings.land import land_within
from briefgen.document.drawings.rings import draw_rings, name_rings
from briefgen.document.parts.format import Figures
from briefgen.document.parts.svg import Box, Canvas, Drawing, Frame, Point, Scale
from briefgen.frozen import dataclass
from briefgen.model.mission import Leg
from briefgen.model.places import Place
from briefgen.model.plan import ChartPoint, Phase, Plan
from briefgen.planning.sections.basis.navigation import ItemFlown, legs_flown
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.written_route import SafeAltitudeWritten

TURN_DEG, HALF_TURN_DEG = 360.0, 180.0
MARGIN_RATIO = 0.14  # of the larger side of what is shown, around it
MINUTES_PER_DEG = 60.0  # a minute of latitude is a nautical mile, near enough for a scale bar
FEW_NODES = 2
LABEL_PLACES = (0.5, 0.38, 0.62, 0.27, 0.73)  # along a leg, where its label may stand, the best first
SAME_PLACE_DEG = 0.03  # nearer than this a mark would hide the place's own
CALM_M_PER_S = 1.0  # weaker wind gets no arrow
GRATICULES_DEG = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


@dataclass(frozen=True)
class Window:
    """The part of the earth a map shows, and the two scales onto the drawing."""

    west: float
    south: float
    east: float
    north: float
    x: Scale
    y: Scale

    def __call__(self, lon_deg: float, lat_deg: float) -> Point:
        return self.x(near(lon_deg, (self.west + self.east) / 2)), self.y(mercator(lat_deg))


def mercator(lat_deg: float) -> float:
    """Return the Mercator ordinate of a latitude, in degrees of longitude at the equator."""
    return math.degrees(math.asinh(math.tan(math.radians(lat_deg))))


def latitude(ordinate: float) -> float:
    """Return the latitude of a Mercator ordinate."""
    return math.degrees(math.atan(math.sinh(math.radians(ordinate))))


def near(lon_deg: float, middle: float) -> float:
    """Return the longitude that names the same meridian within half a turn of another."""
    return middle + (lon_deg - middle + HALF_TURN_DEG) % TURN_DEG - HALF_TURN_DEG


def route_map(plan: Plan, figures: Figures, frame: Frame) -> Drawing | None:
    """Draw the route of a plan; None before it has one."""
    nodes = airborne_nodes(plan)
    if len(nodes) < 2:
        return None
    places = _shown_places(plan)
    canvas = Canvas(frame)
    decisions = _decision_points(plan, (*places, *plan.mission.places))
    marks = [(point.x, point.y) for point in decisions]
    window = _window(frame, [(n.lon_deg, n.lat_deg) for n in nodes] + [(p.lon_deg, p.lat_deg) for p in places] + marks)
    area = Box(window.x.start, window.y.end, window.x.end, window.y.start)
    _ground(canvas, window, area)
    route = [window(node.lon_deg, node.lat_deg) for node in nodes]
    _draw_alternates(canvas, plan, window)
    reach = draw_rings(canvas, plan, window, area)
    canvas.path(route, "curve c1")
    canvas.keep_clear_of_line(route, 0.2 * frame.type_size)
    canvas.rect(area, "frame")
    _mark_places(canvas, places, window)
    _mark_decisions(canvas, decisions, window)
    _scale_bar(canvas, window)
    _wind_arrows(canvas, plan, window)
    # Everything that stands fixed stands; what follows finds its own room.
    _name_places(canvas, places, window)
    circles = name_rings(canvas, reach, figures)
    _name_decisions(canvas, decisions, figures, window)
    _name_alternates(canvas, plan, window)
    _name_legs(canvas, plan, figures, window)
    names = ", ".join(place.name for place in places)
    return canvas.finish("Route map", f"Mercator map of the route with land outlines. Places shown: {names}.{circles}")


def _ground(canvas: Canvas, window: Window, area: Box) -> None:
    """Draw sea, land and the lines of latitude and longitude."""
    canvas.rect(area, "sea")
    rings = land_within(window.west, window.south, window.east, window.north)
    canvas.outlines([[window(lon, lat) for lon, lat in ring] for ring in rings], "land")
    _graticule(canvas, window)


def _decision_points(plan: Plan, places: Sequence[Place]) -> list[ChartPoint]:
    """Return every decision whose place the plan gives, but those over a known place."""
    found: list[ChartPoint] = []
    for key, entry in plan.ledger.entries.items():
        stem, _, last = key.rpartition(".")
        other = f"{stem}.longitude"
        if last == "latitude" and entry.unit == "latitude" and other in plan.ledger:
            label, time = entry.label.rpartition(":")[0].split(" (", 1)[0], f"{stem}.time"
            lat, lon = float(entry.value), float(plan.ledger[other].value)  # type: ignore[arg-type]
            found.append(ChartPoint(label, lon, lat, time if time in plan.ledger else ""))
    return [
        point for point in found
        if not any(abs(p.lat_deg - point.y) < SAME_PLACE_DEG and abs(near(p.lon_deg, point.x) - point.x) < SAME_PLACE_DEG
                   for p in places)
    ]  # fmt: skip


def _shown_places(plan: Plan) -> list[Place]:
    mission = plan.mission
    found: dict[str, Place] = {mission.route.origin.ident: mission.route.origin}
    for item in mission.route.items:
        place = item.to if isinstance(item, Leg) else item.at
        found[place.ident] = place
    found[mission.route.destination.ident] = mission.route.destination
    for alternate in (*mission.alternates, *mission.en_route):
        found[alternate.place.ident] = alternate.place
    return list(found.values())


def _window(frame: Frame, points: Sequence[Point]) -> Window:
    """Return the window that holds all points with a margin, in the shape of the drawing."""
    middle = points[0][0]
    lons = [near(lon, middle) for lon, _ in points]
    ordinates = [mercator(lat) for _, lat in points]
    size = frame.type_size
    left, right = 3.6 * size, frame.width - 0.6 * size
    top, bottom = 0.6 * size, frame.height - 1.7 * size
    margin = MARGIN_RATIO * max(max(lons) - min(lons), max(ordinates) - min(ordinates), 1.0)
    wide, high = max(lons) - min(lons) + 2 * margin, max(ordinates) - min(ordinates) + 2 * margin
    shape = (right - left) / (bottom - top)
    wide, high = max(wide, high * shape), max(high, wide / shape)
    x_mid, y_mid = (max(lons) + min(lons)) / 2, (max(ordinates) + min(ordinates)) / 2
    west, east = x_mid - wide / 2, x_mid + wide / 2
    low, high_ordinate = y_mid - high / 2, y_mid + high / 2
    return Window(
        west, latitude(low), east, latitude(high_ordinate),
        Scale(west, east, left, right), Scale(low, high_ordinate, bottom, top),
    )  # fmt: skip


def _graticule(canvas: Canvas, window: Window) -> None:
    size = canvas.frame.type_size
    span = window.east - window.west
    step = next((step for step in GRATICULES_DEG if span / step <= 7), GRATICULES_DEG[-1])
    left, right, top, bottom = window.x.start, window.x.end, window.y.end, window.y.start
    for i in range(math.ceil(window.west / step), math.floor(window.east / step) + 1):
        x = window.x(i * step)
        canvas.line((x, top), (x, bottom), "graticule")
        if left + 2 * size < x < right - 2 * size:
            canvas.text((x, bottom + 1.2 * size), degrees_text(i * step, "E", "W"), "tick", anchor="middle")
    for i in range(math.ceil(window.south / step), math.floor(window.north / step) + 1):
        y = window.y(mercator(i * step))
        canvas.line((left, y), (right, y), "graticule")
        if top + size < y < bottom - size:
            canvas.text((left - 0.4 * size, y + 0.35 * size), degrees_text(i * step, "N", "S"), "tick", anchor="end")


def degrees_text(value: float, positive: str, negative: str) -> str:
    """Return a graticule value with its hemisphere, longitudes brought back within half a turn."""
    value = (value + HALF_TURN_DEG) % TURN_DEG - HALF_TURN_DEG if positive == "E" else value
    whole = f"{abs(value):g}°"
    return whole if value == 0 else f"{whole}{positive if value > 0 else negative}"


def _draw_alternates(canvas: Canvas, plan: Plan, window: Window) -> None:
    home = plan.mission.route.destination
    for alternate in plan.mission.alternates:
        place = alternate.place
        line = [window(home.lon_deg, home.lat_deg), window(place.lon_deg, place.lat_deg)]
        canvas.path(line, "curve c3")
        canvas.keep_clear_of_line(line, 0.2 * canvas.frame.type_size)


def _name_alternates(canvas: Canvas, plan: Plan, window: Window) -> None:
    home = plan.mission.route.destination
    start = window(home.lon_deg, home.lat_deg)
    for alternate in plan.mission.alternates:
        end = window(alternate.place.lon_deg, alternate.place.lat_deg)
        along = [
            (start[0] + part * (end[0] - start[0]), start[1] + part * (end[1] - start[1])) for part in LABEL_PLACES
        ]
        any(canvas.place(at, "to the alternate", "tick", reaches=(reach,)) for reach in (0.0, 0.7) for at in along)


def _mark_places(canvas: Canvas, places: Sequence[Place], window: Window) -> None:
    size = canvas.frame.type_size
    for place in places:
        x, y = window(place.lon_deg, place.lat_deg)
        if place.kind == "target":
            canvas.path(
                ((x, y - 0.6 * size), (x + 0.6 * size, y), (x, y + 0.6 * size), (x - 0.6 * size, y)),
                "target",
                closed=True,
            )
        canvas.dot(
            (x, y),
            (0.42 if place.kind == "aerodrome" else 0.28) * size,
            "place" if place.kind == "aerodrome" else "point",
        )


def _name_places(canvas: Canvas, places: Sequence[Place], window: Window) -> None:
    size = canvas.frame.type_size
    for place in places:
        name = place.name if place.name == place.ident or place.kind != "aerodrome" else f"{place.name} {place.ident}"
        canvas.place(window(place.lon_deg, place.lat_deg), name, "name", gap=0.7 * size, bold=True)


def _mark_decisions(canvas: Canvas, points: Sequence[ChartPoint], window: Window) -> None:
    size = canvas.frame.type_size
    for point in points:
        x, y = window(point.x, point.y)
        mark = ((x, y - 0.55 * size), (x + 0.5 * size, y + 0.4 * size), (x - 0.5 * size, y + 0.4 * size))
        canvas.path(mark, "decision", closed=True)
        canvas.keep_clear(Box(x - 0.5 * size, y - 0.55 * size, x + 0.5 * size, y + 0.4 * size))


def _name_decisions(canvas: Canvas, points: Sequence[ChartPoint], figures: Figures, window: Window) -> None:
    size = canvas.frame.type_size
    for point in points:
        label = figures.text(point.label)
        text = f"{label} {figures.quoted(point.key)}" if point.key else label
        canvas.place(window(point.x, point.y), text, "label", gap=0.7 * size)


def _cruise_phases(plan: Plan) -> dict[int, Phase]:
    """Return the longest cruise stretch of each leg, by index of the route item."""
    found: dict[int, Phase] = {}
    for phase in plan.phases:
        if phase.kind != "cruise" or phase.item is None or len(phase.nodes) < FEW_NODES:
            continue
        if phase.item not in found or phase.distance_m > found[phase.item].distance_m:
            found[phase.item] = phase
    return found


def _name_legs(canvas: Canvas, plan: Plan, figures: Figures, window: Window) -> None:
    """Write magnetic track (of the longest cruise), distance, time and safe altitude beside the middle of each leg."""
    for at_leg, phase in legs_flown(plan.mission, _cruise_phases(plan)):
        at_phase = f"phase.{phase.ident}"
        track, course = PhaseFigures.course_magnetic.under(at_phase).key, PhaseFigures.course.under(at_phase).key
        keys = (
            track if track in figures else course,
            ItemFlown.distance.under(at_leg).key,
            ItemFlown.duration.under(at_leg).key,
        )
        safe = SafeAltitudeWritten.safe_height.under(at_leg).key
        told = [figures.quoted(key) for key in keys if key in figures]
        text = "  ".join([*told, *([f"safe {figures[safe]}"] if safe in figures else [])])
        start, end = window(phase.start.lon_deg, phase.start.lat_deg), window(phase.end.lon_deg, phase.end.lat_deg)
        along = [
            (start[0] + part * (end[0] - start[0]), start[1] + part * (end[1] - start[1])) for part in LABEL_PLACES
        ]
        gap = 0.5 * canvas.frame.type_size
        near_by = any(
            canvas.place(at, text, "label", gap=gap, reaches=(reach,)) for reach in (0.0, 0.7) for at in along
        )
        if text and not near_by:
            canvas.place(along[0], text, "label", gap=gap)


def _wind_arrows(canvas: Canvas, plan: Plan, window: Window) -> None:
    """Draw, a quarter along each leg, an arrow in the direction the air moves, longer in stronger wind."""
    size = canvas.frame.type_size
    drawn = False
    for phase in _cruise_phases(plan).values():
        east, north = phase.wind_east_m_per_s, phase.wind_north_m_per_s
        speed = math.hypot(east, north)
        if speed < CALM_M_PER_S:
            continue
        node = phase.nodes[len(phase.nodes) // 4]
        at = window(node.lon_deg, node.lat_deg)
        reach = min(4.5, 1.5 + speed / 8.0) * size
        _arrow(canvas, at, (east / speed, -north / speed), reach)
        drawn = True
    if drawn:
        left, bottom = window.x.start + 1.6 * size, window.y.start - 0.7 * size
        _arrow(canvas, (left, bottom - 0.3 * size), (1.0, 0.0), 2.0 * size)
        canvas.text((left + 1.6 * size, bottom), "wind", "tick")


def _arrow(canvas: Canvas, middle: Point, direction: Point, reach: float) -> None:
    (x, y), (dx, dy) = middle, direction
    tip = (x + dx * reach / 2, y + dy * reach / 2)
    start = (x - dx * reach / 2, y - dy * reach / 2)
    canvas.line(start, tip, "wind")
    head = 0.45 * canvas.frame.type_size
    for side in (1.0, -1.0):
        canvas.line(tip, (tip[0] - head * (dx - side * dy * 0.6), tip[1] - head * (dy + side * dx * 0.6)), "wind")
    canvas.keep_clear_of_line([start, tip], 0.3 * canvas.frame.type_size)


def _scale_bar(canvas: Canvas, window: Window) -> None:
    """Draw a bar of a round number of nautical miles, true at the middle latitude."""
    size = canvas.frame.type_size
    middle = math.radians((window.south + window.north) / 2)
    per_mile = (window.x(1.0) - window.x(0.0)) / (MINUTES_PER_DEG * math.cos(middle))
    miles = next((m for m in (500, 200, 100, 50, 20, 10, 5) if m * per_mile < 0.3 * canvas.frame.width), 2)
    right, y = window.x.end - size, window.y.start - 0.8 * size
    left = right - miles * per_mile
    canvas.line((left, y), (right, y), "scale")
    for x in (left, right):
        canvas.line((x, y - 0.3 * size), (x, y + 0.3 * size), "scale")
    canvas.text(((left + right) / 2, y - 0.5 * size), f"{miles} NM", "tick", anchor="middle")
