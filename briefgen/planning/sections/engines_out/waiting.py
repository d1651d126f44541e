"""Waiting on all engines against waiting on fewer: fuel flow and endurance at one speed and height."""

from __future__ import annotations

from dataclasses import dataclass

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError, OutOfRangeError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Hold, Mission
from briefgen.model.performance import Air, EngineConfiguration, IndicatedAirspeed, PowerSetting
from briefgen.model.plan import Node, Phase
from briefgen.planning.ledger.review_keys import UNUSABLE_FUEL
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.engines_out.legs import NOT_KNOWN, begin_key
from briefgen.planning.sections.engines_out.setting import fuel_goes, put_setting

CANNOT = "cannot be held"

COLUMNS = (
    Column("engines", "Running"),
    Column("rpm", "Engine speed", "rpm"),
    Column("manifold_pressure", "Manifold pressure", "inHg"),
    Column("mixture", "Mixture"),
    Column("flow_engine", "Flow each", "US gal/h"),
    Column("flow", "Flow total", "US gal/h"),
    Column("more", "More than all", "%"),
    Column("endurance", "Endurance", "h:min"),
)


@dataclass(frozen=True)
class Wait:
    """Where and how the waiting is compared."""

    phase: Phase
    node: Node
    air: Air
    ias_m_per_s: float
    bank_deg: float


def write_waiting(mission: Mission, phases: tuple[Phase, ...], performance: Performance, writer: LedgerWriter) -> None:
    """Enter the wait on every choice of engines: the planned hold, or one at the end of the last cruise."""
    wait = _wait(mission, phases, performance)
    if wait is None or len(performance.engine_configurations) < 2:
        return
    key, begins = "engines_out.waiting", (begin_key(wait.phase),)
    writer.put(f"{key}.mass", "Waiting: weight", wait.node.mass_kg, "lb", method="as the wait begins", inputs=begins)
    writer.put(
        f"{key}.altitude",
        "Waiting: height",
        wait.node.altitude_m,
        "ft",
        method="on the altimeter setting in force",
        inputs=begins,
    )
    writer.put(
        f"{key}.ias", "Waiting: indicated airspeed", wait.ias_m_per_s, AIRSPEED,
        method="of the planned hold, or the waiting speed of the aircraft file", inputs=begins,
    )  # fmt: skip
    usable_kg = wait.node.fuel_kg - writer.number(UNUSABLE_FUEL)
    writer.put(
        f"{key}.fuel", "Waiting: usable fuel", usable_kg / mission.fuel.density_kg_per_m3, "US gal",
        method="as the wait begins", inputs=(*begins, UNUSABLE_FUEL),
    )  # fmt: skip
    rows, every = [], 0.0
    for number, engines in enumerate(performance.engine_configurations, start=1):
        head = f"{key}.{number:02d}"
        flow = _write_choice(mission, wait, engines, head, every, performance, writer)
        every = every or flow
        cells = {column.name: f"{head}.{column.name}" for column in COLUMNS}
        rows.append(Row(engines.name, {name: cell for name, cell in cells.items() if cell in writer}))
    writer.table(key, "Waiting on all engines and on fewer", COLUMNS, rows, _note(wait))


def _note(wait: Wait) -> str:
    key = "engines_out.waiting"
    turning = ", in the bank of the hold" if wait.bank_deg else ""
    return (
        f"Level at {{{key}.ias}}, {{{key}.altitude}} and {{{key}.mass}}{turning}, each choice of engines at the least engine "
        f"speed that gives the power; endurance on {{{key}.fuel}} of usable fuel, no reserve kept, the weight falling."
    )


def _wait(mission: Mission, phases: tuple[Phase, ...], performance: Performance) -> Wait | None:
    hold = next((phase for phase in phases if phase.kind == "hold" and phase.settings), None)
    if hold is not None and hold.item is not None:
        item = mission.route.items[hold.item]
        bank_deg = item.bank_deg if isinstance(item, Hold) else 0.0
        speed, air = hold.settings[0][1].ias_m_per_s, hold.settings[0][1].air
        return Wait(hold, hold.start, air, speed, bank_deg)
    cruises = [phase for phase in phases if phase.kind == "cruise"]
    if not cruises:
        return None
    last = cruises[-1]
    speed = performance.speeds(last.end.mass_kg).hold_m_per_s
    return Wait(last, last.end, Air(last.end.pressure_altitude_m, last.temperature_k), speed, 0.0)


def _write_choice(
    mission: Mission, wait: Wait, engines: EngineConfiguration, head: str, every_flow: float, performance: Performance,
    writer: LedgerWriter,
) -> float:  # fmt: skip
    """Enter one choice of engines and return its fuel flow [kg/s], 0 where it cannot be flown."""
    label = f"Waiting on {engines.name}"
    inputs = tuple(f"engines_out.waiting.{name}" for name in ("mass", "altitude", "ias"))
    writer.put(f"{head}.engines", f"{label}: running", engines.name, method="engine configuration of the aircraft file")

    def setting_at(mass_kg: float) -> PowerSetting:
        return performance.cruise(
            mass_kg, wait.air, IndicatedAirspeed(wait.ias_m_per_s), engines=engines.name, bank_deg=wait.bank_deg
        )

    try:
        setting = setting_at(wait.node.mass_kg)
    except BriefgenError as error:
        word = NOT_KNOWN if isinstance(error, OutOfRangeError) else CANNOT
        writer.put(f"{head}.flow", f"{label}: fuel flow", word, method=error.problem, inputs=inputs)
        return 0.0
    how = "level at the waiting speed, lowest engine speed whose permitted manifold pressure gives the power needed"
    put_setting(head, label, setting, mission.fuel.density_kg_per_m3, how, inputs, writer)
    flow = setting.fuel_flow_kg_per_s
    if every_flow:
        writer.put(
            f"{head}.more", f"{label}: burns more than on all engines by", flow / every_flow - 1.0, "%",
            method="flow over that of all engines, less one", inputs=(f"{head}.flow", "engines_out.waiting.01.flow"),
        )  # fmt: skip
    try:
        _, time_s = fuel_goes(setting_at, wait.node.mass_kg, wait.node.fuel_kg - writer.number(UNUSABLE_FUEL))
    except BriefgenError as error:
        writer.put(f"{head}.endurance", f"{label}: endurance", NOT_KNOWN, method=error.problem, inputs=inputs)
        return flow
    writer.put(
        f"{head}.endurance", f"{label}: endurance", time_s, "h:min", method="usable fuel burnt at the same speed",
        inputs=("engines_out.waiting.fuel", f"{head}.flow"),
    )  # fmt: skip
    return flow
