"""The load held against floors, bays, doors, company and straps; what is not known of an item does not pass."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from briefgen.model.aircraft import Bay
from briefgen.model.mission import LoadItem, Mission
from briefgen.model.plan import Finding
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.pieces import Piece, bay_area_m2, bay_mass_kg, bay_named, conflicts, footprint_m2, why_not
from briefgen.planning.load.placement import Placement

PAGE = "balance"
SOURCE = "aircraft file, bays"


@dataclass(frozen=True)
class _Measure:
    """One thing that is measured of every bay in use."""

    name: str
    title: str
    unit: str
    measured: Callable[[Bay], float]
    limit: Callable[[Bay], float]
    cure: str


def load_findings(mission: Mission, placement: Placement, writer: LedgerWriter) -> list[Finding]:
    """Return the findings on the load; a limit that is kept everywhere is shown where it is tightest."""
    if not mission.items:
        return []
    findings = [
        finding
        for measure in _measures(mission, placement.bays)
        if (finding := _tightest(mission, placement.bays, measure, writer))
    ]
    findings += _floor_findings(mission, writer)
    findings += _word_findings(mission, placement, writer)
    return findings


def _measures(mission: Mission, bays: Mapping[str, str]) -> tuple[_Measure, ...]:
    def mass_kg(bay: Bay) -> float:
        return bay_mass_kg(mission.items, bays, bay)

    def length_m(bay: Bay) -> float:
        return bay.to_arm_m - bay.from_arm_m

    return (
        _Measure("bay_mass", "Weight in a bay", "lb", mass_kg, lambda bay: bay.mass_limit_kg,
                 "move some of it to another bay"),
        _Measure("bay_running", "Running load of a bay", "lb/ft", lambda bay: mass_kg(bay) / length_m(bay),
                 lambda bay: bay.running_limit_kg_per_m, "move some of it to another bay"),
        _Measure("bay_area", "Floor covered in a bay", "sq ft",
                 lambda bay: sum(footprint_m2(i) for i in mission.items if bays[i.name] == bay.name), bay_area_m2,
                 "move an item to another bay"),
    )  # fmt: skip


def _tightest(mission: Mission, bays: Mapping[str, str], measure: _Measure, writer: LedgerWriter) -> Finding | None:
    used = [bay for bay in mission.aircraft.balance.bays if bay.name in set(bays.values())]
    if not used:
        return None
    bay = max(used, key=lambda bay: measure.measured(bay) / measure.limit(bay))
    value, limit = measure.measured(bay), measure.limit(bay)
    key = f"load.{measure.name}"
    inputs = tuple(f"load.{n:02}.mass" for n, i in enumerate(mission.items, 1) if bays[i.name] == bay.name)
    decimals = 1 if measure.unit == "sq ft" else 0
    keys = _write_three(
        writer,
        key,
        f"{measure.title.replace(' a bay', ' bay')} {bay.name}",
        (value, limit),
        measure.unit,
        decimals,
        "what stands in the bay",
        inputs,
    )
    outcome = "pass" if value <= limit * (1 + 1e-9) else "fail"
    text = f"Tightest in bay {bay.name}: {{{key}.measured}}; at most {{{key}.limit}} allowed."
    cure = "" if outcome == "pass" else measure.cure
    return Finding(key, outcome, measure.title, text, *keys, SOURCE, cure, PAGE)


def _write_three(
    writer: LedgerWriter, key: str, label: str, pair: tuple[float, float], unit: str, decimals: int, method: str,
    inputs: tuple[str, ...],
) -> tuple[str, str, str]:  # fmt: skip
    measured = writer.put(f"{key}.measured", label, pair[0], unit, decimals=decimals, method=method, inputs=inputs)
    limit = writer.put(f"{key}.limit", f"{label}: limit", pair[1], unit, decimals=decimals, method="aircraft file")
    margin = writer.put(
        f"{key}.margin", f"{label}: to spare", pair[1] - pair[0], unit, decimals=decimals, method="limit less measured",
        inputs=(limit, measured),
    )  # fmt: skip
    writer.foot(margin, (limit,), (measured,))
    return measured, limit, margin


def station_findings(mission: Mission, pieces: Sequence[Piece], writer: LedgerWriter) -> list[Finding]:
    """Hold what sits or stands at each station, in flight and at take-off, against its mass limit."""
    limits = {s.name: s.mass_limit_kg for s in mission.aircraft.balance.stations if s.mass_limit_kg is not None}
    loads = {
        (when, name): sum(
            p.mass_kg for p in pieces if (p.take_off[0] if at_take_off and p.take_off else p.place) == name
        )
        for when, at_take_off in (("at take-off", True), ("in flight", False))
        for name in limits
    }
    if not any(loads.values()):
        return []
    when, name = max(loads, key=lambda pair: loads[pair] / limits[pair[1]])
    value, limit, key = loads[when, name], limits[name], "load.station_mass"
    inputs = tuple(station for station in writer.keys("station.") if station.endswith(".mass"))
    keys = _write_three(writer, key, f"Weight at {name} {when}", (value, limit), "lb", 0, "who sits there", inputs)
    outcome = "pass" if value <= limit * (1 + 1e-9) else "fail"
    text = f"Tightest at {name}, {when}: {{{key}.measured}}; at most {{{key}.limit}} allowed."
    cure = "" if outcome == "pass" else "seat somebody elsewhere"
    return [Finding(key, outcome, "Weight at a station", text, *keys, "aircraft file, stations", cure, PAGE)]


def _floor_findings(mission: Mission, writer: LedgerWriter) -> list[Finding]:
    """Say of which items the size is missing: their floor loading cannot be judged, so it is not passed."""
    unknown = [item.name for item in mission.items if None in (item.length_m, item.width_m, item.height_m)]
    if not unknown:
        return []
    keys = _words(writer, "load.size", "not given", "length, width and height of every item", "not known")
    text = f"Not known: length, width or height of {', '.join(unknown)}. Floor loading, bays and doors are not judged without them."
    cure = f"give length, width and height of {', '.join(unknown)}"
    return [Finding("load.size", "fail", "Size of the load", text, *keys, SOURCE, cure, PAGE)]


def _words(writer: LedgerWriter, key: str, measured: str, limit: str, margin: str) -> tuple[str, str, str]:
    return (
        writer.put(f"{key}.measured", "Found", measured, method="the load as it stands"),
        writer.put(f"{key}.limit", "Required", limit, method="aircraft file and house rule"),
        writer.put(f"{key}.margin", "To spare", margin, method="yes or no"),
    )


def _word_findings(mission: Mission, placement: Placement, writer: LedgerWriter) -> list[Finding]:
    misplaced = [(i, fault) for i in mission.items if (fault := _misplaced(mission, i, placement.bays))]
    elsewhere = "; ".join(_elsewhere(mission, item) for item, _ in misplaced)
    company = [f"{one} and {other}: {reason}" for one, other, reason in conflicts(mission, placement.bays)]
    found = [
        _judged("load.bays", "Every item in a bay that takes it", [fault for _, fault in misplaced], elsewhere, writer),
    ]
    if company or any(item.dangerous or item.leaves != "landing" for item in mission.items):
        title = "Order of leaving and dangerous goods"
        found.append(_judged("load.company", title, company, "exchange their bays", writer))
    return found


def _misplaced(mission: Mission, item: LoadItem, bays: Mapping[str, str]) -> str:
    bay = bay_named(mission.aircraft, bays[item.name])
    reason = why_not(mission.aircraft, item, bay) if bay else ""
    return f"{item.name} in bay {bay.name}: {reason}" if bay and reason else ""


def _elsewhere(mission: Mission, item: LoadItem) -> str:
    """Say which bays take an item by itself."""
    names = [bay.name for bay in mission.aircraft.balance.bays if not why_not(mission.aircraft, item, bay)]
    return f"move {item.name} to bay {' or '.join(names)}" if names else f"divide {item.name}: no bay takes it"


def _judged(key: str, title: str, faults: Sequence[str], cure: str, writer: LedgerWriter) -> Finding:
    if faults:
        keys = _words(writer, key, "; ".join(faults), "none of these", "no")
        return Finding(key, "fail", title, "; ".join(faults) + ".", *keys, f"{SOURCE}; house rule", cure, PAGE)
    keys = _words(writer, key, "nothing against it", "nothing against it", "yes")
    return Finding(key, "pass", title, "Nothing against it.", *keys, f"{SOURCE}; house rule", "", PAGE)
