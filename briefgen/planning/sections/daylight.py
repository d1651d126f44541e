"""Sun, twilight and moon at the places of the plan at their times.

The light is that on the ground at sea level; higher up the sun is seen earlier and longer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from briefgen.kernel.crossings import Crossings, Presence
from briefgen.kernel.sun import (
    light_condition,
    moon_altitude,
    moon_crossings,
    moon_illuminated_ratio,
    sun_times,
)
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Action, Mission
from briefgen.model.places import Place
from briefgen.model.plan import ChartData, Event, Finding, Phase
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.fields.uses import field_uses

HALF_A_DAY = timedelta(hours=12)
SUN_SOURCE = "astronomy-engine; definitions of the U.S. Naval Observatory"
NIGHT_SOURCE = "sunrise, sunset and civil twilight as the U.S. Naval Observatory defines them; night: 14 CFR 1.1"

COLUMNS = (
    Column("place", "Place"),
    Column("role", "For"),
    Column("time", "At", "UTC"),
    Column("light", "Light then"),
    Column("dawn", "Civil dawn", "UTC"),
    Column("sunrise", "Sunrise", "UTC"),
    Column("sunset", "Sunset", "UTC"),
    Column("dusk", "Civil dusk", "UTC"),
    Column("sunrise_local", "Sunrise", "local"),
    Column("sunset_local", "Sunset", "local"),
    Column("moon", "Moon then"),
    Column("moon_lit", "Moon lit", "%"),
)


@dataclass(frozen=True)
class _Use:
    """A place that needs its light told, at the instant of a ledger entry."""

    name: str
    role: str
    place: Place
    time_key: str
    instant: datetime


def write_daylight(
    mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter
) -> tuple[tuple[Event, ...], tuple[Finding, ...], dict[str, ChartData]]:
    """Enter the light at every place and its table; the changes of light on the way are the timeline's."""
    uses = tuple(_uses(mission, phases, writer))
    rows = [_row(use, writer) for use in uses]
    writer.table(
        "daylight", "Sun, twilight and moon", COLUMNS, rows,
        note="Nearest to the time of each place; at sea level, clear horizon.",
    )  # fmt: skip
    target = next((use for use in uses if use.role == "target"), uses[0])
    _write_moon(target, writer)
    return (), (), {}


def _uses(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> Iterator[_Use]:
    fields = field_uses(mission, writer)
    yield from (_Use(use.name, use.role, use.place, use.time_key, use.instant) for use in fields[:1])
    told: set[str] = set()
    for index, item in enumerate(mission.route.items):
        runs = [phase for phase in phases if phase.item == index and phase.kind == "run"]
        if isinstance(item, Action) and runs and item.at.ident not in told:
            told.add(item.at.ident)
            key = f"{phase_key(runs[0].ident)}.begin"
            yield _Use(item.at.ident.lower(), "target", item.at, key, writer.instant(key))
    yield from (_Use(use.name, use.role, use.place, use.time_key, use.instant) for use in fields[1:])


def _row(use: _Use, writer: LedgerWriter) -> Row:
    place, head, title = use.place, f"daylight.{use.name}", f"{use.place.name} ({use.role})"
    put, at = writer.put, (use.time_key,)
    times = sun_times(use.instant - HALF_A_DAY, use.instant + HALF_A_DAY, place.lat_deg, place.lon_deg)
    light = light_condition(use.instant, place.lat_deg, place.lon_deg)
    light_key = put(
        f"light.{use.name}", f"{title}: light", light.value, method="height of the sun at the expected time", inputs=at,
        source=NIGHT_SOURCE,
    )  # fmt: skip
    cells = {
        "place": put(f"{head}.place", "Place", f"{place.ident} {place.name}", method="from the route as written"),
        "role": put(f"{head}.role", "Use", use.role, method="from the route as written"),
        "time": use.time_key,
        "light": light_key,
    }
    for name, label, found, rising in (
        ("dawn", "beginning of civil twilight", times.civil, True),
        ("sunrise", "sunrise", times.sun, True),
        ("sunset", "sunset", times.sun, False),
        ("dusk", "end of civil twilight", times.civil, False),
    ):
        value = _nearest(found, use.instant, rising)
        method, unit = f"{label} nearest to the expected time", "UTC" if isinstance(value, datetime) else ""
        cells[name] = put(
            f"{head}.{name}", f"{title}: {label}", value, unit, method=method, inputs=at, source=SUN_SOURCE
        )
        if isinstance(value, datetime) and name in ("sunrise", "sunset"):
            cells[f"{name}_local"] = put(
                f"{head}.{name}_local", f"{title}: {label}, local", value, "local", method="the same in the mission's zone",
                inputs=(cells[name],),
            )  # fmt: skip
    up = moon_altitude(use.instant, place.lat_deg, place.lon_deg) > 0.0
    cells["moon"] = put(
        f"{head}.moon", f"{title}: moon", "up" if up else "down", method="height of the moon at the expected time", inputs=at,
        source=SUN_SOURCE,
    )  # fmt: skip
    cells["moon_lit"] = put(
        f"{head}.moon_lit", f"{title}: lit part of the moon", moon_illuminated_ratio(use.instant), "%",
        method="lit part of the disc at the expected time", inputs=at, source=SUN_SOURCE,
    )  # fmt: skip
    return Row(title, cells, use.role)


def _nearest(found: Crossings, instant: datetime, rising: bool) -> datetime | str:
    """Return the crossing nearest to an instant, or in words that there is none that day."""
    candidates = found.rises if rising else found.sets
    if candidates:
        return min(candidates, key=lambda one: abs(one - instant))
    return {
        Presence.ALWAYS_ABOVE: "up all day",
        Presence.ALWAYS_BELOW: "down all day",
        Presence.CROSSES: "none that day",
    }[found.presence]


def _write_moon(use: _Use, writer: LedgerWriter) -> None:
    """Enter when the moon rises and sets at one place, the target if there is one."""
    place = use.place
    found = moon_crossings(use.instant - HALF_A_DAY, use.instant + HALF_A_DAY, place.lat_deg, place.lon_deg)
    for name, label, rising in (("moonrise", "moonrise", True), ("moonset", "moonset", False)):
        value = _nearest(found, use.instant, rising)
        writer.put(
            f"daylight.{use.name}.{name}", f"{place.name}: {label}", value, "UTC" if isinstance(value, datetime) else "",
            method=f"{label} nearest to the expected time", inputs=(use.time_key,), source=SUN_SOURCE,
        )  # fmt: skip
