"""The setting at the height held with one engine stopped, and how far the fuel goes on it."""

from __future__ import annotations

from collections.abc import Callable

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.performance import BestRange, IndicatedAirspeed, PowerSetting, SpeedTarget
from briefgen.planning.ledger.review_keys import UNUSABLE_FUEL
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.engines_out.legs import Fewer, LegOut

PIECES = 6  # of the fuel left; the weight falls by a few per cent in each, so the middle of it serves

COLUMNS = (
    Column("leg", "Leg"),
    Column("running", "Running"),
    Column("height_held", "Height", "ft"),
    Column("ias", "Indicated airspeed", AIRSPEED),
    Column("tas", "True airspeed", "kt"),
    Column("rpm", "Engine speed", "rpm"),
    Column("manifold_pressure", "Manifold pressure", "inHg"),
    Column("mixture", "Mixture"),
    Column("flow_engine", "Flow each", "US gal/h"),
    Column("flow", "Flow total", "US gal/h"),
    Column("fuel", "Usable fuel", "US gal"),
    Column("range", "Still-air range", "NM"),
    Column("endurance", "Endurance", "h:min"),
)
NOTE = (
    "Level at the height held, best range at the weight with which the leg begins, the same indicated speed until the "
    "usable fuel is gone; no wind, no reserve, the drift down not counted."
)

SettingAt = Callable[[float], PowerSetting]  # the setting at a mass [kg]


def fuel_goes(setting_at: SettingAt, mass_kg: float, fuel_kg: float) -> tuple[float, float]:
    """Return the still-air distance [m] and time [s] until a mass of fuel is burnt, solved in the middle of each piece."""
    piece_kg = fuel_kg / PIECES
    distance_m = time_s = 0.0
    for piece in range(PIECES):
        setting = setting_at(mass_kg - (piece + 0.5) * piece_kg)
        time_s += piece_kg / setting.fuel_flow_kg_per_s
        distance_m += setting.specific_range_m_per_kg * piece_kg
    return distance_m, time_s


def write_settings(mission: Mission, legs: tuple[LegOut, ...], performance: Performance, writer: LedgerWriter) -> None:
    """Enter the setting with one engine stopped for every leg on which a height is held."""
    rows = []
    for out in legs:
        fewer = next((one for one in out.fewer if one.stopped == "one"), None)
        if fewer is None:
            continue
        _write_setting(mission, out, fewer, performance, writer)
        cells = {column.name: f"{out.key}.{column.name}" for column in COLUMNS}
        cells["running"] = f"{out.key}.engines_one"
        rows.append(Row(out.leg.to.name, {name: key for name, key in cells.items() if key in writer}))
    if rows:
        writer.table("engines_out.setting", "Setting with one engine stopped", COLUMNS, rows, NOTE)


def _solved(out: LegOut, fewer: Fewer, held_m: float, performance: Performance) -> tuple[PowerSetting | None, str]:
    """Return the setting at the first of the speeds that can be answered, and which it was or why none."""
    targets: list[tuple[str, SpeedTarget]] = [("best range", BestRange())]
    if fewer.climb_ias_m_per_s is not None:
        targets.append(("speed of the best climb", IndicatedAirspeed(fewer.climb_ias_m_per_s)))
    targets.append(("waiting speed", IndicatedAirspeed(performance.speeds(out.node.mass_kg).hold_m_per_s)))
    problem = ""
    for name, target in targets:
        try:
            return performance.cruise(out.node.mass_kg, out.air(held_m), target, engines=fewer.engines.name), name
        except BriefgenError as error:
            problem = problem or error.problem
    return None, problem


def _write_setting(mission: Mission, out: LegOut, fewer: Fewer, performance: Performance, writer: LedgerWriter) -> None:
    held_m = out.held_m(fewer)
    if held_m is None:
        return
    key, density = out.key, mission.fuel.density_kg_per_m3
    to = f"Engines out, leg to {out.leg.to.name}, one out"
    inputs = (f"{key}.mass", f"{key}.deviation", f"{key}.height_held", f"{key}.engines_one")
    setting, how = _solved(out, fewer, held_m, performance)
    if setting is None:
        writer.put(f"{key}.flow", f"{to}: fuel flow", "not known", method=how, inputs=inputs)
        return
    put_setting(key, to, setting, density, how, inputs, writer)
    usable_kg = out.node.fuel_kg - writer.number(UNUSABLE_FUEL)
    writer.put(
        f"{key}.fuel", f"{to}: usable fuel", usable_kg / density, "US gal", method="as level flight begins",
        inputs=(UNUSABLE_FUEL, f"{key}.mass"),
    )  # fmt: skip
    air, same = out.air(held_m), IndicatedAirspeed(setting.ias_m_per_s)
    try:
        distance_m, time_s = fuel_goes(
            lambda mass_kg: performance.cruise(mass_kg, air, same, engines=fewer.engines.name),
            out.node.mass_kg, usable_kg,
        )  # fmt: skip
    except BriefgenError as error:
        writer.put(f"{key}.range", f"{to}: still-air range", "not known", method=error.problem, inputs=inputs)
        return
    method = "usable fuel burnt at the same indicated speed, the weight falling"
    burnt = (f"{key}.fuel", f"{key}.ias", f"{key}.flow")
    writer.put(f"{key}.range", f"{to}: still-air range", distance_m, "NM", method=method, inputs=burnt)
    writer.put(f"{key}.endurance", f"{to}: endurance", time_s, "h:min", method=method, inputs=burnt)


def put_setting(
    key: str, label: str, setting: PowerSetting, density_kg_per_m3: float, how: str, inputs: tuple[str, ...],
    writer: LedgerWriter,
) -> None:  # fmt: skip
    """Enter the levers, speeds and flows of a setting under a head of keys."""
    flow = setting.fuel_flow_kg_per_s / density_kg_per_m3
    numbers = (
        ("ias", "indicated airspeed", setting.ias_m_per_s, AIRSPEED, 0),
        ("tas", "true airspeed", setting.tas_m_per_s, "kt", 0),
        ("rpm", "engine speed", setting.engine_speed_rpm, "rpm", 0),
        ("manifold_pressure", "manifold pressure", setting.manifold_pressure_pa, "inHg", 1),
        ("flow_engine", "fuel flow of each engine", flow / setting.engines_running, "US gal/h", 1),
        ("flow", "fuel flow of all running", flow, "US gal/h", 0),
    )
    for name, what, value, unit, decimals in numbers:
        if value is not None:
            writer.put(
                f"{key}.{name}", f"{label}: {what}", value, unit, decimals=decimals, method=how, inputs=inputs,
                source=setting.source,
            )  # fmt: skip
    if setting.mixture is not None:
        writer.put(
            f"{key}.mixture", f"{label}: mixture", setting.mixture, method="by the limits of the fuel grade", inputs=inputs,
            source=setting.source,
        )  # fmt: skip
