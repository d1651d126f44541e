"""The power table: every setting the plan uses, when it begins, and the levers to move for it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from briefgen.aircraft.interface import Performance
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.performance import LeverMove, PowerSetting
from briefgen.model.plan import Node, Phase
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.power_advice import write_advice, write_advice_table, write_mixture_change

BAND_S = 3600.0  # a new row at least every hour: the weight has fallen by a ton or so

POWER_COLUMNS = (
    Column("phase", "Phase"),
    Column("from", "From", "UTC"),
    Column("mass", "Weight", "lb"),
    Column("altitude", "Height", "ft"),
    Column("rpm", "Engine speed", "rpm"),
    Column("manifold_pressure", "Manifold pressure", "inHg"),
    Column("mixture", "Mixture"),
    Column("cowl_flaps", "Cowl flaps"),
    Column("blower", "Blower"),
    Column("intercooler", "Intercooler"),
    Column("filters", "Filters"),
    Column("boost_pumps", "Boost pumps"),
    Column("ias", "Indicated airspeed", AIRSPEED),
    Column("tas", "True airspeed", "kt"),
    Column("flow_engine", "Flow each", "US gal/h"),
    Column("flow", "Flow total", "US gal/h"),
    Column("limit", "Governing limit"),
    Column("margin", "Power in hand", "%"),
    Column("time_limit", "Time limit", "min"),
    Column("mixture_change_mass", "Mixture changes at", "lb"),
)


@dataclass(frozen=True)
class PowerRow:
    """One row of the power table: where it begins and how the levers get there."""

    key: str
    phase: Phase
    node: Node
    setting: PowerSetting
    moves: tuple[LeverMove, ...]
    mixture_change: bool
    advice: bool = False  # a slightly lower speed would stay lean, and is entered beside the row


def write_power(
    mission: Mission, phases: tuple[Phase, ...], performance: Performance, writer: LedgerWriter, prefix: str = "power"
) -> tuple[PowerRow, ...]:
    """Enter the power table and return its rows for the timeline."""
    rows: list[PowerRow] = []
    before: PowerSetting | None = None
    for phase in phases:
        for node, setting in _kept(phase):
            key = f"{prefix}.{len(rows) + 1:02d}"
            changed = bool(rows) and rows[-1].phase is phase and rows[-1].setting.mixture != setting.mixture
            moves = _moves(mission, phase, performance.lever_moves(before, setting))
            row = PowerRow(key, phase, node, setting, moves, changed)
            _write_row(row, mission.fuel.density_kg_per_m3, writer)
            write_mixture_change(mission, key, phase, node, setting, changed, performance, writer)
            rows.append(replace(row, advice=write_advice(mission, key, phase, setting, performance, writer)))
            before = setting
        before = phase.settings[-1][1] if phase.settings else before
    table = [
        Row(row.phase.title, {c.name: f"{row.key}.{c.name}" for c in POWER_COLUMNS if f"{row.key}.{c.name}" in writer},
            "mixture" if row.mixture_change else row.phase.kind)
        for row in rows
    ]  # fmt: skip
    writer.table(prefix, "Power table", POWER_COLUMNS, table)
    write_advice_table(prefix, [(row.phase.title, row.key) for row in rows if row.advice], writer)
    _write_for_checklists(rows, writer)
    return tuple(rows)


def _moves(mission: Mission, phase: Phase, moves: tuple[LeverMove, ...]) -> tuple[LeverMove, ...]:
    """Return the levers to move with a setting; after take-off, those an action at a height moves are left to it."""
    at_heights = {action.lever for action in mission.aircraft.altitude_actions}
    return tuple(move for move in moves if phase.kind == "take-off" or move.lever not in at_heights)


def _write_for_checklists(rows: list[PowerRow], writer: LedgerWriter) -> None:
    """Enter the first setting of each regime under the name a checklist quotes it by, such as climb.manifold_pressure."""
    for row in rows:
        regime = row.phase.kind.replace("-", "_")
        for name, source in (("manifold_pressure", "manifold_pressure"), ("engine_speed", "rpm"), ("ias", "ias")):
            key, original = f"{regime}.{name}", f"{row.key}.{source}"
            if key in writer or original not in writer:
                continue
            entry = writer[original]
            writer.put(
                key,
                f"{row.phase.kind.capitalize()}: {entry.label.lower()}",
                entry.value,
                entry.unit,
                decimals=entry.decimals,
                method="first setting of this kind in the power table",
                inputs=(original,),
            )


def _kept(phase: Phase) -> list[tuple[Node, PowerSetting]]:
    """Return the settings worth a row: the first, one an hour, and each change of mixture or engine speed limit."""
    kept: list[tuple[Node, PowerSetting]] = []
    for node, setting in phase.settings:
        late = kept and (node.instant - kept[-1][0].instant).total_seconds() >= BAND_S - 1.0
        if not kept or late or setting.mixture != kept[-1][1].mixture:
            kept.append((node, setting))
    return kept


LEAST_ENGINE_SPEED = "lowest engine speed whose permitted manifold pressure gives the power needed"
RATED = ("take-off", "climb")  # flown at a rating, not at the power that holds level


def _write_row(row: PowerRow, density: float, writer: LedgerWriter) -> None:
    key, setting, node = row.key, row.setting, row.node
    phase = phase_key(row.phase.ident)
    rated = row.phase.kind in RATED
    solved = "the rating of the aircraft file, as far as the air lets it be drawn" if rated else LEAST_ENGINE_SPEED
    drivers = tuple(
        k
        for k in (f"{phase}.ias", f"{phase}.temperature", f"{key}.mass", f"{key}.altitude", "fuel.grade")
        if k in writer or k.startswith(key)
    )
    writer.put(f"{key}.phase", "Phase", row.phase.title, method="from the route as written")
    writer.put(
        f"{key}.from", "Set at", node.instant, "UTC", method="when the stretch begins", inputs=(f"{phase}.begin",)
    )
    writer.put(
        f"{key}.mass",
        "Weight there",
        node.mass_kg,
        "lb",
        method="integrated with the fuel burnt",
        inputs=(f"{phase}.mass",),
    )
    writer.put(
        f"{key}.altitude", "Height there", node.altitude_m, "ft", method="on the altimeter setting in force",
        inputs=(f"{phase}.altitude",),
    )  # fmt: skip
    numbers = (
        ("rpm", "Engine speed", setting.engine_speed_rpm, "rpm", 0),
        ("manifold_pressure", "Manifold pressure", setting.manifold_pressure_pa, "inHg", 1),
        ("ias", "Indicated airspeed", setting.ias_m_per_s, AIRSPEED, 0),
        ("tas", "True airspeed", setting.tas_m_per_s, "kt", 0),
        ("power", "Brake power of each engine", setting.power_w, "bhp", 0),
        ("flow_engine", "Fuel flow of each engine", setting.fuel_flow_per_engine_kg_per_s / density, "US gal/h", 1),
        ("flow", "Fuel flow of all engines", setting.fuel_flow_kg_per_s / density, "US gal/h", 0),
        ("margin", "Power in hand to the limit", setting.margin_ratio, "%", 0),
        ("time_limit", "Time limit", setting.time_limit_s, "min", 0),
    )
    for name, label, value, unit, decimals in numbers:
        if value is not None:
            writer.put(
                f"{key}.{name}",
                label,
                value,
                unit,
                decimals=decimals,
                method=solved,
                inputs=drivers,
                source=setting.source,
            )
    words = (
        ("mixture", "Mixture", setting.mixture), ("cowl_flaps", "Cowl flaps", setting.cowl_flaps),
        ("blower", "Blower", setting.blower), ("intercooler", "Intercooler", setting.intercooler),
        ("filters", "Air filters", setting.filters), ("boost_pumps", "Boost pumps", setting.boost_pumps),
        ("limit", "Governing limit", setting.governing_limit),
    )  # fmt: skip
    for name, label, word in words:
        if word:
            writer.put(
                f"{key}.{name}",
                label,
                word,
                method="by the limits of the fuel grade",
                inputs=drivers,
                source=setting.source,
            )
