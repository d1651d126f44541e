"""How to lose time before a timed point: one orbit at the bank of the hold, and dog-legs solved in the forecast wind."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from briefgen.errors import OutOfRangeError
from briefgen.kernel.time_control import dog_leg, orbit_time
from briefgen.kernel.turns import turn_radius
from briefgen.kernel.wind import wind_towards
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.planning.flight.idents import item_keys
from briefgen.planning.flight.pacing import Stretch, orbit_bank
from briefgen.planning.flight.sortie import Pace
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter

LOST_S = (120.0, 240.0, 360.0)
ANGLES_DEG = (30.0, 45.0, 60.0)

COLUMNS = (
    Column("lost", "Time lost", "min"),
    Column("bank", "Bank", "deg"),
    Column("radius", "Radius", "NM"),
    Column("laps", "Laps"),
    Column("leg", "Each straight leg", "min"),
    *(
        Column(f"{name}_{angle:.0f}", f"{head} at {angle:.0f}°", unit)
        for angle in ANGLES_DEG
        for name, head, unit in (("out", "Out", "min"), ("back", "Back", "min"), ("extra", "Farther", "NM"))
    ),
)
NOTE = (
    "Dog-leg: leave the track to the right at the angle, hold for the time out, then come back at the same angle. "
    "To the left, the times out and back change places. Turns are not counted."
)


def write_delays(
    mission: Mission, flights: Sequence[tuple[Stretch, tuple[Phase, ...]]], paces: Mapping[int, Pace],
    writer: LedgerWriter,
) -> None:  # fmt: skip
    """Enter the delay that is planned, one orbit and three dog-legs for the last cruise before each timed point."""
    rows: list[Row] = []
    for number, (stretch, planned) in enumerate(flights, start=1):
        cruises = [phase for phase in planned if phase.kind == "cruise" and phase.course_deg is not None]
        if not cruises:
            continue
        before = f"before {stretch.point.place.name}"
        key = f"timing.delay.{number:02d}"
        pace = paces.get(stretch.through)
        if pace is not None and pace.wait_s > 0.0:
            lost = f"{item_keys(mission.route.items)[stretch.through]}.time_lost"
            rows.append(_planned(pace, planned, cruises[-1], key, before, lost, writer))
        rows.append(_orbit(mission, stretch, cruises[-1], key, before, writer))
        for lost_s in LOST_S:
            rows.append(_dog_leg(cruises[-1], lost_s, f"{key}.{lost_s / 60.0:02.0f}", before, writer))
    if rows:
        writer.table("timing.delays", "Losing time before a timed point", COLUMNS, rows, NOTE)


def _orbit(mission: Mission, stretch: Stretch, cruise: Phase, key: str, before: str, writer: LedgerWriter) -> Row:
    bank_deg = orbit_bank(mission, stretch.point, cruise.tas_m_per_s)
    written = stretch.point.bank_deg is not None
    how = (
        "as written with the timed point"
        if written
        else "that of the first hold of the route, else of a standard-rate turn"
    )
    label = f"Orbit {before}"
    bank = writer.put(f"{key}.orbit.bank", f"{label}: bank", bank_deg, "deg", method=how)
    inputs = (f"{phase_key(cruise.ident)}.tas", bank)
    cells = {"bank": bank}
    cells["lost"] = writer.put(
        f"{key}.orbit.lost", f"{label}: time lost", orbit_time(cruise.tas_m_per_s, bank_deg), "min", decimals=1,
        method="level turn through 360 degrees at the true airspeed planned", inputs=inputs,
    )  # fmt: skip
    cells["radius"] = writer.put(
        f"{key}.orbit.radius", f"{label}: radius", turn_radius(cruise.tas_m_per_s, bank_deg), "NM", decimals=1,
        method="balance of forces in a level turn", inputs=inputs,
    )  # fmt: skip
    return Row(label, cells)


def _planned(
    pace: Pace, planned: tuple[Phase, ...], cruise: Phase, key: str, before: str, lost: str, writer: LedgerWriter
) -> Row:
    """Enter how the time of the plan is lost: a dog-leg, or whole laps with straight legs that take up the rest."""
    if not pace.bank_deg:
        label = f"Planned dog-leg {before}"
        return replace(_dog_leg_row(cruise, pace.wait_s, f"{key}.planned", label, lost, writer), mark="decision")
    tas = next(phase.tas_m_per_s for phase in planned if phase.kind == "hold")
    turns_s = orbit_time(tas, pace.bank_deg)
    laps = math.floor(pace.wait_s / turns_s)
    label, head = f"Planned orbits {before}", f"{key}.planned"
    bank = writer.put(f"{head}.bank", f"{label}: bank", pace.bank_deg, "deg", method="bank of the timing orbit")
    how = "whole orbits in the time to be lost"
    count = writer.put(f"{head}.laps", f"{label}: laps", str(laps), method=how, inputs=(lost, bank))
    leg = writer.put(
        f"{head}.leg", f"{label}: each straight leg", 0.5 * (pace.wait_s / laps - turns_s), "min", decimals=1,
        method="half of what a lap has over its turns; in still air", inputs=(lost, count, bank),
        source="ICAO Doc 8168, Volume I: geometry of a holding pattern",
    )  # fmt: skip
    radius = writer.put(
        f"{head}.radius", f"{label}: radius", turn_radius(tas, pace.bank_deg), "NM", decimals=1,
        method="balance of forces in a level turn", inputs=(bank,),
    )  # fmt: skip
    return Row(label, {"lost": lost, "bank": bank, "laps": count, "leg": leg, "radius": radius}, "decision")


def _dog_leg(cruise: Phase, lost_s: float, key: str, before: str, writer: LedgerWriter) -> Row:
    label = f"Dog-leg {before}"
    lost = writer.put(f"{key}.lost", f"{label}: time lost", lost_s, "min", decimals=1, method="chosen for the table")
    return _dog_leg_row(cruise, lost_s, key, label, lost, writer)


def _dog_leg_row(cruise: Phase, lost_s: float, key: str, label: str, lost: str, writer: LedgerWriter) -> Row:
    head = phase_key(cruise.ident)
    inputs = tuple(f"{head}.{name}" for name in ("course", "tas", "wind_direction", "wind_speed"))
    wind = wind_towards(cruise.wind_north_m_per_s, cruise.wind_east_m_per_s)
    cells = {"lost": lost}
    for angle in ANGLES_DEG:
        try:
            made = dog_leg(cruise.course_deg or 0.0, cruise.tas_m_per_s, wind, angle, lost_s)
        except OutOfRangeError:
            continue  # no way is made across such a wind at this angle: the cell stays blank
        for name, what, value, unit in (
            ("out", "time out", made.first_s, "min"),
            ("back", "time back", made.second_s, "min"),
            ("extra", "extra distance", made.extra_m, "NM"),
        ):
            cells[f"{name}_{angle:.0f}"] = writer.put(
                f"{key}.{name}_{angle:.0f}", f"{label} at {angle:.0f} degrees: {what}", value, unit, decimals=1,
                method="two equal legs over the ground, each with its own wind triangle; turns neglected",
                inputs=(*inputs, cells["lost"]), source="plane geometry and the wind triangle; at 60 degrees in a calm the rule of USAF AFPAM 11-216",
            )  # fmt: skip
    return Row(label, cells)
