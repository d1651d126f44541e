"""Rings around the alternates on the map: how far from one she may be."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from briefgen.document.parts.format import Figures
from briefgen.document.parts.svg import Box, Canvas, Point
from briefgen.model.plan import Plan
from briefgen.planning.sections.briefing.reach import Reach

RING_STEPS = 48
EARTH_M = 6371000.0  # mean radius: a ring on the map needs no better


def draw_rings(canvas: Canvas, plan: Plan, onto: Callable[[float, float], Point], area: Box) -> list[Point]:
    """Draw a ring around each alternate and return their points that are on the map; ``onto`` maps longitude and latitude."""
    radius = plan.ledger[Reach.radius.key].value if Reach.radius.key in plan.ledger else None
    if not isinstance(radius, float):
        return []
    shown: list[Point] = []
    ident = f"{canvas.frame.ident}-area"
    canvas.clip(ident, area)
    for alternate in (*plan.mission.alternates, *plan.mission.en_route):
        ring = [onto(*at) for at in circle(alternate.place.lon_deg, alternate.place.lat_deg, radius)]
        canvas.path([*ring, ring[0]], "ring", clip=ident)
        shown += [(x, y) for x, y in ring if area.left < x < area.right and area.top < y < area.bottom]
    return shown


def circle(lon_deg: float, lat_deg: float, radius_m: float) -> list[Point]:
    """Return the circle of a radius around a place on a sphere, as longitudes and latitudes [deg]."""
    arc, lat = radius_m / EARTH_M, math.radians(lat_deg)
    found = []
    for step in range(RING_STEPS):
        bearing = 2.0 * math.pi * step / RING_STEPS
        there = math.asin(math.sin(lat) * math.cos(arc) + math.cos(lat) * math.sin(arc) * math.cos(bearing))
        across = math.sin(bearing) * math.sin(arc) * math.cos(lat)
        found.append((
            lon_deg + math.degrees(math.atan2(across, math.cos(arc) - math.sin(lat) * math.sin(there))), math.degrees(there)
        ))  # fmt: skip
    return found


def ring_words(figures: Figures) -> str:
    """Return what a ring stands for."""
    return f"{figures.quoted(Reach.time.key)} at cruise in still air"


def name_rings(canvas: Canvas, reach: Sequence[Point], figures: Figures) -> str:
    """Write once, where a ring has room, what the rings mean; return it as a sentence, empty where there are none."""
    if not reach:
        return ""
    any(canvas.place(at, f"ring: {ring_words(figures)}", "tick", reaches=(0.0,)) for at in reach)
    return f" Rings of {figures.quoted(Reach.radius.key)} around the alternates: {ring_words(figures)}."
