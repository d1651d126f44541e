"""Fuel by tank through the flight, changes of tank on the timeline, balance of the sides, and a transfer that fails."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta

from briefgen.errors import PlanError
from briefgen.model.aircraft import Tank
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Event, Finding, Phase
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition
from briefgen.planning.load.tanks import Changeover, changeovers, imbalance_m3, tank_contents, transfer_tanks, usable_m3
from briefgen.planning.sections.balance.fluids import write_fluids

PAGE = "fuel"
ORDER = "burn order of the aircraft file; tanks of one order go down together by equal volumes"
FUEL_CREW = ("flight engineer",)


def write_tanks(
    mission: Mission, phases: Sequence[Phase], moments: Sequence[Condition], writer: LedgerWriter
) -> tuple[list[Event], list[Finding]]:
    """Enter the tank tables and consumables; return the tank changes and the findings."""
    start = next(moment for moment in moments if moment.key == "ramp").tanks_m3
    _write_contents(mission, phases, start, writer)
    _write_order(mission, start, writer)
    events = _change_events(mission, phases, changeovers(mission.aircraft, start), writer)
    findings = _imbalance(mission, phases, start, writer) + _failed_transfer(mission, phases, start, writer)
    return events, findings + write_fluids(mission, phases, writer)


def _tank_key(index: int) -> str:
    return f"tank.{index:02}"


def _start_kg(phases: Sequence[Phase]) -> float:
    return phases[0].nodes[0].fuel_kg


def _contents(
    mission: Mission, phases: Sequence[Phase], start: Mapping[str, float], fuel_kg: float
) -> dict[str, float]:
    burned_m3 = max(0.0, (_start_kg(phases) - fuel_kg) / mission.fuel.density_kg_per_m3)
    return tank_contents(mission.aircraft, start, burned_m3)


def _write_contents(
    mission: Mission, phases: Sequence[Phase], start: Mapping[str, float], writer: LedgerWriter
) -> None:
    """Write what stands in each tank at the ramp and at the end of each phase, and the total of each row."""
    tanks = mission.aircraft.balance.tanks
    instants = [("ramp", "Ramp", _start_kg(phases))]
    instants += [(phase.ident, phase.title, phase.nodes[-1].fuel_kg) for phase in phases]
    rows = []
    for ident, title, fuel_kg in instants:
        contents = _contents(mission, phases, start, fuel_kg)
        cells = {"end": writer.put(f"tanks.{ident}.name", "End of", title, method="in flight order")}
        for index, tank in enumerate(tanks, 1):
            cells[_tank_key(index)] = writer.put(
                f"tanks.{ident}.{index:02}", f"{title}: {tank.name}", contents[tank.name], "US gal", method=ORDER,
                inputs=tuple(key for key in (_volume_entry(ident),) if key in writer),
            )  # fmt: skip
        parts = tuple(cells[_tank_key(index)] for index in range(1, len(tanks) + 1))
        cells["total"] = writer.put(
            f"tanks.{ident}.total", f"{title}: in all tanks", sum(contents.values()), "US gal", method="sum of the tanks",
            inputs=parts,
        )  # fmt: skip
        writer.foot(cells["total"], parts)
        rows.append(Row(ident, cells))
    heads = [Column(_tank_key(index), tank.name, "US gal") for index, tank in enumerate(tanks, 1)]
    columns = (Column("end", "End of"), *heads, Column("total", "All", "US gal"))
    writer.table("fuel.tanks", "Fuel by tank", columns, rows, "Unusable fuel is in the figures.")


def _volume_entry(ident: str) -> str:
    return "fuel.ramp_volume" if ident == "ramp" else f"{phase_key(ident)}.fuel_remaining_volume"


def _write_order(mission: Mission, start: Mapping[str, float], writer: LedgerWriter) -> None:
    """Write capacity, unusable fuel, contents, order and use of each tank."""
    rows = []
    for index, tank in enumerate(mission.aircraft.balance.tanks, 1):
        key, spec = f"fuel.tank.{index:02}", f"aircraft:balance.tanks[{index - 1}]"
        cells = {
            "tank": writer.given(f"{key}.name", "Tank", tank.name, spec=f"{spec}.name"),
            "order": writer.given(f"{key}.order", f"{tank.name}: order", float(tank.order), spec=f"{spec}.order"),
            "feeds": writer.given(f"{key}.feeds", f"{tank.name}: feeds", tank.feeds, spec=f"{spec}.feeds"),
            "capacity": writer.given(
                f"{key}.capacity", f"{tank.name}: holds", tank.capacity_m3, "US gal", spec=f"{spec}.capacity"
            ),
            "unusable": writer.given(
                f"{key}.unusable", f"{tank.name}: unusable", tank.unusable_m3, "US gal", spec=f"{spec}.unusable"
            ),
            "start": writer.put(
                f"{key}.start", f"{tank.name}: at the ramp", start[tank.name], "US gal",
                method="loaded tank by tank as written, or what is burnt last filled first",
                inputs=tuple(name for name in ("fuel.ramp_volume",) if name in writer),
            ),
        }  # fmt: skip
        cells["mass"] = writer.put(
            f"{key}.mass", f"{tank.name}: mass at the ramp", start[tank.name] * mission.fuel.density_kg_per_m3, "lb",
            method="volume times density",
            inputs=tuple(name for name in (cells["start"], "fuel.density") if name in writer),
        )  # fmt: skip
        rows.append(Row(tank.name, cells))
    columns = (
        Column("order", "Order"), Column("tank", "Tank"), Column("feeds", "Feeds"),
        Column("capacity", "Holds", "US gal"), Column("start", "At ramp", "US gal"), Column("mass", "At ramp", "lb"),
        Column("unusable", "Unusable", "US gal"),
    )  # fmt: skip
    writer.table("fuel.tank_order", "Tanks and the order in which they are used", columns, rows)


def _change_events(
    mission: Mission, phases: Sequence[Phase], changes: Sequence[Changeover], writer: LedgerWriter
) -> list[Event]:
    """Return one event for each moment a tank or a group is used up while the engines run."""
    density, start_kg = mission.fuel.density_kg_per_m3, _start_kg(phases)
    events = []
    for index, change in enumerate(changes, 1):
        fuel_kg = start_kg - change.burned_m3 * density
        found = _instant(phases, fuel_kg)
        if found is None:
            continue
        phase, seconds = found
        key = f"fuel.change.{index:02}"
        left = writer.put(
            f"{key}.fuel_left", "Fuel left when the tank is used up", fuel_kg, "lb", method=ORDER,
            inputs=tuple(name for name in ("fuel.ramp", "fuel.density") if name in writer),
        )  # fmt: skip
        time = writer.put(
            f"{key}.time", f"Used up: {', '.join(change.emptied)}", phase.nodes[0].instant + timedelta(seconds=seconds),
            "UTC", method="when that much fuel is left, by the fuel log of the phase", inputs=(left,),
        )  # fmt: skip
        onward = f"; go on with {', '.join(change.onward)}" if change.onward else ""
        text = f"{', '.join(change.emptied)} used up{onward}; {{{left}}} left"
        events.append(Event(time, "fuel", phase.ident, FUEL_CREW, text))
    return events


def _instant(phases: Sequence[Phase], fuel_kg: float) -> tuple[Phase, float] | None:
    """Return the phase and the time from its start at which so much fuel is left."""
    for phase in phases:
        for before, after in zip(phase.nodes, phase.nodes[1:], strict=False):
            if after.fuel_kg <= fuel_kg < before.fuel_kg:
                part = (before.fuel_kg - fuel_kg) / (before.fuel_kg - after.fuel_kg)
                begun = (before.instant - phase.nodes[0].instant).total_seconds()
                return phase, begun + part * (after.instant - before.instant).total_seconds()
    return None


def _imbalance(
    mission: Mission, phases: Sequence[Phase], start: Mapping[str, float], writer: LedgerWriter
) -> list[Finding]:
    """Hold the greatest difference between the sides against the limit of the aircraft file."""
    limit_kg = mission.aircraft.balance.fuel_imbalance_limit_kg
    if limit_kg is None:
        return []
    fuels = [_start_kg(phases), *(phase.nodes[-1].fuel_kg for phase in phases)]
    differences = [
        abs(imbalance_m3(mission.aircraft, _contents(mission, phases, start, fuel))) * mission.fuel.density_kg_per_m3
        for fuel in fuels
    ]
    keys = _three(writer, "fuel.imbalance", "Difference between left and right tanks", (max(differences), limit_kg))
    outcome = "pass" if max(differences) <= limit_kg * (1 + 1e-9) else "fail"
    text = "Left and right tanks, used in order, differ by up to {fuel.imbalance.measured}; at most {fuel.imbalance.limit} allowed."
    cure = "" if outcome == "pass" else "fill left and right tanks alike, or balance them through the cross-feed"
    title = "Fuel left and right"
    return [Finding("fuel.imbalance", outcome, title, text, *keys, "aircraft file, fuel imbalance limit", cure, PAGE)]


def _three(writer: LedgerWriter, key: str, label: str, pair: tuple[float, float]) -> tuple[str, str, str]:
    measured = writer.put(f"{key}.measured", label, pair[0], "lb", method="contents of the tanks at each end of phase")
    limit = writer.given(f"{key}.limit", f"{label}: limit", pair[1], "lb", spec="aircraft:balance.fuel imbalance limit")
    margin = writer.put(
        f"{key}.margin",
        f"{label}: to spare",
        pair[1] - pair[0],
        "lb",
        method="limit less measured",
        inputs=(limit, measured),
    )
    writer.foot(margin, (limit,), (measured,))
    return measured, limit, margin


def _failed_transfer(
    mission: Mission, phases: Sequence[Phase], start: Mapping[str, float], writer: LedgerWriter
) -> list[Finding]:
    """Write what each transfer that fails from the start would cost: usable fuel at landing, and the heavy side."""
    rows, findings = [], []
    landing_kg = _landing_fuel_kg(phases)
    for index, tank in enumerate(mission.aircraft.balance.tanks, 1):
        if tank in transfer_tanks(mission.aircraft) and start[tank.name] > tank.unusable_m3:
            row, finding = _one_failure(mission, phases, start, (index, tank), landing_kg, writer)
            rows.append(row)
            findings.append(finding)
    if rows:
        columns = (
            Column("tank", "Transfer fails from"), Column("stuck", "Fuel stuck", "lb"),
            Column("usable", "Usable at landing", "lb"), Column("difference", "Sides differ by", "lb"),
        )  # fmt: skip
        note = "From the start of the flight, the other tanks used in order with the cross-feed open."
        writer.table("fuel.failed_transfer", "If a transfer fails", columns, rows, note)
    worst = [finding for finding in findings if finding.outcome != "pass"]
    return worst or findings[:1]


def _landing_fuel_kg(phases: Sequence[Phase]) -> float:
    approaches = [phase for phase in phases if phase.kind == "approach"]
    return (approaches or list(phases))[-1].nodes[-1].fuel_kg


def _one_failure(
    mission: Mission, phases: Sequence[Phase], start: Mapping[str, float], which: tuple[int, Tank], landing_kg: float,
    writer: LedgerWriter,
) -> tuple[Row, Finding]:  # fmt: skip
    index, tank = which
    density, aircraft = mission.fuel.density_kg_per_m3, mission.aircraft
    key, failed = f"fuel.failed_transfer.{index:02}", frozenset({tank.name})
    stuck_kg = (start[tank.name] - tank.unusable_m3) * density
    usable_kg = (
        usable_m3(aircraft, tank_contents(aircraft, start, (_start_kg(phases) - landing_kg) / density)) * density
    )
    try:
        at_landing = tank_contents(aircraft, start, (_start_kg(phases) - landing_kg) / density, failed=failed)
        differs_kg = abs(imbalance_m3(aircraft, at_landing)) * density
    except PlanError:
        differs_kg = None
    cells = {
        "tank": writer.put(f"{key}.name", "Transfer that fails", tank.name, method="one at a time"),
        "stuck": writer.put(
            f"{key}.stuck", f"{tank.name}: fuel stuck", stuck_kg, "lb", method="contents less unusable"
        ),
    }
    cells["usable"] = writer.put(
        f"{key}.usable", f"{tank.name} stuck: usable fuel at landing", usable_kg - stuck_kg, "lb",
        method="usable fuel planned at landing less the fuel stuck", inputs=(cells["stuck"],),
    )  # fmt: skip
    if differs_kg is not None:
        cells["difference"] = writer.put(
            f"{key}.difference", f"{tank.name} stuck: sides differ at landing by", differs_kg, "lb", method=ORDER
        )
    limit_kg = aircraft.balance.fuel_imbalance_limit_kg
    short, lopsided = usable_kg < stuck_kg, limit_kg is not None and differs_kg is not None and differs_kg > limit_kg
    text = f"If the transfer from {tank.name} fails, {{{cells['usable']}}} is usable at landing."
    if lopsided:
        text += f" The sides then differ by {{{cells['difference']}}}, over the limit."
    cure = f"prove the transfer from {tank.name} before it is needed; if it fails, turn back or balance by cross-feed"
    zero = writer.put(f"{key}.limit", "Least usable fuel at landing", 0.0, "lb", method="first principles")
    finding = Finding(
        f"fuel.failed_transfer.{index:02}", "caution" if short or lopsided else "pass", f"Transfer from {tank.name} fails", text,
        cells["usable"], zero, cells["usable"], "aircraft file, tanks", cure if short or lopsided else "", PAGE,
    )  # fmt: skip
    return Row(tank.name, cells), finding
