"""Oxygen: how long the rules ask for it, and how long the supply lasts.

Both are told as time for everybody aboard who uses it, since the aircraft file gives the rate for all of them together.
Unpressurised: the cabin is at the flight's own pressure altitude (14 CFR 121.327(d)).
"""

from __future__ import annotations

import math

from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.model.rules import Rule
from briefgen.planning.flight.heights import time_between_heights_s
from briefgen.planning.ledger.writer import LedgerWriter

SUPPLY = "oxygen"  # the name the aircraft file gives it among its fluids
SECONDS_PER_HOUR = 3600.0

COLUMNS = (
    Column("rule", "Rule"),
    Column("above", "Above", "ft"),
    Column("up_to", "Up to", "ft"),
    Column("time", "Time there", "h:min"),
    Column("allowed", "Allowed without", "h:min"),
    Column("needed", "Oxygen"),
)


def write_oxygen(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> None:
    """Enter the time in each band of heights, the oxygen required by rule and what is carried, and their table."""
    rules = [rule for rule in mission.rules.rules if rule.check == "oxygen"]
    if not rules:
        return
    writer.put(
        "oxygen.highest", "Highest pressure altitude",
        max(node.pressure_altitude_m for phase in phases for node in phase.nodes), "ft", method="highest of the flight",
    )  # fmt: skip
    rows = [_row(rule, phases, writer) for rule in rules]
    _write_required(rules, phases, writer)
    _write_available(mission, writer)
    note = (
        "Required: all the time above the lowest height at which a rule asks for oxygen, its free half hour included."
    )
    writer.table("oxygen", "Oxygen", COLUMNS, rows, note=note)


def _row(rule: Rule, phases: tuple[Phase, ...], writer: LedgerWriter) -> Row:
    head, put = f"oxygen.{rule.ident}", writer.put
    time_s = _time_s(rule, phases)
    cells = {
        "rule": put(f"{head}.rule", "Rule", rule.title, method="rule set", source=rule.source),
        "above": put(f"{head}.above", f"{rule.title}: above", float(rule.parameters["above"]), "ft", method="rule", source=rule.source),
        "time": put(
            f"{head}.time", f"{rule.title}: time there", time_s, "h:min",
            method="time at pressure altitudes in the band", inputs=("oxygen.highest", f"{head}.above"),
        ),
        "allowed": put(
            f"{head}.allowed", f"{rule.title}: allowed without", float(rule.parameters["allowed"]), "h:min", method="rule",
            source=rule.source,
        ),
    }  # fmt: skip
    if "up to" in rule.parameters:
        cells["up_to"] = put(
            f"{head}.up_to",
            f"{rule.title}: up to",
            float(rule.parameters["up to"]),
            "ft",
            method="rule",
            source=rule.source,
        )
    cells["needed"] = put(
        f"{head}.needed", f"{rule.title}: oxygen", "needed" if _asks(rule, phases) else "not needed",
        method="time in the band against what is allowed without oxygen", inputs=(cells["time"], cells["allowed"]),
    )  # fmt: skip
    return Row(rule.title, cells, "needed" if _asks(rule, phases) else "")


def _time_s(rule: Rule, phases: tuple[Phase, ...]) -> float:
    return time_between_heights_s(
        phases, float(rule.parameters["above"]), float(rule.parameters.get("up to", math.inf))
    )


def _asks(rule: Rule, phases: tuple[Phase, ...]) -> bool:
    return _time_s(rule, phases) > float(rule.parameters["allowed"])


def _write_required(rules: list[Rule], phases: tuple[Phase, ...], writer: LedgerWriter) -> None:
    asking = [float(rule.parameters["above"]) for rule in rules if _asks(rule, phases)]
    required_s = time_between_heights_s(phases, min(asking), math.inf) if asking else 0.0
    writer.put(
        "oxygen.required", "Oxygen required", required_s, "h:min",
        method="time above the lowest height at which a rule asks for oxygen",
        inputs=tuple(f"oxygen.{rule.ident}.needed" for rule in rules),
    )  # fmt: skip


def _write_available(mission: Mission, writer: LedgerWriter) -> None:
    supply = next((fluid for fluid in mission.aircraft.fluids if fluid.name == SUPPLY), None)
    source = mission.aircraft.name
    if supply is None or not supply.use_per_hour:
        method = "the aircraft file gives no supply with a rate of use"
        writer.put("oxygen.available", "Oxygen carried", 0.0, "h:min", method=method, source=source)
        return
    writer.put(
        "oxygen.available", "Oxygen carried", supply.capacity / supply.use_per_hour * SECONDS_PER_HOUR, "h:min",
        method="capacity over use by everybody aboard", source=source,
    )  # fmt: skip
