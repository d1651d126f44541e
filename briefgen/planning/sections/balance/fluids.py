"""Oil, water-methanol, de-icing fluid and oxygen: how much there is, how long it lasts at the rate of the file."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, Phase
from briefgen.planning.ledger.writer import LedgerWriter

PAGE = "fuel"
S_PER_H = 3600.0
COLUMNS = (
    Column("supply", "Supply"),
    Column("capacity", "Full"),
    Column("unit", "Unit"),
    Column("rate", "Use an hour"),
    Column("lasts", "Lasts", "h:min"),
    Column("flight", "Flight", "h:min"),
    Column("remarks", "Remarks"),
)


def write_fluids(mission: Mission, phases: Sequence[Phase], writer: LedgerWriter) -> list[Finding]:
    """Write the supplies besides fuel; one used throughout that would not last is a caution."""
    fluids = mission.aircraft.fluids
    if not fluids:
        return []
    flight_s = (phases[-1].nodes[-1].instant - phases[0].nodes[0].instant).total_seconds()
    flight = writer.put("fluids.flight", "Engine start to shutdown", flight_s, "h:min", method="by the timeline")
    rows, findings = [], []
    for index, fluid in enumerate(fluids, 1):
        key, name, spec = f"fluid.{index:02}", fluid.name, f"aircraft:fluids[{index - 1}]"
        cells = {
            "supply": writer.given(f"{key}.name", "Supply", name, spec=f"{spec}.name"),
            "capacity": writer.given(f"{key}.capacity", f"{name}: full", fluid.capacity, spec=f"{spec}.capacity"),
            "unit": writer.given(f"{key}.unit", f"{name}: unit", fluid.unit, spec=f"{spec}.unit"),
            "remarks": writer.given(f"{key}.remarks", f"{name}: remarks", fluid.remarks, spec=f"{spec}.remarks"),
        }
        if fluid.use_per_hour:
            rate = writer.given(f"{key}.rate", f"{name}: use an hour", fluid.use_per_hour, spec=f"{spec}.use per hour")
            lasts_s = fluid.capacity / fluid.use_per_hour * S_PER_H
            lasts = writer.put(
                f"{key}.lasts", f"{name}: lasts", lasts_s, "h:min", method="full supply over use an hour",
                inputs=(cells["capacity"], rate),
            )  # fmt: skip
            cells |= {"rate": rate, "lasts": lasts, "flight": flight}
            if not fluid.on_demand:
                findings.append(_finding(key, name, (lasts_s, flight_s), (lasts, flight), writer))
        rows.append(Row(name, cells))
    writer.table(
        "fluids", "Supplies besides fuel", COLUMNS, rows, "Filled at departure; the rate is that of the aircraft file."
    )
    return findings


def _finding(key: str, name: str, seconds: tuple[float, float], keys: tuple[str, str], writer: LedgerWriter) -> Finding:
    lasts_s, flight_s = seconds
    margin = writer.put(
        f"{key}.margin", f"{name}: lasts longer than the flight by", lasts_s - flight_s, "h:min", method="lasts less flight",
        inputs=keys,
    )  # fmt: skip
    writer.foot(margin, (keys[0],), (keys[1],))
    outcome = "pass" if lasts_s >= flight_s else "caution"
    text = f"At the rate of the aircraft file it lasts {{{keys[0]}}}; the flight takes {{{keys[1]}}}."
    cure = "" if outcome == "pass" else f"use {name} for no longer than {{{keys[0]}}} in all"
    return Finding(
        f"supply.{key}", outcome, f"Supply of {name}", text, keys[0], keys[1], margin, "aircraft file", cure, PAGE
    )
