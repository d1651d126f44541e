"""What no plan may lose between two lines: mass, fuel, time, distance, and the sums on paper.

Every plan is held against these before any of it is shown. They follow from nature and from arithmetic, whatever the
mission says; a plan that breaks one is a fault of the program, and nothing of it may be used.
"""

from __future__ import annotations

import platform
import re
from collections.abc import Iterator
from itertools import pairwise

from briefgen import __version__
from briefgen.document.parts.digest import fingerprint
from briefgen.document.parts.format import MINUS, Figures, FootError
from briefgen.errors import InternalError
from briefgen.model.ledger import Foot
from briefgen.model.plan import Node, Phase, Plan

MASS_KG, TIME_S, WAY_M = 1e-3, 1e-3, 0.5  # what floating point may leave over a flight of a day, with room to spare
LONGEST_REPORT = 40  # lines
_HOURS = re.compile(r"([0-9]+):([0-9]{2})")
_CLOCK = re.compile(r"([0-9]{2}):([0-9]{2})(?:\u00a0\+([0-9]+))?")
HOURS_PER_DAY, MINUTES_PER_HOUR = 24, 60


def require_conservation(plan: Plan) -> None:
    """Raise InternalError, with a report to send, if a plan or a landing in it loses anything or a printed sum is none."""
    for sector in plan.sectors:
        require_conservation(sector)
    try:
        figures = Figures(plan)
        broken = [*_flight(plan.phases), *_landings(plan), *_sums(plan, figures)]
    except FootError as fault:
        figures, broken = None, [str(fault)]
    if not broken:
        return
    about = [
        f"briefgen {__version__}, Python {platform.python_version()} on {platform.system()} {platform.machine()}",
        f"files {plan.mission.digest}",
        *([f"plan {fingerprint(plan, figures)}"] if figures else []),
        *broken,
    ]
    raise InternalError(
        f"the plan contradicts itself: {broken[0]}",
        expected="a plan in which mass, fuel, time, distance and every printed sum are kept; nothing of this one may be used",
        hint="this is a fault of the program, not of the mission: send the report below with the mission's files",
        report=tuple(about[:LONGEST_REPORT]),
    )


def _flight(phases: tuple[Phase, ...]) -> Iterator[str]:
    """Yield what is not kept within a phase or from one phase to the next."""
    for phase in phases:
        for before, after in pairwise(phase.nodes):
            yield from _between(phase, before, after)
    for phase, following in pairwise(phases):
        yield from _joined(phase, following)


def _landings(plan: Plan) -> Iterator[str]:
    """Yield what is not kept from one sector to the next: time, fuel, and the duty that goes on."""
    for before, after in pairwise(plan.sectors):
        here, start = f"{before.mission.name} to the next", after.mission.start
        if start is None or start.handed_on is None:
            yield f"{here}: nothing is handed on"
            continue
        end, first, given = before.phases[-1].end, after.phases[0].start, start.handed_on
        if not abs(end.fuel_kg + given.taken_on_kg - first.fuel_kg) <= MASS_KG:
            yield f"{here}: {end.fuel_kg:.6f} kg of fuel and {given.taken_on_kg:.6f} kg taken on become {first.fuel_kg:.6f} kg"
        if not abs((first.instant - end.instant).total_seconds() - given.turn_round_s) <= TIME_S:
            yield f"{here}: {end.instant} and {given.turn_round_s:.3f} s on the ground are not {first.instant}"


def _between(phase: Phase, before: Node, after: Node) -> Iterator[str]:
    burnt, lost = before.fuel_kg - after.fuel_kg, before.mass_kg - after.mass_kg
    if not abs(burnt - lost) <= MASS_KG:
        yield f"{phase.ident}: {burnt:.6f} kg of fuel burnt, {lost:.6f} kg of mass lost"
    if not burnt >= -MASS_KG:
        yield f"{phase.ident}: the fuel grows by {-burnt:.6f} kg"
    if not after.fuel_kg >= -MASS_KG:
        yield f"{phase.ident}: {after.fuel_kg:.6f} kg of fuel remaining"
    if not (after.instant - before.instant).total_seconds() >= -TIME_S:
        yield f"{phase.ident}: time runs back from {before.instant} to {after.instant}"
    if not after.distance_m - before.distance_m >= -WAY_M:
        yield f"{phase.ident}: the way flown shrinks from {before.distance_m:.2f} to {after.distance_m:.2f} m"


def _joined(phase: Phase, following: Phase) -> Iterator[str]:
    end, start = phase.end, following.start
    join = f"{phase.ident} to {following.ident}"
    if not abs(end.mass_kg - phase.released_kg - start.mass_kg) <= MASS_KG:
        yield f"{join}: {end.mass_kg:.6f} kg less {phase.released_kg:.6f} kg released is not {start.mass_kg:.6f} kg"
    if not abs(end.fuel_kg - start.fuel_kg) <= MASS_KG:
        yield f"{join}: fuel {end.fuel_kg:.6f} kg becomes {start.fuel_kg:.6f} kg"
    if not abs((start.instant - end.instant).total_seconds()) <= TIME_S:
        yield f"{join}: the time jumps from {end.instant} to {start.instant}"
    if not abs(start.distance_m - end.distance_m) <= WAY_M:
        yield f"{join}: the way flown jumps from {end.distance_m:.2f} to {start.distance_m:.2f} m"


def _sums(plan: Plan, figures: Figures) -> Iterator[str]:
    """Yield every printed sum that its printed parts do not give, read back from the text as a pencil would."""
    for foot in plan.ledger.feet:
        difference = _difference(foot, figures)
        if difference:
            parts = " + ".join(figures[key] for key in foot.plus) + "".join(f" - {figures[key]}" for key in foot.minus)
            yield f"{foot.result} is printed {figures[foot.result]}, its parts {parts}"


def _difference(foot: Foot, figures: Figures) -> float:
    total = _read(figures, foot.result)
    parts = sum(_read(figures, key) for key in foot.plus) - sum(_read(figures, key) for key in foot.minus)
    decimals = figures.entries[foot.result].decimals
    return round(total - parts, decimals)


def _read(figures: Figures, key: str) -> float:
    """Return the number that a printed figure says, hours and times of day in minutes."""
    text, unit = figures[key], figures.entries[key].unit
    sign = -1 if text.startswith(MINUS) else 1
    text = text.lstrip(MINUS)
    if unit in ("UTC", "local") and (time := _CLOCK.fullmatch(text)):
        return (int(time[3] or 0) * HOURS_PER_DAY + int(time[1])) * MINUTES_PER_HOUR + int(time[2])
    if hours := _HOURS.fullmatch(text):
        return sign * (int(hours[1]) * MINUTES_PER_HOUR + int(hours[2]))
    return sign * float(text.replace(",", ""))
