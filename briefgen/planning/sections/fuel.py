"""Fuel required, built up by the policy of the rule set, against fuel on board."""

from __future__ import annotations

from briefgen.errors import PlanError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.planning.flight.fuel_policy import GROUND_OUT, Diversion, Reserve, air_phases, contingency_kg
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter


class _FuelSheet:
    """Writes one line of the fuel sheet in both units and remembers it."""

    def __init__(self, writer: LedgerWriter, density_kg_per_m3: float) -> None:
        self._writer, self._density = writer, density_kg_per_m3
        self.rows: list[Row] = []

    def line(self, name: str, label: str, mass_kg: float, method: str, inputs: tuple[str, ...], mark: str = "") -> str:
        key = f"fuel.required.{name}"
        self._writer.put(key, label, mass_kg, "lb", method=method, inputs=inputs)
        self._writer.put(
            f"{key}_volume", label, mass_kg / self._density, "US gal", method="weight over density",
            inputs=(key, "fuel.density"),
        )  # fmt: skip
        self.rows.append(Row(label, {"mass": key, "volume": f"{key}_volume"}, mark))
        return key


def write_fuel(
    mission: Mission,
    phases: tuple[Phase, ...],
    diversions: tuple[Diversion, ...],
    reserve: Reserve,
    writer: LedgerWriter,
) -> None:
    """Enter the fuel required line by line, the fuel at each milestone and the margin."""
    density, policy = mission.fuel.density_kg_per_m3, mission.rules.fuel
    sheet = _FuelSheet(writer, density)

    def burnt(chosen: list[Phase]) -> tuple[float, tuple[str, ...]]:
        keys = tuple(f"{phase_key(phase.ident)}.fuel_burn" for phase in chosen)
        return sum(phase.fuel_burn_kg for phase in chosen), keys

    in_air = air_phases(phases)
    taxi, taxi_keys = burnt([phase for phase in phases if phase.kind in GROUND_OUT])
    trip, trip_keys = burnt([phase for phase in in_air if phase.kind != "hold"])
    wait, wait_keys = burnt([phase for phase in in_air if phase.kind == "hold"])
    ratio = writer.given(
        "fuel.contingency_ratio", "Contingency", policy.contingency_ratio, "%", spec="rules:fuel.contingency"
    )
    lines = [
        sheet.line("taxi", "Start, taxi and run-up", taxi, "sum of the phases on the ground", taxi_keys),
        sheet.line("trip", "Trip, take-off to landing", trip, "sum of the phases in the air but the hold", trip_keys),
        sheet.line(
            "contingency", "Contingency", contingency_kg(policy, trip, reserve),
            "share of the trip fuel, but no less than the policy's time of holding",
            ("fuel.required.trip", ratio, "fuel.final_reserve_flow"),
        ),
        sheet.line("hold", "Planned hold", wait, "sum of the hold", wait_keys),
    ]  # fmt: skip
    for parts, name in ((taxi_keys, "taxi"), (trip_keys, "trip"), (wait_keys, "hold")):
        if parts:
            writer.foot(f"fuel.required.{name}", parts)
            writer.foot(f"fuel.required.{name}_volume", tuple(f"{part}_volume" for part in parts))
    lines.append(_alternate_line(mission, diversions, sheet, writer, phases[-3].end.fuel_kg))
    lines.append(_reserve_line(mission, reserve, sheet, writer))
    unusable = sum(tank.unusable_m3 for tank in mission.aircraft.balance.tanks) * density
    lines.append(
        sheet.line("unusable", "Unusable", unusable, "unusable fuel of all tanks, aircraft file", ("fuel.density",))
    )
    total = sum(writer.number(line) for line in lines)
    sheet.line("total", "Fuel required", total, "sum of the lines above", tuple(lines), "total")
    writer.foot("fuel.required.total", tuple(lines))
    writer.foot("fuel.required.total_volume", tuple(f"{line}_volume" for line in lines))
    _write_margin(mission, phases, sheet, writer)
    columns = (Column("mass", "Weight", "lb"), Column("volume", "Volume", "US gal"))
    writer.table("fuel.required", "Fuel required and on board", columns, sheet.rows, policy.source)


