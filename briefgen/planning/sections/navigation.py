"""Navigation log: every phase as a row of entries, every leg as their sum."""

from __future__ import annotations

from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Leg, Mission
from briefgen.model.plan import Phase
from briefgen.planning.flight.idents import alternate_key, item_keys
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.phases import Chain, write_phase

LEG_COLUMNS = (
    Column("reaching", "To"),
    Column("altitude", "Height", "ft"),
    Column("course", "Track", "degT"),
    Column("course_magnetic", "Track", "degM"),
    Column("variation", "Variation", "deg"),
    Column("wind_direction", "Wind from", "degT"),
    Column("wind_speed", "Wind", "kt"),
    Column("tas", "True airspeed", "kt"),
    Column("drift", "Drift", "deg"),
    Column("heading_magnetic", "Heading", "degM"),
    Column("heading_compass", "Compass", "deg"),
    Column("ground_speed", "Ground speed", "kt"),
    Column("distance", "Distance", "NM"),
    Column("cumulative", "Run", "NM"),
    Column("duration", "Time", "min"),
    Column("end", "At", "UTC"),
    Column("fuel_burn_volume", "Burn", "US gal"),
    Column("fuel_remaining_volume", "Left", "US gal"),
)

PHASE_COLUMNS = (
    Column("to", "Phase"),
    Column("begin", "From", "UTC"),
    Column("end", "To", "UTC"),
    Column("begin_local", "From", "local"),
    Column("duration", "Time", "min"),
    Column("altitude", "Height at end", "ft"),
    Column("fuel_burn_volume", "Burn", "US gal"),
    Column("fuel_remaining_volume", "Fuel left", "US gal"),
    Column("mass", "Weight at end", "lb"),
    Column("light", "Light"),
)


def write_navigation(mission: Mission, flown: Flown, writer: LedgerWriter) -> None:
    """Enter the sortie, the ways to the alternates, and their tables."""
    phases = flown.phases
    write_phases(mission, phases, writer, write_start(mission, phases, writer))
    write_legs(mission, phases, writer)
    writer.table("phases", "Phase by phase", PHASE_COLUMNS, log_rows(phases, writer, PHASE_COLUMNS))
    in_air = tuple(phase for phase in phases if phase.settings)
    writer.table("legs", "Navigation log", LEG_COLUMNS, log_rows(in_air, writer, LEG_COLUMNS))
    landing = next(phase for phase in reversed(phases) if phase.kind == "approach")
    before = phases[phases.index(landing) - 1]
    head = phase_key(before.ident)
    for diversion in flown.diversions:
        chain = Chain(
            *(f"{head}.{name}" for name in ("end", "cumulative", "fuel_remaining", "fuel_remaining_volume", "mass"))
        )
        write_phases(mission, diversion.phases, writer, chain)
        name = alternate_key(diversion.ident)
        _write_end(name, diversion.phases[-2], writer)
        rows = log_rows(diversion.phases, writer, LEG_COLUMNS)
        writer.table(f"{name}.legs", f"Way to {diversion.ident}", LEG_COLUMNS, rows)


def write_start(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> Chain:
    """Enter the state in which the sortie begins."""
    first = phases[0].start
    return Chain(
        writer.put(
            "clock.off_blocks", "Start engines", first.instant, "UTC",
            method="take-off less run-up, taxi and start", inputs=("times.start", "times.taxi_out", "times.run_up"),
        ),
        writer.put("clock.origin", "Distance at take-off", 0.0, "NM", decimals=0, method="where the route begins"),
        writer.put(
            "fuel.ramp", "Fuel at the ramp", first.fuel_kg, "lb", method="volume times density",
            inputs=("fuel.ramp_volume", "fuel.density"),
        ),
        "fuel.ramp_volume",
        writer.put(
            "mass.ramp", "Weight at the ramp", first.mass_kg, "lb",
            method="zero-fuel weight with the fuel at the ramp", inputs=("mass.zero_fuel", "fuel.ramp"),
        ),
    )  # fmt: skip


def write_phases(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter, chain: Chain) -> Chain:
    """Enter every phase of a chain and return where the chain ends."""
    for phase in phases:
        chain = write_phase(mission, phase, writer, chain)
    return chain


def write_legs(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> None:
    """Enter each route item as the sum of its phases, and the totals of the route."""
    for index, (key, item) in enumerate(zip(item_keys(mission.route.items), mission.route.items, strict=True)):
        own = [phase for phase in phases if phase.item == index]
        if not own:
            continue
        parts = [phase_key(phase.ident) for phase in own]
        name = item.to.name if isinstance(item, Leg) else f"{type(item).__name__} at {item.at.name}"
        _write_end(key, own[-1], writer)
        for suffix, label, unit, value in (
            ("distance", "distance", "NM", sum(p.distance_m for p in own)),
            ("duration", "time", "min", sum(p.duration_s for p in own)),
            ("fuel_burn", "fuel burnt", "lb", sum(p.fuel_burn_kg for p in own)),
            (
                "fuel_burn_volume",
                "fuel burnt",
                "US gal",
                sum(p.fuel_burn_kg for p in own) / mission.fuel.density_kg_per_m3,
            ),
        ):
            inputs = tuple(f"{part}.{suffix}" for part in parts)
            writer.put(f"{key}.{suffix}", f"{name}: {label}", value, unit, method="sum of its phases", inputs=inputs)
            writer.foot(f"{key}.{suffix}", inputs)
        writer.put(
            f"{key}.eta",
            f"{name}: over at",
            own[-1].end.instant,
            "UTC",
            method="end of its last phase",
            inputs=(f"{parts[-1]}.end",),
        )


def _write_end(key: str, last: Phase, writer: LedgerWriter) -> None:
    """Enter the altitude a leg ends at, which its descent is named after."""
    writer.put(
        f"{key}.end_altitude",
        f"{last.title}: altitude",
        last.end.altitude_m,
        "ft",
        method="height of what follows at the end of the leg",
        inputs=(f"{phase_key(last.ident)}.altitude",),
    )


def log_rows(phases: tuple[Phase, ...], writer: LedgerWriter, columns: tuple[Column, ...]) -> list[Row]:
    """Return a table row for each phase, with the cells that phase has."""
    rows = []
    for phase in phases:
        key = phase_key(phase.ident)
        cells = {column.name: f"{key}.{column.name}" for column in columns if f"{key}.{column.name}" in writer}
        rows.append(Row(phase.title, cells, phase.kind))
    return rows
