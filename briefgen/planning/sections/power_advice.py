"""Beside the power table: the weight at which the mixture changes, and the slightly lower speed that stays lean."""

from __future__ import annotations

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.physics.advice import LeanAdvice, lean_advice
from briefgen.aircraft.words import MPH_M_PER_S
from briefgen.errors import BriefgenError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Action, Hold, Mission
from briefgen.model.performance import IndicatedAirspeed, PowerSetting
from briefgen.model.plan import Node, Phase
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter

LEVEL_KINDS = ("cruise", "hold", "run")

COLUMNS = (
    Column("phase", "Phase"),
    Column("from", "From", "UTC"),
    Column("advice_ias", "Lean up to", AIRSPEED),
    Column("advice_slower", "Slower by", "kt"),
    Column("advice_flow", "Flow there", "US gal/h"),
    Column("advice_flow_saved", "Saves", "US gal/h"),
    Column("advice_fuel_saved", "Over the same distance", "%"),
)
NOTE = (
    "Where the planned speed needs rich mixture: the fastest speed at which lean still gives the power, at the same weight "
    "and height."
)


def write_mixture_change(
    mission: Mission, key: str, phase: Phase, node: Node, setting: PowerSetting, changed: bool, performance: Performance,
    writer: LedgerWriter,
) -> None:  # fmt: skip
    """Enter at which weight the mixture changes at the speed and height of a row; where it does change, when and how high."""
    if phase.kind not in LEVEL_KINDS or setting.mixture is None:
        return
    title = f"{phase.title}: mixture changes at"
    rests_on = tuple(one for one in (f"{key}.altitude", f"{key}.ias", "fuel.grade") if one in writer)
    if changed:
        method = f"{setting.mixture} from here on: the weight has reached the change"
        for name, label, value, unit, source in (
            ("mass", "weight", node.mass_kg, "lb", f"{key}.mass"),
            ("altitude", "height", node.altitude_m, "ft", f"{key}.altitude"),
            ("time", "time", node.instant, "UTC", f"{key}.from"),
        ):
            writer.put(
                f"{key}.mixture_change_{name}",
                f"{title} {label}",
                value,
                unit,
                method=method,
                inputs=(source, *rests_on),
            )
        return
    mass_kg = _change_mass(mission, phase, node, setting, performance)
    if mass_kg is not None:
        method = "rich above this weight, lean may be used below it, at this speed and height"
        writer.put(
            f"{key}.mixture_change_mass", f"{title} weight", mass_kg, "lb", method=method, inputs=rests_on,
            source=setting.source,
        )  # fmt: skip


def _change_mass(
    mission: Mission, phase: Phase, node: Node, setting: PowerSetting, performance: Performance
) -> float | None:
    """Return the weight at which the mixture changes, between the basic weight and the ramp limit; None for none there."""
    low_kg, high_kg = mission.individual.basic_mass_kg, node.mass_kg
    if setting.mixture == "lean":
        low_kg, high_kg = node.mass_kg, max(node.mass_kg, mission.aircraft.balance.limits.ramp_kg)
    try:
        return performance.mixture_change_mass(
            setting.air, IndicatedAirspeed(setting.ias_m_per_s), low_kg, high_kg, engines=setting.engines,
            bank_deg=_bank_deg(mission, phase), configuration=_configuration(mission, phase),
        )  # fmt: skip
    except BriefgenError:
        return None  # the aircraft file does not reach that far: nothing is said


def _bank_deg(mission: Mission, phase: Phase) -> float:
    item = None if phase.item is None else mission.route.items[phase.item]
    return item.bank_deg if isinstance(item, Hold) and phase.kind == "hold" else 0.0


def _configuration(mission: Mission, phase: Phase) -> str:
    item = None if phase.item is None else mission.route.items[phase.item]
    return item.configuration if isinstance(item, Action) else "clean"


def write_advice(
    mission: Mission, key: str, phase: Phase, setting: PowerSetting, performance: Performance, writer: LedgerWriter
) -> bool:
    """Enter the speed that stays lean beside a rich level setting; return whether there is one that saves fuel."""
    if phase.kind not in LEVEL_KINDS or setting.mixture != "rich":
        return False
    found = lean_advice(
        performance, setting, bank_deg=_bank_deg(mission, phase), configuration=_configuration(mission, phase),
        readable_m_per_s=MPH_M_PER_S,
    )  # fmt: skip
    if found is None or found.fuel_flow_saved_kg_per_s <= 0.0 or found.fuel_over_distance_saved_ratio <= 0.0:
        return False
    _put_advice(mission, key, phase, found, writer)
    return True


def _put_advice(mission: Mission, key: str, phase: Phase, found: LeanAdvice, writer: LedgerWriter) -> None:
    density, title, source = mission.fuel.density_kg_per_m3, phase.title, found.setting.source
    method = "fastest level speed, in whole miles an hour, at which the limits of the fuel grade allow lean, at the weight and height of the row"
    inputs = tuple(f"{key}.{name}" for name in ("mass", "altitude", "ias", "flow"))
    flow = found.setting.fuel_flow_kg_per_s / density
    numbers = (
        ("ias", "lean up to", found.setting.ias_m_per_s, AIRSPEED, 0),
        ("slower", "slower by", found.slower_m_per_s, "kt", 1),
        ("flow", "fuel flow there", flow, "US gal/h", 0),
        ("flow_saved", "fuel flow saved", found.fuel_flow_saved_kg_per_s / density, "US gal/h", 0),
        ("fuel_saved", "fuel saved over the same still-air distance", found.fuel_over_distance_saved_ratio, "%", 0),
    )
    for name, label, value, unit, decimals in numbers:
        writer.put(
            f"{key}.advice_{name}", f"{title}: {label}", value, unit, decimals=decimals, method=method, inputs=inputs,
            source=source,
        )  # fmt: skip
    # The reader is given the flow saved as a difference of the two flows printed.
    writer.foot(f"{key}.advice_flow_saved", (f"{key}.flow",), (f"{key}.advice_flow",))
    advice = (
        f"at {{{key}.advice_ias}} indicated lean would do: {{{key}.advice_slower}} slower, {{{key}.advice_flow_saved}} saved, "
        f"{{{key}.advice_fuel_saved}} of the fuel over the same still-air distance"
    )
    writer.put(
        f"{key}.advice", f"{title}: advice", advice, method=method,
        inputs=(f"{key}.advice_ias", f"{key}.advice_flow_saved", f"{key}.advice_fuel_saved"),
    )  # fmt: skip


def write_advice_table(prefix: str, keys: list[tuple[str, str]], writer: LedgerWriter) -> None:
    """Add the table of advice for rows given by title and key; none where nothing is to be said."""
    if not keys:
        return
    rows = [Row(title, {column.name: f"{key}.{column.name}" for column in COLUMNS}) for title, key in keys]
    writer.table(f"{prefix}.advice", "A slightly lower speed that stays lean", COLUMNS, rows, NOTE)