def _alternate_line(
    mission: Mission, diversions: tuple[Diversion, ...], sheet: _FuelSheet, writer: LedgerWriter, at_landing_kg: float
) -> str:
    policy = mission.rules.fuel
    if diversions:
        worst = max(diversions, key=lambda diversion: diversion.fuel_kg)
        keys = tuple(f"{phase_key(phase.ident)}.fuel_burn" for phase in worst.phases)
        line = sheet.line(
            "alternate", f"Alternate, {worst.ident}", worst.fuel_kg, "sum of the phases to the alternate that needs most",
            keys,
        )  # fmt: skip
        writer.foot(line, keys)
        writer.foot(f"{line}_volume", tuple(f"{key}_volume" for key in keys))
        return line
    if policy.island_reserve_s is None:
        raise PlanError(
            "the mission has no alternate and its rule set has no island reserve",
            expected="an alternate, or an island reserve in the fuel policy",
        )
    span = writer.given(
        "fuel.island_reserve_time", "Island reserve", policy.island_reserve_s, "min", spec="rules:fuel.island reserve"
    )
    flow = writer["fuel.final_reserve_flow"].key
    return sheet.line(
        "island", "Island reserve", writer.number(flow) * policy.island_reserve_s,
        "holding fuel flow for the policy's time, in place of an alternate", (span, flow),
    )  # fmt: skip


def _reserve_line(mission: Mission, reserve: Reserve, sheet: _FuelSheet, writer: LedgerWriter) -> str:
    span = writer.given(
        "fuel.final_reserve_time",
        "Final reserve",
        mission.rules.fuel.final_reserve_s,
        "min",
        spec="rules:fuel.final reserve",
    )
    return sheet.line(
        "final_reserve", f"Final reserve at {reserve.ident}", reserve.fuel_kg, "holding fuel flow for the policy's time",
        (span, "fuel.final_reserve_flow"),
    )  # fmt: skip


def write_reserve_flow(reserve: Reserve, writer: LedgerWriter) -> None:
    """Enter the setting in which the final reserve is burnt."""
    setting = reserve.setting
    writer.put(
        "fuel.final_reserve_flow", "Holding fuel flow for the reserve", setting.fuel_flow_kg_per_s, "lb/h",
        method="level flight at the holding speed, at the reserve height and the weight on arrival", source=setting.source,
    )  # fmt: skip


def _write_margin(mission: Mission, phases: tuple[Phase, ...], sheet: _FuelSheet, writer: LedgerWriter) -> None:
    density = mission.fuel.density_kg_per_m3
    sheet.rows.append(Row("Fuel at the ramp", {"mass": "fuel.ramp", "volume": "fuel.ramp_volume"}))
    spare = writer.number("fuel.ramp") - writer.number("fuel.required.total")
    how = "fuel at the ramp less fuel required"
    writer.put(
        "fuel.margin",
        "Fuel over what is required",
        spare,
        "lb",
        method=how,
        inputs=("fuel.ramp", "fuel.required.total"),
    )
    writer.foot("fuel.margin", ("fuel.ramp",), ("fuel.required.total",))
    writer.put(
        "fuel.margin_volume", "Fuel over what is required", spare / density, "US gal", method=how,
        inputs=("fuel.ramp_volume", "fuel.required.total_volume"),
    )  # fmt: skip
    writer.foot("fuel.margin_volume", ("fuel.ramp_volume",), ("fuel.required.total_volume",))
    sheet.rows.append(Row("Over what is required", {"mass": "fuel.margin", "volume": "fuel.margin_volume"}, "total"))
    for name, label, kind in (
        ("at_take_off", "Fuel at take-off", "run-up"), ("after_hold", "Fuel after the hold", "hold"),
        ("at_landing", "Fuel after landing", "approach"),
    ):  # fmt: skip
        chosen = [phase for phase in phases if phase.kind == kind]
        if chosen:
            key = phase_key(chosen[-1].ident)
            for suffix, unit, factor in (("", "lb", 1.0), ("_volume", "US gal", density)):
                source = f"{key}.fuel_remaining{suffix}"
                writer.put(
                    f"fuel.{name}{suffix}",
                    label,
                    chosen[-1].end.fuel_kg / factor,
                    unit,
                    method="fuel left at the end of the phase",
                    inputs=(source,),
                )
                writer.foot(f"fuel.{name}{suffix}", (source,))
