"""The figures that pages show by themselves: the one-minute picture, the schedule, what the plan takes as given."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from briefgen.document.parts.assemble import Source
from briefgen.document.parts.blocks import Cell, Head, TableBlock, TableRow
from briefgen.model.record import Figure, Placed
from briefgen.planning.sections.balance.held import Held
from briefgen.planning.sections.balance.moments import FlownWeights, MomentFigures
from briefgen.planning.sections.basis.clock import BeforeStart, Durations, Milestones
from briefgen.planning.sections.basis.fuel import FuelMargin, FuelPolicyFigures, FuelRequired, IslandReserve
from briefgen.planning.sections.basis.inputs import WeatherWritten
from briefgen.planning.sections.basis.navigation import OffBlocks
from briefgen.planning.sections.basis.written_load import (
    DensityWritten,
    FuelWritten,
    RampFuel,
    RampFuelRequired,
    RampFuelWritten,
    Weights,
)
from briefgen.planning.sections.basis.written_route import HoldWritten, SafeAltitudeWritten
from briefgen.planning.sections.timing.asked import TimeAsked

Wanted = Sequence[tuple[Figure[Any, Any] | Placed, str]]

# The one-minute picture, in the order in which it is asked: when, how far, with what, and what is left.
FRONT: Wanted = (
    (Milestones.take_off, "Take-off"),
    (Milestones.over_target, "Over target"),
    (Milestones.landing, "Landing"),
    (Durations.air, "In the air"),
    (Durations.duty, "Duty"),
    (RampFuel.ramp, "Fuel at ramp"),
    (RampFuelWritten.ramp_volume, "Fuel at ramp"),
    (FuelRequired.total, "Fuel required"),
    (FuelMargin.margin, "Over required"),
    (FuelMargin.at_landing, "Fuel at landing"),
    (FlownWeights.take_off, "Take-off weight"),
    (FlownWeights.landing, "Landing weight"),
    (MomentFigures.cg_mac.under("balance.take_off"), "CG at take-off"),
)
# What the plan takes as given and safety hangs on: figures that somebody wrote; of those that stand in many places, where.
ASSUMED: Sequence[Figure[Any, Any] | Placed] = (
    Held.limit.under("fuel.imbalance"), FuelPolicyFigures.contingency_time, FuelPolicyFigures.contingency_ratio, FuelPolicyFigures.final_reserve_time,
    IslandReserve.island_reserve_time, FuelWritten.grade, DensityWritten.density, RampFuelWritten.ramp_volume,
    RampFuelRequired.extra_volume, Weights.basic, WeatherWritten.file,
)  # fmt: skip
ASSUMED_OF_EACH: Sequence[tuple[str, Figure[Any, Any]]] = (
    ("leg", SafeAltitudeWritten.safe_height), ("alternate", SafeAltitudeWritten.safe_height), ("hold", HoldWritten.height),
    ("hold", HoldWritten.time), ("hold", HoldWritten.bank), ("timing", TimeAsked.window),
)  # fmt: skip
SCHEDULE: Wanted = (
    (BeforeStart.briefing, "Briefing"),
    (BeforeStart.stations, "Stations"),
    (OffBlocks.off_blocks, "Start engines"),
    *FRONT[:3],
    (Milestones.shutdown, "Engines stopped"),
)


def assumed_keys(entries: Iterable[str]) -> list[str]:
    """Return the keys of what the plan takes as given, in their order in the ledger."""
    single = {figure.key for figure in ASSUMED}
    each = [(f"{head}.", f".{figure.name}") for head, figure in ASSUMED_OF_EACH]
    return [
        key for key in entries if key in single or any(key.startswith(head) and key.endswith(end) for head, end in each)
    ]


def assumptions(source: Source) -> TableBlock | None:
    """Return what the plan takes as given and safety hangs on, each with the line it is written on."""
    rows = []
    for key in assumed_keys(source.plan.ledger.entries):
        entry = source.plan.ledger[key]
        if entry.given is None:
            continue
        cells = (
            source.printed.label(key),
            source.printed.quoted(key),
            entry.given.text,
            f"{entry.given.file}, line {entry.given.line}",
        )
        rows.append(TableRow(tuple(Cell(text, key if i == 1 else "") for i, text in enumerate(cells))))
    heads = (Head("What"), Head("Figure"), Head("As written"), Head("Where"))
    return (
        TableBlock(
            "Assumptions", heads, tuple(rows), "Minima of the fields and limits of the rules stand beside each finding."
        )
        if rows
        else None
    )
